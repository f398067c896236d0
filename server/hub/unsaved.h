/* The rows that are seen and not yet saved, in order, and the first bytes of the chain at the last rows of the log.
 *
 * A row's text stays where it is until the row is dropped, because the log's writer reads it on another thread.
 */
#ifndef STERNBOARD_HUB_UNSAVED_H
#define STERNBOARD_HUB_UNSAVED_H

#include <stdbool.h>
#include <stddef.h>

#include "limit.h"
#include "log/row.h"
#include "room.h"

/* A ring that grows up to LIMIT_UNSAVED_ROWS rows and LIMIT_UNSAVED_BYTES bytes. The owner asks unsaved_room() first; what one
 * tap brings along (a trip's first entries, filled gaps) is bounded and may go a little over. */
struct unsaved {
    struct log_row *row;
    int32_t max, head, count;
    int64_t bytes;
};

bool unsaved_room(const struct unsaved *, enum room_for, int32_t rows);
void unsaved_push(struct unsaved *, const struct log_row *); /* takes row->text, to be freed with free() */
size_t unsaved_copy(const struct unsaved *, struct log_row *out, size_t max);
void unsaved_drop(struct unsaved *, int64_t up_to_seq);
void unsaved_release(struct unsaved *);
void unsaved_check(const struct unsaved *, int64_t last_seq);

/* The chain at the last CHAINS_MAX rows: enough of it to tell one log from another when a screen comes back. */
#define CHAINS_MAX  131072
#define CHAIN_BYTES 16
struct chains {
    uint8_t (*mark)[CHAIN_BYTES];
    int64_t first, last; /* the seqs held, both included; nothing while last < first */
};

void chains_init(struct chains *, int64_t seq, const uint8_t chain[32]);
void chains_release(struct chains *);
void chains_push(struct chains *, int64_t seq, const uint8_t chain[32]); /* seq is last + 1 */
const uint8_t *chains_find(const struct chains *, int64_t seq);          /* CHAIN_BYTES bytes; NULL: not held */

#endif
