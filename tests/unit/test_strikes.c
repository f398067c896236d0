/* Strikes: how they open, join, are named and end. */
#include "board_support.h"

static const struct board_strike *first_strike(const struct scene *s)
{
    return &s->board.strikes[0];
}

static void lapse(struct scene *s, struct entry_id id)
{
    tap(s, KIND_STRIKE_LAPSED)->body.strike_lapsed.strike = id;
    (void)send(s);
}

static void test_a_strike_on_a_line(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_STRIKE);
    assert_true(id_is(first_strike(&s)->id, id));
    assert_true(id_is(first_strike(&s)->event, id));
    assert_int_equal(first_strike(&s)->at_ms, s.now_ms);
    assert_int_equal(s.board.counts.strikes, 1);
    assert_false(s.board.clear.is_clear);
}

static void test_the_log_was_behind(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)strike(&s, SHOTGUN);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_STRIKE);
}

static void test_the_same_strike_told_twice(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike(&s, SHOTGUN);
    (void)strike(&s, SHOTGUN);
    expect_moot(&s);
    assert_int_equal(s.board.counts.strikes, 1);
}

static void test_refused(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike(&s, 20);
    expect_refused(&s, "line_unknown");
    (void)hook(&s, SHOTGUN);
    (void)strike(&s, SHOTGUN);
    expect_refused(&s, "line_has_fish");
    for (int i = 0; i < BOARD_STRIKES_MAX; i++)
        (void)strike(&s, 0);
    (void)strike(&s, 0);
    expect_refused(&s, "strikes_full");
}

static void test_within_fifteen_seconds_one_event(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id first = strike(&s, SHOTGUN);
    s.now_ms += 13000;
    (void)strike(&s, PORT_FLAT);
    assert_true(id_is(s.board.strikes[1].event, first));
    s.now_ms += 13000;
    struct entry_id third = strike(&s, STARBOARD_FLAT); /* near the second, which is of the first's event */
    assert_true(id_is(s.board.strikes[2].event, first));
    s.now_ms += 15001;
    struct entry_id fourth = strike(&s, 0);
    assert_true(id_is(s.board.strikes[3].event, fourth));
    assert_false(id_is(third, fourth));
}

static void test_a_fight_goes_on_the_event(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id fight = hook(&s, SHOTGUN);
    (void)strike(&s, PORT_FLAT);
    assert_true(id_is(first_strike(&s)->event, fight));
    (void)strike_ended(&s, s.board.strikes[0].id, STRIKE_END_ON);
    assert_true(id_is(s.board.fights[1].event, fight));
    (void)strike(&s, STARBOARD_FLAT); /* of two near ones the earlier counts */
    assert_true(id_is(first_strike(&s)->event, fight));
}

static void test_named_later(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, 0);
    expect_done(&s);
    (void)strike_named(&s, id, SHOTGUN);
    expect_done(&s);
    assert_int_equal(first_strike(&s)->line, SHOTGUN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_STRIKE);
    (void)strike_named(&s, id, SHOTGUN);
    expect_moot(&s);
    (void)strike_named(&s, id, PORT_FLAT);
    expect_refused(&s, "strike_named");
    assert_int_equal(s.about.line, SHOTGUN);
}

static void test_named_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike(&s, SHOTGUN);
    (void)hook(&s, PORT_FLAT);
    struct entry_id id = strike(&s, 0);
    (void)strike_named(&s, id, 20);
    expect_refused(&s, "line_unknown");
    (void)strike_named(&s, id, SHOTGUN);
    expect_refused(&s, "line_struck");
    (void)strike_named(&s, id, PORT_FLAT);
    expect_refused(&s, "line_has_fish");
    (void)strike_ended(&s, id, STRIKE_END_GONE);
    (void)strike_named(&s, id, STARBOARD_FLAT);
    expect_refused(&s, "strike_over");
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    (void)strike_named(&s, id, STARBOARD_FLAT);
    expect_moot(&s);
}

/* The line was told in between: the strike gets its line, and the line keeps what it was told. */
static void test_named_after_the_line_moved_on(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, 0);
    s.now_ms += 5000;
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    scene_ago(&s, 3000);
    (void)strike_named(&s, id, SHOTGUN);
    expect_done(&s);
    assert_int_equal(first_strike(&s)->line, SHOTGUN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
    (void)strike_ended(&s, id, STRIKE_END_ON); /* tapped before the line was told in: history */
    expect_moot(&s);
    scene_ago(&s, 0);
    (void)strike_ended(&s, id, STRIKE_END_KNOCKDOWN);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
    assert_true(line_of(&s, SHOTGUN)->check);
}

