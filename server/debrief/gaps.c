/* Times of which nothing, or less than usual, is known: the server was not running, a page was not heard, the helm had no page that
 * was heard, the clock was set or is an estimate, entries never came.
 *
 * When the server was away is known from the order of the log: from the last row before a start to the start.
 */
#include <stdlib.h>
#include <string.h>

#include "board/parts.h"
#include "debrief/tell.h"
#include "limit.h"

static struct gap_fact *note(struct teller *t, enum gap_of of, int64_t from_ms, int64_t to_ms)
{
    struct gap_fact *gap = GROW(t->facts->gaps);
    *gap = (struct gap_fact){.of = of, .from_ms = from_ms, .to_ms = to_ms > from_ms ? to_ms : from_ms};
    return gap;
}

static void make_start(struct teller *t, const struct entry *e, int64_t before_ms)
{
    if (e->body.run.fresh) {
        note(t, GAP_SERVER, before_ms, e->got_ms)->estimated = e->body.run.estimated;
        if (e->got_ms > before_ms)
            *GROW(t->away) = (struct away){.from_ms = before_ms, .to_ms = e->got_ms};
    }
    if (e->body.run.estimated) {
        note(t, GAP_CLOCK, before_ms, e->got_ms)->estimated = true;
        t->facts->clock_estimated = true;
    }
}

static void make_clock(struct teller *t, const struct entry *e, int64_t *offset_ms)
{
    int64_t moved_ms = e->body.clock.utc_offset_ms - *offset_ms;
    if (*offset_ms != 0 && llabs(moved_ms) >= LIMIT_CLOCK_MS)
        (void)note(t, GAP_CLOCK, e->got_ms, e->got_ms);
    *offset_ms = e->body.clock.utc_offset_ms;
}

void gaps_make(struct teller *t)
{
    struct entry e;
    int64_t before_ms = t->facts->started_ms, offset_ms = 0;
    for (int32_t i = 0; i < t->journal->count; i++) {
        const struct journal_row *row = journal_row(t->journal, i);
        journal_effective(t->journal, i, &e);
        if (row->kind == KIND_GAP_FILLED)
            note(t, GAP_MISSING, e.got_ms, e.got_ms)->page = e.id.sender;
        else if (row->kind == KIND_RUN && !row->refused)
            make_start(t, &e, before_ms);
        else if (row->kind == KIND_CLOCK && !row->refused)
            make_clock(t, &e, &offset_ms);
        before_ms = e.got_ms;
    }
}

/* ---- pages ---- */

/* The open gap of a page, NULL: none. An open one has its end before its beginning. */
static struct gap_fact *open_gap(struct teller *t, uint64_t page)
{
    for (int32_t i = t->facts->gaps.count - 1; i >= 0; i--) {
        struct gap_fact *gap = &t->facts->gaps.items[i];
        if (gap->of == GAP_PAGE && gap->page == page && gap->to_ms == NEVER)
            return gap;
    }
    return NULL;
}

static void see_page(struct teller *t, uint64_t page, enum page_reach reach)
{
    struct gap_fact *gap = open_gap(t, page);
    if (reach == PAGE_REACH_LOST && gap == NULL) {
        gap = note(t, GAP_PAGE, t->entry.at_ms, 0);
        gap->page = page;
        gap->to_ms = NEVER;
        t->gaps_open++;
    } else if (reach != PAGE_REACH_LOST && gap != NULL) {
        gap->to_ms = t->entry.at_ms > gap->from_ms ? t->entry.at_ms : gap->from_ms;
        t->gaps_open--;
    }
}

/* ---- the helm ---- */

static bool helm_heard(const struct board *b)
{
    int32_t slot = b->helm.page == 0 ? -1 : slot_find(b, PART_PAGES, &b->helm.page);
    return slot >= 0 && b->pages[slot].state != PAGE_REACH_LOST;
}

static void see_helm(struct teller *t)
{
    bool heard = helm_heard(&t->board);
    if (heard && t->helm_gone_ms != NEVER) {
        (void)note(t, GAP_HELM, t->helm_gone_ms, t->entry.at_ms);
        t->helm_gone_ms = NEVER;
    } else if (!heard && t->helm_gone_ms == NEVER && t->board.helm.page != 0) {
        t->helm_gone_ms = t->entry.at_ms;
    }
}

void gaps_see(struct teller *t)
{
    const union entry_body *body = &t->entry.body;
    if (t->over)
        return;
    if (t->entry.kind == KIND_PAGE_STATE)
        see_page(t, body->page_state.page, body->page_state.state);
    else if (t->entry.kind == KIND_PAGE_JOINED && t->gaps_open > 0)
        see_page(t, body->page_joined.page, body->page_joined.state);
    if (t->entry.kind == KIND_PAGE_STATE || t->entry.kind == KIND_PAGE_JOINED || t->entry.kind == KIND_HELM_TAKEN ||
        t->entry.kind == KIND_RUN)
        see_helm(t);
}

static int by_from(const void *left, const void *right)
{
    const struct gap_fact *a = left, *b = right;
    if (a->from_ms != b->from_ms)
        return a->from_ms < b->from_ms ? -1 : 1;
    if (a->of != b->of)
        return a->of < b->of ? -1 : 1;
    return (a->page > b->page) - (a->page < b->page);
}

void gaps_end(struct teller *t)
{
    struct facts *f = t->facts;
    if (t->helm_gone_ms != NEVER)
        (void)note(t, GAP_HELM, t->helm_gone_ms, f->ended_ms);
    for (int32_t i = 0; i < f->gaps.count; i++) {
        struct gap_fact *gap = &f->gaps.items[i];
        if (gap->to_ms == NEVER)
            gap->to_ms = f->ended_ms > gap->from_ms ? f->ended_ms : gap->from_ms;
    }
    if (f->gaps.count > 0)
        qsort(f->gaps.items, (size_t)f->gaps.count, sizeof *f->gaps.items, by_from);
}
