/* The deck: door, gaff, slick, stand-by. */
#include "board_support.h"

static void door(struct scene *s, bool open)
{
    tap(s, KIND_DOOR)->body.door.open = open;
    (void)send(s);
}

static void gaff(struct scene *s, bool up, int32_t hand)
{
    tap(s, KIND_GAFF)->body.gaff.up = up;
    s->entry.body.gaff.hand = hand;
    (void)send(s);
}

static void stand_by(struct scene *s, int32_t hand)
{
    tap(s, KIND_STAND_BY)->body.stand_by.hand = hand;
    (void)send(s);
}

static void test_the_door(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    door(&s, true);
    expect_done(&s);
    int64_t since_ms = s.now_ms;
    door(&s, true);
    expect_done(&s);
    assert_true(s.board.deck.door);
    assert_int_equal(s.board.deck.door_ms, since_ms);
    scene_ago(&s, 20000);
    door(&s, false);
    expect_moot(&s);
    scene_ago(&s, 0);
    door(&s, false);
    assert_false(s.board.deck.door);
    assert_int_equal(s.board.deck.door_ms, s.now_ms);
    (void)trip_ended(&s);
    door(&s, true);
    expect_refused(&s, "trip_over");
}

static void test_the_gaff_falls_with_the_last_fight(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    gaff(&s, true, RUTH);
    expect_refused(&s, "no_fight");
    struct entry_id one = hook(&s, SHOTGUN), two = hook(&s, PORT_FLAT);
    gaff(&s, true, 12);
    expect_refused(&s, "hand_unknown");
    gaff(&s, true, RUTH);
    expect_done(&s);
    assert_int_equal(s.board.deck.gaff_by, RUTH);
    gaff(&s, true, AMPARO);
    assert_int_equal(s.board.deck.gaff_by, AMPARO);
    (void)fight_ended(&s, one, FIGHT_END_BOATED);
    assert_true(s.board.deck.gaff);
    (void)fight_ended(&s, two, FIGHT_END_RELEASED);
    assert_false(s.board.deck.gaff);
    assert_int_equal(s.board.deck.gaff_by, 0);
    assert_int_equal(s.board.deck.gaff_ms, s.now_ms);
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    gaff(&s, true, RUTH);
    expect_moot(&s);
}

static void test_the_gaff_put_away(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    gaff(&s, true, 0);
    expect_done(&s);
    scene_ago(&s, 5000);
    gaff(&s, false, 0);
    expect_moot(&s);
    scene_ago(&s, 0);
    gaff(&s, false, RUTH);
    expect_done(&s);
    assert_false(s.board.deck.gaff);
    assert_int_equal(s.board.deck.gaff_by, 0);
}

static void test_slick_and_stand_by(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    tap(&s, KIND_SLICK)->body.slick.on = true;
    (void)send(&s);
    expect_done(&s);
    assert_true(s.board.deck.slick);
    assert_int_equal(s.board.deck.slick_ms, s.now_ms);
    stand_by(&s, DOV);
    expect_done(&s);
    assert_int_equal(s.board.deck.stand_by, DOV);
    stand_by(&s, 12);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 12);
    scene_ago(&s, 20000);
    stand_by(&s, RUTH);
    expect_moot(&s);
    scene_ago(&s, 0);
    stand_by(&s, 0);
    expect_done(&s);
    assert_int_equal(s.board.deck.stand_by, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_door),
        cmocka_unit_test(test_the_gaff_falls_with_the_last_fight),
        cmocka_unit_test(test_the_gaff_put_away),
        cmocka_unit_test(test_slick_and_stand_by),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
