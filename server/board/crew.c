/* The crew: hands, where they work, who speaks through which page, who has the wheel and the look-out.
 *
 * A hand never leaves the roster within a trip: old entries go on naming it.
 *
 *   R1  no two hands bear the same name
 *   R2  wheel and look-out are nobody's or a hand's of the roster
 *   R3  a page speaks for nobody or for a hand of the roster
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static enum refusal_code added_refusal(const struct board *b, const struct entry *e)
{
    if (slot_free(b, PART_HANDS) < 0)
        return REFUSAL_ROSTER_FULL;
    return hand_of_name(b, e->body.hand_added.name) != 0 ? REFUSAL_NAME_TAKEN : REFUSAL_NONE;
}

/* The hand that an entry of this aspect is about; 0: nobody. */
static int32_t hand_named(const struct entry *e)
{
    if (e->kind == KIND_HAND_STATION)
        return e->body.hand_station.hand;
    return e->kind == KIND_PAGE_HAND ? e->body.page_hand.hand : e->body.duty.hand;
}

enum refusal_code crew_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_HAND_ADDED)
        return added_refusal(b, e);
    about->hand = hand_named(e);
    return hand_may(b, about->hand) ? REFUSAL_NONE : REFUSAL_HAND_UNKNOWN;
}

static enum outcome added_apply(struct board *b, const struct entry *e)
{
    if (added_refusal(b, e) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    int32_t id = 1;
    while (hand_find(b, id) != NULL)
        id++;
    struct board_hand *hand = &b->hands[slot_free(b, PART_HANDS)];
    hand->id = id;
    TEXT_COPY(hand->name, e->body.hand_added.name);
    hand->station = e->body.hand_added.station;
    hand->voice = e->body.hand_added.voice;
    return OUTCOME_DONE;
}

static enum outcome station_apply(struct board *b, const struct entry *e)
{
    struct board_hand *hand = hand_edit(b, e->body.hand_station.hand);
    if (hand == NULL)
        return OUTCOME_MOOT;
    hand->station = e->body.hand_station.station;
    return OUTCOME_DONE;
}

/* The page is the one that sent it. */
static enum outcome page_hand_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_find(b, PART_PAGES, &e->id.sender);
    if (slot < 0 || !hand_may(b, e->body.page_hand.hand))
        return OUTCOME_MOOT;
    b->pages[slot].hand = e->body.page_hand.hand;
    return OUTCOME_DONE;
}

static enum outcome duty_apply(struct board *b, const struct entry *e)
{
    bool wheel = e->body.duty.post == POST_WHEEL;
    int32_t *who = wheel ? &b->duty.wheel : &b->duty.look_out;
    int64_t *since_ms = wheel ? &b->duty.wheel_ms : &b->duty.look_out_ms;
    if (entry_late(e, *since_ms) || !hand_may(b, e->body.duty.hand))
        return OUTCOME_MOOT;
    *who = e->body.duty.hand;
    *since_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome crew_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_HAND_ADDED)
        return added_apply(b, e);
    if (e->kind == KIND_HAND_STATION)
        return station_apply(b, e);
    return e->kind == KIND_PAGE_HAND ? page_hand_apply(b, e) : duty_apply(b, e);
}

void crew_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++) {
        for (int32_t k = 0; k < i; k++)
            CHECK(b->hands[i].id == 0 || b->hands[k].id == 0 ||
                  strcmp(b->hands[i].name, b->hands[k].name) != 0); /* R1 */
    }
    CHECK(hand_may(b, b->duty.wheel) && hand_may(b, b->duty.look_out)); /* R2 */
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++)
        CHECK(hand_may(b, b->pages[i].hand)); /* R3 */
}
