/* Checklists: opened, answered by the state seen, done, left, and opened anew. */
#include "board_support.h"

static struct entry_id open_list(struct scene *s, int32_t list)
{
    tap(s, KIND_CHECK_OPENED)->body.check_opened.list = list;
    return send(s);
}

static void answer_why(struct scene *s, struct entry_id run, int32_t item, enum check_answer answer, enum check_why why)
{
    struct body_check_answered *body = &tap(s, KIND_CHECK_ANSWERED)->body.check_answered;
    body->run = run;
    body->item = item;
    body->answer = answer;
    body->why = why;
    (void)send(s);
}

static void answer(struct scene *s, struct entry_id run, int32_t item)
{
    answer_why(s, run, item, CHECK_ANSWER_DONE, CHECK_WHY_NONE);
}

static void leave_list(struct scene *s, struct entry_id run)
{
    tap(s, KIND_CHECK_LEFT)->body.check_left.run = run;
    (void)send(s);
}

static const struct board_check *depart(const struct scene *s)
{
    return &s->board.checks[0];
}

static void test_from_open_to_done(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id run = open_list(&s, LIST_DEPART);
    expect_done(&s);
    assert_int_equal(depart(&s)->state, CHECK_STATE_OPEN);
    assert_int_equal(depart(&s)->next, 1);
    assert_int_equal(depart(&s)->by, TOBIAS);
    answer(&s, run, 3);
    assert_int_equal(depart(&s)->next, 1);
    answer(&s, run, 1);
    assert_int_equal(depart(&s)->next, 2);
    assert_int_equal(depart(&s)->marks[0].item, 1);
    assert_int_equal(depart(&s)->marks[1].item, 3);
    s.by = RUTH;
    answer_why(&s, run, 2, CHECK_ANSWER_NOT_DONE, CHECK_WHY_BROKEN);
    expect_done(&s);
    assert_int_equal(depart(&s)->marks_count, 1); /* what was done as it should be is done */
    assert_int_equal(depart(&s)->marks[0].item, 2);
    assert_int_equal(depart(&s)->marks[0].why, CHECK_WHY_BROKEN);
    assert_int_equal(depart(&s)->state, CHECK_STATE_DONE);
    assert_int_equal(depart(&s)->next, 0);
    assert_int_equal(depart(&s)->done_by, RUTH);
    assert_int_equal(depart(&s)->done_ms, s.now_ms);
    assert_int_equal(s.board.counts.checks, 1);
}

static void test_the_last_answer_holds(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id run = open_list(&s, LIST_DEPART);
    answer_why(&s, run, 1, CHECK_ANSWER_NOT_DONE, CHECK_WHY_NO_TIME);
    answer_why(&s, run, 1, CHECK_ANSWER_NOT_HERE, CHECK_WHY_NO_GEAR);
    expect_done(&s);
    assert_int_equal(depart(&s)->marks_count, 1);
    assert_int_equal(depart(&s)->marks[0].answer, CHECK_ANSWER_NOT_HERE);
    assert_int_equal(depart(&s)->marks[0].why, CHECK_WHY_NONE); /* why is said of what was not done */
    scene_ago(&s, 1500);
    answer(&s, run, 1);
    expect_moot(&s);
}

static void test_answered_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id run = open_list(&s, LIST_DEPART);
    answer_why(&s, run, 1, CHECK_ANSWER_OPEN, CHECK_WHY_NONE);
    expect_refused(&s, "answer_missing");
    answer_why(&s, run, 1, CHECK_ANSWER_NOT_DONE, CHECK_WHY_NONE);
    expect_refused(&s, "why_missing");
    answer(&s, run, LIST_DEPART_ITEMS + 1);
    expect_refused(&s, "item_unknown");
    answer(&s, run, 0);
    expect_refused(&s, "item_unknown");
    answer(&s, s.board.trip.id, 1);
    expect_refused(&s, "check_unknown");
    leave_list(&s, s.board.trip.id);
    expect_refused(&s, "check_unknown");
}

static void test_opened_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)open_list(&s, 5);
    expect_refused(&s, "list_unknown");
    (void)open_list(&s, LIST_DEPART);
    (void)open_list(&s, LIST_DEPART);
    expect_refused(&s, "check_open");
    scene_ago(&s, 2500);
    (void)open_list(&s, LIST_DEPART);
    expect_moot(&s);
}

static void test_left_and_opened_anew(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id run = open_list(&s, LIST_DEPART);
    answer(&s, run, 1);
    leave_list(&s, run);
    expect_done(&s);
    assert_int_equal(depart(&s)->state, CHECK_STATE_LEFT);
    assert_int_equal(depart(&s)->marks_count, 1);
    assert_int_equal(s.board.counts.checks, 0);
    answer(&s, run, 2);
    expect_refused(&s, "check_over");
    leave_list(&s, run);
    expect_refused(&s, "check_over");
    scene_ago(&s, 3500);
    answer(&s, run, 2);
    expect_moot(&s); /* tapped before it was left */
    scene_ago(&s, 0);
    (void)open_list(&s, LIST_DEPART);
    expect_done(&s);
    assert_int_equal(depart(&s)->marks_count, 0);
    s.now_ms += 30000;
    scene_ago(&s, 11000);
    answer(&s, run, 2); /* of the run before */
    expect_moot(&s);
    assert_int_equal(depart(&s)->marks_count, 0);
}

static void test_a_list_of_nothing_is_done_at_once(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    trip_tap(&s)->body.trip_started.lists[1].items_count = 0;
    memset(s.entry.body.trip_started.lists[1].items, 0, sizeof s.entry.body.trip_started.lists[1].items);
    (void)send(&s);
    (void)open_list(&s, LIST_DARK);
    expect_done(&s);
    assert_int_equal(s.board.checks[1].state, CHECK_STATE_DONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_from_open_to_done),    cmocka_unit_test(test_the_last_answer_holds),
        cmocka_unit_test(test_answered_wrongly),     cmocka_unit_test(test_opened_wrongly),
        cmocka_unit_test(test_left_and_opened_anew), cmocka_unit_test(test_a_list_of_nothing_is_done_at_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
