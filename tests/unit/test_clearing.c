/* Clearing: what a call asks for, how lines come in, when it is done, and ALL CLEAR with its basis. */
#include "board_support.h"

static void over(struct scene *s, struct entry_id clearing)
{
    tap(s, KIND_CLEAR_OVER)->body.clear_over.clearing = clearing;
    (void)send(s);
}

static void unheard(struct scene *s, struct entry_id call)
{
    tap(s, KIND_CALL_UNHEARD)->body.call_unheard.call = call;
    (void)send(s);
}

static void all_in(struct scene *s)
{
    for (int32_t line = 1; line < LINES; line++) {
        if (state_of(s, line) != LINE_STATE_IN && state_of(s, line) != LINE_STATE_ON && !line_of(s, line)->kept)
            (void)line_is(s, line, LINE_STATE_IN);
    }
}

static void test_called(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = clear_called(&s, SCOPE_ALL, 0);
    expect_done(&s);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_OPEN);
    assert_true(id_is(s.board.clearing.id, id));
    assert_int_equal(s.board.clearing.reason, CLEAR_REASON_FISH);
    assert_int_equal(s.board.clearing.total, 5);
    assert_int_equal(s.board.clearing.lines_in, 0);
    assert_int_equal(s.board.counts.clearings, 1);
    (void)clear_called(&s, SCOPE_PORT, 0);
    expect_refused(&s, "clearing_open");
    assert_true(id_is(s.about.entry, id));
}

static void test_it_asks_for_what_is_out_and_free(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    (void)clear_called(&s, SCOPE_ALL, STARBOARD_DREDGE);
    expect_done(&s);
    assert_int_equal(s.board.clearing.total, 2); /* starboard flat, port teaser */
    assert_true(line_of(&s, STARBOARD_DREDGE)->kept);
    assert_int_equal(line_of(&s, STARBOARD_DREDGE)->kept_ms, s.now_ms);
}

static void test_called_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)clear_called(&s, SCOPE_ALL, 0);
    expect_refused(&s, "nothing_out");
    (void)clear_called(&s, SCOPE_ALL, 20);
    expect_refused(&s, "line_unknown");
    assert_int_equal(s.about.line, 20);
    s.now_ms += 30000;
    scene_ago(&s, 11000);
    (void)clear_called(&s, SCOPE_ALL, 0);
    expect_moot(&s);
}

/* After a restart a line that is logged as in has not been seen: a call to clear is no time to trust it. */
static void test_unsure_lines_are_asked_for(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    tap(&s, KIND_RUN)->body.run.fresh = true;
    (void)send(&s);
    assert_false(s.board.clear.is_clear);
    (void)clear_called(&s, SCOPE_ALL, PORT_FLAT);
    expect_done(&s);
    assert_int_equal(s.board.clearing.total, 4);
    assert_false(line_of(&s, PORT_FLAT)->kept); /* in, as far as is known: nothing to keep out */
    (void)line_taken(&s, SHOTGUN);
    expect_done(&s);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    assert_true(s.board.clear.is_clear);
}

static void test_taken_and_in(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_PORT, 0);
    assert_false(s.board.clearing.heard);
    (void)line_taken(&s, PORT_FLAT);
    expect_done(&s);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_CLEARING);
    assert_int_equal(line_of(&s, PORT_FLAT)->taken_by, TOBIAS);
    assert_true(s.board.clearing.heard);
    (void)line_taken(&s, PORT_FLAT);
    expect_done(&s); /* the same hand again */
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    assert_int_equal(line_of(&s, PORT_FLAT)->taken_by, 0);
    assert_int_equal(s.board.clearing.lines_in, 1);
    assert_int_equal(s.board.clearing.total, 2);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_OPEN);
    (void)lines_seen(&s, SCOPE_TEASERS, LINE_STATE_IN);
    assert_int_equal(s.board.clearing.lines_in, 2);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
}

