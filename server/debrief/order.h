/* The order in which a debrief folds a trip: that of when things happened, where the live board followed that of arrival.
 *
 * Sorted by at_ms, ties by sender, lane and n, so that how taps arrived changes nothing. Two exceptions: the entry that starts
 * the trip is the first, and no entry comes before one that it names, however it was dated.
 */
#ifndef STERNBOARD_DEBRIEF_ORDER_H
#define STERNBOARD_DEBRIEF_ORDER_H

#include "board/journal.h"

/* The indexes of all the journal's rows in that order; to be freed. */
int32_t *order_make(const struct journal *);

#endif
