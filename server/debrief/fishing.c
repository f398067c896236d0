/* Strikes, raises, fights: what bit, what was seen before it bit, what came of it.
 *
 * Whether an entry counts is apply's word (DONE); what a strike or a fish is afterwards is read off the board. Which raised fish a
 * strike was is the board's word too: the raise that says it went for that line then.
 */
#include <string.h>

#include "board/parts.h"
#include "debrief/tell.h"

static struct strike_fact *strike_of(struct teller *t, struct entry_id id)
{
    int32_t fact = teller_fact_of(t, id);
    return fact < 0 ? NULL : &t->facts->strikes.items[fact];
}

static struct fight_fact *fight_of(struct teller *t, struct entry_id id)
{
    for (int32_t i = t->facts->fights.count - 1; i >= 0; i--) {
        if (id_is(t->facts->fights.items[i].id, id))
            return &t->facts->fights.items[i];
    }
    return NULL;
}

static struct raise_fact *raise_of(struct teller *t, struct entry_id id)
{
    int32_t fact = teller_fact_of(t, id);
    return fact < 0 ? NULL : &t->facts->raises.items[fact];
}

/* ---- strikes ---- */

static void hang_strike(struct teller *t, struct strike_fact *strike, int32_t id)
{
    const struct board_line *line = line_find(&t->board, id);
    if (line == NULL)
        return;
    int64_t seen_ms = line->bait_ms > line->checked_ms ? line->bait_ms : line->checked_ms;
    strike->line = id;
    strike->label = lanes_label(t->texts, line);
    strike->side = line->side;
    strike->bait = texts_number(t->texts, line->bait);
    strike->bait_age_ms = seen_ms > 0 && seen_ms <= strike->at_ms ? strike->at_ms - seen_ms : NEVER;
}

/* The raised fish that a strike on this line at that time was. */
static void credit_raise(struct teller *t, int32_t line, int64_t at_ms)
{
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        const struct board_raise *raise = &t->board.raises[i];
        struct raise_fact *fact = raise->id.n == 0 ? NULL : raise_of(t, raise->id);
        if (fact != NULL && line != 0 && raise->line == line && raise->at_ms <= at_ms && raise->told_ms >= at_ms) {
            fact->bites++;
            return;
        }
    }
}

static bool raise_up(const struct board *b, int64_t at_ms)
{
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        if (b->raises[i].id.n != 0 && b->raises[i].at_ms <= at_ms)
            return true;
    }
    return false;
}

static void see_strike(struct teller *t)
{
    struct strike_fact *strike = GROW(t->facts->strikes);
    strike->seq = t->seq;
    strike->at_ms = t->entry.at_ms;
    strike->bait_age_ms = NEVER;
    strike->phase = t->board.trip.phase;
    strike->blind = !raise_up(&t->board, t->entry.at_ms);
    hang_strike(t, strike, t->entry.body.strike.line);
    teller_began(t, t->facts->strikes.count - 1);
    credit_raise(t, strike->line, strike->at_ms);
}

static void see_named(struct teller *t)
{
    struct strike_fact *strike = strike_of(t, t->entry.body.strike_named.strike);
    if (strike == NULL)
        return;
    hang_strike(t, strike, t->entry.body.strike_named.line);
    if (strike_find(&t->board, t->entry.body.strike_named.strike) != NULL)
        credit_raise(t, strike->line, strike->at_ms);
}

static void open_fight(struct teller *t, struct entry_id id, const struct strike_fact *strike)
{
    const struct board_fight *on_board = fight_find(&t->board, id);
    *GROW(t->facts->fights) = (struct fight_fact){
        .seq = strike->seq,
        .strike_ms = strike->at_ms,
        .id = id,
        .strike = (int32_t)(strike - t->facts->strikes.items),
        .on_ms = on_board != NULL ? on_board->since_ms : NEVER,
        .leader_ms = NEVER,
        .held_since_ms = NEVER,
        .ended_ms = NEVER,
        .line = strike->line,
        .open = on_board != NULL,
        .end = on_board != NULL ? FIGHT_END_OPEN : FIGHT_END_NOT_KNOWN,
    };
}

static void see_strike_end(struct teller *t, struct entry_id id, enum strike_end end)
{
    struct strike_fact *strike = strike_of(t, id);
    if (strike == NULL)
        return;
    strike->end = end;
    strike->hooked = end == STRIKE_END_ON;
    if (strike->hooked)
        open_fight(t, id, strike);
}

/* ---- fights ---- */