static void test_taken_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)clear_called(&s, SCOPE_ALL, STARBOARD_FLAT);
    (void)line_taken(&s, 20);
    expect_refused(&s, "line_unknown");
    (void)line_taken(&s, SHOTGUN);
    expect_refused(&s, "line_has_fish");
    (void)line_taken(&s, STARBOARD_FLAT);
    expect_refused(&s, "kept");
    (void)line_taken(&s, PORT_FLAT);
    s.by = RUTH;
    (void)line_taken(&s, PORT_FLAT);
    expect_refused(&s, "taken");
    assert_int_equal(s.about.hand, TOBIAS);
    assert_int_equal(s.about.line, PORT_FLAT);
    scene_ago(&s, 2500);
    (void)line_taken(&s, PORT_FLAT);
    expect_moot(&s); /* before Tobias had it */
    scene_ago(&s, 0);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    (void)line_taken(&s, PORT_FLAT);
    expect_refused(&s, "line_in");
    s.by = 0;
    (void)line_taken(&s, PORT_TEASER);
    expect_refused(&s, "nobody");
    s.by = 12;
    (void)line_taken(&s, PORT_TEASER);
    expect_refused(&s, "hand_unknown");
}

static void test_heard_by_word_or_deed(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = clear_called(&s, SCOPE_ALL, SHOTGUN);
    unheard(&s, id);
    expect_done(&s);
    assert_true(s.board.clearing.not_heard);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN); /* not one it asks for */
    assert_false(s.board.clearing.heard);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_FOULED);
    assert_false(s.board.clearing.heard);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    assert_true(s.board.clearing.heard);
    assert_false(s.board.clearing.not_heard);
    unheard(&s, id);
    expect_moot(&s);
    over(&s, id);
    id = clear_called(&s, SCOPE_ALL, SHOTGUN);
    struct body_lines_are *body = &tap(&s, KIND_LINES_ARE)->body.lines_are;
    *body = (struct body_lines_are){.in_count = 1, .in = {SHOTGUN}, .out_count = 1, .out = {PORT_TEASER}};
    (void)send(&s);
    expect_done(&s);
    assert_false(s.board.clearing.heard);
    body = &tap(&s, KIND_LINES_ARE)->body.lines_are;
    *body = (struct body_lines_are){.in_count = 2, .in = {SHOTGUN, PORT_TEASER}};
    (void)send(&s);
    assert_true(s.board.clearing.heard);
    over(&s, id);
    id = clear_called(&s, SCOPE_ALL, 0);
    tap(&s, KIND_SHOWN)->body.shown.call = id;
    (void)send(&s);
    expect_done(&s);
    assert_false(s.board.clearing.heard);
    (void)call_got(&s, call_to(&s, STATION_COCKPIT, 0));
    assert_false(s.board.clearing.heard);
    (void)call_got(&s, id);
    expect_done(&s);
    assert_true(s.board.clearing.heard);
    all_in(&s);
    unheard(&s, id);
    expect_moot(&s);
}

static void test_a_fish_counts_as_cleared(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    (void)clear_called(&s, SCOPE_ALL, 0);
    assert_int_equal(s.board.clearing.total, 5);
    all_in(&s); /* the shotgun too, as told; then the line comes tight */
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    assert_int_equal(s.board.clearing.total, 5);
    assert_int_equal(s.board.clearing.lines_in, 4);
    assert_true(s.board.clear.is_clear);
    assert_int_equal(s.board.clear.tapped, 4);
}

static void test_the_last_one_hooks_up(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_CENTRE, 0);
    (void)hook(&s, SHOTGUN);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    assert_int_equal(s.board.clearing.lines_in, 0);
}

static void test_kept_out_and_the_rest(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_ALL, SHOTGUN);
    all_in(&s);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    assert_false(s.board.clear.is_clear);
    assert_true(line_of(&s, SHOTGUN)->kept);
    (void)clear_called(&s, SCOPE_REST, 0);
    expect_done(&s);
    assert_int_equal(s.board.clearing.total, 1);
    assert_false(line_of(&s, SHOTGUN)->kept);
    (void)lines_seen(&s, SCOPE_REST, LINE_STATE_IN);
    expect_done(&s);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    assert_true(s.board.clear.is_clear);
    assert_int_equal(s.board.clear.tapped, 4);
    assert_int_equal(s.board.clear.seen, 1);
}

static void test_keeping_while_it_goes_on(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_PORT, 0);
    (void)line_taken(&s, PORT_FLAT);
    (void)line_kept(&s, PORT_FLAT, true);
    expect_done(&s);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_OUT);
    assert_int_equal(line_of(&s, PORT_FLAT)->taken_by, 0);
    assert_int_equal(s.board.clearing.total, 2);
    (void)line_is(&s, PORT_TEASER, LINE_STATE_IN);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    over(&s, s.board.clearing.id);
    (void)clear_called(&s, SCOPE_ALL, PORT_FLAT);
    assert_int_equal(s.board.clearing.total, 3);
    (void)line_kept(&s, PORT_FLAT, false);
    expect_done(&s);
    assert_int_equal(s.board.clearing.total, 4);
    (void)line_kept(&s, PORT_FLAT, false);
    expect_done(&s);
}

