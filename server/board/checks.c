/* Checklists.
 *
 *     check_opened                   every item answered
 *     none, done, left ────▶ open ─────────────────────────▶ done
 *                            │  ▲ check_answered, in any order, the last answer to an item holds
 *                            │  └─┘
 *                            └─ check_left ────────────────▶ left
 *
 * The entry that opens a list names the run; answers name the run, so that one meant for yesterday's run never fills in
 * today's. One run a list at a time; the marks of a run that was left stand until the list is opened again. Of one that is done
 * only those stay that are worth knowing now, what was not done and what is not on this boat; the rest is in the log.
 *
 *   K1  every list has its standing, in the same slot
 *   K2  marks are in order of their items, one an item of the list, each with an answer; why is said of items not done only
 *   K3  next is the first item without an answer, 0 when there is none or the list is not open
 *   K4  open, an item has no answer yet; done, no mark says done
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

/* The slot whose run this is, -1: none. */
static int32_t slot_of_run(const struct board *b, struct entry_id run)
{
    for (int32_t i = 0; i < BOARD_CHECKS_MAX; i++) {
        if (id_is(b->checks[i].run, run))
            return i;
    }
    return -1;
}

static const struct check_mark *mark_find(const struct board_check *check, int32_t item)
{
    for (int32_t i = 0; i < check->marks_count; i++) {
        if (check->marks[i].item == item)
            return &check->marks[i];
    }
    return NULL;
}

static int32_t first_open(const struct board_check *check, int32_t items)
{
    for (int32_t item = 1; item <= items; item++) {
        if (mark_find(check, item) == NULL)
            return item;
    }
    return 0;
}

static enum refusal_code opened_admit(const struct board *b, const struct entry *e)
{
    int32_t slot = slot_find(b, PART_CHECKS, &e->body.check_opened.list);
    if (slot < 0)
        return REFUSAL_LIST_UNKNOWN;
    if (entry_late(e, b->checks[slot].since_ms))
        return REFUSAL_NONE;
    return b->checks[slot].state == CHECK_STATE_OPEN ? REFUSAL_CHECK_OPEN : REFUSAL_NONE;
}

/* The run must be on the board and open; a tap made before it was closed is history. */
static enum refusal_code run_refusal(const struct board *b, struct entry_id run, const struct entry *e)
{
    int32_t slot = slot_of_run(b, run);
    if (slot < 0)
        return refuse_gone(e, REFUSAL_CHECK_UNKNOWN);
    const struct board_check *check = &b->checks[slot];
    if (check->state == CHECK_STATE_OPEN || entry_late(e, check->done_ms))
        return REFUSAL_NONE;
    return REFUSAL_CHECK_OVER;
}

static enum refusal_code answer_refusal(const struct body_check_answered *body)
{
    if (body->answer == CHECK_ANSWER_OPEN)
        return REFUSAL_ANSWER_MISSING;
    return body->answer == CHECK_ANSWER_NOT_DONE && body->why == CHECK_WHY_NONE ? REFUSAL_WHY_MISSING : REFUSAL_NONE;
}

static enum refusal_code answered_admit(const struct board *b, const struct entry *e)
{
    const struct body_check_answered *body = &e->body.check_answered;
    enum refusal_code code = answer_refusal(body);
    if (code == REFUSAL_NONE)
        code = run_refusal(b, body->run, e);
    int32_t slot = slot_of_run(b, body->run);
    if (code != REFUSAL_NONE || slot < 0)
        return code;
    return body->item < 1 || body->item > b->lists[slot].items_count ? REFUSAL_ITEM_UNKNOWN : REFUSAL_NONE;
}

enum refusal_code checks_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_CHECK_OPENED)
        return opened_admit(b, e);
    if (e->kind == KIND_CHECK_ANSWERED) {
        about->entry = e->body.check_answered.run;
        return answered_admit(b, e);
    }
    about->entry = e->body.check_left.run;
    return run_refusal(b, about->entry, e);
}

static void close_run(struct board_check *check, enum check_state state, const struct entry *e)
{
    check->state = state;
    check->next = 0;
    check->done_ms = e->at_ms;
    check->done_by = e->by;
}

/* All has been answered: what was done as it should be needs no mark any more. */
static void drop_done(struct board_check *check)
{
    int32_t kept = 0;
    for (int32_t i = 0; i < check->marks_count; i++) {
        if (check->marks[i].answer != CHECK_ANSWER_DONE)
            check->marks[kept++] = check->marks[i];
    }
    memset(&check->marks[kept], 0, (size_t)(check->marks_count - kept) * sizeof check->marks[0]);
    check->marks_count = kept;
}

