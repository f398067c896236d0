#include "debrief/grow.h"

#include <stdlib.h>
#include <string.h>

#include "board/check.h"

void *grow(void *items, int32_t count, int32_t *room, size_t size)
{
    if (count < *room)
        return items;
    int32_t wider = *room == 0 ? 16 : *room * 2;
    CHECK(wider > *room);
    char *bytes = realloc(items, (size_t)wider * size);
    CHECK(bytes);
    memset(bytes + (size_t)*room * size, 0, (size_t)(wider - *room) * size);
    *room = wider;
    return bytes;
}

void *zeroed(size_t count, size_t size)
{
    void *block = calloc(count > 0 ? count : 1, size);
    CHECK(block);
    return block;
}
