#include "hello.h"

#include <string.h>

#include "send.h"
#include "watch.h"

/* A page's other connection that has been silent for this long is a ghost, whoever asks. */
#define GHOST_MS 2000

/* What a hello has shown. REFUSAL_NONE, and from ANYONE: neither key nor token. */
struct shown {
    enum source from;
    int32_t device;
    char token[TOKEN_CHARS + 1]; /* a new one, or empty */
};

static enum source key_source(const struct hub *hub, const char *key)
{
    bool crew = hash_same_text(key, hub->seed.crew_key);
    bool guest = hash_same_text(key, hub->seed.guest_key);
    return crew ? SOURCE_CREW : guest ? SOURCE_GUEST : SOURCE_ANYONE;
}

/* Guesses are not slowed here: of 130 random bits none is ever guessed, and a wait would keep the right key out, and OVERBOARD
 * from a page with a wrong one. */
static enum refusal_code key_check(const struct hub *hub, const char *key, enum source *from)
{
    *from = key_source(hub, key);
    return *from == SOURCE_ANYONE ? REFUSAL_WRONG_KEY : REFUSAL_NONE;
}

static void new_device(struct hub *hub, enum source from, struct shown *shown)
{
    uint8_t bytes[TOKEN_CHARS / 2];
    chance_bytes(&hub->chance, bytes, sizeof bytes);
    hash_hex(bytes, sizeof bytes, shown->token);
    struct hub_device *device = devices_add(&hub->devices, shown->token, from, hub->board.helm.device);
    devices_used(&hub->devices, device, hub->now.utc_ms);
    shown->from = from;
    shown->device = device->number;
}

/* A guest's device that shows the crew's key is the crew's from then on; a wrong key beside a good token does no harm. */
static void old_device(struct hub *hub, int32_t index, const char *key, struct shown *shown)
{
    struct hub_device *device = &hub->devices.row[index];
    enum source from;
    if (key[0] != '\0' && device->from == SOURCE_GUEST && key_check(hub, key, &from) == REFUSAL_NONE &&
        from == SOURCE_CREW) {
        device->from = SOURCE_CREW;
        hub->devices.changed = true;
    }
    devices_used(&hub->devices, device, hub->now.utc_ms);
    shown->from = device->from;
    shown->device = device->number;
}

static enum refusal_code who(struct hub *hub, const struct msg_hello *hello, struct shown *shown)
{
    enum source from;
    int32_t index = devices_find(&hub->devices, hello->token);
    *shown = (struct shown){.from = SOURCE_ANYONE};
    if (index >= 0) {
        old_device(hub, index, hello->key, shown);
        return REFUSAL_NONE;
    }
    if (hello->key[0] == '\0')
        return hello->token[0] == '\0' ? REFUSAL_NONE : REFUSAL_WRONG_KEY;
    enum refusal_code code = key_check(hub, hello->key, &from);
    if (code == REFUSAL_NONE)
        new_device(hub, from, shown);
    return code;
}

/* --- room and ghosts --------------------------------------------------------------------------------------------------- */

static int32_t count_conns(const struct hub *hub, bool strangers)
{
    int32_t count = 0;
    for (int32_t i = 0; i < hub->conn_end; i++) {
        const struct conn *conn = &hub->conn[i];
        count += strangers ? conn->state == CONN_GREETED && conn->from == SOURCE_ANYONE : conn->state != CONN_FREE;
    }
    return count;
}

/* The last places are for pages that were here before. */
static bool full(const struct hub *hub, const struct shown *shown)
{
    if (shown->from == SOURCE_ANYONE)
        return count_conns(hub, true) >= LIMIT_CONNS_KEYLESS;
    bool known = shown->token[0] == '\0';
    return !known && count_conns(hub, false) > LIMIT_CONNS - LIMIT_CONNS_RESERVE;
}

static struct conn *other_conn(struct hub *hub, uint64_t page)
{
    for (int32_t i = 0; i < hub->conn_end; i++)
        if (hub->conn[i].state == CONN_GREETED && hub->conn[i].page == page)
            return &hub->conn[i];
    return NULL;
}

