/* Pages at the hub: keys and tokens, guesses, ghosts, presence, the helm, overboard by anyone, screens that are slow, floods,
 * what falls due, and what screens bring back after a crash. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "codec.h"
#include "hub_support.h"
#include "limit.h"

static struct bench bench;
static struct page *helm, *port, *star;

static int begin(void **state)
{
    (void)state;
    bench_open(&bench);
    helm = page_open(&bench, CREW_KEY, VIEW_HELM, 1);
    port = page_open(&bench, CREW_KEY, VIEW_PHONE, 2);
    star = page_open(&bench, CREW_KEY, VIEW_PHONE, 3);
    page_helm(helm, HELM_NUMBER);
    page_tap(helm, "trip_started", trip_body);
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

static const struct board_page *board_page_of(const struct page *page)
{
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++)
        if (board()->pages[i].page == page->id)
            return &board()->pages[i];
    return NULL;
}

static int32_t count_rows(enum entry_kind kind)
{
    int32_t count = 0;
    for (int32_t i = 0; i < bench.row_count; i++)
        count += bench.row[i].entry.kind == kind && bench.row[i].entry.refused[0] == '\0';
    return count;
}

static struct entry_id tap_about(struct page *page, const char *kind, const char *body, struct entry_id about)
{
    char text[200], id[40];
    (void)snprintf(text, sizeof text, body, id_text(about, id));
    return page_tap(page, kind, text);
}

/* --- keys -------------------------------------------------------------------------------------------------------------- */

static void test_key_then_token(void **state)
{
    (void)state;
    assert_int_equal(strlen(port->token), 32);
    assert_int_not_equal(port->device, star->device);
    assert_true(hub_devices_changed(bench.hub));
    int32_t device = port->device;
    page_cut(port);
    page_hello(port, NULL, NULL);
    assert_int_equal(port->welcome.device, device);
    assert_string_equal(port->welcome.token, "");
    bench_restart(&bench, true);
    page_hello(port, NULL, NULL);
    assert_int_equal(port->welcome.device, device);
    assert_int_equal(port->welcome.from, SOURCE_CREW);
}

static void test_wrong_key_and_back_off(void **state)
{
    (void)state;
    struct page *wrong = page_open(&bench, "nearly-the-key", VIEW_PHONE, 0);
    assert_int_equal(wrong->nos, 1);
    assert_string_equal(wrong->no.code, "wrong_key");
    assert_int_equal(wrong->close_code, 4003);
    page_hello(wrong, CREW_KEY, NULL);
    assert_string_equal(wrong->no.code, "number_wait");
    page_cut(port);
    page_hello(port, NULL, NULL); /* a token is never slowed */
    assert_int_equal(port->welcomes, 2);
    bench_pass(&bench, 1000);
    page_hello(wrong, "still-not-the-key", NULL);
    assert_string_equal(wrong->no.code, "wrong_key");
    bench_pass(&bench, 1000);
    page_hello(wrong, CREW_KEY, NULL);
    assert_string_equal(wrong->no.code, "number_wait");
    bench_pass(&bench, 1000);
    page_hello(wrong, CREW_KEY, NULL);
    assert_int_equal(wrong->welcomes, 1);
}

static void test_wrong_token(void **state)
{
    (void)state;
    page_cut(port);
    port->token[0] = port->token[0] == 'a' ? 'b' : 'a';
    page_hello(port, NULL, NULL);
    assert_string_equal(port->no.code, "wrong_key");
    assert_int_equal(port->close_code, 4003);
}

static void test_hello_comes_first_and_once(void **state)
{
    (void)state;
    struct peer peer = {.address = 77};
    struct page *page = &bench.page[bench.page_count++];
    *page = (struct page){.bench = &bench, .id = 77};
    page->conn = hub_join(bench.hub, bench.now, &peer);
    page_say(page, "{\"t\":\"fresh\"}");
    assert_string_equal(page->told.code, "hello_first");
    bench_pass(&bench, LIMIT_HELLO_MS);
    assert_int_equal(page->conn, -1);
    assert_int_equal(page->close_code, 4002);
    page_say(port, "{\"t\":\"hello\",\"proto\":\"0123456789abcdef\",\"page\":\"00000000000000aa\",\"view\":\"phone\"}");
    assert_string_equal(port->told.code, "bad_message");
}

