#include "debrief/order.h"

#include <stdlib.h>

#include "debrief/grow.h"

static struct entry_id none(void)
{
    return (struct entry_id){0};
}

struct entry_id order_names(const struct entry *e)
{
    const union entry_body *body = &e->body;
    if (e->instead_of.n != 0)
        return e->instead_of;
    switch (e->kind) {
    case KIND_STRIKE_NAMED: return body->strike_named.strike;
    case KIND_STRIKE_ENDED: return body->strike_ended.strike;
    case KIND_STRIKE_LAPSED: return body->strike_lapsed.strike;
    case KIND_FIGHT_ANGLER: return body->fight_angler.fight;
    case KIND_FIGHT_ENDED: return body->fight_ended.fight;
    case KIND_FIGHT_CONDITION: return body->fight_condition.fight;
    case KIND_LEADER: return body->leader.fight;
    case KIND_RAISE_TOUCHED: return body->raise_touched.episode;
    case KIND_RAISE_GEAR_MOVED: return body->raise_gear_moved.episode;
    case KIND_RAISE_ENDED: return body->raise_ended.episode;
    case KIND_RAISE_LAPSED: return body->raise_lapsed.episode;
    case KIND_CLEAR_OVER: return body->clear_over.clearing;
    case KIND_CHECK_ANSWERED: return body->check_answered.run;
    case KIND_CHECK_LEFT: return body->check_left.run;
    case KIND_CALL_GOT: return body->call_got.call;
    case KIND_CALL_DONE: return body->call_done.call;
    case KIND_CALL_OFF: return body->call_off.call;
    case KIND_CALL_UNHEARD: return body->call_unheard.call;
    case KIND_SHOWN: return body->shown.call;
    case KIND_OVERBOARD_WITHDRAWN: return body->overboard_withdrawn.call;
    case KIND_OVERBOARD_HEARD: return body->overboard_heard.call;
    case KIND_OVERBOARD_SIGHTED: return body->overboard_sighted.call;
    case KIND_OVERBOARD_PERSON: return body->overboard_person.call;
    case KIND_OVERBOARD_ENDED: return body->overboard_ended.call;
    case KIND_STOP_OVER: return body->stop_over.stop;
    case KIND_ASTERN_DECIDED: return body->astern_decided.asked;
    case KIND_HURT_TOLD: return body->hurt_told.hurt;
    case KIND_HURT_OVER: return body->hurt_over.hurt;
    case KIND_STAMP_TOLD: return body->stamp_told.stamp;
    case KIND_NOTED: return body->noted.about;
    case KIND_VOIDED: return body->voided.target;
    case KIND_FISH_TOLD: return body->fish_told.fish;
    case KIND_FISH_ICED: return body->fish_iced.fish;
    case KIND_REPORT_TOLD: return body->report_told.of;
    case KIND_HURT_KEPT: /* these three: of an earlier trip */
    case KIND_FISH_KEPT:
    case KIND_REPORT_KEPT: return none();
    case KIND_TRIP_STARTED:
    case KIND_TRIP_PHASE:
    case KIND_TRIP_ENDED:
    case KIND_HAND_ADDED:
    case KIND_HAND_STATION:
    case KIND_PAGE_HAND:
    case KIND_DUTY:
    case KIND_LINE_IS:
    case KIND_LINES_ARE:
    case KIND_LINE_BAIT:
    case KIND_LINES_SEEN:
    case KIND_STRIKE:
    case KIND_CLEAR_CALLED:
    case KIND_LINE_TAKEN:
    case KIND_LINE_KEPT:
    case KIND_CHECK_OPENED:
    case KIND_CALL:
    case KIND_OVERBOARD:
    case KIND_STOP:
    case KIND_RAISED:
    case KIND_DOOR:
    case KIND_GAFF:
    case KIND_ASTERN:
    case KIND_HURT:
    case KIND_STAMPED:
    case KIND_BAIT_CHECKED:
    case KIND_FLOAT_LIGHT:
    case KIND_SLICK:
    case KIND_STAND_BY:
    case KIND_ORDERS:
    case KIND_ORDERS_HEARD:
    case KIND_ANGLER_NEXT:
    case KIND_PLACE_SET:
    case KIND_FISH_COUNTED:
    case KIND_NEAR_MISS:
    case KIND_JOB:
    case KIND_JOB_DONE:
    case KIND_GEAR_FAULT:
    case KIND_ABOARD:
    case KIND_RULES_KEPT:
    case KIND_RUN:
    case KIND_CLOCK:
    case KIND_PAGE_JOINED:
    case KIND_PAGE_STATE:
    case KIND_HELM_TAKEN:
    case KIND_GAP_FILLED:
    case KIND_COUNT_: break;
    }
    return none();
}

/* What a row is sorted by. at_ms is the row's own time or, where that is earlier, that of what it names; steps counts how many
 * names away the entry is that gave the time. */
struct sorted {
    int64_t at_ms;
    uint64_t sender;
    int32_t n, steps, index;
    enum lane lane;
};

static int compared(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

static int by_time(const void *left, const void *right)
{
    const struct sorted *a = left, *b = right;
    int order = compared(a->at_ms, b->at_ms);
    order = order != 0 ? order : compared(a->steps, b->steps);
    order = order != 0 ? order : (a->sender > b->sender) - (a->sender < b->sender);
    order = order != 0 ? order : compared((int64_t)a->lane, (int64_t)b->lane);
    return order != 0 ? order : compared(a->n, b->n);
}

/* An entry names only what was in the log before it, so what it names has its place already. */
static void place(const struct journal *j, struct sorted *all, int32_t index)
{
    struct entry e;
    struct sorted *row = &all[index];
    journal_effective(j, index, &e);
    *row = (struct sorted){.at_ms = e.at_ms, .sender = e.id.sender, .n = e.id.n, .index = index, .lane = e.id.lane};
    struct entry_id name = order_names(&e);
    int32_t named = name.n == 0 ? -1 : journal_find(j, name);
    if (named >= 0 && named < index && all[named].at_ms >= row->at_ms) {
        row->at_ms = all[named].at_ms;
        row->steps = all[named].steps + 1;
    }
}

int32_t *order_make(const struct journal *j)
{
    struct sorted *all = zeroed((size_t)j->count, sizeof *all);
    int32_t *order = zeroed((size_t)j->count, sizeof *order);
    for (int32_t i = 0; i < j->count; i++)
        place(j, all, i);
    if (j->count > 1)
        qsort(all + 1, (size_t)j->count - 1, sizeof *all, by_time);
    for (int32_t i = 0; i < j->count; i++)
        order[i] = all[i].index;
    free(all);
    return order;
}
