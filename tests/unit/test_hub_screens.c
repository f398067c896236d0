/* What screens are sent when it matters or gets tight: overboard by anyone, alarms first, slow screens, floods, and what falls due
 * when nobody does anything. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "hub_support.h"
#include "limit.h"

static struct bench bench;
static struct page *helm, *port, *star;

static int begin(void **state)
{
    (void)state;
    bench_open_trip(&bench, &helm, &port, &star);
    return 0;
}

static int end(void **state)
{
    (void)state;
    bench_close(&bench);
    return 0;
}

static const struct board *board(void)
{
    return hub_board(bench.hub);
}

/* --- overboard --------------------------------------------------------------------------------------------------------- */

static void test_overboard_without_a_key(void **state)
{
    (void)state;
    struct page *stranger = page_open(&bench, NULL, VIEW_NONE, 0);
    assert_int_equal(stranger->welcome.from, SOURCE_ANYONE);
    assert_int_equal(stranger->fresh_boards, 0);
    struct entry_id call = page_tap(stranger, "overboard", "{}");
    assert_int_equal(stranger->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(helm->alarms, 1);
    assert_int_equal(port->alarms, 1);
    assert_int_equal(stranger->alarms + stranger->patches, 0);
    assert_int_equal(board()->overboard.calls[0].from, SOURCE_ANYONE);
    page_tap(stranger, "strike", "{'line':1}");
    assert_int_equal(stranger->answer.is, ANSWER_IS_ERROR);
    assert_string_equal(stranger->answer.code, "not_allowed");
    page_say(stranger, "{\"t\":\"fresh\"}");
    assert_string_equal(stranger->told.code, "not_allowed");
    page_tap_about(stranger, "overboard_withdrawn", "{'call':'%s'}", call);
    assert_int_equal(stranger->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->overboard.id.n, 0);
    assert_int_equal(bench_count(&bench, KIND_OVERBOARD), 1);
}

static void test_overboard_again(void **state)
{
    (void)state;
    page_tap(port, "overboard", "{}");
    struct page_tap again = {.id = {port->id, 2, LANE_EMERGENCY}, .kind = "overboard", .body = "{}", .by = 2};
    page_tap_as(port, &again);
    assert_int_equal(port->answer.is, ANSWER_IS_NOT_NOW);
    assert_string_equal(port->answer.code, "too_fast");
    assert_int_equal(port->answer.retry_ms, LIMIT_OVERBOARD_MS);
    page_tap(star, "overboard", "{}"); /* another page's joins */
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->overboard.calls_count, 2);
    bench_pass(&bench, LIMIT_OVERBOARD_MS);
    page_tap_as(port, &again);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    struct entry_id call = {.sender = port->id, .n = 1, .lane = LANE_EMERGENCY};
    port->top[LANE_EMERGENCY] = 2;
    page_tap_about(helm, "overboard_ended", "{'call':'%s','how':'aboard'}", call);
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    page_tap(port, "overboard", "{}"); /* a new emergency rings at once */
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(helm->alarms, 4);
}

