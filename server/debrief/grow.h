/* Lists that grow. A debrief is made, read and freed whole: nothing is ever taken out of its lists.
 *
 *     struct { struct span *items; int32_t count, room; } spans;
 *     struct span *span = GROW(spans);        a new last item, all zero
 */
#ifndef STERNBOARD_DEBRIEF_GROW_H
#define STERNBOARD_DEBRIEF_GROW_H

#include <stddef.h>
#include <stdint.h>

#define GROW(list) \
    ((list).items = grow((list).items, (list).count, &(list).room, sizeof *(list).items), &(list).items[(list).count++])

/* Room for one more item of that size, the new ones zeroed. Never NULL: without memory the program ends, for every size is
 * bounded by the length of a log. */
void *grow(void *items, int32_t count, int32_t *room, size_t size);

/* A zeroed block; never NULL. */
void *zeroed(size_t count, size_t size);

#endif
