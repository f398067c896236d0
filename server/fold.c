#include "fold.h"

#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "board/journal.h"
#include "hash.h"
#include "proto_json.h"

struct fold {
    struct journal journal;
    struct board board;
    bool folded; /* the board holds all of the journal */
    bool has_trip;
    int64_t first_seq, last_seq;
};

struct fold *fold_new(void)
{
    struct fold *fold = calloc(1, sizeof *fold);
    CHECK(fold);
    journal_reset(&fold->journal);
    return fold;
}

void fold_free(struct fold *fold)
{
    for (void *chunk = NULL; (chunk = journal_take_back(&fold->journal)) != NULL;)
        free(chunk);
    free(fold);
}

bool fold_begins(const struct entry *entry)
{
    return entry->refused[0] == '\0' && strcmp(kind_info(entry->kind)->name, "trip_started") == 0;
}

enum err fold_take(struct fold *fold, const struct entry *entry, struct msg *why)
{
    if (fold_begins(entry)) {
        journal_reset(&fold->journal);
        fold->has_trip = true;
        fold->first_seq = 0;
    }
    if (journal_full(&fold->journal))
        return err_set(why, ERR_DATA, "Row %lld is beyond what a trip can hold.", (long long)entry->seq);
    if (journal_find(&fold->journal, entry->id) >= 0)
        return err_set(why, ERR_DATA, "Row %lld is an entry that is in the log before.", (long long)entry->seq);
    while (journal_needs(&fold->journal)) {
        void *chunk = malloc(JOURNAL_CHUNK_BYTES);
        CHECK(chunk);
        journal_give(&fold->journal, chunk);
    }
    (void)journal_append(&fold->journal, entry, OUTCOME_MOOT);
    fold->folded = false;
    fold->first_seq = fold->first_seq ? fold->first_seq : entry->seq;
    fold->last_seq = entry->seq;
    return ERR_NONE;
}

int64_t fold_first_seq(const struct fold *fold)
{
    return fold->first_seq;
}

bool fold_has_trip(const struct fold *fold)
{
    return fold->has_trip;
}

int64_t fold_last_seq(const struct fold *fold)
{
    return fold->first_seq ? fold->last_seq : 0;
}

const struct board *fold_board(struct fold *fold)
{
    if (!fold->folded) {
        board_reset(&fold->board);
        journal_correct_all(&fold->journal);
        journal_fold(&fold->journal, &fold->board, 0, fold->journal.count);
        board_check(&fold->board);
        fold->folded = true;
    }
    return &fold->board;
}

void fold_digest(struct fold *fold, char out[17])
{
    uint8_t hash[HASH_BYTES];
    struct json_out text = {0};
    board_encode(fold_board(fold), &text);
    hash_bytes(text.text, text.len, hash);
    hash_hex(hash, 8, out);
    json_out_release(&text);
}
