#include "answers.h"

#include <string.h>

void answers_push(struct answers *answers, const uint8_t hash[BODY_HASH_BYTES], const struct msg_answer *answer)
{
    struct kept_answer *kept = &answers->ring[answers->next];
    memcpy(kept->hash, hash, BODY_HASH_BYTES);
    kept->answer = *answer;
    answers->next = (answers->next + 1) % LIMIT_ANSWERS;
}

/* From the newest back: a repeat is mostly of a tap just made. Only repeats come here, so a walk is good enough. */
const struct kept_answer *answers_find(const struct answers *answers, struct entry_id id)
{
    for (int32_t i = 1; i <= LIMIT_ANSWERS; i++) {
        const struct kept_answer *kept = &answers->ring[(answers->next + LIMIT_ANSWERS - i) % LIMIT_ANSWERS];
        const struct entry_id *other = &kept->answer.id;
        if (other->n == id.n && other->lane == id.lane && other->sender == id.sender)
            return kept;
    }
    return NULL;
}
