#include "send.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "debrief/changes.h"
#include "encode.h"

bool sees_board(const struct conn *conn)
{
    return conn->state == CONN_GREETED && conn->from != SOURCE_ANYONE;
}

struct json_out *send_begin(struct hub *hub)
{
    json_out_reset(&hub->out);
    return &hub->out;
}

/* Of the message that was begun and written. */
static struct frame *frame_made(const struct hub *hub)
{
    return frame_new(hub->out.text, hub->out.len);
}

/* --- queues ------------------------------------------------------------------------------------------------------------ */

static void push_alarm(struct conn *conn, struct frame *frame)
{
    while (!queue_push(&conn->alarms, frame)) {
        struct frame *oldest = queue_pop(&conn->alarms);
        CHECK(oldest != NULL);
        frame_drop(oldest);
        conn->fresh_due = sees_board(conn);
    }
}

/* What is said to this page alone goes on even when the queue was dropped. */
static void push_own(struct conn *conn, struct frame *frame)
{
    if (queue_push(&conn->ordinary, frame))
        return;
    queue_reset(&conn->ordinary);
    conn->fresh_due = sees_board(conn);
    CHECK(queue_push(&conn->ordinary, frame));
}

static void push_board(struct conn *conn, struct frame *frame)
{
    if (conn->fresh_due || queue_push(&conn->ordinary, frame))
        return;
    queue_reset(&conn->ordinary);
    conn->fresh_due = sees_board(conn);
}

static void push_to_board(struct hub *hub, struct frame *frame, void (*push)(struct conn *, struct frame *))
{
    for (int32_t i = 0; i < hub->conn_end; i++)
        if (sees_board(&hub->conn[i]))
            push(&hub->conn[i], frame);
    frame_drop(frame);
}

/* --- to one ------------------------------------------------------------------------------------------------------------ */

void send_one(struct hub *hub, struct conn *conn, enum lane lane)
{
    struct frame *frame = frame_made(hub);
    if (conn->state == CONN_NEW || conn->state == CONN_GREETED)
        (lane == LANE_EMERGENCY ? push_alarm : push_own)(conn, frame);
    frame_drop(frame);
}

void send_told(struct hub *hub, struct conn *conn, const char *code, const char *words, const char *at)
{
    struct msg_told told = {0};
    (void)snprintf(told.code, sizeof told.code, "%s", code);
    (void)snprintf(told.words, sizeof told.words, "%s", words);
    (void)snprintf(told.at, sizeof told.at, "%s", at);
    msg_told_encode(&told, send_begin(hub));
    send_one(hub, conn, LANE_ORDINARY);
}

void send_refused(struct hub *hub, struct conn *conn, enum refusal_code code)
{
    send_told(hub, conn, refusal_code_name(code), refusal_words(code), "");
}

void close_conn(struct conn *conn, enum close_code code)
{
    CHECK(conn->state == CONN_NEW || conn->state == CONN_GREETED);
    conn->state = CONN_CLOSING;
    conn->close_code = (int32_t)code;
    conn->fresh_due = false;
    conn->unsaved = 0;
}

void send_no(struct hub *hub, struct conn *conn, enum refusal_code code, enum close_code close)
{
    struct msg_no no = {0};
    (void)snprintf(no.code, sizeof no.code, "%s", refusal_code_name(code));
    (void)snprintf(no.words, sizeof no.words, "%s", refusal_words(code));
    msg_no_encode(&no, send_begin(hub));
    send_one(hub, conn, LANE_ORDINARY);
    close_conn(conn, close);
}

/* --- to all ------------------------------------------------------------------------------------------------------------ */

void send_alarm(struct hub *hub, const struct entry *entry)
{
    hub->alarm.entry = *entry;
    msg_alarm_encode(&hub->alarm, send_begin(hub));
    push_to_board(hub, frame_made(hub), push_alarm);
}

