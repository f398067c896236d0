/* Three of the four cards: what was planned, what happened, and the questions why. The fourth, what next, is the board's three jobs.
 *
 * Planned is what the crew set out with. Happened is drafted from the log, numbers first. Why asks, and judges nobody: each question
 * stands on something that was left open or that the plan had otherwise, and asks for what was known at the time.
 */
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "debrief/tell.h"
#include "debrief/words.h"

enum { CARD_LINES_MAX = 12 };

static int32_t card_text(struct teller *t, const char *format, ...) __attribute__((format(printf, 2, 3)));

static int32_t card_text(struct teller *t, const char *format, ...)
{
    char words[WORDS_BYTES];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(words, sizeof words, format, args);
    va_end(args);
    return texts_number(t->texts, words);
}

#define ADD(list, seq_of, ...)                                                                     \
    do {                                                                                           \
        if ((list).count < CARD_LINES_MAX)                                                         \
            *GROW(list) = (struct card_line){.words = card_text(t, __VA_ARGS__), .seq = (seq_of)}; \
    } while (0)

static const char *plural(int32_t count)
{
    return count == 1 ? "" : "s";
}

/* ---- planned ---- */

static void plan_spread(struct teller *t, const struct body_trip_started *trip)
{
    int32_t of[GEAR_COUNT_] = {0};
    for (int32_t i = 0; i < trip->spread_count; i++)
        of[trip->spread[i].gear]++;
    ADD(t->facts->planned, t->facts->from_seq, "The spread: %d line%s, %d teaser%s, %d dredge%s, %d float%s.",
        of[GEAR_LINE], plural(of[GEAR_LINE]), of[GEAR_TEASER], plural(of[GEAR_TEASER]), of[GEAR_DREDGE],
        plural(of[GEAR_DREDGE]), of[GEAR_FLOAT], plural(of[GEAR_FLOAT]));
}

static void plan_orders(struct teller *t)
{
    const struct board_orders *orders = &t->facts->orders;
    int64_t seq = t->facts->orders_seq;
    if (seq == 0) {
        ADD(t->facts->planned, 0, "No brief was logged.");
        return;
    }
    if (orders->keep_ahead_s > 0)
        ADD(t->facts->planned, seq, "After a hook-up: ahead for %d seconds.", orders->keep_ahead_s);
    for (int32_t i = 0; i < orders->fish_count; i++) {
        const char *stays = "nothing stays out";
        for (int32_t k = 0; k < BOARD_PRESETS_MAX && orders->fish[i].preset != 0; k++) {
            if (t->board.presets[k].id == orders->fish[i].preset)
                stays = t->board.presets[k].name;
        }
        ADD(t->facts->planned, seq, "For %s: %s.", orders->fish[i].name, stays);
    }
}

static void plan(struct teller *t)
{
    struct entry first;
    journal_entry(t->journal, 0, &first);
    const struct body_trip_started *trip = &first.body.trip_started;
    plan_spread(t, trip);
    plan_orders(t);
    if (trip->lists_count > 0)
        ADD(t->facts->planned, t->facts->from_seq, "%d checklist%s laid out.", trip->lists_count,
            plural(trip->lists_count));
    for (int32_t i = 0; i < trip->jobs_count; i++)
        ADD(t->facts->planned, t->facts->from_seq, "Left to do from the last trip: %s.", trip->jobs[i]);
}

/* ---- happened ---- */

static void happened_fish(struct teller *t)
{
    const struct board_counts *c = &t->facts->counts;
    struct facts *f = t->facts;
    int64_t seq = f->strikes.count > 0 ? f->strikes.items[0].seq : 0;
    ADD(f->happened, seq, "%d raised, %d bites, %d on, %d caught (%d boated, %d released).", c->raises, c->strikes,
        c->hooked, c->boated + c->released, c->boated, c->released);
    int32_t lost = c->pulled + c->broke_off + c->bitten_off;
    if (lost > 0)
        ADD(f->happened, 0, "%d lost: %d pulled, %d broke off, %d bitten off.", lost, c->pulled, c->broke_off,
            c->bitten_off);
}

static void happened_clearings(struct teller *t)
{
    for (int32_t i = 0; i < t->facts->clearings.count; i++) {
        const struct clearing_fact *clearing = &t->facts->clearings.items[i];
        int64_t end_ms = clearing->done_ms;
        if (end_ms == NEVER || end_ms < clearing->called_ms)
            continue;
        ADD(t->facts->happened, clearing->seq, "Clearing %d: %d line%s in after %" PRId64 " seconds.", i + 1,
            clearing->in_count, plural(clearing->in_count), (end_ms - clearing->called_ms) / 1000);
    }
}

