/* The deck: the transom door, the gaff, the chum slick, who is woken first at night.
 *
 * Each is a fact as of a time, not a toggle: told again it stays as it is, and since when stays. A gaff is called for while a
 * fish is on and falls with the last fight. What the board says of the door is what was logged of it, never that it is shut.
 *
 *   K1  a gaff is up only while a fight is open; down, it is nobody's
 *   K2  gaff and stand-by are nobody's or hands of the roster
 */
#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static bool any_fight(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        if (b->fights[i].id.n != 0)
            return true;
    }
    return false;
}

static enum refusal_code gaff_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->hand = e->body.gaff.hand;
    if (!hand_may(b, about->hand))
        return REFUSAL_HAND_UNKNOWN;
    return e->body.gaff.up && !any_fight(b) ? refuse_gone(e, REFUSAL_NO_FIGHT) : REFUSAL_NONE;
}

enum refusal_code deck_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_GAFF)
        return gaff_admit(b, e, about);
    if (e->kind != KIND_STAND_BY)
        return REFUSAL_NONE;
    about->hand = e->body.stand_by.hand;
    return hand_may(b, about->hand) ? REFUSAL_NONE : REFUSAL_HAND_UNKNOWN;
}

/* A door and a slick: open or shut, going or not, since when. */
static enum outcome told(bool *is_so, int64_t *since_ms, bool now, const struct entry *e)
{
    if (entry_late(e, *since_ms))
        return OUTCOME_MOOT;
    if (*is_so != now)
        *since_ms = e->at_ms;
    *is_so = now;
    return OUTCOME_DONE;
}

static enum outcome gaff_apply(struct board *b, const struct entry *e)
{
    bool up = e->body.gaff.up;
    if (!hand_may(b, e->body.gaff.hand) || (up && !any_fight(b)))
        return OUTCOME_MOOT;
    if (told(&b->deck.gaff, &b->deck.gaff_ms, up, e) == OUTCOME_MOOT)
        return OUTCOME_MOOT;
    b->deck.gaff_by = up ? e->body.gaff.hand : 0;
    return OUTCOME_DONE;
}

static enum outcome stand_by_apply(struct board *b, const struct entry *e)
{
    if (entry_late(e, b->deck.stand_by_ms) || !hand_may(b, e->body.stand_by.hand))
        return OUTCOME_MOOT;
    b->deck.stand_by = e->body.stand_by.hand;
    b->deck.stand_by_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome deck_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_DOOR)
        return told(&b->deck.door, &b->deck.door_ms, e->body.door.open, e);
    if (e->kind == KIND_SLICK)
        return told(&b->deck.slick, &b->deck.slick_ms, e->body.slick.on, e);
    return e->kind == KIND_GAFF ? gaff_apply(b, e) : stand_by_apply(b, e);
}

void deck_settle(struct board *b, const struct entry *e)
{
    if (!b->deck.gaff || any_fight(b))
        return;
    b->deck.gaff = false;
    b->deck.gaff_by = 0;
    b->deck.gaff_ms = e->at_ms;
}

void deck_check(const struct board *b)
{
    CHECK(!b->deck.gaff || any_fight(b));                                 /* K1 */
    CHECK(b->deck.gaff || b->deck.gaff_by == 0);                          /* K1 */
    CHECK(hand_may(b, b->deck.gaff_by) && hand_may(b, b->deck.stand_by)); /* K2 */
}
