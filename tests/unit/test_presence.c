/* Presence: runs, the clock, pages and the helm. */
#include "board_support.h"

static void joined(struct scene *s, uint64_t page, enum page_reach reach)
{
    struct body_page_joined *body = &tap(s, KIND_PAGE_JOINED)->body.page_joined;
    body->page = page;
    body->device = 9;
    body->hand = RUTH;
    body->view = VIEW_STATION;
    body->state = reach;
    (void)send(s);
}

static void page_is(struct scene *s, uint64_t page, enum page_reach reach)
{
    tap(s, KIND_PAGE_STATE)->body.page_state.page = page;
    s->entry.body.page_state.state = reach;
    (void)send(s);
}

static const struct board_page *page_find(const struct scene *s, uint64_t page)
{
    int32_t slot = slot_find(&s->board, PART_PAGES, &page);
    return slot < 0 ? NULL : &s->board.pages[slot];
}

static void test_a_fresh_run_has_seen_nothing(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    joined(&s, PAGE_B, PAGE_REACH_HERE);
    struct body_run *run = &tap(&s, KIND_RUN)->body.run;
    run->run = 11;
    run->boot = 12;
    run->estimated = true;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.clock.run, 11);
    assert_int_equal(s.board.clock.boot, 12);
    assert_true(s.board.clock.estimated);
    assert_false(line_of(&s, SHOTGUN)->unsure);
    assert_non_null(page_find(&s, PAGE_B));
    tap(&s, KIND_RUN)->body.run.fresh = true;
    (void)send(&s);
    expect_done(&s);
    assert_null(page_find(&s, PAGE_B));
    for (int32_t line = 1; line < LINES; line++)
        assert_true(line_of(&s, line)->unsure);
    (void)line_is(&s, SHOTGUN, LINE_STATE_OUT);
    assert_false(line_of(&s, SHOTGUN)->unsure);
}

static void test_the_clock(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    tap(&s, KIND_CLOCK)->body.clock.utc_offset_ms = 1234;
    s.entry.body.clock.source = CLOCK_SOURCE_GPS;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.clock.utc_offset_ms, 1234);
    assert_int_equal(s.board.clock.source, CLOCK_SOURCE_GPS);
}

static void test_a_page_comes_sleeps_and_leaves(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    joined(&s, PAGE_B, PAGE_REACH_HERE);
    expect_done(&s);
    assert_int_equal(page_find(&s, PAGE_B)->hand, RUTH);
    assert_int_equal(page_find(&s, PAGE_B)->view, VIEW_STATION);
    page_is(&s, PAGE_B, PAGE_REACH_ASLEEP);
    assert_int_equal(page_find(&s, PAGE_B)->state, PAGE_REACH_ASLEEP);
    page_is(&s, PAGE_B, PAGE_REACH_LOST);
    assert_int_equal(page_find(&s, PAGE_B)->state, PAGE_REACH_LOST);
    assert_int_equal(page_find(&s, PAGE_B)->since_ms, s.now_ms);
    joined(&s, PAGE_B, PAGE_REACH_HERE);
    assert_int_equal(page_find(&s, PAGE_B)->state, PAGE_REACH_HERE);
    assert_int_equal(s.board.pages[1].page, 0); /* in its own place */
    page_is(&s, PAGE_B, PAGE_REACH_LEFT);
    expect_done(&s);
    assert_null(page_find(&s, PAGE_B));
    page_is(&s, PAGE_B, PAGE_REACH_HERE);
    expect_moot(&s);
}

static void test_what_is_no_page(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    joined(&s, 0, PAGE_REACH_HERE);
    expect_moot(&s);
    joined(&s, PAGE_B, PAGE_REACH_LEFT);
    expect_moot(&s);
    joined(&s, PAGE_B, PAGE_REACH_HERE);
    assert_int_equal(page_find(&s, PAGE_B)->hand, 0); /* no such hand before the trip */
}

static void test_more_pages_than_places(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    for (uint64_t i = 0; i < BOARD_PAGES_MAX; i++)
        joined(&s, 100 + i, PAGE_REACH_HERE);
    joined(&s, PAGE_B, PAGE_REACH_HERE);
    expect_moot(&s);
    page_is(&s, 107, PAGE_REACH_LOST);
    page_is(&s, 103, PAGE_REACH_LOST);
    joined(&s, PAGE_B, PAGE_REACH_HERE);
    expect_done(&s);
    assert_null(page_find(&s, 107)); /* lost longest */
    assert_non_null(page_find(&s, 103));
}

static void test_the_helm(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct body_helm_taken *body = &tap(&s, KIND_HELM_TAKEN)->body.helm_taken;
    body->page = PAGE_B;
    body->device = 3;
    body->hand = INES;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.helm.device, 3);
    assert_int_equal(s.board.helm.page, PAGE_B);
    assert_int_equal(s.board.helm.hand, INES);
    assert_int_equal(s.board.helm.since_ms, s.now_ms);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_fresh_run_has_seen_nothing),   cmocka_unit_test(test_the_clock),
        cmocka_unit_test(test_a_page_comes_sleeps_and_leaves), cmocka_unit_test(test_what_is_no_page),
        cmocka_unit_test(test_more_pages_than_places),         cmocka_unit_test(test_the_helm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
