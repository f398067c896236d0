/* Calls between the helm and the cockpit.
 *
 *     call ──▶ called ──┬─ call_got ─────────▶ got ──┬─ call_done ─▶ done
 *                       └─ call_unheard ─▶ not heard ┤
 *                                 └─ call_got ─▶ got └─ call_off ──▶ off        (each also straight from called)
 *
 * GOT IT is a promise, DONE a report; an answer by voice counts, entered by whoever heard it. A call that anyone may have
 * heard is called off in the open. Ended calls stay for a while, to be seen; the oldest leaves when its place is needed or
 * more than CALLS_ENDED_MAX have ended.
 *
 * A call that reaches the server later than LIMIT_UNHEARD_MS after it was tapped is over its time to live: nobody is to steer
 * by it any more. It is logged, and does nothing.
 *
 *   A1  a call is for a hand of the roster, or for a station
 *   A2  a call that was got has an answer; one merely called, or not heard, has none
 *   A3  at most CALLS_ENDED_MAX ended calls are on the board; exactly these say when they ended
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"
#include "limit.h"

enum { CALLS_ENDED_MAX = 3, SHOWN_MAX = 64 }; /* SHOWN_MAX as in board.json */

static bool ended(const struct board_call *call)
{
    return call->state == CALL_STATE_DONE || call->state == CALL_STATE_OFF;
}

/* The ended call that was ended first, -1: none. *count: how many there are. */
static int32_t oldest_ended(const struct board *b, int32_t *count)
{
    int32_t oldest = -1;
    *count = 0;
    for (int32_t i = 0; i < BOARD_CALLS_MAX; i++) {
        if (b->calls[i].id.n == 0 || !ended(&b->calls[i]))
            continue;
        ++*count;
        if (oldest < 0 || b->calls[i].done_ms < b->calls[oldest].done_ms)
            oldest = i;
    }
    return oldest;
}

static bool too_late(const struct entry *e)
{
    return e->got_ms - e->at_ms > LIMIT_UNHEARD_MS;
}

/* ---- admit ---- */

static enum refusal_code called_refusal(const struct board *b, const struct body_call *body)
{
    int32_t ended_count;
    if (!hand_may(b, body->hand))
        return REFUSAL_HAND_UNKNOWN;
    if (body->hand == 0 && body->to == STATION_NONE)
        return REFUSAL_CALL_NOBODY;
    return slot_free(b, PART_CALLS) < 0 && oldest_ended(b, &ended_count) < 0 ? REFUSAL_CALLS_FULL : REFUSAL_NONE;
}

static enum refusal_code call_refusal(const struct board *b, struct entry_id id, const struct entry *e)
{
    const struct board_call *call = call_find(b, id);
    if (call == NULL)
        return refuse_gone(e, REFUSAL_CALL_UNKNOWN);
    return ended(call) && !entry_late(e, call->done_ms) ? REFUSAL_CALL_OVER : REFUSAL_NONE;
}

static enum refusal_code answer_refusal(const struct board *b, struct entry_id id, int32_t hand, const struct entry *e,
                                        struct about *about)
{
    about->entry = id;
    about->hand = hand;
    return hand_may(b, hand) ? call_refusal(b, id, e) : REFUSAL_HAND_UNKNOWN;
}

enum refusal_code calls_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_CALL) {
        about->hand = e->body.call.hand;
        return too_late(e) ? REFUSAL_NONE : called_refusal(b, &e->body.call);
    }
    if (e->kind == KIND_CALL_GOT)
        return answer_refusal(b, e->body.call_got.call, e->body.call_got.hand, e, about);
    if (e->kind == KIND_CALL_DONE)
        return answer_refusal(b, e->body.call_done.call, e->body.call_done.hand, e, about);
    if (e->kind == KIND_CALL_OFF)
        return answer_refusal(b, e->body.call_off.call, 0, e, about);
    return REFUSAL_NONE; /* shown and unheard: no person to be told no */
}

/* ---- apply ---- */

