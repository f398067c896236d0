#include "take.h"

#include <stdlib.h>
#include <string.h>

#include "send.h"

/* What only emergencies may use of the journal; strangers' half of it. */
#define JOURNAL_RESERVE        4096
#define JOURNAL_CHUNKS_RESERVE 16

bool take_room(const struct hub *hub, enum room_for who, int32_t rows)
{
    static const int32_t parts[] = {[ROOM_FOR_ORDINARY] = 2, [ROOM_FOR_STRANGER] = 1, [ROOM_FOR_EMERGENCY] = 0};
    if (journal_full(&hub->journal))
        return false;
    if (hub->journal.count + rows > JOURNAL_MAX - JOURNAL_RESERVE / 2 * parts[who] ||
        hub->journal.chunk_used > JOURNAL_CHUNKS_MAX - JOURNAL_CHUNKS_RESERVE / 2 * parts[who])
        return false;
    return hub->disk == LOG_FAILED || unsaved_room(&hub->unsaved, who, rows);
}

static int32_t append(struct hub *hub, const struct entry *entry, enum outcome outcome)
{
    while (journal_needs(&hub->journal))
        journal_give(&hub->journal, must(malloc(JOURNAL_CHUNK_BYTES)));
    return journal_append(&hub->journal, entry, outcome);
}

/* A trip is folded from its first entry on a board of zeros. */
static void begin_trip(struct hub *hub)
{
    journal_reset(&hub->journal);
    board_reset(&hub->board);
    hub->refolding = false;
}

/* --- corrections ------------------------------------------------------------------------------------------------------- */

static void refolded(struct hub *hub)
{
    hub->board = hub->refold.board;
    hub->refolding = false;
}

/* MOOT: it corrects nothing. A short refold is done at once, and its effect is in this entry's patch. A long one goes on in slices (take_refold_step())
 * while the board lives on as it is. */
static enum outcome correct(struct hub *hub, int32_t index)
{
    int32_t first = journal_correct(&hub->journal, index);
    if (first == hub->journal.count)
        return OUTCOME_MOOT;
    if (hub->refolding && hub->refold.next < first)
        first = hub->refold.next;
    journal_refold_begin(&hub->journal, &hub->refold, first);
    hub->refolding = true;
    if (hub->journal.count - hub->refold.next > LIMIT_REFOLD_NOW)
        return OUTCOME_DONE;
    CHECK(journal_refold_step(&hub->journal, &hub->refold, LIMIT_REFOLD_NOW));
    refolded(hub);
    return OUTCOME_DONE;
}

void take_refold_step(struct hub *hub)
{
    if (!hub->refolding || !journal_refold_step(&hub->journal, &hub->refold, LIMIT_REFOLD_SLICE))
        return;
    refolded(hub);
    send_fresh_to_all(hub);
}

/* --- the path ---------------------------------------------------------------------------------------------------------- */

static void push_row(struct hub *hub, const struct entry *entry)
{
    json_out_reset(&hub->out);
    entry_encode(entry, &hub->out);
    size_t len = hub->out.len;
    char *text = must(malloc(len + 1));
    memcpy(text, json_out_end(&hub->out), len + 1);
    chain_next(hub->chain, text, len, hub->chain);
    chains_push(&hub->chains, entry->seq, hub->chain);
    if (hub->disk == LOG_FAILED && !unsaved_room(&hub->unsaved, ROOM_FOR_EMERGENCY, 1)) {
        unsaved_release(&hub->unsaved);
        hub->lost = true;
    }
    if (hub->lost) {
        free(text);
        return;
    }
    struct log_row row = {.seq = entry->seq,
                          .id = entry->id,
                          .kind = entry->kind,
                          .at_ms = entry->at_ms,
                          .got_ms = entry->got_ms,
                          .text = text,
                          .len = (int32_t)len};
    memcpy(row.chain, hub->chain, sizeof row.chain);
    unsaved_push(&hub->unsaved, &row);
}

static enum outcome fold_in(struct hub *hub, const struct entry *entry)
{
    bool refused = entry->refused[0] != '\0';
    enum outcome outcome = OUTCOME_MOOT;
    if (!refused) {
        if (entry->kind == KIND_TRIP_STARTED)
            begin_trip(hub);
        outcome = board_apply(&hub->board, entry);
    }
    int32_t index = append(hub, entry, outcome);
    if (!refused && journal_corrects(entry))
        outcome = correct(hub, index);
    journal_keep(&hub->journal, &hub->board);
    return outcome;
}

enum outcome take(struct hub *hub, struct entry *entry, bool rings)
{
    CHECK(hub->live);
    entry->seq = ++hub->last_seq;
    hub->before = hub->board;
    enum outcome outcome = fold_in(hub, entry);
    senders_raise(&hub->senders, entry->id.sender, entry->id.lane, entry->id.n);
    if (rings && outcome == OUTCOME_DONE)
        send_alarm(hub, entry);
    send_patch(hub, &hub->before, entry, entry->refused[0] == '\0' && outcome == OUTCOME_MOOT);
    push_row(hub, entry);
    return outcome;
}

bool take_saved(struct hub *hub, const struct entry *entry, const uint8_t chain[HASH_BYTES])
{
    const struct entry_id id = entry->id;
    CHECK(!hub->live);
    if (entry->seq != hub->last_seq + 1 || id.sender == 0 || id.n > senders_top(&hub->senders, id.sender, id.lane))
        return false;
    if (entry->kind == KIND_TRIP_STARTED && entry->refused[0] == '\0')
        begin_trip(hub);
    if (journal_full(&hub->journal) || journal_find(&hub->journal, id) >= 0)
        return false;
    (void)append(hub, entry, OUTCOME_MOOT);
    hub->last_seq = entry->seq;
    memcpy(hub->chain, chain, HASH_BYTES);
    chains_push(&hub->chains, entry->seq, chain);
    return true;
}

void take_saved_all(struct hub *hub)
{
    journal_correct_all(&hub->journal);
    board_reset(&hub->board);
    journal_fold(&hub->journal, &hub->board, 0, hub->journal.count);
}
