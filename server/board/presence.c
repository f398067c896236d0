/* Who is there: the server's runs, the clock, the pages of the crew, the helm.
 *
 *     page_joined ──▶ here ◀──▶ asleep ◀──▶ lost            page_state, in any order
 *                      └───────────┴──────────┴──▶ left: off the board
 *
 * All of these are the server's own entries. A lost page stays to be seen. When there is no place left for a new page, the
 * one lost longest gives its own; when none is lost, the new page does not show.
 *
 * A real start (fresh) knows of no page, and of no line until it is seen again.
 *
 *   N1  no page that left is on the board
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

/* A server's word is never refused. */
enum refusal_code presence_admit(const struct board *b, const struct entry *e, struct about *about)
{
    (void)b;
    (void)e;
    (void)about;
    return REFUSAL_NONE;
}

static enum outcome run_apply(struct board *b, const struct entry *e)
{
    const struct body_run *body = &e->body.run;
    b->clock.run = body->run;
    b->clock.boot = body->boot;
    b->clock.estimated = body->estimated;
    if (!body->fresh)
        return OUTCOME_DONE;
    memset(b->pages, 0, sizeof b->pages);
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++)
        b->lines[i].unsure = b->lines[i].id != 0;
    return OUTCOME_DONE;
}

static enum outcome clock_apply(struct board *b, const struct entry *e)
{
    b->clock.utc_offset_ms = e->body.clock.utc_offset_ms;
    b->clock.source = e->body.clock.source;
    return OUTCOME_DONE;
}

static int32_t longest_lost(const struct board *b)
{
    int32_t slot = -1;
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++) {
        bool lost = b->pages[i].page != 0 && b->pages[i].state == PAGE_REACH_LOST;
        if (lost && (slot < 0 || b->pages[i].since_ms < b->pages[slot].since_ms))
            slot = i;
    }
    return slot;
}

static int32_t slot_for_page(const struct board *b, uint64_t page)
{
    int32_t slot = slot_find(b, PART_PAGES, &page);
    if (slot < 0)
        slot = slot_free(b, PART_PAGES);
    return slot < 0 ? longest_lost(b) : slot;
}

static enum outcome joined_apply(struct board *b, const struct entry *e)
{
    const struct body_page_joined *body = &e->body.page_joined;
    int32_t slot = slot_for_page(b, body->page);
    if (slot < 0 || body->page == 0 || body->state == PAGE_REACH_LEFT)
        return OUTCOME_MOOT;
    struct board_page *page = &b->pages[slot];
    page->page = body->page;
    page->device = body->device;
    page->hand = hand_may(b, body->hand) ? body->hand : 0;
    page->view = body->view;
    page->state = body->state;
    page->since_ms = e->at_ms;
    return OUTCOME_DONE;
}

static enum outcome state_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_find(b, PART_PAGES, &e->body.page_state.page);
    if (slot < 0)
        return OUTCOME_MOOT;
    struct board_page *page = &b->pages[slot];
    page->state = e->body.page_state.state;
    page->since_ms = e->at_ms;
    if (page->state == PAGE_REACH_LEFT)
        memset(page, 0, sizeof *page);
    return OUTCOME_DONE;
}

static enum outcome helm_apply(struct board *b, const struct entry *e)
{
    b->helm.device = e->body.helm_taken.device;
    b->helm.page = e->body.helm_taken.page;
    b->helm.hand = e->body.helm_taken.hand;
    b->helm.since_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome presence_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_RUN)
        return run_apply(b, e);
    if (e->kind == KIND_CLOCK)
        return clock_apply(b, e);
    if (e->kind == KIND_PAGE_JOINED)
        return joined_apply(b, e);
    return e->kind == KIND_PAGE_STATE ? state_apply(b, e) : helm_apply(b, e);
}

void presence_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++)
        CHECK(b->pages[i].state != PAGE_REACH_LEFT); /* N1 */
}
