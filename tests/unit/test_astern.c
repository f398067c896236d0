/* Astern: always admitted, with what is logged in the way; then stopped, or gone. */
#include "board_support.h"

static struct entry_id astern(struct scene *s)
{
    (void)tap(s, KIND_ASTERN);
    return send(s);
}

static void decided(struct scene *s, struct entry_id asked, bool went)
{
    tap(s, KIND_ASTERN_DECIDED)->body.astern_decided.asked = asked;
    s->entry.body.astern_decided.went = went;
    (void)send(s);
}

static void test_what_is_in_the_way(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)hook(&s, SHOTGUN); /* the fish's own line is not in the way of the fish */
    (void)line_is(&s, PORT_FLAT, LINE_STATE_IN);
    tap(&s, KIND_DOOR)->body.door.open = true;
    (void)send(&s);
    struct entry_id id = astern(&s);
    expect_done(&s);
    assert_int_equal(s.board.astern.state, ASTERN_STATE_ASKED);
    assert_int_equal(s.board.astern.out, 3);
    assert_true(s.board.astern.door);
    int64_t since_ms = s.now_ms;
    (void)lines_seen(&s, SCOPE_ALL, LINE_STATE_IN);
    assert_int_equal(s.board.astern.out, 3);
    s.page = PAGE_B;
    (void)astern(&s); /* the same question, looked up anew */
    expect_done(&s);
    assert_true(id_is(s.board.astern.id, id));
    assert_int_equal(s.board.astern.since_ms, since_ms);
    assert_int_equal(s.board.astern.out, 0);
    decided(&s, id, true);
    expect_done(&s);
    assert_int_equal(s.board.astern.state, ASTERN_STATE_WENT);
    assert_int_equal(s.board.astern.decided_ms, s.now_ms);
    assert_int_equal(s.board.counts.asterns, 1);
}

static void test_lines_not_seen_since_a_start_are_in_the_way(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    tap(&s, KIND_RUN)->body.run.fresh = true;
    (void)send(&s);
    (void)astern(&s);
    assert_int_equal(s.board.astern.out, LINES - 1);
}

static void test_decided_once(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s); /* no trip is needed */
    struct entry_id id = astern(&s);
    expect_done(&s);
    decided(&s, (struct entry_id){PAGE_A, 99, LANE_ORDINARY}, true);
    expect_refused(&s, "astern_over");
    scene_ago(&s, 5000);
    decided(&s, id, true);
    expect_moot(&s);
    scene_ago(&s, 0);
    decided(&s, id, false);
    expect_done(&s);
    assert_int_equal(s.board.astern.state, ASTERN_STATE_STOPPED);
    decided(&s, id, true);
    expect_refused(&s, "astern_over");
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    decided(&s, id, true);
    expect_moot(&s);
    scene_ago(&s, 60000);
    (void)astern(&s);
    expect_moot(&s); /* asked before the last was decided */
    scene_ago(&s, 0);
    struct entry_id again = astern(&s);
    expect_done(&s);
    assert_true(id_is(s.board.astern.id, again));
    assert_int_equal(s.board.astern.decided_ms, 0);
    assert_int_equal(s.board.counts.asterns, 2);
    scene_ago(&s, 5000);
    (void)astern(&s);
    expect_moot(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_what_is_in_the_way),
        cmocka_unit_test(test_lines_not_seen_since_a_start_are_in_the_way),
        cmocka_unit_test(test_decided_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
