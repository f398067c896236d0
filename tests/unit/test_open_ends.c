/* Ends that nobody told, and that are told after all. */
#include "board/open_ends.h"
#include "board_support.h"
#include "limit.h"

static struct entry_id lapsed(struct scene *s, int32_t line)
{
    struct entry_id id = strike(s, line);
    expect_done(s);
    tap(s, KIND_STRIKE_LAPSED)->body.strike_lapsed.strike = id;
    (void)send(s);
    expect_done(s);
    return id;
}

static void baited(struct scene *s, int32_t line)
{
    tap(s, KIND_LINE_BAIT)->body.line_bait.line = line;
    (void)send(s);
    expect_done(s);
}

static void test_a_knockdown_told_late(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = lapsed(&s, SHOTGUN);
    assert_int_equal(s.board.open_ends[0].of, END_OF_STRIKE);
    scene_ago(&s, 60000);
    (void)strike_ended(&s, id, STRIKE_END_KNOCKDOWN);
    expect_moot(&s); /* before it struck */
    scene_ago(&s, 0);
    (void)strike_ended(&s, id, STRIKE_END_OPEN);
    expect_refused(&s, "end_missing");
    (void)strike_ended(&s, id, STRIKE_END_KNOCKDOWN);
    expect_done(&s);
    assert_true(line_of(&s, SHOTGUN)->check);
    assert_int_equal(s.board.counts.knockdowns, 1);
    assert_int_equal(s.board.counts.ends_not_known, 0);
    assert_int_equal(s.board.open_ends[0].id.n, 0);
    (void)strike_ended(&s, id, STRIKE_END_GONE);
    expect_refused(&s, "strike_over"); /* one end, and no second */
    (void)strike_ended(&s, lapsed(&s, 0), STRIKE_END_GONE);
    expect_done(&s);
    (void)strike_ended(&s, lapsed(&s, 0), STRIKE_END_KNOCKDOWN);
    expect_done(&s);
    assert_int_equal(s.board.counts.gone, 1);
}

static void test_a_bait_seen_since_needs_no_look(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = lapsed(&s, SHOTGUN);
    baited(&s, SHOTGUN);
    (void)strike_ended(&s, id, STRIKE_END_KNOCKDOWN);
    expect_done(&s);
    assert_false(line_of(&s, SHOTGUN)->check);
    id = lapsed(&s, PORT_FLAT);
    tap(&s, KIND_BAIT_CHECKED)->body.bait_checked.line = PORT_FLAT;
    s.entry.body.bait_checked.result = BAIT_RESULT_CLEAN;
    (void)send(&s);
    (void)strike_ended(&s, id, STRIKE_END_KNOCKDOWN);
    assert_false(line_of(&s, PORT_FLAT)->check);
}

/* The hands were full for more than a minute, and it was on all the while. */
static void test_on_after_all(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = lapsed(&s, SHOTGUN);
    (void)strike_ended(&s, id, STRIKE_END_ON);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_ON);
    assert_true(id_is(s.board.fights[0].id, id));
    assert_int_equal(s.board.counts.hooked, 1);
    assert_int_equal(s.board.counts.ends_not_known, 0);
    (void)strike_ended(&s, lapsed(&s, 0), STRIKE_END_ON);
    expect_done(&s);
    assert_int_equal(s.board.fights[1].line, 0);
}

/* The fish was on, and is not any more: its fight is to be settled next. */
static void expect_past(struct scene *s, struct entry_id id)
{
    (void)strike_ended(s, id, STRIKE_END_ON);
    expect_done(s);
    assert_null(fight_find(&s->board, id));
    assert_non_null(open_end_find(&s->board, id, END_OF_FIGHT));
    assert_null(open_end_find(&s->board, id, END_OF_STRIKE));
    assert_int_equal(s->board.counts.fights_not_known, 1);
    (void)fight_ended(s, id, FIGHT_END_NOT_KNOWN);
    expect_refused(s, "fight_over");
    (void)fight_ended(s, id, FIGHT_END_PULLED);
    expect_done(s);
    assert_int_equal(s->board.counts.fights_not_known, 0);
    assert_int_equal(s->board.counts.pulled, 1);
    assert_int_equal(s->board.counts.hooked, 1);
    (void)fight_ended(s, id, FIGHT_END_BOATED);
    expect_refused(s, "fight_over");
}

