/* The hub's ordered path: a tap's way, its identity, refusals, waits, the log's fate. bench_settle() checks after
 * every step that the fold of the journal is the live board and that every page has that board. */
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

static void assert_refused(const struct page *page, const char *code)
{
    assert_int_equal(page->answer.is, ANSWER_IS_REFUSED);
    assert_string_equal(page->answer.code, code);
    assert_true(strlen(page->answer.words) > 0);
}

static void assert_error(const struct page *page, const char *code)
{
    assert_int_equal(page->answer.is, ANSWER_IS_ERROR);
    assert_string_equal(page->answer.code, code);
    assert_true(strlen(page->answer.words) > 0);
}

/* --- one tap ----------------------------------------------------------------------------------------------------------- */

static void test_tap_goes_through(void **state)
{
    (void)state;
    bench_pass(&bench, 1000);
    int64_t last = hub_last_seq(bench.hub);
    struct entry_id id = page_tap_ago(port, "line_is", "{'line':1,'state':'out'}", 500);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(port->answer.seq, last + 1);
    assert_false(port->answer.moot);
    assert_false(port->answer.late);
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
    assert_int_equal(star->patched.seq, last + 1);
    assert_int_equal(star->patched.id.sender, id.sender);
    assert_int_equal(star->patched.by, 2);
    assert_int_equal(star->patched.from, SOURCE_CREW);
    assert_int_equal(star->patched.got_ms - star->patched.at_ms, 500);
    assert_int_equal(port->saved.up_to, last + 1);
    assert_int_equal(hub_saved_up_to(bench.hub), last + 1);
    assert_int_equal(bench.row[last].entry.kind, KIND_LINE_IS);
}

/* The patch is out while the disk stands still; saved is said only when it is. */
static void test_seen_before_saved(void **state)
{
    (void)state;
    bench.disk_stalls = true;
    int32_t saves = port->saves;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(star->patched.kind, KIND_LINE_IS);
    assert_int_equal(port->saves, saves);
    assert_true(hub_saved_up_to(bench.hub) < port->answer.seq);
    bench.disk_stalls = false;
    bench_settle(&bench);
    assert_int_equal(port->saves, saves + 1);
    assert_int_equal(port->saved.up_to, port->answer.seq);
}

static void test_refusal_is_an_entry(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':20,'state':'out'}");
    assert_refused(port, "line_unknown");
    assert_string_equal(star->patched.refused, "line_unknown");
    assert_int_equal(bench.row[bench.row_count - 1].entry.id.n, port->top[LANE_ORDINARY]);
    page_tap(port, "line_is", "{'line':2,'state':'out'}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

static void test_refusal_has_names(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    page_tap(port, "clear_called", "{'scope':'all'}");
    page_tap(port, "line_taken", "{'line':1}");
    page_tap(star, "line_taken", "{'line':1}");
    assert_refused(star, "taken");
    assert_string_equal(star->answer.words, "Tobias has port long already.");
}

static void test_roles(void **state)
{
    (void)state;
    struct page *guest = page_open(&bench, GUEST_KEY, VIEW_GUEST, 0);
    assert_int_equal(guest->welcome.from, SOURCE_GUEST);
    int64_t last = hub_last_seq(bench.hub);
    page_tap(guest, "line_is", "{'line':1,'state':'out'}");
    assert_error(guest, "not_allowed");
    assert_int_equal(hub_last_seq(bench.hub), last);
    page_tap(port, "trip_phase", "{'phase':'fishing'}");
    assert_refused(port, "not_helm");
    page_tap(port, "strike_lapsed", "{'strike':'00000000000000aa.o.1'}");
    assert_int_equal(port->answer.is, ANSWER_IS_WAIT);
    page_tap(helm, "trip_phase", "{'phase':'fishing'}");
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    page_tap(star, "run", "{'run':'00000000000000aa','boot':'00000000000000aa','base_ms':0}");
    assert_refused(star, "not_allowed");
}

static void test_wrong_lane(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 1, LANE_EMERGENCY}, .kind = "strike", .body = "{}", .by = 2};
    page_tap_as(port, &tap);
    assert_refused(port, "wrong_lane");
    struct page_tap stop = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "stop", .body = "{}", .by = 2};
    page_tap_as(port, &stop);
    assert_refused(port, "wrong_lane");
    assert_int_equal(board()->stop.id.n, 0);
}

/* --- identity ---------------------------------------------------------------------------------------------------------- */

