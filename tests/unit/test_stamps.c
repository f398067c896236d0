/* Stamps now, details later; notes. */
#include "board_support.h"

static struct entry_id stamped(struct scene *s)
{
    (void)tap(s, KIND_STAMPED);
    return send(s);
}

static void told(struct scene *s, struct entry_id id, enum stamp_what what, int32_t line)
{
    struct body_stamp_told *body = &tap(s, KIND_STAMP_TOLD)->body.stamp_told;
    body->stamp = id;
    body->what = what;
    body->line = line;
    (void)send(s);
}

static void test_stamped_and_told(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    s.now_ms += 60000;
    scene_ago(&s, 30000); /* half a minute ago */
    struct entry_id id = stamped(&s);
    expect_done(&s);
    assert_int_equal(s.board.stamps[0].at_ms, s.now_ms - 30000);
    assert_int_equal(s.board.stamps[0].by, TOBIAS);
    scene_ago(&s, 0);
    told(&s, id, STAMP_WHAT_NONE, 0);
    expect_refused(&s, "what_missing");
    told(&s, id, STAMP_WHAT_STRIKE, 24);
    expect_refused(&s, "line_unknown");
    told(&s, id, STAMP_WHAT_STRIKE, SHOTGUN);
    expect_done(&s);
    assert_int_equal(s.board.stamps[0].id.n, 0);
    assert_int_equal(s.board.counts.strikes, 0);
    told(&s, id, STAMP_WHAT_RAISE, 0); /* told better: kept by the entry */
    expect_done(&s);
    assert_memory_equal(&s.before, &s.board, sizeof s.board);
}

static void test_the_oldest_gives_way(void **state)
{
    struct scene s;
    struct entry_id id[BOARD_STAMPS_MAX + 1];
    (void)state;
    scene_out(&s);
    for (int32_t i = 0; i <= BOARD_STAMPS_MAX; i++) {
        if (i == 1)
            scene_ago(&s, 5000); /* the second is the oldest */
        id[i] = stamped(&s);
        expect_done(&s);
        scene_ago(&s, 0);
    }
    assert_true(id_is(s.board.stamps[0].id, id[0]));
    assert_true(id_is(s.board.stamps[1].id, id[BOARD_STAMPS_MAX]));
}

static void test_notes_and_stamps_at_the_dock(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = stamped(&s);
    (void)trip_ended(&s);
    tap(&s, KIND_NOTED)->body.noted.about = id;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.counts.notes, 1);
    told(&s, id, STAMP_WHAT_GEAR, 0);
    expect_done(&s);
    (void)stamped(&s);
    expect_refused(&s, "trip_over");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_stamped_and_told),
        cmocka_unit_test(test_the_oldest_gives_way),
        cmocka_unit_test(test_notes_and_stamps_at_the_dock),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
