/* The trip: how it starts, what it starts with, its phases and its end. */
#include "board_support.h"

static void test_starts_on_an_empty_board(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    const struct board *b = &s.board;
    assert_int_equal(b->trip.phase, PHASE_DOCK);
    assert_true(id_is(b->trip.id, s.entry.id));
    assert_string_equal(b->trip.name, "Grey Petrel");
    assert_int_equal(b->trip.no, 7);
    assert_int_equal(b->trip.line_in_ms, 9000);
    assert_string_equal(b->trip.rules, "own rules 2026-01");
    assert_int_equal(b->trip.started_ms, s.now_ms);
    assert_int_equal(line_of(&s, PORT_FLAT)->state, LINE_STATE_IN);
    assert_string_equal(line_of(&s, PORT_FLAT)->bait, "ballyhoo");
    assert_true(line_of(&s, PORT_FLAT)->assumed);
    assert_false(line_of(&s, SHOTGUN)->assumed);
    assert_false(line_of(&s, PORT_FLAT)->unsure);
    assert_int_equal(line_of(&s, STARBOARD_DREDGE)->gear, GEAR_DREDGE);
    assert_string_equal(hand_find(b, DOV)->name, "Dov");
    assert_true(hand_find(b, DOV)->voice);
    assert_int_equal(b->lists[0].items_count, LIST_DEPART_ITEMS);
    assert_int_equal(b->checks[0].list, LIST_DEPART);
    assert_int_equal(b->checks[0].state, CHECK_STATE_NONE);
    assert_int_equal(b->presets[0].kept[0], SHOTGUN);
    assert_true(b->clear.is_clear);
    assert_int_equal(b->clear.tapped, 5);
}

static void test_a_running_trip_is_not_started_over(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)trip_tap(&s);
    (void)send(&s);
    expect_refused(&s, "trip_running");
}

static void test_the_next_trip_empties_the_board(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)trip_ended(&s);
    (void)trip_tap(&s);
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.fights[0].id.n, 0);
    assert_int_equal(s.board.counts.hooked, 0);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
}

/* Nothing that calls for help may be emptied away. */
static void test_no_trip_over_an_emergency(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    (void)tap(&s, KIND_OVERBOARD);
    struct entry_id call = send(&s);
    (void)trip_tap(&s);
    (void)send(&s);
    expect_refused(&s, "emergency_open");
    tap(&s, KIND_OVERBOARD_ENDED)->body.overboard_ended.call = call;
    s.entry.body.overboard_ended.how = OVERBOARD_HOW_ABOARD;
    (void)send(&s);
    expect_done(&s);
    (void)tap(&s, KIND_STOP);
    (void)send(&s);
    (void)trip_tap(&s);
    (void)send(&s);
    expect_refused(&s, "stop_open");
}

static void bad_body(const char *code, void (*spoil)(struct body_trip_started *))
{
    struct scene s;
    scene_open(&s);
    spoil(&trip_tap(&s)->body.trip_started);
    (void)send(&s);
    expect_refused(&s, code);
}

static void no_spread(struct body_trip_started *body)
{
    body->spread_count = 0;
    body->presets_count = 0;
}

static void same_place(struct body_trip_started *body)
{
    body->spread[2].id = body->spread[1].id;
}

static void same_place_name(struct body_trip_started *body)
{
    memcpy(body->spread[2].name, body->spread[0].name, sizeof body->spread[2].name);
}

static void same_hand(struct body_trip_started *body)
{
    body->crew[3].id = body->crew[0].id;
}

static void same_hand_name(struct body_trip_started *body)
{
    memcpy(body->crew[3].name, body->crew[1].name, sizeof body->crew[3].name);
}

static void same_list(struct body_trip_started *body)
{
    body->lists[1].id = body->lists[0].id;
}

static void preset_elsewhere(struct body_trip_started *body)
{
    body->presets[0].kept[0] = 20;
}

static void same_preset(struct body_trip_started *body)
{
    body->presets[1] = body->presets[0];
    body->presets[1].id = 2;
    body->presets[2] = body->presets[0];
    body->presets_count = 3;
}

static void test_what_names_a_thing_twice_is_no_trip(void **state)
{
    (void)state;
    bad_body("spread_bad", no_spread);
    bad_body("spread_bad", same_place);
    bad_body("spread_bad", same_place_name);
    bad_body("spread_bad", preset_elsewhere);
    bad_body("spread_bad", same_preset);
    bad_body("crew_bad", same_hand);
    bad_body("crew_bad", same_hand_name);
    bad_body("lists_bad", same_list);
}

static void test_phases(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)trip_phase(&s, PHASE_FISHING);
    expect_done(&s);
    int64_t since_ms = s.now_ms;
    assert_int_equal(s.board.trip.since_ms, since_ms);
    (void)trip_phase(&s, PHASE_FISHING);
    expect_done(&s);
    assert_int_equal(s.board.trip.since_ms, since_ms);
    (void)trip_phase(&s, PHASE_ENDED);
    expect_refused(&s, "trip_over");
    (void)trip_phase(&s, PHASE_NONE);
    expect_refused(&s, "trip_over");
}

static void test_a_late_phase_is_history(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)trip_phase(&s, PHASE_FISHING);
    scene_ago(&s, 60000);
    (void)trip_phase(&s, PHASE_RUNNING);
    expect_moot(&s);
}

static void test_without_a_trip(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    (void)trip_phase(&s, PHASE_FISHING);
    expect_refused(&s, "no_trip");
    (void)trip_phase(&s, PHASE_ENDED);
    expect_refused(&s, "no_trip");
    (void)trip_ended(&s);
    expect_refused(&s, "no_trip");
    (void)line_is(&s, PORT_FLAT, LINE_STATE_OUT);
    expect_refused(&s, "no_trip");
}

static void test_the_end(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)trip_ended(&s);
    expect_done(&s);
    assert_int_equal(s.board.trip.phase, PHASE_ENDED);
    assert_int_equal(s.board.trip.ended_ms, s.now_ms);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    (void)trip_ended(&s);
    expect_refused(&s, "trip_over");
    (void)trip_phase(&s, PHASE_FISHING);
    expect_refused(&s, "trip_over");
    (void)strike(&s, SHOTGUN);
    expect_refused(&s, "trip_over");
    /* tapped before the end */
    scene_ago(&s, 60000);
    (void)strike(&s, SHOTGUN);
    expect_moot(&s);
}

static void test_what_happened_before_the_trip_is_history(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    scene_ago(&s, 60000);
    (void)strike(&s, 0);
    expect_moot(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_starts_on_an_empty_board),
        cmocka_unit_test(test_a_running_trip_is_not_started_over),
        cmocka_unit_test(test_the_next_trip_empties_the_board),
        cmocka_unit_test(test_no_trip_over_an_emergency),
        cmocka_unit_test(test_what_names_a_thing_twice_is_no_trip),
        cmocka_unit_test(test_phases),
        cmocka_unit_test(test_a_late_phase_is_history),
        cmocka_unit_test(test_without_a_trip),
        cmocka_unit_test(test_the_end),
        cmocka_unit_test(test_what_happened_before_the_trip_is_history),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
