#include "debrief/effort.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "debrief/day.h"
#include "debrief/index.h"
#include "debrief/words.h"

/* Groups of one kind that are compared with one another, those with the most bites: pairs grow with the square. */
enum { COMPARED_MAX = 40 };

#define TEN_HOURS_MS 36000000.0

const char *effort_by_name(enum effort_by by)
{
    static const char *const names[] = {"all", "position", "bait", "side", "phase", "hour", "day", "light"};
    return names[by];
}

enum effort_few effort_few(int32_t bites)
{
    if (bites == 0)
        return EFFORT_NONE;
    if (bites < EFFORT_RATE_LEAST)
        return EFFORT_DOTS;
    return bites < EFFORT_ENOUGH ? EFFORT_FEW : EFFORT_MANY;
}

double effort_per_10h(double bites, int64_t line_ms)
{
    return bites * TEN_HOURS_MS / (double)line_ms;
}

/* ---- groups ---- */

/* What a moment at a place belongs to, in each kind of group. */
struct where {
    int32_t key[EFFORT_BY_COUNT];
    int64_t order[EFFORT_BY_COUNT];
};

struct pool {
    struct debrief *debrief;
    struct key_index index[EFFORT_BY_COUNT];
    int32_t not_known, no_bait, all, side[SIDE_COUNT_], phase[PHASE_COUNT_], hour[24], light[2];
    struct day_clock clock; /* of the trip being pooled */
    int64_t day;            /* the last day that was put into words, and its key */
    int32_t day_key;
    bool day_known;
};

static struct effort_group *group_of(struct pool *pool, enum effort_by by, const struct where *where)
{
    int32_t *at = index_at(&pool->index[by], where->key[by]);
    if (*at == 0) {
        struct effort_group *group = GROW(pool->debrief->effort);
        *group = (struct effort_group){.by = by, .key = where->key[by], .order = where->order[by]};
        *at = pool->debrief->effort.count;
    }
    return &pool->debrief->effort.items[*at - 1];
}

static void set(struct where *where, enum effort_by by, int32_t key, int64_t order)
{
    where->key[by] = key;
    where->order[by] = order;
}

static int32_t said(struct texts *texts, const char *name)
{
    char words[64];
    words_say(name, words, sizeof words);
    return texts_number(texts, words);
}

static void pool_open(struct pool *pool, struct debrief *d)
{
    char text[16];
    memset(pool, 0, sizeof *pool);
    pool->debrief = d;
    pool->all = texts_number(&d->texts, "all");
    pool->not_known = texts_number(&d->texts, "not known");
    pool->no_bait = texts_number(&d->texts, "no bait named");
    pool->light[0] = texts_number(&d->texts, "day");
    pool->light[1] = texts_number(&d->texts, "night");
    for (int32_t i = 0; i < SIDE_COUNT_; i++)
        pool->side[i] = said(&d->texts, side_name((enum side)i));
    for (int32_t i = 0; i < PHASE_COUNT_; i++)
        pool->phase[i] = said(&d->texts, phase_name((enum phase)i));
    for (int32_t i = 0; i < 24; i++) {
        (void)snprintf(text, sizeof text, "%d", i);
        pool->hour[i] = texts_number(&d->texts, text);
    }
}

/* label 0: the line was never named. */
static void at_place(struct pool *pool, struct where *where, int32_t label, int32_t bait, enum side side)
{
    bool named = label != 0;
    set(where, EFFORT_ALL, pool->all, 0);
    set(where, EFFORT_POSITION, named ? label : pool->not_known, !named);
    set(where, EFFORT_BAIT, !named ? pool->not_known : bait != 0 ? bait : pool->no_bait, named ? bait == 0 : 2);
    set(where, EFFORT_SIDE, named ? pool->side[side] : pool->not_known, named ? (int64_t)side : SIDE_COUNT_);
}

static void in_phase(struct pool *pool, struct where *where, enum phase phase)
{
    bool night = phase == PHASE_NIGHT;
    set(where, EFFORT_PHASE, pool->phase[phase], (int64_t)phase);
    set(where, EFFORT_LIGHT, pool->light[night], night);
}

