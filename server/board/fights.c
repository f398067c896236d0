/* Fights: a fish on, each with its own clock, several at once.
 *
 *     strike_ended on (strikes.c) ──▶ open ──┬─ boated, released ─────────────────▶ counted; the line is in
 *                                    │  ▲    ├─ pulled, broke off, bitten off ────▶ counted; the line is out, its bait
 *                       fight_angler └──┘    │                                      to be looked at
 *                         leader             └─ not known ────────────────────────▶ counted; so is the line
 *
 * The end of a fight that nobody knew may be told later (open_ends.h): it is then counted instead, and the line stays as it is.
 *
 * The leader is held or let go, as of a time; the fight adds up how long it was held. It goes with the fight. How a released fish
 * swam off (fight_condition) is told when the fight has left the board: it is kept by its entry alone and changes nothing here.
 *
 *   F1  a fight names no line or one of the spread, and no other fight names that line
 *   F2  every fight belongs to an event, and its angler is nobody or a hand of the roster
 *   F3  no strike is open under a fight's identity
 *   F4  who wires is nobody or a hand of the roster, and nobody while the leader is free
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/open_ends.h"
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
    bool settles = e->body.fight_ended.end != FIGHT_END_NOT_KNOWN &&
                   open_end_find(b, e->body.fight_ended.fight, END_OF_FIGHT) != NULL;
    if (fight == NULL)
        return settles ? REFUSAL_NONE : refuse_gone(e, REFUSAL_FIGHT_OVER);
    about->line = fight->line;
    return REFUSAL_NONE;
}

static enum refusal_code leader_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->hand = e->body.leader.hand;
    if (!hand_may(b, about->hand))
        return REFUSAL_HAND_UNKNOWN;
    return fight_find(b, e->body.leader.fight) == NULL ? refuse_gone(e, REFUSAL_FIGHT_OVER) : REFUSAL_NONE;
}

enum refusal_code fights_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_FIGHT_ANGLER) {
        about->entry = e->body.fight_angler.fight;
        return angler_admit(b, e, about);
    }
    if (e->kind == KIND_LEADER) {
        about->entry = e->body.leader.fight;
        return leader_admit(b, e, about);
    }
    if (e->kind == KIND_FIGHT_CONDITION) {
        about->entry = e->body.fight_condition.fight;
        return e->body.fight_condition.condition == CONDITION_NONE ? REFUSAL_CONDITION_MISSING : REFUSAL_NONE;
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

/* Told again while it is held, it is held by who is named now, and since when stays. */
static enum outcome leader_apply(struct board *b, const struct entry *e)
{
    const struct body_leader *body = &e->body.leader;
    struct board_fight *fight = fight_edit(b, body->fight);
    if (fight == NULL || !hand_may(b, body->hand) || entry_late(e, fight->since_ms) || entry_late(e, fight->leader_ms))
        return OUTCOME_MOOT;
    if (fight->leader && !body->on)
        fight->leader_total_ms += e->at_ms - fight->leader_ms;
    if (fight->leader != body->on)
        fight->leader_ms = e->at_ms;
    fight->leader = body->on;
    fight->wire = body->on ? (body->hand != 0 ? body->hand : b->orders.wire) : 0;
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

/* The end of a fight that nobody had known. */
static enum outcome settled_apply(struct board *b, const struct entry *e, int32_t *count)
{
    struct board_open_end *open = open_end_edit(b, e->body.fight_ended.fight, END_OF_FIGHT);
    if (open == NULL || e->body.fight_ended.end == FIGHT_END_NOT_KNOWN || entry_late(e, open->at_ms))
        return OUTCOME_MOOT;
    memset(open, 0, sizeof *open);
    count_down(&b->counts.fights_not_known);
    count_up(count);
    return OUTCOME_DONE;
}

static enum outcome ended_apply(struct board *b, const struct entry *e)
{
    struct board_fight *fight = fight_edit(b, e->body.fight_ended.fight);
    int32_t *count = count_of(&b->counts, e->body.fight_ended.end);
    if (count == NULL)
        return OUTCOME_MOOT;
    if (fight == NULL)
        return settled_apply(b, e, count);
    if (entry_late(e, fight->since_ms))
        return OUTCOME_MOOT;
    struct board_line *line = line_edit(b, fight->line);
    if (e->body.fight_ended.end == FIGHT_END_NOT_KNOWN)
        open_end_note(b, fight->id, END_OF_FIGHT, fight->line, fight->since_ms);
    memset(fight, 0, sizeof *fight);
    if (line != NULL)
        line_left(line, e->body.fight_ended.end, e);
    count_up(count);
    return OUTCOME_DONE;
}

enum outcome fights_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_FIGHT_ANGLER)
        return angler_apply(b, e);
    if (e->kind == KIND_LEADER)
        return leader_apply(b, e);
    if (e->kind == KIND_FIGHT_CONDITION)
        return e->body.fight_condition.condition == CONDITION_NONE ? OUTCOME_MOOT : OUTCOME_DONE;
    return ended_apply(b, e);
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
        CHECK(hand_may(b, fight->wire));                                   /* F4 */
        CHECK(fight->leader || fight->wire == 0);                          /* F4 */
    }
}
