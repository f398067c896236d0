/* The standing orders: the crew's brief before lines go in.
 *
 *     orders, by the helm ──▶ stand ──▶ replaced as a whole by the next brief; then nobody has heard it yet
 *                              │  ▲
 *                              └──┘ orders_heard; angler_next; a fish comes on
 *
 * Whose turn the rod is: when a fish comes on, its angler is the next of the order, and the turn passes to the one after him. If
 * another takes the rod, the fight is told so (fights.c) and the order goes on as it is; angler_next skips, or lets two swap.
 *
 *   D1  whom the orders name are hands of the roster, nobody twice in the order or among those who have heard
 *   D2  next is of the order; nobody when there is none
 *   D3  without a brief every byte is zero
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static bool among(const int32_t *hands, int32_t count, int32_t hand)
{
    for (int32_t i = 0; i < count; i++) {
        if (hands[i] == hand)
            return true;
    }
    return false;
}

/* The first hand that is named and not of the roster; 0: there is none. */
static int32_t stranger(const struct board *b, const struct body_orders *body)
{
    const int32_t posts[] = {body->wheel, body->wire, body->gaff, body->door, body->next};
    for (size_t i = 0; i < sizeof posts / sizeof posts[0]; i++) {
        if (!hand_may(b, posts[i]))
            return posts[i];
    }
    for (int32_t i = 0; i < body->anglers_count; i++) {
        if (!hand_may(b, body->anglers[i]))
            return body->anglers[i];
    }
    return 0;
}

static bool names_twice(const struct body_orders *body)
{
    for (int32_t i = 0; i < body->anglers_count; i++) {
        if (among(body->anglers, i, body->anglers[i]))
            return true;
    }
    for (int32_t i = 0; i < body->fish_count; i++) {
        for (int32_t k = 0; k < i; k++) {
            if (strcmp(body->fish[i].name, body->fish[k].name) == 0)
                return true;
        }
    }
    return false;
}

static bool presets_known(const struct board *b, const struct body_orders *body)
{
    for (int32_t i = 0; i < body->fish_count; i++) {
        int32_t preset = body->fish[i].preset;
        if (preset != 0 && slot_find(b, PART_PRESETS, &preset) < 0)
            return false;
    }
    return true;
}

static enum refusal_code given_refusal(const struct board *b, const struct body_orders *body)
{
    if (stranger(b, body) != 0)
        return REFUSAL_HAND_UNKNOWN;
    if (names_twice(body))
        return REFUSAL_ORDERS_BAD;
    if (!presets_known(b, body))
        return REFUSAL_PRESET_UNKNOWN;
    bool in_order = body->next == 0 || among(body->anglers, body->anglers_count, body->next);
    return in_order ? REFUSAL_NONE : REFUSAL_NOT_IN_ORDER;
}

static int32_t who_heard(const struct entry *e)
{
    return e->body.orders_heard.hand != 0 ? e->body.orders_heard.hand : e->by;
}

static enum refusal_code heard_refusal(const struct board *b, const struct entry *e)
{
    if (b->orders.id.n == 0)
        return REFUSAL_NO_ORDERS;
    if (who_heard(e) == 0)
        return REFUSAL_NOBODY;
    return hand_may(b, who_heard(e)) ? REFUSAL_NONE : REFUSAL_HAND_UNKNOWN;
}

static enum refusal_code next_refusal(const struct board *b, int32_t hand)
{
    if (b->orders.id.n == 0)
        return REFUSAL_NO_ORDERS;
    return among(b->orders.anglers, b->orders.anglers_count, hand) ? REFUSAL_NONE : REFUSAL_NOT_IN_ORDER;
}