static void happened_other(struct teller *t)
{
    const struct board_counts *c = &t->facts->counts;
    struct facts *f = t->facts;
    if (c->overboards > 0)
        ADD(f->happened, 0, "OVERBOARD was called %d time%s.", c->overboards, plural(c->overboards));
    if (c->hurts > 0)
        ADD(f->happened, 0, "HURT was called %d time%s.", c->hurts, plural(c->hurts));
    if (c->stops > 0)
        ADD(f->happened, 0, "STOP was called %d time%s.", c->stops, plural(c->stops));
    if (c->near_misses > 0)
        ADD(f->happened, f->near_misses.items[0].seq, "%d near miss%s told.", c->near_misses,
            c->near_misses == 1 ? "" : "es");
    if (c->gear_faults > 0)
        ADD(f->happened, 0, "%d gear fault%s.", c->gear_faults, plural(c->gear_faults));
}

/* ---- why ---- */

static void ask_open_ends(struct teller *t)
{
    struct facts *f = t->facts;
    for (int32_t i = 0; i < f->strikes.count; i++) {
        if (f->strikes.items[i].end == STRIKE_END_NOT_KNOWN || f->strikes.items[i].end == STRIKE_END_OPEN)
            ADD(f->why, f->strikes.items[i].seq, "A strike has no end told. What was going on at that moment?");
    }
    for (int32_t i = 0; i < f->fights.count; i++) {
        if (f->fights.items[i].end == FIGHT_END_NOT_KNOWN || f->fights.items[i].end == FIGHT_END_OPEN)
            ADD(f->why, f->fights.items[i].seq, "A fight has no end told. Who saw how it ended?");
    }
}

static void ask_calls(struct teller *t)
{
    struct facts *f = t->facts;
    for (int32_t i = 0; i < f->calls.count; i++) {
        const struct call_fact *call = &f->calls.items[i];
        char what[32];
        words_say(call_what_name(call->what), what, sizeof what);
        if (call->end == CALL_STATE_NOT_HEARD)
            ADD(f->why, call->seq, "The call %s had no answer logged. What could be heard and seen at the %s then?",
                what, station_name(call->to));
    }
}

static void ask_lists(struct teller *t)
{
    struct facts *f = t->facts;
    for (int32_t i = 0; i < f->checks.count; i++) {
        const struct check_fact *check = &f->checks.items[i];
        if (check->state == CHECK_STATE_LEFT || check->state == CHECK_STATE_OPEN)
            ADD(f->why, check->seq, "%s was left with items open. What came in between?",
                texts_get(t->texts, check->name));
    }
}

/* A plan that was not followed may have been a good choice: what was known then? */
static void ask_plan(struct teller *t)
{
    struct facts *f = t->facts;
    for (int32_t i = 0; i < f->clearings.count; i++) {
        const struct clearing_fact *clearing = &f->clearings.items[i];
        int64_t wait_ms = clearing->called_ms - clearing->strike_ms;
        if (clearing->strike_ms == NEVER || f->orders.keep_ahead_s == 0 ||
            wait_ms <= 2000 * (int64_t)f->orders.keep_ahead_s)
            continue;
        ADD(f->why, clearing->seq,
            "Lines were called in %" PRId64
            " seconds after the strike; the brief had %d seconds ahead. What was seen meanwhile?",
            wait_ms / 1000, f->orders.keep_ahead_s);
    }
    if (f->boated_counted != NEVER && f->boated_counted != f->counts.boated)
        ADD(f->why, 0, "%" PRId64 " fish were counted in the box, and %d are logged as boated. Which are missing?",
            f->boated_counted, f->counts.boated);
}

/* ---- next ---- */

static const char *job_owner(const struct teller *t, const struct board_job *job)
{
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++) {
        if (job->hand != 0 && t->board.hands[i].id == job->hand)
            return t->board.hands[i].name;
    }
    return job->name;
}

static void next(struct teller *t)
{
    int32_t count = 0;
    for (int32_t i = 0; i < BOARD_JOBS_MAX; i++) {
        const struct board_job *job = &t->board.jobs[i];
        if (job->no == 0 || job->text[0] == '\0')
            continue;
        t->facts->jobs[count++] = (struct job_fact){.no = job->no,
                                                    .text = texts_number(t->texts, job->text),
                                                    .name = texts_number(t->texts, job_owner(t, job)),
                                                    .by_day = texts_number(t->texts, job->by_day),
                                                    .done = job->done};
    }
}

void cards_make(struct teller *t)
{
    next(t);
    if (!t->detail)
        return;
    plan(t);
    happened_fish(t);
    happened_clearings(t);
    happened_other(t);
    ask_open_ends(t);
    ask_calls(t);
    ask_lists(t);
    ask_plan(t);
}
