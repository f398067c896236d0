/* The difference between two boards, and the board as text. */
#include "board_support.h"

static struct part_change changes[BOARD_CHANGES_MAX];

static size_t diff(const struct scene *s)
{
    return board_diff(&s->before, &s->board, changes, BOARD_CHANGES_MAX);
}

static void expect_change(size_t index, enum board_part part, int32_t slot, bool gone)
{
    assert_int_equal(changes[index].part, part);
    assert_int_equal(changes[index].slot, slot);
    assert_int_equal(changes[index].gone, gone);
}

static void test_nothing_changed(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    assert_int_equal(board_diff(&s.board, &s.board, changes, BOARD_CHANGES_MAX), 0);
}

static void test_what_one_tap_changed(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike(&s, SHOTGUN);
    assert_int_equal(diff(&s), 3);
    expect_change(0, PART_COUNTS, 0, false);
    expect_change(1, PART_LINES, SHOTGUN - 1, false);
    expect_change(2, PART_STRIKES, 0, false);
    (void)strike_ended(&s, s.board.strikes[0].id, STRIKE_END_ON);
    assert_int_equal(diff(&s), 4);
    expect_change(2, PART_STRIKES, 0, true);
    expect_change(3, PART_FIGHTS, 0, false);
}

static void test_emergencies_first(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)tap(&s, KIND_OVERBOARD);
    (void)send(&s);
    assert_int_equal(diff(&s), 2);
    expect_change(0, PART_OVERBOARD, 0, false);
    expect_change(1, PART_COUNTS, 0, false);
}

/* In one slot something left and another came: both are said. In another slot the same thing is no news. */
static void test_known_by_key_not_by_slot(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)strike(&s, 0);
    struct board old = s.board;
    struct board moved = s.board;
    moved.strikes[5] = moved.strikes[0];
    memset(&moved.strikes[0], 0, sizeof moved.strikes[0]);
    assert_int_equal(board_diff(&old, &moved, changes, BOARD_CHANGES_MAX), 0);
    moved.strikes[5].id.n++;
    assert_int_equal(board_diff(&old, &moved, changes, BOARD_CHANGES_MAX), 2);
    expect_change(0, PART_STRIKES, 0, true);
    expect_change(1, PART_STRIKES, 5, false);
    assert_int_equal(board_diff(&old, &moved, changes, 1), 1);
}

static void test_a_new_trip_changes_everything(void **state)
{
    struct scene s;
    struct board empty;
    (void)state;
    scene_start(&s);
    board_reset(&empty);
    size_t count = board_diff(&empty, &s.board, changes, BOARD_CHANGES_MAX);
    assert_int_equal(count, 1 + 1 + 5 + 5 + 2 + 2 + 1); /* trip, clear, lines, hands, checks, lists, preset */
    assert_int_equal(board_diff(&s.board, &empty, changes, BOARD_CHANGES_MAX), count);
}

/* ---- dump ---- */

static void fish(struct scene *s)
{
    struct entry_id fight = hook(s, STARBOARD_FLAT);
    tap(s, KIND_GAFF)->body.gaff.up = true;
    s->entry.body.gaff.hand = DOV;
    (void)send(s);
    for (int i = 0; i < 3; i++) {
        tap(s, KIND_LEADER)->body.leader.fight = fight;
        s->entry.body.leader.on = i != 1;
        (void)send(s);
    }
    struct entry_id bite = strike(s, 0);
    tap(s, KIND_STRIKE_LAPSED)->body.strike_lapsed.strike = bite;
    (void)send(s);
    tap(s, KIND_RAISED)->body.raised.line = PORT_TEASER;
    struct entry_id raise = send(s);
    tap(s, KIND_RAISE_TOUCHED)->body.raise_touched.episode = raise;
    s->entry.body.raise_touched.line = SHOTGUN;
    (void)send(s);
    tap(s, KIND_RAISE_GEAR_MOVED)->body.raise_gear_moved.episode = raise;
    s->entry.body.raise_gear_moved.gear = RAISE_GEAR_PITCH_IN;
    (void)send(s);
}

