/* STOP: stands, is joined, and is taken down by the helm. */
#include "board_support.h"

static struct entry_id stop(struct scene *s)
{
    (void)tap(s, KIND_STOP);
    return send(s);
}

static void stop_over(struct scene *s, struct entry_id id)
{
    tap(s, KIND_STOP_OVER)->body.stop_over.stop = id;
    (void)send(s);
}

static void test_stands_until_taken_down(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct entry_id id = stop(&s);
    expect_done(&s);
    int64_t since_ms = s.now_ms;
    s.by = RUTH;
    struct entry_id second = stop(&s);
    expect_done(&s);
    assert_true(id_is(s.board.stop.id, id));
    assert_int_equal(s.board.stop.by, TOBIAS);
    assert_int_equal(s.board.stop.since_ms, since_ms);
    assert_int_equal(s.board.counts.stops, 1);
    stop_over(&s, second);
    expect_refused(&s, "stop_unknown");
    scene_ago(&s, 9000);
    stop_over(&s, id);
    expect_moot(&s);
    scene_ago(&s, 0);
    stop_over(&s, id);
    expect_done(&s);
    assert_int_equal(s.board.stop.id.n, 0);
    stop_over(&s, id);
    expect_refused(&s, "stop_unknown");
    assert_true(id_is(s.about.entry, id));
    scene_ago(&s, 11000);
    stop_over(&s, id);
    expect_moot(&s);
}

/* A phone that was out of reach brings a STOP from before the helm took the last one down: nobody stops for it again. */
static void test_an_old_one_is_history(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    scene_ago(&s, 9000);
    struct entry_id id = stop(&s);
    expect_done(&s); /* however old, nobody has stopped yet */
    scene_ago(&s, 0);
    stop_over(&s, id);
    expect_done(&s);
    assert_int_equal(s.board.stop.over_ms, s.now_ms);
    s.page = PAGE_B;
    scene_ago(&s, 1500);
    (void)stop(&s);
    expect_moot(&s);
    assert_int_equal(s.board.stop.id.n, 0);
    assert_int_equal(s.board.counts.stops, 1);
    scene_ago(&s, 500);
    struct entry_id next = stop(&s);
    expect_done(&s);
    assert_true(id_is(s.board.stop.id, next));
    scene_ago(&s, 5000);
    (void)stop(&s);
    expect_done(&s); /* one stands: it is joined */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_stands_until_taken_down),
        cmocka_unit_test(test_an_old_one_is_history),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
