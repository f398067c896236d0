/* The replay of a trip: the board as the screens had it, after each entry in the order of the log, a correction where it came.
 *
 *     replay_take()    every entry of the trip, in the order of the log
 *     replay_end()     after the last
 *     replay_page()    a page: the whole board before it, then the patches that the hub sent, once more
 *     replay_head()    where the pages begin, who was there when, what was shown where, what corrected what
 *
 * shared-proto/schema/replay.json has the shapes. A page is REPLAY_PAGE_ROWS entries, so that one may be asked for without those
 * before it. All are made on the way, once, and kept compressed (gzip, RFC 1952): a board's changes are much alike, and a page of
 * 200 KB becomes some 10.
 */
#ifndef STERNBOARD_DEBRIEF_REPLAY_H
#define STERNBOARD_DEBRIEF_REPLAY_H

#include "debrief/without.h"
#include "err.h"

#include <stddef.h>
#include <stdint.h>

enum { REPLAY_PAGE_ROWS = 256 };

struct replay;

/* Bytes of gzip, the replay's own. */
struct replay_bytes {
    const unsigned char *data;
    size_t len;
};

/* what: left out of each entry as it is taken. */
struct replay *replay_new(const struct without *what);
void replay_free(struct replay *);

/* ERR_DATA: it cannot be there: an identity comes again, or the trip is longer than any. */
enum err replay_take(struct replay *, const struct entry *, struct msg *why) MUST_CHECK;
void replay_end(struct replay *);

/* After the end. Pages count from 0. */
int32_t replay_pages(const struct replay *);
struct replay_bytes replay_page(const struct replay *, int32_t page);
struct replay_bytes replay_head(const struct replay *);

#endif
