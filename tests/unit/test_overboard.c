/* Person overboard: always taken, joined, withdrawn by one's own page, ended by the helm. */
#include "board_support.h"

static struct entry_id overboard_from(struct scene *s, uint64_t page)
{
    s->page = page;
    (void)tap(s, KIND_OVERBOARD);
    return send(s);
}

static void withdraw_from(struct scene *s, uint64_t page, struct entry_id call)
{
    s->page = page;
    tap(s, KIND_OVERBOARD_WITHDRAWN)->body.overboard_withdrawn.call = call;
    (void)send(s);
}

static void end_it(struct scene *s, struct entry_id call, enum overboard_how how)
{
    tap(s, KIND_OVERBOARD_ENDED)->body.overboard_ended.call = call;
    s->entry.body.overboard_ended.how = how;
    (void)send(s);
}

static void heard_from(struct scene *s, uint64_t page, struct entry_id call)
{
    s->page = page;
    tap(s, KIND_OVERBOARD_HEARD)->body.overboard_heard.call = call;
    (void)send(s);
}

static void sighted(struct scene *s, struct entry_id call, int32_t hand, bool lost)
{
    struct body_overboard_sighted *body = &tap(s, KIND_OVERBOARD_SIGHTED)->body.overboard_sighted;
    body->call = call;
    body->hand = hand;
    body->lost = lost;
    (void)send(s);
}

static void person(struct scene *s, struct entry_id call, int32_t hand)
{
    tap(s, KIND_OVERBOARD_PERSON)->body.overboard_person.call = call;
    s->entry.body.overboard_person.hand = hand;
    (void)send(s);
}

/* With no trip, nobody named, and an hour old: it opens all the same. */
static void test_always_taken(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    s.by = 0;
    s.now_ms = 4000000;
    scene_ago(&s, 3600000);
    s.page = PAGE_A;
    tap(&s, KIND_OVERBOARD)->from = SOURCE_ANYONE;
    s.entry.place.lat_e7 = 123;
    s.entry.place.fix = FIX_GPS;
    struct entry_id id = send(&s);
    expect_done(&s);
    assert_true(id_is(s.board.overboard.id, id));
    assert_int_equal(s.board.overboard.since_ms, s.now_ms - 3600000);
    assert_int_equal(s.board.overboard.calls[0].from, SOURCE_ANYONE);
    assert_int_equal(s.board.overboard.place.lat_e7, 123);
    assert_int_equal(s.board.counts.overboards, 1);
}

static void test_others_join(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id first = overboard_from(&s, PAGE_A);
    (void)overboard_from(&s, PAGE_B);
    expect_done(&s);
    assert_true(id_is(s.board.overboard.id, first));
    assert_int_equal(s.board.overboard.calls_count, 2);
    assert_int_equal(s.board.counts.overboards, 1);
    (void)overboard_from(&s, PAGE_A); /* its call stands already */
    expect_done(&s);
    assert_int_equal(s.board.overboard.calls_count, 2);
}

static void test_it_ends_when_no_call_stands(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id first = overboard_from(&s, PAGE_A);
    struct entry_id second = overboard_from(&s, PAGE_B);
    withdraw_from(&s, PAGE_B, first);
    expect_refused(&s, "overboard_not_yours");
    withdraw_from(&s, PAGE_A, first);
    expect_done(&s);
    assert_true(s.board.overboard.calls[0].withdrawn);
    withdraw_from(&s, PAGE_A, first);
    expect_moot(&s);
    withdraw_from(&s, PAGE_B, second);
    expect_done(&s);
    assert_int_equal(s.board.overboard.id.n, 0);
    withdraw_from(&s, PAGE_B, second);
    expect_refused(&s, "overboard_over");
    s.now_ms += 60000;
    scene_ago(&s, 11000);
    withdraw_from(&s, PAGE_B, second);
    expect_moot(&s);
}

static void test_called_again_after_a_withdrawal(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id first = overboard_from(&s, PAGE_A);
    (void)overboard_from(&s, PAGE_B);
    withdraw_from(&s, PAGE_A, first);
    struct entry_id again = overboard_from(&s, PAGE_A);
    assert_false(s.board.overboard.calls[0].withdrawn);
    assert_true(id_is(s.board.overboard.calls[0].id, again));
    scene_ago(&s, 1500);
    withdraw_from(&s, PAGE_A, first);
    expect_moot(&s); /* tapped before it called again */
    withdraw_from(&s, UINT64_C(0xc), (struct entry_id){UINT64_C(0xc), 1, LANE_EMERGENCY});
    expect_refused(&s, "overboard_unknown");
}

