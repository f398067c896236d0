/* See tables.h. A table is its columns, a function that writes its rows, and a line in the list at the end. */
#include "debrief/tables.h"

#include "debrief/effort.h"

#define COUNT_OF(array) ((int32_t)(sizeof(array) / sizeof(array)[0]))

static const struct column trips_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"no", "the boat's own number of the trip"},
    {"name", "what the crew calls boat or trip"},
    {"started_ms", "start; log time, ms"},
    {"started", "start; time of day"},
    {"ended_ms", "end, or the last entry while it is open; log time, ms"},
    {"ended", "end, or the last entry while it is open; time of day"},
    {"open", "1: its end was never tapped"},
    {"entries", "rows of the log"},
    {"voided", "taken back"},
    {"moot", "taps that no longer applied"},
    {"refused", "rows that were refused"},
    {"late", "taps that came over 10 s after they were made"},
    {"persons", "aboard, crew among them; 0: not said"},
    {"paying", "of them, paying; 0: not said"},
    {"clock_estimated", "1: a part of its times is an estimate"},
};

static void trips_of(struct row *row, const struct facts *f, int32_t trip)
{
    row_begin(row);
    cell_int(row, trip);
    cell_int(row, f->no);
    cell_text(row, f->name);
    cell_ms(row, f->started_ms);
    cell_when(row, f->started_ms);
    cell_ms(row, f->ended_ms);
    cell_when(row, f->ended_ms);
    cell_bool(row, f->open);
    cell_int(row, f->entries);
    cell_int(row, f->voided);
    cell_int(row, f->moot);
    cell_int(row, f->refused);
    cell_int(row, f->late);
    cell_int(row, f->persons_aboard);
    cell_int(row, f->paying);
    cell_bool(row, f->clock_estimated);
    row_end(row);
}

static void trips_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, trips_of);
}

static const struct column positions_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"line", "number of the place of the spread; 0: not named"},
    {"name", "the boat's own name"},
    {"side", "port, starboard or centre"},
    {"gear", "line, teaser, dredge or float"},
    {"label", "side and name, the same over trips"},
};

static void positions_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->spots.count; i++) {
        const struct spot *spot = &f->spots.items[i];
        row_begin(row);
        cell_int(row, trip);
        cell_int(row, spot->id);
        cell_text(row, spot->name);
        cell_word(row, side_name(spot->side));
        cell_word(row, gear_name(spot->gear));
        cell_text(row, spot->label);
        row_end(row);
    }
}

static void positions_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, positions_of);
}

static const struct column hands_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"hand", "number of the hand in its trip"},
    {"name", "empty where names are left out"},
    {"station", "where the hand works"},
};

static void hands_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->persons.count; i++) {
        const struct person *person = &f->persons.items[i];
        row_begin(row);
        cell_int(row, trip);
        cell_int(row, person->id);
        cell_person(row, person->name);
        cell_word(row, station_name(person->station));
        row_end(row);
    }
}

static void hands_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, hands_of);
}

static const struct column effort_columns[] = {
    {"by", "what the group is of: all, position, bait, side, phase, hour, day, light"},
    {"key", "which one"},
    {"line_ms", "time that lines and floats were out for sure, ms"},
    {"line_hours", "the same in hours"},
    {"not_known_ms", "time in which it is not known whether they were, ms; in no rate"},
    {"raises", "fish raised"},
    {"bites", "strikes"},
    {"bites_blind", "of them, with no raise up"},
    {"hooked", "came tight"},
    {"caught", "boated or released"},
    {"per_10h", "bites in 10 line-hours; only from 5 bites on"},
    {"half_lo", "50 % limits (exact Poisson, Garwood 1936)"},
    {"half_hi", "50 % limits"},
    {"most_lo", "95 % limits; with no bite 0"},
    {"most_hi", "95 % limits; with no bite at most so many"},
};

static void effort_limits(struct row *row, const struct effort_group *group, double level)
{
    struct limits limits = rates_counts(group->bites, level);
    cell_number(row, effort_per_10h(limits.lo, group->line_ms));
    cell_number(row, effort_per_10h(limits.hi, group->line_ms));
}

static void cells_none(struct row *row, int32_t count)
{
    while (count-- > 0)
        cell_none(row);
}

static void effort_rate(struct row *row, const struct effort_group *group)
{
    if (group->line_ms > 0 && group->bites >= EFFORT_RATE_LEAST) {
        cell_number(row, effort_per_10h(group->bites, group->line_ms));
        effort_limits(row, group, 0.5);
        effort_limits(row, group, 0.95);
    } else if (group->line_ms > 0 && group->bites == 0) {
        cells_none(row, 3);
        effort_limits(row, group, 0.95);
    } else {
        cells_none(row, 5);
    }
}

