#include "debrief/tell.h"

#include <stdlib.h>
#include <string.h>

#include "board/parts.h"
#include "debrief/order.h"
#include "limit.h"

/* ---- what the rows say by themselves ---- */

static void count_row(struct teller *t, const struct journal_row *row)
{
    struct facts *f = t->facts;
    f->entries++;
    f->voided += row->voided;
    f->refused += row->refused;
    if (f->entries == 1)
        f->from_seq = t->seq;
    if (f->to_seq < t->seq)
        f->to_seq = t->seq;
}

/* Of what people did, only that counts as late or moot. */
static void count_act(struct teller *t, enum outcome outcome)
{
    if (!kind_info(t->entry.kind)->act)
        return;
    t->facts->late += t->entry.got_ms - t->entry.at_ms > LIMIT_LATE_MS;
    t->facts->moot += outcome == OUTCOME_MOOT;
}

/* Log time runs evenly, so one mapping to UTC is right for all of the trip: the best source's, and of those the last. */
static int32_t trust(enum clock_source source)
{
    switch (source) {
    case CLOCK_SOURCE_NONE: return 0;
    case CLOCK_SOURCE_SYSTEM: return 1;
    case CLOCK_SOURCE_HAND: return 2;
    case CLOCK_SOURCE_GPS: return 3;
    case CLOCK_SOURCE_COUNT_: break;
    }
    return 0;
}

static void see_clock(struct teller *t, enum clock_source *best)
{
    const struct body_clock *clock = &t->entry.body.clock;
    if (trust(clock->source) < trust(*best) || clock->source == CLOCK_SOURCE_NONE)
        return;
    *best = clock->source;
    t->facts->utc_offset_ms = clock->utc_offset_ms;
}

/* ---- the fold ---- */

static void see(struct teller *t, enum outcome outcome)
{
    events_see(t, outcome);
    if (outcome == OUTCOME_MOOT) {
        work_see_late(t);
        return;
    }
    lanes_see(t);
    fishing_see(t);
    clearings_see(t);
    work_see(t);
    gaps_see(t);
}

static void take(struct teller *t, int32_t index, enum clock_source *best)
{
    const struct journal_row *row = journal_row(t->journal, index);
    t->index = index;
    t->seq = row->seq;
    count_row(t, row);
    if (row->refused || row->voided)
        return;
    journal_effective(t->journal, index, &t->entry);
    if (t->entry.at_ms > t->now_ms)
        t->now_ms = t->entry.at_ms;
    enum outcome outcome = journal_apply(t->journal, index, &t->board);
    journal_note(t->journal, index, outcome);
    count_act(t, outcome);
    if (t->entry.kind == KIND_CLOCK && outcome == OUTCOME_DONE)
        see_clock(t, best);
    if (t->entry.instead_of.n == 0)
        see(t, outcome);
}

static void begin(struct teller *t)
{
    struct entry first;
    journal_effective(t->journal, 0, &first);
    t->now_ms = first.at_ms;
    t->facts->started_ms = first.at_ms;
    t->facts->no = first.body.trip_started.no;
    t->facts->name = texts_number(t->texts, first.body.trip_started.name);
    lanes_begin(t);
    gaps_make(t);
}

static void muster(struct teller *t)
{
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++) {
        const struct board_hand *hand = &t->board.hands[i];
        if (hand->id != 0)
            *GROW(t->facts->persons) =
                (struct person){.id = hand->id, .name = texts_number(t->texts, hand->name), .station = hand->station};
    }
}

static void finish(struct teller *t)
{
    t->facts->open = t->board.trip.phase != PHASE_ENDED;
    t->facts->counts = t->board.counts;
    t->facts->persons_aboard = t->board.box.persons;
    t->facts->paying = t->board.box.paying;
    lanes_end(t);
    gaps_end(t);
    muster(t);
    box_gather(&t->facts->box, t->journal, t->order);
    cards_make(t);
}

/* ---- the proof ---- */

