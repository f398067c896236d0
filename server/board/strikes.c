/* Strikes: something took a bait, or hit it.
 *
 *     strike ──▶ open ──┬─ strike_ended on ────────▶ a fight of the same identity (fights.c)
 *                 │  ▲  ├─ strike_ended knockdown ─▶ counted; the line is out, its bait to be looked at
 *    strike_named └──┘  ├─ strike_ended gone ──────▶ counted; the line is out
 *                       └─ strike_lapsed ──────────▶ counted as not known; the line is out, as far as anyone knows
 *
 * A strike that lapsed may be ended after all, by the same tap (open_ends.h): its end is then counted instead of the one not
 * known. When it turns out to be on within LIMIT_ON_MS, and nothing was told of its line since, a fish is on now, and a fight
 * opens. Later, or with the trip over, there was a fight of which nobody told the end; that is settled next.
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
#include "board/open_ends.h"
#include "board/parts.h"
#include "limit.h"

/* The event of the earliest strike or fight near in time; else the strike's own. */
static struct entry_id event_of(const struct board *b, const struct entry *e)
{
    struct entry_id event = e->id;
    int64_t earliest_ms = INT64_MAX;
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        const struct board_strike *strike = &b->strikes[i];
        if (strike->id.n != 0 && times_join(strike->at_ms, e->at_ms) && strike->at_ms < earliest_ms) {
            event = strike->event;
            earliest_ms = strike->at_ms;
        }
    }
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        const struct board_fight *fight = &b->fights[i];
        if (fight->id.n != 0 && times_join(fight->since_ms, e->at_ms) && fight->since_ms < earliest_ms) {
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

/* A line that is to be given to what has one already. */
static enum refusal_code has_line(int32_t named, struct about *about)
{
    if (named == about->line)
        return REFUSAL_NONE;
    about->line = named;
    return REFUSAL_STRIKE_NAMED;
}

static enum refusal_code named_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_strike *strike = strike_find(b, e->body.strike_named.strike);
    const struct board_fight *fight = fight_find(b, e->body.strike_named.strike);
    about->line = e->body.strike_named.line;
    if (line_find(b, about->line) == NULL)
        return REFUSAL_LINE_UNKNOWN;
    const struct board_open_end *open = open_end_find(b, e->body.strike_named.strike, END_OF_STRIKE);
    if (open != NULL)
        return open->line == 0 ? REFUSAL_NONE : has_line(open->line, about);
    if (strike == NULL && fight == NULL)
        return refuse_gone(e, REFUSAL_STRIKE_OVER);
    int32_t named = strike != NULL ? strike->line : fight->line;
    if (named != 0)
        return has_line(named, about);
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
    if (strike == NULL && open_end_find(b, e->body.strike_ended.strike, END_OF_STRIKE) != NULL)
        return REFUSAL_NONE;
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

/* What is settled later has no part any more in what the line is now. */
static enum outcome open_end_named(struct board *b, const struct entry *e)
{
    struct board_open_end *open = open_end_edit(b, e->body.strike_named.strike, END_OF_STRIKE);
    if (open == NULL || open->line != 0 || line_find(b, e->body.strike_named.line) == NULL)
        return OUTCOME_MOOT;
    open->line = e->body.strike_named.line;
    return OUTCOME_DONE;
}

/* A line told something else since the strike keeps what it was told; a fight needs its line as it is. */
static enum outcome named_apply(struct board *b, const struct entry *e)
{
    int32_t id = e->body.strike_named.line;
    struct board_strike *strike = strike_edit(b, e->body.strike_named.strike);
    struct board_fight *fight = fight_edit(b, e->body.strike_named.strike);
    struct board_line *line = line_edit(b, id);
    if (strike == NULL && fight == NULL)
        return open_end_named(b, e);
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

/* Is a strike that lapsed, and is told to be on, on now? Nothing has been told of its line since it lapsed. */
static bool on_now(const struct board *b, const struct entry *e, const struct board_open_end *open)
{
    const struct board_line *line = line_find(b, open->line);
    bool line_untold = open->line == 0 || (line != NULL && line->state == LINE_STATE_OUT && line->unsure);
    bool free = strike_on_line(b, open->line) == NULL && slot_free(b, PART_FIGHTS) >= 0;
    return trip_runs(b) && e->at_ms - open->at_ms <= LIMIT_ON_MS && line_untold && free;
}

static void on_after_all(struct board *b, const struct entry *e, struct board_open_end *open)
{
    count_up(&b->counts.hooked);
    if (!on_now(b, e, open)) {
        open->of = END_OF_FIGHT;
        count_up(&b->counts.fights_not_known);
        return;
    }
    struct board_line *line = line_edit(b, open->line);
    struct board_fight *fight = &b->fights[slot_free(b, PART_FIGHTS)];
    fight->id = fight->event = open->id;
    fight->line = open->line;
    fight->since_ms = e->at_ms;
    memset(open, 0, sizeof *open);
    if (line != NULL)
        line_becomes(line, LINE_STATE_ON, e);
}

/* The end of a strike that had lapsed. A bait looked at since needs no second look. */
static enum outcome settled_apply(struct board *b, const struct entry *e)
{
    struct board_open_end *open = open_end_edit(b, e->body.strike_ended.strike, END_OF_STRIKE);
    if (open == NULL || entry_late(e, open->at_ms))
        return OUTCOME_MOOT;
    count_down(&b->counts.ends_not_known);
    if (e->body.strike_ended.end == STRIKE_END_ON) {
        on_after_all(b, e, open);
        return OUTCOME_DONE;
    }
    bool knockdown = e->body.strike_ended.end == STRIKE_END_KNOCKDOWN;
    struct board_line *line = line_edit(b, open->line);
    if (knockdown && line != NULL && line->checked_ms < open->at_ms && line->bait_ms < open->at_ms)
        line->check = true;
    count_up(knockdown ? &b->counts.knockdowns : &b->counts.gone);
    memset(open, 0, sizeof *open);
    return OUTCOME_DONE;
}

static enum outcome ended_apply(struct board *b, const struct entry *e)
{
    struct board_strike *strike = strike_edit(b, e->body.strike_ended.strike);
    enum strike_end end = e->body.strike_ended.end;
    if (!end_told(end))
        return OUTCOME_MOOT;
    if (strike == NULL)
        return settled_apply(b, e);
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
    open_end_note(b, strike->id, END_OF_STRIKE, strike->line, strike->at_ms);
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
