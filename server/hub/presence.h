/* Which of the crew's pages are here, asleep or lost, as entries: or who knew what when could never be told.
 *
 *      hello           beat.visible          8 s unheard, or the connection gone for 2 s
 *     ------> HERE <---------------> ASLEEP ----+
 *               |  ^                            |
 *               |  '------- heard again --- LOST <---- from both
 *
 * What is so and what the log has been told are kept apart, and a page makes at most one entry in five seconds: a phone that
 * goes in and out of a pocket does not fill the log.
 */
#ifndef STERNBOARD_HUB_PRESENCE_H
#define STERNBOARD_HUB_PRESENCE_H

#include "hub_internal.h"

void presence_joined(struct hub *, int32_t conn);
void presence_gone(struct hub *, int32_t conn);
void presence_heard(struct hub *, int32_t conn);                /* any message */
void presence_visible(struct hub *, int32_t conn, bool visible); /* a beat's word */
void presence_hand(struct hub *, uint64_t page, int32_t hand);   /* the log has it from the page itself */
void presence_all(struct hub *);                                 /* every page that is here, told anew: a trip begins */

/* Notes what is due; returns when more will be (boot clock). */
int64_t presence_run(struct hub *);

#endif
