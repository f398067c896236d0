/* The debrief's reads over HTTP: the log in pieces and the board as it was, for whoever shows a token of this boat.
 *
 *   GET /log?from=SEQ&max=N      rows from SEQ on, at most N (1 to READS_ROWS_MAX)
 *   GET /board?at=SEQ            the board after the entry SEQ
 *   GET /fish?zone=MINUTES       the fish, how they stand against the rule set, reports due; days by a clock so far east of UTC
 *   Authorization: Bearer TOKEN
 *
 * The token goes in a header: an address ends up in histories and pictures of screens.
 */
#ifndef STERNBOARD_NET_READS_H
#define STERNBOARD_NET_READS_H

#include "hub/hub.h"
#include "net/reply.h"
#include "net/slow.h"

#define READS_ROWS_MAX 1000

/* Is this one of these reads? */
bool reads_own(const char *path);

/* Is it the debrief's numbers, which are worked out elsewhere (slow.h)? And may they be asked for; if not, the reply says so.
 *
 *   GET /debrief.json?part=&trips=last&months=&bait=&position=&zone=MINUTES&names=no&places=no
 *   GET /debrief.html?...        the same with its replays as one file
 *   GET /replay?trip=SEQ         the head of the replay of the trip that begins with the entry SEQ; &page=N: a page of it, 0 first
 *
 * part=learned: only what the next trip's board would start with.
 */
bool reads_slow(const char *path);
enum slow_what reads_what(const char *path);
bool reads_allowed(const struct hub *, const struct request *, struct reply *);

/* The arguments as they stood in the address, "" for one that did not. */
struct reads_arguments {
    const char *from, *max, *at, *zone;
};
void reads_answer(struct hub *, const struct request *, const struct reads_arguments *, struct reply *);

#endif
