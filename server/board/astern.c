/* Astern.
 *
 *                 astern                    astern_decided
 *     none ─────────────────▶ asked ──┬───────────────────────▶ stopped ──┐
 *                              │  ▲   └───────────────────────▶ went ─────┤
 *                              └──┘ asked again: what is in the way       │
 *                               ▲   is looked up anew                     │
 *                               └────────────── astern ───────────────────┘
 *
 * Asking is always admitted: the board never stands between a captain and his gears. What it answers is what is logged in the
 * way: how many lines, teasers, dredges and floats with no fish on are not in for sure, and whether the door is open. None is
 * not safe; it is only nothing logged.
 *
 *   Q1  none, every byte is zero
 *   Q2  decided exactly when stopped or gone, and not before it was asked
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static int32_t lines_in_the_way(const struct board *b)
{
    int32_t count = 0;
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        const struct board_line *line = &b->lines[i];
        count += line->id != 0 && line->state != LINE_STATE_ON && !line_sure_in(line);
    }
    return count;
}

/* The question that stands, asked by this entry's name; false: it is decided, or another one stands. */
static bool asks(const struct board *b, struct entry_id asked)
{
    return b->astern.state == ASTERN_STATE_ASKED && id_is(b->astern.id, asked);
}

enum refusal_code astern_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_ASTERN)
        return REFUSAL_NONE;
    about->entry = e->body.astern_decided.asked;
    return asks(b, about->entry) ? REFUSAL_NONE : refuse_gone(e, REFUSAL_ASTERN_OVER);
}

/* The last thing that was said about going astern. */
static int64_t last_ms(const struct board_astern *astern)
{
    return astern->state == ASTERN_STATE_ASKED ? astern->since_ms : astern->decided_ms;
}

static enum outcome asked_apply(struct board *b, const struct entry *e)
{
    struct board_astern *astern = &b->astern;
    if (entry_late(e, last_ms(astern)))
        return OUTCOME_MOOT;
    if (astern->state != ASTERN_STATE_ASKED) {
        memset(astern, 0, sizeof *astern);
        astern->id = e->id;
        astern->state = ASTERN_STATE_ASKED;
        astern->by = e->by;
        astern->since_ms = e->at_ms;
        count_up(&b->counts.asterns);
    }
    astern->out = lines_in_the_way(b);
    astern->door = b->deck.door;
    return OUTCOME_DONE;
}

enum outcome astern_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_ASTERN)
        return asked_apply(b, e);
    if (!asks(b, e->body.astern_decided.asked) || entry_late(e, b->astern.since_ms))
        return OUTCOME_MOOT;
    b->astern.state = e->body.astern_decided.went ? ASTERN_STATE_WENT : ASTERN_STATE_STOPPED;
    b->astern.decided_ms = e->at_ms;
    return OUTCOME_DONE;
}

void astern_check(const struct board *b)
{
    struct board_astern none;
    memset(&none, 0, sizeof none);
    bool decided = b->astern.state == ASTERN_STATE_STOPPED || b->astern.state == ASTERN_STATE_WENT;
    CHECK((b->astern.state == ASTERN_STATE_NONE) == (b->astern.id.n == 0));                  /* Q1 */
    CHECK(b->astern.id.n != 0 || memcmp(&b->astern, &none, sizeof none) == 0);               /* Q1 */
    CHECK(decided ? b->astern.decided_ms >= b->astern.since_ms : b->astern.decided_ms == 0); /* Q2 */
}