static void see_leader(struct teller *t)
{
    struct fight_fact *fight = fight_of(t, t->entry.body.leader.fight);
    const struct board_fight *on_board = fight_find(&t->board, t->entry.body.leader.fight);
    if (fight == NULL || on_board == NULL)
        return;
    if (on_board->leader && fight->leader_ms == NEVER)
        fight->leader_ms = on_board->leader_ms;
    fight->held_since_ms = on_board->leader ? on_board->leader_ms : NEVER;
    fight->leader_total_ms = on_board->leader_total_ms;
}

/* An end told at the dock says nothing of when it was. */
static void see_fight_end(struct teller *t)
{
    struct fight_fact *fight = fight_of(t, t->entry.body.fight_ended.fight);
    if (fight == NULL)
        return;
    fight->end = t->entry.body.fight_ended.end;
    if (fight->open) {
        fight->ended_ms = t->entry.at_ms;
        if (fight->held_since_ms != NEVER)
            fight->leader_total_ms += t->entry.at_ms - fight->held_since_ms;
    }
    fight->open = false;
    bool caught = fight->end == FIGHT_END_BOATED || fight->end == FIGHT_END_RELEASED;
    t->facts->strikes.items[fight->strike].caught = caught;
}

static void follow_fights(struct teller *t)
{
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        const struct board_fight *on_board = &t->board.fights[i];
        struct fight_fact *fight = on_board->id.n == 0 ? NULL : fight_of(t, on_board->id);
        if (fight != NULL) {
            fight->line = on_board->line;
            fight->angler = on_board->angler;
        }
    }
}

/* ---- raises ---- */

static void hang_raise(struct teller *t, struct raise_fact *raise, int32_t id)
{
    const struct board_line *line = line_find(&t->board, id);
    if (line == NULL)
        return;
    raise->line = id;
    raise->label = lanes_label(t->texts, line);
    raise->side = line->side;
    raise->bait = texts_number(t->texts, line->bait);
}

/* A raise told again is no other fish: then the board has none under that identity. */
static void see_raised(struct teller *t)
{
    if (raise_find(&t->board, t->entry.id) == NULL)
        return;
    struct raise_fact *raise = GROW(t->facts->raises);
    *raise = (struct raise_fact){.seq = t->seq,
                                 .at_ms = t->entry.at_ms,
                                 .ended_ms = NEVER,
                                 .id = t->entry.id,
                                 .phase = t->board.trip.phase,
                                 .up = true};
    t->raises_up++;
    teller_began(t, t->facts->raises.count - 1);
}

static void see_raise_end(struct teller *t, struct entry_id id, enum raise_end end)
{
    struct raise_fact *raise = raise_of(t, id);
    if (raise == NULL)
        return;
    raise->end = end;
    if (raise->up) {
        raise->ended_ms = t->entry.at_ms;
        t->raises_up--;
    }
    raise->up = false;
}

/* One that is gone from the board without an end told came tight. */
static void follow_raises(struct teller *t)
{
    int32_t up = t->raises_up;
    for (int32_t i = t->facts->raises.count - 1; up > 0; i--) {
        struct raise_fact *raise = &t->facts->raises.items[i];
        if (!raise->up)
            continue;
        up--;
        const struct board_raise *on_board = raise_find(&t->board, raise->id);
        if (on_board == NULL) {
            see_raise_end(t, raise->id, RAISE_END_BIT);
            continue;
        }
        raise->touches = on_board->touches;
        if (raise->line == 0 && on_board->path_count > 0)
            hang_raise(t, raise, on_board->path[0].line);
    }
}

void fishing_see(struct teller *t)
{
    const union entry_body *body = &t->entry.body;
    enum entry_kind kind = t->entry.kind;
    if (kind == KIND_STRIKE)
        see_strike(t);
    else if (kind == KIND_STRIKE_NAMED)
        see_named(t);
    else if (kind == KIND_STRIKE_ENDED)
        see_strike_end(t, body->strike_ended.strike, body->strike_ended.end);
    else if (kind == KIND_STRIKE_LAPSED)
        see_strike_end(t, body->strike_lapsed.strike, STRIKE_END_NOT_KNOWN);
    else if (kind == KIND_LEADER)
        see_leader(t);
    else if (kind == KIND_FIGHT_ENDED)
        see_fight_end(t);
    else if (kind == KIND_FIGHT_CONDITION) {
        struct fight_fact *fight = fight_of(t, body->fight_condition.fight);
        if (fight != NULL)
            fight->condition = body->fight_condition.condition;
    } else if (kind == KIND_RAISED)
        see_raised(t);
    else if (kind == KIND_RAISE_ENDED)
        see_raise_end(t, body->raise_ended.episode, body->raise_ended.end);
    else if (kind == KIND_RAISE_LAPSED)
        see_raise_end(t, body->raise_lapsed.episode, RAISE_END_NOT_KNOWN);
    follow_fights(t);
    follow_raises(t);
}
