#include "debrief/box.h"

#include <stdlib.h>
#include <string.h>

#include "board/parts.h"
#include "debrief/grow.h"
#include "debrief/rules.h"

#define DAY_MS INT64_C(86400000)

void box_reset(struct box *box)
{
    struct box_fish *fish = box->fish;
    int32_t room = box->room;
    memset(box, 0, sizeof *box);
    box->fish = fish;
    box->room = room;
}

void box_release(struct box *box)
{
    free(box->fish);
    memset(box, 0, sizeof *box);
}

/* The last ones are asked for most. */
static struct box_fish *find(struct box *box, struct entry_id id)
{
    for (int32_t i = box->count; i > 0; i--)
        if (id_is(box->fish[i - 1].id, id))
            return &box->fish[i - 1];
    return NULL;
}

static struct box_fish *add(struct box *box, struct entry_id id, const struct entry *e)
{
    box->fish = grow(box->fish, box->count, &box->room, sizeof *box->fish);
    struct box_fish *fish = &box->fish[box->count++];
    memset(fish, 0, sizeof *fish);
    fish->id = id;
    fish->seq = e->seq;
    fish->at_ms = e->at_ms;
    return fish;
}

static struct box_fish *find_or_add(struct box *box, struct entry_id id, const struct entry *e)
{
    struct box_fish *fish = find(box, id);
    return fish ? fish : add(box, id, e);
}

static bool wants(enum entry_kind kind)
{
    static const enum entry_kind KINDS[] = {
        KIND_TRIP_STARTED, KIND_TRIP_PHASE,  KIND_TRIP_ENDED, KIND_FIGHT_ENDED, KIND_FIGHT_CONDITION,
        KIND_FISH_TOLD,    KIND_FISH_ICED,   KIND_ABOARD,     KIND_REPORT_TOLD, KIND_RULES_KEPT,
        KIND_FISH_KEPT,    KIND_REPORT_KEPT, KIND_HURT,       KIND_HURT_TOLD,   KIND_CLOCK,
    };
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (KINDS[i] == kind)
            return true;
    return false;
}

static void fight_over(struct box *box, const struct entry *e)
{
    struct box_fish *fish = find_or_add(box, e->body.fight_ended.fight, e);
    fish->fought = true;
    fish->end = e->body.fight_ended.end;
    fish->at_ms = e->at_ms;
}

static void told(struct box *box, const struct entry *e)
{
    const struct body_fish_told *body = &e->body.fish_told;
    bool own = body->fish.n == 0;
    struct box_fish *fish = own ? add(box, e->id, e) : find_or_add(box, body->fish, e);
    fish->own |= own;
    fish->told = true;
    if (body->code[0] != '\0')
        memcpy(fish->code, body->code, sizeof fish->code);
    if (body->fate != FISH_FATE_NOT_SAID)
        fish->fate = body->fate;
    if (body->decided_by != 0)
        fish->decided_by = body->decided_by;
    if (body->length_um != 0) {
        fish->length_um = body->length_um;
        fish->measure = body->measure;
        fish->measured_by = body->measured_by != 0 ? body->measured_by : e->by;
    }
    if (body->girth_um != 0)
        fish->girth_um = body->girth_um;
    if (body->weight_g != 0) {
        fish->weight_g = body->weight_g;
        fish->weighed = body->weighed;
    }
    if (body->condition != CONDITION_NONE)
        fish->condition = body->condition;
    if (body->out_of_water_s != 0)
        fish->out_of_water_s = body->out_of_water_s;
    if (body->tag[0] != '\0')
        memcpy(fish->tag, body->tag, sizeof fish->tag);
}

static void phase(struct box *box, const struct entry *e)
{
    bool dock = e->kind == KIND_TRIP_ENDED || e->body.trip_phase.phase == PHASE_DOCK;
    if (!dock) {
        box->sailed = true;
        box->landed_ms = 0;
    } else if (box->landed_ms == 0 && (box->sailed || e->kind == KIND_TRIP_ENDED)) {
        box->landed_ms = e->at_ms;
    }
}

static void hurt(struct box *box, const struct entry *e)
{
    if (e->kind == KIND_HURT && box->hurts_count < BOX_HURTS_MAX)
        box->hurts[box->hurts_count++] = (struct box_hurt){.id = e->id, .at_ms = e->at_ms};
    for (int32_t i = 0; e->kind == KIND_HURT_TOLD && i < box->hurts_count; i++)
        if (id_is(box->hurts[i].id, e->body.hurt_told.hurt))
            box->hurts[i].how = e->body.hurt_told.how;
}

/* A number is told of what has been told already: a fish, a HURT, or what an earlier trip left due. */
static void reported(struct box *box, const struct body_report_told *body)
{
    struct box_fish *fish = find(box, body->of);
    if (fish)
        memcpy(fish->report, body->number, sizeof fish->report);
    for (int32_t i = 0; i < box->hurts_count; i++)
        if (id_is(box->hurts[i].id, body->of))
            memcpy(box->hurts[i].report, body->number, sizeof box->hurts[i].report);
    for (int32_t i = 0; i < box->due_count; i++)
        if (id_is(box->due[i].kept.of, body->of))
            memcpy(box->due[i].report, body->number, sizeof box->due[i].report);
}

