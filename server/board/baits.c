/* Baits and light sticks.
 *
 * line_bait is a bait, a lure, or a fresh one of the same; bait_checked is a look at it, with what was found. How old a bait is
 * counts from the last of the two. A strike that was only a knockdown asks for a look (check); the wish falls at the look or
 * with a fresh bait, and not before: a bait that was merely struck has not been seen by anyone.
 *
 *   B1  a light is a float's
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static int32_t line_named(const struct entry *e)
{
    if (e->kind == KIND_LINE_BAIT)
        return e->body.line_bait.line;
    return e->kind == KIND_BAIT_CHECKED ? e->body.bait_checked.line : e->body.float_light.line;
}

enum refusal_code baits_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_line *line = line_find(b, line_named(e));
    about->line = line_named(e);
    if (line == NULL)
        return REFUSAL_LINE_UNKNOWN;
    if (e->kind == KIND_BAIT_CHECKED && e->body.bait_checked.result == BAIT_RESULT_NONE)
        return REFUSAL_RESULT_MISSING;
    return e->kind == KIND_FLOAT_LIGHT && line->gear != GEAR_FLOAT ? REFUSAL_NOT_FLOAT : REFUSAL_NONE;
}

/* No bait named: a fresh one of the same. */
static enum outcome bait_apply(struct board_line *line, const struct entry *e)
{
    if (entry_late(e, line->bait_ms))
        return OUTCOME_MOOT;
    if (e->body.line_bait.bait[0] != '\0')
        TEXT_COPY(line->bait, e->body.line_bait.bait);
    line->bait_ms = e->at_ms;
    line->assumed = false;
    line->check = false;
    return OUTCOME_DONE;
}

static enum outcome checked_apply(struct board *b, struct board_line *line, const struct entry *e)
{
    enum bait_result result = e->body.bait_checked.result;
    if (entry_late(e, line->checked_ms) || result == BAIT_RESULT_NONE)
        return OUTCOME_MOOT;
    line->checked_ms = e->at_ms;
    line->result = result;
    line->assumed = false;
    line->check = false;
    if (result == BAIT_RESULT_CHANGED && !entry_late(e, line->bait_ms))
        line->bait_ms = e->at_ms;
    count_up(&b->counts.bait_checks);
    return OUTCOME_DONE;
}

static enum outcome light_apply(struct board_line *line, const struct entry *e)
{
    if (line->gear != GEAR_FLOAT || entry_late(e, line->light_ms))
        return OUTCOME_MOOT;
    line->light = e->body.float_light.light;
    line->light_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome baits_apply(struct board *b, const struct entry *e)
{
    struct board_line *line = line_edit(b, line_named(e));
    if (line == NULL)
        return OUTCOME_MOOT;
    if (e->kind == KIND_LINE_BAIT)
        return bait_apply(line, e);
    return e->kind == KIND_BAIT_CHECKED ? checked_apply(b, line, e) : light_apply(line, e);
}

void baits_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++)
        CHECK(b->lines[i].light == LIGHT_NONE || b->lines[i].gear == GEAR_FLOAT); /* B1 */
}
