/* The debrief's fold: one trip's journal in, facts out.
 *
 * The entries are applied to a board in the order of when they happened (order.h), by the same board_apply() that made the live
 * board; then it is looked at what the board has become. So no rule of the board is spelled again here: a line fishes because the
 * board says it is out, a strike counts because apply took it. At the end what was counted must be what the board counted.
 *
 *     tell_trip ─▶ for each entry: apply ─▶ lanes_see     what hangs where, phases, baits' clocks, wheel and look-out
 *                                         ─▶ fishing_see   strikes, raises, fights
 *                                         ─▶ work_see      calls, clearings, checklists, near misses
 *                                         ─▶ gaps_see      what nothing is known of
 *                                         ─▶ events_see    what a crew would tell
 *                ─▶ cards_make
 *
 * Voided and refused entries are never applied and leave no fact.
 */
#ifndef STERNBOARD_DEBRIEF_TELL_H
#define STERNBOARD_DEBRIEF_TELL_H

#include "board/journal.h"
#include "debrief/facts.h"
#include "debrief/texts.h"
#include "err.h"

/* Where a bait's clock stands. The scale of worn is such that BAIT_WORN is one time between two looks, by day or by night. */
struct bait_watch {
    bool runs;
    int64_t since_ms, seen_ms, worn;
};

/* A time in which the server was not running. */
struct away {
    int64_t from_ms, to_ms;
};

struct teller {
    struct journal *journal;
    struct facts *facts;
    struct texts *texts;
    struct board board;
    struct entry entry;   /* as the corrections have it; only head and body are set */
    int32_t index;        /* of the entry, in the journal */
    int64_t seq, now_ms;  /* now_ms never goes back */
    const int32_t *order; /* of the fold: indexes in the journal */
    int32_t *fact_of;     /* by index in the journal: the fact that an entry began, -1: none */

    struct board_line lines[BOARD_LINES_MAX]; /* as they were before */
    int64_t line_since_ms[BOARD_LINES_MAX];
    int32_t line_label[BOARD_LINES_MAX];
    struct bait_watch baits[BOARD_LINES_MAX + 1]; /* by the number of the place */
    enum phase phase;
    int64_t phase_since_ms;
    int32_t duty[2]; /* who, by enum post */
    int64_t duty_since_ms[2];
    LIST_OF(struct away) away; /* in their order */
    bool detail;
    bool over; /* the trip has ended: from now on only what is told at the dock */

    int32_t raises_up;    /* raise facts that are on the board */
    int32_t clearing;     /* index of the clearing that is watched, -1: none */
    int64_t helm_gone_ms; /* NEVER: it is heard */
    int32_t gaps_open;    /* of pages */
};

/* detail: with the table of events. ERR_DATA: what was counted is not what the board counted; the numbers are not to be shown. */
enum err tell_trip(struct journal *, struct texts *, struct facts *, bool detail, struct msg *why) MUST_CHECK;

/* The fact that this entry began, -1: none. */
int32_t teller_fact_of(const struct teller *, struct entry_id);
/* From now on it is this one that the entry being told began. */
void teller_began(struct teller *, int32_t fact);

void lanes_begin(struct teller *);
void lanes_see(struct teller *);
void lanes_end(struct teller *); /* when the trip ends, or its log does */
/* What the crew calls the place, e.g. "port long"; its number among the texts. */
int32_t lanes_label(struct texts *, const struct board_line *);

void fishing_see(struct teller *);
void work_see(struct teller *);
void work_see_late(struct teller *); /* of an entry that did nothing */
void clearings_see(struct teller *);
void gaps_make(struct teller *); /* before the fold: what the order of the log says */
void gaps_see(struct teller *);
void gaps_end(struct teller *);
void events_see(struct teller *, enum outcome);
void cards_make(struct teller *);

#endif
