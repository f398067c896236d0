/* Which of the crew's pages are here, asleep or lost, as entries: or who knew what when could never be told.
 *
 *      hello           beat.visible          8 s unheard, or the connection gone for 2 s
 *     ------> HERE <---------------> ASLEEP ----+
 *               |  ^                            |
 *               |  '------- heard again --- LOST <---- from both
 *
 * A lost page without a connection leaves the board once its device shows another: it was loaded anew.
 *
 * What is so and what the log has been told are kept apart, and a page makes at most one entry in five seconds: a phone that
 * goes in and out of a pocket does not fill the log.
 */
#ifndef STERNBOARD_HUB_WATCH_H
#define STERNBOARD_HUB_WATCH_H

#include "hub_internal.h"

void watch_joined(struct hub *, int32_t conn);
void watch_gone(struct hub *, int32_t conn);
void watch_heard(struct hub *, int32_t conn);                 /* any message */
void watch_visible(struct hub *, int32_t conn, bool visible); /* a beat's word */
void watch_hand(struct hub *, uint64_t page, int32_t hand);   /* the log has it from the page itself */
void watch_all(struct hub *);                                 /* every page that is here, told anew: a trip begins */

/* Notes what is due; returns when more will be (boot clock). */
int64_t watch_run(struct hub *);

#endif
