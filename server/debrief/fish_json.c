#include "debrief/fish_json.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "board/check.h"
#include "debrief/reports.h"
#include "debrief/weights.h"
#include "proto_json.h"

static void add(cJSON *object, const char *name, cJSON *value)
{
    CHECK(cJSON_AddItemToObject(object, name, json_sure(value)));
}

static void add_text(cJSON *object, const char *name, const char *text)
{
    add(object, name, cJSON_CreateString(text));
}

static void add_number(cJSON *object, const char *name, int64_t number)
{
    add(object, name, cJSON_CreateNumber((double)number));
}

static void add_if(cJSON *object, const char *name, int64_t number)
{
    if (number != 0)
        add_number(object, name, number);
}

static void add_id(cJSON *object, const char *name, struct entry_id id)
{
    char text[40];
    (void)snprintf(text, sizeof text, "%016" PRIx64 ".%c.%" PRId32, id.sender, id.lane == LANE_EMERGENCY ? 'e' : 'o',
                   id.n);
    add_text(object, name, text);
}

static void push(cJSON *array, cJSON *value)
{
    CHECK(cJSON_AddItemToArray(array, json_sure(value)));
}

static void add_sayings(cJSON *object, const struct sayings *sayings, const char *more)
{
    cJSON *array = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < sayings->count; i++)
        push(array, cJSON_CreateString(sayings->words[i]));
    if (more[0] != '\0')
        push(array, cJSON_CreateString(more));
    add(object, "sayings", array);
}

static cJSON *fish_json(const struct box *box, const struct box_fish *fish, int32_t trip, bool no_names)
{
    struct weight_estimate estimate;
    struct sayings sayings;
    cJSON *json = json_sure(cJSON_CreateObject());
    add_number(json, "seq", fish->seq);
    add_id(json, "id", fish->id);
    add_number(json, "trip", trip);
    add_number(json, "at_ms", fish->at_ms);
    add_text(json, "code", fish->code);
    add_text(json, "name", fish->code[0] != '\0' ? rules_name(&box->rules, fish->code) : "");
    add_text(json, "fate", fish_fate_name(fish->fate));
    add_number(json, "decided_by", no_names ? 0 : fish->decided_by);
    add_if(json, "length_um", fish->length_um);
    add_text(json, "measure", measure_name(fish->measure));
    add_number(json, "measured_by", no_names ? 0 : fish->measured_by);
    add_if(json, "girth_um", fish->girth_um);
    add_if(json, "weight_g", fish->weight_g);
    add(json, "weighed", cJSON_CreateBool(fish->weighed));
    weight_estimate(fish->code, fish->length_um, fish->measure, fish->girth_um, &estimate);
    add_if(json, "estimate_g", estimate.grams);
    if (estimate.grams != 0)
        add_text(json, "estimate_by", estimate.by);
    add_text(json, "condition", condition_name(fish->condition));
    add_if(json, "out_of_water_ms", (int64_t)fish->out_of_water_s * 1000);
    if (fish->iced_ms > fish->at_ms)
        add_number(json, "to_ice_ms", fish->iced_ms - fish->at_ms);
    add_text(json, "tag", fish->tag);
    standing_sayings(box, fish, &sayings);
    add_sayings(json, &sayings, estimate.grams == 0 ? estimate.by : "");
    return json;
}

cJSON *fish_json_list(const struct box *box, int32_t trip, bool no_names)
{
    cJSON *array = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < box->count; i++)
        push(array, fish_json(box, &box->fish[i], trip, no_names));
    return array;
}

static cJSON *row_json(const struct standing *one)
{
    cJSON *json = json_sure(cJSON_CreateObject());
    cJSON *codes = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < one->row->codes_count; i++)
        push(codes, cJSON_CreateString(one->row->codes[i]));
    add(json, "codes", codes);
    add_text(json, "name", one->row->name);
    add_number(json, "logged", one->logged);
    if (one->limit != STANDING_NONE) {
        add_number(json, "limit", one->limit);
        add_number(json, "left", one->left);
    }
    add(json, "no_retention", cJSON_CreateBool(one->row->no_retention));
    add_text(json, "min_words", one->min_words);
    add_text(json, "basis", one->basis);
    add_text(json, "citation", one->row->citation);
    add_sayings(json, &one->sayings, "");
    return json;
}