/* Two lines of the port side, then all: the second call stands for both, and what was done for the first stays done. */
static void test_a_wider_call_takes_the_place(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_PORT, 0);
    (void)line_is(&s, PORT_TEASER, LINE_STATE_IN);
    (void)line_taken(&s, PORT_FLAT);
    assert_true(s.board.clearing.heard);
    struct entry_id all = clear_called(&s, SCOPE_ALL, SHOTGUN);
    expect_done(&s);
    assert_true(id_is(s.board.clearing.id, all));
    assert_int_equal(s.board.clearing.scope, SCOPE_ALL);
    assert_int_equal(s.board.clearing.since_ms, s.now_ms);
    assert_false(s.board.clearing.heard);
    assert_int_equal(s.board.clearing.total, 4);
    assert_int_equal(s.board.clearing.lines_in, 1);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_IN);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_CLEARING);
    assert_int_equal(line_of(&s, PORT_FLAT)->taken_by, TOBIAS);
    assert_true(line_of(&s, SHOTGUN)->kept);
    assert_int_equal(s.board.counts.clearings, 2);
    (void)clear_called(&s, SCOPE_ALL, SHOTGUN);
    expect_refused(&s, "clearing_open"); /* nothing new */
    assert_true(id_is(s.about.entry, all));
    (void)clear_called(&s, SCOPE_REST, 0);
    expect_done(&s);
    assert_false(line_of(&s, SHOTGUN)->kept);
    assert_int_equal(s.board.clearing.total, 5);
    assert_int_equal(s.board.clearing.scope, SCOPE_ALL); /* the rest, and what was asked for already */
    over(&s, all);
    expect_refused(&s, "clearing_over"); /* the rest stands in its place */
}

/* One side, then the other: both are asked for. What the second call keeps out is not, whoever had it. */
static void test_the_other_side_as_well(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_PORT, 0);
    (void)line_taken(&s, PORT_TEASER);
    (void)clear_called(&s, SCOPE_STARBOARD, PORT_TEASER);
    expect_done(&s);
    assert_int_equal(s.board.clearing.scope, SCOPE_ALL);
    assert_int_equal(s.board.clearing.total, 3);
    assert_true(line_of(&s, PORT_FLAT)->asked);
    assert_true(line_of(&s, PORT_TEASER)->kept);
    assert_false(line_of(&s, PORT_TEASER)->asked);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_OUT);
    all_in(&s);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    (void)clear_called(&s, SCOPE_REST, 0);
    expect_done(&s);
    assert_int_equal(s.board.clearing.scope, SCOPE_REST); /* a call that is done leaves nothing to ask for */
    assert_int_equal(s.board.clearing.total, 1);
}

/* A line that a call to clear would keep out is nobody's to bring in. */
static void test_a_taken_line_is_kept_by_the_call(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)line_taken(&s, SHOTGUN);
    (void)clear_called(&s, SCOPE_ALL, SHOTGUN);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    assert_true(line_of(&s, SHOTGUN)->kept);
}

static void test_kept_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)line_kept(&s, 20, true);
    expect_refused(&s, "line_unknown");
    (void)line_kept(&s, SHOTGUN, true);
    expect_refused(&s, "line_has_fish");
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    (void)line_kept(&s, PORT_FLAT, true);
    expect_refused(&s, "line_in");
    (void)line_kept(&s, PORT_FLAT, false);
    expect_done(&s);
    (void)line_kept(&s, PORT_TEASER, true);
    scene_ago(&s, 1500);
    (void)line_kept(&s, PORT_TEASER, false);
    expect_moot(&s); /* before it was kept */
    (void)line_is(&s, STARBOARD_FLAT, LINE_STATE_FOULED);
    scene_ago(&s, 5000);
    (void)line_kept(&s, STARBOARD_FLAT, true);
    expect_moot(&s);
}

static void test_a_kept_line_hooks_up(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_ALL, SHOTGUN);
    struct entry_id id = strike(&s, SHOTGUN);
    assert_true(line_of(&s, SHOTGUN)->kept);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    assert_false(line_of(&s, SHOTGUN)->kept);
}