/* A page of another release may hold taps: it is let in, told our build, and reloads when it has sent them. */
static void test_other_build_is_let_in(void **state)
{
    (void)state;
    struct peer peer = {.address = 78};
    struct page *page = &bench.page[bench.page_count++];
    *page = (struct page){.bench = &bench, .id = 78};
    char text[300];
    page->conn = hub_join(bench.hub, bench.now, &peer);
    (void)snprintf(text, sizeof text,
                   "{\"t\":\"hello\",\"proto\":\"0123456789abcdef\",\"page\":\"000000000000004e\",\"view\":\"phone\","
                   "\"key\":\"%s\"}",
                   CREW_KEY);
    page_say(page, text);
    assert_string_equal(page->welcome.proto, PROTO_ID);
    page_tap(page, "strike", "{'line':1}");
    assert_int_equal(page->answer.is, ANSWER_IS_SEEN);
}

static void test_connections_are_bounded(void **state)
{
    (void)state;
    struct peer peer = {.address = 1000};
    int joined = 0, conn;
    for (; (conn = hub_join(bench.hub, bench.now, &peer)) >= 0; joined++)
        assert_true(joined < LIMIT_CONNS_PER_ADDRESS);
    assert_int_equal(joined, LIMIT_CONNS_PER_ADDRESS);
    for (; (conn = hub_join(bench.hub, bench.now, &peer)) >= 0; joined++)
        ;
    for (; peer.address++, (conn = hub_join(bench.hub, bench.now, &peer)) >= 0; joined++)
        assert_true(joined < LIMIT_CONNS);
    assert_int_equal(joined, LIMIT_CONNS - 3);
}

static void test_strangers_pool(void **state)
{
    (void)state;
    for (int32_t i = 0; i < LIMIT_CONNS_KEYLESS; i++)
        assert_int_equal(page_open(&bench, NULL, VIEW_NONE, 0)->welcomes, 1);
    struct page *last = page_open(&bench, NULL, VIEW_NONE, 0);
    assert_string_equal(last->no.code, "full");
    assert_int_equal(last->close_code, 4004);
    assert_int_equal(page_open(&bench, CREW_KEY, VIEW_PHONE, 4)->welcomes, 1);
}

/* --- pages ------------------------------------------------------------------------------------------------------------- */

static void test_ghost_is_replaced(void **state)
{
    (void)state;
    struct page ghost = *port;
    ghost.parts = NULL;
    port->conn = -1;
    page_hello(port, NULL, NULL);
    assert_int_equal(port->welcomes, 2);
    int close_code = 0;
    struct frame *frame;
    while ((frame = hub_next(bench.hub, ghost.conn, &close_code)) != NULL)
        frame_drop(frame);
    assert_int_equal(close_code, 4001);
    hub_gone(bench.hub, bench.now, ghost.conn);
    bench_pass(&bench, 10000);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST); /* silent, but not gone with its ghost */
    page_beat(port, true);
    bench_pass(&bench, LIMIT_PRESENCE_MS);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_HERE);
}

static void test_another_device_replaces_nobody(void **state)
{
    (void)state;
    struct page thief = {.bench = &bench, .id = port->id, .view = VIEW_PHONE, .conn = -1};
    struct page *as = &bench.page[bench.page_count++];
    *as = thief;
    page_hello(as, GUEST_KEY, NULL);
    assert_int_equal(as->nos, 1);
    page_tap(port, "strike", "{'line':1}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

static void beat_all(int64_t ms)
{
    for (int64_t past = 0; past < ms; past += 500) {
        page_beat(helm, true);
        page_beat(star, true);
        bench_pass(&bench, 500);
    }
}

static void test_presence(void **state)
{
    (void)state;
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_HERE);
    assert_int_equal(board_page_of(port)->hand, 2);
    assert_int_equal(board_page_of(port)->view, VIEW_PHONE);
    beat_all(6000);
    int32_t states = count_rows(KIND_PAGE_STATE);
    page_beat(port, false);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_ASLEEP);
    for (int i = 0; i < 20; i++) /* in and out of a pocket */
        page_beat(port, i % 2 == 0);
    assert_int_equal(count_rows(KIND_PAGE_STATE), states + 1);
    page_beat(port, true);
    beat_all(LIMIT_PRESENCE_MS);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_HERE);
    assert_int_equal(count_rows(KIND_PAGE_STATE), states + 2);
    beat_all(LIMIT_SILENT_MS);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST);
    assert_int_equal(board_page_of(star)->state, PAGE_REACH_HERE);
}