void send_patch(struct hub *hub, const struct board *old, const struct entry *entry, bool moot)
{
    json_out_reset(&hub->parts);
    changes_encode(old, &hub->board, &hub->parts);
    (void)json_out_end(&hub->parts);
    cJSON parts = json_raw(hub->parts.text);
    hub->rev++;
    hub->patch = (struct msg_patch){.rev = hub->rev, .entry = *entry, .moot = moot, .parts = &parts};
    msg_patch_encode(&hub->patch, send_begin(hub));
    hub->patch.parts = NULL;
    push_to_board(hub, frame_made(hub), push_board);
}

void send_fresh_to_all(struct hub *hub)
{
    hub->rev++;
    for (int32_t i = 0; i < hub->conn_end; i++)
        if (sees_board(&hub->conn[i]))
            hub->conn[i].fresh_due = true;
}

void send_saved(struct hub *hub)
{
    struct msg_saved saved = {.up_to = hub->saved_seq};
    const uint8_t *mark = chains_find(&hub->chains, hub->saved_seq);
    CHECK(mark != NULL);
    hash_hex(mark, CHAIN_BYTES, saved.chain);
    msg_saved_encode(&saved, send_begin(hub));
    struct frame *frame = frame_made(hub);
    for (int32_t i = 0; i < hub->conn_end; i++) {
        struct conn *conn = &hub->conn[i];
        if (conn->unsaved == 0)
            continue;
        push_board(conn, frame);
        if (conn->unsaved <= hub->saved_seq)
            conn->unsaved = 0;
    }
    frame_drop(frame);
}

void send_saved_later(const struct hub *hub, struct conn *conn, int64_t seq)
{
    if (conn->state == CONN_GREETED && seq > hub->saved_seq && seq > conn->unsaved)
        conn->unsaved = seq;
}

static enum disk disk_of(enum log_state state)
{
    enum disk disk = DISK_OK;
    switch (state) {
    case LOG_OK: disk = DISK_OK; break;
    case LOG_SLOW: disk = DISK_SLOW; break;
    case LOG_FAILED: disk = DISK_FAILED; break;
    }
    return disk;
}

void send_pulse(struct hub *hub)
{
    struct msg_pulse pulse = {.rev = hub->rev,
                              .now_ms = hub->log_ms,
                              .saved_up_to = hub->saved_seq,
                              .disk = disk_of(hub->disk),
                              .spare = hub->spare,
                              .unsaved = hub->last_seq - hub->saved_seq};
    const uint8_t *mark = chains_find(&hub->chains, hub->saved_seq);
    if (mark != NULL)
        hash_hex(mark, CHAIN_BYTES, pulse.chain);
    memcpy(pulse.digest, board_digest(hub), sizeof pulse.digest);
    msg_pulse_encode(&pulse, send_begin(hub));
    struct frame *frame = frame_made(hub);
    for (int32_t i = 0; i < hub->conn_end; i++) {
        struct conn *conn = &hub->conn[i];
        /* Pulses alone must not fill the queue of a screen that reads nothing. */
        bool far_behind = conn->ordinary.count > LIMIT_QUEUE_FRAMES / 2 || conn->ordinary.bytes > LIMIT_QUEUE_BYTES / 2;
        if (conn->state == CONN_GREETED && !far_behind)
            push_board(conn, frame);
    }
    frame_drop(frame);
}

/* --- the fresh board --------------------------------------------------------------------------------------------------- */

const char *board_digest(struct hub *hub)
{
    if (hub->digest_rev == hub->rev)
        return hub->digest;
    uint8_t hash[HASH_BYTES];
    json_out_reset(&hub->out);
    board_encode(&hub->board, &hub->out);
    hash_bytes(hub->out.text, hub->out.len, hash);
    hash_hex(hash, 8, hub->digest);
    hub->digest_rev = hub->rev;
    return hub->digest;
}

static void fresh_forget(struct hub *hub)
{
    for (int32_t i = 0; i < hub->fresh_count; i++)
        frame_drop(hub->fresh[i]);
    hub->fresh_count = 0;
    hub->fresh_rev = -1;
}