static void test_repeat_gets_first_answer(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "strike", .body = "{'line':1}", .by = 2};
    page_tap_as(port, &tap);
    int64_t seq = port->answer.seq, last = hub_last_seq(bench.hub);
    tap.ago_ms = 5000; /* outside the identity: worked out anew at each send */
    page_tap_as(port, &tap);
    assert_int_equal(port->answer.is, ANSWER_IS_KNOWN);
    assert_int_equal(port->answer.seq, seq);
    assert_int_equal(hub_last_seq(bench.hub), last);
    bench_restart(&bench, false);
    page_hello(port, NULL, NULL);
    last = hub_last_seq(bench.hub);
    page_tap_as(port, &tap);
    assert_int_equal(port->answer.is, ANSWER_IS_KNOWN);
    assert_int_equal(port->answer.seq, seq);
    assert_int_equal(hub_last_seq(bench.hub), last);
}

static void test_repeat_of_refusal(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "strike", .body = "{'line':20}", .by = 2};
    page_tap_as(port, &tap);
    assert_refused(port, "line_unknown");
    page_tap_as(port, &tap);
    assert_refused(port, "line_unknown");
    bench_restart(&bench, true);
    page_hello(port, NULL, NULL);
    page_tap_as(port, &tap);
    assert_refused(port, "line_unknown");
}

static void test_other_body(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "strike", .body = "{'line':1}", .by = 2};
    page_tap_as(port, &tap);
    int64_t last = hub_last_seq(bench.hub);
    tap.body = "{'line':2}";
    page_tap_as(port, &tap);
    assert_error(port, "other_body");
    bench_restart(&bench, false);
    page_hello(port, NULL, NULL);
    page_tap_as(port, &tap);
    assert_error(port, "other_body");
    assert_int_equal(bench.row[last - 1].entry.body.strike.line, 1);
}

static void test_gap_waits_and_is_filled(void **state)
{
    (void)state;
    struct page_tap third = {.id = {port->id, 3, LANE_ORDINARY}, .kind = "strike", .body = "{'line':1}", .by = 2};
    page_tap_as(port, &third);
    assert_int_equal(port->answer.is, ANSWER_IS_WAIT);
    assert_int_equal(port->answer.retry_ms, LIMIT_RETRY_MS);
    bench_pass(&bench, LIMIT_WAIT_MS - 1);
    page_tap_as(port, &third);
    assert_int_equal(port->answer.is, ANSWER_IS_WAIT);
    bench_pass(&bench, 1);
    int64_t last = hub_last_seq(bench.hub);
    page_tap_as(port, &third);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(port->answer.seq, last + 3);
    for (int32_t n = 1; n <= 2; n++) {
        const struct entry *filler = &bench.row[last + n - 1].entry;
        assert_int_equal(filler->kind, KIND_GAP_FILLED);
        assert_string_equal(filler->refused, "gap");
        assert_int_equal(filler->id.n, n);
        assert_true(filler->id.sender == port->id);
    }
    struct page_tap second = {.id = {port->id, 2, LANE_ORDINARY}, .kind = "strike", .body = "{}", .by = 2};
    page_tap_as(port, &second);
    assert_refused(port, "gap");
}

static void test_gap_closes_by_itself(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 2, LANE_ORDINARY}, .kind = "strike", .body = "{'line':2}", .by = 2};
    page_tap_as(port, &tap);
    assert_int_equal(port->answer.is, ANSWER_IS_WAIT);
    struct page_tap first = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "strike", .body = "{'line':1}", .by = 2};
    page_tap_as(port, &first);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    page_tap_as(port, &tap);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

static void test_emergency_gap_at_once(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 4, LANE_EMERGENCY}, .kind = "overboard", .body = "{}", .by = 2};
    page_tap_as(port, &tap);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(star->alarms, 1);
    tap.id.n = 1000;
    page_tap_as(port, &tap);
    assert_error(port, "bad_tap");
}

/* --- names ------------------------------------------------------------------------------------------------------------- */

static void test_waits_for_what_it_names(void **state)
{
    (void)state;
    struct page_tap end_tap = {.id = {star->id, 1, LANE_ORDINARY}, .kind = "strike_ended", .by = 3};
    char body[100], id[40];
    struct entry_id strike = {.sender = port->id, .n = 1, .lane = LANE_ORDINARY};
    (void)snprintf(body, sizeof body, "{'strike':'%s','end':'on'}", id_text(strike, id));
    end_tap.body = body;
    page_tap_as(star, &end_tap);
    assert_int_equal(star->answer.is, ANSWER_IS_WAIT);
    bench_pass(&bench, 10000);
    page_tap(port, "strike", "{'line':1}");
    page_tap_as(star, &end_tap);
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->fights[0].line, 1);
}