cJSON *fish_json_standing(const struct box *box, const struct standing_when *when)
{
    struct standing rows[sizeof box->rules.rows / sizeof box->rules.rows[0]];
    int32_t count = standing_of(box, when, rows);
    cJSON *array = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < count; i++)
        push(array, row_json(&rows[i]));
    return array;
}

cJSON *fish_json_reports(const struct box *box)
{
    struct report reports[REPORTS_MAX];
    int32_t count = reports_of(box, reports, REPORTS_MAX);
    cJSON *array = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < count; i++) {
        cJSON *json = json_sure(cJSON_CreateObject());
        add_text(json, "of", reports[i].of);
        add_id(json, "id", reports[i].id);
        add_if(json, "from_ms", reports[i].from_ms);
        add_if(json, "due_ms", reports[i].due_ms);
        add_number(json, "hours", reports[i].hours);
        add_text(json, "confirmed", reports[i].confirmed);
        add_text(json, "note", reports[i].note);
        add_text(json, "citation", reports[i].citation);
        push(array, json);
    }
    return array;
}

cJSON *fish_json_head(const struct rule_set *set, const struct box *box, const struct standing_when *when)
{
    char caution[STANDING_WORDS];
    cJSON *json = json_sure(cJSON_CreateObject());
    standing_caution(set, box, when, caution);
    add_text(json, "name", set->name);
    add_text(json, "place", set->place);
    add_text(json, "dated", set->dated);
    add_text(json, "valid_from", set->valid_from);
    if (set->valid_to[0] != '\0')
        add_text(json, "valid_to", set->valid_to);
    add_text(json, "citation", set->citation);
    add_text(json, "caution", caution);
    return json;
}

/* How the rules ask this species to be measured, in the order of their rows; in which unit. */
static void add_measures(cJSON *json, const struct rule_set *set, const char *code)
{
    bool said[MEASURE_COUNT_] = {false};
    enum length_unit unit = LENGTH_UNIT_INCH;
    cJSON *array = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < set->rows_count; i++) {
        const struct rule_row *row = &set->rows[i];
        for (int32_t k = 0; rules_among(row->codes, row->codes_count, code) && k < row->sizes_count; k++) {
            unit = row->sizes[k].unit;
            if (!said[row->sizes[k].measure])
                push(array, cJSON_CreateString(measure_name(row->sizes[k].measure)));
            said[row->sizes[k].measure] = true;
        }
    }
    add(json, "measures", array);
    add_text(json, "unit", length_unit_name(unit));
}

static int32_t seen(const struct box *box, const char *code)
{
    int32_t count = 0;
    for (int32_t i = 0; i < box->count; i++)
        count += strcmp(box->fish[i].code, code) == 0 ? 1 : 0;
    for (int32_t i = 0; i < box->earlier.fish_count; i++)
        count += strcmp(box->earlier.fish[i].code, code) == 0 ? 1 : 0;
    return count;
}

/* Those that were caught come first, the most caught before the others; else as the rule set has them. */
static cJSON *species_json(const struct box *box, const struct rule_set *set)
{
    bool done[sizeof set->species / sizeof set->species[0]] = {false};
    cJSON *array = json_sure(cJSON_CreateArray());
    for (int32_t i = 0; i < set->species_count; i++) {
        int32_t best = 0;
        while (done[best])
            best++;
        for (int32_t k = best + 1; k < set->species_count; k++)
            if (!done[k] && seen(box, set->species[k].code) > seen(box, set->species[best].code))
                best = k;
        done[best] = true;
        cJSON *json = json_sure(cJSON_CreateObject());
        add_text(json, "code", set->species[best].code);
        add_text(json, "name", set->species[best].name);
        add_measures(json, set, set->species[best].code);
        push(array, json);
    }
    return array;
}

cJSON *fish_json_answer(const struct box *box, const struct standing_when *when, const struct rule_set *next)
{
    cJSON *json = json_sure(cJSON_CreateObject());
    add(json, "fish", fish_json_list(box, 0, false));
    add(json, "standing", fish_json_standing(box, when));
    add(json, "reports", fish_json_reports(box));
    add_number(json, "untold", standing_untold(box));
    if (box->has_rules)
        add(json, "rule_set", fish_json_head(&box->rules, box, when));
    if (next)
        add(json, "next_rule_set", fish_json_head(next, box, when));
    const struct rule_set *set = box->has_rules ? &box->rules : next;
    add(json, "species", set ? species_json(box, set) : json_sure(cJSON_CreateArray()));
    add_text(json, "release_caution", standing_release_caution);
    return json;
}
