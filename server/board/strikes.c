/* Strikes: something took a bait, or hit it.
 *
 *     strike ──▶ open ──┬─ strike_ended on ────────▶ a fight of the same identity (fights.c)
 *                 │  ▲  ├─ strike_ended knockdown ─▶ counted; the line is out, its bait to be looked at
 *    strike_named └──┘  ├─ strike_ended gone ──────▶ counted; the line is out
 *                       └─ strike_lapsed ──────────▶ counted; the line is out, as far as anyone knows
 *
 * The shout comes first and the line may be named later, even of the fight that came of it. A strike on a line that is logged
 * as in is taken: the log was behind. A second one within LIMIT_JOIN_MS joins the event of the first, which is known from the
 * strikes and fights on the board; on the same line it is the same strike told twice, and does nothing.
 *
 * A strike is late for its line when the line's state has changed since, not when the same state was only told again.
 *
 *   S1  an open strike names no line or one of the spread, and no other open strike and no fight names that line
 *   S2  every open strike belongs to an event
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"
#include "limit.h"

static bool near(int64_t a_ms, int64_t b_ms)
{
    return a_ms - b_ms <= LIMIT_JOIN_MS && b_ms - a_ms <= LIMIT_JOIN_MS;
}

/* The event of the earliest strike or fight near in time; else the strike's own. */
static struct entry_id event_of(const struct board *b, const struct entry *e)
{
    struct entry_id event = e->id;
    int64_t earliest_ms = INT64_MAX;
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        const struct board_strike *strike = &b->strikes[i];
        if (strike->id.n != 0 && near(strike->at_ms, e->at_ms) && strike->at_ms < earliest_ms) {
            event = strike->event;
            earliest_ms = strike->at_ms;
        }
    }
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        const struct board_fight *fight = &b->fights[i];
        if (fight->id.n != 0 && near(fight->since_ms, e->at_ms) && fight->since_ms < earliest_ms) {
            event = fight->event;
            earliest_ms = fight->since_ms;
        }
    }
    return event;
}

static enum refusal_code struck_admit(const struct board *b, const struct entry *e, struct about *about)
{
    int32_t id = about->line = e->body.strike.line;
    if (id != 0) {
        const struct board_line *line = line_find(b, id);
        if (line == NULL)
            return REFUSAL_LINE_UNKNOWN;
        if (entry_late(e, line->since_ms) || strike_on_line(b, id) != NULL)
            return REFUSAL_NONE;
        if (fight_on_line(b, id) != NULL)
            return REFUSAL_LINE_HAS_FISH;
    }
    return slot_free(b, PART_STRIKES) < 0 ? REFUSAL_STRIKES_FULL : REFUSAL_NONE;
}

static enum refusal_code named_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_strike *strike = strike_find(b, e->body.strike_named.strike);
    const struct board_fight *fight = fight_find(b, e->body.strike_named.strike);
    about->line = e->body.strike_named.line;
    if (line_find(b, about->line) == NULL)
        return REFUSAL_LINE_UNKNOWN;
    if (strike == NULL && fight == NULL)
        return refuse_gone(e, REFUSAL_STRIKE_OVER);
    int32_t named = strike != NULL ? strike->line : fight->line;
    if (named == about->line)
        return REFUSAL_NONE;
    if (named != 0) {
        about->line = named;
        return REFUSAL_STRIKE_NAMED;
    }
    if (strike_on_line(b, about->line) != NULL)
        return REFUSAL_LINE_STRUCK;
    return fight_on_line(b, about->line) != NULL ? REFUSAL_LINE_HAS_FISH : REFUSAL_NONE;
}

static bool end_told(enum strike_end end)
{
    return end == STRIKE_END_ON || end == STRIKE_END_KNOCKDOWN || end == STRIKE_END_GONE;
}

static enum refusal_code ended_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_strike *strike = strike_find(b, e->body.strike_ended.strike);
    if (!end_told(e->body.strike_ended.end))
        return REFUSAL_END_MISSING;
    if (strike == NULL)
        return refuse_gone(e, REFUSAL_STRIKE_OVER);
    about->line = strike->line;
    bool on = e->body.strike_ended.end == STRIKE_END_ON;
    return on && slot_free(b, PART_FIGHTS) < 0 ? REFUSAL_FIGHTS_FULL : REFUSAL_NONE;
}

enum refusal_code strikes_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_STRIKE)
        return struck_admit(b, e, about);
    if (e->kind == KIND_STRIKE_NAMED) {
        about->entry = e->body.strike_named.strike;
        return named_admit(b, e, about);
    }
    if (e->kind == KIND_STRIKE_ENDED) {
        about->entry = e->body.strike_ended.strike;
        return ended_admit(b, e, about);
    }
    return REFUSAL_NONE;
}