static void test_emergencies_are_bounded(void **state)
{
    (void)state;
    struct page *stranger = page_open(&bench, NULL, VIEW_NONE, 0);
    int32_t taken = 0;
    for (int i = 0; i < 100; i++) {
        struct entry_id call = page_tap(stranger, "overboard", "{}");
        if (stranger->answer.is != ANSWER_IS_SEEN)
            break;
        page_tap_about(stranger, "overboard_withdrawn", "{'call':'%s'}", call);
        taken++;
    }
    assert_int_equal(taken, LIMIT_EMERGENCIES_BURST / 2);
    page_tap(port, "overboard", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

/* An alarm overtakes whatever is queued for a screen. */
static void test_alarm_goes_first(void **state)
{
    (void)state;
    star->slow = true;
    for (int i = 0; i < 20; i++)
        page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    page_tap(port, "stop", "{}");
    int close_code;
    struct frame *frame = hub_next(bench.hub, star->conn, &close_code);
    assert_non_null(frame);
    assert_memory_equal(frame->text, "{\"entry\"", 8);
    assert_non_null(memmem(frame->text, (size_t)frame->len, "\"t\":\"alarm\"", 11));
    assert_null(memchr(frame->text, '\n', (size_t)frame->len)); /* and alone: the rest of a frame would be waited for */
    frame_drop(frame);
    star->slow = false;
    bench_settle(&bench);
    assert_int_equal(star->patched.kind, KIND_STOP);
}

/* A connection that is being closed is told nothing more, its taps or not; the page has it by its new one. */
static void test_a_ghost_is_not_told_saved(void **state)
{
    (void)state;
    int close_code = 0;
    bench.disk_stalls = true;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    int64_t seq = port->answer.seq;
    struct page ghost = *port;
    ghost.parts = NULL;
    port->conn = -1;
    page_hello(port, NULL, NULL);
    for (struct frame *frame; (frame = hub_next(bench.hub, ghost.conn, &close_code)) != NULL;)
        frame_drop(frame);
    bench.disk_stalls = false;
    bench_save(&bench);
    assert_true(hub_saved_up_to(bench.hub) >= seq);
    assert_null(hub_next(bench.hub, ghost.conn, &close_code));
    assert_int_equal(close_code, 4001);
    hub_gone(bench.hub, bench.now, ghost.conn);
    bench_settle(&bench);
    assert_true(port->saved.up_to >= seq);
}

/* A page of another build reads one message a text: it must be able to load itself again. */
static void test_a_page_of_another_build_gets_each_alone(void **state)
{
    (void)state;
    int close_code;
    struct peer peer = {.address = 77};
    int conn = hub_join(bench.hub, bench.now, &peer);
    char hello[] = "{\"t\":\"hello\",\"proto\":\"0123456789abcdef\",\"page\":\"00000000000000ee\",\"view\":\"phone\","
                   "\"key\":\"" CREW_KEY "\"}";
    hub_recv(bench.hub, bench.now, conn, hello, sizeof hello - 1);
    page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    int32_t frames = 0;
    for (struct frame *frame; (frame = hub_next(bench.hub, conn, &close_code)) != NULL; frame_drop(frame), frames++)
        assert_null(memchr(frame->text, '\n', (size_t)frame->len));
    assert_true(frames > 5);
    hub_gone(bench.hub, bench.now, conn);
}

static void say(int conn, const char *text)
{
    hub_recv(bench.hub, bench.now, conn, text, strlen(text));
}

/* Whoever has no key and lets his queue fill to the last place, with a call of his own to be told of as saved, is sent no board. */
static void test_a_full_queue_shows_a_stranger_nothing(void **state)
{
    (void)state;
    int close_code, frames = 0;
    struct peer peer = {.address = 78};
    int conn = hub_join(bench.hub, bench.now, &peer);
    say(conn, "{\"t\":\"hello\",\"proto\":\"" PROTO_ID "\",\"page\":\"00000000000000ef\",\"view\":\"phone\"}");
    for (int i = 1; i < LIMIT_QUEUE_FRAMES; i++) /* beside welcome */
        say(conn, "{\"t\":\"fresh\"}");
    bench.disk_stalls = true;
    say(conn,
        "{\"t\":\"tap\",\"id\":\"00000000000000ef.e.1\",\"kind\":\"overboard\",\"v\":1,\"ago_ms\":0,\"body\":{}}");
    assert_int_equal(board()->overboard.id.sender, 0xef);
    bench.disk_stalls = false;
    bench_save(&bench);
    hub_check(bench.hub);
    for (struct frame *frame; (frame = hub_next(bench.hub, conn, &close_code)) != NULL; frame_drop(frame), frames++)
        assert_null(memmem(frame->text, (size_t)frame->len, "\"t\":\"part\"", 10));
    assert_true(frames > 0);
    hub_gone(bench.hub, bench.now, conn);
}

/* A screen that is some frames behind hears the pulse all the same: it may be told nowhere else how far the log is saved. */
static void test_pulse_reaches_who_is_behind(void **state)
{
    (void)state;
    int32_t pulses = star->pulses;
    star->slow = true;
    for (int i = 0; i < 40; i++)
        page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    bench_pass(&bench, LIMIT_PULSE_MS);
    star->slow = false;
    bench_settle(&bench);
    assert_true(star->pulses > pulses);
    assert_true(star->pulse.saved_up_to >= port->answer.seq);
}

/* The taps that a screen has not had come to it in one frame. */
static void test_what_waits_comes_together(void **state)
{
    (void)state;
    int close_code;
    star->slow = true;
    for (int i = 0; i < 5; i++)
        page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    struct frame *frame = hub_next(bench.hub, star->conn, &close_code);
    int32_t lines = 1;
    for (int32_t i = 0; i < frame->len; i++)
        lines += frame->text[i] == '\n';
    assert_true(lines >= 5);
    frame_drop(frame);
    assert_null(hub_next(bench.hub, star->conn, &close_code));
    page_cut(star); /* what it missed is no longer its board */
}

/* Whoever tapped is told at once, of each of his taps; all others have the same from the next pulse. */
static void test_saved_goes_to_whom_it_concerns(void **state)
{
    (void)state;
    bench_pass(&bench, LIMIT_PULSE_MS);
    int32_t saves = star->saves, port_saves = port->saves, pulses = star->pulses;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    assert_int_equal(port->saves, port_saves + 1);
    assert_int_equal(port->saved.up_to, port->answer.seq);
    assert_int_equal(star->saves, saves);
    bench_pass(&bench, LIMIT_PULSE_MS);
    assert_true(star->pulses > pulses);
    assert_int_equal(star->pulse.saved_up_to, hub_last_seq(bench.hub));
    assert_string_equal(star->pulse.chain, port->saved.chain);
    page_tap(star, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    assert_int_equal(star->saved.up_to, star->answer.seq);
    assert_int_equal(port->saved.up_to, star->answer.seq - 1);
    assert_int_equal(port->saves, port_saves + 1);
}

/* Of two taps of one page the disk has one: it is told of that one, and of the other later. */
static void test_saved_one_by_one(void **state)
{
    (void)state;
    bench.disk_stalls = true;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    int64_t first = port->answer.seq;
    int32_t saves = port->saves;
    page_tap(port, "line_is", "{'line':1,'state':'in'}");
    hub_saved(bench.hub, bench.now, first, LOG_OK);
    bench_settle(&bench);
    assert_int_equal(port->saves, saves + 1);
    assert_int_equal(port->saved.up_to, first);
    hub_saved(bench.hub, bench.now, first + 1, LOG_OK);
    bench_settle(&bench);
    assert_int_equal(port->saves, saves + 2);
    assert_int_equal(port->saved.up_to, first + 1);
}

/* --- slow screens and floods ------------------------------------------------------------------------------------------- */

static void test_slow_screen_gets_a_fresh_board(void **state)
{
    (void)state;
    int32_t boards = star->fresh_boards, patches = star->patches;
    star->slow = true;
    for (int i = 0; i < 3 * LIMIT_QUEUE_FRAMES; i++) {
        page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
        assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
        bench.now.boot_ms += 30;
    }
    page_tap(port, "overboard", "{}");
    star->slow = false;
    assert_true(hub_wants(bench.hub, star->conn));
    bench_settle(&bench); /* and the board agrees */
    assert_int_equal(star->fresh_boards, boards + 1);
    assert_int_equal(star->patches, patches);
    assert_int_equal(star->alarms, 1);
    page_tap(port, "strike", "{'line':1}");
    assert_int_equal(star->patches, patches + 1);
}

/* Whatever a slow screen says and is told, what waits for it is bounded; its own answers reach it in the end. */
static void test_slow_and_loud(void **state)
{
    (void)state;
    star->slow = true;
    for (int i = 0; i < 2000; i++) {
        page_say(star, "{\"t\":\"fresh\"}");
        page_say(star, "{\"t\":\"sail\"}");
        bench.now.boot_ms += 10;
    }
    int32_t frames = 0;
    int64_t bytes = 0;
    int close_code;
    for (struct frame *frame; (frame = hub_next(bench.hub, star->conn, &close_code)) != NULL; frame_drop(frame)) {
        assert_true(frame->len <= LIMIT_LINES_BYTES);
        bytes += frame->len;
        frames++;
        for (int32_t i = 0; i < frame->len; i++)
            frames += frame->text[i] == '\n';
    }
    assert_true(frames <= 2 * LIMIT_QUEUE_FRAMES);
    assert_true(bytes <= 2 * LIMIT_QUEUE_BYTES);
}

static void test_taps_too_fast(void **state)
{
    (void)state;
    int32_t taken = 0;
    while (taken < 2 * LIMIT_TAPS_BURST) {
        page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
        if (port->answer.is != ANSWER_IS_SEEN)
            break;
        taken++;
    }
    assert_int_equal(taken, LIMIT_TAPS_BURST);
    assert_int_equal(port->answer.is, ANSWER_IS_NOT_NOW);
    assert_string_equal(port->answer.code, "too_fast");
    port->top[LANE_ORDINARY]--;
    page_tap(port, "stop", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    bench_pass(&bench, 1000);
    page_tap(port, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

static void stop_tap(int32_t n)
{
    struct page_tap tap = {.id = {port->id, n, LANE_EMERGENCY}, .kind = "stop", .body = "{}", .by = 2};
    page_tap_as(port, &tap);
}

/* Two emergencies are under way together, and only the second would be let in: it is told NOT NOW as the first was, or the
 * first's number would be gone and its tap refused. */
static void test_an_emergency_behind_one_told_not_now(void **state)
{
    (void)state;
    int32_t n = LIMIT_EMERGENCIES_BURST + 1;
    for (int32_t i = 1; i < n; i++)
        stop_tap(i);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    stop_tap(n);
    assert_int_equal(port->answer.is, ANSWER_IS_NOT_NOW);
    bench_pass(&bench, 2000);
    stop_tap(n + 1);
    assert_int_equal(port->answer.is, ANSWER_IS_NOT_NOW);
    assert_true(port->answer.retry_ms > 0);
    stop_tap(n);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    bench_pass(&bench, 1000);
    stop_tap(n + 1);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(bench_count(&bench, KIND_STOP), n + 1);
}

/* One that was told NOT NOW and does not come back holds the next up for half a minute, no longer. */
static void test_an_emergency_that_does_not_come_back(void **state)
{
    (void)state;
    page_tap(port, "overboard", "{}");
    page_tap(port, "overboard", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_NOT_NOW);
    bench_pass(&bench, LIMIT_WAIT_MS - 1);
    stop_tap(3);
    assert_int_equal(port->answer.is, ANSWER_IS_NOT_NOW);
    bench_pass(&bench, 1);
    stop_tap(3);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    stop_tap(5);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN); /* a hole that nobody was told about is no reason to wait */
}

static void test_flood_is_closed(void **state)
{
    (void)state;
    static const char junk[] = "{";
    star->slow = true;
    for (int i = 0; i <= LIMIT_MESSAGES_BURST; i++)
        hub_recv(bench.hub, bench.now, star->conn, junk, 1);
    star->slow = false;
    bench_settle(&bench);
    assert_int_equal(star->conn, -1);
    assert_int_equal(star->close_code, 4008);
}

/* --- what falls due ---------------------------------------------------------------------------------------------------- */

static void test_strike_lapses(void **state)
{
    (void)state;
    page_tap(port, "strike", "{'line':1}");
    bench_pass(&bench, LIMIT_STRIKE_MS - 1);
    assert_int_equal(bench_count(&bench, KIND_STRIKE_LAPSED), 0);
    bench_pass(&bench, 1);
    assert_int_equal(bench_count(&bench, KIND_STRIKE_LAPSED), 1);
    assert_int_equal(board()->strikes[0].id.n, 0);
    assert_int_equal(board()->counts.ends_not_known, 1);
}

/* Told as of two minutes ago, its end can still be told for a minute. */
static void test_old_strike_lapses_later(void **state)
{
    (void)state;
    bench_pass(&bench, 3 * LIMIT_STRIKE_MS);
    page_tap_ago(port, "strike", "{'line':1}", 2 * LIMIT_STRIKE_MS);
    assert_int_not_equal(board()->strikes[0].id.n, 0);
    bench_pass(&bench, LIMIT_STRIKE_MS - 1);
    assert_int_equal(bench_count(&bench, KIND_STRIKE_LAPSED), 0);
    bench_pass(&bench, 1);
    assert_int_equal(bench_count(&bench, KIND_STRIKE_LAPSED), 1);
}

/* Five minutes from the last that was told of it. */
static void test_raise_lapses(void **state)
{
    (void)state;
    struct entry_id raise = page_tap(port, "raised", "{'line':1}");
    bench_pass(&bench, LIMIT_RAISE_MS - 1);
    page_tap_about(star, "raise_touched", "{'episode':'%s','line':2}", raise);
    bench_pass(&bench, LIMIT_RAISE_MS - 1);
    assert_int_equal(bench_count(&bench, KIND_RAISE_LAPSED), 0);
    bench_pass(&bench, 1);
    assert_int_equal(bench_count(&bench, KIND_RAISE_LAPSED), 1);
    assert_int_equal(board()->raises[0].id.n, 0);
    assert_int_equal(board()->counts.raises_not_known, 1);
}

static void test_hurt_rings(void **state)
{
    (void)state;
    int32_t alarms = helm->alarms;
    page_tap(port, "hurt", "{}");
    assert_int_equal(helm->alarms, alarms + 1);
    assert_int_equal(helm->alarm.kind, KIND_HURT);
    assert_int_equal(star->alarms, 1);
}

/* At the leader, with the door open and a gaff up, calls and strikes are told by patch alone: of alarms there are three. */
static void test_only_emergencies_are_alarms(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    page_tap(port, "line_is", "{'line':2,'state':'out'}");
    struct entry_id fish = page_tap(port, "strike", "{'line':1}");
    page_tap_about(port, "strike_ended", "{'strike':'%s','end':'on'}", fish);
    page_tap_about(helm, "leader", "{'fight':'%s','on':true}", fish);
    page_tap(port, "door", "{'open':true}");
    page_tap(port, "gaff", "{'up':true}");
    page_tap(port, "call", "{'what':'hold_on','to':'all'}");
    page_tap(port, "clear_called", "{'scope':'all'}");
    page_tap(port, "strike", "{'line':2}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(star->alarms, 0);
    const char *const kinds[] = {"stop", "hurt", "overboard"};
    for (int32_t i = 0; i < 3; i++) {
        page_tap(port, kinds[i], "{}");
        assert_int_equal(star->alarms, i + 1);
    }
    assert_true(board()->fights[0].leader && board()->deck.door && board()->deck.gaff);
}

static void test_call_goes_unheard(void **state)
{
    (void)state;
    page_tap(port, "call", "{'what':'neutral','to':'helm'}");
    struct entry_id heard = page_tap(star, "call", "{'what':'spin','to':'helm'}");
    page_tap_about(helm, "call_got", "{'call':'%s'}", heard);
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_int_equal(bench_count(&bench, KIND_CALL_UNHEARD), 1);
    assert_int_equal(board()->calls[0].state, CALL_STATE_NOT_HEARD);
    assert_int_equal(board()->calls[1].state, CALL_STATE_GOT);
}

/* One hand, woken by name, has a minute; everybody called at once has the time of any call. */
static void test_wake_goes_unheard(void **state)
{
    (void)state;
    page_tap(port, "call", "{'what':'wake','to':'below','hand':3}");
    page_tap(port, "call", "{'what':'wake','to':'all'}");
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_int_equal(board()->calls[0].state, CALL_STATE_CALLED);
    assert_int_equal(board()->calls[1].state, CALL_STATE_NOT_HEARD);
    bench_pass(&bench, LIMIT_WAKE_MS - LIMIT_UNHEARD_MS - 1000);
    assert_int_equal(board()->calls[0].state, CALL_STATE_CALLED);
    bench_pass(&bench, 1000);
    assert_int_equal(board()->calls[0].state, CALL_STATE_NOT_HEARD);
    assert_int_equal(bench_count(&bench, KIND_CALL_UNHEARD), 2);
    page_tap_about(star, "call_got", "{'call':'%s'}", board()->calls[0].id);
    assert_int_equal(board()->calls[0].state, CALL_STATE_GOT);
}

static void test_clearing_goes_unheard(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    page_tap(helm, "clear_called", "{'scope':'all'}");
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_true(board()->clearing.not_heard);
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_int_equal(bench_count(&bench, KIND_CALL_UNHEARD), 1);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_overboard_without_a_key),
        CASE(test_overboard_again),
        CASE(test_emergencies_are_bounded),
        CASE(test_alarm_goes_first),
        CASE(test_slow_screen_gets_a_fresh_board),
        CASE(test_saved_goes_to_whom_it_concerns),
        CASE(test_saved_one_by_one),
        CASE(test_a_ghost_is_not_told_saved),
        CASE(test_a_page_of_another_build_gets_each_alone),
        CASE(test_a_full_queue_shows_a_stranger_nothing),
        CASE(test_pulse_reaches_who_is_behind),
        CASE(test_what_waits_comes_together),
        CASE(test_slow_and_loud),
        CASE(test_taps_too_fast),
        CASE(test_an_emergency_behind_one_told_not_now),
        CASE(test_an_emergency_that_does_not_come_back),
        CASE(test_flood_is_closed),
        CASE(test_strike_lapses),
        CASE(test_old_strike_lapses_later),
        CASE(test_raise_lapses),
        CASE(test_hurt_rings),
        CASE(test_only_emergencies_are_alarms),
        CASE(test_call_goes_unheard),
        CASE(test_wake_goes_unheard),
        CASE(test_clearing_goes_unheard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
