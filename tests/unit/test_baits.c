/* Baits: what was found at a look, whose clock runs from when; light sticks. (line_bait by itself: test_lines.c) */
#include "board_support.h"

static void checked(struct scene *s, int32_t line, enum bait_result result)
{
    tap(s, KIND_BAIT_CHECKED)->body.bait_checked.line = line;
    s->entry.body.bait_checked.result = result;
    (void)send(s);
}

static void light(struct scene *s, int32_t line, enum light colour)
{
    tap(s, KIND_FLOAT_LIGHT)->body.float_light.line = line;
    s->entry.body.float_light.light = colour;
    (void)send(s);
}

static void test_a_look(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    checked(&s, PORT_FLAT, BAIT_RESULT_CHEWED);
    expect_done(&s);
    const struct board_line *line = line_of(&s, PORT_FLAT);
    assert_int_equal(line->checked_ms, s.now_ms);
    assert_int_equal(line->result, BAIT_RESULT_CHEWED);
    assert_int_equal(line->bait_ms, 0);
    assert_false(line->assumed);
    checked(&s, PORT_FLAT, BAIT_RESULT_CHANGED);
    expect_done(&s);
    assert_int_equal(line->bait_ms, s.now_ms);
    assert_int_equal(s.board.counts.bait_checks, 2);
    scene_ago(&s, 5000);
    checked(&s, PORT_FLAT, BAIT_RESULT_CLEAN);
    expect_moot(&s);
    scene_ago(&s, 0);
    checked(&s, PORT_FLAT, BAIT_RESULT_NONE);
    expect_refused(&s, "result_missing");
    checked(&s, 24, BAIT_RESULT_CLEAN);
    expect_refused(&s, "line_unknown");
}

/* The clock restarts only at the look: a knockdown asks for one, and leaves the times alone. */
static void test_a_knockdown_asks_for_a_look(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    checked(&s, SHOTGUN, BAIT_RESULT_CLEAN);
    int64_t checked_ms = s.now_ms;
    (void)strike_ended(&s, strike(&s, SHOTGUN), STRIKE_END_KNOCKDOWN);
    assert_true(line_of(&s, SHOTGUN)->check);
    assert_int_equal(line_of(&s, SHOTGUN)->checked_ms, checked_ms);
    checked(&s, SHOTGUN, BAIT_RESULT_WEED);
    assert_false(line_of(&s, SHOTGUN)->check);
    assert_int_equal(line_of(&s, SHOTGUN)->checked_ms, s.now_ms);
}

/* A change seen before the bait that was said since keeps that bait's time. */
static void test_a_change_told_late(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    s.now_ms += 10000;
    tap(&s, KIND_LINE_BAIT)->body.line_bait.line = SHOTGUN;
    (void)send(&s);
    int64_t bait_ms = s.now_ms;
    scene_ago(&s, 5000);
    checked(&s, SHOTGUN, BAIT_RESULT_CHANGED);
    expect_done(&s);
    assert_int_equal(line_of(&s, SHOTGUN)->bait_ms, bait_ms);
}

static void test_lights(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct body_place_set *body = &tap(&s, KIND_PLACE_SET)->body.place_set;
    body->place.id = LINES;
    body->place.name[0] = 'F';
    body->place.gear = GEAR_FLOAT;
    (void)send(&s);
    expect_done(&s);
    light(&s, LINES, LIGHT_GREEN);
    expect_done(&s);
    assert_int_equal(line_of(&s, LINES)->light, LIGHT_GREEN);
    scene_ago(&s, 5000);
    light(&s, LINES, LIGHT_RED);
    expect_moot(&s);
    scene_ago(&s, 0);
    light(&s, SHOTGUN, LIGHT_RED);
    expect_refused(&s, "not_float");
    light(&s, 24, LIGHT_RED);
    expect_refused(&s, "line_unknown");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_look),
        cmocka_unit_test(test_a_knockdown_asks_for_a_look),
        cmocka_unit_test(test_a_change_told_late),
        cmocka_unit_test(test_lights),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
