#include "debrief/standing.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "debrief/rules.h"
#include "debrief/weights.h"

#define DAY_MS INT64_C(86400000)

/* 50 CFR 635.21(a)(1) and (2), paraphrased. */
const char standing_release_caution[] = "A billfish to be released stays in the water (50 CFR 635.21(a)).";

void sayings_add(struct sayings *sayings, const char *format, ...)
{
    va_list args;
    if (sayings->count == STANDING_SAYINGS)
        return;
    va_start(args, format);
    (void)vsnprintf(sayings->words[sayings->count++], STANDING_WORDS, format, args);
    va_end(args);
}

int64_t standing_day(const struct box *box, const struct standing_when *when, int64_t at_ms)
{
    int64_t local_ms = at_ms + box->utc_offset_ms + (int64_t)when->zone_min * 60000;
    return box->utc_offset_ms == 0 || local_ms < 0 ? -1 : local_ms / DAY_MS;
}

static bool row_is_for(const struct rule_row *row, enum trip_use use)
{
    if (row->uses_count == 0 || use == TRIP_USE_NOT_SAID)
        return true;
    for (int32_t i = 0; i < row->uses_count; i++)
        if (row->uses[i] == use)
            return true;
    return false;
}

static const struct rule_size *size_of(const struct rule_row *row, enum measure measure)
{
    for (int32_t i = 0; i < row->sizes_count; i++)
        if (row->sizes[i].measure == measure)
            return &row->sizes[i];
    return NULL;
}

/* Is there a row for the smaller ones, which ends where this one begins? Then a fish below this row's least is that one's. */
static bool has_lower(const struct box *box, const struct rule_row *row, const char *code, const struct rule_size *size)
{
    for (int32_t i = 0; i < box->rules.rows_count; i++) {
        const struct rule_row *other = &box->rules.rows[i];
        const struct rule_size *below = size_of(other, size->measure);
        bool lower = other != row && below && below->below_tenths != 0 && below->below_tenths == size->least_tenths;
        if (lower && row_is_for(other, box->use) && rules_among(other->codes, other->codes_count, code))
            return true;
    }
    return false;
}

/* A fish that was not measured, or not in this row's way, is counted among the smaller ones. */
static bool row_counts(const struct box *box, const struct rule_row *row, const char *code, int64_t length_um,
                       enum measure measure)
{
    if (!rules_among(row->codes, row->codes_count, code))
        return false;
    const struct rule_size *size = length_um > 0 ? size_of(row, measure) : NULL;
    if (!size)
        return row->sizes_count == 0 || !has_lower(box, row, code, &row->sizes[0]);
    if (size->below_tenths != 0 && !rules_below(length_um, size->below_tenths, size->unit))
        return false;
    return !(rules_below(length_um, size->least_tenths, size->unit) && has_lower(box, row, code, size));
}

static bool is_now(const struct box *box, const struct standing_when *when, enum limit_over over, int64_t at_ms,
                   bool this_trip)
{
    int64_t today = standing_day(box, when, when->now_ms), day = standing_day(box, when, at_ms);
    bool same_day = today >= 0 && today == day;
    switch (over) {
    case LIMIT_OVER_TRIP: return this_trip;
    case LIMIT_OVER_DAY: return today < 0 ? this_trip : same_day;
    case LIMIT_OVER_ABOARD: return this_trip || same_day;
    case LIMIT_OVER_YEAR:
        return this_trip ? today < 0 || rules_year(today) == rules_year(day)
                         : today >= 0 && day >= 0 && rules_year(today) == rules_year(day);
    case LIMIT_OVER_COUNT_: break;
    }
    return this_trip;
}

/* Kept fish of a row: those that count now, how many of them nobody measured in its way, and those of this trip that are of another
 * day or year. */
struct tally {
    int32_t logged, unmeasured, other;
};

