/* The lines: every place of the spread and what hangs there.
 *
 *     line_is, lines_are, lines_seen      strikes.c                       fights.c
 *     in ◀──▶ setting ◀──▶ out ─────────── strike ────────▶ on ──────────▶ in, out, not known
 *      ▲        fouled ◀──▶ │                 │ knockdown, gone, lapsed
 *      │     not known      │◀────────────────┘
 *      └──── clearing ◀─────┘ line_taken (clearing.c)
 *
 * What is told of a line is a fact as of that time, not a toggle: the same state told again refreshes who says so, and since
 * when it is so stays. Only a fish holds a line's state against being told: it ends by its own tap. The state of a line
 * changes in line_becomes() alone.
 *
 *   L1  taken_by is somebody's exactly while the state is clearing
 *   L2  a line kept out on purpose is not in, has no fish on and is nobody's to bring in
 *   L3  the state is on exactly while a fight is on this line; strike only while an open strike names it
 *   L4  since_ms <= told_ms
 *   L5  a line is asked for only while a clearing is on the board
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

/* The one door. What the state rules out goes with it. A strike may be told after a by-eye look that it came before, so the
 * last telling does not go back. */
void line_becomes(struct board_line *line, enum line_state state, const struct entry *e)
{
    if (line->state != state)
        line->since_ms = e->at_ms;
    line->state = state;
    line->by = e->by;
    line->eye = false;
    line->unsure = false;
    line->taken_by = 0;
    if (line->told_ms < e->at_ms)
        line->told_ms = e->at_ms;
    if (line->kept && (state == LINE_STATE_IN || state == LINE_STATE_ON))
        line_keeps(line, false, e);
}

void line_keeps(struct board_line *line, bool kept, const struct entry *e)
{
    line->kept = kept;
    line->kept_ms = e->at_ms;
}

/* The rest is what was kept out till now, or what a call to clear the rest asks for. */
bool line_in_scope(const struct board *b, const struct board_line *line, enum scope scope)
{
    switch (scope) {
    case SCOPE_ALL: return true;
    case SCOPE_PORT: return line->side == SIDE_PORT;
    case SCOPE_STARBOARD: return line->side == SIDE_STARBOARD;
    case SCOPE_CENTRE: return line->side == SIDE_CENTRE;
    case SCOPE_TEASERS: return line->gear == GEAR_TEASER || line->gear == GEAR_DREDGE;
    case SCOPE_DREDGES: return line->gear == GEAR_DREDGE;
    case SCOPE_REST: return line->kept || (line->asked && b->clearing.scope == SCOPE_REST);
    case SCOPE_COUNT_: break;
    }
    return false;
}

/* Strikes and fish have their own taps, and a line that is being brought in is somebody's. */
static bool state_told(enum line_state state)
{
    return state == LINE_STATE_IN || state == LINE_STATE_SETTING || state == LINE_STATE_OUT ||
           state == LINE_STATE_FOULED || state == LINE_STATE_NOT_KNOWN;
}

static bool state_seen(enum line_state state)
{
    return state == LINE_STATE_IN || state == LINE_STATE_OUT;
}

static bool scope_empty(const struct board *b, enum scope scope)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        if (b->lines[i].id != 0 && line_in_scope(b, &b->lines[i], scope))
            return false;
    }
    return true;
}

static void add_told(struct lines_told *told, const int32_t *lines, int32_t count, enum line_state state)
{
    for (int32_t i = 0; i < count; i++)
        told->one[told->count++] = (struct line_told){lines[i], state};
}

void lines_told_by(const struct entry *e, struct lines_told *told)
{
    told->count = 0;
    told->eye = false;
    if (e->kind == KIND_LINE_IS) {
        add_told(told, &e->body.line_is.line, 1, e->body.line_is.state);
        told->eye = e->body.line_is.eye;
    } else if (e->kind == KIND_LINES_ARE) {
        add_told(told, e->body.lines_are.in, e->body.lines_are.in_count, LINE_STATE_IN);
        add_told(told, e->body.lines_are.out, e->body.lines_are.out_count, LINE_STATE_OUT);
        told->eye = e->body.lines_are.eye;
    } else if (e->kind == KIND_RAISE_GEAR_MOVED) {
        add_told(told, &e->body.raise_gear_moved.line, e->body.raise_gear_moved.line != 0, LINE_STATE_IN);
        told->eye = e->body.raise_gear_moved.eye;
    }
}

static enum refusal_code told_refusal(const struct board *b, const struct entry *e, struct line_told told)
{
    const struct board_line *line = line_find(b, told.line);
    if (line == NULL)
        return REFUSAL_LINE_UNKNOWN;
    if (!state_told(told.state))
        return REFUSAL_STATE_NOT_TOLD;
    if (entry_late(e, line->told_ms))
        return REFUSAL_NONE;
    return line->state == LINE_STATE_ON ? REFUSAL_LINE_HAS_FISH : REFUSAL_NONE;
}

