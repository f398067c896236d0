#include "debrief/debrief.h"

#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "board/journal.h"
#include "debrief/day.h"
#include "debrief/effort.h"
#include "debrief/learned.h"
#include "debrief/tell.h"
#include "debrief/times.h"
#include "debrief/without.h"

/* What is only there while entries are taken. */
struct intake {
    struct journal journal;
    struct entry bare; /* an entry without what is to be left out */
    bool has_trip;
    struct facts *last; /* the last trip's, when it is the last that was asked for */
    struct seconds record_clear, record_got;
    struct learned learned;
};

struct debrief *debrief_new(const struct debrief_choice *choice)
{
    struct debrief *d = zeroed(1, sizeof *d);
    d->choice = *choice;
    texts_open(&d->texts);
    d->intake = zeroed(1, sizeof *d->intake);
    journal_reset(&d->intake->journal);
    return d;
}

static void close_intake(struct debrief *d)
{
    if (d->intake == NULL)
        return;
    for (void *chunk = NULL; (chunk = journal_take_back(&d->intake->journal)) != NULL;)
        free(chunk);
    facts_free(d->intake->last);
    free(d->intake->record_clear.items);
    free(d->intake->record_got.items);
    free(d->intake);
    d->intake = NULL;
}

void debrief_free(struct debrief *d)
{
    close_intake(d);
    for (int32_t i = 0; i < d->trips.count; i++)
        facts_free(d->trips.items[i]);
    for (int32_t i = 0; i < d->times.count; i++)
        free(d->times.items[i].seconds.items);
    free(d->trips.items);
    free(d->effort.items);
    free(d->compared.items);
    free(d->times.items);
    free(d->trend.items);
    texts_release(&d->texts);
    free(d);
}

/* ---- trips ---- */

static bool last_alone(const struct debrief *d)
{
    return d->choice.trip_from == 0 && d->choice.trip_to == 0;
}

static bool one_alone(const struct debrief *d)
{
    return last_alone(d) || d->choice.trip_from == d->choice.trip_to;
}

static bool in_months(const struct debrief *d, const struct facts *f)
{
    struct day_clock clock = day_clock(f->utc_offset_ms, d->choice.zone_min, f->started_ms);
    if (d->choice.months == 0)
        return true;
    if (!clock.known)
        return false;
    return (d->choice.months >> day_date_of(day_number(&clock, f->started_ms)).month & 1) != 0;
}

static bool asked_for(const struct debrief *d, const struct facts *f)
{
    return f->no >= d->choice.trip_from && f->no <= d->choice.trip_to && in_months(d, f);
}

static struct trend_row row_of(const struct facts *f)
{
    struct trend_row row = {.trips = 1, .line_ms = effort_line_ms(f)};
    row.bites = f->counts.strikes;
    row.caught = f->counts.boated + f->counts.released;
    row.near_misses = f->counts.near_misses;
    return row;
}

/* Into the boat's record; the rest of the trip is not needed any more. */
static void record(struct debrief *d, struct facts *f)
{
    struct trend_row row = row_of(f);
    d->record.trips++;
    d->record.line_ms += row.line_ms;
    d->record.bites += row.bites;
    d->record.caught += row.caught;
    d->record.near_misses += row.near_misses;
    times_trend(f, &d->intake->record_clear, &d->intake->record_got);
    facts_free(f);
}

static void add_trip(struct debrief *d, struct facts *f)
{
    d->trips.items = grow(d->trips.items, d->trips.count, &d->trips.room, sizeof(void *));
    d->trips.items[d->trips.count++] = f;
}

static void keep(struct debrief *d, struct facts *f)
{
    if (!last_alone(d)) {
        if (asked_for(d, f))
            add_trip(d, f);
        else
            record(d, f);
        return;
    }
    if (d->intake->last != NULL)
        record(d, d->intake->last);
    d->intake->last = f;
}

/* Folds the trip in the journal, if there is one. */
static enum err close_trip(struct debrief *d, struct msg *why)
{
    struct intake *in = d->intake;
    if (!in->has_trip || in->journal.count == 0)
        return ERR_NONE;
    struct facts *f = facts_new();
    journal_correct_all(&in->journal);
    enum err err = tell_trip(&in->journal, &d->texts, f, one_alone(d), why);
    if (err != ERR_NONE) {
        facts_free(f);
        return err;
    }
    d->trip_count++;
    learned_take(&in->learned, f);
    keep(d, f);
    return ERR_NONE;
}

static bool begins(const struct entry *entry)
{
    return entry->kind == KIND_TRIP_STARTED && entry->refused[0] == '\0';
}

/* Before anything is folded, so that no number, word or table can hold any of it. */
static const struct entry *leave_out(struct debrief *d, const struct entry *entry)
{
    const struct without what = {.names = d->choice.no_names, .places = d->choice.no_places};
    if (!what.names && !what.places)
        return entry;
    d->intake->bare = *entry;
    without(&what, &d->intake->bare);
    return &d->intake->bare;
}

