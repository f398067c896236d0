/* HURT: never refused, told, looked after; the report's clock stays. */
#include "board_support.h"

#include <stdio.h>

static struct entry_id hurt(struct scene *s)
{
    (void)tap(s, KIND_HURT);
    return send(s);
}

static void told(struct scene *s, struct entry_id id, int32_t hand, enum hurt_how how)
{
    struct body_hurt_told *body = &tap(s, KIND_HURT_TOLD)->body.hurt_told;
    body->hurt = id;
    body->hand = hand;
    body->how = how;
    (void)send(s);
}

static void over(struct scene *s, struct entry_id id)
{
    tap(s, KIND_HURT_OVER)->body.hurt_over.hurt = id;
    (void)send(s);
}

static void test_told_and_looked_after(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = hurt(&s);
    expect_done(&s);
    int64_t since_ms = s.now_ms;
    told(&s, id, RUTH, HURT_HOW_FIRST_AID);
    expect_done(&s);
    scene_ago(&s, 900);
    told(&s, id, DOV, HURT_HOW_NOT_SAID);
    expect_done(&s);
    scene_ago(&s, 60000);
    told(&s, id, RUTH, HURT_HOW_DEAD);
    expect_moot(&s);
    over(&s, id);
    expect_moot(&s);
    scene_ago(&s, 0);
    told(&s, id, 12, HURT_HOW_FIRST_AID);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 12);
    over(&s, id);
    expect_done(&s);
    over(&s, id);
    expect_moot(&s);
    told(&s, id, DOV, HURT_HOW_BEYOND_FIRST_AID); /* known only later */
    expect_done(&s);
    assert_true(s.board.hurts[0].over);
    assert_int_equal(s.board.hurts[0].hand, DOV);
    assert_int_equal(s.board.hurts[0].how, HURT_HOW_BEYOND_FIRST_AID);
    assert_int_equal(s.board.hurts[0].since_ms, since_ms);
    over(&s, (struct entry_id){PAGE_A, 99, LANE_EMERGENCY});
    expect_refused(&s, "hurt_unknown");
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    told(&s, (struct entry_id){PAGE_A, 99, LANE_EMERGENCY}, 0, HURT_HOW_NOT_SAID);
    expect_moot(&s);
}

static void test_no_trip_is_needed_and_none_begins_over_it(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct entry_id id = hurt(&s);
    expect_done(&s);
    (void)trip_tap(&s);
    (void)send(&s);
    expect_refused(&s, "hurt_open");
    over(&s, id);
    (void)trip_tap(&s);
    (void)send(&s);
    expect_done(&s);
}

/* Of more than four the oldest that is looked after gives way; none that stands does. */
static void test_more_than_four(void **state)
{
    struct scene s;
    struct entry_id id[BOARD_HURTS_MAX];
    (void)state;
    scene_out(&s);
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++)
        id[i] = hurt(&s);
    (void)hurt(&s);
    expect_done(&s);
    assert_int_equal(s.board.counts.hurts, BOARD_HURTS_MAX + 1);
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++)
        assert_true(id_is(s.board.hurts[i].id, id[i]));
    over(&s, id[2]);
    over(&s, id[1]);
    struct entry_id sixth = hurt(&s);
    assert_true(id_is(s.board.hurts[1].id, sixth));
    assert_true(id_is(s.board.hurts[2].id, id[2]));
    assert_false(s.board.hurts[1].over);
}

static void kept(struct scene *s, struct entry_id id, int64_t since_ms, const char *who)
{
    struct body_hurt_kept *body = &tap(s, KIND_HURT_KEPT)->body.hurt_kept;
    *body = (struct body_hurt_kept){.hurt = id, .since_ms = since_ms, .how = HURT_HOW_NOT_SAID};
    (void)snprintf(body->who, sizeof body->who, "%s", who);
    (void)send(s);
}

/* The next trip numbers its crew anew: who it is goes by name, and by hand once that is told. */
static void test_kept_from_an_earlier_trip(void **state)
{
    struct scene s;
    struct entry_id one = {PAGE_B, 1, LANE_EMERGENCY}, two = {PAGE_B, 2, LANE_EMERGENCY};
    (void)state;
    scene_start(&s);
    kept(&s, one, 5000, "Ruth");
    expect_done(&s);
    const struct board_hurt *hurts = s.board.hurts;
    assert_true(id_is(hurts[0].id, one) && hurts[0].over);
    assert_int_equal(hurts[0].since_ms, 5000);
    assert_int_equal(hurts[0].told_ms, s.now_ms);
    assert_int_equal(hurts[0].hand, RUTH);
    assert_string_equal(hurts[0].name, "");
    assert_int_equal(s.board.counts.hurts, 0);
    kept(&s, one, 5000, "Ruth");
    expect_moot(&s);
    kept(&s, two, s.now_ms + 9000, "Karin");
    expect_done(&s);
    assert_int_equal(hurts[1].hand, 0);
    assert_string_equal(hurts[1].name, "Karin");
    s.now_ms += 9000;
    told(&s, two, 0, HURT_HOW_BEYOND_FIRST_AID);
    expect_done(&s);
    assert_string_equal(hurts[1].name, "Karin");
    told(&s, two, DOV, HURT_HOW_BEYOND_FIRST_AID);
    assert_int_equal(hurts[1].hand, DOV);
    assert_string_equal(hurts[1].name, "");
    kept(&s, (struct entry_id){PAGE_B, 3, LANE_EMERGENCY}, 1, "");
    expect_done(&s);
    assert_true(hurts[2].hand == 0 && hurts[2].name[0] == '\0');
    (void)hurt(&s);
    kept(&s, (struct entry_id){PAGE_B, 4, LANE_EMERGENCY}, 1, "Ruth");
    expect_moot(&s);
    (void)hurt(&s); /* one that is looked after gives way */
    expect_done(&s);
    assert_int_equal(slot_find(&s.board, PART_HURTS, &(struct entry_id){PAGE_B, 3, LANE_EMERGENCY}), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_told_and_looked_after),
        cmocka_unit_test(test_no_trip_is_needed_and_none_begins_over_it),
        cmocka_unit_test(test_more_than_four),
        cmocka_unit_test(test_kept_from_an_earlier_trip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
