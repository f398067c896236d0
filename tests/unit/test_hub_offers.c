/* What screens bring back to a new run after a crash between seen and saved. */
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

/* Three entries are seen and not saved when the server dies; one screen brings them back. */
static void test_offered_entries(void **state)
{
    (void)state;
    static struct entry seen[3];
    bench.disk_stalls = true;
    page_tap(port, "strike", "{'line':1}");
    seen[0] = star->patched;
    page_tap(port, "strike", "{'line':20}");
    seen[1] = star->patched;
    page_tap(port, "line_is", "{'line':2,'state':'out'}");
    seen[2] = star->patched;
    bench.disk_stalls = false;
    bench_restart(&bench, false);
    page_hello(star, NULL, NULL);
    assert_int_equal(board()->strikes[0].id.n, 0);
    bench_pass(&bench, 2000);
    page_offer(star, &seen[2], 2000);
    assert_int_equal(star->answer.is, ANSWER_IS_WAIT);
    for (int i = 0; i < 3; i++)
        page_offer(star, &seen[i], 2000);
    assert_int_equal(board()->strikes[0].line, 1);
    assert_int_equal(board()->lines[1].state, LINE_STATE_OUT);
    const struct entry *back = &bench.row[bench.row_count - 1].entry;
    assert_true(back->offered);
    assert_int_equal(back->by, 2);
    assert_int_equal(back->device, port->device);
    assert_int_equal(back->got_ms - back->at_ms, 2000);
    assert_string_equal(bench.row[bench.row_count - 2].entry.refused, "line_unknown");
    int64_t rev = hub_rev(bench.hub);
    page_offer(star, &seen[0], 2100);
    assert_int_equal(hub_rev(bench.hub), rev);
    assert_int_equal(star->answer.is, ANSWER_IS_KNOWN);
    assert_int_equal(star->answer.seq, back->seq - 2);
    seen[0].body.strike.line = 3;
    page_offer(star, &seen[0], 2100);
    assert_int_equal(star->answer.is, ANSWER_IS_ERROR);
    assert_string_equal(star->answer.code, "other_body");
    page_hello(port, NULL, NULL);
    struct page_tap own = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "strike", .body = "{'line':1}", .by = 2};
    page_tap_as(port, &own);
    assert_int_equal(port->answer.is, ANSWER_IS_KNOWN);
}

static void test_offers_are_the_crews(void **state)
{
    (void)state;
    struct page *guest = page_open(&bench, GUEST_KEY, VIEW_GUEST, 0);
    page_tap(port, "strike", "{'line':1}");
    struct entry entry = star->patched;
    int64_t rev = hub_rev(bench.hub);
    entry.id.sender = 0xabc;
    page_offer(guest, &entry, 0);
    assert_string_equal(guest->told.code, "not_allowed");
    entry = bench.row[0].entry; /* the server's own */
    assert_int_equal(entry.kind, KIND_RUN);
    entry.id.sender = 0xabc;
    page_offer(star, &entry, 0);
    assert_int_equal(hub_rev(bench.hub), rev);
}

/* An emergency that is brought back rings once, unless its end is brought back with it. */
static void test_offered_overboard(void **state)
{
    (void)state;
    static struct entry call, ended;
    bench.disk_stalls = true;
    page_tap(port, "overboard", "{}");
    call = star->patched;
    page_tap_about(helm, "overboard_ended", "{'call':'%s','how':'aboard'}", call.id);
    ended = star->patched;
    bench.disk_stalls = false;
    bench_restart(&bench, false);
    page_hello(star, NULL, NULL);
    page_hello(helm, NULL, NULL);
    int32_t alarms = helm->alarms;
    page_offer(star, &call, 100);
    page_offer(star, &ended, 100);
    bench_pass(&bench, 2 * LIMIT_HOLD_ALARM_MS);
    assert_int_equal(helm->alarms, alarms);
    assert_int_equal(board()->overboard.id.n, 0);
    call.id.sender = 0xabc;
    page_offer(star, &call, 100);
    bench_pass(&bench, LIMIT_HOLD_ALARM_MS);
    assert_int_equal(helm->alarms, alarms + 1);
    page_offer(star, &call, 100);
    bench_pass(&bench, LIMIT_HOLD_ALARM_MS);
    assert_int_equal(helm->alarms, alarms + 1);
}

/* A trip that was brought back never wipes one that has begun since. */
static void test_offered_trip(void **state)
{
    (void)state;
    static struct entry started;
    page_tap(helm, "trip_ended", "{}");
    page_tap(helm, "trip_started", trip_body);
    struct entry_id trip = board()->trip.id;
    for (int32_t i = 0; i < bench.row_count; i++)
        if (bench.row[i].entry.kind == KIND_TRIP_STARTED)
            started = bench.row[i].entry;
    started.id = (struct entry_id){0xabc, 1, LANE_ORDINARY};
    page_offer(star, &started, 0);
    assert_string_equal(star->patched.refused, "trip_running");
    assert_memory_equal(&board()->trip.id, &trip, sizeof trip);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_offered_entries),
        CASE(test_offers_are_the_crews),
        CASE(test_offered_overboard),
        CASE(test_offered_trip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
