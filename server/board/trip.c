/* The trip.
 *
 *                trip_started                    trip_phase (any but none, ended)
 *     none ─────────────────────▶ dock ─────▶ dock, running, fishing, night, home ──┐
 *                                   ▲                        │                      │
 *                                   │ trip_started           │ trip_ended  ◀────────┘
 *                                   └──────── ended ◀────────┘
 *
 * A trip starts on an empty board: everything it will be judged by is in the entry. An ended trip's board stands as it is
 * until the next one starts.
 *
 *   T1  there is a trip's id exactly when the phase is not none
 *   T2  ended_ms is set only when the phase is ended, and then no earlier than the phase before it
 *   T3  a board without a trip holds no lists, presets or jobs (and no lines: places.c)
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

bool trip_runs(const struct board *b)
{
    return b->trip.phase != PHASE_NONE && b->trip.phase != PHASE_ENDED;
}

/* Can the body be a trip? Each number once, each name once: the crew tell places and hands apart by both. */
static bool spread_good(const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->spread_count; i++) {
        for (int32_t k = 0; k < i; k++) {
            if (body->spread[i].id == body->spread[k].id || strcmp(body->spread[i].name, body->spread[k].name) == 0)
                return false;
        }
    }
    return body->spread_count > 0;
}

static bool spread_has(const struct body_trip_started *body, int32_t line)
{
    for (int32_t i = 0; i < body->spread_count; i++) {
        if (body->spread[i].id == line)
            return true;
    }
    return false;
}

static bool presets_good(const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->presets_count; i++) {
        for (int32_t k = 0; k < i; k++) {
            if (body->presets[i].id == body->presets[k].id)
                return false;
        }
        for (int32_t k = 0; k < body->presets[i].kept_count; k++) {
            if (!spread_has(body, body->presets[i].kept[k]))
                return false;
        }
    }
    return true;
}

static bool crew_good(const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->crew_count; i++) {
        for (int32_t k = 0; k < i; k++) {
            if (body->crew[i].id == body->crew[k].id || strcmp(body->crew[i].name, body->crew[k].name) == 0)
                return false;
        }
    }
    return true;
}

static bool lists_good(const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->lists_count; i++) {
        for (int32_t k = 0; k < i; k++) {
            if (body->lists[i].id == body->lists[k].id)
                return false;
        }
    }
    return true;
}

/* A new trip empties the board. Nobody in the water, no STOP and no HURT may be emptied away with it. */
static enum refusal_code started_refusal(const struct board *b, const struct body_trip_started *body)
{
    if (trip_runs(b))
        return REFUSAL_TRIP_RUNNING;
    if (b->overboard.id.n != 0)
        return REFUSAL_EMERGENCY_OPEN;
    if (b->stop.id.n != 0)
        return REFUSAL_STOP_OPEN;
    if (hurt_stands(b))
        return REFUSAL_HURT_OPEN;
    if (!spread_good(body) || !presets_good(body))
        return REFUSAL_SPREAD_BAD;
    if (!crew_good(body))
        return REFUSAL_CREW_BAD;
    if (!lists_good(body))
        return REFUSAL_LISTS_BAD;
    return body->persons != 0 && body->paying > body->persons ? REFUSAL_ABOARD_BAD : REFUSAL_NONE;
}

static enum refusal_code phase_refusal(const struct board *b, const struct entry *e)
{
    if (b->trip.phase == PHASE_NONE)
        return REFUSAL_NO_TRIP;
    if (entry_late(e, b->trip.since_ms))
        return REFUSAL_NONE;
    return trip_runs(b) ? REFUSAL_NONE : REFUSAL_TRIP_OVER;
}

enum refusal_code trip_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->entry = b->trip.id;
    if (e->kind == KIND_TRIP_STARTED)
        return started_refusal(b, &e->body.trip_started);
    if (e->kind == KIND_TRIP_PHASE) {
        enum phase phase = e->body.trip_phase.phase;
        if (b->trip.phase != PHASE_NONE && (phase == PHASE_NONE || phase == PHASE_ENDED))
            return REFUSAL_TRIP_OVER;
    }
    return phase_refusal(b, e);
}

