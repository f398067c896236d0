/* The journal: the entries of the trip in the order of the log, and what corrections made of them.
 *
 *     rows      one an entry: identity, seq, where its bytes are, the marks of corrections, what apply answered
 *     bytes     the entries packed: the head and as much body as the kind has (about 200 bytes instead of 11 KB)
 *     copies    the board as it was before every stride-th entry, so that a correction needs no fold from the first entry
 *
 * Nothing in it is ever taken out: a correction is a further entry that marks an earlier one.
 *
 *     voided        its target does nothing, as if it had never come
 *     instead_of    its body stands in its target's place; time, hand and identity stay those of the target
 *
 * A correction can itself be voided or replaced; the marks are worked out from all corrections together, last first, so a
 * void of a void restores. A refused entry is kept, for it can be named, but is never applied and corrects nothing.
 *
 * Memory. The journal allocates nothing. The caller owns the struct (about 1.7 MB: not for the stack) and gives chunks as they
 * are needed: before every append, while journal_needs(), one by journal_give(). They are kept over journal_reset(), for the
 * next trip, and handed back one by one by journal_take_back() at the end.
 *
 * Live, in this order: outcome = board_apply(); journal_append(); for a correction journal_correct() and a refold from the
 * index it answers; journal_keep(). At a start: journal_append() for each, journal_correct_all(), journal_fold().
 */
#ifndef STERNBOARD_BOARD_JOURNAL_H
#define STERNBOARD_BOARD_JOURNAL_H

#include "board/board.h"

enum {
    JOURNAL_MAX = 1000000, /* entries; over it: trip_full */
    JOURNAL_CHUNK_BYTES = 256 * 1024,
    JOURNAL_CHUNKS_MAX = 2048, /* 512 MB; over it: trip_full */
    JOURNAL_BUCKETS = 4096,    /* at first; from then on as many as there are entries */
    JOURNAL_COPIES_MAX = 64,
    JOURNAL_STRIDE = 1024, /* entries between two copies, doubled when the copies are full */
};

struct journal_row {
    struct entry_id id;
    int64_t seq;
    enum entry_kind kind;
    int32_t chunk, offset;     /* of its bytes */
    int32_t next;              /* of the same bucket, -1: none */
    int32_t target;            /* what it corrects, -1: nothing */
    int32_t correction_before; /* the correction before this one, -1: none; only of corrections */
    int32_t replaced_by;       /* the entry whose body stands here, -1: its own */
    enum outcome outcome;      /* as last folded */
    bool refused;
    bool voided;
};

enum { JOURNAL_ROWS_PER_CHUNK = JOURNAL_CHUNK_BYTES / sizeof(struct journal_row) };
enum { JOURNAL_BUCKETS_PER_CHUNK = JOURNAL_CHUNK_BYTES / sizeof(int32_t) };
enum { JOURNAL_BUCKET_CHUNKS_MAX = JOURNAL_MAX / JOURNAL_BUCKETS_PER_CHUNK + 1 };
enum { JOURNAL_ROW_CHUNKS_MAX = JOURNAL_MAX / JOURNAL_ROWS_PER_CHUNK + 1 };

struct journal {
    int32_t count;           /* entries */
    int32_t last_correction; /* index, -1: none */
    int32_t stride, copy_count;
    bool refolding; /* the caller's board is behind the marks: journal_keep() takes no copy of it */

    int32_t chunk_count, chunk_used; /* given, in use */
    void *chunks[JOURNAL_CHUNKS_MAX];
    int32_t row_chunks[JOURNAL_ROW_CHUNKS_MAX]; /* the chunk of each block of rows */
    int32_t byte_chunk, byte_used;              /* where the next entry's bytes go */

    int32_t bucket_count, bucket_level;               /* in use; the power of two at or below it */
    int32_t buckets[JOURNAL_BUCKETS];                 /* first index of each, -1: none */
    int32_t bucket_chunks[JOURNAL_BUCKET_CHUNKS_MAX]; /* the chunk of each block of further buckets */
    struct board copies[JOURNAL_COPIES_MAX];          /* copies[k]: the board before entry k * stride */
};

