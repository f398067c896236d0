#include "board/journal.h"

#include <string.h>

#include "board/check.h"
#include "board/parts.h"

enum { NONE = -1 };

/* Stands in replaced_by for the body that a dry run tries. */
enum { TRIED = -2 };

/* The bytes of an entry up to its body. */
enum { HEAD_BYTES = offsetof(struct entry, body) };

/* ---- memory ---- */

static struct journal_row *row_at(const struct journal *j, int32_t index)
{
    CHECK(index >= 0 && index < j->count);
    struct journal_row *block = j->chunks[j->row_chunks[index / JOURNAL_ROWS_PER_CHUNK]];
    return &block[index % JOURNAL_ROWS_PER_CHUNK];
}

const struct journal_row *journal_row(const struct journal *j, int32_t index)
{
    return row_at(j, index);
}

void journal_reset(struct journal *j)
{
    j->count = 0;
    j->last_correction = NONE;
    j->stride = JOURNAL_STRIDE;
    j->refolding = false;
    j->chunk_used = 0;
    j->byte_chunk = NONE;
    j->byte_used = JOURNAL_CHUNK_BYTES;
    j->bucket_count = j->bucket_level = JOURNAL_BUCKETS;
    memset(j->buckets, 0xff, sizeof j->buckets); /* NONE in each */
    board_reset(&j->copies[0]);
    j->copy_count = 1;
}

/* An entry opens at most so many chunks: one of rows, one of bytes, one of buckets. */
enum { CHUNKS_AN_ENTRY = 3 };

bool journal_needs(const struct journal *j)
{
    return j->chunk_count - j->chunk_used < CHUNKS_AN_ENTRY && j->chunk_count < JOURNAL_CHUNKS_MAX;
}

void journal_give(struct journal *j, void *chunk)
{
    CHECK(chunk != NULL && j->chunk_count < JOURNAL_CHUNKS_MAX);
    j->chunks[j->chunk_count++] = chunk;
}

void *journal_take_back(struct journal *j)
{
    journal_reset(j);
    return j->chunk_count == 0 ? NULL : j->chunks[--j->chunk_count];
}

bool journal_full(const struct journal *j)
{
    return j->count == JOURNAL_MAX || j->chunk_used + CHUNKS_AN_ENTRY > JOURNAL_CHUNKS_MAX;
}

static int32_t open_chunk(struct journal *j)
{
    CHECK(j->chunk_used < j->chunk_count);
    return j->chunk_used++;
}

/* ---- entries in and out ---- */

static size_t body_bytes(enum entry_kind kind)
{
    return kind_info(kind)->body_size;
}

static void pack(struct journal *j, struct journal_row *row, const struct entry *e)
{
    size_t len = HEAD_BYTES + body_bytes(e->kind);
    int32_t room = (int32_t)((len + 7) / 8 * 8); /* the next one is as well aligned as this */
    if (j->byte_used + room > JOURNAL_CHUNK_BYTES) {
        j->byte_chunk = open_chunk(j);
        j->byte_used = 0;
    }
    row->chunk = j->byte_chunk;
    row->offset = j->byte_used;
    memcpy((char *)j->chunks[row->chunk] + row->offset, e, len);
    j->byte_used += room;
}

static const char *bytes_of(const struct journal *j, const struct journal_row *row)
{
    return (const char *)j->chunks[row->chunk] + row->offset;
}

void journal_entry(const struct journal *j, int32_t index, struct entry *out)
{
    const struct journal_row *row = row_at(j, index);
    memset(out, 0, sizeof *out);
    memcpy(out, bytes_of(j, row), HEAD_BYTES + body_bytes(row->kind));
}

/* ---- by identity ---- */

/* Fibonacci hashing (Knuth, The Art of Computer Programming 3, 6.4): the top half of a product with 2^64 / golden ratio. */
_Static_assert((JOURNAL_BUCKETS & (JOURNAL_BUCKETS - 1)) == 0, "a power of two");

static uint32_t hash_of(struct entry_id id)
{
    uint64_t mixed = id.sender ^ ((uint64_t)(uint32_t)id.n << 1 | (uint64_t)id.lane);
    return (uint32_t)((mixed * 0x9e3779b97f4a7c15u) >> 32);
}

/* Linear hashing (Litwin, Linear Hashing, VLDB 1980): one more bucket for each entry, which takes its share of one other bucket,
 * so that a trip of a million entries costs as much an entry as one of a thousand, and no entry has to wait for a whole new table.
 * With `level` a power of two and level <= count < 2 * level, a hash goes by its lowest bits: as many as 2 * level has where that
 * bucket is there already, else one bit less. */
