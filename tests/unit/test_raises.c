/* Raises: one fish, the baits it goes for, and how it ends. */
#include "board_support.h"
#include "limit.h"

static struct entry_id raised(struct scene *s, int32_t line)
{
    tap(s, KIND_RAISED)->body.raised.line = line;
    return send(s);
}

static void touched(struct scene *s, struct entry_id episode, int32_t line)
{
    tap(s, KIND_RAISE_TOUCHED)->body.raise_touched.episode = episode;
    s->entry.body.raise_touched.line = line;
    (void)send(s);
}

static void gear(struct scene *s, struct entry_id episode, enum raise_gear moved)
{
    tap(s, KIND_RAISE_GEAR_MOVED)->body.raise_gear_moved.episode = episode;
    s->entry.body.raise_gear_moved.gear = moved;
    (void)send(s);
}

static void raise_ended(struct scene *s, struct entry_id episode, enum raise_end end)
{
    tap(s, KIND_RAISE_ENDED)->body.raise_ended.episode = episode;
    s->entry.body.raise_ended.end = end;
    (void)send(s);
}

static void lapse(struct scene *s, struct entry_id episode)
{
    tap(s, KIND_RAISE_LAPSED)->body.raise_lapsed.episode = episode;
    (void)send(s);
}

/* Raised first, its bait named by touch; a touch is no bite. */
static void test_a_long_raise(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, 0);
    expect_done(&s);
    const struct board_raise *raise = &s.board.raises[0];
    assert_int_equal(raise->line, 0);
    assert_int_equal(raise->by, TOBIAS);
    int64_t at_ms = s.now_ms;
    touched(&s, id, PORT_TEASER);
    touched(&s, id, PORT_TEASER);
    touched(&s, id, SHOTGUN);
    expect_done(&s);
    gear(&s, id, RAISE_GEAR_TEASER_IN);
    expect_done(&s);
    gear(&s, id, RAISE_GEAR_PITCH_IN);
    expect_done(&s);
    assert_true(raise->teaser_in && raise->pitch);
    assert_int_equal(raise->pitch_ms, s.now_ms);
    gear(&s, id, RAISE_GEAR_PITCH_OUT);
    assert_false(raise->pitch);
    assert_int_equal(raise->at_ms, at_ms);
    assert_int_equal(raise->told_ms, s.now_ms);
    assert_int_equal(raise->line, SHOTGUN);
    assert_int_equal(raise->touches, 3);
    assert_int_equal(raise->path_count, 2);
    assert_int_equal(raise->path[0].line, PORT_TEASER);
    assert_int_equal(raise->path[0].at_ms, at_ms + 1000);
    raise_ended(&s, id, RAISE_END_LEFT);
    expect_done(&s);
    assert_int_equal(raise->id.n, 0);
    assert_int_equal(s.board.counts.raises, 1);
    assert_int_equal(s.board.counts.raises_left, 1);
    assert_int_equal(s.board.counts.touches, 3);
    assert_int_equal(s.board.counts.strikes, 0);
}

static void test_a_strike_is_the_fish_that_is_up(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)raised(&s, PORT_TEASER);
    struct entry_id id = strike(&s, PORT_FLAT);
    expect_done(&s);
    assert_int_equal(s.board.raises[0].line, PORT_FLAT);
    assert_int_equal(s.board.raises[0].path_count, 2);
    assert_int_equal(s.board.raises[0].touches, 0);
    (void)strike_ended(&s, id, STRIKE_END_KNOCKDOWN);
    assert_int_equal(s.board.raises[0].path_count, 2);
    id = strike(&s, 0);
    assert_int_equal(s.board.raises[0].path_count, 2);
    (void)strike_named(&s, id, SHOTGUN);
    assert_int_equal(s.board.raises[0].line, SHOTGUN);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_done(&s);
    assert_int_equal(s.board.raises[0].id.n, 0);
    assert_int_equal(s.board.counts.raises_bit, 1);
    (void)strike_named(&s, id, SHOTGUN); /* of a fight, with nothing up */
    assert_int_equal(s.board.counts.raises, 1);
}

/* What struck before the fish was seen is another one. */
static void test_an_earlier_strike_is_not_the_raised_fish(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    s.now_ms += 10000;
    struct entry_id id = raised(&s, 0);
    scene_ago(&s, 5000);
    struct entry_id bite = strike(&s, PORT_FLAT);
    expect_done(&s);
    assert_int_equal(s.board.raises[0].path_count, 0);
    (void)strike_ended(&s, bite, STRIKE_END_ON);
    expect_done(&s);
    assert_true(id_is(s.board.raises[0].id, id));
}