static void in_hour(struct pool *pool, struct where *where, int64_t at_ms)
{
    char words[32];
    int64_t day = day_number(&pool->clock, at_ms);
    int32_t hour = pool->clock.known ? day_hour(&pool->clock, at_ms) : 24;
    if (!pool->day_known || day != pool->day) {
        day_words(&pool->clock, at_ms, words);
        pool->day = day;
        pool->day_key = texts_number(&pool->debrief->texts, words);
        pool->day_known = true;
    }
    set(where, EFFORT_DAY, pool->day_key, pool->clock.known ? day : day - INT32_MAX);
    set(where, EFFORT_HOUR, hour < 24 ? pool->hour[hour] : pool->not_known, hour);
}

/* ---- time ---- */

static bool fishes(const struct span *span)
{
    return (span->gear == GEAR_LINE || span->gear == GEAR_FLOAT) && span->state == LINE_STATE_OUT && !span->unsure;
}

static bool may_fish(const struct span *span)
{
    bool baited = span->gear == GEAR_LINE || span->gear == GEAR_FLOAT;
    return baited && (span->state == LINE_STATE_NOT_KNOWN || (span->state == LINE_STATE_OUT && span->unsure));
}

int64_t effort_line_ms(const struct facts *f)
{
    int64_t sum_ms = 0;
    for (int32_t i = 0; i < f->spans.count; i++) {
        if (fishes(&f->spans.items[i]))
            sum_ms += f->spans.items[i].to_ms - f->spans.items[i].from_ms;
    }
    return sum_ms;
}

static void add_time(struct pool *pool, const struct where *where, bool known, int64_t ms)
{
    for (int32_t by = 0; by < EFFORT_BY_COUNT; by++) {
        struct effort_group *group = group_of(pool, (enum effort_by)by, where);
        if (known)
            group->line_ms += ms;
        else
            group->not_known_ms += ms;
    }
}