static int32_t bucket_of(const struct journal *j, struct entry_id id)
{
    uint32_t hash = hash_of(id), level = (uint32_t)j->bucket_level;
    uint32_t at = hash & (2 * level - 1);
    return (int32_t)(at < (uint32_t)j->bucket_count ? at : hash & (level - 1));
}

static int32_t *bucket_at(struct journal *j, int32_t bucket)
{
    if (bucket < JOURNAL_BUCKETS)
        return &j->buckets[bucket];
    int32_t further = bucket - JOURNAL_BUCKETS;
    int32_t *block = j->chunks[j->bucket_chunks[further / JOURNAL_BUCKETS_PER_CHUNK]];
    return &block[further % JOURNAL_BUCKETS_PER_CHUNK];
}

static int32_t first_in_bucket(const struct journal *j, int32_t bucket)
{
    if (bucket < JOURNAL_BUCKETS)
        return j->buckets[bucket];
    int32_t further = bucket - JOURNAL_BUCKETS;
    const int32_t *block = j->chunks[j->bucket_chunks[further / JOURNAL_BUCKETS_PER_CHUNK]];
    return block[further % JOURNAL_BUCKETS_PER_CHUNK];
}

static void put_in_bucket(struct journal *j, int32_t index)
{
    int32_t *bucket = bucket_at(j, bucket_of(j, row_at(j, index)->id));
    row_at(j, index)->next = *bucket;
    *bucket = index;
}

/* One more bucket: what the next one to be split holds is divided between the two. */
static void split_bucket(struct journal *j)
{
    int32_t fresh = j->bucket_count, further = fresh - JOURNAL_BUCKETS;
    if (further % JOURNAL_BUCKETS_PER_CHUNK == 0)
        j->bucket_chunks[further / JOURNAL_BUCKETS_PER_CHUNK] = open_chunk(j);
    int32_t *old = bucket_at(j, fresh - j->bucket_level);
    int32_t index = *old;
    *old = *bucket_at(j, fresh) = NONE;
    j->bucket_count++;
    while (index != NONE) {
        int32_t next = row_at(j, index)->next;
        put_in_bucket(j, index);
        index = next;
    }
    if (j->bucket_count == 2 * j->bucket_level)
        j->bucket_level *= 2;
}

int32_t journal_find(const struct journal *j, struct entry_id id)
{
    int32_t index = first_in_bucket(j, bucket_of(j, id));
    while (index != NONE && !id_is(row_at(j, index)->id, id))
        index = row_at(j, index)->next;
    return index;
}

int32_t journal_find_seq(const struct journal *j, int64_t seq)
{
    int32_t low = 0, high = j->count; /* rows before low are at most seq, rows from high on are over it */
    while (low < high) {
        int32_t middle = low + (high - low) / 2;
        if (row_at(j, middle)->seq <= seq)
            low = middle + 1;
        else
            high = middle;
    }
    return low - 1;
}

bool journal_corrects(const struct entry *e)
{
    return e->kind == KIND_VOIDED || e->instead_of.n != 0;
}

/* What it corrects. What cannot be taken back stands, whatever a log says; an amendment keeps the kind, and is no void. */
static int32_t target_of(const struct journal *j, const struct entry *e)
{
    bool voids = e->kind == KIND_VOIDED;
    if (voids && e->instead_of.n != 0)
        return NONE;
    int32_t target = journal_find(j, voids ? e->body.voided.target : e->instead_of);
    if (target == NONE || !kind_info(row_at(j, target)->kind)->voidable)
        return NONE;
    return voids || row_at(j, target)->kind == e->kind ? target : NONE;
}

int32_t journal_append(struct journal *j, const struct entry *e, enum outcome outcome)
{
    CHECK(!journal_full(j) && !journal_needs(j));
    CHECK(e->id.n != 0 && journal_find(j, e->id) == NONE);
    int32_t index = j->count;
    int32_t target = journal_corrects(e) ? target_of(j, e) : NONE;
    if (index % JOURNAL_ROWS_PER_CHUNK == 0)
        j->row_chunks[index / JOURNAL_ROWS_PER_CHUNK] = open_chunk(j);
    j->count++;
    struct journal_row *row = row_at(j, index);
    memset(row, 0, sizeof *row);
    row->id = e->id;
    row->seq = e->seq;
    row->kind = e->kind;
    row->target = target;
    row->correction_before = NONE;
    row->replaced_by = NONE;
    row->outcome = outcome;
    row->refused = e->refused[0] != '\0';
    pack(j, row, e);
    if (j->count > j->bucket_count)
        split_bucket(j);
    put_in_bucket(j, index);
    if (target != NONE && !row->refused) {
        row->correction_before = j->last_correction;
        j->last_correction = index;
    }
    return index;
}

