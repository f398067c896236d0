/* fold_digest: a log's entries in, digests of the board out. The same lines must come out wherever it runs.
 *
 *     fold_digest EVERY < LOG
 *
 * LOG has one entry a line, as `sternboard dump` prints them. Each trip is folded from an empty board, entry by entry as it
 * was live, with corrections carried back as they come; at its end it is folded once more, all at once, as at a start, and
 * the two boards must be the same, byte for byte. Printed is a line `SEQ DIGEST` after every EVERY entries and at the end of
 * each trip: the first 8 bytes of the SHA-256 over the board's canonical encoding, as on the wire.
 *
 * Exit codes: 0 done, 1 a line that is no entry or boards that differ, 2 wrong use.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/board.h"
#include "board/check.h"
#include "board/journal.h"
#include "codec.h"
#include "hash.h"
#include "proto_json.h"
#include "reader.h"

/* One trip as it is folded. Too large for the stack. */
struct trip {
    struct journal journal;
    struct board live, folded;
    struct refold refold;
    int64_t last_seq;
};

static void print_digest(int64_t seq, const struct board *board)
{
    cJSON *json = board_to_json(board);
    char *text = json_text(json);
    uint8_t hash[HASH_BYTES];
    char hex[2 * 8 + 1];

    hash_bytes(text, strlen(text), hash);
    hash_hex(hash, 8, hex);
    printf("%lld %s\n", (long long)seq, hex);
    free(text);
    cJSON_Delete(json);
}

/* Folds the trip a second time, in one go, and says whether both ways came to the same board. */
static bool trip_end(struct trip *trip)
{
    if (trip->journal.count == 0)
        return true;
    print_digest(trip->last_seq, &trip->live);
    board_reset(&trip->folded);
    journal_correct_all(&trip->journal);
    journal_fold(&trip->journal, &trip->folded, 0, trip->journal.count);
    if (memcmp(&trip->folded, &trip->live, sizeof trip->live) == 0)
        return true;
    fprintf(stderr, "fold_digest: the trip that ends at %lld folds to another board than it was live\n",
            (long long)trip->last_seq);
    return false;
}

static void trip_begin(struct trip *trip)
{
    journal_reset(&trip->journal);
    board_reset(&trip->live);
}

static void give_chunks(struct journal *journal)
{
    while (journal_needs(journal)) {
        void *chunk = malloc(JOURNAL_CHUNK_BYTES);

        CHECK(chunk != NULL);
        journal_give(journal, chunk);
    }
}

/* As the hub does it live, but for slicing the refold. */
static void trip_take(struct trip *trip, const struct entry *entry)
{
    const bool refused = entry->refused[0] != '\0';
    const enum outcome outcome = refused ? OUTCOME_MOOT : board_apply(&trip->live, entry);
    int32_t index;

    CHECK(!journal_full(&trip->journal));
    give_chunks(&trip->journal);
    index = journal_append(&trip->journal, entry, outcome);
    if (!refused && journal_corrects(entry)) {
        const int32_t first = journal_correct(&trip->journal, index);

        if (first < trip->journal.count) {
            journal_refold_begin(&trip->journal, &trip->refold, first);
            while (!journal_refold_step(&trip->journal, &trip->refold, JOURNAL_MAX))
                continue;
            trip->live = trip->refold.board;
        }
    }
    journal_keep(&trip->journal, &trip->live);
    board_check(&trip->live);
    trip->last_seq = entry->seq;
}

static bool read_entry(const char *line, size_t len, struct entry *entry)
{
    struct proto_error why;
    const bool good = entry_read(line, len, entry, &why);

    if (!good)
        fprintf(stderr, "fold_digest: %s: %s\n", why.at, why.words);
    return good;
}

static bool fold(struct trip *trip, FILE *in, long every)
{
    struct entry entry;
    char *line = NULL;
    size_t cap = 0;
    ssize_t len;
    long count = 0;
    bool good = true;

    while (good && (len = getline(&line, &cap, in)) > 0) {
        good = read_entry(line, (size_t)len, &entry);
        if (good && entry.kind == KIND_TRIP_STARTED && entry.refused[0] == '\0') {
            good = trip_end(trip);
            trip_begin(trip);
        }
        if (good)
            trip_take(trip, &entry);
        if (good && ++count % every == 0)
            print_digest(entry.seq, &trip->live);
    }
    free(line);
    return good && trip_end(trip);
}

int main(int argc, char **argv)
{
    const long every = argc == 2 ? strtol(argv[1], NULL, 10) : 0;
    struct trip *trip;
    void *chunk;
    bool good;

    if (every < 1) {
        fprintf(stderr, "usage: fold_digest EVERY < LOG\n");
        return 2;
    }
    trip = calloc(1, sizeof *trip);
    CHECK(trip != NULL);
    trip_begin(trip);
    good = fold(trip, stdin, every);
    while ((chunk = journal_take_back(&trip->journal)) != NULL)
        free(chunk);
    free(trip);
    return good ? 0 : 1;
}
