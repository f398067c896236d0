/* Bad input at the hub: each has one clear answer in words and a code, and nothing else is affected. */
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

static void assert_told(struct page *page, const char *text, const char *code)
{
    int32_t tolds = page->tolds, answers = page->answers;
    int64_t rev = hub_rev(bench.hub);
    page_say(page, text);
    assert_int_equal(page->tolds, tolds + 1);
    assert_int_equal(page->answers, answers);
    assert_string_equal(page->told.code, code);
    assert_true(strlen(page->told.words) > 0);
    assert_int_equal(hub_rev(bench.hub), rev);
}

static void test_unreadable(void **state)
{
    (void)state;
    assert_told(port, "", "not_json");
    assert_told(port, "{", "not_json");
    assert_told(port, "{\"t\":\"tap\"} x", "trailing");
    assert_told(port, "[]", "not_object");
    assert_told(port, "{\"t\":\"sail\"}", "message_unknown");
    assert_told(port, "{\"t\":\"beat\",\"rev\":0,\"rev\":1,\"visible\":true}", "duplicate");
    assert_told(port, "{\"t\":\"beat\",\"rev\":0}", "missing");
    assert_told(port, "{\"t\":\"beat\",\"rev\":-1,\"visible\":true}", "out_of_range");
    assert_told(port, "{\"t\":\"beat\",\"rev\":99999999999999999,\"visible\":true}", "out_of_range");
    assert_told(port, "{\"t\":\"beat\",\"rev\":\"0\",\"visible\":true}", "wrong_type");
    assert_told(port, "{\"t\":\"beat\",\"rev\":0,\"visible\":true,\"x\":1}", "unknown_field");
    assert_told(port, "{\"t\":\"fresh\xff\"}", "utf8");
    assert_told(port, "{\"t\":\"tap\",\"id\":\"x\",\"kind\":\"strike\",\"v\":1,\"ago_ms\":0,\"body\":{}}", "bad_form");
    page_beat(port, true);
    assert_true(port->conn >= 0);
}

static void bad_tap(struct page *page, const char *rest, const char *code)
{
    char text[700], id[40], before[17], after[17];
    struct entry_id next = {.sender = page->id, .n = ++page->top[LANE_ORDINARY], .lane = LANE_ORDINARY};
    hub_digest(bench.hub, before);
    (void)snprintf(text, sizeof text, "{\"t\":\"tap\",\"id\":\"%s\",\"ago_ms\":0,%s}", id_text(next, id), rest);
    page_say(page, text);
    assert_error(page, code);
    assert_int_equal(page->answer.id.n, next.n);
    hub_digest(bench.hub, after);
    assert_string_equal(before, after);
}

/* Each has one clear answer that names the tap, and leaves the board as it was; the next tap is taken at once. */
static void test_bad_taps(void **state)
{
    (void)state;
    bad_tap(port, "\"kind\":\"kite\",\"v\":1,\"body\":{}", "kind_unknown");
    bad_tap(port, "\"kind\":\"strike\",\"v\":9,\"body\":{}", "version_unknown");
    bad_tap(port, "\"kind\":\"strike\",\"v\":1,\"body\":{\"line\":25}", "bad_tap");
    bad_tap(port, "\"kind\":\"strike\",\"v\":1,\"body\":{\"line\":\"1\"}", "bad_tap");
    bad_tap(port, "\"kind\":\"strike\",\"v\":1,\"body\":[]", "bad_tap");
    bad_tap(port,
            "\"kind\":\"line_bait\",\"v\":1,\"body\":{\"line\":1,\"bait\":\"a lure with a name too long by far\"}",
            "bad_tap");
    bad_tap(port, "\"kind\":\"line_is\",\"v\":1,\"body\":{\"line\":1,\"state\":\"wet\"}", "bad_tap");
    bad_tap(port, "\"kind\":\"strike\",\"v\":1,\"body\":{},\"by\":13", "bad_tap");
    page_tap(port, "strike", "{'line':1}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

/* What cannot be read is answered and done with: the page's next tap does not wait for it. */
static void test_next_after_unreadable(void **state)
{
    (void)state;
    struct page_tap bad = {.kind = "line_is", .body = "{'line':1,'state':'upside down'}"};
    bad.id = (struct entry_id){.sender = port->id, .n = ++port->top[LANE_ORDINARY], .lane = LANE_ORDINARY};
    page_tap_as(port, &bad);
    assert_error(port, "bad_tap");
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    bad.body = "{'line':1,'state':'in'}";
    page_tap_as(port, &bad);
    assert_refused(port, "gap");
}

/* Strangers who flood the board fill neither the log nor the crew's way to call. */
static void test_flood_of_strangers(void **state)
{
    (void)state;
    int64_t before = hub_last_seq(bench.hub);
    for (int32_t i = 0; i < 20; i++) {
        struct page *stranger = page_open(&bench, NULL, VIEW_PHONE, 0);
        for (int32_t k = 0; k < LIMIT_EMERGENCIES_BURST; k++) {
            struct page_tap call = {.kind = "overboard", .body = "{}"};
            call.id = (struct entry_id){.sender = stranger->id + (uint64_t)k + 1, .n = 1, .lane = LANE_EMERGENCY};
            page_tap_as(stranger, &call);
        }
        if (i == 0)
            assert_int_equal(stranger->answer.is, ANSWER_IS_SEEN);
        if (i == 19) {
            assert_int_equal(stranger->answer.is, ANSWER_IS_NOT_NOW);
            assert_string_equal(stranger->answer.code, "too_fast");
        }
        page_cut(stranger);
    }
    assert_true(hub_last_seq(bench.hub) - before <= LIMIT_STRANGERS_BURST + 1);
    page_tap(port, "overboard", "{}");
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

static void test_senders_not_its_own(void **state)
{
    (void)state;
    struct page_tap tap = {.id = {0, 1, LANE_ORDINARY}, .kind = "strike", .body = "{}", .by = 2};
    page_tap_as(port, &tap);
    assert_error(port, "bad_tap");
    tap.id.sender = bench.seed.run_id;
    page_tap_as(port, &tap);
    assert_error(port, "bad_tap");
}

static void test_too_long(void **state)
{
    (void)state;
    char *text = malloc(LIMIT_MESSAGE_BYTES + 2);
    assert_non_null(text);
    memset(text, ' ', LIMIT_MESSAGE_BYTES + 1);
    text[LIMIT_MESSAGE_BYTES + 1] = '\0';
    assert_told(port, text, "too_long");
    free(text);
}

static void test_full_roster(void **state)
{
    (void)state;
    char body[80];
    for (int i = 6; i <= 12; i++) {
        (void)snprintf(body, sizeof body, "{'name':'Hand %d','station':'cockpit'}", i);
        page_tap(port, "hand_added", body);
        assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    }
    page_tap(port, "hand_added", "{'name':'One more','station':'cockpit'}");
    assert_refused(port, "roster_full");
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_unreadable),
        CASE(test_bad_taps),
        CASE(test_next_after_unreadable),
        CASE(test_flood_of_strangers),
        CASE(test_senders_not_its_own),
        CASE(test_too_long),
        CASE(test_full_roster),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