static void test_waits_no_longer(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {star->id, 1, LANE_ORDINARY}, .kind = "call_got", .by = 3};
    tap.body = "{'call':'00000000000000aa.o.1'}";
    page_tap_as(star, &tap);
    assert_int_equal(star->answer.is, ANSWER_IS_WAIT);
    bench_pass(&bench, LIMIT_WAIT_MS);
    page_tap_as(star, &tap);
    assert_refused(star, "wait_too_long");
}

/* One of an earlier trip is known to be none of this one's: the rules say what that means, at once. */
static void test_names_an_earlier_trip(void **state)
{
    (void)state;
    struct entry_id strike = page_tap(port, "strike", "{'line':1}");
    struct entry_id out = page_tap(port, "line_is", "{'line':2,'state':'out'}");
    page_tap(helm, "trip_ended", "{}");
    page_tap(helm, "trip_started", trip_body);
    page_tap_about(star, "strike_ended", "{'strike':'%s','end':'on'}", strike);
    assert_refused(star, "strike_over");
    page_tap_about(star, "voided", "{'target':'%s'}", out);
    assert_refused(star, "target_unknown");
}

static void test_told_no_stays_no(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {port->id, 1, LANE_ORDINARY}, .kind = "strike", .body = "{'line':1}", .by = 2};
    tap.told_no = "strikes_full";
    page_tap_as(port, &tap);
    assert_refused(port, "strikes_full");
    assert_int_equal(board()->strikes[0].id.n, 0);
    assert_string_equal(bench.row[bench.row_count - 1].entry.refused, "strikes_full");
}