static void test_on(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_done(&s);
    assert_int_equal(first_strike(&s)->id.n, 0);
    assert_true(id_is(s.board.fights[0].id, id));
    assert_int_equal(s.board.fights[0].line, SHOTGUN);
    assert_int_equal(s.board.fights[0].since_ms, s.now_ms);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_ON);
    assert_int_equal(s.board.counts.hooked, 1);
}

static void test_on_and_named_afterwards(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, 0);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_done(&s);
    assert_int_equal(s.board.fights[0].line, 0);
    (void)strike_named(&s, id, SHOTGUN);
    expect_done(&s);
    assert_int_equal(s.board.fights[0].line, SHOTGUN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_ON);
    (void)strike_named(&s, id, PORT_FLAT);
    expect_refused(&s, "strike_named");
}

static void test_a_fight_is_not_named_by_history(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, 0);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    s.now_ms += 5000;
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    scene_ago(&s, 3000);
    (void)strike_named(&s, id, SHOTGUN);
    expect_moot(&s);
}

static void test_knockdown_gone_lapsed(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike_ended(&s, strike(&s, SHOTGUN), STRIKE_END_KNOCKDOWN);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    assert_true(line_of(&s, SHOTGUN)->check);
    (void)strike_ended(&s, strike(&s, PORT_FLAT), STRIKE_END_GONE);
    expect_done(&s);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_OUT);
    assert_false(line_of(&s, PORT_FLAT)->check);
    lapse(&s, strike(&s, STARBOARD_FLAT));
    expect_done(&s);
    assert_int_equal(state_of(&s, STARBOARD_FLAT), LINE_STATE_OUT);
    assert_true(line_of(&s, STARBOARD_FLAT)->unsure);
    lapse(&s, strike(&s, 0));
    expect_done(&s);
    assert_int_equal(s.board.counts.knockdowns, 1);
    assert_int_equal(s.board.counts.gone, 1);
    assert_int_equal(s.board.counts.ends_not_known, 2);
    assert_int_equal(s.board.counts.strikes, 4);
}

static void test_a_lapse_leaves_what_was_told_since(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    lapse(&s, id);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
    assert_false(line_of(&s, SHOTGUN)->unsure);
    lapse(&s, id);
    expect_moot(&s);
}

/* After the trip's end the server can still close what stood open. */
static void test_lapses_after_the_trip(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    (void)trip_ended(&s);
    lapse(&s, id);
    expect_done(&s);
    scene_open(&s);
    tap(&s, KIND_STRIKE_LAPSED)->body.strike_lapsed.strike = id;
    assert_int_equal(board_apply(&s.board, &s.entry), OUTCOME_MOOT);
}

static void test_ended_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    (void)strike_ended(&s, id, STRIKE_END_OPEN);
    expect_refused(&s, "end_missing");
    (void)strike_ended(&s, id, STRIKE_END_NOT_KNOWN);
    expect_refused(&s, "end_missing");
    (void)strike_ended(&s, id, STRIKE_END_GONE);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_refused(&s, "strike_over");
    assert_true(id_is(s.about.entry, id));
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_moot(&s);
}

static void test_fights_full(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    for (int i = 0; i < BOARD_FIGHTS_MAX; i++)
        (void)hook(&s, 0);
    struct entry_id id = strike(&s, SHOTGUN);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_refused(&s, "fights_full");
    (void)strike_ended(&s, id, STRIKE_END_GONE);
    expect_done(&s);
}

/* A look since that changed nothing does not make a strike late; a change of state does. */
static void test_late_for_its_line(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_OUT);
    scene_ago(&s, 1500);
    int64_t told_ms = line_of(&s, SHOTGUN)->told_ms;
    (void)strike(&s, SHOTGUN);
    expect_done(&s);
    assert_int_equal(line_of(&s, SHOTGUN)->told_ms, told_ms);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_NOT_KNOWN);
    scene_ago(&s, 5000);
    (void)strike(&s, PORT_FLAT);
    expect_moot(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_strike_on_a_line),
        cmocka_unit_test(test_the_log_was_behind),
        cmocka_unit_test(test_the_same_strike_told_twice),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_within_fifteen_seconds_one_event),
        cmocka_unit_test(test_a_fight_goes_on_the_event),
        cmocka_unit_test(test_named_later),
        cmocka_unit_test(test_named_wrongly),
        cmocka_unit_test(test_named_after_the_line_moved_on),
        cmocka_unit_test(test_on),
        cmocka_unit_test(test_on_and_named_afterwards),
        cmocka_unit_test(test_a_fight_is_not_named_by_history),
        cmocka_unit_test(test_knockdown_gone_lapsed),
        cmocka_unit_test(test_a_lapse_leaves_what_was_told_since),
        cmocka_unit_test(test_lapses_after_the_trip),
        cmocka_unit_test(test_ended_wrongly),
        cmocka_unit_test(test_fights_full),
        cmocka_unit_test(test_late_for_its_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
