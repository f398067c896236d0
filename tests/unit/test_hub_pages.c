/* Pages at the hub: keys and tokens, guesses, ghosts, presence, the helm, the pulse, and which log a screen remembers. */
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

static const struct board_page *board_page_find(uint64_t id)
{
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++)
        if (board()->pages[i].page == id)
            return &board()->pages[i];
    return NULL;
}

static const struct board_page *board_page_of(const struct page *page)
{
    return board_page_find(page->id);
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

/* However many wrong keys there were: the right one is let in at once. */
static void test_wrong_key(void **state)
{
    (void)state;
    struct page *wrong = page_open(&bench, "nearly-the-key", VIEW_PHONE, 0);
    assert_int_equal(wrong->nos, 1);
    assert_string_equal(wrong->no.code, "wrong_key");
    assert_int_equal(wrong->close_code, 4003);
    page_hello(wrong, "still-not-the-key", NULL);
    assert_string_equal(wrong->no.code, "wrong_key");
    page_hello(wrong, CREW_KEY, NULL);
    assert_int_equal(wrong->welcomes, 1);
    assert_int_equal(wrong->welcome.from, SOURCE_CREW);
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

/* As many guests as are let in from one address. */
static int join_all(const struct peer *peer)
{
    static unsigned page = 0x1000;
    char text[300];
    int joined = 0;
    for (int conn; joined <= LIMIT_CONNS && (conn = hub_join(bench.hub, bench.now, peer)) >= 0; joined++) {
        (void)snprintf(text, sizeof text,
                       "{\"t\":\"hello\",\"proto\":\"0123456789abcdef\",\"page\":\"%016x\",\"view\":\"guest\","
                       "\"key\":\"%s\"}",
                       page++, GUEST_KEY);
        hub_recv(bench.hub, bench.now, conn, text, strlen(text));
    }
    return joined;
}

static void test_connections_are_bounded(void **state)
{
    (void)state;
    struct peer peer = {.address = 1000};
    int joined = join_all(&peer);
    assert_int_equal(joined, LIMIT_CONNS_PER_ADDRESS);
    assert_int_equal(join_all(&peer), 0);
    for (int more = 1; more > 0; joined += more) {
        peer.address++;
        more = join_all(&peer);
    }
    assert_int_equal(joined, LIMIT_CONNS - 3);
}

/* Does what the socket layer does for a connection that the hub closes; answers the close code, 0 for one that stays. */
static int reaped(int conn)
{
    int code = 0;
    if (!hub_wants(bench.hub, conn))
        return 0;
    assert_null(hub_next(bench.hub, conn, &code));
    hub_gone(bench.hub, bench.now, conn);
    return code;
}

/* Four addresses full of connections that say nothing: the oldest of them make room, and the crew is not kept out. */
static void test_silent_ones_keep_nobody_out(void **state)
{
    (void)state;
    int open[4 * LIMIT_CONNS_PER_ADDRESS];
    int count = (int)(sizeof open / sizeof *open);
    for (int i = 0; i < count; i++) {
        struct peer peer = {.address = (uint64_t)(1000 + i / LIMIT_CONNS_PER_ADDRESS)};
        bench.now.boot_ms++;
        open[i] = hub_join(bench.hub, bench.now, &peer);
        assert_true(open[i] >= 0);
        if (i >= LIMIT_CONNS_NEW)
            assert_int_equal(reaped(open[i - LIMIT_CONNS_NEW]), 4002);
    }
    assert_int_equal(page_open(&bench, CREW_KEY, VIEW_PHONE, 4)->welcomes, 1);
    assert_int_equal(reaped(open[count - LIMIT_CONNS_NEW]), 4002); /* for that page, until it had said hello */
    for (int i = count - LIMIT_CONNS_NEW + 1; i < count; i++)
        assert_int_equal(reaped(open[i]), 0);
    hub_check(bench.hub);
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
        if (helm->conn >= 0)
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
    int32_t states = bench_count(&bench, KIND_PAGE_STATE);
    page_beat(port, false);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_ASLEEP);
    for (int i = 0; i < 20; i++) /* in and out of a pocket */
        page_beat(port, i % 2 == 0);
    assert_int_equal(bench_count(&bench, KIND_PAGE_STATE), states + 1);
    page_beat(port, true);
    beat_all(LIMIT_PRESENCE_MS);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_HERE);
    assert_int_equal(bench_count(&bench, KIND_PAGE_STATE), states + 2);
    beat_all(LIMIT_SILENT_MS);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST);
    assert_int_equal(board_page_of(star)->state, PAGE_REACH_HERE);
}

static void test_short_absence_is_none(void **state)
{
    (void)state;
    beat_all(6000);
    int32_t rows = bench_count(&bench, KIND_PAGE_STATE) + bench_count(&bench, KIND_PAGE_JOINED);
    page_beat(port, true);
    page_cut(port);
    beat_all(1500);
    page_hello(port, NULL, NULL);
    beat_all(6000);
    assert_int_equal(bench_count(&bench, KIND_PAGE_STATE) + bench_count(&bench, KIND_PAGE_JOINED), rows);
    page_cut(port);
    beat_all(2500);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST);
}

/* The page's device loads it anew: it comes with its token, and another number. */
static void page_load_anew(struct page *page)
{
    if (page->conn >= 0)
        page_cut(page);
    page->id += 0x100;
    page->top[LANE_ORDINARY] = page->top[LANE_EMERGENCY] = 0;
    page_hello(page, NULL, NULL);
}