/* Sets the bookmark, and closes the list when nothing is open. A list without items is done as it is opened. */
static void move_on(struct board *b, int32_t slot, const struct entry *e)
{
    struct board_check *check = &b->checks[slot];
    check->next = first_open(check, b->lists[slot].items_count);
    if (check->next != 0)
        return;
    close_run(check, CHECK_STATE_DONE, e);
    drop_done(check);
    count_up(&b->counts.checks);
}

static enum outcome opened_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_find(b, PART_CHECKS, &e->body.check_opened.list);
    if (slot < 0 || b->checks[slot].state == CHECK_STATE_OPEN || entry_late(e, b->checks[slot].since_ms))
        return OUTCOME_MOOT;
    struct board_check *check = &b->checks[slot];
    memset(check, 0, sizeof *check);
    check->list = e->body.check_opened.list;
    check->run = e->id;
    check->state = CHECK_STATE_OPEN;
    check->since_ms = e->at_ms;
    check->by = e->by;
    move_on(b, slot, e);
    return OUTCOME_DONE;
}

/* The item's mark; a new one is put in its place among the others. */
static struct check_mark *mark_edit(struct board_check *check, int32_t item)
{
    int32_t i = 0;
    while (i < check->marks_count && check->marks[i].item < item)
        i++;
    struct check_mark *mark = &check->marks[i];
    if (i < check->marks_count && mark->item == item)
        return mark;
    memmove(mark + 1, mark, (size_t)(check->marks_count - i) * sizeof *mark);
    memset(mark, 0, sizeof *mark);
    mark->item = item;
    check->marks_count++;
    return mark;
}

static enum outcome answered_apply(struct board *b, const struct entry *e)
{
    const struct body_check_answered *body = &e->body.check_answered;
    int32_t slot = slot_of_run(b, body->run);
    if (slot < 0 || b->checks[slot].state != CHECK_STATE_OPEN || answer_refusal(body) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    const struct check_mark *old = mark_find(&b->checks[slot], body->item);
    if (body->item < 1 || body->item > b->lists[slot].items_count || (old != NULL && entry_late(e, old->at_ms)))
        return OUTCOME_MOOT;
    struct check_mark *mark = mark_edit(&b->checks[slot], body->item);
    mark->answer = body->answer;
    mark->why = body->answer == CHECK_ANSWER_NOT_DONE ? body->why : CHECK_WHY_NONE;
    mark->by = e->by;
    mark->at_ms = e->at_ms;
    move_on(b, slot, e);
    return OUTCOME_DONE;
}

static enum outcome left_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_of_run(b, e->body.check_left.run);
    if (slot < 0 || b->checks[slot].state != CHECK_STATE_OPEN)
        return OUTCOME_MOOT;
    close_run(&b->checks[slot], CHECK_STATE_LEFT, e);
    return OUTCOME_DONE;
}

enum outcome checks_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_CHECK_OPENED)
        return opened_apply(b, e);
    return e->kind == KIND_CHECK_ANSWERED ? answered_apply(b, e) : left_apply(b, e);
}

static void check_check(const struct board_check *check, const struct board_list *list)
{
    bool open = check->state == CHECK_STATE_OPEN;
    for (int32_t i = 0; i < check->marks_count; i++) {
        const struct check_mark *mark = &check->marks[i];
        CHECK(mark->item >= 1 && mark->item <= list->items_count);                       /* K2 */
        CHECK(i == 0 || mark->item > check->marks[i - 1].item);                          /* K2 */
        CHECK(mark->answer != CHECK_ANSWER_OPEN);                                        /* K2 */
        CHECK((mark->why != CHECK_WHY_NONE) == (mark->answer == CHECK_ANSWER_NOT_DONE)); /* K2 */
        CHECK(check->state != CHECK_STATE_DONE || mark->answer != CHECK_ANSWER_DONE);    /* K4 */
    }
    CHECK(check->next == (open ? first_open(check, list->items_count) : 0)); /* K3 */
    CHECK(!open || check->next != 0);                                        /* K4 */
    CHECK((check->state != CHECK_STATE_NONE) == (check->run.n != 0));        /* K4 */
}

void checks_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_CHECKS_MAX; i++) {
        CHECK(b->checks[i].list == b->lists[i].id); /* K1 */
        check_check(&b->checks[i], &b->lists[i]);
    }
}
