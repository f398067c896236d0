#include "debrief/index.h"

#include <stdlib.h>

int32_t *index_at(struct key_index *index, int32_t key)
{
    while (key >= index->room)
        index->items = grow(index->items, index->room, &index->room, sizeof *index->items);
    return &index->items[key];
}

void index_release(struct key_index *index)
{
    free(index->items);
    *index = (struct key_index){0};
}
