/* Calls and what became of them, checklists, near misses.
 *
 * A call that came later than its time to live rang nowhere; the board answered it with MOOT. It is kept as late, and is in no
 * time. Answers are those of stations: who it was is not kept.
 */
#include <string.h>

#include "board/parts.h"
#include "debrief/tell.h"
#include "debrief/work.h"
#include "limit.h"

/* ---- calls ---- */

static void see_call(struct teller *t, bool late)
{
    struct call_fact *call = GROW(t->facts->calls);
    *call = (struct call_fact){.seq = t->seq,
                               .called_ms = t->entry.at_ms,
                               .shown_ms = NEVER,
                               .got_ms = NEVER,
                               .done_ms = NEVER,
                               .what = t->entry.body.call.what,
                               .to = t->entry.body.call.to,
                               .end = CALL_STATE_CALLED,
                               .late = late};
    teller_began(t, t->facts->calls.count - 1);
}

/* NULL: it is a clearing or an overboard call that is answered, or a call that never was one. */
static struct call_fact *call_of(struct teller *t, struct entry_id id)
{
    int32_t index = journal_find(t->journal, id);
    int32_t fact = teller_fact_of(t, id);
    if (fact < 0 || journal_row(t->journal, index)->kind != KIND_CALL)
        return NULL;
    return &t->facts->calls.items[fact];
}

static void see_shown(struct teller *t)
{
    struct call_fact *call = call_of(t, t->entry.body.shown.call);
    if (call != NULL && call->shown_ms == NEVER)
        call->shown_ms = t->entry.at_ms;
}

static void see_got(struct teller *t)
{
    struct call_fact *call = call_of(t, t->entry.body.call_got.call);
    if (call == NULL || call->got_ms != NEVER)
        return;
    call->got_ms = t->entry.at_ms;
    call->voice = t->entry.body.call_got.voice;
    call->end = CALL_STATE_GOT;
}

static void see_call_end(struct teller *t, struct entry_id id, enum call_state end)
{
    struct call_fact *call = call_of(t, id);
    if (call == NULL)
        return;
    call->end = end;
    if (end == CALL_STATE_DONE)
        call->done_ms = t->entry.at_ms;
}

static bool see_calls(struct teller *t)
{
    const union entry_body *body = &t->entry.body;
    switch ((int)t->entry.kind) {
    case KIND_CALL: see_call(t, false); return true;
    case KIND_SHOWN: see_shown(t); return true;
    case KIND_CALL_GOT: see_got(t); return true;
    case KIND_CALL_DONE: see_call_end(t, body->call_done.call, CALL_STATE_DONE); return true;
    case KIND_CALL_OFF: see_call_end(t, body->call_off.call, CALL_STATE_OFF); return true;
    case KIND_CALL_UNHEARD: see_call_end(t, body->call_unheard.call, CALL_STATE_NOT_HEARD); return true;
    }
    return false;
}

/* ---- checklists ---- */

static void see_opened(struct teller *t)
{
    int32_t slot = slot_find(&t->board, PART_LISTS, &t->entry.body.check_opened.list);
    struct check_fact *check = GROW(t->facts->checks);
    const struct board_list *list = &t->board.lists[slot];
    *check = (struct check_fact){.seq = t->seq,
                                 .opened_ms = t->entry.at_ms,
                                 .ended_ms = NEVER,
                                 .run = t->entry.id,
                                 .list = list->id,
                                 .name = texts_number(t->texts, list->name),
                                 .items = list->items_count};
    teller_began(t, t->facts->checks.count - 1);
}

/* How the run stands on the board: lists are few, and each holds its last run alone. */
static void follow_check(struct teller *t, struct entry_id run)
{
    int32_t fact = teller_fact_of(t, run);
    if (fact < 0)
        return;
    struct check_fact *check = &t->facts->checks.items[fact];
    int32_t slot = slot_find(&t->board, PART_CHECKS, &check->list);
    if (t->entry.kind == KIND_CHECK_ANSWERED)
        check->answers[t->entry.body.check_answered.item - 1] = t->entry.body.check_answered.answer;
    if (slot < 0 || !id_is(t->board.checks[slot].run, run))
        return;
    check->state = t->board.checks[slot].state;
    check->ended_ms = check->state == CHECK_STATE_OPEN ? NEVER : t->board.checks[slot].done_ms;
}

static void see_checks(struct teller *t)
{
    if (t->entry.kind == KIND_CHECK_OPENED) {
        see_opened(t);
        follow_check(t, t->entry.id);
    } else if (t->entry.kind == KIND_CHECK_ANSWERED) {
        follow_check(t, t->entry.body.check_answered.run);
    } else if (t->entry.kind == KIND_CHECK_LEFT) {
        follow_check(t, t->entry.body.check_left.run);
    }
}

enum { READING_MS = 1500 };

int32_t work_answers(const struct check_fact *check, enum check_answer answer)
{
    int32_t count = 0;
    for (int32_t i = 0; i < check->items; i++)
        count += check->answers[i] == answer;
    return count;
}

bool work_faster_than_reading(const struct check_fact *check)
{
    return check->state == CHECK_STATE_DONE && check->items > 0 && check->ended_ms != NEVER &&
           check->ended_ms - check->opened_ms < READING_MS * (int64_t)check->items;
}

/* ---- the dock ---- */

static void see_dock(struct teller *t)
{
    const struct body_near_miss *near = &t->entry.body.near_miss;
    if (t->entry.kind == KIND_NEAR_MISS)
        *GROW(t->facts->near_misses) = (struct near_fact){.seq = t->seq,
                                                          .at_ms = t->entry.at_ms,
                                                          .what = near->what,
                                                          .hand = near->hand,
                                                          .text = texts_number(t->texts, near->text)};
    if (t->entry.kind == KIND_FISH_COUNTED)
        t->facts->boated_counted = t->entry.body.fish_counted.boated;
    if (t->entry.kind == KIND_ORDERS && t->facts->orders_seq == 0) {
        t->facts->orders = t->board.orders;
        t->facts->orders_seq = t->seq;
    }
}

void work_see(struct teller *t)
{
    if (see_calls(t))
        return;
    see_checks(t);
    see_dock(t);
}

void work_see_late(struct teller *t)
{
    if (t->entry.kind == KIND_CALL && t->entry.got_ms - t->entry.at_ms > LIMIT_UNHEARD_MS)
        see_call(t, true);
}