static void test_a_page_loaded_anew_takes_its_old_one_off(void **state)
{
    (void)state;
    uint64_t old = port->id;
    beat_all(6000);
    page_load_anew(port);
    assert_non_null(board_page_find(old));
    assert_non_null(board_page_of(port));
    for (int i = 0; i < 6; i++) {
        page_beat(port, true);
        beat_all(1500);
    }
    assert_null(board_page_find(old));
    assert_non_null(board_page_of(port));

    page_cut(port); /* lost, with nothing else on its device: that is to be seen, for a day if need be */
    beat_all(2 * LIMIT_KEEP_PAGE_MS);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST);
    old = port->id;
    page_load_anew(port);
    page_beat(port, true);
    assert_null(board_page_find(old));
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_HERE);
}

/* A browser lets a page behind another tab say nothing for minutes. Its connection stands, so it was not loaded anew. */
static void test_a_page_behind_another_tab_stays(void **state)
{
    (void)state;
    struct page *tab = &bench.page[bench.page_count++];
    *tab = (struct page){.bench = &bench, .id = port->id + 0x100, .view = VIEW_PHONE, .conn = -1};
    memcpy(tab->token, port->token, sizeof tab->token);
    page_hello(tab, NULL, NULL);
    for (int i = 0; i < 8; i++) {
        page_beat(tab, true);
        beat_all(1500);
    }
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_LOST);
    page_beat(port, true);
    beat_all(1000);
    assert_int_equal(board_page_of(port)->state, PAGE_REACH_HERE);
    assert_non_null(board_page_of(tab));
}

static void test_an_older_page_that_comes_back_joins_anew(void **state)
{
    (void)state;
    uint64_t old = port->id, young = old + 0x100;
    beat_all(6000);
    page_load_anew(port);
    for (int i = 0; i < 6; i++) {
        page_beat(port, true);
        beat_all(1500);
    }
    assert_null(board_page_find(old));
    page_cut(port);
    port->id = old;
    page_hello(port, NULL, NULL);
    beat_all(3000);
    assert_non_null(board_page_find(old));
    assert_null(board_page_find(young));
}

static void test_the_helm_follows_its_device(void **state)
{
    (void)state;
    int32_t taken = bench_count(&bench, KIND_HELM_TAKEN);
    uint64_t old = helm->id;
    page_load_anew(helm);
    assert_int_equal(helm->welcome.from, SOURCE_HELM);
    beat_all(9000);
    assert_true(board()->helm.page == helm->id);
    assert_int_equal(board()->helm.hand, 1);
    assert_int_equal(bench_count(&bench, KIND_HELM_TAKEN), taken + 1);
    assert_null(board_page_find(old));

    page_cut(helm); /* and with nothing of its device there, it is gone, and said to be */
    beat_all(3000);
    assert_int_equal(board_page_of(helm)->state, PAGE_REACH_LOST);
    assert_true(board()->helm.page == helm->id);
}

static void test_page_says_its_hand(void **state)
{
    (void)state;
    page_tap(port, "page_hand", "{'hand':4}");
    assert_int_equal(board_page_of(port)->hand, 4);
    int32_t joined = bench_count(&bench, KIND_PAGE_JOINED);
    page_cut(port);
    port->hand = 4;
    page_hello(port, NULL, NULL);
    beat_all(6000);
    assert_int_equal(bench_count(&bench, KIND_PAGE_JOINED), joined);
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
    assert_int_equal(port->pulse.spare, SPARE_COPY_NONE);
    hub_spare(bench.hub, SPARE_COPY_STOPPED);
    bench_pass(&bench, LIMIT_PULSE_MS);
    assert_int_equal(port->pulse.spare, SPARE_COPY_STOPPED);
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

/* A restored log has another id, and is the same boat's: by this a phone knows whether its waiting taps belong here. */
static void test_boat_stays_over_a_restore(void **state)
{
    (void)state;
    assert_true(port->welcome.boat == bench.seed.log_id);
    bench.seed.boat_id = bench.seed.log_id;
    bench.seed.log_id++;
    bench_restart(&bench, false);
    page_hello(port, NULL, NULL);
    assert_true(port->welcome.log_id == bench.seed.log_id);
    assert_true(port->welcome.boat == bench.seed.boat_id);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_key_then_token),
        CASE(test_wrong_key),
        CASE(test_wrong_token),
        CASE(test_hello_comes_first_and_once),
        CASE(test_other_build_is_let_in),
        CASE(test_connections_are_bounded),
        CASE(test_silent_ones_keep_nobody_out),
        CASE(test_strangers_pool),
        CASE(test_ghost_is_replaced),
        CASE(test_another_device_replaces_nobody),
        CASE(test_presence),
        CASE(test_short_absence_is_none),
        CASE(test_a_page_loaded_anew_takes_its_old_one_off),
        CASE(test_a_page_behind_another_tab_stays),
        CASE(test_an_older_page_that_comes_back_joins_anew),
        CASE(test_the_helm_follows_its_device),
        CASE(test_page_says_its_hand),
        CASE(test_helm),
        CASE(test_pulse),
        CASE(test_log_went_back),
        CASE(test_boat_stays_over_a_restore),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