static void test_over(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = clear_called(&s, SCOPE_ALL, SHOTGUN);
    scene_ago(&s, 2500);
    over(&s, id);
    expect_moot(&s); /* before it was called */
    scene_ago(&s, 0);
    over(&s, id);
    expect_done(&s);
    assert_int_equal(s.board.clearing.id.n, 0);
    assert_false(line_of(&s, PORT_FLAT)->asked);
    assert_true(line_of(&s, SHOTGUN)->kept); /* for a later call to clear the rest */
    over(&s, id);
    expect_refused(&s, "clearing_over");
    s.now_ms += 30000;
    scene_ago(&s, 11000);
    over(&s, id);
    expect_moot(&s);
}

static void test_a_late_call_to_clear(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    s.now_ms += 5000;
    (void)clear_called(&s, SCOPE_PORT, 0);
    scene_ago(&s, 3000);
    (void)clear_called(&s, SCOPE_ALL, 0);
    expect_moot(&s);
    assert_int_equal(s.board.clearing.scope, SCOPE_PORT);
}

/* The spread goes out again: the clearing that was done leaves the board, and lines kept out are simply out. */
static void test_done_until_the_next_line_is_set(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)clear_called(&s, SCOPE_ALL, SHOTGUN);
    all_in(&s);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_FOULED);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_DONE);
    assert_int_equal(s.board.clearing.lines_in, 3);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_SETTING);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_NONE);
    assert_false(line_of(&s, SHOTGUN)->kept);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    (void)clear_called(&s, SCOPE_ALL, 0);
    all_in(&s);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_OUT);
    assert_int_equal(s.board.clearing.state, CLEAR_STATE_NONE);
}

/* ---- ALL CLEAR ---- */

static void test_all_clear_rises_and_falls(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    assert_false(s.board.clear.is_clear);
    all_in(&s);
    int64_t since_ms = s.now_ms;
    assert_true(s.board.clear.is_clear);
    assert_int_equal(s.board.clear.since_ms, since_ms);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    assert_int_equal(s.board.clear.since_ms, since_ms);
    (void)line_is(&s, SHOTGUN, LINE_STATE_SETTING);
    assert_false(s.board.clear.is_clear);
    assert_int_equal(s.board.clear.since_ms, 0);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    (void)strike(&s, PORT_FLAT); /* a strike is no fish on: that line is in the water */
    assert_false(s.board.clear.is_clear);
    (void)strike_ended(&s, s.board.strikes[0].id, STRIKE_END_ON);
    assert_true(s.board.clear.is_clear);
    (void)line_is(&s, SHOTGUN, LINE_STATE_NOT_KNOWN);
    assert_false(s.board.clear.is_clear);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    assert_true(s.board.clear.is_clear);
    struct entry_id unnamed = strike(&s, 0); /* something is out, whatever was logged */
    assert_false(s.board.clear.is_clear);
    (void)strike_ended(&s, unnamed, STRIKE_END_GONE);
    assert_true(s.board.clear.is_clear);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_called),
        cmocka_unit_test(test_it_asks_for_what_is_out_and_free),
        cmocka_unit_test(test_called_wrongly),
        cmocka_unit_test(test_unsure_lines_are_asked_for),
        cmocka_unit_test(test_taken_and_in),
        cmocka_unit_test(test_taken_wrongly),
        cmocka_unit_test(test_heard_by_word_or_deed),
        cmocka_unit_test(test_a_fish_counts_as_cleared),
        cmocka_unit_test(test_the_last_one_hooks_up),
        cmocka_unit_test(test_kept_out_and_the_rest),
        cmocka_unit_test(test_keeping_while_it_goes_on),
        cmocka_unit_test(test_a_wider_call_takes_the_place),
        cmocka_unit_test(test_the_other_side_as_well),
        cmocka_unit_test(test_a_taken_line_is_kept_by_the_call),
        cmocka_unit_test(test_kept_wrongly),
        cmocka_unit_test(test_a_kept_line_hooks_up),
        cmocka_unit_test(test_over),
        cmocka_unit_test(test_a_late_call_to_clear),
        cmocka_unit_test(test_done_until_the_next_line_is_set),
        cmocka_unit_test(test_all_clear_rises_and_falls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