/* The same page again: its phone dropped off the Wi-Fi and came back. Every screen can read a page's id, so another device
 * may not push it off with it. */
static bool replace_ghost(struct hub *hub, uint64_t page, const struct shown *shown)
{
    struct conn *ghost = other_conn(hub, page);
    if (ghost == NULL)
        return true;
    if (ghost->device != shown->device && hub->now.boot_ms - ghost->heard_ms < GHOST_MS)
        return false;
    close_conn(ghost, CLOSE_REPLACED);
    return true;
}

/* --- the log's mark ---------------------------------------------------------------------------------------------------- */

/* Does the screen remember a log that this one does not go on from? A mark is only ever of saved rows. */
static bool log_went_back(const struct hub *hub, const struct log_mark *mark)
{
    char chain[2 * CHAIN_BYTES + 1];
    if (mark->log_id == 0)
        return false;
    if (mark->log_id != hub->seed.log_id || mark->seq > hub->saved_seq)
        return true;
    const uint8_t *own = chains_find(&hub->chains, mark->seq);
    if (own == NULL)
        return false;
    hash_hex(own, CHAIN_BYTES, chain);
    return strcmp(chain, mark->chain) != 0;
}

static void welcome(struct hub *hub, struct conn *conn, const struct shown *shown, const struct log_mark *mark)
{
    struct msg_welcome message = {.proto = PROTO_ID,
                                  .log_id = hub->seed.log_id,
                                  .run = hub->seed.run_id,
                                  .from = conn->from,
                                  .device = conn->device,
                                  .now_ms = hub->log_ms,
                                  .saved = {.log_id = hub->seed.log_id, .seq = hub->saved_seq},
                                  .log_back = log_went_back(hub, mark),
                                  .boat = hub->seed.boat_id ? hub->seed.boat_id : hub->seed.log_id};
    bool helm = conn->from == SOURCE_CREW && conn->device == hub->board.helm.device;
    const uint8_t *chain = chains_find(&hub->chains, hub->saved_seq);
    CHECK(chain != NULL);
    hash_hex(chain, CHAIN_BYTES, message.saved.chain);
    memcpy(message.token, shown->token, sizeof shown->token);
    if (helm)
        message.from = SOURCE_HELM;
    msg_welcome_encode(&message, send_begin(hub));
    send_one(hub, conn, LANE_ORDINARY);
}

void hello_recv(struct hub *hub, int32_t conn_index, const struct msg_hello *hello)
{
    struct conn *conn = &hub->conn[conn_index];
    struct shown shown;
    if (conn->state != CONN_NEW || hello->page == 0) {
        send_refused(hub, conn, REFUSAL_BAD_MESSAGE);
        return;
    }
    enum refusal_code code = who(hub, hello, &shown);
    if (code != REFUSAL_NONE) {
        send_no(hub, conn, code, CLOSE_KEY);
        return;
    }
    if (full(hub, &shown)) {
        send_no(hub, conn, REFUSAL_FULL, CLOSE_FULL);
        return;
    }
    if (!replace_ghost(hub, hello->page, &shown)) {
        send_no(hub, conn, REFUSAL_NOT_ALLOWED, CLOSE_LATER);
        return;
    }
    conn->state = CONN_GREETED;
    conn->from = shown.from;
    conn->device = shown.device;
    conn->page = hello->page;
    conn->view = hello->view;
    conn->hand = hello->hand;
    conn->lines = strcmp(hello->proto, PROTO_ID) == 0;
    welcome(hub, conn, &shown, &hello->log);
    conn->fresh_due = sees_board(conn);
    send_saved_later(hub, conn, hub->last_seq); /* its taps of the connection before may be among them */
    if (conn->from == SOURCE_CREW) {
        if (senders_room(&hub->senders, conn->page, ROOM_FOR_ORDINARY))
            senders_get(&hub->senders, conn->page)->crew = true;
        watch_joined(hub, conn_index);
    }
}