enum refusal_code orders_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_ORDERS) {
        enum refusal_code code = given_refusal(b, &e->body.orders);
        about->hand = code == REFUSAL_HAND_UNKNOWN ? stranger(b, &e->body.orders) : e->body.orders.next;
        return code;
    }
    if (e->kind == KIND_ORDERS_HEARD) {
        about->hand = who_heard(e);
        return entry_late(e, b->orders.since_ms) ? REFUSAL_NONE : heard_refusal(b, e);
    }
    about->hand = e->body.angler_next.hand;
    return entry_late(e, b->orders.next_ms) ? REFUSAL_NONE : next_refusal(b, about->hand);
}

static enum outcome given_apply(struct board *b, const struct entry *e)
{
    const struct body_orders *body = &e->body.orders;
    struct board_orders *orders = &b->orders;
    if (entry_late(e, orders->since_ms) || given_refusal(b, body) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    memset(orders, 0, sizeof *orders);
    orders->id = e->id;
    orders->since_ms = orders->next_ms = e->at_ms;
    orders->wheel = body->wheel;
    orders->wire = body->wire;
    orders->gaff = body->gaff;
    orders->door = body->door;
    orders->keep_ahead_s = body->keep_ahead_s;
    orders->fish_count = body->fish_count;
    TEXT_COPY(orders->fish, body->fish);
    orders->anglers_count = body->anglers_count;
    TEXT_COPY(orders->anglers, body->anglers);
    orders->next = body->next != 0 ? body->next : body->anglers[0];
    return OUTCOME_DONE;
}

/* As many have room as there can be hands. */
static enum outcome heard_apply(struct board *b, const struct entry *e)
{
    struct board_orders *orders = &b->orders;
    if (entry_late(e, orders->since_ms) || heard_refusal(b, e) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    if (!among(orders->heard, orders->heard_count, who_heard(e)))
        orders->heard[orders->heard_count++] = who_heard(e);
    return OUTCOME_DONE;
}

static enum outcome next_apply(struct board *b, const struct entry *e)
{
    int32_t hand = e->body.angler_next.hand;
    if (entry_late(e, b->orders.next_ms) || next_refusal(b, hand) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    b->orders.next = hand;
    b->orders.next_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome orders_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_ORDERS)
        return given_apply(b, e);
    return e->kind == KIND_ORDERS_HEARD ? heard_apply(b, e) : next_apply(b, e);
}

static int32_t after(const struct board_orders *orders, int32_t hand)
{
    int32_t place = 0;
    while (orders->anglers[place] != hand)
        place++;
    return orders->anglers[(place + 1) % orders->anglers_count];
}

void orders_settle(struct board *b, const struct entry *e)
{
    struct board_fight *fight = e->kind == KIND_STRIKE_ENDED ? fight_edit(b, e->body.strike_ended.strike) : NULL;
    if (fight == NULL || b->orders.next == 0)
        return;
    fight->angler = b->orders.next;
    b->orders.next = after(&b->orders, b->orders.next);
    if (b->orders.next_ms < e->at_ms)
        b->orders.next_ms = e->at_ms;
}

static void hands_check(const struct board *b, const int32_t *hands, int32_t count)
{
    for (int32_t i = 0; i < count; i++)
        CHECK(hand_find(b, hands[i]) != NULL && !among(hands, i, hands[i])); /* D1 */
}

void orders_check(const struct board *b)
{
    const struct board_orders *orders = &b->orders;
    struct board_orders none;
    memset(&none, 0, sizeof none);
    CHECK(hand_may(b, orders->wheel) && hand_may(b, orders->wire)); /* D1 */
    CHECK(hand_may(b, orders->gaff) && hand_may(b, orders->door));  /* D1 */
    hands_check(b, orders->anglers, orders->anglers_count);
    hands_check(b, orders->heard, orders->heard_count);
    CHECK((orders->next != 0) == (orders->anglers_count > 0));                               /* D2 */
    CHECK(orders->next == 0 || among(orders->anglers, orders->anglers_count, orders->next)); /* D2 */
    CHECK(orders->id.n != 0 || memcmp(orders, &none, sizeof none) == 0);                     /* D3 */
}