static void spread_out(struct board *b, const struct body_trip_started *body, const struct entry *e)
{
    for (int32_t i = 0; i < body->spread_count; i++) {
        const struct spread_line *from = &body->spread[i];
        struct board_line *line = &b->lines[i];
        line->id = from->id;
        TEXT_COPY(line->name, from->name);
        line->side = from->side;
        line->gear = from->gear;
        line->distance_m = from->distance_m;
        TEXT_COPY(line->bait, from->bait);
        line->assumed = from->bait[0] != '\0';
        line->since_ms = line->told_ms = e->at_ms;
        line->by = e->by;
    }
}

static void muster(struct board *b, const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->crew_count; i++) {
        const struct crew_hand *from = &body->crew[i];
        struct board_hand *hand = &b->hands[i];
        hand->id = from->id;
        TEXT_COPY(hand->name, from->name);
        hand->station = from->station;
        hand->voice = from->voice;
    }
}

static void lay_out_lists(struct board *b, const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->lists_count; i++) {
        const struct check_list *from = &body->lists[i];
        struct board_list *list = &b->lists[i];
        list->id = from->id;
        TEXT_COPY(list->name, from->name);
        list->kind = from->kind;
        list->items_count = from->items_count;
        for (int32_t k = 0; k < from->items_count; k++) {
            TEXT_COPY(list->items[k].ask, from->items[k].ask);
            TEXT_COPY(list->items[k].state, from->items[k].state);
        }
        b->checks[i].list = from->id;
    }
    for (int32_t i = 0; i < body->presets_count; i++) {
        const struct preset *from = &body->presets[i];
        struct board_preset *preset = &b->presets[i];
        preset->id = from->id;
        TEXT_COPY(preset->name, from->name);
        preset->kept_count = from->kept_count;
        TEXT_COPY(preset->kept, from->kept);
    }
}

/* What the last trip left to do, and whose it is: a hand of this trip where one has that name. */
static void hand_on_jobs(struct board *b, const struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->jobs_count; i++) {
        b->jobs[i].no = i + 1;
        TEXT_COPY(b->jobs[i].text, body->jobs[i]);
        if (i < body->job_days_count)
            TEXT_COPY(b->jobs[i].by_day, body->job_days[i]);
        if (i >= body->job_names_count)
            continue;
        b->jobs[i].hand = hand_of_name(b, body->job_names[i]);
        if (b->jobs[i].hand == 0)
            TEXT_COPY(b->jobs[i].name, body->job_names[i]);
    }
}

static enum outcome started_apply(struct board *b, const struct entry *e)
{
    const struct body_trip_started *body = &e->body.trip_started;
    if (started_refusal(b, body) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    memset(b, 0, sizeof *b);
    b->trip.id = e->id;
    TEXT_COPY(b->trip.name, body->name);
    b->trip.no = body->no;
    b->trip.phase = PHASE_DOCK;
    b->trip.since_ms = b->trip.started_ms = e->at_ms;
    TEXT_COPY(b->trip.rules, body->rules);
    b->trip.line_in_ms = body->line_in_ms;
    spread_out(b, body, e);
    muster(b, body);
    lay_out_lists(b, body);
    hand_on_jobs(b, body);
    fish_muster(b, e);
    return OUTCOME_DONE;
}

static enum outcome phase_apply(struct board *b, const struct entry *e, enum phase phase)
{
    if (!trip_runs(b) || entry_late(e, b->trip.since_ms) || phase == PHASE_NONE)
        return OUTCOME_MOOT;
    if (b->trip.phase != phase)
        b->trip.since_ms = e->at_ms;
    b->trip.phase = phase;
    if (phase == PHASE_ENDED)
        b->trip.ended_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome trip_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_TRIP_STARTED)
        return started_apply(b, e);
    if (e->kind == KIND_TRIP_ENDED)
        return phase_apply(b, e, PHASE_ENDED);
    /* A trip ends by its own entry, which nothing can take back; not by a change of phase. */
    if (e->body.trip_phase.phase == PHASE_ENDED)
        return OUTCOME_MOOT;
    return phase_apply(b, e, e->body.trip_phase.phase);
}

void trip_check(const struct board *b)
{
    CHECK((b->trip.id.n != 0) == (b->trip.phase != PHASE_NONE));                                      /* T1 */
    CHECK(b->trip.ended_ms == 0 || b->trip.phase == PHASE_ENDED);                                     /* T2 */
    CHECK(b->trip.phase != PHASE_ENDED || b->trip.ended_ms >= b->trip.started_ms);                    /* T2 */
    CHECK(b->trip.id.n != 0 || (b->lists[0].id == 0 && b->presets[0].id == 0 && b->jobs[0].no == 0)); /* T3 */
}
