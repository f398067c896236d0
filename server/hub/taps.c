#include "taps.h"

#include <stdio.h>
#include <string.h>

#include "amend.h"
#include "follow.h"
#include "identity.h"
#include "send.h"
#include "take.h"

bool bucket_use(struct bucket *bucket, int64_t boot_ms, int64_t per_second, int64_t burst)
{
    int64_t level = bucket->level_milli - (boot_ms - bucket->at_ms) * per_second;
    if (level < 0)
        level = 0;
    bool room = level + 1000 <= burst * 1000;
    bucket->level_milli = level + (room ? 1000 : 0);
    bucket->at_ms = boot_ms;
    return room;
}

/* --- answers ----------------------------------------------------------------------------------------------------------- */

static void answer(struct hub *hub, struct conn *conn, const struct msg_answer *message)
{
    msg_answer_encode(message, send_begin(hub));
    send_one(hub, conn, message->id.lane);
    send_saved_later(hub, conn, message->seq);
}

/* An answer that keeps nothing of the tap. */
static void answer_no(struct hub *hub, struct conn *conn, struct entry_id id, enum answer_is is, enum refusal_code code,
                      int64_t retry_ms)
{
    struct msg_answer message = {.id = id, .is = is, .retry_ms = (int32_t)retry_ms};
    if (code != REFUSAL_NONE) {
        (void)snprintf(message.code, sizeof message.code, "%s", refusal_code_name(code));
        (void)snprintf(message.words, sizeof message.words, "%s", refusal_words(code));
    }
    answer(hub, conn, &message);
}

/* The tap stays on its phone and comes again, so an emergency that was sent right behind this one must not take its number. */
static void answer_not_now(struct hub *hub, struct conn *conn, struct entry_id id, enum refusal_code code,
                           int64_t retry_ms)
{
    if (id.lane == LANE_EMERGENCY && identity_missing(hub, id) == 0)
        senders_not_now(&hub->senders, id.sender, hub->now.boot_ms);
    answer_no(hub, conn, id, ANSWER_IS_NOT_NOW, code, retry_ms);
}

/* The number of a tap that nobody will ever read is used up, as a gap: else the page's next taps would wait half a minute for it. */
static void use_up(struct hub *hub, const struct conn *conn, struct entry_id id)
{
    struct entry_id next = {.sender = id.sender, .n = id.n + 1, .lane = id.lane};
    if (conn->from < SOURCE_CREW || id.lane == LANE_EMERGENCY || id.sender == 0 || id.sender == hub->seed.run_id)
        return;
    if (senders_room(&hub->senders, id.sender, ROOM_FOR_ORDINARY) && identity_missing(hub, id) == 0 &&
        hub->disk != LOG_FAILED && take_room(hub, ROOM_FOR_ORDINARY, 1))
        identity_fill_gap(hub, next);
}

void taps_unreadable(struct hub *hub, struct conn *conn, const cJSON *message, const struct proto_error *error)
{
    enum refusal_code code = REFUSAL_BAD_TAP;
    cJSON *bare = must(cJSON_CreateObject());
    struct msg_answer reply;
    struct proto_error no_id;
    cJSON *id = cJSON_GetObjectItemCaseSensitive(message, "id");
    if (id)
        CHECK(cJSON_AddItemReferenceToObject(bare, "id", id));
    CHECK(cJSON_AddStringToObject(bare, "is", answer_is_name(ANSWER_IS_ERROR)) != NULL);
    CHECK(cJSON_AddStringToObject(bare, "t", "answer") != NULL);
    bool readable = msg_answer_from_json(bare, &reply, &no_id);
    cJSON_Delete(bare);
    if (!readable) {
        send_told(hub, conn, error->code, error->words, error->at);
        return;
    }
    if (strcmp(error->code, "kind_unknown") == 0)
        code = REFUSAL_KIND_UNKNOWN;
    if (strcmp(error->code, "version_unknown") == 0)
        code = REFUSAL_VERSION_UNKNOWN;
    (void)snprintf(reply.code, sizeof reply.code, "%s", refusal_code_name(code));
    (void)snprintf(reply.words, sizeof reply.words, "%s", error->words);
    use_up(hub, conn, reply.id);
    answer(hub, conn, &reply);
}

