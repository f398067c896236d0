/* The hub's parts that know nothing of it: senders, queues, rows that wait, the chain's memory, guards and devices, words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "chain.h"
#include "hash.h"
#include "hub/answers.h"
#include "hub/hub.h"
#include "hub/keys.h"
#include "hub/queue.h"
#include "hub/senders.h"
#include "hub/unsaved.h"

/* --- senders ----------------------------------------------------------------------------------------------------------- */

static void test_senders_remember(void **state)
{
    (void)state;
    struct senders senders;
    senders_init(&senders, 42);
    for (uint64_t id = 1; id <= 5000; id++)
        senders_raise(&senders, id * 0x9e3779b97f4a7c15U, id % 2 ? LANE_ORDINARY : LANE_EMERGENCY, (int32_t)id);
    for (uint64_t id = 1; id <= 5000; id++) {
        enum lane lane = id % 2 ? LANE_ORDINARY : LANE_EMERGENCY;
        assert_int_equal(senders_top(&senders, id * 0x9e3779b97f4a7c15U, lane), (int32_t)id);
        assert_int_equal(senders_top(&senders, id * 0x9e3779b97f4a7c15U, 1 - lane), 0);
    }
    assert_int_equal(senders_top(&senders, 77, LANE_ORDINARY), 0);
    senders_check(&senders);
    senders_release(&senders);
}

/* However many pages come new, the table is bounded, and none that has rows is forgotten. */
static void test_senders_are_bounded(void **state)
{
    (void)state;
    struct senders senders;
    uint64_t id = 1;
    senders_init(&senders, 42);
    for (; id <= 1000; id++)
        senders_seed(&senders, id, LANE_ORDINARY, 7); /* known from the log: not counted */
    for (; senders_room(&senders, id, ROOM_FOR_ORDINARY); id++)
        senders_raise(&senders, id, LANE_ORDINARY, 1);
    assert_int_equal(id, 1001 + LIMIT_SENDERS - LIMIT_SENDERS_RESERVE);
    assert_true(senders_room(&senders, 5, ROOM_FOR_ORDINARY)); /* an old one */
    for (; senders_room(&senders, id, ROOM_FOR_STRANGER); id++)
        senders_raise(&senders, id, LANE_EMERGENCY, 1);
    for (; senders_room(&senders, id, ROOM_FOR_EMERGENCY); id++)
        senders_raise(&senders, id, LANE_EMERGENCY, 1);
    assert_int_equal(senders.count, 1000 + LIMIT_SENDERS);
    assert_int_equal(senders_top(&senders, 1, LANE_ORDINARY), 7);
    assert_int_equal(senders_top(&senders, 1001, LANE_ORDINARY), 1);
    senders_check(&senders);
    senders_release(&senders);
}

/* Those without rows make room. */
static void test_senders_without_rows(void **state)
{
    (void)state;
    struct senders senders;
    senders_init(&senders, 42);
    senders_raise(&senders, 1, LANE_ORDINARY, 3);
    for (uint64_t id = 2; id <= 3 * LIMIT_SENDERS; id++) {
        assert_true(senders_room(&senders, id, ROOM_FOR_ORDINARY));
        senders_get(&senders, id)->crew = true;
    }
    assert_true(senders.count <= LIMIT_SENDERS);
    assert_int_equal(senders_top(&senders, 1, LANE_ORDINARY), 3);
    senders_check(&senders);
    senders_release(&senders);
}

static void test_senders_wait(void **state)
{
    (void)state;
    uint32_t since = 0;
    int64_t wraps = (INT64_C(1) << 32) - 1000;
    assert_int_equal(senders_waited_ms(&since, wraps), 0);
    assert_int_equal(senders_waited_ms(&since, wraps + 5000), 5000);
    since = 0;
    assert_int_equal(senders_waited_ms(&since, INT64_C(1) << 32), 0);
    assert_int_equal(senders_waited_ms(&since, (INT64_C(1) << 32) + 30001), 30000);
}

/* --- queues ------------------------------------------------------------------------------------------------------------ */