/* An empty journal that keeps the chunks it has. A journal that was never used must be all zero bytes first. */
void journal_reset(struct journal *);
bool journal_needs(const struct journal *);       /* one more chunk is wanted before the next append */
void journal_give(struct journal *, void *chunk); /* JOURNAL_CHUNK_BYTES, aligned as by malloc */
void *
journal_take_back(struct journal *); /* a chunk for the caller to free, NULL: none left; the journal is empty then */
bool journal_full(const struct journal *); /* no further entry fits */

/* Adds an entry whose identity is new, and returns its index. outcome: what board_apply() answered; anything where a fold
 * follows. Never when full, or while it needs a chunk. */
int32_t journal_append(struct journal *, const struct entry *, enum outcome);
int32_t journal_find(const struct journal *, struct entry_id); /* index, or -1 */
int32_t journal_find_seq(const struct journal *, int64_t seq); /* the last index with at most that seq, or -1 */
const struct journal_row *journal_row(const struct journal *, int32_t index);
void journal_entry(const struct journal *, int32_t index, struct entry *out); /* as it was logged, corrections aside */

/* As the corrections have it: the body of the last of its amendments, all else its own. Only the head and the body of its kind are
 * written; the rest of *out stays as it was. */
void journal_effective(const struct journal *, int32_t index, struct entry *out);

/* Is this entry a correction? */
bool journal_corrects(const struct entry *);

/* Marks what the correction at index does, and returns the first index whose effect it can change: fold again from there.
 * journal.count when it changes nothing. */
int32_t journal_correct(struct journal *, int32_t index);
void journal_correct_all(struct journal *);

/* Applies the entry at index as the corrections have it. Refused and voided ones do nothing and answer MOOT. For a fold in
 * another order than the log's. */
enum outcome journal_apply(const struct journal *, int32_t index, struct board *);

/* Notes what a fold in another order made of it, for journal_stands(). */
void journal_note(struct journal *, int32_t index, enum outcome);

/* Does the entry at index stand: neither refused nor voided nor a correction itself, and did it do something when last folded?
 * *out is then the entry as the corrections have it; only its head and its kind's body are filled. */
bool journal_stands(const struct journal *, int32_t index, struct entry *out);

/* The one fold: entries from up to, not including, to, in the order of the log, on a board that holds all before from.
 * Notes what apply answers and keeps copies as they fall due. */
void journal_fold(struct journal *, struct board *, int32_t from, int32_t to);

/* After a live entry: takes a copy of the live board, which holds every entry, if one is due. */
void journal_keep(struct journal *, const struct board *);

/* A fold from the nearest copy at or before first, in slices, so that a loop is not stalled: begin, then step until it says
 * true; refold.board is then the live board. Entries may be appended between two steps. A further correction: begin again,
 * with the lesser of its index and refold.next. */
struct refold {
    int32_t next;
    struct board board;
};
void journal_refold_begin(struct journal *, struct refold *, int32_t first);
bool journal_refold_step(struct journal *, struct refold *, int32_t max); /* at most max entries */

/* The board as the screens had it once the first `to` entries were in: corrections that came later aside. */
void journal_at(struct journal *, struct board *, int32_t to);

/* What a correction would do, before it is sent. */
enum { MOOT_ROWS_MAX = 12 };
struct moot_report {
    int32_t count;                /* acts that did something and would do nothing then, other than the target */
    int32_t shown;                /* of these, in index[] */
    int32_t index[MOOT_ROWS_MAX]; /* the first of them */
    enum refusal_code refused;    /* journal_dry_instead(): what the new body would be told in that place */
    struct about about;
};
void journal_dry_void(struct journal *, int32_t target, struct moot_report *);
void journal_dry_instead(struct journal *, int32_t target, const struct entry *instead, struct moot_report *);

#endif
