#include "board/open_ends.h"

#include <string.h>

#include "board/check.h"
#include "board/parts.h"

static int32_t oldest(const struct board *b)
{
    int32_t slot = 0;
    for (int32_t i = 1; i < BOARD_OPEN_ENDS_MAX; i++) {
        if (b->open_ends[i].at_ms < b->open_ends[slot].at_ms)
            slot = i;
    }
    return slot;
}

void open_end_note(struct board *b, struct entry_id id, enum end_of of, int32_t line, int64_t at_ms)
{
    int32_t slot = slot_free(b, PART_OPEN_ENDS);
    struct board_open_end *open = &b->open_ends[slot < 0 ? oldest(b) : slot];
    memset(open, 0, sizeof *open);
    open->id = id;
    open->of = of;
    open->line = line;
    open->at_ms = at_ms;
}

static int32_t slot_of(const struct board *b, struct entry_id id, enum end_of of)
{
    int32_t slot = slot_find(b, PART_OPEN_ENDS, &id);
    return slot >= 0 && b->open_ends[slot].of == of ? slot : -1;
}

const struct board_open_end *open_end_find(const struct board *b, struct entry_id id, enum end_of of)
{
    int32_t slot = slot_of(b, id, of);
    return slot < 0 ? NULL : &b->open_ends[slot];
}

struct board_open_end *open_end_edit(struct board *b, struct entry_id id, enum end_of of)
{
    int32_t slot = slot_of(b, id, of);
    return slot < 0 ? NULL : &b->open_ends[slot];
}

void open_ends_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_OPEN_ENDS_MAX; i++) {
        struct entry_id id = b->open_ends[i].id;
        CHECK(strike_find(b, id) == NULL && fight_find(b, id) == NULL && raise_find(b, id) == NULL); /* E1 */
    }
}
