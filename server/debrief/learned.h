/* What the boat's own log says about how long one line takes to come in: the live board works out of it how long a clearing still
 * takes.
 *
 * Hands wind side by side, so what counts is a clearing's pace: from the call to the last line in, divided by the lines that came
 * in. Each line counts with its clearing's pace; of the last LEARNED_LINES lines, over trips, the median holds. Until LEARNED_LEAST
 * lines are known it is LEARNED_USUAL_MS (common practice, no source: two good hands clear six to eight lines in 45 to 120 s). A
 * clearing of six lines or more in under 15 s was tallied afterwards (common practice, no source) and teaches nothing.
 */
#ifndef STERNBOARD_DEBRIEF_LEARNED_H
#define STERNBOARD_DEBRIEF_LEARNED_H

#include "debrief/facts.h"

enum { LEARNED_LINES = 40, LEARNED_LEAST = 6, LEARNED_USUAL_MS = 15000 };

/* All zero: nothing yet. */
struct learned {
    int32_t pace_ms[LEARNED_LINES]; /* of the last lines, oldest overwritten */
    int64_t count;                  /* of all lines ever */
};

void learned_take(struct learned *, const struct facts *);

/* *lines: on how many it rests, 0: on common practice. */
int32_t learned_line_ms(const struct learned *, int32_t *lines);

#endif