static void place_with_a_light(struct scene *s)
{
    struct spread_line *place = &tap(s, KIND_PLACE_SET)->body.place_set.place;
    place->id = LINES;
    place->gear = GEAR_FLOAT;
    memcpy(place->name, "float 1", sizeof "float 1");
    (void)send(s);
    tap(s, KIND_FLOAT_LIGHT)->body.float_light.line = LINES;
    s->entry.body.float_light.light = LIGHT_GREEN;
    (void)send(s);
    tap(s, KIND_BAIT_CHECKED)->body.bait_checked.line = LINES;
    s->entry.body.bait_checked.result = BAIT_RESULT_CHEWED;
    (void)send(s);
}

static void the_rest(struct scene *s)
{
    struct body_orders *orders = &tap(s, KIND_ORDERS)->body.orders;
    orders->wire = RUTH;
    orders->keep_ahead_s = 25;
    orders->fish_count = orders->anglers_count = 2;
    memcpy(orders->fish[0].name, "sail", sizeof "sail");
    orders->fish[0].preset = 1;
    memcpy(orders->fish[1].name, "tuna", sizeof "tuna");
    orders->anglers[0] = AMPARO;
    orders->anglers[1] = DOV;
    (void)send(s);
    (void)tap(s, KIND_ORDERS_HEARD);
    (void)send(s);
    fish(s);
    place_with_a_light(s);
    tap(s, KIND_DOOR)->body.door.open = true;
    (void)send(s);
    tap(s, KIND_SLICK)->body.slick.on = true;
    (void)send(s);
    tap(s, KIND_STAND_BY)->body.stand_by.hand = DOV;
    (void)send(s);
    (void)tap(s, KIND_ASTERN);
    (void)send(s);
    (void)tap(s, KIND_HURT);
    (void)send(s);
    (void)tap(s, KIND_STAMPED);
    (void)send(s);
    tap(s, KIND_JOB)->body.job.no = 2;
    memcpy(s->entry.body.job.text, "new clip", sizeof "new clip");
    (void)send(s);
    tap(s, KIND_FISH_COUNTED)->body.fish_counted.boated = 4;
    s->entry.body.fish_counted.second = RUTH;
    (void)send(s);
    expect_done(s);
}

static void full_scene(struct scene *s)
{
    scene_out(s);
    (void)tap(s, KIND_OVERBOARD);
    struct entry_id overboard = send(s);
    tap(s, KIND_OVERBOARD_SIGHTED)->body.overboard_sighted.call = overboard;
    s->entry.body.overboard_sighted.hand = RUTH;
    s->entry.body.overboard_sighted.lost = true;
    (void)send(s);
    (void)tap(s, KIND_STOP);
    (void)send(s);
    (void)hook(s, SHOTGUN);
    (void)strike(s, 0);
    (void)clear_called(s, SCOPE_ALL, PORT_FLAT);
    (void)line_taken(s, PORT_TEASER);
    (void)call_got(s, call_to(s, STATION_NONE, RUTH));
    tap(s, KIND_PAGE_JOINED)->body.page_joined.page = PAGE_A;
    s->entry.body.page_joined.view = VIEW_PHONE;
    (void)send(s);
    the_rest(s);
    tap(s, KIND_CLOCK)->body.clock.utc_offset_ms = -5;
    (void)send(s);
}

