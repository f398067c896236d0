#include "debrief/times.h"

#include <stdio.h>
#include <stdlib.h>

#include "debrief/effort.h"
#include "debrief/index.h"
#include "debrief/words.h"

const char *times_of_name(enum times_of of)
{
    static const char *const names[] = {
        "call_to_got",
        "got_to_done",
        "call_to_done",
        "strike_to_clear_called",
        "clear_called_to_side_clear",
        "clear_called_to_done",
        "clear_called_to_all_clear",
        "line_in",
        "strike_to_on",
        "strike_to_leader",
        "leader_to_end",
        "fight",
        "bait_age_at_bite",
        "boated_to_ice",
        "out_of_water",
        "check",
    };
    return names[of];
}

struct pool {
    struct debrief *debrief;
    struct key_index index[TIMES_COUNT];
    int32_t tapped, by_eye, port, starboard;
    int32_t what[CALL_WHAT_COUNT_], to[STATION_COUNT_];
};

static void add_to(struct pool *pool, enum times_of of, int32_t group, double seconds)
{
    struct debrief *d = pool->debrief;
    int32_t *at = index_at(&pool->index[of], group);
    if (*at == 0) {
        *GROW(d->times) = (struct times_group){.of = of, .group = group};
        *at = d->times.count;
    }
    *GROW(d->times.items[*at - 1].seconds) = seconds;
}

/* To the group and to all. What is told as before its cause is no duration. */
static void add(struct pool *pool, enum times_of of, int32_t group, int64_t from_ms, int64_t to_ms)
{
    if (from_ms == NEVER || to_ms == NEVER || to_ms < from_ms)
        return;
    double seconds = (double)(to_ms - from_ms) / 1000;
    add_to(pool, of, 0, seconds);
    if (group != 0)
        add_to(pool, of, group, seconds);
}

static void add_call(struct pool *pool, const struct call_fact *call, enum times_of of, int64_t from_ms, int64_t to_ms)
{
    if (from_ms == NEVER || to_ms == NEVER || to_ms < from_ms)
        return;
    add(pool, of, pool->what[call->what], from_ms, to_ms);
    if (call->to != STATION_NONE)
        add_to(pool, of, pool->to[call->to], (double)(to_ms - from_ms) / 1000);
}

static void add_calls(struct pool *pool, const struct facts *f)
{
    for (int32_t i = 0; i < f->calls.count; i++) {
        const struct call_fact *call = &f->calls.items[i];
        if (call->late)
            continue;
        add_call(pool, call, TIMES_CALL_TO_GOT, call->called_ms, call->got_ms);
        add_call(pool, call, TIMES_GOT_TO_DONE, call->got_ms, call->done_ms);
        add_call(pool, call, TIMES_CALL_TO_DONE, call->called_ms, call->done_ms);
    }
}

static void add_clearings(struct pool *pool, const struct facts *f)
{
    for (int32_t i = 0; i < f->clearings.count; i++) {
        const struct clearing_fact *clearing = &f->clearings.items[i];
        int64_t called_ms = clearing->called_ms;
        add(pool, TIMES_STRIKE_TO_CLEAR_CALLED, 0, clearing->strike_ms, called_ms);
        add(pool, TIMES_CLEAR_CALLED_TO_SIDE_CLEAR, pool->port, called_ms, clearing->port_ms);
        add(pool, TIMES_CLEAR_CALLED_TO_SIDE_CLEAR, pool->starboard, called_ms, clearing->starboard_ms);
        add(pool, TIMES_CLEAR_CALLED_TO_DONE, 0, called_ms, clearing->done_ms);
        add(pool, TIMES_CLEAR_CALLED_TO_ALL_CLEAR, 0, called_ms, clearing->all_ms);
        for (int32_t k = 0; k < clearing->line_count; k++) {
            const struct cleared_line *line = &clearing->lines[k];
            add(pool, TIMES_LINE_IN, line->eye ? pool->by_eye : pool->tapped, called_ms, line->in_ms);
        }
    }
}

static void add_fights(struct pool *pool, const struct facts *f)
{
    for (int32_t i = 0; i < f->fights.count; i++) {
        const struct fight_fact *fight = &f->fights.items[i];
        const struct strike_fact *strike = &f->strikes.items[fight->strike];
        if (!effort_chosen(pool->debrief, strike->label, strike->bait))
            continue;
        add(pool, TIMES_STRIKE_TO_ON, 0, fight->strike_ms, fight->on_ms);
        add(pool, TIMES_STRIKE_TO_LEADER, 0, fight->strike_ms, fight->leader_ms);
        add(pool, TIMES_LEADER_TO_END, 0, fight->leader_ms, fight->ended_ms);
        add(pool, TIMES_FIGHT, 0, fight->on_ms, fight->ended_ms);
    }
}

