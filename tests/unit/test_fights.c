/* Fights: who has the rod, how they end, what they leave of the line. */
#include "board_support.h"

static void angler(struct scene *s, struct entry_id fight, int32_t hand)
{
    tap(s, KIND_FIGHT_ANGLER)->body.fight_angler.fight = fight;
    s->entry.body.fight_angler.hand = hand;
    (void)send(s);
}

static void test_the_angler(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id fight = hook(&s, SHOTGUN);
    angler(&s, fight, AMPARO);
    expect_done(&s);
    assert_int_equal(s.board.fights[0].angler, AMPARO);
    angler(&s, fight, 12);
    expect_refused(&s, "hand_unknown");
    (void)fight_ended(&s, fight, FIGHT_END_RELEASED);
    angler(&s, fight, RUTH);
    expect_refused(&s, "fight_over");
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    angler(&s, fight, RUTH);
    expect_moot(&s);
}

static void ends(enum fight_end end, enum line_state line, bool check, size_t count_offset)
{
    struct scene s;
    scene_out(&s);
    (void)fight_ended(&s, hook(&s, SHOTGUN), end);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), line);
    assert_int_equal(line_of(&s, SHOTGUN)->check, check);
    assert_int_equal(s.board.fights[0].id.n, 0);
    assert_int_equal(*(const int32_t *)(const void *)((const char *)&s.board.counts + count_offset), 1);
}

static void test_ends(void **state)
{
    (void)state;
    ends(FIGHT_END_BOATED, LINE_STATE_IN, false, offsetof(struct board_counts, boated));
    ends(FIGHT_END_RELEASED, LINE_STATE_IN, false, offsetof(struct board_counts, released));
    ends(FIGHT_END_PULLED, LINE_STATE_OUT, true, offsetof(struct board_counts, pulled));
    ends(FIGHT_END_BROKE_OFF, LINE_STATE_OUT, true, offsetof(struct board_counts, broke_off));
    ends(FIGHT_END_BITTEN_OFF, LINE_STATE_OUT, true, offsetof(struct board_counts, bitten_off));
    ends(FIGHT_END_NOT_KNOWN, LINE_STATE_NOT_KNOWN, false, offsetof(struct board_counts, fights_not_known));
}

static void test_two_at_once_and_one_without_a_line(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id first = hook(&s, SHOTGUN);
    struct entry_id second = hook(&s, 0);
    (void)fight_ended(&s, second, FIGHT_END_PULLED);
    expect_done(&s);
    assert_int_equal(state_of(&s, SHOTGUN), LINE_STATE_ON);
    (void)fight_ended(&s, first, FIGHT_END_BOATED);
    expect_done(&s);
    assert_int_equal(s.board.counts.hooked, 2);
}

static void test_ended_wrongly(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id fight = hook(&s, SHOTGUN);
    (void)fight_ended(&s, fight, FIGHT_END_OPEN);
    expect_refused(&s, "end_missing");
    scene_ago(&s, 5000);
    (void)fight_ended(&s, fight, FIGHT_END_PULLED);
    expect_moot(&s); /* before the hook-up */
    scene_ago(&s, 0);
    (void)fight_ended(&s, fight, FIGHT_END_PULLED);
    (void)fight_ended(&s, fight, FIGHT_END_BOATED);
    expect_refused(&s, "fight_over");
    assert_true(id_is(s.about.entry, fight));
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    (void)fight_ended(&s, fight, FIGHT_END_BOATED);
    expect_moot(&s);
    assert_int_equal(s.board.counts.boated, 0);
}

static void leader(struct scene *s, struct entry_id fight, bool on, int32_t hand)
{
    struct body_leader *body = &tap(s, KIND_LEADER)->body.leader;
    body->fight = fight;
    body->on = on;
    body->hand = hand;
    (void)send(s);
}

/* Held twice: both times add up. Who wires is named, or is the one of the orders. */
static void test_the_leader(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    tap(&s, KIND_ORDERS)->body.orders.wire = RUTH;
    (void)send(&s);
    struct entry_id id = hook(&s, SHOTGUN);
    const struct board_fight *fight = &s.board.fights[0];
    leader(&s, id, true, 12);
    expect_refused(&s, "hand_unknown");
    leader(&s, id, true, 0);
    expect_done(&s);
    int64_t since_ms = s.now_ms;
    assert_int_equal(fight->wire, RUTH);
    leader(&s, id, true, TOBIAS);
    assert_int_equal(fight->leader_ms, since_ms);
    assert_int_equal(fight->wire, TOBIAS);
    s.now_ms += 10000;
    leader(&s, id, false, TOBIAS);
    expect_done(&s);
    assert_false(fight->leader);
    assert_int_equal(fight->wire, 0);
    assert_int_equal(fight->leader_total_ms, 12000);
    leader(&s, id, false, 0);
    expect_done(&s);
    assert_int_equal(fight->leader_total_ms, 12000);
    scene_ago(&s, 3000);
    leader(&s, id, true, 0);
    expect_moot(&s);
    scene_ago(&s, 0);
    leader(&s, id, true, 0);
    leader(&s, id, false, 0);
    assert_int_equal(fight->leader_total_ms, 13000);
    leader(&s, id, true, 0);
    (void)fight_ended(&s, id, FIGHT_END_RELEASED); /* the leader goes with the fight */
    expect_done(&s);
    leader(&s, id, false, 0);
    expect_refused(&s, "fight_over");
    s.now_ms += 20000;
    scene_ago(&s, 11000);
    leader(&s, id, false, 0);
    expect_moot(&s);
    scene_ago(&s, 0);
    id = hook(&s, SHOTGUN);
    scene_ago(&s, 5000);
    leader(&s, id, true, 0);
    expect_moot(&s); /* before the hook-up */
}

/* A detail of a fish that is gone: kept by its entry, at the dock as well. */
static void test_how_it_swam_off(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id id = hook(&s, SHOTGUN);
    (void)fight_ended(&s, id, FIGHT_END_RELEASED);
    (void)trip_ended(&s);
    for (int32_t condition = 0; condition < CONDITION_COUNT_; condition++) {
        tap(&s, KIND_FIGHT_CONDITION)->body.fight_condition.fight = id;
        s.entry.body.fight_condition.condition = (enum condition)condition;
        (void)send(&s);
        if (condition == CONDITION_NONE)
            expect_refused(&s, "condition_missing");
        else
            expect_done(&s);
        assert_memory_equal(&s.before, &s.board, sizeof s.board);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_angler),
        cmocka_unit_test(test_ends),
        cmocka_unit_test(test_two_at_once_and_one_without_a_line),
        cmocka_unit_test(test_ended_wrongly),
        cmocka_unit_test(test_the_leader),
        cmocka_unit_test(test_how_it_swam_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