static enum outcome struck_apply(struct board *b, const struct entry *e)
{
    int32_t id = e->body.strike.line;
    struct board_line *line = line_edit(b, id);
    int32_t slot = slot_free(b, PART_STRIKES);
    if (slot < 0 || (id != 0 && line == NULL))
        return OUTCOME_MOOT;
    if (line != NULL &&
        (entry_late(e, line->since_ms) || strike_on_line(b, id) != NULL || fight_on_line(b, id) != NULL))
        return OUTCOME_MOOT;
    struct entry_id event = event_of(b, e);
    struct board_strike *strike = &b->strikes[slot];
    strike->id = e->id;
    strike->event = event;
    strike->line = id;
    strike->at_ms = e->at_ms;
    strike->by = e->by;
    if (line != NULL)
        line_becomes(line, LINE_STATE_STRIKE, e);
    count_up(&b->counts.strikes);
    return OUTCOME_DONE;
}

/* A line told something else since the strike keeps what it was told; a fight needs its line as it is. */
static enum outcome named_apply(struct board *b, const struct entry *e)
{
    int32_t id = e->body.strike_named.line;
    struct board_strike *strike = strike_edit(b, e->body.strike_named.strike);
    struct board_fight *fight = fight_edit(b, e->body.strike_named.strike);
    struct board_line *line = line_edit(b, id);
    if (line == NULL || strike_on_line(b, id) != NULL || fight_on_line(b, id) != NULL)
        return OUTCOME_MOOT;
    if (strike != NULL && strike->line == 0) {
        strike->line = id;
        if (!entry_late(e, line->since_ms))
            line_becomes(line, LINE_STATE_STRIKE, e);
        return OUTCOME_DONE;
    }
    if (fight != NULL && fight->line == 0 && !entry_late(e, line->since_ms)) {
        fight->line = id;
        line_becomes(line, LINE_STATE_ON, e);
        return OUTCOME_DONE;
    }
    return OUTCOME_MOOT;
}

static enum outcome hooked(struct board *b, const struct entry *e, struct board_strike *strike)
{
    struct board_line *line = line_edit(b, strike->line);
    int32_t slot = slot_free(b, PART_FIGHTS);
    if (slot < 0 || (line != NULL && entry_late(e, line->since_ms)))
        return OUTCOME_MOOT;
    struct board_fight *fight = &b->fights[slot];
    fight->id = strike->id;
    fight->event = strike->event;
    fight->line = strike->line;
    fight->since_ms = e->at_ms;
    memset(strike, 0, sizeof *strike);
    if (line != NULL)
        line_becomes(line, LINE_STATE_ON, e);
    count_up(&b->counts.hooked);
    return OUTCOME_DONE;
}

/* The line goes back to out, unless it has been told something else since. */
static void unhooked(struct board *b, const struct entry *e, struct board_strike *strike, bool look_at_bait)
{
    struct board_line *line = line_edit(b, strike->line);
    memset(strike, 0, sizeof *strike);
    if (line == NULL)
        return;
    if (line->state == LINE_STATE_STRIKE)
        line_becomes(line, LINE_STATE_OUT, e);
    if (look_at_bait)
        line->check = true;
}

static enum outcome ended_apply(struct board *b, const struct entry *e)
{
    struct board_strike *strike = strike_edit(b, e->body.strike_ended.strike);
    enum strike_end end = e->body.strike_ended.end;
    if (strike == NULL || !end_told(end))
        return OUTCOME_MOOT;
    if (end == STRIKE_END_ON)
        return hooked(b, e, strike);
    unhooked(b, e, strike, end == STRIKE_END_KNOCKDOWN);
    count_up(end == STRIKE_END_KNOCKDOWN ? &b->counts.knockdowns : &b->counts.gone);
    return OUTCOME_DONE;
}

/* Nobody said. Most likely the line is still out; nobody has seen it. */
static enum outcome lapsed_apply(struct board *b, const struct entry *e)
{
    struct board_strike *strike = strike_edit(b, e->body.strike_lapsed.strike);
    if (strike == NULL)
        return OUTCOME_MOOT;
    struct board_line *line = line_edit(b, strike->line);
    bool untold = line != NULL && line->state == LINE_STATE_STRIKE;
    unhooked(b, e, strike, false);
    if (untold)
        line->unsure = true;
    count_up(&b->counts.ends_not_known);
    return OUTCOME_DONE;
}

enum outcome strikes_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_STRIKE)
        return struck_apply(b, e);
    if (e->kind == KIND_STRIKE_NAMED)
        return named_apply(b, e);
    return e->kind == KIND_STRIKE_ENDED ? ended_apply(b, e) : lapsed_apply(b, e);
}

void strikes_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        const struct board_strike *strike = &b->strikes[i];
        if (strike->id.n == 0)
            continue;
        CHECK(strike->line == 0 || line_find(b, strike->line) != NULL);        /* S1 */
        CHECK(strike->line == 0 || strike_on_line(b, strike->line) == strike); /* S1 */
        CHECK(fight_on_line(b, strike->line) == NULL);                         /* S1 */
        CHECK(strike->event.n != 0);                                           /* S2 */
    }
}