static void aboard(struct box *box, int32_t persons, int32_t paying, enum trip_use use)
{
    box->persons = persons;
    box->paying = paying;
    box->use = use;
}

static void server_said(struct box *box, const struct entry *e)
{
    if (e->kind == KIND_RULES_KEPT) {
        box->rules = e->body.rules_kept.set;
        box->has_rules = true;
    } else if (e->kind == KIND_FISH_KEPT) {
        box->earlier = e->body.fish_kept;
    } else if (e->kind == KIND_REPORT_KEPT && box->due_count < BOX_DUE_MAX) {
        box->due[box->due_count++] = (struct box_due){.kept = e->body.report_kept};
    } else if (e->kind == KIND_CLOCK) {
        box->utc_offset_ms = e->body.clock.utc_offset_ms;
    }
}

void box_take(struct box *box, const struct entry *e)
{
    if (e->kind == KIND_TRIP_STARTED) {
        int64_t utc_offset_ms = box->utc_offset_ms;
        box_reset(box);
        box->utc_offset_ms = utc_offset_ms;
        aboard(box, e->body.trip_started.persons, e->body.trip_started.paying, e->body.trip_started.use);
    } else if (e->kind == KIND_TRIP_PHASE || e->kind == KIND_TRIP_ENDED) {
        phase(box, e);
    } else if (e->kind == KIND_FIGHT_ENDED) {
        fight_over(box, e);
    } else if (e->kind == KIND_FISH_TOLD) {
        told(box, e);
    } else if (e->kind == KIND_FISH_ICED) {
        struct box_fish *fish = find_or_add(box, e->body.fish_iced.fish, e);
        fish->iced_ms = fish->iced_ms == 0 ? e->at_ms : fish->iced_ms;
    } else if (e->kind == KIND_FIGHT_CONDITION) {
        find_or_add(box, e->body.fight_condition.fight, e)->condition = e->body.fight_condition.condition;
    } else if (e->kind == KIND_ABOARD) {
        aboard(box, e->body.aboard.persons, e->body.aboard.paying, e->body.aboard.use);
    } else if (e->kind == KIND_REPORT_TOLD) {
        reported(box, &e->body.report_told);
    } else if (e->kind == KIND_HURT || e->kind == KIND_HURT_TOLD) {
        hurt(box, e);
    } else {
        server_said(box, e);
    }
}

static enum fish_fate fate_of(const struct box_fish *fish)
{
    if (fish->fate != FISH_FATE_NOT_SAID || !fish->fought)
        return fish->fate;
    if (fish->end == FIGHT_END_BOATED)
        return FISH_FATE_KEPT;
    return fish->end == FIGHT_END_RELEASED ? FISH_FATE_RELEASED : FISH_FATE_NOT_SAID;
}

/* A fish that was lost is listed only where something was told of it. */
void box_settle(struct box *box)
{
    int32_t count = 0;
    for (int32_t i = 0; i < box->count; i++) {
        struct box_fish fish = box->fish[i];
        fish.fate = fate_of(&fish);
        if ((fish.fought || fish.own) && (fish.fate != FISH_FATE_NOT_SAID || fish.told))
            box->fish[count++] = fish;
    }
    box->count = count;
}

void box_gather(struct box *box, const struct journal *journal, const int32_t *order)
{
    struct entry e;
    box_reset(box);
    for (int32_t i = 0; i < journal->count; i++) {
        if (wants(journal_row(journal, order[i])->kind) && journal_stands(journal, order[i], &e))
            box_take(box, &e);
    }
    box_settle(box);
}

bool box_kept(const struct box_fish *fish)
{
    return fish->fate == FISH_FATE_KEPT;
}

static bool by_year(const struct box *box, const char *code)
{
    for (int32_t i = 0; i < box->rules.rows_count; i++) {
        const struct rule_row *row = &box->rules.rows[i];
        if (row->over == LIMIT_OVER_YEAR && rules_among(row->codes, row->codes_count, code))
            return true;
    }
    return false;
}

/* A day of the calendar is over two days later wherever the boat is; a year after 366. */
static void hand_on(const struct box *box, int64_t now_ms, struct kept_fish fish, struct body_fish_kept *out)
{
    int64_t age_ms = now_ms - fish.at_ms;
    if (age_ms >= (by_year(box, fish.code) ? 366 * DAY_MS : 2 * DAY_MS))
        return;
    if (out->fish_count < BOX_EARLIER_MAX)
        out->fish[out->fish_count++] = fish;
    else
        out->more++;
}

void box_hand_on(const struct box *box, int64_t now_ms, struct body_fish_kept *out)
{
    memset(out, 0, sizeof *out);
    for (int32_t i = box->count; i > 0; i--) {
        const struct box_fish *fish = &box->fish[i - 1];
        struct kept_fish kept = {.at_ms = fish->at_ms, .length_um = (int32_t)fish->length_um, .measure = fish->measure};
        memcpy(kept.code, fish->code, sizeof kept.code);
        if (box_kept(fish) && fish->code[0] != '\0')
            hand_on(box, now_ms, kept, out);
    }
    int32_t own = out->fish_count;
    for (int32_t i = 0; i < box->earlier.fish_count; i++)
        hand_on(box, now_ms, box->earlier.fish[i], out);
    if (out->fish_count > own) /* those without room are older than these */
        out->more += box->earlier.more;
}
