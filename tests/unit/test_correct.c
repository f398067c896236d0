/* Corrections do nothing in their own place: on the board as it is they neither change nor refuse anything. */
#include "board_support.h"

static void test_a_void_leaves_the_board(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = strike(&s, SHOTGUN);
    struct board before = s.board;
    tap(&s, KIND_VOIDED)->body.voided.target = id;
    (void)send(&s);
    expect_done(&s);
    assert_memory_equal(&s.board, &before, sizeof before);
    assert_true(id_is(s.about.entry, id));
}

/* An amendment is judged on the board that it goes back to, not on today's, where it would be refused. */
static void test_an_amendment_leaves_the_board(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = line_is(&s, SHOTGUN, LINE_STATE_IN);
    (void)hook(&s, SHOTGUN);
    struct board before = s.board;
    tap(&s, KIND_LINE_IS)->instead_of = id;
    s.entry.body.line_is.line = SHOTGUN;
    (void)send(&s);
    expect_done(&s);
    assert_memory_equal(&s.board, &before, sizeof before);
}

static void test_a_gap_is_nothing_but_its_row(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)tap(&s, KIND_GAP_FILLED);
    (void)send(&s);
    expect_done(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_void_leaves_the_board),
        cmocka_unit_test(test_an_amendment_leaves_the_board),
        cmocka_unit_test(test_a_gap_is_nothing_but_its_row),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