static void test_queue_is_bounded(void **state)
{
    (void)state;
    struct frame *slot[4], *frame = frame_new("0123456789", 10);
    struct queue queue = {.slot = slot, .max = 4, .max_bytes = 35};
    assert_true(queue_push(&queue, frame));
    assert_true(queue_push(&queue, frame));
    assert_true(queue_push(&queue, frame));
    assert_false(queue_push(&queue, frame)); /* bytes */
    assert_int_equal(frame->refs, 4);
    queue.max_bytes = 1000;
    assert_true(queue_push(&queue, frame));
    assert_false(queue_push(&queue, frame)); /* frames */
    queue_check(&queue);
    frame_drop(queue_pop(&queue));
    assert_true(queue_push(&queue, frame));
    queue_reset(&queue);
    assert_int_equal(queue.bytes, 0);
    assert_null(queue_pop(&queue));
    assert_int_equal(frame->refs, 1);
    assert_memory_equal(frame->text, "0123456789", 10);
    frame_drop(frame);
}

/* What waits leaves as lines of one frame, as many as there is room for; one that has no room goes alone all the same. */
static void test_queue_leaves_in_lines(void **state)
{
    (void)state;
    struct frame *slot[4], *digits = frame_new("0123456789", 10), *letters = frame_new("abc", 3);
    struct queue queue = {.slot = slot, .max = 4, .head = 2, .max_bytes = 1000};
    assert_null(queue_pop_lines(&queue, 100));
    assert_true(queue_push(&queue, digits));
    struct frame *alone = queue_pop_lines(&queue, 5);
    assert_ptr_equal(alone, digits);
    frame_drop(alone);
    assert_true(queue_push(&queue, digits));
    assert_true(queue_push(&queue, letters));
    assert_true(queue_push(&queue, letters));
    assert_true(queue_push(&queue, digits));
    struct frame *lines = queue_pop_lines(&queue, 28); /* a byte too few for the last */
    assert_int_equal(lines->len, 18);
    assert_memory_equal(lines->text, "0123456789\nabc\nabc", 18);
    assert_int_equal(lines->refs, 1);
    frame_drop(lines);
    queue_check(&queue);
    assert_int_equal(queue.count, 1);
    assert_true(queue_push(&queue, letters));
    lines = queue_pop_lines(&queue, 14);
    assert_memory_equal(lines->text, "0123456789\nabc", 14);
    frame_drop(lines);
    assert_int_equal(queue.bytes, 0);
    assert_int_equal(digits->refs, 1);
    assert_int_equal(letters->refs, 1);
    frame_drop(digits);
    frame_drop(letters);
}

/* --- rows -------------------------------------------------------------------------------------------------------------- */

static void push_row(struct unsaved *unsaved, int64_t seq, int32_t len)
{
    char *text = malloc((size_t)len);
    assert_non_null(text);
    struct log_row row = {.seq = seq, .text = text, .len = len};
    unsaved_push(unsaved, &row);
}

static void test_unsaved(void **state)
{
    (void)state;
    struct unsaved unsaved = {0};
    struct log_row rows[100];
    for (int64_t seq = 1; seq <= 300; seq++)
        push_row(&unsaved, seq, 10);
    assert_int_equal(unsaved_copy(&unsaved, rows, 100), 100);
    assert_int_equal(rows[99].seq, 100);
    unsaved_drop(&unsaved, 250);
    for (int64_t seq = 301; seq <= 900; seq++)
        push_row(&unsaved, seq, 10);
    assert_int_equal(unsaved_copy(&unsaved, rows, 100), 100);
    assert_int_equal(rows[0].seq, 251);
    assert_int_equal(rows[99].seq, 350);
    unsaved_check(&unsaved, 900);
    unsaved_release(&unsaved);
}

