/* Start, dispatch, what is due, what was saved. The order in which an entry goes its way is in take.c. */
#include <stdlib.h>
#include <string.h>

#include "amend.h"
#include "hello.h"
#include "helm.h"
#include "hub_internal.h"
#include "identity.h"
#include "ladder.h"
#include "offers.h"
#include "own.h"
#include "send.h"
#include "take.h"
#include "taps.h"
#include "watch.h"

/* Another boot, and no clock: log time goes on by this much. */
#define UNKNOWN_GAP_MS 1000
/* With nothing due the hub is visited this often all the same. */
#define IDLE_MS 1000

/* --- start ------------------------------------------------------------------------------------------------------------- */

static void conn_reset(struct conn *conn)
{
    queue_reset(&conn->ordinary);
    queue_reset(&conn->alarms);
    *conn = (struct conn){.state = CONN_FREE};
    conn->ordinary = (struct queue){conn->ordinary_slot, LIMIT_QUEUE_FRAMES, 0, 0, 0, LIMIT_QUEUE_BYTES};
    conn->alarms = (struct queue){conn->alarm_slot, LIMIT_ALARM_FRAMES, 0, 0, 0, LIMIT_ALARM_BYTES};
}

struct hub *hub_new(const struct hub_seed *seed)
{
    struct hub *hub = must(calloc(1, sizeof *hub));
    uint64_t secret;
    hub->seed = *seed;
    hub->chance = (struct chance){.seed = seed->random, .fill = seed->fill};
    hub->digest_rev = hub->fresh_rev = -1;
    chance_bytes(&hub->chance, &secret, sizeof secret);
    senders_init(&hub->senders, secret);
    journal_reset(&hub->journal);
    board_reset(&hub->board);
    for (int32_t i = 0; i < LIMIT_CONNS; i++)
        conn_reset(&hub->conn[i]);
    chain_start(seed->log_id, hub->chain);
    chains_init(&hub->chains, 0, hub->chain);
    return hub;
}

void hub_free(struct hub *hub)
{
    for (int32_t i = 0; i < LIMIT_CONNS; i++)
        conn_reset(&hub->conn[i]);
    for (int32_t i = 0; i < hub->fresh_count; i++)
        frame_drop(hub->fresh[i]);
    for (void *chunk; (chunk = journal_take_back(&hub->journal)) != NULL;)
        free(chunk);
    box_release(&hub->box);
    senders_release(&hub->senders);
    unsaved_release(&hub->unsaved);
    chains_release(&hub->chains);
    json_out_release(&hub->out);
    json_out_release(&hub->parts);
    free(hub);
}

void hub_seed_device(struct hub *hub, const struct hub_device *device)
{
    CHECK(!hub->live);
    if (hub->devices.count < LIMIT_DEVICES)
        hub->devices.row[hub->devices.count++] = *device;
    if (device->number > hub->devices.last_number)
        hub->devices.last_number = device->number;
}

void hub_seed_top(struct hub *hub, uint64_t sender, enum lane lane, int32_t top)
{
    CHECK(!hub->live);
    senders_seed(&hub->senders, sender, lane, top);
}

void hub_seed_last(struct hub *hub, int64_t seq, const uint8_t chain[32])
{
    CHECK(!hub->live && hub->journal.count == 0);
    chains_release(&hub->chains);
    chains_init(&hub->chains, seq, chain);
    memcpy(hub->chain, chain, sizeof hub->chain);
    hub->last_seq = seq;
}

bool hub_replay(struct hub *hub, const struct entry *entry, const uint8_t chain[32])
{
    return take_saved(hub, entry, chain);
}

/* The base of the last run, when it was in this boot of the machine. */
static bool same_boot(struct hub *hub)
{
    for (int32_t i = hub->journal.count - 1; i >= 0; i--) {
        if (journal_row(&hub->journal, i)->kind != KIND_RUN)
            continue;
        journal_entry(&hub->journal, i, &hub->old_entry);
        hub->base_ms = hub->old_entry.body.run.base_ms;
        return hub->old_entry.body.run.boot == hub->seed.boot_id;
    }
    return false;
}

/* Log time never runs backwards over the whole log. Within one boot it goes on by the boot clock; over another boot by the
 * time of day, when it was known then and is now; else by a second, and says so. Returns whether it is an estimate. */
