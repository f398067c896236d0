/* The fish of a trip, and what counts with them, gathered from its entries.
 *
 *     box_gather: box_reset ─▶ box_take, once for each entry that stands, in the order of order.h ─▶ box_settle
 *
 * An entry stands when it is not refused, not voided, and did something; one that was replaced is handed in as its replacement
 * with the identity and the time of the first. So a voided entry leaves no trace, and neither does what only told of it.
 *
 * A fish is known by its strike, or by the first entry that told of it where no fight is logged. What is told later takes the
 * place of what was told before, member by member.
 */
#ifndef STERNBOARD_DEBRIEF_BOX_H
#define STERNBOARD_DEBRIEF_BOX_H

#include "board/journal.h"

enum { BOX_EARLIER_MAX = 64, BOX_HURTS_MAX = 32, BOX_DUE_MAX = 16 };

struct box_fish {
    struct entry_id id;
    int64_t seq;      /* of the entry that first named it */
    int64_t at_ms;    /* when it came to the boat; where no fight is logged, when it was told of */
    bool fought, own; /* its fight ended; it was told of without a fight: one of these, or it is no fish */
    bool told;
    enum fight_end end;
    enum fish_fate fate; /* as told, else by the fight's end; settled */
    char code[4];
    int32_t decided_by, measured_by;
    int64_t length_um, girth_um, weight_g;
    enum measure measure;
    bool weighed;
    enum condition condition;
    int32_t out_of_water_s;
    char tag[25];
    int64_t iced_ms; /* 0: not told */
    char report[33]; /* confirmation number, empty: none was told */
};

struct box_hurt {
    struct entry_id id;
    int64_t at_ms;
    enum hurt_how how;
    char report[33];
};

struct box_due {
    struct body_report_kept kept;
    char report[33];
};

struct box {
    struct box_fish *fish;
    int32_t count, room;
    bool has_rules;
    struct rule_set rules;
    struct body_fish_kept earlier;
    struct box_hurt hurts[BOX_HURTS_MAX];
    int32_t hurts_count;
    struct box_due due[BOX_DUE_MAX];
    int32_t due_count;
    int32_t persons, paying;
    enum trip_use use;
    int64_t landed_ms;     /* the trip came back to the dock, or ended: log time; 0: not yet */
    int64_t utc_offset_ms; /* UTC minus log time; 0: not known */
    bool sailed;
};

/* All zero bytes is an empty box. A box may be used again after box_reset(). */
void box_reset(struct box *);
void box_release(struct box *);

/* The box of a trip: its journal in the order that order_make() gave, so that what was told last holds, however it came. */
void box_gather(struct box *, const struct journal *, const int32_t *order);

/* In the order of when things happened, none before what it names: what was told last holds. */
void box_take(struct box *, const struct entry *);

/* Once all are taken: what named no fish of the trip goes, and fates are settled. */
void box_settle(struct box *);

bool box_kept(const struct box_fish *); /* aboard, as far as it is logged */

/* For the next trip: fish that may still count against a limit of the day or the year, the latest first, and what of them had no
 * room. now_ms in log time. */
void box_hand_on(const struct box *, int64_t now_ms, struct body_fish_kept *);

#endif
