/* Durations, grouped: calls by kind and station, clearings, fights, baits, checklists. Never by person. */
#ifndef STERNBOARD_DEBRIEF_TIMES_H
#define STERNBOARD_DEBRIEF_TIMES_H

#include "debrief/debrief.h"

/* Fills times from the trips. Every sort has its group of all; n may be 0. */
void times_pool(struct debrief *);

/* The durations of one trip that the trend and the record follow, in seconds, added to the lists. */
struct seconds {
    double *items;
    int32_t count, room;
};
void times_trend(const struct facts *, struct seconds *clear, struct seconds *got);

/* The median; NEVER of none. Sorts them. */
double times_median(struct seconds *);

#endif