static struct tally tally_of(const struct box *box, const struct rule_row *row, const struct standing_when *when)
{
    struct tally tally = {0};
    for (int32_t i = 0; i < box->count; i++) {
        const struct box_fish *fish = &box->fish[i];
        if (!box_kept(fish) || !row_counts(box, row, fish->code, fish->length_um, fish->measure))
            continue;
        if (!is_now(box, when, row->over, fish->at_ms, true)) {
            tally.other++;
            continue;
        }
        tally.logged++;
        tally.unmeasured += row->sizes_count > 0 && (fish->length_um == 0 || !size_of(row, fish->measure)) ? 1 : 0;
    }
    for (int32_t i = 0; i < box->earlier.fish_count; i++) {
        const struct kept_fish *fish = &box->earlier.fish[i];
        if (row_counts(box, row, fish->code, fish->length_um, fish->measure) &&
            is_now(box, when, row->over, fish->at_ms, false))
            tally.logged++;
    }
    return tally;
}

static const char *over_words(enum limit_over over)
{
    switch (over) {
    case LIMIT_OVER_TRIP: return "a trip";
    case LIMIT_OVER_DAY: return "a day";
    case LIMIT_OVER_ABOARD: return "a day, and no more aboard however long the trip";
    case LIMIT_OVER_YEAR: return "a year of the calendar";
    case LIMIT_OVER_COUNT_: break;
    }
    return "";
}

static const char *use_words(enum trip_use use)
{
    switch (use) {
    case TRIP_USE_NOT_SAID: return "";
    case TRIP_USE_PRIVATE: return "private";
    case TRIP_USE_CHARTER: return "charter";
    case TRIP_USE_HEADBOAT: return "headboat";
    case TRIP_USE_COUNT_: break;
    }
    return "";
}

/* A row that is not for every trip says for which, until somebody has told which this one is. */
static void for_which(const struct rule_row *row, char out[64])
{
    size_t len = 0;
    out[0] = '\0';
    for (int32_t i = 0; i < row->uses_count && len < 48; i++)
        len += (size_t)snprintf(out + len, 64 - len, "%s%s", i == 0 ? "if " : " or ", use_words(row->uses[i]));
    if (len > 0)
        (void)snprintf(out + len, 64 - len, ": ");
}

static void limit_by_heads(const struct box *box, const struct rule_row *row, struct standing *out, const char *which)
{
    bool paying = row->head == LIMIT_HEAD_PAYING;
    int32_t heads = paying ? box->paying : box->persons;
    const char *head = paying ? "paying passenger" : "person";
    char cap[40] = "", aboard[40];
    if (row->per_vessel != 0)
        (void)snprintf(cap, sizeof cap, ", at most %d for the vessel", (int)row->per_vessel);
    if (heads == 0)
        (void)snprintf(aboard, sizeof aboard, "not told how many");
    else
        (void)snprintf(aboard, sizeof aboard, "%d %s", (int)heads, paying ? "pay" : "aboard");
    (void)snprintf(out->basis, sizeof out->basis, "%s%d a %s, %s%s; %s", which, (int)row->per_head, head, aboard, cap,
                   over_words(row->over));
    if (heads == 0)
        return;
    out->limit = row->per_head * heads;
    if (row->per_vessel != 0 && out->limit > row->per_vessel)
        out->limit = row->per_vessel;
}

static void limit_of(const struct box *box, const struct rule_row *row, struct standing *out)
{
    char which[64] = "";
    out->limit = STANDING_NONE;
    bool open = row->uses_count > 0 && box->use == TRIP_USE_NOT_SAID;
    if (open)
        for_which(row, which);
    if (row->no_retention)
        (void)snprintf(out->basis, sizeof out->basis, "%sno retention", which);
    else if (row->per_head != 0)
        limit_by_heads(box, row, out, which);
    else if (row->per_vessel != 0) {
        (void)snprintf(out->basis, sizeof out->basis, "%s%d for the vessel; %s", which, (int)row->per_vessel,
                       over_words(row->over));
        out->limit = row->per_vessel;
    } else
        (void)snprintf(out->basis, sizeof out->basis, "%sno number is stated", which);
    if (open)
        out->limit = STANDING_NONE;
    out->left = out->limit == STANDING_NONE ? 0 : out->limit - out->logged;
}