static enum outcome called_apply(struct board *b, const struct entry *e)
{
    const struct body_call *body = &e->body.call;
    int32_t ended_count;
    if (too_late(e) || called_refusal(b, body) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    int32_t slot = slot_free(b, PART_CALLS);
    if (slot < 0)
        slot = oldest_ended(b, &ended_count);
    struct board_call *call = &b->calls[slot];
    memset(call, 0, sizeof *call);
    call->id = e->id;
    call->what = body->what;
    call->to = body->to;
    call->hand = body->hand;
    call->by = e->by;
    call->at_ms = e->at_ms;
    count_up(&b->counts.calls);
    return OUTCOME_DONE;
}

/* Who heard it: the hand named, else the one who tapped. */
static int32_t hand_of(const struct entry *e, int32_t named)
{
    return named != 0 ? named : e->by;
}

/* Each hand answers once; over BOARD_CALL_GOT_MAX it is enough to know that it was heard. */
static void add_answer(struct board_call *call, const struct call_answer *answer)
{
    for (int32_t i = 0; i < call->got_count; i++) {
        if (call->got[i].hand == answer->hand)
            return;
    }
    if (call->got_count < BOARD_CALL_GOT_MAX)
        call->got[call->got_count++] = *answer;
}

static enum outcome got_apply(struct board *b, const struct entry *e)
{
    const struct body_call_got *body = &e->body.call_got;
    struct board_call *call = call_edit(b, body->call);
    if (call == NULL || ended(call) || !hand_may(b, body->hand))
        return OUTCOME_MOOT;
    struct call_answer answer;
    memset(&answer, 0, sizeof answer);
    answer.hand = hand_of(e, body->hand);
    answer.voice = body->voice;
    answer.at_ms = e->at_ms;
    add_answer(call, &answer);
    call->state = CALL_STATE_GOT;
    return OUTCOME_DONE;
}

static enum outcome end_call(struct board *b, struct entry_id id, enum call_state state, int32_t hand,
                             const struct entry *e)
{
    struct board_call *call = call_edit(b, id);
    int32_t ended_count;
    if (call == NULL || ended(call) || !hand_may(b, hand))
        return OUTCOME_MOOT;
    call->state = state;
    call->done_by = hand_of(e, hand);
    call->done_ms = e->at_ms;
    int32_t oldest = oldest_ended(b, &ended_count);
    if (ended_count > CALLS_ENDED_MAX)
        memset(&b->calls[oldest], 0, sizeof b->calls[oldest]);
    return OUTCOME_DONE;
}

static enum outcome unheard_apply(struct board *b, const struct entry *e)
{
    struct board_call *call = call_edit(b, e->body.call_unheard.call);
    if (call == NULL || call->state != CALL_STATE_CALLED)
        return OUTCOME_MOOT;
    call->state = CALL_STATE_NOT_HEARD;
    return OUTCOME_DONE;
}

/* An overboard call has no such count on the board: that a page showed it is kept by the entry alone. */
static enum outcome shown_apply(struct board *b, const struct entry *e)
{
    struct board_call *call = call_edit(b, e->body.shown.call);
    if (call == NULL)
        return overboard_names(b, e->body.shown.call) ? OUTCOME_DONE : OUTCOME_MOOT;
    if (call->shown < SHOWN_MAX)
        call->shown++;
    return OUTCOME_DONE;
}

enum outcome calls_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_CALL)
        return called_apply(b, e);
    if (e->kind == KIND_CALL_GOT)
        return got_apply(b, e);
    if (e->kind == KIND_CALL_DONE)
        return end_call(b, e->body.call_done.call, CALL_STATE_DONE, e->body.call_done.hand, e);
    if (e->kind == KIND_CALL_OFF)
        return end_call(b, e->body.call_off.call, CALL_STATE_OFF, 0, e);
    return e->kind == KIND_SHOWN ? shown_apply(b, e) : unheard_apply(b, e);
}

void calls_check(const struct board *b)
{
    int32_t ended_count;
    (void)oldest_ended(b, &ended_count);
    CHECK(ended_count <= CALLS_ENDED_MAX); /* A3 */
    for (int32_t i = 0; i < BOARD_CALLS_MAX; i++) {
        const struct board_call *call = &b->calls[i];
        if (call->id.n == 0)
            continue;
        CHECK(hand_may(b, call->hand) && (call->hand != 0 || call->to != STATION_NONE)); /* A1 */
        CHECK(call->state != CALL_STATE_GOT || call->got_count > 0);                     /* A2 */
        CHECK((call->state != CALL_STATE_CALLED && call->state != CALL_STATE_NOT_HEARD) ||
              call->got_count == 0);                                      /* A2 */
        CHECK(ended(call) || (call->done_ms == 0 && call->done_by == 0)); /* A3 */
    }
}
