/* Effort and what came of it: line-hours, and raises, bites, hook-ups and catches beside them.
 *
 * Only lines and floats fish, and only while they are out for sure; time in which that is not known stands apart and is in no rate.
 * A span is cut where the phase changes and at every full hour, so that each piece belongs to one group of each kind; what a bait
 * or a position changes begins a new span already.
 *
 * Catch per unit of effort is the ratio of totals, as for completed trips (J. M. Hoenig, C. M. Jones, K. H. Pollock, D. S. Robson,
 * D. L. Wade, Biometrics 53 (1997) 306-317): total bites by total line-hours, never a mean of rates.
 */
#ifndef STERNBOARD_DEBRIEF_EFFORT_H
#define STERNBOARD_DEBRIEF_EFFORT_H

#include "debrief/debrief.h"

/* Under so many events there is no rate, and no two groups are compared. */
enum { EFFORT_RATE_LEAST = 5, EFFORT_ENOUGH = 20 };

enum effort_few { EFFORT_NONE, EFFORT_DOTS, EFFORT_FEW, EFFORT_MANY };
enum effort_few effort_few(int32_t bites);

/* Bites per 10 line-hours; line_ms over 0. */
double effort_per_10h(double bites, int64_t line_ms);

/* Fills effort and compared from the trips, by the choice. */
void effort_pool(struct debrief *);

/* Line-hours of one trip, the choice aside. */
int64_t effort_line_ms(const struct facts *);

/* Does this bait at this position belong to what was asked for? */
bool effort_chosen(const struct debrief *, int32_t label, int32_t bait);

#endif