/* A call that nobody can see might still stand: then only the helm ends it. */
static void test_more_calls_than_places(void **state)
{
    struct scene s;
    struct entry_id id[BOARD_OVERBOARD_CALLS_MAX + 1];
    (void)state;
    scene_start(&s);
    for (uint64_t i = 0; i < BOARD_OVERBOARD_CALLS_MAX; i++)
        id[i] = overboard_from(&s, 100 + i);
    withdraw_from(&s, 103, id[3]);
    id[3] = overboard_from(&s, 200); /* takes the withdrawn one's place */
    assert_int_equal(s.board.overboard.calls[3].id.sender, 200);
    assert_false(s.board.overboard.more);
    (void)overboard_from(&s, 201);
    expect_done(&s);
    assert_true(s.board.overboard.more);
    for (int i = 0; i < BOARD_OVERBOARD_CALLS_MAX; i++) {
        withdraw_from(&s, id[i].sender, id[i]);
        expect_done(&s);
    }
    assert_int_not_equal(s.board.overboard.id.n, 0);
    end_it(&s, id[0], OVERBOARD_HOW_FALSE_ALARM);
    expect_done(&s);
    assert_int_equal(s.board.overboard.id.n, 0);
    assert_false(s.board.overboard.more);
}

static void test_heard(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = overboard_from(&s, PAGE_A);
    heard_from(&s, PAGE_B, id);
    heard_from(&s, PAGE_B, id);
    expect_done(&s);
    assert_int_equal(s.board.overboard.heard_count, 1);
    assert_int_equal(s.board.overboard.heard[0].page, PAGE_B);
    for (uint64_t i = 0; i < BOARD_OVERBOARD_HEARD_MAX; i++)
        heard_from(&s, 300 + i, id);
    expect_done(&s);
    assert_int_equal(s.board.overboard.heard_count, BOARD_OVERBOARD_HEARD_MAX);
}

static void test_sighted_and_lost(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = overboard_from(&s, PAGE_A);
    sighted(&s, id, RUTH, false);
    expect_done(&s);
    assert_int_equal(s.board.overboard.spotter, RUTH);
    assert_int_equal(s.board.overboard.spotter_ms, s.now_ms);
    sighted(&s, id, RUTH, true);
    assert_true(s.board.overboard.sight_lost);
    sighted(&s, id, 12, false);
    expect_refused(&s, "hand_unknown");
    scene_ago(&s, 2500);
    sighted(&s, id, DOV, false);
    expect_moot(&s);
}

static void test_who_it_is(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)overboard_from(&s, PAGE_A);
    struct entry_id second = overboard_from(&s, PAGE_B);
    person(&s, second, AMPARO); /* any call of it names it */
    expect_done(&s);
    assert_int_equal(s.board.overboard.person, AMPARO);
    person(&s, second, 12);
    expect_refused(&s, "hand_unknown");
    person(&s, s.board.trip.id, AMPARO);
    expect_refused(&s, "overboard_unknown");
    s.now_ms += 60000;
    scene_ago(&s, 11000);
    person(&s, s.board.trip.id, AMPARO);
    expect_moot(&s);
}

static void test_ended_by_the_helm(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = overboard_from(&s, PAGE_A);
    end_it(&s, id, OVERBOARD_HOW_NONE);
    expect_refused(&s, "how_missing");
    end_it(&s, id, OVERBOARD_HOW_ABOARD);
    expect_done(&s);
    assert_int_equal(s.board.overboard.id.n, 0);
    heard_from(&s, PAGE_B, id);
    expect_refused(&s, "overboard_over");
    (void)overboard_from(&s, PAGE_A);
    expect_done(&s);
    assert_int_equal(s.board.counts.overboards, 2);
    end_it(&s, id, OVERBOARD_HOW_ABOARD); /* the end of the first does not end the second */
    expect_refused(&s, "overboard_unknown");
}

/* The helm says "back aboard"; before that arrives, another page calls a second person. That call stands. */
static void test_an_end_spares_later_calls(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id first = overboard_from(&s, PAGE_A);
    s.now_ms += 5000;
    struct entry_id second = overboard_from(&s, PAGE_B);
    scene_ago(&s, 3000);
    end_it(&s, first, OVERBOARD_HOW_ABOARD);
    expect_done(&s);
    assert_true(id_is(s.board.overboard.id, first));
    assert_true(s.board.overboard.calls[0].withdrawn);
    assert_false(s.board.overboard.calls[1].withdrawn);
    scene_ago(&s, 0);
    end_it(&s, second, OVERBOARD_HOW_ABOARD);
    expect_done(&s);
    assert_int_equal(s.board.overboard.id.n, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_always_taken),
        cmocka_unit_test(test_others_join),
        cmocka_unit_test(test_it_ends_when_no_call_stands),
        cmocka_unit_test(test_called_again_after_a_withdrawal),
        cmocka_unit_test(test_more_calls_than_places),
        cmocka_unit_test(test_heard),
        cmocka_unit_test(test_sighted_and_lost),
        cmocka_unit_test(test_who_it_is),
        cmocka_unit_test(test_ended_by_the_helm),
        cmocka_unit_test(test_an_end_spares_later_calls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