static void add_baits(struct pool *pool, const struct facts *f)
{
    for (int32_t i = 0; i < f->strikes.count; i++) {
        const struct strike_fact *strike = &f->strikes.items[i];
        if (strike->bait_age_ms != NEVER && effort_chosen(pool->debrief, strike->label, strike->bait))
            add_to(pool, TIMES_BAIT_AGE_AT_BITE, 0, (double)strike->bait_age_ms / 1000);
    }
}

static void add_fish(struct pool *pool, const struct facts *f)
{
    for (int32_t i = 0; i < f->box.count; i++) {
        const struct box_fish *fish = &f->box.fish[i];
        if (fish->iced_ms > 0 && box_kept(fish))
            add(pool, TIMES_BOATED_TO_ICE, 0, fish->at_ms, fish->iced_ms);
        if (fish->out_of_water_s > 0)
            add_to(pool, TIMES_OUT_OF_WATER, 0, fish->out_of_water_s);
    }
}

static void add_checks(struct pool *pool, const struct facts *f)
{
    for (int32_t i = 0; i < f->checks.count; i++) {
        const struct check_fact *check = &f->checks.items[i];
        if (check->state == CHECK_STATE_DONE)
            add(pool, TIMES_CHECK, check->name, check->opened_ms, check->ended_ms);
    }
}

static void pool_open(struct pool *pool, struct debrief *d)
{
    char words[64], to[72];
    *pool = (struct pool){.debrief = d};
    pool->tapped = texts_number(&d->texts, "tapped");
    pool->by_eye = texts_number(&d->texts, "by eye");
    pool->port = texts_number(&d->texts, "port");
    pool->starboard = texts_number(&d->texts, "starboard");
    for (int32_t i = 0; i < CALL_WHAT_COUNT_; i++) {
        words_say(call_what_name((enum call_what)i), words, sizeof words);
        pool->what[i] = texts_number(&d->texts, words);
    }
    for (int32_t i = 0; i < STATION_COUNT_; i++) {
        (void)snprintf(to, sizeof to, "to %s", station_name((enum station)i));
        pool->to[i] = texts_number(&d->texts, to);
    }
    for (int32_t of = 0; of < TIMES_COUNT; of++) {
        *GROW(d->times) = (struct times_group){.of = (enum times_of)of};
        *index_at(&pool->index[of], 0) = d->times.count;
    }
}

static int by_size(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

static int by_group(const void *left, const void *right)
{
    const struct times_group *a = left, *b = right;
    if (a->of != b->of)
        return a->of < b->of ? -1 : 1;
    return (a->group > b->group) - (a->group < b->group);
}

void times_pool(struct debrief *d)
{
    struct pool pool;
    pool_open(&pool, d);
    for (int32_t i = 0; i < d->trips.count; i++) {
        add_calls(&pool, d->trips.items[i]);
        add_clearings(&pool, d->trips.items[i]);
        add_fights(&pool, d->trips.items[i]);
        add_baits(&pool, d->trips.items[i]);
        add_checks(&pool, d->trips.items[i]);
        add_fish(&pool, d->trips.items[i]);
    }
    for (int32_t of = 0; of < TIMES_COUNT; of++)
        index_release(&pool.index[of]);
    qsort(d->times.items, (size_t)d->times.count, sizeof *d->times.items, by_group);
    for (int32_t i = 0; i < d->times.count; i++) {
        struct times_group *group = &d->times.items[i];
        if (group->seconds.count > 1)
            qsort(group->seconds.items, (size_t)group->seconds.count, sizeof(double), by_size);
    }
}

static void push(struct seconds *list, int64_t from_ms, int64_t to_ms)
{
    if (from_ms != NEVER && to_ms != NEVER && to_ms >= from_ms)
        *GROW(*list) = (double)(to_ms - from_ms) / 1000;
}

void times_trend(const struct facts *f, struct seconds *clear, struct seconds *got)
{
    for (int32_t i = 0; i < f->clearings.count; i++)
        push(clear, f->clearings.items[i].called_ms, f->clearings.items[i].done_ms);
    for (int32_t i = 0; i < f->calls.count; i++) {
        if (!f->calls.items[i].late)
            push(got, f->calls.items[i].called_ms, f->calls.items[i].got_ms);
    }
}

double times_median(struct seconds *list)
{
    if (list->count == 0)
        return (double)NEVER;
    qsort(list->items, (size_t)list->count, sizeof *list->items, by_size);
    return rates_quantile(list->items, list->count, 0.5);
}
