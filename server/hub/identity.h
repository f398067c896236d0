/* What comes before any rule: is this tap new, a repeat, too early, and does it name what is here?
 *
 *     n <= top      a repeat: the first answer again; with another body, an error said aloud
 *     n == top + 1  next, once every entry it names is here; it may wait for them for half a minute
 *     n >  top + 1  too early: a tap before it is missing. An ordinary one waits for half a minute, an emergency not at all,
 *                   unless the one before it was told NOT NOW and so will come again; then what is missing is written as
 *                   gap_filled, refused for good, so that every number has one row
 */
#ifndef STERNBOARD_HUB_IDENTITY_H
#define STERNBOARD_HUB_IDENTITY_H

#include "hub_internal.h"

/* Over the canonical {kind, v, by, instead_of, body}: what makes two sendings the same tap. */
void identity_hash(const struct entry *, uint8_t out[BODY_HASH_BYTES]);

enum identity {
    IDENTITY_NEXT,
    IDENTITY_REPEAT, /* *first: the first answer; is: KNOWN or REFUSED */
    IDENTITY_OTHER,  /* the same identity with another body */
    IDENTITY_WAIT,   /* a tap before it, or an entry it names, may still come */
    IDENTITY_BEHIND, /* the emergency before it was told NOT NOW, and so must this one be */
    IDENTITY_GAP,    /* no more waiting: fill the gap before it, then it is next */
    IDENTITY_FAR,    /* too far ahead to be true */
};
enum identity identity_of(struct hub *, const struct entry *, struct msg_answer *first);

/* Is every entry it names in the log, or waits for it? */
bool identity_names_known(struct hub *, const struct entry *);
/* If not: has it waited long enough for them? Starts the wait. */
bool identity_waited(struct hub *, const struct entry *);
/* Once it is refused for that: old taps behind it that wait for names too have waited with it. */
void identity_gave_up(struct hub *, struct entry_id);

/* How many numbers are missing before it; and their rows. */
int32_t identity_missing(struct hub *, struct entry_id);
void identity_fill_gap(struct hub *, struct entry_id);

#endif