static bool choose_base(struct hub *hub, struct hub_time now)
{
    const struct board_clock *clock = &hub->board.clock;
    if (hub->journal.count == 0)
        return false;
    journal_entry(&hub->journal, hub->journal.count - 1, &hub->old_entry);
    int64_t last_ms = hub->old_entry.got_ms;
    if (same_boot(hub) && now.boot_ms + hub->base_ms >= last_ms)
        return false;
    int64_t by_utc_ms = now.utc_ms - clock->utc_offset_ms;
    bool known = now.utc_ms != 0 && clock->source != CLOCK_SOURCE_NONE && by_utc_ms > last_ms;
    hub->base_ms = (known ? by_utc_ms : last_ms + UNKNOWN_GAP_MS) - now.boot_ms;
    return !known;
}

void hub_start(struct hub *hub, struct hub_time now)
{
    CHECK(!hub->live);
    take_saved_all(hub);
    bool estimated = choose_base(hub, now);
    hub->live = true;
    hub->saved_seq = hub->last_seq;
    hub->now = now;
    hub->log_ms = now.boot_ms + hub->base_ms;
    hub->pulse_due_ms = now.boot_ms;
    own_run(hub, true, estimated);
    own_clock(hub);
}

/* --- connections ------------------------------------------------------------------------------------------------------- */

static void set_time(struct hub *hub, struct hub_time now)
{
    CHECK(hub->live && now.boot_ms >= hub->now.boot_ms);
    hub->now = now;
    hub->log_ms = now.boot_ms + hub->base_ms;
}

static struct conn *conn_get(struct hub *hub, int index)
{
    CHECK(index >= 0 && index < LIMIT_CONNS && hub->conn[index].state != CONN_FREE);
    return &hub->conn[index];
}

/* Room for one more that has not said hello: the one that has been silent for longest goes. */
static void close_silent(struct hub *hub)
{
    int32_t count = 0;
    struct conn *oldest = NULL;
    for (int32_t i = 0; i < hub->conn_end; i++) {
        struct conn *conn = &hub->conn[i];
        if (conn->state != CONN_NEW)
            continue;
        count++;
        if (oldest == NULL || conn->joined_ms < oldest->joined_ms)
            oldest = conn;
    }
    if (count >= LIMIT_CONNS_NEW)
        close_conn(oldest, CLOSE_SILENT);
}

int hub_join(struct hub *hub, struct hub_time now, const struct peer *peer)
{
    int32_t same = 0, found = -1;
    set_time(hub, now);
    for (int32_t i = 0; i < hub->conn_end; i++) {
        if (hub->conn[i].state == CONN_FREE)
            found = found < 0 ? i : found;
        else
            same += hub->conn[i].address == peer->address;
    }
    if (found < 0 && hub->conn_end < LIMIT_CONNS)
        found = hub->conn_end;
    if (found < 0 || same >= LIMIT_CONNS_PER_ADDRESS)
        return -1;
    close_silent(hub);
    struct conn *conn = &hub->conn[found];
    conn->state = CONN_NEW;
    hub->conn_end = found < hub->conn_end ? hub->conn_end : found + 1;
    conn->address = peer->address;
    conn->joined_ms = conn->heard_ms = now.boot_ms;
    return found;
}

void hub_gone(struct hub *hub, struct hub_time now, int conn_index)
{
    set_time(hub, now);
    struct conn *conn = conn_get(hub, conn_index);
    watch_gone(hub, conn_index);
    conn_reset(conn);
    while (hub->conn_end > 0 && hub->conn[hub->conn_end - 1].state == CONN_FREE)
        hub->conn_end--;
}

/* --- messages ---------------------------------------------------------------------------------------------------------- */

static void beat(struct hub *hub, int32_t index, const struct msg_beat *message)
{
    watch_visible(hub, index, message->visible);
}

static void fresh(struct hub *hub, struct conn *conn)
{
    if (sees_board(conn))
        conn->fresh_due = true;
    else
        send_refused(hub, conn, REFUSAL_NOT_ALLOWED);
}

/* Each folds the trip anew: a person asks for one now and then. */
static void preview(struct hub *hub, struct conn *conn, const struct msg_preview *message)
{
    if (bucket_use(&conn->previews, hub->now.boot_ms, LIMIT_PREVIEWS_PER_SECOND, LIMIT_PREVIEWS_BURST))
        amend_preview(hub, conn, message);
    else
        send_refused(hub, conn, REFUSAL_NUMBER_WAIT);
}

