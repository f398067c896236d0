#include "debrief/json.h"

#include <inttypes.h>
#include <stdio.h>

#include "debrief/effort.h"
#include "debrief/json_rows.h"

static void filter(const struct debrief *d, struct out *o)
{
    const struct debrief_choice *choice = &d->choice;
    out_object(o, "filter");
    if (choice->trip_from != 0)
        out_int(o, "trip_from", choice->trip_from);
    if (choice->trip_to != 0 && choice->trip_to != INT32_MAX)
        out_int(o, "trip_to", choice->trip_to);
    if (choice->months != 0) {
        out_list(o, "months");
        for (int32_t month = 1; month <= 12; month++) {
            if (choice->months >> month & 1)
                out_int(o, NULL, month);
        }
        out_end(o, ']');
    }
    if (choice->bait != NULL && choice->bait[0])
        out_string(o, "bait", choice->bait);
    if (choice->position != NULL && choice->position[0])
        out_string(o, "position", choice->position);
    if (choice->zone_min != 0)
        out_int(o, "zone_min", choice->zone_min);
    out_end(o, '}');
}

static void counts(const struct debrief *d, struct out *o)
{
    const struct debrief_counts *c = &d->counts;
    out_object(o, "counts");
    out_int(o, "raises", c->raises);
    out_int(o, "raises_bit", c->raises_bit);
    out_int(o, "touches", c->touches);
    out_int(o, "bites", c->bites);
    out_int(o, "bites_blind", c->bites_blind);
    out_int(o, "hooked", c->hooked);
    out_int(o, "caught", c->caught);
    out_int(o, "boated", c->boated);
    out_int(o, "released", c->released);
    out_int(o, "released_leader", c->released_leader);
    out_int(o, "pulled", c->pulled);
    out_int(o, "broke_off", c->broke_off);
    out_int(o, "bitten_off", c->bitten_off);
    out_int(o, "knockdowns", c->knockdowns);
    out_int(o, "gone", c->gone);
    out_int(o, "ends_not_known", c->ends_not_known);
    out_int(o, "fights_open", c->fights_open);
    out_int(o, "fights_not_known", c->fights_not_known);
    out_end(o, '}');
}

/* ---- rates ---- */

static void limits(struct out *o, const char *name, struct limits limits)
{
    out_object(o, name);
    out_number(o, "lo", limits.lo);
    out_number(o, "hi", limits.hi);
    out_end(o, '}');
}

static struct limits per_10h(int32_t bites, double level, int64_t line_ms)
{
    struct limits counted = rates_counts(bites, level);
    return (struct limits){.lo = effort_per_10h(counted.lo, line_ms), .hi = effort_per_10h(counted.hi, line_ms)};
}

static void rate(struct out *o, int32_t bites, int64_t line_ms)
{
    out_object(o, "rate");
    out_number(o, "per_10h", effort_per_10h(bites, line_ms));
    limits(o, "half", per_10h(bites, 0.5, line_ms));
    limits(o, "most", per_10h(bites, 0.95, line_ms));
    out_end(o, '}');
}

static const char *few_name(int32_t bites)
{
    static const char *const names[] = {"none", "dots", "few", "enough"};
    return names[effort_few(bites)];
}

static void effort(const struct debrief *d, struct out *o)
{
    out_list(o, "effort");
    for (int32_t i = 0; i < d->effort.count; i++) {
        const struct effort_group *group = &d->effort.items[i];
        out_object(o, NULL);
        out_string(o, "by", effort_by_name(group->by));
        out_string(o, "key", texts_get(&d->texts, group->key));
        out_int(o, "line_ms", group->line_ms);
        out_int(o, "not_known_ms", group->not_known_ms);
        out_int(o, "raises", group->raises);
        out_int(o, "bites", group->bites);
        out_int(o, "bites_blind", group->bites_blind);
        out_int(o, "hooked", group->hooked);
        out_int(o, "caught", group->caught);
        out_string(o, "few", few_name(group->bites));
        if (group->bites >= EFFORT_RATE_LEAST && group->line_ms > 0)
            rate(o, group->bites, group->line_ms);
        if (group->bites == 0 && group->line_ms > 0)
            out_number(o, "at_most_per_10h", per_10h(0, 0.95, group->line_ms).hi);
        out_end(o, '}');
    }
    out_end(o, ']');
}