static void fresh_add_part(struct hub *hub, enum board_part part, int32_t slot)
{
    struct msg_part message = {0};
    json_out_reset(&hub->parts);
    board_part_encode(&hub->board, part, slot, &hub->parts);
    (void)json_out_end(&hub->parts);
    cJSON value = json_raw(hub->parts.text);
    board_part_id(&hub->board, part, slot, message.part);
    message.value = &value;
    msg_part_encode(&message, send_begin(hub));
    hub->fresh[hub->fresh_count++] = frame_made(hub);
}

/* The board in frames, kept for the next screen that asks at the same revision. */
static void fresh_make(struct hub *hub)
{
    if (hub->fresh_rev == hub->rev)
        return;
    fresh_forget(hub);
    hub->fresh_count = 1; /* the first frame says how many follow */
    for (int32_t part = 0; part < PART_COUNT_; part++)
        for (int32_t slot = 0; slot < part_info((enum board_part)part)->max; slot++)
            if (board_slot_used(&hub->board, (enum board_part)part, slot))
                fresh_add_part(hub, (enum board_part)part, slot);
    struct msg_fresh_start start = {.rev = hub->rev, .parts = hub->fresh_count - 1};
    msg_fresh_start_encode(&start, send_begin(hub));
    hub->fresh[0] = frame_made(hub);
    hub->fresh_rev = hub->rev;
}

/* Into an empty queue, which holds it whole: LIMIT_QUEUE_FRAMES is more than every slot of the board. */
static void push_fresh(struct hub *hub, struct conn *conn)
{
    struct msg_fresh_end end = {.rev = hub->rev, .saved_up_to = hub->saved_seq};
    memcpy(end.digest, board_digest(hub), sizeof end.digest);
    msg_fresh_end_encode(&end, send_begin(hub));
    struct frame *last = frame_made(hub);
    fresh_make(hub);
    for (int32_t i = 0; i < hub->fresh_count; i++)
        CHECK(queue_push(&conn->ordinary, hub->fresh[i]));
    CHECK(queue_push(&conn->ordinary, last));
    frame_drop(last);
    conn->fresh_due = false;
}

struct frame *hub_next(struct hub *hub, int conn_index, int *close_code)
{
    CHECK(conn_index >= 0 && conn_index < LIMIT_CONNS);
    struct conn *conn = &hub->conn[conn_index];
    CHECK(conn->state != CONN_FREE);
    *close_code = 0;
    struct frame *frame = queue_pop(&conn->alarms);
    if (frame != NULL)
        return frame;
    if (conn->ordinary.count == 0 && conn->fresh_due)
        push_fresh(hub, conn);
    frame = conn->lines ? queue_pop_lines(&conn->ordinary, LIMIT_LINES_BYTES) : queue_pop(&conn->ordinary);
    if (frame == NULL)
        *close_code = conn->close_code;
    return frame;
}

bool hub_wants(const struct hub *hub, int conn_index)
{
    CHECK(conn_index >= 0 && conn_index < LIMIT_CONNS);
    const struct conn *conn = &hub->conn[conn_index];
    return conn->alarms.count > 0 || conn->ordinary.count > 0 || conn->fresh_due || conn->close_code != 0;
}

/* --- words ------------------------------------------------------------------------------------------------------------- */

static const char *line_name(const struct board *board, int32_t line)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++)
        if (line != 0 && board->lines[i].id == line)
            return board->lines[i].name;
    return "That line";
}

static const char *hand_name(const struct board *board, int32_t hand)
{
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++)
        if (hand != 0 && board->hands[i].id == hand)
            return board->hands[i].name;
    return "Somebody";
}

void refusal_fill(const struct board *board, enum refusal_code code, const struct about *about, char out[161])
{
    const char *words = refusal_words(code);
    size_t used = 0;
    while (*words != '\0' && used < 160) {
        const char *name = NULL;
        if (strncmp(words, "{line}", 6) == 0)
            name = line_name(board, about->line);
        else if (strncmp(words, "{hand}", 6) == 0)
            name = hand_name(board, about->hand);
        if (name == NULL) {
            out[used++] = *words++;
            continue;
        }
        size_t len = strlen(name) < 160 - used ? strlen(name) : 160 - used;
        memcpy(out + used, name, len);
        used += len;
        words += 6;
    }
    out[used] = '\0';
}