enum err debrief_take(struct debrief *d, const struct entry *entry, struct msg *why)
{
    struct intake *in = d->intake;
    if (begins(entry)) {
        enum err err = close_trip(d, why);
        if (err != ERR_NONE)
            return err;
        journal_reset(&in->journal);
        in->has_trip = true;
    }
    if (!in->has_trip)
        return ERR_NONE;
    if (journal_full(&in->journal))
        return err_set(why, ERR_DATA, "Row %lld is beyond what a trip can hold.", (long long)entry->seq);
    if (entry->id.n == 0 || journal_find(&in->journal, entry->id) >= 0)
        return err_set(why, ERR_DATA, "Row %lld is an entry that is in the log before.", (long long)entry->seq);
    while (journal_needs(&in->journal)) {
        void *chunk = malloc(JOURNAL_CHUNK_BYTES);
        CHECK(chunk);
        journal_give(&in->journal, chunk);
    }
    (void)journal_append(&in->journal, leave_out(d, entry), OUTCOME_MOOT);
    return ERR_NONE;
}

/* ---- the end ---- */

static void count_strikes(struct debrief *d, const struct facts *f)
{
    struct debrief_counts *c = &d->counts;
    for (int32_t i = 0; i < f->strikes.count; i++) {
        const struct strike_fact *strike = &f->strikes.items[i];
        if (!effort_chosen(d, strike->label, strike->bait))
            continue;
        c->bites++;
        c->bites_blind += strike->blind;
        c->hooked += strike->hooked;
        c->caught += strike->caught;
        c->knockdowns += strike->end == STRIKE_END_KNOCKDOWN;
        c->gone += strike->end == STRIKE_END_GONE;
        c->ends_not_known += strike->end == STRIKE_END_NOT_KNOWN;
    }
}

static void count_fights(struct debrief *d, const struct facts *f)
{
    struct debrief_counts *c = &d->counts;
    for (int32_t i = 0; i < f->fights.count; i++) {
        const struct fight_fact *fight = &f->fights.items[i];
        const struct strike_fact *strike = &f->strikes.items[fight->strike];
        if (!effort_chosen(d, strike->label, strike->bait))
            continue;
        c->boated += fight->end == FIGHT_END_BOATED;
        c->released += fight->end == FIGHT_END_RELEASED;
        c->released_leader += fight->end == FIGHT_END_RELEASED && fight->leader_ms != NEVER;
        c->pulled += fight->end == FIGHT_END_PULLED;
        c->broke_off += fight->end == FIGHT_END_BROKE_OFF;
        c->bitten_off += fight->end == FIGHT_END_BITTEN_OFF;
        c->fights_open += fight->end == FIGHT_END_OPEN;
        c->fights_not_known += fight->end == FIGHT_END_NOT_KNOWN;
    }
}

static void count_raises(struct debrief *d, const struct facts *f)
{
    for (int32_t i = 0; i < f->raises.count; i++) {
        const struct raise_fact *raise = &f->raises.items[i];
        if (!effort_chosen(d, raise->label, raise->bait))
            continue;
        d->counts.raises++;
        d->counts.raises_bit += raise->bites > 0 || raise->end == RAISE_END_BIT;
        d->counts.touches += raise->touches;
    }
}

static void follow_trend(struct debrief *d, const struct facts *f)
{
    struct seconds clear = {0}, got = {0};
    struct trend_row *row = GROW(d->trend);
    *row = row_of(f);
    times_trend(f, &clear, &got);
    row->clear_n = clear.count;
    row->got_n = got.count;
    row->clear_median_s = times_median(&clear);
    row->got_median_s = times_median(&got);
    free(clear.items);
    free(got.items);
}

static enum err none(const struct debrief *d, struct msg *why)
{
    if (d->trip_count == 0)
        return err_set(why, ERR_NO_INPUT, "No trip has been started in this log yet: there is nothing to tell of.");
    return err_set(why, ERR_NO_INPUT, "None of the %d trip%s of this log is what was asked for.", d->trip_count,
                   d->trip_count == 1 ? "" : "s");
}

enum err debrief_finish(struct debrief *d, struct msg *why)
{
    struct intake *in = d->intake;
    enum err err = close_trip(d, why);
    if (err != ERR_NONE)
        return err;
    if (in->last != NULL && in_months(d, in->last))
        add_trip(d, in->last);
    else if (in->last != NULL)
        record(d, in->last);
    in->last = NULL;
    d->record.clear_n = in->record_clear.count;
    d->record.got_n = in->record_got.count;
    d->record.clear_median_s = times_median(&in->record_clear);
    d->record.got_median_s = times_median(&in->record_got);
    d->learned_line_ms = learned_line_ms(&in->learned, &d->learned_lines);
    close_intake(d);
    if (d->trips.count == 0)
        return none(d, why);
    for (int32_t i = 0; i < d->trips.count; i++) {
        count_strikes(d, d->trips.items[i]);
        count_fights(d, d->trips.items[i]);
        count_raises(d, d->trips.items[i]);
        follow_trend(d, d->trips.items[i]);
    }
    effort_pool(d);
    times_pool(d);
    return ERR_NONE;
}
