/* Clearings: when they were called, when each line, each side and all was in, and how that was told.
 *
 * A clearing is watched from its call until the next one is called or it leaves the board. Which lines it asks for, and what is in
 * for sure, the board says; ALL CLEAR is the board's own word as well.
 */
#include <string.h>

#include "board/parts.h"
#include "debrief/tell.h"

static struct clearing_fact *watched(struct teller *t)
{
    return t->clearing < 0 ? NULL : &t->facts->clearings.items[t->clearing];
}

static struct cleared_line *line_in_clearing(struct clearing_fact *clearing, const struct board_line *line)
{
    for (int32_t i = 0; i < clearing->line_count; i++) {
        if (clearing->lines[i].line == line->id)
            return &clearing->lines[i];
    }
    struct cleared_line *added = &clearing->lines[clearing->line_count++];
    *added = (struct cleared_line){.line = line->id, .side = line->side, .taken_ms = NEVER, .in_ms = NEVER};
    return added;
}

static void follow_line(struct teller *t, struct clearing_fact *clearing, const struct board_line *line)
{
    struct cleared_line *cleared = line_in_clearing(clearing, line);
    if (line->kept)
        cleared->kept = true;
    if (line->state == LINE_STATE_CLEARING && cleared->taken_ms == NEVER)
        cleared->taken_ms = t->entry.at_ms;
    if (!line->asked || !line_sure_in(line) || cleared->in_ms != NEVER)
        return;
    cleared->in_ms = t->entry.at_ms;
    cleared->eye = line->eye;
    clearing->in_count++;
    clearing->last_in_ms = t->entry.at_ms;
}

/* Has this side lines that are asked for, and none of them still to come? */
static bool side_clear(const struct board *b, enum side side)
{
    bool any = false;
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        const struct board_line *line = &b->lines[i];
        if (line->id == 0 || line->side != side || !line->asked)
            continue;
        any = true;
        if (!line_sure_in(line) && line->state != LINE_STATE_ON && !line->kept)
            return false;
    }
    return any;
}

static void first_time(int64_t *ms, bool is_so, int64_t now_ms)
{
    if (is_so && *ms == NEVER)
        *ms = now_ms;
}

static void follow(struct teller *t, struct clearing_fact *clearing)
{
    const struct board *b = &t->board;
    int64_t now_ms = t->entry.at_ms;
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        if (b->lines[i].id != 0 && (b->lines[i].asked || b->lines[i].kept))
            follow_line(t, clearing, &b->lines[i]);
    }
    first_time(&clearing->port_ms, side_clear(b, SIDE_PORT), now_ms);
    first_time(&clearing->starboard_ms, side_clear(b, SIDE_STARBOARD), now_ms);
    first_time(&clearing->done_ms, b->clearing.state == CLEAR_STATE_DONE, now_ms);
    first_time(&clearing->all_ms, b->clear.is_clear, now_ms);
}

/* The last strike that was open, or had a fish on, when lines were to be cleared; NEVER: none. */
static int64_t strike_before(const struct teller *t)
{
    int64_t last_ms = NEVER;
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        const struct board_strike *strike = &t->board.strikes[i];
        if (strike->id.n != 0 && strike->at_ms > last_ms)
            last_ms = strike->at_ms;
    }
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        int32_t fact = t->board.fights[i].id.n == 0 ? -1 : teller_fact_of(t, t->board.fights[i].id);
        if (fact >= 0 && t->facts->strikes.items[fact].at_ms > last_ms)
            last_ms = t->facts->strikes.items[fact].at_ms;
    }
    return last_ms;
}

static void see_called(struct teller *t)
{
    const struct body_clear_called *body = &t->entry.body.clear_called;
    struct clearing_fact *clearing = GROW(t->facts->clearings);
    *clearing = (struct clearing_fact){.seq = t->seq,
                                       .called_ms = t->entry.at_ms,
                                       .strike_ms = strike_before(t),
                                       .port_ms = NEVER,
                                       .starboard_ms = NEVER,
                                       .all_ms = NEVER,
                                       .done_ms = NEVER,
                                       .over_ms = NEVER,
                                       .last_in_ms = NEVER,
                                       .id = t->entry.id,
                                       .preset = texts_number(t->texts, body->preset),
                                       .scope = body->scope,
                                       .reason = body->reason};
    t->clearing = t->facts->clearings.count - 1;
    teller_began(t, t->clearing);
}

void clearings_see(struct teller *t)
{
    if (t->entry.kind == KIND_CLEAR_CALLED)
        see_called(t);
    struct clearing_fact *clearing = watched(t);
    if (clearing == NULL)
        return;
    if (id_is(t->board.clearing.id, clearing->id)) {
        follow(t, clearing);
        return;
    }
    if (clearing->done_ms == NEVER)
        clearing->over_ms = t->entry.at_ms;
    first_time(&clearing->all_ms, t->board.clear.is_clear && clearing->over_ms == NEVER, t->entry.at_ms);
    t->clearing = -1;
}
