/* The box against a rule set: what is logged, what is left, how it is measured, where the rule stands. Nothing is decided, and
 * nothing is ever called legal or safe: that is the captain's, who reads the current rule.
 *
 * A limit by heads counts whom the rule counts: all aboard, or paying passengers alone. Where a cap for the vessel is lower, the
 * cap holds. A limit of a day that also holds aboard is not doubled by a second day; where a rule speaks of the day alone, the
 * trip's fish of other days, which are still aboard, are told beside it. A limit of a year counts the earlier trips of the log in
 * that year of the calendar, by the clock of the zone that was asked for.
 */
#ifndef STERNBOARD_DEBRIEF_STANDING_H
#define STERNBOARD_DEBRIEF_STANDING_H

#include "debrief/box.h"

enum { STANDING_WORDS = 160, STANDING_SAYINGS = 6, STANDING_NONE = -1 };

/* When it is asked. Log time, and minutes east of UTC for the days of the calendar. */
struct standing_when {
    int64_t now_ms;
    int32_t zone_min;
};

struct sayings {
    char words[STANDING_SAYINGS][STANDING_WORDS];
    int32_t count;
};
void sayings_add(struct sayings *, const char *format, ...) __attribute__((format(printf, 2, 3)));

struct standing {
    const struct rule_row *row;
    int32_t logged;
    int32_t other; /* kept in this trip, but on a day or in a year that does not count now */
    int32_t limit; /* STANDING_NONE: none is stated, or it is not told who is aboard */
    int32_t left;  /* below 0: so many over */
    char basis[2 * STANDING_WORDS];
    char min_words[STANDING_WORDS]; /* "27 in, curved, ..."; empty: no size is stated */
    struct sayings sayings;
};

/* One for each row of the rule set that is for this trip, in its order; at most RULE_SET_ROWS_MAX. */
int32_t standing_of(const struct box *, const struct standing_when *, struct standing *out);

/* What stands beside one fish: short by this rule, its size class, check the species, stays in the water. */
void standing_sayings(const struct box *, const struct box_fish *, struct sayings *);

/* "Check the current rule.", and that today is outside the rule set's days, where it is. */
void standing_caution(const struct rule_set *, const struct box *, const struct standing_when *,
                      char out[STANDING_WORDS]);

/* Kept fish whose species nobody told: they are in no row. */
int32_t standing_untold(const struct box *);

/* The day of the calendar of a moment, days since 1970-01-01; -1: the clock was never set. */
int64_t standing_day(const struct box *, const struct standing_when *, int64_t at_ms);

/* What is to be remembered of a billfish that is let go. */
extern const char standing_release_caution[];

#endif
