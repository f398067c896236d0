/* Random entries of every kind: bodies the schema allows, most of them to the point, some naming what isn't there. The same
 * seed gives the same entries. */
#ifndef BOARD_RANDOM_H
#define BOARD_RANDOM_H

#include "board/board.h"

enum { CHANCE_IDS = 64 };

struct chance {
    uint64_t state;
    int64_t now_ms;
    int64_t seq;
    int32_t n[2]; /* per lane; every page counts on from the same numbers, so that no identity comes twice */
    int32_t id_count;
    struct entry_id ids[CHANCE_IDS]; /* of entries made lately, to be named by others */
    int32_t corrections_percent;
};

void chance_open(struct chance *, uint64_t seed);
int32_t chance_below(struct chance *, int32_t limit); /* 0 up to limit - 1 */

/* The next entry, mostly one that means something on this board. */
void chance_entry(struct chance *, const struct board *, struct entry *);

/* A trip_started that can be taken. */
void chance_trip(struct chance *, struct entry *);

#endif