static void test_short_absence_is_none(void **state)
{
    (void)state;
    beat_all(6000);
    int32_t rows = count_rows(KIND_PAGE_STATE) + count_rows(KIND_PAGE_JOINED);
    page_beat(port, true);
    page_cut(port);
    beat_all(1500);
    page_hello(port, NULL, NULL);
    beat_all(6000);
    assert_int_equal(count_rows(KIND_PAGE_STATE) + count_rows(KIND_PAGE_JOINED), rows);
    page_cut(port);
    beat_all(2500);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST);
}

static void test_page_says_its_hand(void **state)
{
    (void)state;
    page_tap(port, "page_hand", "{'hand':4}");
    assert_int_equal(board_page_of(port)->hand, 4);
    int32_t joined = count_rows(KIND_PAGE_JOINED);
    page_cut(port);
    port->hand = 4;
    page_hello(port, NULL, NULL);
    beat_all(6000);
    assert_int_equal(count_rows(KIND_PAGE_JOINED), joined);
    assert_int_equal(board_page_of(port)->hand, 4);
}

static void test_helm(void **state)
{
    (void)state;
    assert_int_equal(board()->helm.device, helm->device);
    page_helm(port, ""); /* the trip runs: one tap */
    assert_int_equal(board()->helm.device, port->device);
    page_tap(port, "trip_ended", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    page_helm(star, "0000");
    assert_string_equal(star->told.code, "wrong_number");
    page_helm(star, HELM_NUMBER);
    assert_string_equal(star->told.code, "number_wait");
    bench_pass(&bench, 1000);
    page_helm(star, HELM_NUMBER);
    assert_int_equal(board()->helm.device, star->device);
    struct page *guest = page_open(&bench, GUEST_KEY, VIEW_GUEST, 0);
    page_helm(guest, HELM_NUMBER);
    assert_string_equal(guest->told.code, "not_allowed");
}

static void test_pulse(void **state)
{
    (void)state;
    char digest[17];
    bench_pass(&bench, 1);
    int32_t pulses = port->pulses;
    bench_pass(&bench, 4000);
    assert_int_equal(port->pulses, pulses + 10);
    hub_digest(bench.hub, digest);
    assert_string_equal(port->pulse.digest, digest);
    assert_int_equal(port->pulse.rev, hub_rev(bench.hub));
    assert_int_equal(port->pulse.disk, DISK_OK);
}

static void test_log_went_back(void **state)
{
    (void)state;
    page_tap(port, "strike", "{'line':1}");
    struct log_mark mark = port->welcome.saved;
    mark.seq = port->saved.up_to;
    memcpy(mark.chain, port->saved.chain, sizeof mark.chain);
    page_cut(port);
    page_hello(port, NULL, &mark);
    assert_false(port->welcome.log_back);
    struct log_mark other = mark;
    other.seq += 1;
    page_cut(port);
    page_hello(port, NULL, &other);
    assert_true(port->welcome.log_back);
    other = mark;
    other.chain[0] = other.chain[0] == '0' ? '1' : '0';
    page_cut(port);
    page_hello(port, NULL, &other);
    assert_true(port->welcome.log_back);
    other = mark;
    other.log_id++;
    page_cut(port);
    page_hello(port, NULL, &other);
    assert_true(port->welcome.log_back);
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
    tap_about(stranger, "overboard_withdrawn", "{'call':'%s'}", call);
    assert_int_equal(stranger->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->overboard.id.n, 0);
    assert_int_equal(count_rows(KIND_OVERBOARD), 1);
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
    tap_about(helm, "overboard_ended", "{'call':'%s','how':'aboard'}", call);
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
        tap_about(stranger, "overboard_withdrawn", "{'call':'%s'}", call);
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
    frame_drop(frame);
    star->slow = false;
    bench_settle(&bench);
    assert_int_equal(star->patched.kind, KIND_STOP);
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
    for (struct frame *frame; (frame = hub_next(bench.hub, star->conn, &close_code)) != NULL; frames++) {
        bytes += frame->len;
        frame_drop(frame);
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
    assert_int_equal(count_rows(KIND_STRIKE_LAPSED), 0);
    bench_pass(&bench, 1);
    assert_int_equal(count_rows(KIND_STRIKE_LAPSED), 1);
    assert_int_equal(board()->strikes[0].id.n, 0);
    assert_int_equal(board()->counts.ends_not_known, 1);
}

static void test_call_goes_unheard(void **state)
{
    (void)state;
    page_tap(port, "call", "{'what':'neutral','to':'helm'}");
    struct entry_id heard = page_tap(star, "call", "{'what':'spin','to':'helm'}");
    tap_about(helm, "call_got", "{'call':'%s'}", heard);
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_int_equal(count_rows(KIND_CALL_UNHEARD), 1);
    assert_int_equal(board()->calls[0].state, CALL_STATE_NOT_HEARD);
    assert_int_equal(board()->calls[1].state, CALL_STATE_GOT);
}

static void test_clearing_goes_unheard(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    page_tap(helm, "clear_called", "{'scope':'all'}");
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_true(board()->clearing.not_heard);
    bench_pass(&bench, LIMIT_UNHEARD_MS);
    assert_int_equal(count_rows(KIND_CALL_UNHEARD), 1);
}

/* --- after a crash ----------------------------------------------------------------------------------------------------- */

static void offer(struct page *page, const struct entry *entry, int64_t ago_ms)
{
    static struct msg_up_any up;
    up = (struct msg_up_any){.t = MSG_UP_OFFER};
    up.u.offer.entry = *entry;
    up.u.offer.ago_ms = ago_ms;
    page_say_json(page, msg_up_to_json(&up));
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
    offer(star, &seen[2], 2000);
    assert_int_equal(star->answer.is, ANSWER_IS_WAIT);
    for (int i = 0; i < 3; i++)
        offer(star, &seen[i], 2000);
    assert_int_equal(board()->strikes[0].line, 1);
    assert_int_equal(board()->lines[1].state, LINE_STATE_OUT);
    const struct entry *back = &bench.row[bench.row_count - 1].entry;
    assert_true(back->offered);
    assert_int_equal(back->by, 2);
    assert_int_equal(back->device, port->device);
    assert_int_equal(back->got_ms - back->at_ms, 2000);
    assert_string_equal(bench.row[bench.row_count - 2].entry.refused, "line_unknown");
    int64_t rev = hub_rev(bench.hub);
    offer(star, &seen[0], 2100);
    assert_int_equal(hub_rev(bench.hub), rev);
    assert_int_equal(star->answer.is, ANSWER_IS_KNOWN);
    assert_int_equal(star->answer.seq, back->seq - 2);
    seen[0].body.strike.line = 3;
    offer(star, &seen[0], 2100);
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
    offer(guest, &entry, 0);
    assert_string_equal(guest->told.code, "not_allowed");
    entry = bench.row[0].entry; /* the server's own */
    assert_int_equal(entry.kind, KIND_RUN);
    entry.id.sender = 0xabc;
    offer(star, &entry, 0);
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
    tap_about(helm, "overboard_ended", "{'call':'%s','how':'aboard'}", call.id);
    ended = star->patched;
    bench.disk_stalls = false;
    bench_restart(&bench, false);
    page_hello(star, NULL, NULL);
    page_hello(helm, NULL, NULL);
    int32_t alarms = helm->alarms;
    offer(star, &call, 100);
    offer(star, &ended, 100);
    bench_pass(&bench, 2 * LIMIT_HOLD_ALARM_MS);
    assert_int_equal(helm->alarms, alarms);
    assert_int_equal(board()->overboard.id.n, 0);
    call.id.sender = 0xabc;
    offer(star, &call, 100);
    bench_pass(&bench, LIMIT_HOLD_ALARM_MS);
    assert_int_equal(helm->alarms, alarms + 1);
    offer(star, &call, 100);
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
    offer(star, &started, 0);
    assert_string_equal(star->patched.refused, "trip_running");
    assert_memory_equal(&board()->trip.id, &trip, sizeof trip);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_key_then_token),
        CASE(test_wrong_key_and_back_off),
        CASE(test_wrong_token),
        CASE(test_hello_comes_first_and_once),
        CASE(test_other_build_is_let_in),
        CASE(test_connections_are_bounded),
        CASE(test_strangers_pool),
        CASE(test_ghost_is_replaced),
        CASE(test_another_device_replaces_nobody),
        CASE(test_presence),
        CASE(test_short_absence_is_none),
        CASE(test_page_says_its_hand),
        CASE(test_helm),
        CASE(test_pulse),
        CASE(test_log_went_back),
        CASE(test_overboard_without_a_key),
        CASE(test_overboard_again),
        CASE(test_emergencies_are_bounded),
        CASE(test_alarm_goes_first),
        CASE(test_slow_screen_gets_a_fresh_board),
        CASE(test_slow_and_loud),
        CASE(test_taps_too_fast),
        CASE(test_flood_is_closed),
        CASE(test_strike_lapses),
        CASE(test_call_goes_unheard),
        CASE(test_clearing_goes_unheard),
        CASE(test_offered_entries),
        CASE(test_offers_are_the_crews),
        CASE(test_offered_overboard),
        CASE(test_offered_trip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