/* ---- corrections ---- */

static void clear_marks(struct journal *j)
{
    for (int32_t i = j->last_correction; i != NONE; i = row_at(j, i)->correction_before) {
        struct journal_row *target = row_at(j, row_at(j, i)->target);
        target->voided = false;
        target->replaced_by = NONE;
    }
}

/* Marks what the corrections below `below` do. The last comes first, so whether a correction is itself voided or replaced is
 * known by the time it is looked at, and of two amendments the later one holds. */
static void set_marks(struct journal *j, int32_t below)
{
    for (int32_t i = j->last_correction; i != NONE; i = row_at(j, i)->correction_before) {
        const struct journal_row *row = row_at(j, i);
        if (i >= below || row->voided)
            continue;
        struct journal_row *target = row_at(j, row->target);
        if (row->kind == KIND_VOIDED)
            target->voided = true;
        else if (target->replaced_by == NONE)
            target->replaced_by = i;
    }
}

/* The first entry that a change to this one can reach: what it corrects, what that corrects, and so on. */
static int32_t first_reached(const struct journal *j, int32_t index)
{
    while (row_at(j, index)->target != NONE)
        index = row_at(j, index)->target;
    return index;
}

static void drop_copies(struct journal *j, int32_t after)
{
    int32_t good = after / j->stride + 1;
    if (j->copy_count > good)
        j->copy_count = good;
}

int32_t journal_correct(struct journal *j, int32_t index)
{
    const struct journal_row *row = row_at(j, index);
    if (row->target == NONE || row->refused)
        return j->count;
    clear_marks(j);
    set_marks(j, j->count);
    int32_t first = first_reached(j, index);
    drop_copies(j, first);
    return first;
}

void journal_correct_all(struct journal *j)
{
    clear_marks(j);
    set_marks(j, j->count);
    drop_copies(j, 0);
}

/* ---- folding ---- */

/* The entry as the corrections have it: the body of the last of its amendments; all else stays its own. */
static void effective(const struct journal *j, int32_t index, const struct entry *tried, struct entry *out)
{
    const struct journal_row *row = row_at(j, index);
    size_t len = body_bytes(row->kind);
    memcpy(out, bytes_of(j, row), HEAD_BYTES + len);
    while (row->replaced_by >= 0)
        row = row_at(j, row->replaced_by);
    if (row->replaced_by == TRIED)
        memcpy(&out->body, &tried->body, len);
    else
        memcpy(&out->body, bytes_of(j, row) + HEAD_BYTES, len);
}

static enum outcome apply_at(const struct journal *j, int32_t index, struct board *board, const struct entry *tried)
{
    const struct journal_row *row = row_at(j, index);
    struct entry e; /* only the head and this kind's body are filled, and read */
    if (row->refused || row->voided)
        return OUTCOME_MOOT;
    effective(j, index, tried, &e);
    if (journal_corrects(&e) && row->target == NONE)
        return OUTCOME_MOOT;
    return board_apply(board, &e);
}

void journal_effective(const struct journal *j, int32_t index, struct entry *out)
{
    effective(j, index, NULL, out);
}

enum outcome journal_apply(const struct journal *j, int32_t index, struct board *board)
{
    return apply_at(j, index, board, NULL);
}

void journal_note(struct journal *j, int32_t index, enum outcome outcome)
{
    row_at(j, index)->outcome = outcome;
}

bool journal_stands(const struct journal *j, int32_t index, struct entry *out)
{
    const struct journal_row *row = row_at(j, index);
    if (row->refused || row->voided || row->outcome == OUTCOME_MOOT)
        return false;
    effective(j, index, NULL, out);
    return !journal_corrects(out);
}

/* Every second copy goes, and the next ones are twice as far apart. */
static void thin_copies(struct journal *j)
{
    for (int32_t i = 1; i < JOURNAL_COPIES_MAX / 2; i++)
        j->copies[i] = j->copies[2 * i];
    j->copy_count = JOURNAL_COPIES_MAX / 2;
    j->stride *= 2;
}

