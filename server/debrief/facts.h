/* What one trip's log tells, as plain rows: the debrief's fold writes them (tell.h), everything else only reads.
 *
 * Times are log time in ms. NEVER stands for a time that is not known or did not come. Texts are numbers of the debrief's texts
 * (texts.h). seq is the row of the log that the fact begins with. line is the place's number on the board, 0: not named;
 * label is what the crew calls it, so that one place over many trips is one.
 */
#ifndef STERNBOARD_DEBRIEF_FACTS_H
#define STERNBOARD_DEBRIEF_FACTS_H

#include <stdbool.h>
#include <stdint.h>

#include "debrief/box.h"
#include "debrief/grow.h"
#include "proto.h"

#define NEVER ((int64_t)-1)

/* A place of the spread as it was at some time. One that is changed during the trip has a row for each way it was. */
struct spot {
    int32_t id, name, label;
    enum side side;
    enum gear gear;
};

struct person {
    int32_t id, name;
    enum station station;
};

/* What hung at a place. No span is empty. Of places that are in for sure there is none. */
struct span {
    int32_t line, label, bait;
    enum side side;
    enum gear gear;
    enum line_state state;
    bool unsure;
    int64_t from_ms, to_ms;
};

struct phase_span {
    enum phase phase;
    int64_t from_ms, to_ms;
};

struct strike_fact {
    int64_t seq, at_ms;
    int32_t line, label, bait;
    int64_t bait_age_ms; /* NEVER: nobody said when it went on */
    enum side side;
    enum phase phase;
    bool blind, hooked, caught;
    enum strike_end end;
};

struct raise_fact {
    int64_t seq, at_ms, ended_ms;
    struct entry_id id;
    int32_t line, label, bait, touches, bites;
    enum side side;
    enum phase phase;
    enum raise_end end;
    bool up; /* on the board */
};

struct fight_fact {
    int64_t seq, strike_ms, on_ms, leader_ms, held_since_ms, leader_total_ms, ended_ms;
    struct entry_id id;
    int32_t strike; /* index of its strike */
    int32_t line, angler;
    enum fight_end end;
    enum condition condition;
    bool open; /* on the board */
};

struct call_fact {
    int64_t seq, called_ms, shown_ms, got_ms, done_ms;
    enum call_what what;
    enum station to;
    enum call_state end;
    bool voice, late;
};

struct cleared_line {
    int32_t line;
    enum side side;
    int64_t taken_ms, in_ms;
    bool eye, kept;
};

struct clearing_fact {
    int64_t seq, called_ms, strike_ms, port_ms, starboard_ms, all_ms, done_ms, over_ms, last_in_ms;
    struct entry_id id;
    int32_t preset, line_count, in_count;
    enum scope scope;
    enum clear_reason reason;
    struct cleared_line lines[24];
};

struct check_fact {
    int64_t seq, opened_ms, ended_ms;
    struct entry_id run;
    int32_t list, name, items;
    enum check_answer answers[8];
    enum check_state state;
};

struct bait_fact {
    int32_t line, checks, missed;
    int64_t longest_ms;
};

struct duty_fact {
    int64_t named_ms, unnamed_ms, longest_unnamed_ms;
    int32_t handed_over;
};

struct near_fact {
    int64_t seq, at_ms;
    enum near_kind what;
    int32_t hand, text;
};

enum standing_of { EVENT_PLAIN, EVENT_LATE, EVENT_OFFERED, EVENT_CORRECTED, EVENT_MOOT };

/* words and was hold no names of persons; who did it is hand. */
struct event_fact {
    int64_t seq, at_ms, got_ms;
    enum entry_kind kind;
    int32_t line, hand, words, was;
    enum standing_of standing;
};

enum gap_of { GAP_SERVER, GAP_HELM, GAP_PAGE, GAP_CLOCK, GAP_MISSING };

struct gap_fact {
    enum gap_of of;
    int64_t from_ms, to_ms;
    uint64_t page; /* 0: none */
    bool estimated;
};

struct card_line {
    int32_t words;
    int64_t seq; /* what it rests on; 0: nothing to name */
};

struct job_fact {
    int32_t no, text, name, by_day;
    bool done;
};

#define LIST_OF(type)        \
    struct {                 \
        type *items;         \
        int32_t count, room; \
    }

struct facts {
    int32_t no, name;
    int64_t from_seq, to_seq, started_ms, ended_ms, utc_offset_ms;
    bool open, clock_estimated;
    int32_t entries, voided, moot, refused, late;
    int32_t persons_aboard, paying;
    struct board_counts counts; /* the board's own, at the end: what is counted here must be the same */

    LIST_OF(struct spot) spots;
    LIST_OF(struct person) persons;
    LIST_OF(struct span) spans;
    LIST_OF(struct phase_span) phases;
    LIST_OF(struct strike_fact) strikes;
    LIST_OF(struct raise_fact) raises;
    LIST_OF(struct fight_fact) fights;
    LIST_OF(struct call_fact) calls;
    LIST_OF(struct clearing_fact) clearings;
    LIST_OF(struct check_fact) checks;
    LIST_OF(struct near_fact) near_misses;
    LIST_OF(struct event_fact) events;
    LIST_OF(struct gap_fact) gaps;
    LIST_OF(struct card_line) planned;
    LIST_OF(struct card_line) happened;
    LIST_OF(struct card_line) why;
    struct job_fact jobs[3];
    struct bait_fact baits[25]; /* by the number of the place */
    struct duty_fact duties[2]; /* by enum post */
    struct board_orders orders; /* the first brief */
    int64_t orders_seq;
    struct box box;         /* the fish, and what counts with them */
    int64_t boated_counted; /* fish counted in the box; NEVER: not counted */
};

const char *event_standing_name(enum standing_of);
const char *gap_name(enum gap_of);

struct facts *facts_new(void);
void facts_free(struct facts *);

#endif