static void test_unsaved_reserves(void **state)
{
    (void)state;
    struct unsaved unsaved = {.count = LIMIT_UNSAVED_ROWS - LIMIT_UNSAVED_RESERVE};
    assert_false(unsaved_room(&unsaved, ROOM_FOR_ORDINARY, 1));
    assert_true(unsaved_room(&unsaved, ROOM_FOR_STRANGER, 1));
    unsaved.count = LIMIT_UNSAVED_ROWS - LIMIT_UNSAVED_RESERVE / 2;
    assert_false(unsaved_room(&unsaved, ROOM_FOR_STRANGER, 1));
    assert_true(unsaved_room(&unsaved, ROOM_FOR_EMERGENCY, LIMIT_UNSAVED_RESERVE / 2));
    assert_false(unsaved_room(&unsaved, ROOM_FOR_EMERGENCY, LIMIT_UNSAVED_RESERVE / 2 + 1));
    unsaved = (struct unsaved){.bytes = LIMIT_UNSAVED_BYTES - 1024};
    assert_false(unsaved_room(&unsaved, ROOM_FOR_ORDINARY, 1));
    assert_true(unsaved_room(&unsaved, ROOM_FOR_EMERGENCY, 1));
}

static void test_chains(void **state)
{
    (void)state;
    struct chains chains;
    uint8_t chain[32] = {0};
    chains_init(&chains, 10, chain);
    assert_null(chains_find(&chains, 9));
    for (int64_t seq = 11; seq <= 10 + CHAINS_MAX; seq++) {
        memcpy(chain, &seq, sizeof seq);
        chains_push(&chains, seq, chain);
    }
    assert_null(chains_find(&chains, 10));
    int64_t found;
    memcpy(&found, chains_find(&chains, 11), sizeof found);
    assert_int_equal(found, 11);
    memcpy(&found, chains_find(&chains, 10 + CHAINS_MAX), sizeof found);
    assert_int_equal(found, 10 + CHAINS_MAX);
    assert_null(chains_find(&chains, 11 + CHAINS_MAX));
    chains_release(&chains);
}

/* The first row's chain goes on from what the log says it begins with: in a restored one that is not its own id. */
static void test_the_chain_begins_as_it_is_told(void **state)
{
    (void)state;
    const struct hub_seed seed = {.log_id = 1, .run_id = 2, .boot_id = 3, .random = 4, .version = "test"};
    uint8_t chain[HASH_BYTES];
    struct log_row row;
    struct hub *hub = hub_new(&seed);
    chain_start(9, chain);
    hub_seed_last(hub, 0, chain);
    hub_start(hub, (struct hub_time){.boot_ms = 1000});
    assert_int_equal(hub_batch(hub, &row, 1), 1);
    chain_next(chain, row.text, (size_t)row.len, chain);
    assert_memory_equal(row.chain, chain, sizeof chain);
    hub_free(hub);
}

static void test_answers(void **state)
{
    (void)state;
    struct answers *answers = calloc(1, sizeof *answers);
    assert_non_null(answers);
    uint8_t hash[BODY_HASH_BYTES] = {0};
    for (int32_t n = 1; n <= LIMIT_ANSWERS + 10; n++) {
        struct msg_answer answer = {.id = {.sender = 5, .n = n}, .seq = n};
        hash[0] = (uint8_t)n;
        answers_push(answers, hash, &answer);
    }
    struct entry_id id = {.sender = 5, .n = 10};
    assert_null(answers_find(answers, id));
    id.n = 11;
    assert_int_equal(answers_find(answers, id)->answer.seq, 11);
    assert_int_equal(answers_find(answers, id)->hash[0], 11);
    id.lane = LANE_EMERGENCY;
    assert_null(answers_find(answers, id));
    free(answers);
}

/* --- keys -------------------------------------------------------------------------------------------------------------- */