static void keep_if_due(struct journal *j, const struct board *board, int32_t before)
{
    if (j->copy_count == JOURNAL_COPIES_MAX && before == j->copy_count * j->stride)
        thin_copies(j);
    if (before == j->copy_count * j->stride)
        j->copies[j->copy_count++] = *board;
}

void journal_keep(struct journal *j, const struct board *board)
{
    if (!j->refolding)
        keep_if_due(j, board, j->count);
}

void journal_fold(struct journal *j, struct board *board, int32_t from, int32_t to)
{
    for (int32_t i = from; i < to; i++) {
        row_at(j, i)->outcome = apply_at(j, i, board, NULL);
        keep_if_due(j, board, i + 1);
    }
}

/* The nearest kept copy at or before the entry; returns the entry it stands before. */
static int32_t nearest_copy(const struct journal *j, int32_t before, struct board *board)
{
    int32_t copy = before / j->stride;
    if (copy >= j->copy_count)
        copy = j->copy_count - 1;
    *board = j->copies[copy];
    return copy * j->stride;
}

void journal_refold_begin(struct journal *j, struct refold *refold, int32_t first)
{
    drop_copies(j, first);
    refold->next = nearest_copy(j, first, &refold->board);
    j->refolding = true;
}

bool journal_refold_step(struct journal *j, struct refold *refold, int32_t max)
{
    int32_t left = j->count - refold->next;
    int32_t to = refold->next + (left < max ? left : max);
    journal_fold(j, &refold->board, refold->next, to);
    refold->next = to;
    j->refolding = to < j->count;
    return !j->refolding;
}

/* The first entry that a correction from `to` on reaches: no copy after it is of that time. */
static int32_t reached_since(const struct journal *j, int32_t to)
{
    int32_t first = to;
    for (int32_t i = j->last_correction; i != NONE && i >= to; i = row_at(j, i)->correction_before) {
        int32_t reached = first_reached(j, i);
        if (reached < first)
            first = reached;
    }
    return first;
}

void journal_at(struct journal *j, struct board *board, int32_t to)
{
    CHECK(to >= 0 && to <= j->count);
    clear_marks(j);
    set_marks(j, to);
    for (int32_t i = nearest_copy(j, reached_since(j, to), board); i < to; i++)
        (void)apply_at(j, i, board, NULL);
    clear_marks(j);
    set_marks(j, j->count);
}

/* ---- dry runs ---- */

/* What people did counts; what the server noted of it follows by itself. */
static void note_moot(struct moot_report *report, const struct journal_row *row, int32_t index)
{
    if (!kind_info(row->kind)->act)
        return;
    if (report->shown < MOOT_ROWS_MAX)
        report->index[report->shown++] = index;
    report->count++;
}

static void dry_fold(struct journal *j, int32_t target, const struct entry *tried, struct moot_report *report)
{
    struct board board;
    struct entry e;
    int32_t first = first_reached(j, target);
    for (int32_t i = nearest_copy(j, first, &board); i < j->count; i++) {
        const struct journal_row *row = row_at(j, i);
        if (i == first && tried != NULL && !row->voided) {
            effective(j, i, tried, &e);
            report->refused = board_admit(&board, &e, &report->about);
        }
        enum outcome outcome = apply_at(j, i, &board, tried);
        if (i != target && i >= first && row->outcome == OUTCOME_DONE && outcome == OUTCOME_MOOT)
            note_moot(report, row, i);
    }
}

static void dry_run(struct journal *j, int32_t target, const struct entry *tried, struct moot_report *report)
{
    struct journal_row *row = row_at(j, target);
    clear_marks(j);
    row->voided = tried == NULL;
    row->replaced_by = tried == NULL ? NONE : TRIED;
    set_marks(j, j->count);
    dry_fold(j, target, tried, report);
    row->voided = false;
    row->replaced_by = NONE;
    clear_marks(j);
    set_marks(j, j->count);
}

void journal_dry_void(struct journal *j, int32_t target, struct moot_report *report)
{
    memset(report, 0, sizeof *report);
    dry_run(j, target, NULL, report);
}

void journal_dry_instead(struct journal *j, int32_t target, const struct entry *instead, struct moot_report *report)
{
    const struct journal_row *row = row_at(j, target);
    memset(report, 0, sizeof *report);
    if (instead->kind != row->kind || instead->kind == KIND_VOIDED)
        report->refused = REFUSAL_INSTEAD_KIND;
    else if (!kind_info(row->kind)->voidable)
        report->refused = REFUSAL_NOT_VOIDABLE;
    else
        dry_run(j, target, instead, report);
}
