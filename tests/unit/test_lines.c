/* The lines: told by tap, seen by eye, baits, and what came too late. */
#include "board_support.h"

#include <stdio.h>

static struct entry_id bait(struct scene *s, int32_t line, const char *name)
{
    struct body_line_bait *body = &tap(s, KIND_LINE_BAIT)->body.line_bait;
    body->line = line;
    (void)snprintf(body->bait, sizeof body->bait, "%s", name);
    return send(s);
}

static void test_told(void **state)
{
    struct scene s;
    const enum line_state told[] = {LINE_STATE_SETTING, LINE_STATE_OUT, LINE_STATE_FOULED, LINE_STATE_NOT_KNOWN,
                                    LINE_STATE_IN};
    (void)state;
    scene_start(&s);
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        (void)line_is(&s, SHOTGUN, told[i]);
        expect_done(&s);
        assert_int_equal(state_of(&s, SHOTGUN), told[i]);
        assert_int_equal(line_of(&s, SHOTGUN)->since_ms, s.now_ms);
        assert_int_equal(line_of(&s, SHOTGUN)->by, TOBIAS);
    }
}

static void test_not_told_so(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)line_is(&s, SHOTGUN, LINE_STATE_ON);
    expect_refused(&s, "state_not_told");
    (void)line_is(&s, SHOTGUN, LINE_STATE_STRIKE);
    expect_refused(&s, "state_not_told");
    (void)line_is(&s, SHOTGUN, LINE_STATE_CLEARING);
    expect_refused(&s, "state_not_told");
    (void)line_is(&s, 20, LINE_STATE_OUT);
    expect_refused(&s, "line_unknown");
    assert_int_equal(s.about.line, 20);
}

static void test_a_fish_holds_the_line(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    expect_refused(&s, "line_has_fish");
    assert_int_equal(s.about.line, SHOTGUN);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    expect_done(&s);
}

/* Told again: who and how is new, since when is not. A tap from between the two tellings is late. */
static void test_told_again(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)line_is(&s, SHOTGUN, LINE_STATE_OUT);
    int64_t since_ms = s.now_ms;
    s.by = RUTH;
    s.now_ms += 20000;
    tap(&s, KIND_LINE_IS)->body.line_is.line = SHOTGUN;
    s.entry.body.line_is.state = LINE_STATE_OUT;
    s.entry.body.line_is.eye = true;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(line_of(&s, SHOTGUN)->since_ms, since_ms);
    assert_int_equal(line_of(&s, SHOTGUN)->told_ms, s.now_ms);
    assert_int_equal(line_of(&s, SHOTGUN)->by, RUTH);
    assert_true(line_of(&s, SHOTGUN)->eye);
    scene_ago(&s, 10000);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    expect_moot(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
}

/* Never refused for today's state. */
static void test_a_late_tap_under_a_fish_is_history(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    scene_ago(&s, 5000);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    expect_moot(&s);
}

static void test_baits(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)bait(&s, PORT_FLAT, "");
    expect_done(&s);
    assert_string_equal(line_of(&s, PORT_FLAT)->bait, "ballyhoo");
    assert_false(line_of(&s, PORT_FLAT)->assumed);
    assert_int_equal(line_of(&s, PORT_FLAT)->bait_ms, s.now_ms);
    (void)bait(&s, PORT_FLAT, "blue lure");
    expect_done(&s);
    assert_string_equal(line_of(&s, PORT_FLAT)->bait, "blue lure");
    (void)bait(&s, 20, "squid");
    expect_refused(&s, "line_unknown");
    scene_ago(&s, 2500);
    (void)bait(&s, PORT_FLAT, "squid");
    expect_moot(&s);
}

/* The look at the bait is done when a bait is told. */
static void test_a_knockdown_asks_for_a_look(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike_ended(&s, strike(&s, SHOTGUN), STRIKE_END_KNOCKDOWN);
    assert_true(line_of(&s, SHOTGUN)->check);
    (void)bait(&s, SHOTGUN, "");
    assert_false(line_of(&s, SHOTGUN)->check);
}

