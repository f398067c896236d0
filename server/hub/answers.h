/* The first answers of the last taps, for repeats.
 *
 * A page that did not hear its answer sends the tap again, and gets the same answer again. The hash of the body says whether
 * it is the same tap: the same identity with another body is an error that is said aloud.
 */
#ifndef STERNBOARD_HUB_ANSWERS_H
#define STERNBOARD_HUB_ANSWERS_H

#include "limit.h"
#include "proto.h"

#define BODY_HASH_BYTES 8

struct kept_answer {
    uint8_t hash[BODY_HASH_BYTES];
    struct msg_answer answer;
};

/* A ring: the next one takes the place of the oldest. */
struct answers {
    struct kept_answer ring[LIMIT_ANSWERS];
    int32_t next;
};

void answers_push(struct answers *, const uint8_t hash[BODY_HASH_BYTES], const struct msg_answer *);
/* NULL: too long ago, or never. */
const struct kept_answer *answers_find(const struct answers *, struct entry_id);

#endif