/* The first line that cannot be told so speaks for all. */
enum refusal_code lines_told_refusal(const struct board *b, const struct entry *e, struct about *about)
{
    struct lines_told told;
    enum refusal_code code = REFUSAL_NONE;
    lines_told_by(e, &told);
    for (int32_t i = 0; i < told.count && code == REFUSAL_NONE; i++) {
        about->line = told.one[i].line;
        code = told_refusal(b, e, told.one[i]);
    }
    return code;
}

/* None of them is moved when one cannot be told so; one of which newer news is known stays as it is. */
enum outcome lines_told_apply(struct board *b, const struct entry *e)
{
    struct lines_told told;
    struct about about;
    enum outcome outcome = OUTCOME_MOOT;
    lines_told_by(e, &told);
    if (lines_told_refusal(b, e, &about) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    for (int32_t i = 0; i < told.count; i++) {
        struct board_line *line = line_edit(b, told.one[i].line);
        if (entry_late(e, line->told_ms))
            continue;
        line_becomes(line, told.one[i].state, e);
        line->eye = told.eye;
        outcome = OUTCOME_DONE;
    }
    return outcome;
}

/* Several at once: each of them once, and at least one. */
static bool lines_are_bad(const struct entry *e)
{
    struct lines_told told;
    uint32_t seen = 0;
    lines_told_by(e, &told);
    for (int32_t i = 0; i < told.count; i++) {
        uint32_t bit = UINT32_C(1) << told.one[i].line;
        if ((seen & bit) != 0)
            return true;
        seen |= bit;
    }
    return told.count == 0;
}

static enum refusal_code seen_admit(const struct board *b, const struct entry *e)
{
    if (!state_seen(e->body.lines_seen.state))
        return REFUSAL_STATE_NOT_TOLD;
    return scope_empty(b, e->body.lines_seen.scope) ? refuse_gone(e, REFUSAL_SCOPE_BAD) : REFUSAL_NONE;
}

enum refusal_code lines_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_LINES_SEEN)
        return seen_admit(b, e);
    if (e->kind == KIND_LINES_ARE && lines_are_bad(e))
        return REFUSAL_LINES_BAD;
    return lines_told_refusal(b, e, about);
}

/* Seen from a distance, a line is in or out; more is known of one with a strike or a fish on, and of one out that somebody is
 * bringing in or that is fouled. Such a line stays as it is, and is sure again. */
static bool look_adds_nothing(const struct board *b, const struct board_line *line, enum line_state seen)
{
    if (line->state == LINE_STATE_ON || strike_on_line(b, line->id) != NULL)
        return true;
    return seen == LINE_STATE_OUT && (line->state == LINE_STATE_CLEARING || line->state == LINE_STATE_FOULED);
}

/* A look does not weaken what somebody told with the line in his hands. */
static void line_seen(struct board_line *line, enum line_state state, const struct entry *e)
{
    bool told_by_hand = line->state == state && !line->eye && !line->unsure;
    if (told_by_hand) {
        line->told_ms = e->at_ms;
        return;
    }
    line_becomes(line, state, e);
    line->eye = true;
}

static enum outcome seen_apply(struct board *b, const struct entry *e)
{
    enum scope scope = e->body.lines_seen.scope;
    enum line_state state = e->body.lines_seen.state;
    enum outcome outcome = OUTCOME_MOOT;
    for (int32_t i = 0; i < BOARD_LINES_MAX && state_seen(state); i++) {
        struct board_line *line = &b->lines[i];
        bool kept_out = line->kept && state == LINE_STATE_IN && scope != SCOPE_REST;
        if (line->id == 0 || !line_in_scope(b, line, scope) || kept_out || entry_late(e, line->told_ms))
            continue;
        if (look_adds_nothing(b, line, state))
            line->unsure = false;
        else
            line_seen(line, state, e);
        outcome = OUTCOME_DONE;
    }
    return outcome;
}

enum outcome lines_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_LINES_SEEN)
        return seen_apply(b, e);
    if (e->kind == KIND_LINES_ARE && lines_are_bad(e))
        return OUTCOME_MOOT;
    return lines_told_apply(b, e);
}

static void line_check(const struct board *b, const struct board_line *line)
{
    CHECK((line->taken_by != 0) == (line->state == LINE_STATE_CLEARING));                 /* L1 */
    CHECK(!line->kept || (line->state != LINE_STATE_IN && line->state != LINE_STATE_ON)); /* L2 */
    CHECK(!line->kept || line->state != LINE_STATE_CLEARING);                             /* L2 */
    CHECK((line->state == LINE_STATE_ON) == (fight_on_line(b, line->id) != NULL));        /* L3 */
    CHECK(line->state != LINE_STATE_STRIKE || strike_on_line(b, line->id) != NULL);       /* L3 */
    CHECK(line->since_ms <= line->told_ms);                                               /* L4 */
    CHECK(!line->asked || b->clearing.state != CLEAR_STATE_NONE);                         /* L5 */
}

void lines_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        if (b->lines[i].id != 0)
            line_check(b, &b->lines[i]);
    }
}