static void test_dump(void **state)
{
    struct scene s;
    char text[BOARD_DUMP_BYTES];
    (void)state;
    full_scene(&s);
    size_t len = board_dump(&s.board, text, sizeof text);
    assert_int_equal(len, strlen(text));
    const char *const lines[] = {
        "OVERBOARD called 0:16:47, person nobody, spotter Ruth, out of sight, calls 1, heard by 0\n",
        "STOP called 0:16:49 by Tobias\n",
        "trip 7 of Grey Petrel: dock since 0:16:41, started 0:16:41, rules own rules 2026-01\n",
        "wheel nobody, look-out nobody; helm's buttons: nobody, device 0\n",
        "clock none, UTC minus log time -5 ms, run 0000000000000000\n",
        "clear all, called 0:16:53 by Tobias: open, 0 of 3 in, heard\n",
        "not all clear: 1 in as tapped, 0 as seen\n",
        "  port flat (port line): out since 0:16:42, said by Tobias, kept out, bait ballyhoo (assumed)\n",
        "  port teaser (port teaser): clearing since 0:16:54, said by Tobias, taken by Tobias, asked for\n",
        "strike 000000000000000a.o.12: line not named, at 0:16:52\n",
        "fight 000000000000000a.o.10: shotgun, since 0:16:51, angler nobody\n",
        "call come_up to none, Ruth, at 0:16:55: got, got by Tobias\n",
        "checklist Before leaving: none, 0 of 3 answered\n",
        "hand Dov: bridge, by voice\n",
        "page 000000000000000a of nobody: phone, here since 0:16:57\n",
        "HURT called 0:17:18 by Tobias: nobody, not_said\n",
        "astern asked 0:17:17 by Tobias: asked, logged in the way 3 and an open door\n",
        "door open since 0:17:14, gaff up since 0:17:02: Dov, slick since 0:17:15, stand-by Dov\n",
        "orders since 0:16:58: wheel nobody, wire Ruth, gaff nobody, door nobody, keep ahead 25 s; ",
        " s; stays out for sail: preset 1, tuna: preset 0; anglers Amparo, Dov, next Dov; heard by Tobias\n",
        "  float 1 (centre float): in since 0:17:11, said by Tobias, looked at 0:17:13: chewed, light green\n",
        "shotgun, since 0:16:51, angler nobody\n",
        "starboard flat, since 0:17:01, angler Amparo, leader held since 0:17:05 by Ruth, before that for 0:00:01\n",
        ": since 0:17:08, touched 1, at port teaser, then shotgun, pitch bait in the water\n",
        "end not known of strike 000000000000000a.o.",
        "stamp at 0:17:19 by Tobias\n",
        "in the box 4, counted by Tobias and Ruth\n",
        "job 2: new clip, nobody\n",
        "strikes 4, hooked 2, knockdowns 0",
        "raises 1, raises bit 0, raises left 0, raises not known 0, touches 1, bait checks 1, asterns 1, hurts 1",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        if (strstr(text, lines[i]) == NULL)
            fail_msg("not in the dump: %s\n%s", lines[i], text);
    }
}

static void test_dump_of_nothing_and_into_little(void **state)
{
    struct scene s;
    char text[BOARD_DUMP_BYTES], little[10];
    (void)state;
    scene_start(&s);
    (void)call_to(&s, STATION_HELM, 0);
    (void)board_dump(&s.board, text, sizeof text);
    assert_non_null(strstr(text, "all clear since 0:16:41: 5 in as tapped, 0 as seen\n"));
    assert_non_null(strstr(text, "call come_up to helm, at 0:16:42: called\n"));
    scene_open(&s);
    (void)board_dump(&s.board, text, sizeof text);
    assert_non_null(strstr(text, "no trip\n"));
    assert_int_equal(board_dump(&s.board, little, sizeof little), 9);
    assert_string_equal(little, "no trip\nw");
    scene_start(&s);
    s.board.clock.source = CLOCK_SOURCE_GPS;
    s.board.clock.utc_offset_ms = -1002000; /* log time 0:16:42 is midnight */
    s.board.lines[0].by = 0;
    (void)board_dump(&s.board, text, sizeof text);
    assert_non_null(strstr(text, "dock since 0:16:41 (23:59:59 UTC), started 0:16:41 (23:59:59 UTC)"));
    assert_non_null(strstr(text, ", no hand named"));
    assert_null(strstr(text, "said by nobody"));
    scene_open(&s);
    s.board.stop.id.n = 1; /* by a hand that the roster no longer has */
    s.board.stop.by = 9;
    (void)board_dump(&s.board, text, sizeof text);
    assert_non_null(strstr(text, " by 9\n"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_changed),
        cmocka_unit_test(test_what_one_tap_changed),
        cmocka_unit_test(test_emergencies_first),
        cmocka_unit_test(test_known_by_key_not_by_slot),
        cmocka_unit_test(test_a_new_trip_changes_everything),
        cmocka_unit_test(test_dump),
        cmocka_unit_test(test_dump_of_nothing_and_into_little),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
