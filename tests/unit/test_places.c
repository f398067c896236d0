/* Places: added, changed, gone during a trip; never what is in use. */
#include <stdio.h>

#include "board_support.h"

static void place(struct scene *s, int32_t id, const char *name, enum gear gear, bool gone)
{
    struct body_place_set *body = &tap(s, KIND_PLACE_SET)->body.place_set;
    body->place.id = id;
    (void)snprintf(body->place.name, sizeof body->place.name, "%s", name);
    body->place.gear = gear;
    body->place.side = SIDE_STARBOARD;
    body->place.distance_m = 70;
    (void)snprintf(body->place.bait, sizeof body->place.bait, "%s", gear == GEAR_FLOAT ? "squid" : "");
    body->gone = gone;
    (void)send(s);
}

static void test_added_and_changed(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    place(&s, LINES, "float 1", GEAR_FLOAT, false);
    expect_done(&s);
    const struct board_line *line = line_of(&s, LINES);
    assert_string_equal(line->name, "float 1");
    assert_string_equal(line->bait, "squid");
    assert_true(line->assumed);
    assert_int_equal(line->state, LINE_STATE_IN);
    assert_int_equal(line->since_ms, s.now_ms);
    assert_int_equal(line->distance_m, 70);
    tap(&s, KIND_FLOAT_LIGHT)->body.float_light.line = LINES;
    s.entry.body.float_light.light = LIGHT_BLUE;
    (void)send(&s);
    place(&s, LINES, "tip rod", GEAR_LINE, false);
    expect_done(&s);
    assert_int_equal(line->gear, GEAR_LINE);
    assert_int_equal(line->light, LIGHT_NONE);
    assert_string_equal(line->bait, "squid");
    place(&s, LINES + 1, "shotgun", GEAR_LINE, false);
    expect_refused(&s, "place_taken");
    scene_ago(&s, 60000);
    place(&s, PORT_FLAT, "port flat", GEAR_FLOAT, false);
    expect_moot(&s); /* before it was told in */
}

static void test_nothing_in_use_changes(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    place(&s, PORT_FLAT, "port flat", GEAR_FLOAT, true);
    expect_refused(&s, "line_not_in");
    assert_int_equal(s.about.line, PORT_FLAT);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    (void)strike(&s, PORT_FLAT);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    place(&s, PORT_FLAT, "port flat", GEAR_FLOAT, true);
    expect_refused(&s, "line_struck");
    (void)hook(&s, SHOTGUN);
    place(&s, SHOTGUN, "shotgun", GEAR_FLOAT, false);
    expect_refused(&s, "line_has_fish");
    scene_start(&s);
    tap(&s, KIND_RUN)->body.run.fresh = true;
    (void)send(&s);
    place(&s, SHOTGUN, "shotgun", GEAR_LINE, true);
    expect_refused(&s, "line_not_in"); /* not known until it is seen */
}

static void test_gone(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    place(&s, SHOTGUN, "shotgun", GEAR_LINE, true);
    expect_done(&s);
    assert_null(line_of(&s, SHOTGUN));
    assert_int_equal(s.board.presets[0].kept_count, 0);
    place(&s, SHOTGUN, "shotgun", GEAR_LINE, true);
    expect_refused(&s, "line_unknown");
    assert_true(s.board.clear.is_clear);
    place(&s, PORT_FLAT, "port flat", GEAR_LINE, true);
    assert_true(s.board.clear.is_clear);
    place(&s, STARBOARD_FLAT, "starboard flat", GEAR_LINE, true);
    place(&s, PORT_TEASER, "port teaser", GEAR_LINE, true);
    expect_done(&s);
    place(&s, STARBOARD_DREDGE, "starboard dredge", GEAR_LINE, true);
    expect_refused(&s, "spread_bad"); /* the last one stays */
}

static void test_full(void **state)
{
    struct scene s;
    char name[24];
    (void)state;
    scene_start(&s);
    place(&s, PORT_FLAT, "port flat", GEAR_LINE, true);
    for (int32_t id = LINES; id <= BOARD_LINES_MAX; id++) {
        (void)snprintf(name, sizeof name, "place %d", (int)id);
        place(&s, id, name, GEAR_LINE, false);
        expect_done(&s);
    }
    place(&s, PORT_FLAT, "port flat", GEAR_LINE, false);
    expect_done(&s);
    /* twenty-four numbers, twenty-four places: none is left to be one too many */
    place(&s, BOARD_LINES_MAX, "way back", GEAR_LINE, false);
    expect_done(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_added_and_changed),
        cmocka_unit_test(test_nothing_in_use_changes),
        cmocka_unit_test(test_gone),
        cmocka_unit_test(test_full),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