/* A guest reads a page's id off the board; its numbers stay the crew's. */
static void test_numbers_are_the_crews(void **state)
{
    (void)state;
    struct page *guest = page_open(&bench, GUEST_KEY, VIEW_GUEST, 0);
    struct page_tap tap = {.id = {port->id, 1, LANE_EMERGENCY}, .kind = "overboard", .body = "{}"};
    page_tap_as(guest, &tap);
    assert_error(guest, "not_allowed");
    page_tap(port, "overboard", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    page_tap(guest, "overboard", "{}");
    assert_int_equal(guest->answer.is, ANSWER_IS_SEEN);
}

/* --- the log's fate ---------------------------------------------------------------------------------------------------- */

static void test_queue_full(void **state)
{
    (void)state;
    bench.disk_stalls = true;
    int32_t taken = 0;
    do {
        page_tap(taken % 2 ? port : star, "line_bait", "{'line':1,'bait':'ballyhoo'}");
        bench.now.boot_ms += 50;
    } while ((taken++ % 2 ? port : star)->answer.is == ANSWER_IS_SEEN && taken < 2 * LIMIT_UNSAVED_ROWS);
    struct page *last = taken % 2 ? star : port;
    last->top[LANE_ORDINARY]--;
    assert_int_equal(last->answer.is, ANSWER_IS_NOT_NOW);
    assert_string_equal(last->answer.code, "queue_full");
    assert_true(taken > LIMIT_UNSAVED_ROWS - LIMIT_UNSAVED_RESERVE - 100);
    page_tap(port, "overboard", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    bench.disk_stalls = false;
    bench_settle(&bench);
    page_tap(last, "line_bait", "{'line':1,'bait':'ballyhoo'}");
    assert_int_equal(last->answer.is, ANSWER_IS_SEEN);
}

static void test_disk_failed(void **state)
{
    (void)state;
    bench.disk_stalls = true;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    hub_saved(bench.hub, bench.now, hub_saved_up_to(bench.hub), LOG_FAILED);
    page_tap(star, "line_is", "{'line':2,'state':'out'}");
    assert_int_equal(star->answer.is, ANSWER_IS_NOT_NOW);
    assert_string_equal(star->answer.code, "not_saving");
    page_tap(port, "overboard", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_string_equal(port->answer.code, "not_saving");
    assert_int_equal(star->alarms, 1);
    assert_int_equal(board()->overboard.calls_count, 1);
    bench_pass(&bench, LIMIT_PULSE_MS);
    assert_int_equal(star->pulse.disk, DISK_FAILED);
    assert_true(star->pulse.saved_up_to < port->answer.seq);
    static struct log_row rows[4];
    assert_int_equal(hub_batch(bench.hub, rows, 4), 0);
}

/* The disk works again: what was seen meanwhile is saved, from the row after the last that was, and taps are taken. */
static void test_disk_mended(void **state)
{
    (void)state;
    bench.disk_stalls = true;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    int64_t saved_seq = hub_saved_up_to(bench.hub);
    hub_saved(bench.hub, bench.now, saved_seq, LOG_FAILED);
    page_tap(port, "overboard", "{}");
    hub_check(bench.hub);
    hub_saved(bench.hub, bench.now, saved_seq, LOG_OK);
    static struct log_row rows[4];
    assert_true(hub_batch(bench.hub, rows, 4) >= 2);
    assert_int_equal(rows[0].seq, saved_seq + 1);
    page_tap(star, "line_is", "{'line':2,'state':'out'}");
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    bench.disk_stalls = false;
    bench_settle(&bench);
    assert_int_equal(hub_saved_up_to(bench.hub), hub_last_seq(bench.hub));
    assert_int_equal(port->saved.up_to, hub_last_seq(bench.hub));
    assert_false(hub_lost(bench.hub));
    hub_check(bench.hub);
}

/* Pages come and go for hours while the disk fails. What the server notes of them leaves the emergencies their room, and all that was
 * kept is saved when the disk works again. */
static void test_disk_failed_for_hours(void **state)
{
    (void)state;
    bench.disk_stalls = true;
    int64_t saved_seq = hub_saved_up_to(bench.hub), unsaved = 0;
    hub_saved(bench.hub, bench.now, saved_seq, LOG_FAILED);
    for (int32_t i = 0; i <= LIMIT_UNSAVED_ROWS; i++) {
        page_beat(port, i % 2 == 0);
        page_beat(star, i % 2 == 0);
        bench.now.boot_ms += LIMIT_PRESENCE_MS;
        (void)hub_tick(bench.hub, bench.now);
    }
    unsaved = hub_last_seq(bench.hub) - saved_seq;
    assert_false(hub_lost(bench.hub));
    assert_int_equal(unsaved, LIMIT_UNSAVED_ROWS - LIMIT_UNSAVED_RESERVE);
    for (int32_t i = 0; i < LIMIT_UNSAVED_RESERVE; i++) {
        bench.now.boot_ms += 1000;
        page_tap(port, "stop", "{}");
    }
    assert_false(hub_lost(bench.hub));
    hub_saved(bench.hub, bench.now, saved_seq, LOG_OK);
    bench.disk_stalls = false;
    bench_settle(&bench);
    assert_int_equal(hub_saved_up_to(bench.hub), hub_last_seq(bench.hub));
    assert_int_equal(bench.row_count, saved_seq + LIMIT_UNSAVED_ROWS);
    page_beat(port, false);
    bench_pass(&bench, LIMIT_PRESENCE_MS);
    int32_t asleep = 0;
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++)
        asleep += board()->pages[i].page == port->id && board()->pages[i].state == PAGE_REACH_ASLEEP;
    assert_int_equal(asleep, 1);
}

/* So many emergencies while the disk fails that they cannot be kept: this run saves no more, rather than with a hole. */
static void test_disk_mended_too_late(void **state)
{
    (void)state;
    int64_t saved_seq = hub_saved_up_to(bench.hub);
    hub_saved(bench.hub, bench.now, saved_seq, LOG_FAILED);
    for (int32_t i = 0; i <= LIMIT_UNSAVED_ROWS && !hub_lost(bench.hub); i++) {
        bench.now.boot_ms += 10000;
        page_tap(port, "stop", "{}");
    }
    assert_true(hub_lost(bench.hub));
    hub_saved(bench.hub, bench.now, saved_seq, LOG_OK);
    static struct log_row rows[4];
    assert_int_equal(hub_batch(bench.hub, rows, 4), 0);
    page_tap(star, "line_is", "{'line':2,'state':'out'}");
    assert_string_equal(star->answer.code, "not_saving");
    hub_check(bench.hub);
}

static void test_chain(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    char hex[33];
    for (int i = 0; i < 16; i++)
        (void)snprintf(hex + 2 * i, 3, "%02x", bench.row[bench.row_count - 1].chain[i]);
    assert_string_equal(port->saved.chain, hex);
}

static void test_restart_folds_the_same(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    page_tap(port, "strike", "{'line':1}");
    struct board_strike strike = board()->strikes[0];
    int64_t last_ms = bench.row[bench.row_count - 1].entry.got_ms;
    bench_restart(&bench, true);
    assert_memory_equal(&board()->strikes[0], &strike, sizeof strike);
    assert_true(board()->lines[0].unsure);
    bench_settle(&bench);
    const struct entry *run = &bench.row[bench.row_count - 1].entry;
    assert_int_equal(run->kind, KIND_RUN);
    assert_true(run->body.run.estimated);
    assert_true(run->body.run.fresh);
    assert_int_equal(run->at_ms, last_ms + 1000);
}

static void test_same_boot_goes_on(void **state)
{
    (void)state;
    bench_pass(&bench, 5000);
    int64_t log_ms = bench.now.boot_ms; /* the first boot: log time is the boot clock */
    bench_restart(&bench, false);
    bench_settle(&bench);
    const struct entry *run = &bench.row[bench.row_count - 1].entry;
    assert_int_equal(run->kind, KIND_RUN);
    assert_int_equal(run->at_ms, log_ms);
    assert_false(run->body.run.estimated);
}

/* Time of day over a reboot: known before and after, it bridges the gap; a jump is logged. */
static void test_clock(void **state)
{
    (void)state;
    bench.now.utc_ms = 1700000000000;
    bench_pass(&bench, 1000);
    assert_int_equal(board()->clock.source, CLOCK_SOURCE_SYSTEM);
    int64_t offset_ms = board()->clock.utc_offset_ms;
    bench_pass(&bench, 60000);
    assert_int_equal(board()->clock.utc_offset_ms, offset_ms);
    int64_t log_ms = bench.now.boot_ms, utc_ms = bench.now.utc_ms;
    bench.now.utc_ms += 3600000;
    bench_restart(&bench, true);
    bench_settle(&bench);
    assert_false(board()->clock.estimated);
    assert_int_equal(bench.row[bench.row_count - 1].entry.at_ms, log_ms + 3600000);
    assert_int_equal(bench.now.utc_ms, utc_ms + 3600000);
    bench.now.utc_ms += 5000;
    bench_pass(&bench, 1000);
    assert_int_equal(board()->clock.utc_offset_ms, offset_ms + 5000);
}

/* A trip can be folded alone: it is followed by the run, the pages and the helm. */
static void test_trip_is_whole(void **state)
{
    (void)state;
    page_tap(helm, "trip_ended", "{}");
    page_tap(helm, "trip_started", trip_body);
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->helm.device, helm->device);
    assert_true(board()->clock.run == bench.seed.run_id);
    int32_t pages = 0;
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++)
        pages += board()->pages[i].page != 0;
    assert_int_equal(pages, 3);
    bench_restart(&bench, false);
    page_hello(helm, NULL, NULL);
    page_tap(helm, "trip_phase", "{'phase':'fishing'}");
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
}