static void test_guard(void **state)
{
    (void)state;
    struct guard guard = {0};
    int64_t now_ms = 5000;
    assert_true(guard_open(&guard, now_ms));
    for (int64_t wait_ms = 1000; wait_ms <= 32000; wait_ms *= 2) {
        guard_wrong(&guard, now_ms);
        assert_false(guard_open(&guard, now_ms + wait_ms - 1));
        now_ms += wait_ms;
        assert_true(guard_open(&guard, now_ms));
    }
    for (int i = 0; i < 3; i++) {
        guard_wrong(&guard, now_ms);
        assert_false(guard_open(&guard, now_ms + 59999));
        now_ms += 60000;
        assert_true(guard_open(&guard, now_ms));
    }
    guard_wrong(&guard, now_ms + 700000); /* quiet for long: from the beginning */
    assert_true(guard_open(&guard, now_ms + 701000));
    guard_right(&guard);
    assert_true(guard_open(&guard, 0));
}

static void token_of(int32_t index, char out[33])
{
    (void)snprintf(out, 33, "%032x", (unsigned)index);
}

static void test_devices(void **state)
{
    (void)state;
    struct devices *devices = calloc(1, sizeof *devices);
    assert_non_null(devices);
    char token[33];
    for (int32_t i = 1; i <= LIMIT_DEVICES + 5; i++) {
        token_of(i, token);
        struct hub_device *device = devices_add(devices, token, SOURCE_CREW, 1);
        assert_int_not_equal(device->number, 1); /* the helm's is never given again */
        devices_used(devices, device, INT64_C(86400000) * i);
    }
    assert_int_equal(devices->count, LIMIT_DEVICES);
    token_of(5, token);
    assert_int_equal(devices_find(devices, token), -1);
    token_of(6, token);
    assert_true(devices_find(devices, token) >= 0);
    assert_int_equal(devices_find(devices, "short"), -1);
    devices->changed = false;
    int32_t index = devices_find(devices, token);
    devices_used(devices, &devices->row[index], INT64_C(86400000) * 6 + 1000);
    assert_false(devices->changed);
    free(devices);
}

/* FIPS 180-4's example, and the pieces that the log and the verify command make in the same way. */
/* Whoever has the guests' key can make as many devices as there is room for, and pushes off guests alone. */
static void test_guests_push_off_no_crew(void **state)
{
    (void)state;
    struct devices *devices = calloc(1, sizeof *devices);
    assert_non_null(devices);
    char token[33];
    token_of(1, token);
    devices_add(devices, token, SOURCE_CREW, 0);
    for (int32_t i = 2; i <= LIMIT_DEVICES + 50; i++) {
        token_of(i, token);
        devices_used(devices, devices_add(devices, token, SOURCE_GUEST, 0), INT64_C(86400000) * i);
    }
    token_of(1, token);
    assert_int_equal(devices_find(devices, token), 0);
    token_of(2, token);
    assert_int_equal(devices_find(devices, token), -1);
    free(devices);
}

static void test_hash(void **state)
{
    (void)state;
    uint8_t hash[HASH_BYTES], pair[HASH_BYTES];
    char hex[2 * HASH_BYTES + 1];
    hash_bytes("abc", 3, hash);
    hash_hex(hash, HASH_BYTES, hex);
    assert_string_equal(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    hash_pair("a", 1, "bc", 2, pair);
    assert_memory_equal(hash, pair, HASH_BYTES);
    chain_start(0x1234, pair);
    hash_bytes("sternboard0000000000001234", 26, hash);
    assert_memory_equal(hash, pair, HASH_BYTES);
    assert_true(hash_same_text("4711", "4711"));
    assert_false(hash_same_text("4711", "47112"));
    assert_false(hash_same_text("", "4711"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_senders_remember),
        cmocka_unit_test(test_senders_are_bounded),
        cmocka_unit_test(test_senders_without_rows),
        cmocka_unit_test(test_senders_wait),
        cmocka_unit_test(test_queue_is_bounded),
        cmocka_unit_test(test_queue_leaves_in_lines),
        cmocka_unit_test(test_unsaved),
        cmocka_unit_test(test_unsaved_reserves),
        cmocka_unit_test(test_chains),
        cmocka_unit_test(test_the_chain_begins_as_it_is_told),
        cmocka_unit_test(test_answers),
        cmocka_unit_test(test_guard),
        cmocka_unit_test(test_devices),
        cmocka_unit_test(test_guests_push_off_no_crew),
        cmocka_unit_test(test_hash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
