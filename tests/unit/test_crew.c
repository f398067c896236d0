/* The crew: the roster, stations, whose page it is, wheel and look-out. */
#include "board_support.h"

#include <stdio.h>

static struct entry_id hand_added(struct scene *s, const char *name)
{
    struct body_hand_added *body = &tap(s, KIND_HAND_ADDED)->body.hand_added;
    (void)snprintf(body->name, sizeof body->name, "%s", name);
    body->station = STATION_BELOW;
    body->voice = true;
    return send(s);
}

static struct entry_id duty(struct scene *s, enum post post, int32_t hand)
{
    tap(s, KIND_DUTY)->body.duty.post = post;
    s->entry.body.duty.hand = hand;
    return send(s);
}

static void test_a_hand_gets_the_lowest_free_number(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)hand_added(&s, "Wren");
    expect_done(&s);
    assert_string_equal(hand_find(&s.board, 6)->name, "Wren");
    assert_int_equal(hand_find(&s.board, 6)->station, STATION_BELOW);
    assert_true(hand_find(&s.board, 6)->voice);
}

static void test_a_name_once(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)hand_added(&s, "Ruth");
    expect_refused(&s, "name_taken");
    (void)hand_added(&s, "ruth");
    expect_done(&s);
}

/* Also before a trip: people come aboard first. */
static void test_the_roster_holds_twelve(void **state)
{
    struct scene s;
    char name[] = "hand A";
    (void)state;
    scene_open(&s);
    for (int i = 0; i < BOARD_HANDS_MAX; i++) {
        name[5] = (char)('A' + i);
        (void)hand_added(&s, name);
        expect_done(&s);
    }
    (void)hand_added(&s, "one more");
    expect_refused(&s, "roster_full");
}

static void test_stations(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    tap(&s, KIND_HAND_STATION)->body.hand_station.hand = RUTH;
    s.entry.body.hand_station.station = STATION_BRIDGE;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(hand_find(&s.board, RUTH)->station, STATION_BRIDGE);
    tap(&s, KIND_HAND_STATION)->body.hand_station.hand = 11;
    (void)send(&s);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 11);
}

static void test_a_page_speaks_for_a_hand(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    tap(&s, KIND_PAGE_HAND)->body.page_hand.hand = RUTH;
    (void)send(&s);
    expect_moot(&s); /* that page is not on the board */
    tap(&s, KIND_PAGE_JOINED)->body.page_joined.page = PAGE_A;
    (void)send(&s);
    tap(&s, KIND_PAGE_HAND)->body.page_hand.hand = RUTH;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.pages[0].hand, RUTH);
    tap(&s, KIND_PAGE_HAND)->body.page_hand.hand = 9;
    (void)send(&s);
    expect_refused(&s, "hand_unknown");
}

static void test_wheel_and_look_out(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)duty(&s, POST_WHEEL, INES);
    expect_done(&s);
    assert_int_equal(s.board.duty.wheel_ms, s.now_ms);
    (void)duty(&s, POST_LOOK_OUT, DOV);
    expect_done(&s);
    assert_int_equal(s.board.duty.wheel, INES);
    assert_int_equal(s.board.duty.look_out, DOV);
    (void)duty(&s, POST_LOOK_OUT, 0);
    expect_done(&s);
    assert_int_equal(s.board.duty.look_out, 0);
    (void)duty(&s, POST_WHEEL, 12);
    expect_refused(&s, "hand_unknown");
    scene_ago(&s, 60000);
    (void)duty(&s, POST_WHEEL, RUTH);
    expect_moot(&s);
    assert_int_equal(s.board.duty.wheel, INES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_hand_gets_the_lowest_free_number),
        cmocka_unit_test(test_a_name_once),
        cmocka_unit_test(test_the_roster_holds_twelve),
        cmocka_unit_test(test_stations),
        cmocka_unit_test(test_a_page_speaks_for_a_hand),
        cmocka_unit_test(test_wheel_and_look_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