static void test_two_up(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id one = raised(&s, PORT_FLAT), two = raised(&s, SHOTGUN);
    expect_done(&s);
    s.now_ms += LIMIT_JOIN_MS;
    (void)raised(&s, STARBOARD_FLAT);
    expect_refused(&s, "raises_full");
    struct entry_id id = hook(&s, PORT_FLAT); /* where the first is */
    assert_int_equal(s.board.counts.raises_bit, 1);
    assert_true(id_is(s.board.raises[1].id, two));
    (void)fight_ended(&s, id, FIGHT_END_PULLED);
    struct entry_id three = raised(&s, PORT_FLAT);
    expect_done(&s);
    touched(&s, two, SHOTGUN);
    (void)strike(&s, STARBOARD_FLAT); /* where neither is: the one told of last */
    assert_int_equal(s.board.raises[1].line, STARBOARD_FLAT);
    assert_true(id_is(s.board.raises[0].id, three));
    raise_ended(&s, one, RAISE_END_LEFT);
    expect_refused(&s, "raise_over");
    touched(&s, one, SHOTGUN);
    expect_refused(&s, "raise_over");
    gear(&s, one, RAISE_GEAR_TEASER_IN);
    expect_refused(&s, "raise_over");
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    touched(&s, one, SHOTGUN);
    expect_moot(&s);
}

static void test_two_pages_see_one_fish(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, 0);
    s.page = PAGE_B;
    (void)raised(&s, 0);
    expect_moot(&s);
    (void)raised(&s, PORT_TEASER);
    expect_done(&s);
    assert_true(id_is(s.board.raises[0].id, id));
    assert_int_equal(s.board.raises[0].line, PORT_TEASER);
    (void)raised(&s, PORT_TEASER);
    expect_moot(&s);
    (void)raised(&s, 0);
    expect_moot(&s);
    (void)raised(&s, SHOTGUN);
    expect_done(&s);
    assert_int_equal(s.board.counts.raises, 2);
    scene_open(&s);
    (void)raised(&s, 0);
    expect_refused(&s, "no_trip");
}

static void test_told_again_of_before(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)raised(&s, 0);
    scene_ago(&s, 5000);
    (void)raised(&s, SHOTGUN);
    expect_moot(&s);
}

/* The path keeps the order of time, and of a full one the oldest goes. */
static void test_the_path_is_bounded_and_in_order(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, PORT_FLAT);
    int64_t first_ms = s.now_ms;
    s.now_ms += 10000;
    touched(&s, id, SHOTGUN);
    scene_ago(&s, 6000);
    touched(&s, id, STARBOARD_FLAT);
    expect_done(&s);
    assert_int_equal(s.board.raises[0].path[1].line, STARBOARD_FLAT);
    assert_int_equal(s.board.raises[0].line, SHOTGUN);
    scene_ago(&s, 60000);
    touched(&s, id, STARBOARD_FLAT);
    expect_moot(&s);
    gear(&s, id, RAISE_GEAR_PITCH_IN);
    expect_moot(&s);
    raise_ended(&s, id, RAISE_END_LEFT);
    expect_moot(&s);
    scene_ago(&s, 0);
    for (int32_t i = 0; i < BOARD_RAISE_PATH_MAX; i++)
        touched(&s, id, i % 2 == 0 ? PORT_FLAT : SHOTGUN);
    assert_int_equal(s.board.raises[0].path_count, BOARD_RAISE_PATH_MAX);
    assert_true(s.board.raises[0].path[0].at_ms > first_ms);
    assert_int_equal(s.board.raises[0].line, SHOTGUN);
    s.ago_ms = s.now_ms - first_ms - 1; /* older than all that is kept: counted, and not in the path */
    struct board_raise before = s.board.raises[0];
    touched(&s, id, STARBOARD_FLAT);
    expect_done(&s);
    assert_memory_equal(before.path, s.board.raises[0].path, sizeof before.path);
    assert_int_equal(s.board.raises[0].touches, before.touches + 1);
}

static void test_a_pitch_told_late(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, 0);
    s.now_ms += 10000;
    gear(&s, id, RAISE_GEAR_PITCH_IN);
    scene_ago(&s, 4000);
    gear(&s, id, RAISE_GEAR_PITCH_OUT);
    expect_moot(&s);
    gear(&s, id, RAISE_GEAR_TEASER_IN);
    expect_done(&s);
}

static void teaser_in(struct scene *s, struct entry_id episode, enum raise_gear moved, int32_t line)
{
    struct body_raise_gear_moved *body = &tap(s, KIND_RAISE_GEAR_MOVED)->body.raise_gear_moved;
    *body = (struct body_raise_gear_moved){.episode = episode, .gear = moved, .line = line, .eye = true};
    (void)send(s);
}

