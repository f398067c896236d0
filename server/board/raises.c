/* Raises: a fish that is up in the spread, and not on. One episode, one fish.
 *
 *     raised ──▶ up ──┬─ raise_ended bit, or a strike that comes tight ──▶ counted
 *                │ ▲  ├─ raise_ended left ───────────────────────────────▶ counted
 *  raise_touched, │  └─ raise_ended not known, raise_lapsed ─────────────▶ counted; its end may still be told (open_ends.h)
 *  raise_gear_moved,
 *  a strike on a line
 *
 * The path is the baits it went for, in the order of time: those that were touched and, while it is up, those that were
 * struck. A touch is no bite and is counted apart. With two fish up, a strike belongs to the one that was last at its line,
 * else to the one of which something was told last.
 *
 * A raise told again within LIMIT_JOIN_MS is the same fish, unless both name a bait and the baits differ: two pages saw one
 * fish. If only the second names the bait, the raise has its bait now.
 *
 *   A1  the path is in the order of time, and the raise is at its last bait; without a path it is at none
 *   A2  nothing was told of a raise before it began
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/open_ends.h"
#include "board/parts.h"

/* The open raise of which this one is told again; -1: it is another fish. */
static int32_t same_raise(const struct board *b, const struct entry *e)
{
    int32_t line = e->body.raised.line;
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        const struct board_raise *raise = &b->raises[i];
        bool same_bait = raise->line == 0 || line == 0 || raise->line == line;
        if (raise->id.n != 0 && times_join(raise->at_ms, e->at_ms) && same_bait)
            return i;
    }
    return -1;
}

static enum refusal_code raised_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->line = e->body.raised.line;
    if (about->line != 0 && line_find(b, about->line) == NULL)
        return REFUSAL_LINE_UNKNOWN;
    if (same_raise(b, e) >= 0)
        return REFUSAL_NONE;
    return slot_free(b, PART_RAISES) < 0 ? REFUSAL_RAISES_FULL : REFUSAL_NONE;
}

static enum refusal_code open_refusal(const struct board *b, const struct entry *e, struct entry_id episode)
{
    return raise_find(b, episode) == NULL ? refuse_gone(e, REFUSAL_RAISE_OVER) : REFUSAL_NONE;
}

static enum refusal_code touched_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->entry = e->body.raise_touched.episode;
    about->line = e->body.raise_touched.line;
    return line_find(b, about->line) == NULL ? REFUSAL_LINE_UNKNOWN : open_refusal(b, e, about->entry);
}

static enum refusal_code ended_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->entry = e->body.raise_ended.episode;
    if (e->body.raise_ended.end == RAISE_END_OPEN)
        return REFUSAL_END_MISSING;
    bool told_now = e->body.raise_ended.end != RAISE_END_NOT_KNOWN;
    if (told_now && open_end_find(b, about->entry, END_OF_RAISE) != NULL)
        return REFUSAL_NONE;
    return open_refusal(b, e, about->entry);
}

/* A teaser or a dredge may come in by the same act, told as any line is; with other gear there is none to come in. */
static enum refusal_code teaser_refusal(const struct board *b, const struct entry *e, struct about *about)
{
    const struct body_raise_gear_moved *body = &e->body.raise_gear_moved;
    const struct board_line *line = line_find(b, body->line);
    about->line = body->line;
    if (line != NULL && (body->gear != RAISE_GEAR_TEASER_IN || line->gear == GEAR_LINE || line->gear == GEAR_FLOAT))
        return REFUSAL_NOT_TEASER;
    return lines_told_refusal(b, e, about);
}

static enum refusal_code gear_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->entry = e->body.raise_gear_moved.episode;
    enum refusal_code code = open_refusal(b, e, about->entry);
    return code != REFUSAL_NONE ? code : teaser_refusal(b, e, about);
}

enum refusal_code raises_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_RAISED)
        return raised_admit(b, e, about);
    if (e->kind == KIND_RAISE_TOUCHED)
        return touched_admit(b, e, about);
    if (e->kind == KIND_RAISE_ENDED)
        return ended_admit(b, e, about);
    return e->kind == KIND_RAISE_LAPSED ? REFUSAL_NONE : gear_admit(b, e, about);
}

