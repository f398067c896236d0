/* What changed between two boards, part by part. Parts are known by their key, so that the same line in another slot is the
 * same line; what is sent is always the whole new value of a part. A single part that says nothing is not there, so that a board
 * with more parts says the same of an older log, to the digest. */
#include <string.h>

#include "board/board.h"
#include "board/check.h"
#include "board/parts.h"

struct changes {
    struct part_change *out;
    size_t count, max;
};

static void push(struct changes *changes, enum board_part part, int32_t slot, bool gone)
{
    if (changes->count < changes->max)
        changes->out[changes->count++] = (struct part_change){part, slot, gone};
}

static const unsigned char *slot_at(const struct board *b, const struct part_info *info, int32_t slot)
{
    return (const unsigned char *)b + info->offset + (size_t)slot * info->size;
}

/* The slot with the same key; -1: there is none. */
static int32_t same_key(const struct board *b, enum board_part part, const unsigned char *slot)
{
    const struct part_info *info = part_info(part);
    if (info->key == PART_SINGLE)
        return board_slot_used(b, part, 0) ? 0 : -1;
    return slot_find(b, part, slot + info->key_offset);
}

static void diff_part(const struct board *old, const struct board *now, enum board_part part, struct changes *changes)
{
    const struct part_info *info = part_info(part);
    if (memcmp(slot_at(old, info, 0), slot_at(now, info, 0), info->size * (size_t)info->max) == 0)
        return;
    for (int32_t i = 0; i < info->max; i++) {
        if (board_slot_used(old, part, i) && same_key(now, part, slot_at(old, info, i)) < 0)
            push(changes, part, i, true);
    }
    for (int32_t i = 0; i < info->max; i++) {
        if (!board_slot_used(now, part, i))
            continue;
        const unsigned char *slot = slot_at(now, info, i);
        int32_t before = same_key(old, part, slot);
        if (before < 0 || memcmp(slot_at(old, info, before), slot, info->size) != 0)
            push(changes, part, i, false);
    }
}

size_t board_diff(const struct board *old, const struct board *now, struct part_change *out, size_t max)
{
    struct changes changes = {out, 0, max};
    for (int32_t part = 0; part < PART_COUNT_; part++)
        diff_part(old, now, (enum board_part)part, &changes);
    return changes.count;
}
