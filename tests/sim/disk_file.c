#include "disk_file.h"

#include <stdlib.h>
#include <string.h>

#include "board/check.h"

uint64_t disk_chance(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15;
    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9;
    z = (z ^ z >> 27) * 0x94d049bb133111eb;
    return z ^ z >> 31;
}

static uint64_t below(uint64_t *chance, uint64_t count)
{
    return disk_chance(chance) % count;
}

/* ---- bytes ----------------------------------------------------------------------------------------------------------- */

static void bytes_resize(struct disk_bytes *bytes, int64_t size)
{
    if (size > bytes->room) {
        bytes->room = size * 2;
        bytes->at = realloc(bytes->at, (size_t)bytes->room);
        CHECK(bytes->at);
    }
    if (size > bytes->size)
        memset(bytes->at + bytes->size, 0, (size_t)(size - bytes->size));
    bytes->size = size;
}

static void bytes_put(struct disk_bytes *bytes, const void *from, int64_t len, int64_t at)
{
    if (at + len > bytes->size)
        bytes_resize(bytes, at + len);
    memcpy(bytes->at + at, from, (size_t)len);
}

static void bytes_copy(struct disk_bytes *to, const struct disk_bytes *from)
{
    bytes_resize(to, from->size);
    if (from->size > 0)
        memcpy(to->at, from->at, (size_t)from->size);
}

static void bytes_apply(struct disk_bytes *bytes, const struct disk_change *change)
{
    if (change->truncates)
        bytes_resize(bytes, change->at);
    else
        bytes_put(bytes, change->bytes, change->len, change->at);
}

/* ---- a file ---------------------------------------------------------------------------------------------------------- */

struct disk_file *disk_file_new(void)
{
    struct disk_file *file = calloc(1, sizeof *file);
    CHECK(file);
    file->refs = 1;
    return file;
}

struct disk_file *disk_file_keep(struct disk_file *file)
{
    file->refs++;
    return file;
}

static void forget_changes(struct disk_file *file)
{
    for (struct disk_change *next; file->first != NULL; file->first = next) {
        next = file->first->next;
        free(file->first);
    }
    file->last = NULL;
}

void disk_file_drop(struct disk_file *file)
{
    if (file == NULL || --file->refs > 0)
        return;
    forget_changes(file);
    free(file->live.at);
    free(file->stable.at);
    free(file);
}

bool disk_file_read(const struct disk_file *file, void *to, int64_t len, int64_t at)
{
    int64_t there = file->live.size - at;
    there = there < 0 ? 0 : there < len ? there : len;
    if (there > 0)
        memcpy(to, file->live.at + at, (size_t)there);
    memset((char *)to + there, 0, (size_t)(len - there));
    return there == len;
}

static void changed(struct disk_file *file, bool truncates, const void *from, int64_t len, int64_t at)
{
    struct disk_change *change = malloc(sizeof *change + (size_t)len);
    CHECK(change);
    *change = (struct disk_change){.truncates = truncates, .at = at, .len = len};
    if (len > 0)
        memcpy(change->bytes, from, (size_t)len);
    if (file->last != NULL)
        file->last->next = change;
    else
        file->first = change;
    file->last = change;
    bytes_apply(&file->live, change);
}

void disk_file_write(struct disk_file *file, const void *from, int64_t len, int64_t at)
{
    changed(file, false, from, len, at);
}

void disk_file_truncate(struct disk_file *file, int64_t size)
{
    changed(file, true, NULL, 0, size);
}

void disk_file_sync(struct disk_file *file)
{
    for (const struct disk_change *change = file->first; change != NULL; change = change->next)
        bytes_apply(&file->stable, change);
    forget_changes(file);
}

void disk_file_evict(struct disk_file *file)
{
    bytes_copy(&file->live, &file->stable);
    for (const struct disk_change *change = file->first; change != NULL; change = change->next)
        bytes_apply(&file->live, change);
}

/* ---- what becomes of unsynced changes ---------------------------------------------------------------------------------- */

/* One sector of a write, or a whole truncation. */
struct piece {
    const struct disk_change *change;
    int64_t from, len; /* within the change */
};

static int64_t to_sector_end(int64_t at, int64_t sector)
{
    return sector - at % sector;
}

static size_t pieces_of(const struct disk_file *file, int64_t sector, struct piece *pieces)
{
    size_t count = 0;
    for (const struct disk_change *change = file->first; change != NULL; change = change->next) {
        int64_t from = 0;
        do {
            int64_t len = to_sector_end(change->at + from, sector);
            len = len < change->len - from ? len : change->len - from;
            if (pieces != NULL)
                pieces[count] = (struct piece){.change = change, .from = from, .len = len};
            count++;
            from += len;
        } while (from < change->len);
    }
    return count;
}

static void shuffle(struct piece *pieces, size_t count, uint64_t *chance)
{
    for (size_t i = count; i > 1; i--) {
        size_t other = (size_t)below(chance, i);
        struct piece piece = pieces[i - 1];
        pieces[i - 1] = pieces[other];
        pieces[other] = piece;
    }
}

static void apply_piece(struct disk_bytes *bytes, const struct piece *piece)
{
    if (piece->change->truncates)
        bytes_apply(bytes, piece->change);
    else
        bytes_put(bytes, piece->change->bytes + piece->from, piece->len, piece->change->at + piece->from);
}

/* Brings a part of the changes to the stable bytes: none, few, half, most or all of them. */
static void apply_some(struct disk_file *file, int64_t sector, uint64_t *chance)
{
    size_t count = pieces_of(file, sector, NULL);
    if (count == 0)
        return;
    struct piece *pieces = malloc(count * sizeof *pieces);
    CHECK(pieces);
    (void)pieces_of(file, sector, pieces);
    uint64_t of_four = below(chance, 5);
    if (below(chance, 2) == 0)
        shuffle(pieces, count, chance);
    for (size_t i = 0; i < count; i++)
        if (below(chance, 4) < of_four)
            apply_piece(&file->stable, &pieces[i]);
    free(pieces);
}

void disk_file_sync_failed(struct disk_file *file, int64_t sector, uint64_t *chance)
{
    apply_some(file, sector, chance);
    forget_changes(file);
}

/* The size is written by itself, and late: a file that grew may be found at any size in between. */
void disk_file_cut(struct disk_file *file, int64_t sector, uint64_t *chance)
{
    int64_t size = file->stable.size;
    apply_some(file, sector, chance);
    int64_t more = (file->stable.size - size) / sector;
    if (more > 0 && below(chance, 3) == 0)
        bytes_resize(&file->stable, size + sector * (int64_t)below(chance, (uint64_t)more + 1));
    forget_changes(file);
    bytes_copy(&file->live, &file->stable);
}