/* What was counted out of the facts, in the board's own words. */
static void count_facts(const struct facts *f, struct board_counts *c)
{
    memset(c, 0, sizeof *c);
    c->strikes = f->strikes.count;
    c->calls = f->calls.count;
    c->clearings = f->clearings.count;
    c->raises = f->raises.count;
    c->near_misses = f->near_misses.count;
    for (int32_t i = 0; i < f->calls.count; i++)
        c->calls -= f->calls.items[i].late;
    for (int32_t i = 0; i < f->strikes.count; i++) {
        const struct strike_fact *strike = &f->strikes.items[i];
        c->hooked += strike->hooked;
        c->knockdowns += strike->end == STRIKE_END_KNOCKDOWN;
        c->gone += strike->end == STRIKE_END_GONE;
        c->ends_not_known += strike->end == STRIKE_END_NOT_KNOWN;
    }
    for (int32_t i = 0; i < f->fights.count; i++) {
        enum fight_end end = f->fights.items[i].end;
        c->boated += end == FIGHT_END_BOATED;
        c->released += end == FIGHT_END_RELEASED;
        c->pulled += end == FIGHT_END_PULLED;
        c->broke_off += end == FIGHT_END_BROKE_OFF;
        c->bitten_off += end == FIGHT_END_BITTEN_OFF;
        c->fights_not_known += end == FIGHT_END_NOT_KNOWN;
    }
    for (int32_t i = 0; i < f->raises.count; i++) {
        enum raise_end end = f->raises.items[i].end;
        c->touches += f->raises.items[i].touches;
        c->raises_bit += end == RAISE_END_BIT;
        c->raises_left += end == RAISE_END_LEFT;
        c->raises_not_known += end == RAISE_END_NOT_KNOWN;
    }
}

static enum err prove(const struct facts *f, struct msg *why)
{
    struct board_counts c;
    const struct board_counts *b = &f->counts;
    count_facts(f, &c);
    const struct {
        const char *of;
        int32_t here, board;
    } pairs[] = {
        {"strikes", c.strikes, b->strikes},
        {"hook-ups", c.hooked, b->hooked},
        {"knockdowns", c.knockdowns, b->knockdowns},
        {"strikes gone", c.gone, b->gone},
        {"strikes without an end", c.ends_not_known, b->ends_not_known},
        {"fish boated", c.boated, b->boated},
        {"fish released", c.released, b->released},
        {"hooks pulled", c.pulled, b->pulled},
        {"lines broken", c.broke_off, b->broke_off},
        {"lines bitten off", c.bitten_off, b->bitten_off},
        {"fights without an end", c.fights_not_known, b->fights_not_known},
        {"raises", c.raises, b->raises},
        {"touches", c.touches, b->touches},
        {"raises that bit", c.raises_bit, b->raises_bit},
        {"raises that left", c.raises_left, b->raises_left},
        {"raises without an end", c.raises_not_known, b->raises_not_known},
        {"calls", c.calls, b->calls},
        {"clearings", c.clearings, b->clearings},
        {"near misses", c.near_misses, b->near_misses},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        if (pairs[i].here != pairs[i].board)
            return err_set(
                why, ERR_DATA,
                "The debrief of trip %d counts %d %s and the board %d: none of its numbers are to be trusted.", f->no,
                pairs[i].here, pairs[i].of, pairs[i].board);
    }
    return ERR_NONE;
}

enum err tell_trip(struct journal *journal, struct texts *texts, struct facts *facts, bool detail, struct msg *why)
{
    struct teller *t = zeroed(1, sizeof *t);
    enum clock_source best = CLOCK_SOURCE_NONE;
    t->journal = journal;
    t->texts = texts;
    t->facts = facts;
    t->detail = detail;
    t->clearing = -1;
    t->helm_gone_ms = NEVER;
    t->fact_of = zeroed((size_t)journal->count, sizeof *t->fact_of);
    memset(t->fact_of, 0xff, (size_t)journal->count * sizeof *t->fact_of);
    int32_t *order = order_make(journal);
    t->order = order;
    begin(t);
    for (int32_t i = 0; i < journal->count; i++)
        take(t, order[i], &best);
    finish(t);
    enum err err = prove(facts, why);
    free(order);
    free(t->fact_of);
    free(t->away.items);
    free(t);
    return err;
}