static void test_on_in_the_past(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = lapsed(&s, SHOTGUN);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN); /* told something since */
    expect_past(&s, id);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
    scene_out(&s);
    id = lapsed(&s, SHOTGUN);
    (void)line_is(&s, SHOTGUN, LINE_STATE_OUT);
    expect_past(&s, id);
    scene_out(&s);
    id = lapsed(&s, SHOTGUN);
    s.now_ms += LIMIT_ON_MS;
    expect_past(&s, id);
    scene_out(&s);
    id = lapsed(&s, SHOTGUN);
    (void)trip_ended(&s);
    expect_past(&s, id);
    scene_out(&s);
    id = lapsed(&s, SHOTGUN);
    (void)strike(&s, SHOTGUN); /* another fish has struck it since */
    expect_past(&s, id);
}

static void test_on_with_the_place_gone(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = lapsed(&s, SHOTGUN);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    struct body_place_set *body = &tap(&s, KIND_PLACE_SET)->body.place_set;
    body->place.id = SHOTGUN;
    body->gone = true;
    (void)send(&s);
    expect_done(&s);
    expect_past(&s, id);
    (void)strike_ended(&s, lapsed(&s, PORT_FLAT), STRIKE_END_KNOCKDOWN);
    expect_done(&s);
}

static void test_a_fight_of_no_known_end(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = hook(&s, SHOTGUN);
    (void)fight_ended(&s, id, FIGHT_END_NOT_KNOWN);
    expect_done(&s);
    (void)line_is(&s, SHOTGUN, LINE_STATE_IN);
    scene_ago(&s, 60000);
    (void)fight_ended(&s, id, FIGHT_END_BOATED);
    expect_moot(&s);
    scene_ago(&s, 0);
    (void)trip_ended(&s);
    (void)fight_ended(&s, id, FIGHT_END_BOATED);
    expect_done(&s);
    assert_int_equal(s.board.counts.boated, 1);
    assert_int_equal(s.board.counts.fights_not_known, 0);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_IN);
}

/* A trip that ended with a fish still on the board. */
static void test_what_stood_open_at_the_end(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id fight = hook(&s, SHOTGUN), bite = strike(&s, PORT_FLAT);
    (void)trip_ended(&s);
    (void)strike_ended(&s, bite, STRIKE_END_GONE);
    expect_done(&s);
    (void)fight_ended(&s, fight, FIGHT_END_RELEASED);
    expect_done(&s);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    expect_done(&s);
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    expect_done(&s);
    assert_true(s.board.clear.is_clear);
    scene_ago(&s, s.now_ms - 1);
    (void)line_is(&s, PORT_FLAT, LINE_STATE_OUT);
    expect_moot(&s); /* before the trip */
}

static void test_named_at_the_dock(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = lapsed(&s, 0);
    (void)strike_named(&s, id, 24);
    expect_refused(&s, "line_unknown");
    (void)strike_named(&s, id, SHOTGUN);
    expect_done(&s);
    assert_int_equal(s.board.open_ends[0].line, SHOTGUN);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_OUT);
    (void)strike_named(&s, id, SHOTGUN);
    expect_moot(&s);
    (void)strike_named(&s, id, PORT_FLAT);
    expect_refused(&s, "strike_named");
    assert_int_equal(s.about.line, SHOTGUN);
}

/* Ten are kept; the eleventh takes the place of the oldest, whose end stays not known. */
static void test_the_last_ten(void **state)
{
    struct scene s;
    struct entry_id id[BOARD_OPEN_ENDS_MAX + 1];
    (void)state;
    scene_out(&s);
    for (int32_t i = 0; i <= BOARD_OPEN_ENDS_MAX; i++)
        id[i] = lapsed(&s, 0);
    (void)strike_ended(&s, id[0], STRIKE_END_GONE);
    expect_refused(&s, "strike_over");
    for (int32_t i = 1; i <= BOARD_OPEN_ENDS_MAX; i++) {
        (void)strike_ended(&s, id[i], STRIKE_END_GONE);
        expect_done(&s);
    }
    assert_int_equal(s.board.counts.ends_not_known, 1);
    for (int32_t i = 0; i < 2 * BOARD_OPEN_ENDS_MAX; i++)
        (void)lapsed(&s, 0);
    assert_int_equal(s.board.counts.ends_not_known, 1 + 2 * BOARD_OPEN_ENDS_MAX);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_knockdown_told_late),
        cmocka_unit_test(test_a_bait_seen_since_needs_no_look),
        cmocka_unit_test(test_on_after_all),
        cmocka_unit_test(test_on_in_the_past),
        cmocka_unit_test(test_on_with_the_place_gone),
        cmocka_unit_test(test_a_fight_of_no_known_end),
        cmocka_unit_test(test_what_stood_open_at_the_end),
        cmocka_unit_test(test_named_at_the_dock),
        cmocka_unit_test(test_the_last_ten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