static void told(struct board_raise *raise, int64_t at_ms)
{
    if (raise->told_ms < at_ms)
        raise->told_ms = at_ms;
}

/* The fish went for this bait. It stays at a bait however often it goes for it; of a full path the oldest bait goes. */
static void went_for(struct board_raise *raise, int32_t line, int64_t at_ms)
{
    int32_t at = raise->path_count;
    told(raise, at_ms);
    while (at > 0 && raise->path[at - 1].at_ms > at_ms)
        at--;
    if (at > 0 && raise->path[at - 1].line == line)
        return;
    if (raise->path_count < BOARD_RAISE_PATH_MAX) {
        memmove(&raise->path[at + 1], &raise->path[at], (size_t)(raise->path_count - at) * sizeof raise->path[0]);
        raise->path_count++;
    } else {
        if (at == 0)
            return;
        memmove(&raise->path[0], &raise->path[1], (size_t)(--at) * sizeof raise->path[0]);
    }
    raise->path[at].line = line;
    raise->path[at].at_ms = at_ms;
    raise->line = raise->path[raise->path_count - 1].line;
}

static enum outcome raised_apply(struct board *b, const struct entry *e)
{
    int32_t line = e->body.raised.line;
    int32_t same = same_raise(b, e), slot = slot_free(b, PART_RAISES);
    if (line != 0 && line_find(b, line) == NULL)
        return OUTCOME_MOOT;
    if (same >= 0) {
        if (line == 0 || b->raises[same].line == line || entry_late(e, b->raises[same].at_ms))
            return OUTCOME_MOOT;
        went_for(&b->raises[same], line, e->at_ms);
        return OUTCOME_DONE;
    }
    if (slot < 0)
        return OUTCOME_MOOT;
    struct board_raise *raise = &b->raises[slot];
    raise->id = e->id;
    raise->at_ms = raise->told_ms = e->at_ms;
    raise->by = e->by;
    if (line != 0)
        went_for(raise, line, e->at_ms);
    count_up(&b->counts.raises);
    return OUTCOME_DONE;
}

static enum outcome touched_apply(struct board *b, const struct entry *e)
{
    struct board_raise *raise = raise_edit(b, e->body.raise_touched.episode);
    if (raise == NULL || entry_late(e, raise->at_ms) || line_find(b, e->body.raise_touched.line) == NULL)
        return OUTCOME_MOOT;
    went_for(raise, e->body.raise_touched.line, e->at_ms);
    count_up(&raise->touches);
    count_up(&b->counts.touches);
    return OUTCOME_DONE;
}