static void sizes_in_words(const struct rule_row *row, char out[STANDING_WORDS])
{
    size_t len = 0;
    out[0] = '\0';
    for (int32_t i = 0; i < row->sizes_count && len < STANDING_WORDS; i++) {
        const struct rule_size *size = &row->sizes[i];
        char least[24], below[24];
        rules_size_words(size->least_tenths, size->unit, least);
        rules_size_words(size->below_tenths, size->unit, below);
        bool from = size->least_tenths != 0, to = size->below_tenths != 0;
        len +=
            (size_t)snprintf(out + len, STANDING_WORDS - len, "%s%s%s%s%s, %s", i == 0 ? "" : "; ", from ? least : "",
                             from && to ? " to under "
                             : to       ? "under "
                                        : "",
                             to ? below : "", "", rules_measure_words(size->measure));
    }
}

static int32_t kept_among(const struct box *box, const char codes[][4], int32_t count, const char **first)
{
    int32_t kept = 0;
    for (int32_t i = 0; i < box->count; i++) {
        if (!box_kept(&box->fish[i]) || !rules_among(codes, count, box->fish[i].code))
            continue;
        if (kept++ == 0)
            *first = box->fish[i].code;
    }
    return kept;
}

static bool rows_meet(const struct rule_row *row, const char codes[][4], int32_t count)
{
    for (int32_t i = 0; i < row->codes_count; i++)
        if (rules_among(codes, count, row->codes[i]))
            return true;
    return false;
}

/* Either way round: what is aboard already speaks against the other. */
static void bans_said(const struct box *box, const struct rule_row *row, struct sayings *sayings)
{
    for (int32_t i = 0; i < box->rules.bans_count; i++) {
        const struct rule_ban *ban = &box->rules.bans[i];
        const char *first = "";
        bool here =
            rows_meet(row, ban->codes, ban->codes_count) && kept_among(box, ban->others, ban->others_count, &first) > 0;
        bool there = !here && rows_meet(row, ban->others, ban->others_count) &&
                     kept_among(box, ban->codes, ban->codes_count, &first) > 0;
        if (here || there)
            sayings_add(sayings, "not aboard together with %s, which is logged as kept (%s)",
                        rules_name(&box->rules, first), ban->citation);
    }
}

static void row_sayings(const struct box *box, const struct rule_row *row, const struct standing_when *when,
                        const struct tally *tally, struct sayings *sayings)
{
    if (row->from_memory)
        sayings_add(sayings, "from memory: check");
    if (row->note[0] != '\0')
        sayings_add(sayings, "%s", row->note);
    if (tally->unmeasured > 0)
        sayings_add(sayings, "%d not measured so", (int)tally->unmeasured);
    if (tally->other > 0)
        sayings_add(sayings, "%d more kept earlier in this trip, on %s: not counted here", (int)tally->other,
                    row->over == LIMIT_OVER_YEAR ? "a day of another year" : "another day");
    bans_said(box, row, sayings);
    bool by_clock = row->over == LIMIT_OVER_DAY || row->over == LIMIT_OVER_YEAR;
    if (by_clock && standing_day(box, when, when->now_ms) < 0)
        sayings_add(sayings, "the clock was never set: this trip alone is counted");
    if (box->earlier.more > 0 && row->over != LIMIT_OVER_TRIP)
        sayings_add(sayings, "%d more fish of earlier trips are not counted here", (int)box->earlier.more);
}

int32_t standing_of(const struct box *box, const struct standing_when *when, struct standing *out)
{
    int32_t count = 0;
    for (int32_t i = 0; box->has_rules && i < box->rules.rows_count; i++) {
        const struct rule_row *row = &box->rules.rows[i];
        struct standing *one = &out[count];
        if (!row_is_for(row, box->use))
            continue;
        struct tally tally = tally_of(box, row, when);
        memset(one, 0, sizeof *one);
        one->row = row;
        one->logged = tally.logged;
        one->other = tally.other;
        limit_of(box, row, one);
        sizes_in_words(row, one->min_words);
        row_sayings(box, row, when, &tally, &one->sayings);
        count++;
    }
    return count;
}

