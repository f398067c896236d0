/* Reports that are due: of fish, after the landing; of an accident, after it happened. Hours are hours that pass: a night on which
 * the clocks are set makes a day of 24 hours no longer and no shorter, because they are counted in log time.
 */
#ifndef STERNBOARD_DEBRIEF_REPORTS_H
#define STERNBOARD_DEBRIEF_REPORTS_H

#include "debrief/box.h"

enum { REPORTS_MAX = 64, REPORTS_WORDS = 64 };

struct report {
    char of[REPORTS_WORDS];  /* the fish, or the accident */
    struct entry_id id;      /* what report_told names */
    int64_t from_ms, due_ms; /* 0: its time has not begun, for the boat has not landed */
    int32_t hours;
    const char *confirmed; /* the number, empty: none was told */
    const char *note, *citation;
};

/* At most max, those that an earlier trip left first. What they point at is the box's. */
int32_t reports_of(const struct box *, struct report *out, int32_t max);

/* As the next trip's report_kept says it; only of one without a number whose time runs. */
bool reports_hand_on(const struct report *, int64_t now_ms, struct body_report_kept *);

#endif
