#include "unsaved.h"

#include <stdlib.h>
#include <string.h>

#include "must.h"

#define UNSAVED_FIRST 64

bool unsaved_room(const struct unsaved *unsaved, enum room_for who, int32_t rows)
{
    static const int32_t reserve[] = {
        [ROOM_FOR_ORDINARY] = LIMIT_UNSAVED_RESERVE,
        [ROOM_FOR_STRANGER] = LIMIT_UNSAVED_RESERVE / 2,
        [ROOM_FOR_EMERGENCY] = 0,
    };
    int64_t bytes = LIMIT_UNSAVED_BYTES - (int64_t)reserve[who] * 1024;
    return unsaved->count + rows <= LIMIT_UNSAVED_ROWS - reserve[who] && unsaved->bytes < bytes;
}

static void grow(struct unsaved *unsaved)
{
    int32_t max = unsaved->max == 0 ? UNSAVED_FIRST : unsaved->max * 2;
    struct log_row *row = must(malloc((size_t)max * sizeof *row));
    for (int32_t i = 0; i < unsaved->count; i++)
        row[i] = unsaved->row[(unsaved->head + i) % unsaved->max];
    free(unsaved->row);
    unsaved->row = row;
    unsaved->max = max;
    unsaved->head = 0;
}

void unsaved_push(struct unsaved *unsaved, const struct log_row *row)
{
    if (unsaved->count == unsaved->max)
        grow(unsaved);
    unsaved->row[(unsaved->head + unsaved->count) % unsaved->max] = *row;
    unsaved->count++;
    unsaved->bytes += row->len;
}

size_t unsaved_copy(const struct unsaved *unsaved, struct log_row *out, size_t max)
{
    size_t count = (size_t)unsaved->count < max ? (size_t)unsaved->count : max;
    for (size_t i = 0; i < count; i++)
        out[i] = unsaved->row[((size_t)unsaved->head + i) % (size_t)unsaved->max];
    return count;
}

void unsaved_drop(struct unsaved *unsaved, int64_t up_to_seq)
{
    while (unsaved->count > 0 && unsaved->row[unsaved->head].seq <= up_to_seq) {
        struct log_row *row = &unsaved->row[unsaved->head];
        unsaved->bytes -= row->len;
        free((char *)(uintptr_t)row->text);
        unsaved->head = (unsaved->head + 1) % unsaved->max;
        unsaved->count--;
    }
}

void unsaved_release(struct unsaved *unsaved)
{
    unsaved_drop(unsaved, INT64_MAX);
    free(unsaved->row);
    *unsaved = (struct unsaved){0};
}

void unsaved_check(const struct unsaved *unsaved, int64_t last_seq)
{
    int64_t bytes = 0;
    for (int32_t i = 0; i < unsaved->count; i++) {
        const struct log_row *row = &unsaved->row[(unsaved->head + i) % unsaved->max];
        CHECK(row->seq == last_seq - unsaved->count + 1 + i);
        bytes += row->len;
    }
    CHECK(bytes == unsaved->bytes);
}

void chains_init(struct chains *chains, int64_t seq, const uint8_t chain[32])
{
    chains->mark = must(malloc(CHAINS_MAX * sizeof *chains->mark));
    chains->first = seq;
    chains->last = seq - 1;
    chains_push(chains, seq, chain);
}

void chains_release(struct chains *chains)
{
    free(chains->mark);
    *chains = (struct chains){0};
}

void chains_push(struct chains *chains, int64_t seq, const uint8_t chain[32])
{
    CHECK(seq == chains->last + 1);
    memcpy(chains->mark[seq % CHAINS_MAX], chain, CHAIN_BYTES);
    chains->last = seq;
    if (chains->last - chains->first >= CHAINS_MAX)
        chains->first++;
}

const uint8_t *chains_find(const struct chains *chains, int64_t seq)
{
    return seq >= chains->first && seq <= chains->last ? chains->mark[seq % CHAINS_MAX] : NULL;
}