static void test_seen_by_eye(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)lines_seen(&s, SCOPE_PORT, LINE_STATE_OUT);
    expect_done(&s);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_OUT);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_OUT);
    assert_int_equal(state_of(&s, STARBOARD_FLAT), LINE_STATE_IN);
    assert_true(line_of(&s, PORT_FLAT)->eye);
    (void)lines_seen(&s, SCOPE_STARBOARD, LINE_STATE_OUT);
    assert_int_equal(state_of(&s, STARBOARD_DREDGE), LINE_STATE_OUT);
    (void)lines_seen(&s, SCOPE_CENTRE, LINE_STATE_OUT);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    (void)lines_seen(&s, SCOPE_DREDGES, LINE_STATE_IN);
    assert_int_equal(state_of(&s, STARBOARD_DREDGE), LINE_STATE_IN);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_OUT);
    (void)line_is(&s, STARBOARD_DREDGE, LINE_STATE_OUT);
    (void)lines_seen(&s, SCOPE_TEASERS, LINE_STATE_IN);
    assert_int_equal(state_of(&s, STARBOARD_DREDGE), LINE_STATE_IN);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_IN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    assert_true(s.board.clear.is_clear);
    assert_int_equal(s.board.clear.seen, 5);
}

static void test_not_seen_so(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_FOULED);
    expect_refused(&s, "state_not_told");
    (void)lines_seen(&s, SCOPE_REST, LINE_STATE_IN);
    expect_refused(&s, "scope_bad");
    scene_ago(&s, 11000);
    s.now_ms += 20000;
    (void)lines_seen(&s, SCOPE_REST, LINE_STATE_IN);
    expect_moot(&s);
}

/* A look from a distance knows less than a hand on the line. */
static void test_a_look_adds_no_more_than_it_sees(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)strike(&s, STARBOARD_FLAT);
    (void)line_taken(&s, PORT_FLAT);
    (void)line_is(&s, PORT_TEASER, LINE_STATE_FOULED);
    tap(&s, KIND_RUN)->body.run.fresh = true;
    (void)send(&s);
    assert_true(line_of(&s, SHOTGUN)->unsure);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_OUT);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_ON);
    assert_int_equal(state_of(&s, STARBOARD_FLAT), LINE_STATE_STRIKE);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_CLEARING);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_FOULED);
    for (int32_t line = 1; line < LINES; line++)
        assert_false(line_of(&s, line)->unsure);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_ON);
    assert_int_equal(state_of(&s, STARBOARD_FLAT), LINE_STATE_STRIKE);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_IN);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_IN);
}

/* Five tapped, one of them looked at as well: still five tapped. */
static void test_a_look_does_not_weaken_a_tap(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    (void)lines_seen(&s, SCOPE_PORT, LINE_STATE_IN);
    assert_false(line_of(&s, PORT_FLAT)->eye);
    assert_int_equal(line_of(&s, PORT_FLAT)->told_ms, s.now_ms);
    assert_true(line_of(&s, PORT_TEASER)->eye);
}

static void test_a_late_look_leaves_newer_news(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_OUT);
    scene_ago(&s, 1500);
    (void)lines_seen(&s, SCOPE_PORT, LINE_STATE_IN);
    expect_done(&s);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_OUT);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_IN);
}

static void test_kept_lines_are_not_part_of_all_in(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)line_kept(&s, SHOTGUN, true);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    (void)lines_seen(&s, SCOPE_REST, LINE_STATE_IN);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
    assert_false(line_of(&s, SHOTGUN)->kept);
}

/* Those lines, 0 for none, told in one entry. */
static struct entry_id lines_are(struct scene *s, int32_t in_1, int32_t in_2, int32_t out, bool eye)
{
    struct body_lines_are *body = &tap(s, KIND_LINES_ARE)->body.lines_are;
    for (int32_t i = 0; i < 2; i++) {
        int32_t in = i == 0 ? in_1 : in_2;
        if (in != 0)
            body->in[body->in_count++] = in;
    }
    if (out != 0)
        body->out[body->out_count++] = out;
    body->eye = eye;
    return send(s);
}

