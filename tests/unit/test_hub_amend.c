/* Undo, correction and amendment through the hub: who may, until when, what stands in the way, and that every screen's board
 * follows a refold in one patch. */
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
}

static struct entry_id undo(struct page *page, struct entry_id target)
{
    return page_tap_about(page, "voided", "{'target':'%s','undo':true}", target);
}

static struct entry_id correct(struct page *page, struct entry_id target, int agreed)
{
    char body[60];
    (void)snprintf(body, sizeof body, "{'target':'%%s','agreed':%d}", agreed);
    return page_tap_about(page, "voided", body, target);
}

static void amend(struct page *page, struct entry_id target, const char *kind, const char *body)
{
    struct page_tap tap = {.kind = kind, .body = body, .instead_of = target, .by = page->hand};
    tap.id = (struct entry_id){.sender = page->id, .n = ++page->top[LANE_ORDINARY], .lane = LANE_ORDINARY};
    page_tap_as(page, &tap);
}

static void preview(struct page *page, struct entry_id target)
{
    struct msg_up_any up = {.t = MSG_UP_PREVIEW};
    up.u.preview.target = target;
    page_say_json(page, msg_up_to_json(&up));
}

/* --- undo -------------------------------------------------------------------------------------------------------------- */

static void test_undo(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    struct board_line before = board()->lines[0];
    assert_int_equal(before.state, LINE_STATE_OUT);
    int32_t patches = star->patches;
    undo(port, out);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_false(port->answer.moot);
    assert_int_equal(board()->lines[0].state, LINE_STATE_IN);
    assert_int_equal(star->patches, patches + 1);
    assert_int_equal(star->patched.kind, KIND_VOIDED);
    undo(port, out);
    assert_refused(port, "already_voided");
}

static void test_undo_in_time(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    bench_pass(&bench, LIMIT_UNDO_MS + 1);
    undo(port, out);
    assert_refused(port, "undo_late");
    struct entry_id second = page_tap(port, "line_is", "{'line':2,'state':'out'}");
    bench_pass(&bench, LIMIT_UNDO_MS);
    undo(port, second);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
}

/* An undo made in time on the phone is in time, however long it was on the way. */
static void test_undo_held_up(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    char body[100], id[40];
    bench_pass(&bench, 60000);
    (void)snprintf(body, sizeof body, "{'target':'%s','undo':true}", id_text(out, id));
    page_tap_ago(port, "voided", body, 50000);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->lines[0].state, LINE_STATE_IN);
}

static void test_undo_last_and_own(void **state)
{
    (void)state;
    struct entry_id first = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    struct entry_id second = page_tap(port, "line_is", "{'line':2,'state':'out'}");
    undo(port, first);
    assert_refused(port, "undo_not_last");
    undo(star, second);
    assert_refused(star, "undo_not_yours");
    undo(port, second);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    undo(port, first); /* with the second gone, the first is the last */
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->lines[0].state, LINE_STATE_IN);
}

static void test_undo_not_of_calls(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    struct entry_id call = page_tap(port, "call", "{'what':'neutral','to':'helm'}");
    undo(port, call);
    assert_refused(port, "undo_call");
    struct entry_id clear = page_tap(port, "clear_called", "{'scope':'all'}");
    undo(port, clear);
    assert_refused(port, "undo_call");
    struct entry_id stop = page_tap(port, "stop", "{}");
    undo(port, stop);
    assert_refused(port, "undo_call");
    struct entry_id overboard = page_tap(port, "overboard", "{}");
    undo(port, overboard);
    assert_refused(port, "not_voidable");
}

static void test_undo_built_on(void **state)
{
    (void)state;
    page_tap(star, "line_is", "{'line':1,'state':'out'}");
    struct entry_id strike = page_tap(port, "strike", "{'line':1}");
    struct entry_id on = page_tap_about(star, "strike_ended", "{'strike':'%s','end':'on'}", strike);
    undo(port, strike);
    assert_refused(port, "built_on");
    assert_string_equal(port->answer.words, "Ruth has built on it: it can neither be undone nor changed.");
    assert_int_equal(port->answer.about.n, on.n);
    undo(star, on);
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    undo(port, strike);
    assert_int_equal(port->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->counts.strikes, 0);
}

/* --- correction -------------------------------------------------------------------------------------------------------- */