/* One entry: the raise has its teaser in, and the teaser is in. */
static void test_the_teaser_is_in_as_well(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, PORT_TEASER);
    teaser_in(&s, id, RAISE_GEAR_TEASER_IN, PORT_TEASER);
    expect_done(&s);
    assert_true(s.board.raises[0].teaser_in);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_IN);
    assert_true(line_of(&s, PORT_TEASER)->eye);
    assert_int_equal(line_of(&s, PORT_TEASER)->told_ms, s.now_ms);
    teaser_in(&s, id, RAISE_GEAR_TEASER_IN, STARBOARD_DREDGE);
    expect_done(&s);
    assert_int_equal(state_of(&s, STARBOARD_DREDGE), LINE_STATE_IN);
    (void)line_is(&s, STARBOARD_DREDGE, LINE_STATE_OUT);
    scene_ago(&s, 1500);
    teaser_in(&s, id, RAISE_GEAR_TEASER_IN, STARBOARD_DREDGE);
    expect_done(&s);
    assert_int_equal(state_of(&s, STARBOARD_DREDGE), LINE_STATE_OUT);
}

static void test_no_teaser_to_come_in(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, 0);
    teaser_in(&s, id, RAISE_GEAR_TEASER_IN, SHOTGUN);
    expect_refused(&s, "not_teaser");
    assert_int_equal(s.about.line, SHOTGUN);
    teaser_in(&s, id, RAISE_GEAR_PITCH_IN, PORT_TEASER);
    expect_refused(&s, "not_teaser");
    teaser_in(&s, id, RAISE_GEAR_TEASER_IN, 20);
    expect_refused(&s, "line_unknown");
    assert_false(s.board.raises[0].teaser_in);
    (void)hook(&s, PORT_TEASER);
    struct entry_id next = raised(&s, 0);
    teaser_in(&s, next, RAISE_GEAR_TEASER_IN, PORT_TEASER);
    expect_refused(&s, "line_has_fish");
    teaser_in(&s, (struct entry_id){1, 1, LANE_ORDINARY}, RAISE_GEAR_TEASER_IN, PORT_TEASER);
    expect_refused(&s, "raise_over");
}

static void test_ended_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, 0);
    raise_ended(&s, id, RAISE_END_OPEN);
    expect_refused(&s, "end_missing");
    (void)raised(&s, 24);
    expect_refused(&s, "line_unknown");
    touched(&s, id, 24);
    expect_refused(&s, "line_unknown");
}

/* It lapses, and may be told after all; not by saying again that nobody knows. */
static void test_lapsed_and_settled(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = raised(&s, SHOTGUN);
    lapse(&s, id);
    expect_done(&s);
    assert_int_equal(s.board.counts.raises_not_known, 1);
    assert_int_equal(s.board.open_ends[0].of, END_OF_RAISE);
    assert_int_equal(s.board.open_ends[0].line, SHOTGUN);
    lapse(&s, id);
    expect_moot(&s);
    raise_ended(&s, id, RAISE_END_NOT_KNOWN);
    expect_refused(&s, "raise_over");
    scene_ago(&s, 60000);
    raise_ended(&s, id, RAISE_END_LEFT);
    expect_moot(&s);
    scene_ago(&s, 0);
    (void)trip_ended(&s);
    raise_ended(&s, id, RAISE_END_LEFT);
    expect_done(&s);
    assert_int_equal(s.board.counts.raises_not_known, 0);
    assert_int_equal(s.board.counts.raises_left, 1);
    raise_ended(&s, id, RAISE_END_BIT);
    expect_refused(&s, "raise_over");
    scene_out(&s);
    raise_ended(&s, raised(&s, 0), RAISE_END_NOT_KNOWN);
    expect_done(&s);
    assert_int_equal(s.board.counts.raises_not_known, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_long_raise),
        cmocka_unit_test(test_a_strike_is_the_fish_that_is_up),
        cmocka_unit_test(test_an_earlier_strike_is_not_the_raised_fish),
        cmocka_unit_test(test_two_up),
        cmocka_unit_test(test_two_pages_see_one_fish),
        cmocka_unit_test(test_told_again_of_before),
        cmocka_unit_test(test_the_path_is_bounded_and_in_order),
        cmocka_unit_test(test_a_pitch_told_late),
        cmocka_unit_test(test_the_teaser_is_in_as_well),
        cmocka_unit_test(test_no_teaser_to_come_in),
        cmocka_unit_test(test_ended_wrongly),
        cmocka_unit_test(test_lapsed_and_settled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
