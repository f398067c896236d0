/* The standing orders: the brief, who has heard it, whose turn the rod is. */
#include <stdio.h>

#include "board_support.h"

static struct body_orders *orders_tap(struct scene *s)
{
    struct body_orders *body = &tap(s, KIND_ORDERS)->body.orders;
    body->wheel = INES;
    body->wire = RUTH;
    body->gaff = TOBIAS;
    body->door = TOBIAS;
    body->keep_ahead_s = 25;
    body->fish_count = 2;
    (void)snprintf(body->fish[0].name, sizeof body->fish[0].name, "sail");
    body->fish[0].preset = 1;
    (void)snprintf(body->fish[1].name, sizeof body->fish[1].name, "tuna");
    body->anglers_count = 3;
    body->anglers[0] = DOV;
    body->anglers[1] = AMPARO;
    body->anglers[2] = RUTH;
    return body;
}

static void given(struct scene *s)
{
    (void)orders_tap(s);
    (void)send(s);
    expect_done(s);
}

static void heard(struct scene *s, int32_t hand)
{
    tap(s, KIND_ORDERS_HEARD)->body.orders_heard.hand = hand;
    (void)send(s);
}

static void angler_next(struct scene *s, int32_t hand)
{
    tap(s, KIND_ANGLER_NEXT)->body.angler_next.hand = hand;
    (void)send(s);
}

static void test_the_brief(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    heard(&s, TOBIAS);
    expect_refused(&s, "no_orders");
    angler_next(&s, TOBIAS);
    expect_refused(&s, "no_orders");
    given(&s);
    const struct board_orders *orders = &s.board.orders;
    assert_true(id_is(orders->id, s.entry.id));
    assert_int_equal(orders->since_ms, s.now_ms);
    assert_int_equal(orders->wire, RUTH);
    assert_int_equal(orders->keep_ahead_s, 25);
    assert_string_equal(orders->fish[0].name, "sail");
    assert_int_equal(orders->next, DOV);
    heard(&s, 0); /* whose tap it is */
    heard(&s, DOV);
    heard(&s, DOV);
    expect_done(&s);
    assert_int_equal(orders->heard_count, 2);
    assert_int_equal(orders->heard[0], TOBIAS);
    assert_int_equal(orders->heard[1], DOV);
    heard(&s, 12);
    expect_refused(&s, "hand_unknown");
    s.by = 0;
    heard(&s, 0);
    expect_refused(&s, "nobody");
    scene_ago(&s, 60000);
    heard(&s, AMPARO);
    expect_moot(&s); /* that was an earlier brief */
    (void)orders_tap(&s);
    (void)send(&s);
    expect_moot(&s);
    scene_ago(&s, 0);
    orders_tap(&s)->next = RUTH;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(orders->next, RUTH);
    assert_int_equal(orders->heard_count, 0);
}

static void refused(struct scene *s, const char *why, int32_t hand)
{
    (void)send(s);
    expect_refused(s, why);
    assert_int_equal(s->about.hand, hand);
}

static void test_orders_that_cannot_be(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    orders_tap(&s)->gaff = 12;
    refused(&s, "hand_unknown", 12);
    orders_tap(&s)->anglers[1] = 11;
    refused(&s, "hand_unknown", 11);
    orders_tap(&s)->anglers[1] = DOV;
    refused(&s, "orders_bad", 0);
    (void)snprintf(orders_tap(&s)->fish[1].name, sizeof s.entry.body.orders.fish[1].name, "sail");
    refused(&s, "orders_bad", 0);
    orders_tap(&s)->fish[1].preset = 6;
    refused(&s, "preset_unknown", 0);
    orders_tap(&s)->next = INES;
    refused(&s, "not_in_order", INES);
    struct body_orders *body = orders_tap(&s);
    body->anglers_count = 0;
    memset(body->anglers, 0, sizeof body->anglers);
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.orders.next, 0);
}

/* The angler of a fight is the next of the order, and the turn passes on; round and round. */
static void test_the_turn_passes_on(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, PORT_FLAT);
    assert_int_equal(s.board.fights[0].angler, 0);
    given(&s);
    (void)hook(&s, SHOTGUN);
    assert_int_equal(s.board.fights[1].angler, DOV);
    assert_int_equal(s.board.orders.next, AMPARO);
    assert_int_equal(s.board.orders.next_ms, s.now_ms);
    struct entry_id fight = s.board.fights[1].id;
    tap(&s, KIND_FIGHT_ANGLER)->body.fight_angler.fight = fight;
    s.entry.body.fight_angler.hand = INES;
    (void)send(&s);
    assert_int_equal(s.board.orders.next, AMPARO); /* another took the rod: the order goes on as it is */
    angler_next(&s, RUTH);
    expect_done(&s);
    angler_next(&s, INES);
    expect_refused(&s, "not_in_order");
    scene_ago(&s, 5000);
    angler_next(&s, AMPARO);
    expect_moot(&s);
    scene_ago(&s, 0);
    (void)hook(&s, STARBOARD_FLAT);
    assert_int_equal(s.board.fights[2].angler, RUTH);
    assert_int_equal(s.board.orders.next, DOV);
    (void)strike_ended(&s, strike(&s, 0), STRIKE_END_GONE);
    assert_int_equal(s.board.orders.next, DOV);
}

/* Who came on before the turn was told keeps the angler of the order as it stands; the turn's time does not go back. */
static void test_a_late_on(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    given(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    s.now_ms += 10000;
    angler_next(&s, RUTH);
    int64_t next_ms = s.now_ms;
    scene_ago(&s, 5000);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_done(&s);
    assert_int_equal(s.board.fights[0].angler, RUTH);
    assert_int_equal(s.board.orders.next, DOV);
    assert_int_equal(s.board.orders.next_ms, next_ms);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_brief),
        cmocka_unit_test(test_orders_that_cannot_be),
        cmocka_unit_test(test_the_turn_passes_on),
        cmocka_unit_test(test_a_late_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