static void dispatch(struct hub *hub, int32_t index, const struct msg_up_any *up)
{
    struct conn *conn = &hub->conn[index];
    if (conn->state == CONN_NEW && up->t != MSG_UP_HELLO) {
        send_refused(hub, conn, REFUSAL_HELLO_FIRST);
        return;
    }
    switch (up->t) {
    case MSG_UP_HELLO: hello_recv(hub, index, &up->u.hello); break;
    case MSG_UP_TAP: taps_recv(hub, conn, &up->u.tap); break;
    case MSG_UP_OFFER: offers_recv(hub, conn, &up->u.offer); break;
    case MSG_UP_BEAT: beat(hub, index, &up->u.beat); break;
    case MSG_UP_FRESH: fresh(hub, conn); break;
    case MSG_UP_TAKE_HELM: helm_take(hub, conn, &up->u.take_helm); break;
    case MSG_UP_PREVIEW: preview(hub, conn, &up->u.preview); break;
    case MSG_UP_COUNT_: CHECK(false);
    }
}

/* A message that reads as JSON and not as a message: a tap's answer, where it is one; else in words. */
static void unreadable(struct hub *hub, struct conn *conn, const cJSON *json, const struct proto_error *error)
{
    const cJSON *t = cJSON_GetObjectItemCaseSensitive(json, "t");
    if (conn->state == CONN_GREETED && cJSON_IsString(t) && strcmp(t->valuestring, "tap") == 0)
        taps_unreadable(hub, conn, json, error);
    else
        send_told(hub, conn, error->code, error->words, error->at);
}

static void heard(struct hub *hub, int32_t index, const char *text, size_t len)
{
    struct conn *conn = &hub->conn[index];
    struct proto_error error;
    if (msg_up_decode(text, len, &hub->up)) {
        dispatch(hub, index, &hub->up);
        return;
    }
    cJSON *json = json_read(text, len, &error);
    if (json == NULL) {
        send_told(hub, conn, error.code, error.words, error.at);
        return;
    }
    if (msg_up_from_json(json, &hub->up, &error))
        dispatch(hub, index, &hub->up);
    else
        unreadable(hub, conn, json, &error);
    cJSON_Delete(json);
}

void hub_recv(struct hub *hub, struct hub_time now, int conn_index, const char *text, size_t len)
{
    set_time(hub, now);
    struct conn *conn = conn_get(hub, conn_index);
    if (conn->state == CONN_CLOSING)
        return;
    conn->heard_ms = now.boot_ms;
    watch_heard(hub, conn_index);
    if (!bucket_use(&conn->messages, now.boot_ms, LIMIT_MESSAGES_PER_SECOND, LIMIT_MESSAGES_BURST))
        send_no(hub, conn, REFUSAL_TOO_FAST, CLOSE_FLOOD);
    else if (len > LIMIT_MESSAGE_BYTES)
        send_refused(hub, conn, REFUSAL_TOO_LONG);
    else
        heard(hub, conn_index, text, len);
    (void)watch_run(hub);
}

void hub_note(struct hub *hub, struct hub_time now, const struct entry *entry)
{
    set_time(hub, now);
    union entry_body *body = own_begin(hub, entry->kind);
    memcpy(body, &entry->body, sizeof *body);
    (void)own_take(hub);
}

/* --- what is due ------------------------------------------------------------------------------------------------------- */

static int64_t sooner(int64_t one_ms, int64_t two_ms)
{
    return one_ms < two_ms ? one_ms : two_ms;
}

/* When this connection is closed unless it says something; a page with a key may sleep. */
static int64_t conn_due(const struct conn *conn)
{
    if (conn->state == CONN_NEW)
        return conn->joined_ms + LIMIT_HELLO_MS;
    bool stranger = conn->state == CONN_GREETED && conn->from == SOURCE_ANYONE;
    return stranger ? conn->heard_ms + LIMIT_SILENT_MS : INT64_MAX;
}

static int64_t conns_run(struct hub *hub)
{
    int64_t next = INT64_MAX;
    for (int32_t i = 0; i < hub->conn_end; i++) {
        struct conn *conn = &hub->conn[i];
        int64_t due = conn_due(conn);
        if (due > hub->now.boot_ms)
            next = sooner(next, due);
        else
            close_conn(conn, CLOSE_SILENT);
    }
    return next;
}

/* The pulse keeps its rhythm; after a stall it starts a new one. */
static int64_t pulse_run(struct hub *hub)
{
    int64_t now_ms = hub->now.boot_ms;
    if (now_ms < hub->pulse_due_ms)
        return hub->pulse_due_ms;
    send_pulse(hub);
    hub->pulse_due_ms += LIMIT_PULSE_MS;
    if (hub->pulse_due_ms <= now_ms)
        hub->pulse_due_ms = now_ms + LIMIT_PULSE_MS;
    return hub->pulse_due_ms;
}