static bool billfish(const char *code)
{
    static const char CODES[][4] = {"BUM", "WHM", "SAI", "RSP", "SPF"};
    return rules_among(CODES, (int32_t)(sizeof CODES / sizeof CODES[0]), code);
}

static void size_said(const struct box *box, const struct box_fish *fish, struct sayings *sayings)
{
    for (int32_t i = 0; i < box->rules.rows_count; i++) {
        const struct rule_row *row = &box->rules.rows[i];
        const struct rule_size *size = size_of(row, fish->measure);
        char least[24];
        if (!row_is_for(row, box->use) || !row_counts(box, row, fish->code, fish->length_um, fish->measure) || !size)
            continue;
        rules_size_words(size->least_tenths, size->unit, least);
        if (size->least_tenths == 0 || !rules_below(fish->length_um, size->least_tenths, size->unit))
            continue;
        sayings_add(sayings, "shorter than %s (%s)", least, row->citation);
        return; /* said once, whatever the trip is */
    }
}

static void class_said(const struct box *box, const struct box_fish *fish, struct sayings *sayings)
{
    const struct rule_class *found = NULL;
    for (int32_t i = 0; i < box->rules.classes_count; i++) {
        const struct rule_class *one = &box->rules.classes[i];
        if (strcmp(one->code, fish->code) == 0 && one->measure == fish->measure &&
            !rules_below(fish->length_um, one->from_tenths, one->unit))
            found = one;
    }
    if (found)
        sayings_add(sayings, "size class: %s", found->name);
}

static void retention_said(const struct box *box, const struct box_fish *fish, struct sayings *sayings)
{
    for (int32_t i = 0; i < box->rules.rows_count; i++) {
        const struct rule_row *row = &box->rules.rows[i];
        if (row->no_retention && row_is_for(row, box->use) && rules_among(row->codes, row->codes_count, fish->code)) {
            sayings_add(sayings, "no retention of %s (%s)", rules_name(&box->rules, fish->code), row->citation);
            return;
        }
    }
}

void standing_sayings(const struct box *box, const struct box_fish *fish, struct sayings *sayings)
{
    struct weight_estimate estimate;
    sayings->count = 0;
    if (fish->code[0] == '\0' && box_kept(fish))
        sayings_add(sayings, "species not told: counted in no row");
    if (box->has_rules && box_kept(fish))
        retention_said(box, fish, sayings);
    if (box->has_rules && fish->length_um > 0) {
        size_said(box, fish, sayings);
        class_said(box, fish, sayings);
    }
    weight_estimate(fish->code, fish->length_um, fish->measure, fish->girth_um, &estimate);
    if (estimate.check_species || weight_asks_species(fish->code, fish->weight_g))
        sayings_add(sayings, "heavy for a white marlin: check the species");
    if (fish->fate == FISH_FATE_RELEASED && (billfish(fish->code) || fish->code[0] == '\0'))
        sayings_add(sayings, "%s", standing_release_caution);
    if (fish->fate != FISH_FATE_KEPT && fish->out_of_water_s > 0)
        sayings_add(sayings, "was out of the water for %d s", (int)fish->out_of_water_s);
}

void standing_caution(const struct rule_set *set, const struct box *box, const struct standing_when *when,
                      char out[STANDING_WORDS])
{
    int64_t today = standing_day(box, when, when->now_ms);
    const char *to = set->valid_to[0] != '\0' ? set->valid_to : "an open end";
    if (today >= 0 && !rules_hold(set, today))
        (void)snprintf(out, STANDING_WORDS,
                       "Check the current rule. Today is outside the days of this rule set, %s to %s.", set->valid_from,
                       to);
    else
        (void)snprintf(out, STANDING_WORDS, "Check the current rule.%s",
                       today < 0 ? " The clock was never set: its days were not looked at." : "");
}

int32_t standing_untold(const struct box *box)
{
    int32_t count = 0;
    for (int32_t i = 0; i < box->count; i++)
        count += box_kept(&box->fish[i]) && box->fish[i].code[0] == '\0' ? 1 : 0;
    return count;
}
