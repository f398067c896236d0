#include "offers.h"

#include <stdio.h>
#include <string.h>

#include "amend.h"
#include "follow.h"
#include "identity.h"
#include "ladder.h"
#include "send.h"
#include "take.h"
#include "taps.h"

/* A screen keeps what it offers until it is told that this run has it, or has refused it. */
static void answer_taken(struct hub *hub, struct conn *conn, const struct msg_answer *message)
{
    msg_answer_encode(message, send_begin(hub));
    send_one(hub, conn, LANE_ORDINARY);
    send_saved_later(hub, conn, message->seq);
}

/* An answer that keeps nothing. */
static void answer(struct hub *hub, struct conn *conn, struct entry_id id, enum answer_is is, enum refusal_code code)
{
    struct msg_answer message = {.id = id, .is = is, .retry_ms = LIMIT_RETRY_MS};
    if (code != REFUSAL_NONE) {
        (void)snprintf(message.code, sizeof message.code, "%s", refusal_code_name(code));
        (void)snprintf(message.words, sizeof message.words, "%s", refusal_words(code));
    }
    answer_taken(hub, conn, &message);
}

/* The server's own entries are of the run that died: this one has its own. A filled gap is the page's, and inert. */
static bool is_pages(const struct hub *hub, const struct entry *entry)
{
    if (entry->id.sender == 0 || entry->id.sender == hub->seed.run_id)
        return false;
    if (entry->kind == KIND_GAP_FILLED)
        return entry->refused[0] != '\0';
    return kind_info(entry->kind)->from != SOURCE_SERVER && entry->from != SOURCE_SERVER;
}

/* What may not be folded whatever another run thought of it: a trip over a trip, a void of what cannot be taken back. */
static enum refusal_code still_stands(const struct hub *hub, const struct entry *entry)
{
    struct about about;
    if (entry->kind == KIND_TRIP_STARTED)
        return board_admit(&hub->board, entry, &about);
    return journal_corrects(entry) ? amend_target(hub, entry) : REFUSAL_NONE;
}

static void settle(struct hub *hub, struct conn *conn, struct entry *entry, enum refusal_code code)
{
    struct msg_answer message = {.id = entry->id, .is = ANSWER_IS_SEEN};
    if (code == REFUSAL_NONE && entry->refused[0] == '\0')
        code = still_stands(hub, entry);
    if (code != REFUSAL_NONE)
        (void)snprintf(entry->refused, sizeof entry->refused, "%s", refusal_code_name(code));
    enum outcome outcome = follow_take(hub, entry, false);
    if (entry->kind == KIND_OVERBOARD && outcome == OUTCOME_DONE)
        ladder_hold_alarm(hub, entry->id);
    message.seq = entry->seq;
    if (entry->refused[0] != '\0') {
        message.is = ANSWER_IS_REFUSED;
        memcpy(message.code, entry->refused, sizeof message.code);
    }
    answer_taken(hub, conn, &message);
}

static void new_offer(struct hub *hub, struct conn *conn)
{
    struct entry *entry = &hub->tap_entry;
    enum refusal_code code = REFUSAL_NONE;
    int32_t rows = 1 + identity_missing(hub, entry->id) + (entry->kind == KIND_TRIP_STARTED ? LIMIT_TRIP_ROWS : 0);
    if (hub->disk == LOG_FAILED || !take_room(hub, ROOM_FOR_ORDINARY, rows)) {
        answer(hub, conn, entry->id, ANSWER_IS_NOT_NOW,
               hub->disk == LOG_FAILED ? REFUSAL_NOT_SAVING : REFUSAL_QUEUE_FULL);
        return;
    }
    identity_fill_gap(hub, entry->id);
    if (entry->refused[0] == '\0' && !identity_names_known(hub, entry)) {
        if (!identity_waited(hub, entry)) {
            answer(hub, conn, entry->id, ANSWER_IS_WAIT, REFUSAL_NONE);
            return;
        }
        code = REFUSAL_WAIT_TOO_LONG;
    }
    settle(hub, conn, entry, code);
    if (code == REFUSAL_WAIT_TOO_LONG)
        identity_gave_up(hub, entry->id);
}

void offers_recv(struct hub *hub, struct conn *conn, const struct msg_offer *offer)
{
    struct entry *entry = &hub->tap_entry;
    struct msg_answer first;
    if (conn->from != SOURCE_CREW) {
        send_refused(hub, conn, REFUSAL_NOT_ALLOWED);
        return;
    }
    *entry = offer->entry;
    entry->at_ms = offer->ago_ms < hub->log_ms ? hub->log_ms - offer->ago_ms : 0;
    entry->got_ms = hub->log_ms;
    entry->offered = true;
    if (!is_pages(hub, entry))
        return;
    if (!senders_room(&hub->senders, entry->id.sender, ROOM_FOR_ORDINARY)) {
        answer(hub, conn, entry->id, ANSWER_IS_NOT_NOW, REFUSAL_TABLE_FULL);
        return;
    }
    if (!bucket_use(&conn->offers, hub->now.boot_ms, LIMIT_OFFERS_PER_SECOND, LIMIT_OFFERS_BURST)) {
        answer(hub, conn, entry->id, ANSWER_IS_NOT_NOW, REFUSAL_TOO_FAST);
        return;
    }
    switch (identity_of(hub, entry, &first)) {
    case IDENTITY_REPEAT: answer_taken(hub, conn, &first); break;
    case IDENTITY_OTHER: answer(hub, conn, entry->id, ANSWER_IS_ERROR, REFUSAL_OTHER_BODY); break;
    case IDENTITY_FAR: answer(hub, conn, entry->id, ANSWER_IS_ERROR, REFUSAL_BAD_TAP); break;
    case IDENTITY_BEHIND:
    case IDENTITY_WAIT: answer(hub, conn, entry->id, ANSWER_IS_WAIT, REFUSAL_NONE); break;
    case IDENTITY_NEXT:
    case IDENTITY_GAP: new_offer(hub, conn); break;
    }
}
