/* Calls: sounded, got, done, called off, not heard, and how long they stay. */
#include "board_support.h"

static void call_done(struct scene *s, struct entry_id call, int32_t hand)
{
    tap(s, KIND_CALL_DONE)->body.call_done.call = call;
    s->entry.body.call_done.hand = hand;
    (void)send(s);
}

static void call_off(struct scene *s, struct entry_id call)
{
    tap(s, KIND_CALL_OFF)->body.call_off.call = call;
    (void)send(s);
}

static void got_by_voice(struct scene *s, struct entry_id call, int32_t hand)
{
    struct body_call_got *body = &tap(s, KIND_CALL_GOT)->body.call_got;
    body->call = call;
    body->hand = hand;
    body->voice = true;
    (void)send(s);
}

static void unheard(struct scene *s, struct entry_id call)
{
    tap(s, KIND_CALL_UNHEARD)->body.call_unheard.call = call;
    (void)send(s);
}

static void shown(struct scene *s, struct entry_id call)
{
    tap(s, KIND_SHOWN)->body.shown.call = call;
    (void)send(s);
}

static enum call_state state_of_call(const struct scene *s, struct entry_id call)
{
    return call_find(&s->board, call)->state;
}

/* A call needs no trip: it is how a hand is fetched at the dock, too. */
static void test_called(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct entry_id id = call_to(&s, STATION_COCKPIT, 0);
    expect_done(&s);
    assert_int_equal(state_of_call(&s, id), CALL_STATE_CALLED);
    assert_int_equal(call_find(&s.board, id)->by, TOBIAS);
    assert_int_equal(s.board.counts.calls, 1);
}

static void test_called_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)call_to(&s, STATION_NONE, 0);
    expect_refused(&s, "call_nobody");
    (void)call_to(&s, STATION_NONE, RUTH);
    expect_done(&s);
    (void)call_to(&s, STATION_NONE, 12);
    expect_refused(&s, "hand_unknown");
}

/* Nobody steers by a call that is too old. */
static void test_a_call_past_its_time(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    s.now_ms += 60000;
    scene_ago(&s, 10000);
    (void)call_to(&s, STATION_HELM, 0);
    expect_done(&s);
    scene_ago(&s, 10001);
    (void)call_to(&s, STATION_HELM, 0);
    expect_moot(&s);
}

static void test_got_by_tap_and_voice(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = call_to(&s, STATION_COCKPIT, 0);
    (void)call_got(&s, id);
    expect_done(&s);
    got_by_voice(&s, id, DOV);
    got_by_voice(&s, id, DOV);
    expect_done(&s);
    const struct board_call *call = call_find(&s.board, id);
    assert_int_equal(call->state, CALL_STATE_GOT);
    assert_int_equal(call->got_count, 2);
    assert_int_equal(call->got[0].hand, TOBIAS);
    assert_false(call->got[0].voice);
    assert_int_equal(call->got[1].hand, DOV);
    assert_true(call->got[1].voice);
    got_by_voice(&s, id, 12);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 12);
}

static void test_more_answers_than_places(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = call_to(&s, STATION_ALL, 0);
    for (int32_t hand = 0; hand < BOARD_CALL_GOT_MAX + 2; hand++) {
        s.by = hand;
        (void)call_got(&s, id);
        expect_done(&s);
    }
    assert_int_equal(call_find(&s.board, id)->got_count, BOARD_CALL_GOT_MAX);
}

static void test_done_and_off(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id done = call_to(&s, STATION_COCKPIT, 0);
    struct entry_id off = call_to(&s, STATION_COCKPIT, 0);
    (void)call_got(&s, done);
    call_done(&s, done, DOV);
    expect_done(&s);
    assert_int_equal(state_of_call(&s, done), CALL_STATE_DONE);
    assert_int_equal(call_find(&s.board, done)->done_by, DOV);
    assert_int_equal(call_find(&s.board, done)->done_ms, s.now_ms);
    call_off(&s, off);
    expect_done(&s);
    assert_int_equal(state_of_call(&s, off), CALL_STATE_OFF);
    call_off(&s, off);
    expect_refused(&s, "call_over");
    (void)call_got(&s, done);
    expect_refused(&s, "call_over");
    call_done(&s, off, 12);
    expect_refused(&s, "hand_unknown");
    scene_ago(&s, 5500);
    (void)call_got(&s, off);
    expect_moot(&s); /* tapped before it was called off */
}

static void test_not_heard_and_then_got(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = call_to(&s, STATION_COCKPIT, 0);
    unheard(&s, id);
    expect_done(&s);
    assert_int_equal(state_of_call(&s, id), CALL_STATE_NOT_HEARD);
    unheard(&s, id);
    expect_moot(&s);
    (void)call_got(&s, id);
    assert_int_equal(state_of_call(&s, id), CALL_STATE_GOT);
    unheard(&s, id);
    expect_moot(&s);
}

static void test_shown(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id id = call_to(&s, STATION_COCKPIT, 0);
    for (int i = 0; i < 70; i++)
        shown(&s, id);
    assert_int_equal(call_find(&s.board, id)->shown, 64);
    shown(&s, s.board.trip.id);
    expect_moot(&s);
    (void)tap(&s, KIND_OVERBOARD);
    struct entry_id overboard = send(&s);
    shown(&s, overboard);
    expect_done(&s);
}

static void test_unknown(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct entry_id none = s.board.trip.id;
    (void)call_got(&s, none);
    expect_refused(&s, "call_unknown");
    assert_true(id_is(s.about.entry, none));
    call_done(&s, none, 0);
    expect_refused(&s, "call_unknown");
    call_off(&s, none);
    expect_refused(&s, "call_unknown");
    unheard(&s, none);
    expect_moot(&s);
    s.now_ms += 30000;
    scene_ago(&s, 11000);
    call_off(&s, none);
    expect_moot(&s);
}

static void test_ended_calls_stay_a_while(void **state)
{
    struct scene s;
    struct entry_id id[4];
    (void)state;
    scene_start(&s);
    for (int i = 0; i < 4; i++)
        id[i] = call_to(&s, STATION_COCKPIT, 0);
    call_off(&s, id[1]);
    call_done(&s, id[0], 0);
    call_done(&s, id[2], 0);
    assert_non_null(call_find(&s.board, id[1]));
    call_done(&s, id[3], 0);
    assert_null(call_find(&s.board, id[1])); /* the one that ended first */
    assert_non_null(call_find(&s.board, id[0]));
}

static void test_twelve_open_calls(void **state)
{
    struct scene s;
    struct entry_id id = {0};
    (void)state;
    scene_start(&s);
    for (int i = 0; i < BOARD_CALLS_MAX; i++)
        id = call_to(&s, STATION_COCKPIT, 0);
    (void)call_to(&s, STATION_COCKPIT, 0);
    expect_refused(&s, "calls_full");
    call_off(&s, id);
    (void)call_to(&s, STATION_COCKPIT, 0);
    expect_done(&s); /* in the place of the one called off */
    assert_null(call_find(&s.board, id));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_called),
        cmocka_unit_test(test_called_wrongly),
        cmocka_unit_test(test_a_call_past_its_time),
        cmocka_unit_test(test_got_by_tap_and_voice),
        cmocka_unit_test(test_more_answers_than_places),
        cmocka_unit_test(test_done_and_off),
        cmocka_unit_test(test_not_heard_and_then_got),
        cmocka_unit_test(test_shown),
        cmocka_unit_test(test_unknown),
        cmocka_unit_test(test_ended_calls_stay_a_while),
        cmocka_unit_test(test_twelve_open_calls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