static void test_correction_agreed(void **state)
{
    (void)state;
    page_tap(star, "line_is", "{'line':1,'state':'out'}");
    struct entry_id strike = page_tap(port, "strike", "{'line':1}");
    struct entry_id on = page_tap_about(star, "strike_ended", "{'strike':'%s','end':'on'}", strike);
    page_tap_about(star, "fight_angler", "{'fight':'%s','hand':4}", strike);
    bench_pass(&bench, 60000);
    preview(helm, strike);
    assert_int_equal(helm->previews, 1);
    assert_int_equal(helm->preview.count, 2);
    assert_int_equal(helm->preview.rows_count, 2);
    assert_int_equal(helm->preview.rows[0].id.n, on.n);
    assert_string_equal(helm->preview.rows[0].kind, "strike_ended");
    assert_int_equal(helm->preview.rows[0].by, 3);
    correct(helm, strike, 1);
    assert_refused(helm, "moot_changed");
    correct(helm, strike, 2);
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->fights[0].id.n, 0);
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
}

static void test_void_of_a_void(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    struct entry_id gone = correct(star, out, 0);
    assert_int_equal(board()->lines[0].state, LINE_STATE_IN);
    correct(helm, gone, 0);
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
}

static void test_not_voidable(void **state)
{
    (void)state;
    correct(helm, board()->trip.id, 0);
    assert_refused(helm, "not_voidable");
    page_tap(port, "strike", "{'line':20}");
    struct entry_id refused = {.sender = port->id, .n = port->top[LANE_ORDINARY], .lane = LANE_ORDINARY};
    correct(helm, refused, 0);
    assert_refused(helm, "target_unknown");
}

/* Nobody makes a call vanish while somebody may be acting on it; once it is over, it is the log's matter. */
static void test_previews_are_slowed(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    for (int32_t i = 0; i < LIMIT_PREVIEWS_BURST + 5; i++)
        preview(helm, out);
    assert_int_equal(helm->previews, LIMIT_PREVIEWS_BURST);
    assert_string_equal(helm->told.code, "number_wait");
    bench_pass(&bench, 1000);
    preview(helm, out);
    assert_int_equal(helm->previews, LIMIT_PREVIEWS_BURST + 1);
}

static void test_no_correction_of_a_call_that_stands(void **state)
{
    (void)state;
    page_tap(port, "line_is", "{'line':1,'state':'out'}");
    struct entry_id call = page_tap(port, "call", "{'what':'neutral','to':'helm'}");
    struct entry_id clear = page_tap(port, "clear_called", "{'scope':'all'}");
    struct entry_id stop = page_tap(port, "stop", "{}");
    correct(star, call, 0);
    assert_refused(star, "undo_call");
    correct(star, clear, 0);
    assert_refused(star, "undo_call");
    correct(star, stop, 0);
    assert_refused(star, "undo_call");
    assert_int_equal(board()->stop.id.n, stop.n);
    struct entry_id off = page_tap_about(port, "call_off", "{'call':'%s'}", call);
    struct entry_id over = page_tap_about(helm, "stop_over", "{'stop':'%s'}", stop);
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    correct(star, off, 0);
    correct(star, call, 0);
    assert_refused(star, "undo_call"); /* its end was taken back: it stands again */
    correct(star, stop, 1);
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(over.n, helm->top[LANE_EMERGENCY]);
    assert_int_equal(board()->counts.stops, 0);
}

/* Hands are numbered as they are added, so none may go: the next one would answer for what it did. */
static void test_a_hand_stays(void **state)
{
    (void)state;
    struct entry_id bruno = page_tap(port, "hand_added", "{'name':'Bruno'}");
    undo(port, bruno);
    assert_refused(port, "not_voidable");
    page_tap(port, "hand_added", "{'name':'Celia'}");
    correct(helm, bruno, 0);
    assert_refused(helm, "not_voidable");
    amend(helm, bruno, "hand_added", "{'name':'Celia'}");
    assert_refused(helm, "name_taken");
    amend(helm, bruno, "hand_added", "{'name':'Bruno S'}");
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_string_equal(board()->hands[5].name, "Bruno S");
    assert_int_equal(board()->hands[6].id, 7);
    assert_string_equal(board()->hands[6].name, "Celia");
}

static void test_guest_corrects_nothing(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    struct page *guest = page_open(&bench, GUEST_KEY, VIEW_GUEST, 0);
    correct(guest, out, 0);
    assert_int_equal(guest->answer.is, ANSWER_IS_ERROR);
    assert_string_equal(guest->answer.code, "not_allowed");
    preview(guest, out);
    assert_string_equal(guest->told.code, "not_allowed");
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
}