/* Each line of the entry is told as a line_is of its own would tell it. */
static void test_several_in_one_entry(void **state)
{
    struct scene s, alone;
    (void)state;
    scene_out(&s);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    alone = s;
    (void)lines_are(&s, PORT_FLAT, STARBOARD_FLAT, SHOTGUN, true);
    expect_done(&s);
    const int32_t lines[] = {PORT_FLAT, STARBOARD_FLAT, SHOTGUN};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        alone.now_ms = s.now_ms - 1000;
        tap(&alone, KIND_LINE_IS)->body.line_is.line = lines[i];
        alone.entry.body.line_is.state = lines[i] == SHOTGUN ? LINE_STATE_OUT : LINE_STATE_IN;
        alone.entry.body.line_is.eye = true;
        (void)send(&alone);
        expect_done(&alone);
    }
    assert_memory_equal(&s.board, &alone.board, sizeof s.board);
    assert_true(line_of(&s, PORT_FLAT)->eye);
    (void)lines_are(&s, PORT_TEASER, STARBOARD_DREDGE, 0, false);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_IN);
    assert_false(line_of(&s, PORT_TEASER)->eye);
    (void)lines_are(&s, 0, 0, PORT_TEASER, false);
    assert_int_equal(state_of(&s, PORT_TEASER), LINE_STATE_OUT);
}

/* The first line that cannot be told so is named, and none of the others is moved. */
static void test_one_that_cannot_be_stops_all(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN);
    (void)lines_are(&s, PORT_FLAT, SHOTGUN, 0, false);
    expect_refused(&s, "line_has_fish");
    assert_int_equal(s.about.line, SHOTGUN);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_OUT);
    (void)lines_are(&s, PORT_FLAT, 0, 20, false);
    expect_refused(&s, "line_unknown");
    assert_int_equal(s.about.line, 20);
    (void)lines_are(&s, 0, 0, 0, true);
    expect_refused(&s, "lines_bad");
    (void)lines_are(&s, PORT_FLAT, PORT_FLAT, 0, false);
    expect_refused(&s, "lines_bad");
    (void)lines_are(&s, PORT_FLAT, 0, PORT_FLAT, false);
    expect_refused(&s, "lines_bad");
}

/* Of a line that was told since, the newer news stays; the others are told. */
static void test_several_told_late(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_OUT);
    (void)hook(&s, SHOTGUN);
    scene_ago(&s, 3500);
    (void)lines_are(&s, PORT_FLAT, STARBOARD_FLAT, 0, false);
    expect_done(&s);
    assert_int_equal(state_of(&s, PORT_FLAT), LINE_STATE_OUT);
    assert_int_equal(state_of(&s, STARBOARD_FLAT), LINE_STATE_IN);
    scene_ago(&s, 6500);
    (void)lines_are(&s, PORT_FLAT, SHOTGUN, 0, false);
    expect_moot(&s);
}

/* After a start every line that is unsure is confirmed as it is shown. */
static void test_all_as_shown(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    tap(&s, KIND_RUN)->body.run.fresh = true;
    (void)send(&s);
    struct body_lines_are *body = &tap(&s, KIND_LINES_ARE)->body.lines_are;
    body->in[body->in_count++] = PORT_FLAT;
    for (int32_t line = PORT_FLAT + 1; line < LINES; line++)
        body->out[body->out_count++] = line;
    body->eye = true;
    (void)send(&s);
    expect_done(&s);
    for (int32_t line = 1; line < LINES; line++) {
        assert_false(line_of(&s, line)->unsure);
        assert_int_equal(state_of(&s, line), line == PORT_FLAT ? LINE_STATE_IN : LINE_STATE_OUT);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_told),
        cmocka_unit_test(test_not_told_so),
        cmocka_unit_test(test_a_fish_holds_the_line),
        cmocka_unit_test(test_told_again),
        cmocka_unit_test(test_a_late_tap_under_a_fish_is_history),
        cmocka_unit_test(test_baits),
        cmocka_unit_test(test_a_knockdown_asks_for_a_look),
        cmocka_unit_test(test_seen_by_eye),
        cmocka_unit_test(test_not_seen_so),
        cmocka_unit_test(test_a_look_adds_no_more_than_it_sees),
        cmocka_unit_test(test_a_look_does_not_weaken_a_tap),
        cmocka_unit_test(test_a_late_look_leaves_newer_news),
        cmocka_unit_test(test_kept_lines_are_not_part_of_all_in),
        cmocka_unit_test(test_several_in_one_entry),
        cmocka_unit_test(test_one_that_cannot_be_stops_all),
        cmocka_unit_test(test_several_told_late),
        cmocka_unit_test(test_all_as_shown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
