/* How far each page's two counters have come: the memory that makes "never twice" true.
 *
 * For each sender and lane, every number from 1 to top has exactly one row in the log or among the rows that wait for it. A
 * tap numbered top or lower is a repeat. One numbered top + 1 is next. One beyond that came too early: a tap before it is
 * missing, and the two clocks here say since when a page has been told to wait.
 *
 * A sender that has rows is never forgotten, or its taps could be taken twice. An open addressing table that doubles as it
 * fills; how many senders may come new in one run is bounded (senders_room()).
 */
#ifndef STERNBOARD_HUB_SENDERS_H
#define STERNBOARD_HUB_SENDERS_H

#include <stdbool.h>
#include <stdint.h>

#include "proto.h"
#include "room.h"

/* gap_since: since when a tap has waited for the number before it. name_since: since when the next one has waited for the
 * entry it names. Both in the low 32 bits of the boot clock, 0 = not waiting; only differences of half a minute are taken.
 * waited_out: the tap before was given up on, so what waited behind it has waited as long.
 * not_now_at: when the next emergency tap was last told NOT NOW; it is on its phone and comes again. In the same 32 bits.
 * crew: a page with the crew's key has it. Guests can read a page's id off the board, and could use up its numbers. */
struct sender {
    uint64_t id; /* 0: the slot is free */
    bool crew, waited_out[LANE_COUNT_];
    int32_t top[LANE_COUNT_];
    uint32_t gap_since[LANE_COUNT_], name_since[LANE_COUNT_], not_now_at;
};

struct senders {
    struct sender *slot;
    int32_t max, count; /* max: slots, a power of two */
    int32_t seeded;     /* of these, known from the log at start */
    int32_t rowless;    /* of these, without any row: they may be forgotten */
    uint64_t secret;    /* mixed into the hash, so that ids cannot be chosen to collide */
};

void senders_init(struct senders *, uint64_t secret);
void senders_release(struct senders *);

/* Is this sender known, or is there room for it? Forgets senders without rows when it must. */
bool senders_room(struct senders *, uint64_t id, enum room_for);

/* Good until the next senders_room() or senders_get(). */
struct sender *senders_find(const struct senders *, uint64_t id);
struct sender *senders_get(struct senders *, uint64_t id); /* made when it is not there */

/* The top of a lane; 0 when the sender is not known. */
int32_t senders_top(const struct senders *, uint64_t id, enum lane);
/* A top known from the log. */
void senders_seed(struct senders *, uint64_t id, enum lane lane, int32_t top);
/* The next number of that lane has got its row: both waits are over. */
void senders_raise(struct senders *, uint64_t id, enum lane, int32_t top);

/* Starts the wait in *since when it is not running, and says for how long it has been: milliseconds. */
int64_t senders_waited_ms(uint32_t *since, int64_t boot_ms);

/* Its next emergency tap is told NOT NOW; and was it, less than LIMIT_WAIT_MS ago? */
void senders_not_now(struct senders *, uint64_t id, int64_t boot_ms);
bool senders_told_not_now(const struct senders *, uint64_t id, int64_t boot_ms);

void senders_check(const struct senders *);

#endif
