#include "identity.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "send.h"
#include "take.h"

void identity_hash(const struct entry *entry, uint8_t out[BODY_HASH_BYTES])
{
    static const char *const aside[] = {"at_ms",   "device", "from",    "got_ms", "id",
                                        "offered", "place",  "refused", "seq"};
    struct json_out text = {0};
    uint8_t hash[HASH_BYTES];
    entry_encode_without(entry, aside, sizeof aside / sizeof *aside, &text);
    hash_bytes(text.text, text.len, hash);
    memcpy(out, hash, BODY_HASH_BYTES);
    json_out_release(&text);
}

static enum identity compared(const uint8_t kept[BODY_HASH_BYTES], const struct entry *entry)
{
    uint8_t hash[BODY_HASH_BYTES];
    identity_hash(entry, hash);
    return memcmp(kept, hash, BODY_HASH_BYTES) == 0 ? IDENTITY_REPEAT : IDENTITY_OTHER;
}

/* A refusal from the log, in words without the names it had then. */
static void answer_refused(struct hub *hub, const char *code, struct msg_answer *answer)
{
    enum refusal_code known;
    struct about none = {0};
    answer->is = ANSWER_IS_REFUSED;
    (void)snprintf(answer->code, sizeof answer->code, "%s", code);
    if (!refusal_code_find(code, &known))
        known = REFUSAL_TOLD_NO;
    refusal_fill(&hub->board, known, &none, answer->words);
}

/* The journal remembers what the ring has forgotten, and what came before this run. */
static enum identity repeat_in_journal(struct hub *hub, const struct entry *entry, int32_t index,
                                       struct msg_answer *first)
{
    uint8_t hash[BODY_HASH_BYTES];
    const struct journal_row *row = journal_row(&hub->journal, index);
    journal_entry(&hub->journal, index, &hub->old_entry);
    first->seq = row->seq;
    first->moot = !row->refused && row->outcome == OUTCOME_MOOT;
    if (row->refused)
        answer_refused(hub, hub->old_entry.refused, first);
    if (row->kind == KIND_GAP_FILLED)
        return IDENTITY_REPEAT;
    identity_hash(&hub->old_entry, hash);
    return compared(hash, entry);
}

/* An entry of an earlier trip: known, and safe when everything up to now is; whether it was taken or refused is told by the log
 * alone, and the answer says so. */
static enum identity repeat_long_ago(const struct hub *hub, struct msg_answer *first)
{
    first->seq = hub->last_seq;
    (void)snprintf(first->code, sizeof first->code, "%s", refusal_code_name(REFUSAL_LONG_AGO));
    (void)snprintf(first->words, sizeof first->words, "%s", refusal_words(REFUSAL_LONG_AGO));
    return IDENTITY_REPEAT;
}

static enum identity repeat(struct hub *hub, const struct entry *entry, struct msg_answer *first)
{
    *first = (struct msg_answer){.id = entry->id, .is = ANSWER_IS_KNOWN};
    const struct kept_answer *kept = answers_find(&hub->answers, entry->id);
    if (kept != NULL) {
        *first = kept->answer;
        first->is = kept->answer.is == ANSWER_IS_SEEN ? ANSWER_IS_KNOWN : kept->answer.is;
        return compared(kept->hash, entry);
    }
    int32_t index = journal_find(&hub->journal, entry->id);
    return index < 0 ? repeat_long_ago(hub, first) : repeat_in_journal(hub, entry, index, first);
}

static enum identity too_early(struct hub *hub, const struct entry *entry, int32_t missing)
{
    bool emergency = entry->id.lane == LANE_EMERGENCY && !entry->offered;
    if (missing > (emergency ? LIMIT_GAP_EMERGENCY : LIMIT_GAP))
        return IDENTITY_FAR;
    if (entry->id.lane == LANE_EMERGENCY && senders_told_not_now(&hub->senders, entry->id.sender, hub->now.boot_ms))
        return IDENTITY_BEHIND;
    if (emergency)
        return IDENTITY_GAP;
    struct sender *sender = senders_get(&hub->senders, entry->id.sender);
    int64_t waited_ms = senders_waited_ms(&sender->gap_since[entry->id.lane], hub->now.boot_ms);
    return waited_ms < LIMIT_WAIT_MS ? IDENTITY_WAIT : IDENTITY_GAP;
}

enum identity identity_of(struct hub *hub, const struct entry *entry, struct msg_answer *first)
{
    int32_t missing = identity_missing(hub, entry->id);
    if (missing < 0)
        return repeat(hub, entry, first);
    return missing == 0 ? IDENTITY_NEXT : too_early(hub, entry, missing);
}

/* One of an earlier trip will not come again: what naming it means is for the rules to say. */
static bool names_known(struct hub *hub, struct entry_id id)
{
    return id.n == 0 || (id.sender != 0 && id.n <= senders_top(&hub->senders, id.sender, id.lane));
}

bool identity_names_known(struct hub *hub, const struct entry *entry)
{
    const struct kind_info *info = kind_info(entry->kind);
    for (int32_t i = 0; i < info->id_count; i++) {
        struct entry_id id;
        memcpy(&id, (const char *)&entry->body + info->ids[i], sizeof id);
        if (!names_known(hub, id))
            return false;
    }
    return names_known(hub, entry->instead_of);
}

bool identity_waited(struct hub *hub, const struct entry *entry)
{
    struct sender *sender = senders_get(&hub->senders, entry->id.sender);
    if (sender->waited_out[entry->id.lane] && entry->got_ms - entry->at_ms >= LIMIT_WAIT_MS)
        return true;
    return senders_waited_ms(&sender->name_since[entry->id.lane], hub->now.boot_ms) >= LIMIT_WAIT_MS;
}

void identity_gave_up(struct hub *hub, struct entry_id id)
{
    senders_get(&hub->senders, id.sender)->waited_out[id.lane] = true;
}

int32_t identity_missing(struct hub *hub, struct entry_id id)
{
    return id.n - senders_top(&hub->senders, id.sender, id.lane) - 1;
}

void identity_fill_gap(struct hub *hub, struct entry_id id)
{
    for (int32_t n = senders_top(&hub->senders, id.sender, id.lane) + 1; n < id.n; n++) {
        struct entry *filler = &hub->own_entry;
        *filler = (struct entry){.id = {.sender = id.sender, .n = n, .lane = id.lane},
                                 .kind = KIND_GAP_FILLED,
                                 .from = SOURCE_SERVER,
                                 .at_ms = hub->log_ms,
                                 .got_ms = hub->log_ms};
        (void)snprintf(filler->refused, sizeof filler->refused, "%s", refusal_code_name(REFUSAL_GAP));
        (void)take(hub, filler, false);
    }
}