void hub_pulse(struct hub *hub, struct hub_time now)
{
    set_time(hub, now);
    send_pulse(hub);
}

int64_t hub_tick(struct hub *hub, struct hub_time now)
{
    set_time(hub, now);
    take_refold_step(hub);
    own_clock(hub);
    int64_t next = sooner(conns_run(hub), ladder_run(hub));
    next = sooner(next, watch_run(hub));
    next = sooner(next, pulse_run(hub));
    return hub->refolding ? now.boot_ms : sooner(next, now.boot_ms + IDLE_MS);
}

/* --- the log ----------------------------------------------------------------------------------------------------------- */

size_t hub_batch(struct hub *hub, struct log_row *rows, size_t max)
{
    if (hub->disk == LOG_FAILED)
        return 0;
    return unsaved_copy(&hub->unsaved, rows, max < LIMIT_BATCH_ROWS ? max : LIMIT_BATCH_ROWS);
}

void hub_saved(struct hub *hub, struct hub_time now, int64_t up_to_seq, enum log_state state)
{
    set_time(hub, now);
    CHECK(up_to_seq <= hub->last_seq);
    if (hub->lost)
        return;
    hub->disk = state;
    unsaved_drop(&hub->unsaved, up_to_seq);
    if (up_to_seq > hub->saved_seq) {
        hub->saved_seq = up_to_seq;
        send_saved(hub);
    }
}

bool hub_lost(const struct hub *hub)
{
    return hub->lost;
}

void hub_spare(struct hub *hub, enum spare_copy state)
{
    hub->spare = state;
}

/* --- looking in -------------------------------------------------------------------------------------------------------- */

bool hub_devices_changed(const struct hub *hub)
{
    return hub->devices.changed;
}

size_t hub_devices(struct hub *hub, struct hub_device *out, size_t max)
{
    CHECK(max >= (size_t)hub->devices.count);
    memcpy(out, hub->devices.row, (size_t)hub->devices.count * sizeof *out);
    hub->devices.changed = false;
    return (size_t)hub->devices.count;
}

const struct board *hub_board(const struct hub *hub)
{
    return &hub->board;
}

int64_t hub_rev(const struct hub *hub)
{
    return hub->rev;
}

int64_t hub_last_seq(const struct hub *hub)
{
    return hub->last_seq;
}

int64_t hub_saved_up_to(const struct hub *hub)
{
    return hub->saved_seq;
}

void hub_digest(struct hub *hub, char out[17])
{
    memcpy(out, board_digest(hub), 17);
}

/* 1. The live board is what folding the journal gives. 2. Rows wait in order, up to the last. 3. Queues, senders and
 * connections are what their files say. */
void hub_check(const struct hub *hub)
{
    struct board *folded = must(malloc(sizeof *folded));
    board_check(&hub->board);
    board_reset(folded);
    for (int32_t i = 0; i < hub->journal.count; i++)
        (void)journal_apply(&hub->journal, i, folded);
    CHECK(hub->refolding || memcmp(folded, &hub->board, sizeof *folded) == 0);
    free(folded);
    CHECK(hub->saved_seq <= hub->last_seq);
    CHECK(hub->lost || hub->unsaved.count == hub->last_seq - hub->saved_seq);
    unsaved_check(&hub->unsaved, hub->last_seq);
    senders_check(&hub->senders);
    int32_t silent = 0;
    for (int32_t i = 0; i < LIMIT_CONNS; i++) {
        const struct conn *conn = &hub->conn[i];
        silent += conn->state == CONN_NEW;
        queue_check(&conn->ordinary);
        queue_check(&conn->alarms);
        CHECK(conn->state == CONN_CLOSING || conn->close_code == 0);
        CHECK(!conn->fresh_due || sees_board(conn));
        CHECK(conn->unsaved == 0 || (conn->state == CONN_GREETED && conn->unsaved > hub->saved_seq));
        CHECK(conn->unsaved <= hub->last_seq);
        CHECK(conn->state != CONN_FREE || (conn->ordinary.count == 0 && conn->alarms.count == 0));
        CHECK(conn->state == CONN_FREE || i < hub->conn_end);
    }
    CHECK(silent <= LIMIT_CONNS_NEW);
}