static void test_reads(void **state)
{
    (void)state;
    page_tap(port, "strike", "{'line':20}");
    int64_t seq = port->answer.seq;
    char *text = hub_log_json(bench.hub, seq, 1);
    assert_non_null(strstr(text, "\"refused\":\"line_unknown\""));
    assert_non_null(strstr(text, "\"log_id\":\"1111222233334444\""));
    assert_non_null(strstr(text, "\"outcome\":\"moot\""));
    free(text);
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    text = hub_board_json(bench.hub, seq);
    assert_null(strstr(text, "\"state\":\"out\""));
    free(text);
    text = hub_board_json(bench.hub, seq + 1);
    assert_non_null(strstr(text, "\"state\":\"out\""));
    free(text);
    assert_null(hub_board_json(bench.hub, seq + 2));
    assert_int_equal(hub_token_source(bench.hub, port->token), SOURCE_CREW);
    assert_int_equal(hub_token_source(bench.hub, "0123456789abcdef0123456789abcdef"), SOURCE_ANYONE);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_tap_goes_through),
        CASE(test_seen_before_saved),
        CASE(test_refusal_is_an_entry),
        CASE(test_refusal_has_names),
        CASE(test_roles),
        CASE(test_wrong_lane),
        CASE(test_repeat_gets_first_answer),
        CASE(test_repeat_of_refusal),
        CASE(test_other_body),
        CASE(test_gap_waits_and_is_filled),
        CASE(test_gap_closes_by_itself),
        CASE(test_emergency_gap_at_once),
        CASE(test_waits_for_what_it_names),
        CASE(test_waits_no_longer),
        CASE(test_names_an_earlier_trip),
        CASE(test_told_no_stays_no),
        CASE(test_numbers_are_the_crews),
        CASE(test_queue_full),
        CASE(test_disk_failed),
        CASE(test_disk_mended),
        CASE(test_disk_failed_for_hours),
        CASE(test_disk_mended_too_late),
        CASE(test_chain),
        CASE(test_restart_folds_the_same),
        CASE(test_same_boot_goes_on),
        CASE(test_clock),
        CASE(test_trip_is_whole),
        CASE(test_reads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
