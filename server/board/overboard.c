/* Person overboard.
 *
 *                overboard, anyone's                     another page's overboard joins
 *     closed ───────────────────────────▶ open ──────────────────────────────────────┐
 *       ▲                                  │  ▲ heard, sighted, person: noted        │
 *       │                                  │  └──────────────────────────────────────┘
 *       └── overboard_withdrawn, and no page's call stands any longer
 *       └── overboard_ended by the helm: aboard, or a false alarm, unless somebody called after the helm had said so
 *
 * An overboard is never refused and always opens the emergency or joins it, whatever else is on the board and however old
 * the tap is. The emergency bears the identity of its first call. Each page has one call: a page that calls again while its
 * call stands adds nothing; after a withdrawal it stands again. A page may withdraw its own call only. When more pages call
 * than there are places, a withdrawn call gives its place; else `more` is set, and then only the helm ends it, because a call
 * that nobody can see might still stand. What the helm ended are the calls up to then: a second person may have gone over
 * while the helm's tap was under way, and that call stands.
 *
 * The board says that a person was called overboard, and when; never where the person is.
 *
 *   O1  open exactly while at least one call is noted, and, unless there are more, one stands
 *   O2  no page has two calls; no page is noted twice as having heard
 *   O3  person and spotter are nobody or hands of the roster
 *   O4  closed, every byte is zero
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

/* The place of the page's call, -1: none. */
static int32_t call_of_page(const struct board_overboard *emergency, uint64_t page)
{
    for (int32_t i = 0; i < emergency->calls_count; i++) {
        if (emergency->calls[i].id.sender == page)
            return i;
    }
    return -1;
}

static int32_t withdrawn_call(const struct board_overboard *emergency)
{
    for (int32_t i = 0; i < emergency->calls_count; i++) {
        if (emergency->calls[i].withdrawn)
            return i;
    }
    return -1;
}

static bool any_stands(const struct board_overboard *emergency)
{
    for (int32_t i = 0; i < emergency->calls_count; i++) {
        if (!emergency->calls[i].withdrawn)
            return true;
    }
    return emergency->more;
}

bool overboard_names(const struct board *b, struct entry_id id)
{
    if (id_is(b->overboard.id, id))
        return true;
    for (int32_t i = 0; i < b->overboard.calls_count; i++) {
        if (id_is(b->overboard.calls[i].id, id))
            return true;
    }
    return false;
}

/* The call that an entry of this aspect names, a new one aside. */
static struct entry_id call_named(const struct entry *e)
{
    if (e->kind == KIND_OVERBOARD_WITHDRAWN)
        return e->body.overboard_withdrawn.call;
    if (e->kind == KIND_OVERBOARD_HEARD)
        return e->body.overboard_heard.call;
    if (e->kind == KIND_OVERBOARD_SIGHTED)
        return e->body.overboard_sighted.call;
    if (e->kind == KIND_OVERBOARD_PERSON)
        return e->body.overboard_person.call;
    return e->body.overboard_ended.call;
}

static int32_t hand_named(const struct entry *e)
{
    if (e->kind == KIND_OVERBOARD_SIGHTED)
        return e->body.overboard_sighted.hand;
    return e->kind == KIND_OVERBOARD_PERSON ? e->body.overboard_person.hand : 0;
}

/* ---- admit ---- */

/* A page's own call, by the call's own number or, once it has called again, by the page. */
static enum refusal_code withdrawn_refusal(const struct board *b, const struct entry *e)
{
    if (e->body.overboard_withdrawn.call.sender != e->id.sender)
        return REFUSAL_OVERBOARD_NOT_YOURS;
    return call_of_page(&b->overboard, e->id.sender) < 0 ? REFUSAL_OVERBOARD_UNKNOWN : REFUSAL_NONE;
}

enum refusal_code overboard_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_OVERBOARD)
        return REFUSAL_NONE;
    about->entry = call_named(e);
    about->hand = hand_named(e);
    if (e->kind == KIND_OVERBOARD_ENDED && e->body.overboard_ended.how == OVERBOARD_HOW_NONE)
        return REFUSAL_HOW_MISSING;
    if (b->overboard.id.n == 0)
        return refuse_gone(e, REFUSAL_OVERBOARD_OVER);
    if (e->kind == KIND_OVERBOARD_WITHDRAWN)
        return withdrawn_refusal(b, e);
    if (!overboard_names(b, about->entry))
        return refuse_gone(e, REFUSAL_OVERBOARD_UNKNOWN);
    return hand_may(b, about->hand) ? REFUSAL_NONE : REFUSAL_HAND_UNKNOWN;
}

/* ---- apply ---- */

/* Where the page's call goes: its own place, else a new one, else a withdrawn one's; -1: no place. */
static int32_t place_for(struct board_overboard *emergency, uint64_t page)
{
    int32_t own = call_of_page(emergency, page);
    if (own >= 0)
        return own;
    if (emergency->calls_count < BOARD_OVERBOARD_CALLS_MAX)
        return emergency->calls_count++;
    return withdrawn_call(emergency);
}