/* The first phase that ends after a moment; phases follow one another. */
static int32_t first_phase(const struct facts *f, int64_t after_ms)
{
    int32_t low = 0, high = f->phases.count;
    while (low < high) {
        int32_t middle = low + (high - low) / 2;
        if (f->phases.items[middle].to_ms <= after_ms)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void add_piece(struct pool *pool, struct where *where, bool known, int64_t from_ms, int64_t to_ms)
{
    while (from_ms < to_ms) {
        int64_t end_ms = day_hour_end_ms(&pool->clock, from_ms);
        if (end_ms > to_ms)
            end_ms = to_ms;
        in_hour(pool, where, from_ms);
        add_time(pool, where, known, end_ms - from_ms);
        from_ms = end_ms;
    }
}

static void add_span(struct pool *pool, const struct facts *f, const struct span *span)
{
    struct where where;
    bool known = fishes(span);
    at_place(pool, &where, span->label, span->bait, span->side);
    for (int32_t i = first_phase(f, span->from_ms); i < f->phases.count; i++) {
        const struct phase_span *phase = &f->phases.items[i];
        int64_t from_ms = phase->from_ms > span->from_ms ? phase->from_ms : span->from_ms;
        int64_t to_ms = phase->to_ms < span->to_ms ? phase->to_ms : span->to_ms;
        if (from_ms >= span->to_ms)
            break;
        in_phase(pool, &where, phase->phase);
        add_piece(pool, &where, known, from_ms, to_ms);
    }
}

/* ---- what came of it ---- */

bool effort_chosen(const struct debrief *d, int32_t label, int32_t bait)
{
    const char *want_bait = d->choice.bait, *want_position = d->choice.position;
    bool right_bait = want_bait == NULL || want_bait[0] == '\0' || strcmp(texts_get(&d->texts, bait), want_bait) == 0;
    bool right_position =
        want_position == NULL || want_position[0] == '\0' || strcmp(texts_get(&d->texts, label), want_position) == 0;
    return right_bait && right_position;
}

static void add_strike(struct pool *pool, const struct strike_fact *strike)
{
    struct where where;
    at_place(pool, &where, strike->label, strike->bait, strike->side);
    in_phase(pool, &where, strike->phase);
    in_hour(pool, &where, strike->at_ms);
    for (int32_t by = 0; by < EFFORT_BY_COUNT; by++) {
        struct effort_group *group = group_of(pool, (enum effort_by)by, &where);
        group->bites++;
        group->bites_blind += strike->blind;
        group->hooked += strike->hooked;
        group->caught += strike->caught;
    }
}

static void add_raise(struct pool *pool, const struct raise_fact *raise)
{
    struct where where;
    at_place(pool, &where, raise->label, raise->bait, raise->side);
    in_phase(pool, &where, raise->phase);
    in_hour(pool, &where, raise->at_ms);
    for (int32_t by = 0; by < EFFORT_BY_COUNT; by++)
        group_of(pool, (enum effort_by)by, &where)->raises++;
}

static void add_trip(struct pool *pool, const struct facts *f)
{
    const struct debrief *d = pool->debrief;
    pool->clock = day_clock(f->utc_offset_ms, d->choice.zone_min, f->started_ms);
    pool->day_known = false;
    for (int32_t i = 0; i < f->spans.count; i++) {
        const struct span *span = &f->spans.items[i];
        if ((fishes(span) || may_fish(span)) && effort_chosen(d, span->label, span->bait))
            add_span(pool, f, span);
    }
    for (int32_t i = 0; i < f->strikes.count; i++) {
        if (effort_chosen(d, f->strikes.items[i].label, f->strikes.items[i].bait))
            add_strike(pool, &f->strikes.items[i]);
    }
    for (int32_t i = 0; i < f->raises.count; i++) {
        if (effort_chosen(d, f->raises.items[i].label, f->raises.items[i].bait))
            add_raise(pool, &f->raises.items[i]);
    }
}

/* ---- compared ---- */

static bool comparable(const struct effort_group *group, enum effort_by by)
{
    return group->by == by && group->bites >= EFFORT_RATE_LEAST && group->line_ms > 0;
}

static void add_difference(struct debrief *d, const struct effort_group *a, const struct effort_group *b)
{
    double hours_a = (double)a->line_ms / TEN_HOURS_MS, hours_b = (double)b->line_ms / TEN_HOURS_MS;
    *GROW(d->compared) = (struct difference){
        .by = a->by,
        .a = a->key,
        .b = b->key,
        .per_10h = a->bites / hours_a - b->bites / hours_b,
        .most = rates_difference(a->bites, hours_a, b->bites, hours_b, 0.95),
    };
}

static void compare(struct debrief *d, enum effort_by by)
{
    const struct effort_group *chosen[COMPARED_MAX];
    int32_t count = 0, least = 0;
    for (int32_t i = 0; i < d->effort.count; i++) {
        const struct effort_group *group = &d->effort.items[i];
        if (!comparable(group, by))
            continue;
        if (count < COMPARED_MAX)
            chosen[count++] = group;
        else if (group->bites > chosen[least]->bites)
            chosen[least] = group;
        for (int32_t k = 0; k < count; k++) {
            if (chosen[k]->bites < chosen[least]->bites)
                least = k;
        }
    }
    for (int32_t i = 0; i < count; i++) {
        for (int32_t k = i + 1; k < count; k++)
            add_difference(d, chosen[i], chosen[k]);
    }
}

/* For qsort_r: the text is looked up among the texts. */
static int by_key(const void *left, const void *right, void *texts)
{
    const struct effort_group *a = left, *b = right;
    if (a->by != b->by)
        return a->by < b->by ? -1 : 1;
    if (a->order != b->order)
        return a->order < b->order ? -1 : 1;
    return strcmp(texts_get(texts, a->key), texts_get(texts, b->key));
}

void effort_pool(struct debrief *d)
{
    struct pool pool;
    pool_open(&pool, d);
    for (int32_t i = 0; i < d->trips.count; i++)
        add_trip(&pool, d->trips.items[i]);
    for (int32_t by = 0; by < EFFORT_BY_COUNT; by++)
        index_release(&pool.index[by]);
    if (d->effort.count > 0)
        qsort_r(d->effort.items, (size_t)d->effort.count, sizeof *d->effort.items, by_key, &d->texts);
    compare(d, EFFORT_POSITION);
    compare(d, EFFORT_BAIT);
}