/* --- may they ---------------------------------------------------------------------------------------------------------- */

/* Whoever has shown the helm's device is the helm; it changes with one tap, so it is asked of the board each time. */
static enum source source_of(const struct hub *hub, const struct conn *conn)
{
    bool helm = conn->from == SOURCE_CREW && conn->device != 0 && conn->device == hub->board.helm.device;
    return helm ? SOURCE_HELM : conn->from;
}

static enum refusal_code role_admit(const struct entry *entry)
{
    const struct kind_info *info = kind_info(entry->kind);
    if (info->from == SOURCE_SERVER)
        return REFUSAL_NOT_ALLOWED;
    return info->from == SOURCE_HELM && entry->from != SOURCE_HELM ? REFUSAL_NOT_HELM : REFUSAL_NONE;
}

static enum refusal_code lane_admit(const struct entry *entry)
{
    bool emergency = kind_info(entry->kind)->lane == KIND_LANE_EMERGENCY;
    return emergency == (entry->id.lane == LANE_EMERGENCY) ? REFUSAL_NONE : REFUSAL_WRONG_LANE;
}

/* Whoever is not of the crew has these two taps and nothing else; what they may not do is not even written down. A guest can
 * read the ids of the crew's pages off the board, and must not use up their numbers; a page without a key sees no ids, and its
 * call must ring whatever became of its key. */
static bool others_may(const struct hub *hub, const struct entry *entry)
{
    const struct sender *sender = senders_find(&hub->senders, entry->id.sender);
    if (entry->from == SOURCE_GUEST && sender != NULL && sender->crew)
        return false;
    return entry->id.lane == LANE_EMERGENCY && entry->instead_of.n == 0 &&
           (entry->kind == KIND_OVERBOARD || entry->kind == KIND_OVERBOARD_WITHDRAWN);
}

static enum refusal_code admit(struct hub *hub, const struct entry *entry, struct about *about)
{
    enum refusal_code code = role_admit(entry);
    if (code == REFUSAL_NONE)
        code = lane_admit(entry);
    if (code == REFUSAL_NONE && journal_corrects(entry))
        code = amend_admit(hub, entry, about);
    return code == REFUSAL_NONE ? board_admit(&hub->board, entry, about) : code;
}

/* --- not now ----------------------------------------------------------------------------------------------------------- */

/* For how long still this page's call is the one that rings: a further one in this time says nothing new. */
static int64_t overboard_rest_ms(const struct hub *hub, const struct entry *entry)
{
    const struct board_overboard *open = &hub->board.overboard;
    for (int32_t i = 0; entry->kind == KIND_OVERBOARD && i < open->calls_count; i++) {
        const struct overboard_call *call = &open->calls[i];
        if (call->id.sender == entry->id.sender && !call->withdrawn)
            return call->at_ms + LIMIT_OVERBOARD_MS - hub->log_ms;
    }
    return 0;
}

/* A full log is left by ending the trip and starting another: these two have the emergencies' room. */
static enum room_for room_for(const struct entry *entry)
{
    if (entry->kind == KIND_TRIP_ENDED || entry->kind == KIND_TRIP_STARTED)
        return ROOM_FOR_EMERGENCY;
    if (entry->id.lane == LANE_ORDINARY)
        return ROOM_FOR_ORDINARY;
    return entry->from < SOURCE_CREW ? ROOM_FOR_STRANGER : ROOM_FOR_EMERGENCY;
}

