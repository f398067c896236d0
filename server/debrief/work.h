/* What a checklist's facts say. */
#ifndef STERNBOARD_DEBRIEF_WORK_H
#define STERNBOARD_DEBRIEF_WORK_H

#include "debrief/facts.h"

/* Items with this answer; CHECK_ANSWER_OPEN: with none. */
int32_t work_answers(const struct check_fact *, enum check_answer);

/* Done in less than 1.5 s an item (our decision, no source): nobody reads that fast. */
bool work_faster_than_reading(const struct check_fact *);

#endif
