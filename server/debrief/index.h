/* Which group a key has, for groups whose keys are numbers of the debrief's texts. */
#ifndef STERNBOARD_DEBRIEF_INDEX_H
#define STERNBOARD_DEBRIEF_INDEX_H

#include "debrief/grow.h"

struct key_index {
    int32_t *items; /* by key: the group's number and one, 0: none */
    int32_t room;
};

/* Where the group of a key is kept; 0 there until the caller sets it. */
int32_t *index_at(struct key_index *, int32_t key);
void index_release(struct key_index *);

#endif
