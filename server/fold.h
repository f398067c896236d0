/* The fold outside the hub: a log's entries in, the board of the trip out. For the commands; the live board is the
 * hub's.
 *
 * An entry that starts a trip begins anew with an empty board. Entries before the first trip of a log are a fold of
 * their own.
 */
#ifndef STERNBOARD_FOLD_H
#define STERNBOARD_FOLD_H

#include <stdbool.h>
#include <stdint.h>

#include "board/board.h"
#include "err.h"

struct fold;

struct fold *fold_new(void);
void fold_free(struct fold *fold);

/* Does this entry begin a trip? */
bool fold_begins(const struct entry *entry);

/* Takes the next entry of the log. ERR_DATA: it cannot be there (an identity comes again, or the trip is longer than
 * any). */
enum err fold_take(struct fold *fold, const struct entry *entry, struct msg *why) MUST_CHECK;

/* The first and the last seq taken since the trip began; 0: none. */
int64_t fold_first_seq(const struct fold *fold);
int64_t fold_last_seq(const struct fold *fold);

/* Is it a trip, or what stands in a log before the first one? */
bool fold_has_trip(const struct fold *fold);

/* The board after all entries taken since the trip began, with their corrections. Its invariants are CHECKed. Stays the
 * fold's. */
const struct board *fold_board(struct fold *fold);

/* The first 8 bytes of the SHA-256 over that board's canonical encoding, as 16 hex digits: what the screens compare. */
void fold_digest(struct fold *fold, char out[17]);

#endif