static void compared(const struct debrief *d, struct out *o)
{
    out_list(o, "compared");
    for (int32_t i = 0; i < d->compared.count; i++) {
        const struct difference *difference = &d->compared.items[i];
        out_object(o, NULL);
        out_string(o, "by", effort_by_name(difference->by));
        out_string(o, "a", texts_get(&d->texts, difference->a));
        out_string(o, "b", texts_get(&d->texts, difference->b));
        out_number(o, "per_10h", difference->per_10h);
        limits(o, "most", difference->most);
        out_bool(o, "could_be_same", difference->most.lo <= 0 && difference->most.hi >= 0);
        out_end(o, '}');
    }
    out_end(o, ']');
}

static void ratio(struct out *o, const char *of, int32_t k, int32_t n)
{
    out_object(o, NULL);
    out_string(o, "of", of);
    out_int(o, "k", k);
    out_int(o, "n", n);
    if (n > 0) {
        out_number(o, "part", (double)k / n);
        limits(o, "most", rates_wilson(k, n, 0.95));
    }
    out_end(o, '}');
}

static void ratios(const struct debrief *d, struct out *o)
{
    const struct debrief_counts *c = &d->counts;
    out_list(o, "ratios");
    ratio(o, "bites_of_raises", c->raises_bit, c->raises);
    ratio(o, "hooked_of_bites", c->hooked, c->bites);
    ratio(o, "caught_of_hooked", c->caught, c->hooked);
    ratio(o, "caught_of_bites", c->caught, c->bites);
    out_end(o, ']');
}

static void times(const struct debrief *d, struct out *o)
{
    out_list(o, "times");
    for (int32_t i = 0; i < d->times.count; i++) {
        const struct times_group *group = &d->times.items[i];
        const double *seconds = group->seconds.items;
        int32_t n = group->seconds.count;
        out_object(o, NULL);
        out_string(o, "of", times_of_name(group->of));
        out_string(o, "group", texts_get(&d->texts, group->group));
        out_int(o, "n", n);
        if (n > 0) {
            out_number(o, "min_s", seconds[0]);
            out_number(o, "q25_s", rates_quantile(seconds, n, 0.25));
            out_number(o, "median_s", rates_quantile(seconds, n, 0.5));
            out_number(o, "q75_s", rates_quantile(seconds, n, 0.75));
            out_number(o, "max_s", seconds[n - 1]);
        }
        out_end(o, '}');
    }
    out_end(o, ']');
}

/* ---- many trips ---- */

static void trend_members(struct out *o, const struct trend_row *row)
{
    out_int(o, "line_ms", row->line_ms);
    out_int(o, "bites", row->bites);
    out_int(o, "caught", row->caught);
    if (row->clear_n > 0)
        out_number(o, "clear_median_s", row->clear_median_s);
    out_int(o, "clear_n", row->clear_n);
    if (row->got_n > 0)
        out_number(o, "got_median_s", row->got_median_s);
    out_int(o, "got_n", row->got_n);
    out_int(o, "near_misses", row->near_misses);
}

static void trend(const struct debrief *d, struct out *o)
{
    out_list(o, "trend");
    for (int32_t i = 0; i < d->trend.count; i++) {
        out_object(o, NULL);
        out_int(o, "trip", i);
        trend_members(o, &d->trend.items[i]);
        out_end(o, '}');
    }
    out_end(o, ']');
    if (d->record.trips == 0)
        return;
    out_object(o, "record");
    out_int(o, "trips", d->record.trips);
    trend_members(o, &d->record);
    if (d->record.bites >= EFFORT_RATE_LEAST && d->record.line_ms > 0)
        rate(o, d->record.bites, d->record.line_ms);
    out_end(o, '}');
}

static void learned(const struct debrief *d, struct out *o, const char *name)
{
    out_object(o, name);
    out_int(o, "line_in_ms", d->learned_line_ms);
    out_int(o, "lines", d->learned_lines);
    out_end(o, '}');
}

void json_write(const struct debrief *d, struct out *o)
{
    char log_id[17];
    (void)snprintf(log_id, sizeof log_id, "%016" PRIx64, d->choice.log_id);
    out_object(o, NULL);
    out_int(o, "version", 1);
    out_string(o, "made_by", d->choice.version);
    out_string(o, "log_id", log_id);
    json_trips(d, o);
    filter(d, o);
    counts(d, o);
    json_places(d, o);
    effort(d, o);
    compared(d, o);
    ratios(d, o);
    times(d, o);
    json_rows(d, o);
    trend(d, o);
    learned(d, o, "learned");
    json_cards(d, o);
    out_end(o, '}');
}

void json_learned(const struct debrief *d, struct out *o)
{
    learned(d, o, NULL);
}