/* REFUSAL_NONE: there is room for it and whatever it brings along. A disk that failed stops ordinary taps only. */
static enum refusal_code not_now(struct hub *hub, const struct entry *entry)
{
    int32_t rows = 1 + identity_missing(hub, entry->id);
    if (entry->kind == KIND_TRIP_STARTED)
        rows += LIMIT_TRIP_ROWS;
    if (hub->disk == LOG_FAILED && entry->id.lane == LANE_ORDINARY)
        return REFUSAL_NOT_SAVING;
    if (take_room(hub, room_for(entry), rows))
        return REFUSAL_NONE;
    return unsaved_room(&hub->unsaved, room_for(entry), rows) ? REFUSAL_TRIP_FULL : REFUSAL_QUEUE_FULL;
}

/* Connections and page ids cost a stranger nothing, so all of them share one bucket: else a flood would fill the trip's log.
 * The call that opens an emergency is no part of it; what is held back joins one that rings already. */
static bool strangers_fast(struct hub *hub, const struct conn *conn, const struct entry *entry)
{
    bool opens = entry->kind == KIND_OVERBOARD && hub->board.overboard.id.n == 0;
    return conn->from < SOURCE_CREW && !opens &&
           !bucket_use(&hub->strangers, hub->now.boot_ms, LIMIT_STRANGERS_PER_SECOND, LIMIT_STRANGERS_BURST);
}

static bool fast(struct hub *hub, struct conn *conn, const struct entry *entry)
{
    if (strangers_fast(hub, conn, entry))
        return true;
    if (entry->id.lane == LANE_EMERGENCY)
        return !bucket_use(&conn->emergencies, hub->now.boot_ms, LIMIT_EMERGENCIES_PER_SECOND, LIMIT_EMERGENCIES_BURST);
    return !bucket_use(&conn->taps, hub->now.boot_ms, LIMIT_TAPS_PER_SECOND, LIMIT_TAPS_BURST);
}

/* --- the tap ----------------------------------------------------------------------------------------------------------- */

static void entry_of_tap(const struct hub *hub, const struct conn *conn, const struct msg_tap *tap, struct entry *entry)
{
    *entry = (struct entry){.id = tap->id,
                            .kind = tap->kind,
                            .at_ms = tap->ago_ms < hub->log_ms ? hub->log_ms - tap->ago_ms : 0,
                            .got_ms = hub->log_ms,
                            .by = tap->by,
                            .device = conn->device,
                            .from = source_of(hub, conn),
                            .instead_of = tap->instead_of};
    memcpy(&entry->body, &tap->body, sizeof entry->body);
}

static void refuse(struct entry *entry, const char *code)
{
    (void)snprintf(entry->refused, sizeof entry->refused, "%s", code);
}

/* The words are made before the entry is taken, from the board that refused it. */
static void settle(struct hub *hub, struct conn *conn, struct entry *entry, enum refusal_code code,
                   const struct about *about)
{
    struct msg_answer message = {.id = entry->id, .is = ANSWER_IS_SEEN, .about = about->entry};
    uint8_t hash[BODY_HASH_BYTES];
    bool rings = entry->kind == KIND_OVERBOARD || entry->kind == KIND_STOP || entry->kind == KIND_HURT;
    if (code != REFUSAL_NONE && entry->refused[0] == '\0')
        refuse(entry, refusal_code_name(code));
    if (entry->refused[0] != '\0') {
        message.is = ANSWER_IS_REFUSED;
        memcpy(message.code, entry->refused, sizeof message.code);
        refusal_fill(&hub->board, code, about, message.words);
    } else if (hub->disk == LOG_FAILED) {
        (void)snprintf(message.code, sizeof message.code, "%s", refusal_code_name(REFUSAL_NOT_SAVING));
        (void)snprintf(message.words, sizeof message.words, "%s", refusal_words(REFUSAL_NOT_SAVING));
    }
    message.late = entry->got_ms - entry->at_ms > LIMIT_LATE_MS;
    message.moot = follow_take(hub, entry, rings) == OUTCOME_MOOT && entry->refused[0] == '\0';
    message.seq = entry->seq;
    identity_hash(entry, hash);
    answers_push(&hub->answers, hash, &message);
    answer(hub, conn, &message);
}

