/* The desk: a thread that works out debriefs for pages, so that the loop does not.
 *
 * It reads the saved log through a connection of its own, one debrief at a time, at a lower priority than the board's own threads.
 * What is asked while it works waits; there is room for SLOW_MAX questions (net/slow.h).
 */
#ifndef STERNBOARD_DESK_H
#define STERNBOARD_DESK_H

#include "embed.h"
#include "net/slow.h"

struct desk;

/* data: the data folder, which lasts as long as the desk. page: as one_file.h wants it. wake is called on the desk's thread when an answer is there. */
struct desk *desk_start(const char *data, const struct embed_file *page, void (*wake)(void *context), void *context);

/* Nobody is woken any more. Waits a little for the debrief that is being made. false: it goes on, or its disk hangs; the thread is
 * left behind, and the desk is its own until the process has ended. */
bool desk_stop(struct desk *);
/* After desk_stop() has said true, and the last question was asked, taken or forgotten. */
void desk_free(struct desk *);

/* As net_open() wants it. */
struct slow desk_slow(struct desk *);

#endif
