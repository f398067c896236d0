/* Fights: a fish on, each with its own clock, several at once.
 *
 *     strike_ended on (strikes.c) ──▶ open ──┬─ boated, released ─────────────────▶ counted; the line is in
 *                                    │  ▲    ├─ pulled, broke off, bitten off ────▶ counted; the line is out, its bait
 *                       fight_angler └──┘    │                                      to be looked at
 *                                            └─ not known ────────────────────────▶ counted; so is the line
 *
 *   F1  a fight names no line or one of the spread, and no other fight names that line
 *   F2  every fight belongs to an event, and its angler is nobody or a hand of the roster
 *   F3  no strike is open under a fight's identity
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static enum refusal_code angler_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->hand = e->body.fight_angler.hand;
    if (!hand_may(b, about->hand))
        return REFUSAL_HAND_UNKNOWN;
    return fight_find(b, e->body.fight_angler.fight) == NULL ? refuse_gone(e, REFUSAL_FIGHT_OVER) : REFUSAL_NONE;
}

static enum refusal_code ended_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_fight *fight = fight_find(b, e->body.fight_ended.fight);
    if (e->body.fight_ended.end == FIGHT_END_OPEN)
        return REFUSAL_END_MISSING;
    if (fight == NULL)
        return refuse_gone(e, REFUSAL_FIGHT_OVER);
    about->line = fight->line;
    return REFUSAL_NONE;
}

enum refusal_code fights_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_FIGHT_ANGLER) {
        about->entry = e->body.fight_angler.fight;
        return angler_admit(b, e, about);
    }
    about->entry = e->body.fight_ended.fight;
    return ended_admit(b, e, about);
}

static enum outcome angler_apply(struct board *b, const struct entry *e)
{
    struct board_fight *fight = fight_edit(b, e->body.fight_angler.fight);
    if (fight == NULL || !hand_may(b, e->body.fight_angler.hand))
        return OUTCOME_MOOT;
    fight->angler = e->body.fight_angler.hand;
    return OUTCOME_DONE;
}

static int32_t *count_of(struct board_counts *counts, enum fight_end end)
{
    switch (end) {
    case FIGHT_END_OPEN: return NULL;
    case FIGHT_END_BOATED: return &counts->boated;
    case FIGHT_END_RELEASED: return &counts->released;
    case FIGHT_END_PULLED: return &counts->pulled;
    case FIGHT_END_BROKE_OFF: return &counts->broke_off;
    case FIGHT_END_BITTEN_OFF: return &counts->bitten_off;
    case FIGHT_END_NOT_KNOWN: return &counts->fights_not_known;
    case FIGHT_END_COUNT_: break;
    }
    return NULL;
}

/* Where the line is left by a fight that ended so. */
static void line_left(struct board_line *line, enum fight_end end, const struct entry *e)
{
    if (end == FIGHT_END_BOATED || end == FIGHT_END_RELEASED) {
        line_becomes(line, LINE_STATE_IN, e);
    } else if (end == FIGHT_END_NOT_KNOWN) {
        line_becomes(line, LINE_STATE_NOT_KNOWN, e);
    } else {
        line_becomes(line, LINE_STATE_OUT, e);
        line->check = true;
    }
}

static enum outcome ended_apply(struct board *b, const struct entry *e)
{
    struct board_fight *fight = fight_edit(b, e->body.fight_ended.fight);
    int32_t *count = count_of(&b->counts, e->body.fight_ended.end);
    if (fight == NULL || count == NULL || entry_late(e, fight->since_ms))
        return OUTCOME_MOOT;
    struct board_line *line = line_edit(b, fight->line);
    memset(fight, 0, sizeof *fight);
    if (line != NULL)
        line_left(line, e->body.fight_ended.end, e);
    count_up(count);
    return OUTCOME_DONE;
}

enum outcome fights_apply(struct board *b, const struct entry *e)
{
    return e->kind == KIND_FIGHT_ANGLER ? angler_apply(b, e) : ended_apply(b, e);
}

void fights_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        const struct board_fight *fight = &b->fights[i];
        if (fight->id.n == 0)
            continue;
        CHECK(fight->line == 0 || line_find(b, fight->line) != NULL);      /* F1 */
        CHECK(fight->line == 0 || fight_on_line(b, fight->line) == fight); /* F1 */
        CHECK(fight->event.n != 0 && hand_may(b, fight->angler));          /* F2 */
        CHECK(strike_find(b, fight->id) == NULL);                          /* F3 */
    }
}