/* A tap whose turn it is. */
static void next_tap(struct hub *hub, struct conn *conn, const struct msg_tap *tap)
{
    struct entry *entry = &hub->tap_entry;
    struct about about = {0};
    enum refusal_code code = REFUSAL_NONE;
    if (tap->told_no[0] != '\0') {
        refuse(entry, tap->told_no);
        if (!refusal_code_find(tap->told_no, &code) || code == REFUSAL_NONE)
            code = REFUSAL_TOLD_NO;
    } else if (!identity_names_known(hub, entry)) {
        if (!identity_waited(hub, entry)) {
            answer_no(hub, conn, entry->id, ANSWER_IS_WAIT, REFUSAL_NONE, LIMIT_RETRY_MS);
            return;
        }
        code = REFUSAL_WAIT_TOO_LONG;
    } else {
        int64_t rest_ms = overboard_rest_ms(hub, entry);
        if (rest_ms > 0) {
            answer_not_now(hub, conn, entry->id, REFUSAL_TOO_FAST, rest_ms);
            return;
        }
        code = admit(hub, entry, &about);
    }
    settle(hub, conn, entry, code, &about);
    if (code == REFUSAL_WAIT_TOO_LONG)
        identity_gave_up(hub, entry->id);
}

static void new_tap(struct hub *hub, struct conn *conn, const struct msg_tap *tap)
{
    struct entry *entry = &hub->tap_entry;
    enum refusal_code code = not_now(hub, entry);
    if (code != REFUSAL_NONE) {
        answer_not_now(hub, conn, entry->id, code, LIMIT_RETRY_MS);
        return;
    }
    identity_fill_gap(hub, entry->id);
    next_tap(hub, conn, tap);
}

void taps_recv(struct hub *hub, struct conn *conn, const struct msg_tap *tap)
{
    struct entry *entry = &hub->tap_entry;
    struct msg_answer first;
    entry_of_tap(hub, conn, tap, entry);
    if (entry->id.sender == 0 || entry->id.sender == hub->seed.run_id) {
        answer_no(hub, conn, entry->id, ANSWER_IS_ERROR, REFUSAL_BAD_TAP, 0);
        return;
    }
    if (conn->from < SOURCE_CREW && !others_may(hub, entry)) {
        answer_no(hub, conn, entry->id, ANSWER_IS_ERROR, REFUSAL_NOT_ALLOWED, 0);
        return;
    }
    if (!senders_room(&hub->senders, entry->id.sender, room_for(entry))) {
        answer_no(hub, conn, entry->id, ANSWER_IS_NOT_NOW, REFUSAL_TABLE_FULL, LIMIT_RETRY_MS);
        return;
    }
    if (conn->from == SOURCE_CREW)
        senders_get(&hub->senders, entry->id.sender)->crew = true;
    if (fast(hub, conn, entry)) {
        answer_not_now(hub, conn, entry->id, REFUSAL_TOO_FAST, 1000);
        return;
    }
    switch (identity_of(hub, entry, &first)) {
    case IDENTITY_REPEAT: answer(hub, conn, &first); break;
    case IDENTITY_OTHER: answer_no(hub, conn, entry->id, ANSWER_IS_ERROR, REFUSAL_OTHER_BODY, 0); break;
    case IDENTITY_FAR: answer_no(hub, conn, entry->id, ANSWER_IS_ERROR, REFUSAL_BAD_TAP, 0); break;
    case IDENTITY_WAIT: answer_no(hub, conn, entry->id, ANSWER_IS_WAIT, REFUSAL_NONE, LIMIT_RETRY_MS); break;
    case IDENTITY_BEHIND: answer_not_now(hub, conn, entry->id, REFUSAL_TOO_FAST, LIMIT_RETRY_MS); break;
    case IDENTITY_NEXT:
    case IDENTITY_GAP: new_tap(hub, conn, tap); break;
    }
}