static void note_call(struct board_overboard *emergency, const struct entry *e)
{
    int32_t own = call_of_page(emergency, e->id.sender);
    if (own >= 0 && !emergency->calls[own].withdrawn)
        return;
    int32_t place = place_for(emergency, e->id.sender);
    if (place < 0) {
        emergency->more = true;
        return;
    }
    struct overboard_call *call = &emergency->calls[place];
    memset(call, 0, sizeof *call);
    call->id = e->id;
    call->by = e->by;
    call->device = e->device;
    call->from = e->from;
    call->at_ms = e->at_ms;
}

static enum outcome called_apply(struct board *b, const struct entry *e)
{
    if (b->overboard.id.n == 0) {
        b->overboard.id = e->id;
        b->overboard.since_ms = e->at_ms;
        b->overboard.place = e->place;
        count_up(&b->counts.overboards);
    }
    note_call(&b->overboard, e);
    return OUTCOME_DONE;
}

static void close_emergency(struct board *b)
{
    memset(&b->overboard, 0, sizeof b->overboard);
}

static enum outcome withdrawn_apply(struct board *b, const struct entry *e)
{
    int32_t own = call_of_page(&b->overboard, e->id.sender);
    if (own < 0 || withdrawn_refusal(b, e) != REFUSAL_NONE || b->overboard.calls[own].withdrawn ||
        entry_late(e, b->overboard.calls[own].at_ms))
        return OUTCOME_MOOT;
    b->overboard.calls[own].withdrawn = true;
    if (!any_stands(&b->overboard))
        close_emergency(b);
    return OUTCOME_DONE;
}

static enum outcome ended_apply(struct board *b, const struct entry *e)
{
    struct board_overboard *emergency = &b->overboard;
    enum outcome outcome = emergency->more ? OUTCOME_DONE : OUTCOME_MOOT;
    if (e->body.overboard_ended.how == OVERBOARD_HOW_NONE)
        return OUTCOME_MOOT;
    for (int32_t i = 0; i < emergency->calls_count; i++) {
        if (emergency->calls[i].withdrawn || entry_late(e, emergency->calls[i].at_ms))
            continue;
        emergency->calls[i].withdrawn = true;
        outcome = OUTCOME_DONE;
    }
    if (outcome == OUTCOME_MOOT)
        return OUTCOME_MOOT;
    emergency->more = false;
    if (!any_stands(emergency))
        close_emergency(b);
    return OUTCOME_DONE;
}

/* That the page went quiet is kept in the log even when the board has no place to show it. */
static void note_heard(struct board_overboard *emergency, const struct entry *e)
{
    for (int32_t i = 0; i < emergency->heard_count; i++) {
        if (emergency->heard[i].page == e->id.sender)
            return;
    }
    if (emergency->heard_count == BOARD_OVERBOARD_HEARD_MAX)
        return;
    struct overboard_heard_by *heard = &emergency->heard[emergency->heard_count++];
    heard->page = e->id.sender;
    heard->hand = e->by;
    heard->at_ms = e->at_ms;
}

static enum outcome sighted_apply(struct board_overboard *emergency, const struct entry *e)
{
    if (entry_late(e, emergency->spotter_ms))
        return OUTCOME_MOOT;
    emergency->spotter = e->body.overboard_sighted.hand;
    emergency->spotter_ms = e->at_ms;
    emergency->sight_lost = e->body.overboard_sighted.lost;
    return OUTCOME_DONE;
}

enum outcome overboard_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_OVERBOARD)
        return called_apply(b, e);
    if (e->kind == KIND_OVERBOARD_WITHDRAWN)
        return withdrawn_apply(b, e);
    if (!overboard_names(b, call_named(e)) || !hand_may(b, hand_named(e)))
        return OUTCOME_MOOT;
    if (e->kind == KIND_OVERBOARD_SIGHTED)
        return sighted_apply(&b->overboard, e);
    if (e->kind == KIND_OVERBOARD_ENDED)
        return ended_apply(b, e);
    if (e->kind == KIND_OVERBOARD_HEARD) {
        note_heard(&b->overboard, e);
    } else {
        b->overboard.person = e->body.overboard_person.hand;
    }
    return OUTCOME_DONE;
}

void overboard_check(const struct board *b)
{
    const struct board_overboard *emergency = &b->overboard;
    struct board_overboard closed;
    memset(&closed, 0, sizeof closed);
    CHECK((emergency->id.n != 0) == (emergency->calls_count > 0)); /* O1 */
    CHECK(emergency->id.n == 0 || any_stands(emergency));          /* O1 */
    for (int32_t i = 0; i < emergency->calls_count; i++)
        CHECK(call_of_page(emergency, emergency->calls[i].id.sender) == i); /* O2 */
    for (int32_t i = 1; i < emergency->heard_count; i++)
        CHECK(emergency->heard[i].page != emergency->heard[i - 1].page);           /* O2 */
    CHECK(hand_may(b, emergency->person) && hand_may(b, emergency->spotter));      /* O3 */
    CHECK(emergency->id.n != 0 || memcmp(emergency, &closed, sizeof closed) == 0); /* O4 */
}