static void test_instead_of(void **state)
{
    (void)state;
    page_tap(star, "line_is", "{'line':1,'state':'out'}");
    page_tap(star, "line_is", "{'line':2,'state':'out'}");
    struct entry_id strike = page_tap(port, "strike", "{'line':1}");
    amend(helm, strike, "strike", "{'line':2}");
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
    assert_int_equal(board()->lines[1].state, LINE_STATE_STRIKE);
    assert_int_equal(board()->strikes[0].id.n, strike.n);
    assert_int_equal(board()->strikes[0].by, 2);
    amend(helm, strike, "line_is", "{'line':2,'state':'in'}");
    assert_refused(helm, "instead_kind");
    amend(helm, strike, "strike", "{'line':20}");
    assert_refused(helm, "line_unknown");
}

/* Who sends another body has not been shown what it would make moot, so it may make nothing moot. */
static void test_instead_of_makes_nothing_moot(void **state)
{
    (void)state;
    page_tap(star, "line_is", "{'line':1,'state':'out'}");
    struct entry_id out = page_tap(port, "line_is", "{'line':2,'state':'out'}");
    struct entry_id call = page_tap(port, "clear_called", "{'scope':'port','kept':[1]}");
    struct entry_id taken = page_tap(star, "line_taken", "{'line':2}");
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    amend(helm, out, "line_is", "{'line':2,'state':'in'}");
    assert_refused(helm, "built_on");
    assert_string_equal(helm->answer.words, "Tobias has built on it: it can neither be undone nor changed.");
    assert_int_equal(helm->answer.about.n, call.n);
    assert_int_equal(board()->lines[1].state, LINE_STATE_CLEARING);
    correct(star, taken, 0);
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    page_tap_about(port, "clear_over", "{'clearing':'%s'}", call);
    amend(helm, out, "line_is", "{'line':2,'state':'out','eye':true}");
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_true(board()->lines[1].eye);
}

/* A correction far back is folded in slices while the board lives on; then every screen gets a fresh board. */
static void test_long_refold(void **state)
{
    (void)state;
    struct entry_id out = page_tap(port, "line_is", "{'line':1,'state':'out'}");
    for (int32_t i = 0; i < LIMIT_REFOLD_NOW + 2000; i++) {
        char text[200], id[40];
        struct entry_id next = {.sender = star->id, .n = ++star->top[LANE_ORDINARY], .lane = LANE_ORDINARY};
        bench.now.boot_ms += 26;
        (void)snprintf(text, sizeof text,
                       "{\"t\":\"tap\",\"id\":\"%s\",\"kind\":\"line_bait\",\"v\":1,\"ago_ms\":0,\"by\":3,"
                       "\"body\":{\"line\":1,\"bait\":\"ballyhoo\"}}",
                       id_text(next, id));
        hub_recv(bench.hub, bench.now, star->conn, text, strlen(text));
        if (i % 100 == 0)
            hub_saved(bench.hub, bench.now, hub_last_seq(bench.hub), LOG_OK);
    }
    hub_saved(bench.hub, bench.now, hub_last_seq(bench.hub), LOG_OK);
    bench.disk_stalls = true; /* the rows above were not kept by the bench */
    bench_settle(&bench);
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
    int32_t boards = helm->fresh_boards;
    correct(helm, out, 0);
    assert_int_equal(helm->answer.is, ANSWER_IS_SEEN);
    assert_int_equal(board()->lines[0].state, LINE_STATE_OUT);
    page_tap(star, "line_is", "{'line':2,'state':'out'}");
    assert_int_equal(star->answer.is, ANSWER_IS_SEEN);
    int32_t ticks = 0;
    while (hub_tick(bench.hub, bench.now) == bench.now.boot_ms && ticks < 100)
        ticks++;
    bench_settle(&bench);
    assert_true(ticks > 1);
    assert_int_equal(board()->lines[0].state, LINE_STATE_IN);
    assert_int_equal(board()->lines[1].state, LINE_STATE_OUT);
    assert_int_equal(helm->fresh_boards, boards + 1);
}

#define CASE(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(test_undo),
        CASE(test_undo_in_time),
        CASE(test_undo_held_up),
        CASE(test_undo_last_and_own),
        CASE(test_undo_not_of_calls),
        CASE(test_undo_built_on),
        CASE(test_correction_agreed),
        CASE(test_void_of_a_void),
        CASE(test_not_voidable),
        CASE(test_previews_are_slowed),
        CASE(test_no_correction_of_a_call_that_stands),
        CASE(test_a_hand_stays),
        CASE(test_guest_corrects_nothing),
        CASE(test_instead_of),
        CASE(test_instead_of_makes_nothing_moot),
        CASE(test_long_refold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
