/* The debrief: a log's entries in, numbers out.
 *
 *     debrief_new ─▶ debrief_take, once for each entry in the order of the log ─▶ debrief_finish ─▶ read, write ─▶ debrief_free
 *
 * Each trip is folded when the next one begins, or at the end (tell.h); those that were asked for are kept as facts (facts.h), of
 * the others only what the boat's own record needs. debrief_finish() then pools the facts: effort, rates, times. The writers
 * (json.h, csv.h, text.h) only print; what is not in struct debrief is in none of them.
 *
 * No file, no clock, no thread. A damaged or absurd log gives a sentence, never a wrong number: what is counted is held against the
 * board's own counts, and there is no rate without effort or under five events.
 */
#ifndef STERNBOARD_DEBRIEF_DEBRIEF_H
#define STERNBOARD_DEBRIEF_DEBRIEF_H

#include "debrief/facts.h"
#include "debrief/rates.h"
#include "debrief/texts.h"
#include "err.h"
#include "proto.h"

/* Which trips, by the number the boat gives them: from and to, both 0: the last one of the log; from 1 to INT32_MAX: all. */
struct debrief_choice {
    int32_t trip_from, trip_to;
    uint32_t months;      /* bit m: the month m of the year, 1 to 12; 0: all */
    const char *bait;     /* only what this bait did, "" or NULL: all */
    const char *position; /* only what bit here, by label; "" or NULL: all */
    int32_t zone_min;     /* minutes east of UTC, for hours, days and months */
    bool no_names, no_places;
    const char *version; /* of the program */
    uint64_t log_id;
};

/* Counts that pool over trips. raises_bit: raised fish that bit, once each. */
struct debrief_counts {
    int32_t raises, raises_bit, touches, bites, bites_blind, hooked, caught, boated, released, released_leader, pulled,
        broke_off, bitten_off, knockdowns, gone, ends_not_known, fights_open, fights_not_known;
};

enum effort_by {
    EFFORT_ALL,
    EFFORT_POSITION,
    EFFORT_BAIT,
    EFFORT_SIDE,
    EFFORT_PHASE,
    EFFORT_HOUR,
    EFFORT_DAY,
    EFFORT_LIGHT,
    EFFORT_BY_COUNT,
};
const char *effort_by_name(enum effort_by);

struct effort_group {
    enum effort_by by;
    int32_t key;   /* among the texts */
    int64_t order; /* by which groups are sorted: earlier, further, first */
    int64_t line_ms, not_known_ms;
    int32_t raises, bites, bites_blind, hooked, caught;
};

/* Two groups of one kind, each with five bites or more. Rates per 10 line-hours. */
struct difference {
    enum effort_by by;
    int32_t a, b; /* keys */
    double per_10h;
    struct limits most;
};

enum times_of {
    TIMES_CALL_TO_GOT,
    TIMES_GOT_TO_DONE,
    TIMES_CALL_TO_DONE,
    TIMES_STRIKE_TO_CLEAR_CALLED,
    TIMES_CLEAR_CALLED_TO_SIDE_CLEAR,
    TIMES_CLEAR_CALLED_TO_DONE,
    TIMES_CLEAR_CALLED_TO_ALL_CLEAR,
    TIMES_LINE_IN,
    TIMES_STRIKE_TO_ON,
    TIMES_STRIKE_TO_LEADER,
    TIMES_LEADER_TO_END,
    TIMES_FIGHT,
    TIMES_BAIT_AGE_AT_BITE,
    TIMES_BOATED_TO_ICE,
    TIMES_OUT_OF_WATER,
    TIMES_CHECK,
    TIMES_COUNT,
};
const char *times_of_name(enum times_of);

/* n durations of one sort, sorted. group: kind of call, station, list, how it was told; the empty text: all. */
struct times_group {
    enum times_of of;
    int32_t group;
    LIST_OF(double) seconds;
};

/* One trip, or the record of many, in a line. median_s: NEVER where n is 0. */
struct trend_row {
    int32_t trips;
    int64_t line_ms;
    int32_t bites, caught, near_misses, clear_n, got_n;
    double clear_median_s, got_median_s;
};

struct debrief {
    struct debrief_choice choice;
    struct texts texts;
    LIST_OF(struct facts *) trips; /* those asked for, in the order of the log */
    int32_t trip_count;            /* in the whole log */
    struct debrief_counts counts;
    LIST_OF(struct effort_group) effort;
    LIST_OF(struct difference) compared;
    LIST_OF(struct times_group) times;
    LIST_OF(struct trend_row) trend; /* one a trip */
    struct trend_row record;         /* trips 0: there are no others */
    int32_t learned_line_ms, learned_lines;
    struct intake *intake; /* while entries are taken */
};

struct debrief *debrief_new(const struct debrief_choice *);
void debrief_free(struct debrief *);

/* ERR_DATA: the entry cannot stand there, or the trip before it does not add up. The debrief is of no use then. */
enum err debrief_take(struct debrief *, const struct entry *, struct msg *why) MUST_CHECK;

/* ERR_NO_INPUT: the log has no such trip. ERR_DATA as above. */
enum err debrief_finish(struct debrief *, struct msg *why) MUST_CHECK;

#endif