static void effort_rows(const struct debrief *d, struct row *row)
{
    for (int32_t i = 0; i < d->effort.count; i++) {
        const struct effort_group *group = &d->effort.items[i];
        row_begin(row);
        cell_word(row, effort_by_name(group->by));
        cell_text(row, group->key);
        cell_int(row, group->line_ms);
        cell_number(row, (double)group->line_ms / 3600000);
        cell_int(row, group->not_known_ms);
        cell_int(row, group->raises);
        cell_int(row, group->bites);
        cell_int(row, group->bites_blind);
        cell_int(row, group->hooked);
        cell_int(row, group->caught);
        effort_rate(row, group);
        row_end(row);
    }
}

static const struct column compared_columns[] = {
    {"by", "position or bait"},
    {"a", "the one"},
    {"b", "the other"},
    {"per_10h", "a minus b, bites in 10 line-hours"},
    {"most_lo", "95 % limits (Zou and Donner 2008, of Garwood's)"},
    {"most_hi", "95 % limits"},
    {"could_be_same", "1: 0 lies within"},
};

static void compared_rows(const struct debrief *d, struct row *row)
{
    for (int32_t i = 0; i < d->compared.count; i++) {
        const struct difference *difference = &d->compared.items[i];
        row_begin(row);
        cell_word(row, effort_by_name(difference->by));
        cell_text(row, difference->a);
        cell_text(row, difference->b);
        cell_number(row, difference->per_10h);
        cell_number(row, difference->most.lo);
        cell_number(row, difference->most.hi);
        cell_bool(row, difference->most.lo <= 0 && difference->most.hi >= 0);
        row_end(row);
    }
}

static const struct column times_columns[] = {
    {"of", "from what to what"}, {"grouped", "kind of call, station, list, how it was told; empty: all"},
    {"n", "how many"},           {"min_s", "shortest"},
    {"q25_s", "lower quartile"}, {"median_s", "median"},
    {"q75_s", "upper quartile"}, {"max_s", "longest"},
};

static void times_rows(const struct debrief *d, struct row *row)
{
    static const double at[] = {0, 0.25, 0.5, 0.75, 1};
    for (int32_t i = 0; i < d->times.count; i++) {
        const struct times_group *group = &d->times.items[i];
        row_begin(row);
        cell_word(row, times_of_name(group->of));
        cell_text(row, group->group);
        cell_int(row, group->seconds.count);
        for (int32_t k = 0; k < COUNT_OF(at); k++) {
            if (group->seconds.count > 0)
                cell_number(row, rates_quantile(group->seconds.items, group->seconds.count, at[k]));
            else
                cell_none(row);
        }
        row_end(row);
    }
}

static const struct column trend_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"no", "the boat's own number of the trip"},
    {"line_hours", "hours that lines and floats were out for sure"},
    {"bites", "strikes"},
    {"caught", "boated or released"},
    {"clearings", "clearings in which every line came in"},
    {"clear_median_s", "their median, seconds"},
    {"answered", "calls answered"},
    {"got_median_s", "median from call to answer, seconds"},
    {"near_misses", "told"},
};

static void median_cell(struct row *row, int32_t n, double median_s)
{
    cell_int(row, n);
    if (n > 0)
        cell_number(row, median_s);
    else
        cell_none(row);
}

static void trend_rows(const struct debrief *d, struct row *row)
{
    for (int32_t i = 0; i < d->trend.count; i++) {
        const struct trend_row *trend = &d->trend.items[i];
        row_begin(row);
        cell_int(row, i);
        cell_int(row, d->trips.items[i]->no);
        cell_number(row, (double)trend->line_ms / 3600000);
        cell_int(row, trend->bites);
        cell_int(row, trend->caught);
        median_cell(row, trend->clear_n, trend->clear_median_s);
        median_cell(row, trend->got_n, trend->got_median_s);
        cell_int(row, trend->near_misses);
        row_end(row);
    }
}

#define TABLE(name, about)                                                  \
    {                                                                       \
#name, about, name##_columns, COUNT_OF(name##_columns), name##_rows \
    }

static const struct table pooled[] = {
    TABLE(trips, "the trips that this debrief is of"),
    TABLE(positions, "places of the spread, each as it was at any time"),
    TABLE(hands, "who was aboard"),
    TABLE(effort, "line-hours and what came of them, all trips pooled"),
    TABLE(compared, "two positions or baits with 5 bites each: the difference of their rates"),
    TABLE(times, "durations in seconds; quantiles of type 7 (Hyndman and Fan 1996)"),
    TABLE(trend, "one row a trip"),
};

int32_t tables_count(void)
{
    return COUNT_OF(pooled) + tables_facts_count;
}

const struct table *tables_get(int32_t index)
{
    return index < COUNT_OF(pooled) ? &pooled[index] : &tables_facts[index - COUNT_OF(pooled)];
}
