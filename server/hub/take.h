/* The ordered path of one entry whose fate is decided:
 *
 *     seq -> apply -> journal (and fold again, for a correction) -> alarm -> patch to every screen -> row for the log
 *
 * Everything before it (may they, is it new, does it stand to reason) has been asked by then, and what comes after it (saved)
 * is the log's. It is the one function that changes the board.
 */
#ifndef STERNBOARD_HUB_TAKE_H
#define STERNBOARD_HUB_TAKE_H

#include "hub_internal.h"

/* entry->refused says whether it is applied; the seq is filled in. rings: an alarm goes ahead of the patch, if it did
 * anything. entry is not in hub->board's own memory, nor hub->patch or hub->alarm. */
enum outcome take(struct hub *, struct entry *, bool rings);

/* Folds an entry of the log at start; the row is saved already. False: it does not follow the one before it, it is there
 * already, or it is above its sender's top: the log is damaged. */
bool take_saved(struct hub *, const struct entry *, const uint8_t chain[HASH_BYTES]);
void take_saved_all(struct hub *); /* after the last of them */

/* A long refold, a slice at a time. */
void take_refold_step(struct hub *);

/* Room for so many more entries, in the journal and among the unsaved rows? */
bool take_room(const struct hub *, enum room_for, int32_t rows);

#endif