static enum outcome gear_apply(struct board *b, const struct entry *e)
{
    struct board_raise *raise = raise_edit(b, e->body.raise_gear_moved.episode);
    enum raise_gear gear = e->body.raise_gear_moved.gear;
    struct about about;
    if (raise == NULL || entry_late(e, raise->at_ms) || teaser_refusal(b, e, &about) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    if (gear == RAISE_GEAR_TEASER_IN) {
        raise->teaser_in = true;
        (void)lines_told_apply(b, e);
    } else {
        if (entry_late(e, raise->pitch_ms))
            return OUTCOME_MOOT;
        raise->pitch = gear == RAISE_GEAR_PITCH_IN;
        raise->pitch_ms = e->at_ms;
    }
    told(raise, e->at_ms);
    return OUTCOME_DONE;
}

static int32_t *count_of(struct board_counts *counts, enum raise_end end)
{
    switch (end) {
    case RAISE_END_OPEN: return NULL;
    case RAISE_END_BIT: return &counts->raises_bit;
    case RAISE_END_LEFT: return &counts->raises_left;
    case RAISE_END_NOT_KNOWN: return &counts->raises_not_known;
    case RAISE_END_COUNT_: break;
    }
    return NULL;
}

static void close_raise(struct board *b, struct board_raise *raise, enum raise_end end)
{
    if (end == RAISE_END_NOT_KNOWN)
        open_end_note(b, raise->id, END_OF_RAISE, raise->line, raise->at_ms);
    count_up(count_of(&b->counts, end));
    memset(raise, 0, sizeof *raise);
}

/* The end of a raise that nobody had told. */
static enum outcome settled_apply(struct board *b, const struct entry *e)
{
    struct board_open_end *open = open_end_edit(b, e->body.raise_ended.episode, END_OF_RAISE);
    enum raise_end end = e->body.raise_ended.end;
    if (open == NULL || end == RAISE_END_NOT_KNOWN || entry_late(e, open->at_ms))
        return OUTCOME_MOOT;
    count_down(&b->counts.raises_not_known);
    count_up(count_of(&b->counts, end));
    memset(open, 0, sizeof *open);
    return OUTCOME_DONE;
}

static enum outcome ended_apply(struct board *b, const struct entry *e)
{
    struct board_raise *raise = raise_edit(b, e->body.raise_ended.episode);
    enum raise_end end = e->body.raise_ended.end;
    if (count_of(&b->counts, end) == NULL)
        return OUTCOME_MOOT;
    if (raise == NULL)
        return settled_apply(b, e);
    if (entry_late(e, raise->at_ms))
        return OUTCOME_MOOT;
    close_raise(b, raise, end);
    return OUTCOME_DONE;
}

static enum outcome lapsed_apply(struct board *b, const struct entry *e)
{
    struct board_raise *raise = raise_edit(b, e->body.raise_lapsed.episode);
    if (raise == NULL)
        return OUTCOME_MOOT;
    close_raise(b, raise, RAISE_END_NOT_KNOWN);
    return OUTCOME_DONE;
}

enum outcome raises_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_RAISED)
        return raised_apply(b, e);
    if (e->kind == KIND_RAISE_TOUCHED)
        return touched_apply(b, e);
    if (e->kind == KIND_RAISE_GEAR_MOVED)
        return gear_apply(b, e);
    return e->kind == KIND_RAISE_ENDED ? ended_apply(b, e) : lapsed_apply(b, e);
}

/* Which fish that is up a strike on this line at that time was; NULL: none of them. */
static struct board_raise *raise_struck(struct board *b, int32_t line, int64_t at_ms)
{
    struct board_raise *found = NULL;
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        struct board_raise *raise = &b->raises[i];
        if (raise->id.n == 0 || raise->at_ms > at_ms)
            continue;
        if (line != 0 && raise->line == line)
            return raise;
        if (found == NULL || raise->told_ms > found->told_ms)
            found = raise;
    }
    return found;
}

static void struck(struct board *b, int32_t line, int64_t at_ms)
{
    struct board_raise *raise = line == 0 ? NULL : raise_struck(b, line, at_ms);
    if (raise != NULL)
        went_for(raise, line, at_ms);
}

void raises_settle(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_STRIKE)
        struck(b, e->body.strike.line, e->at_ms);
    if (e->kind == KIND_STRIKE_NAMED) {
        const struct board_strike *strike = strike_find(b, e->body.strike_named.strike);
        if (strike != NULL)
            struck(b, strike->line, strike->at_ms);
    }
    if (e->kind == KIND_STRIKE_ENDED) {
        const struct board_fight *fight = fight_find(b, e->body.strike_ended.strike);
        struct board_raise *raise = fight == NULL ? NULL : raise_struck(b, fight->line, e->at_ms);
        if (raise != NULL)
            close_raise(b, raise, RAISE_END_BIT);
    }
}

void raises_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        const struct board_raise *raise = &b->raises[i];
        int32_t count = raise->path_count;
        CHECK(raise->line == (count == 0 ? 0 : raise->path[count - 1].line)); /* A1 */
        for (int32_t k = 1; k < count; k++)
            CHECK(raise->path[k - 1].at_ms <= raise->path[k].at_ms); /* A1 */
        CHECK(raise->at_ms <= raise->told_ms);                       /* A2 */
    }
}
