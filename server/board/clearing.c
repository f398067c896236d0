/* Clearing: shared work with an end.
 *
 *                       another call that asks for more
 *                                  ┌────┐
 *                    clear_called  ▼    │            every line asked for is in, or has a fish on, or is kept out
 *     none ─────────────────────────▶ open ─────────────────────────────────────────────▶ done
 *      ▲                               │ ▲                                                 │ │
 *      ├───── clear_over ──────────────┘ └───── another call ──────────────────────────────┘ │
 *      └───── clear_over, or the next line set ──────────────────────────────────────────────┘
 *
 * The call marks the lines it asks for: those of its scope that are not in for sure, have no fish on and are not kept out on
 * purpose. The marks stay, so the total does not shrink while lines come in. A line is taken by a hand, or comes in by its own
 * tap or by eye; nobody winding a reel has to tap. Anything heard from the cockpit, the first line in included, counts as heard.
 *
 * Another call takes the place of the first: of one that is done always, of one that is open when it asks for a line the first
 * does not ask for, as when a second fish strikes and the lines kept out have to come in too. Lines that are in or taken stay
 * so. What the open one asked for is still asked for, unless the new one keeps it out: nobody was told to leave it. Whether it
 * was heard begins anew.
 *
 * Lines kept out stay marked as kept when the clearing is done, for a later call to clear the rest.
 *
 * ALL CLEAR is worked out after every entry: every line, teaser, dredge and float that has no fish on is in, and sure, and no
 * strike stands whose line nobody has named yet. It says what is logged and on what basis, never that something is safe, and falls with the first thing that goes out or is not known.
 *
 *   C1  total and lines_in count the lines marked as asked, and those of them in for sure
 *   C2  while open, at least one line asked for is still to come; no line is asked for without a clearing
 *   C3  a clearing that was heard is not one that was not heard
 *   C4  ALL CLEAR and its basis are what the lines say
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

/* Is there anything to bring in here? */
static bool wanted(const struct board_line *line)
{
    return line->id != 0 && !line->kept && line->state != LINE_STATE_ON && !line_sure_in(line);
}

static bool named_kept(const struct body_clear_called *body, int32_t line)
{
    for (int32_t i = 0; i < body->kept_count; i++) {
        if (body->kept[i] == line)
            return true;
    }
    return false;
}

/* Would this call ask for the line? What an earlier call kept out is asked for by the next one that names its part. */
static bool asks_for(const struct board *b, const struct body_clear_called *body, const struct board_line *line)
{
    return line->id != 0 && line_in_scope(b, line, body->scope) && !named_kept(body, line->id) &&
           line->state != LINE_STATE_ON && !line_sure_in(line);
}

/* The first line to be kept out that is not one of the spread; 0: there is none. */
static int32_t kept_unknown(const struct board *b, const struct body_clear_called *body)
{
    for (int32_t i = 0; i < body->kept_count; i++) {
        if (line_find(b, body->kept[i]) == NULL)
            return body->kept[i];
    }
    return 0;
}

/* Would it ask for a line that no open call asks for yet? */
static bool asks_for_more(const struct board *b, const struct body_clear_called *body)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        bool asked = b->clearing.state == CLEAR_STATE_OPEN && b->lines[i].asked;
        if (!asked && asks_for(b, body, &b->lines[i]))
            return true;
    }
    return false;
}

/* ---- admit ---- */

static enum refusal_code called_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct body_clear_called *body = &e->body.clear_called;
    about->line = kept_unknown(b, body);
    if (about->line != 0)
        return REFUSAL_LINE_UNKNOWN;
    if (entry_late(e, b->clearing.since_ms) || asks_for_more(b, body))
        return REFUSAL_NONE;
    if (b->clearing.state != CLEAR_STATE_OPEN)
        return refuse_gone(e, REFUSAL_NOTHING_OUT);
    about->entry = b->clearing.id;
    return REFUSAL_CLEARING_OPEN;
}

static enum refusal_code taken_refusal(const struct board *b, const struct board_line *line, int32_t hand)
{
    if (hand == 0)
        return REFUSAL_NOBODY;
    if (!hand_may(b, hand))
        return REFUSAL_HAND_UNKNOWN;
    if (line->state == LINE_STATE_ON)
        return REFUSAL_LINE_HAS_FISH;
    if (line_sure_in(line))
        return REFUSAL_LINE_IN;
    if (line->kept)
        return REFUSAL_KEPT;
    return line->taken_by != 0 && line->taken_by != hand ? REFUSAL_TAKEN : REFUSAL_NONE;
}

static enum refusal_code taken_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_line *line = line_find(b, e->body.line_taken.line);
    about->line = e->body.line_taken.line;
    if (line == NULL)
        return REFUSAL_LINE_UNKNOWN;
    if (entry_late(e, line->told_ms))
        return REFUSAL_NONE;
    enum refusal_code code = taken_refusal(b, line, e->by);
    about->hand = code == REFUSAL_TAKEN ? line->taken_by : e->by;
    return code;
}

static enum refusal_code kept_refusal(const struct board_line *line, bool kept)
{
    if (!kept)
        return REFUSAL_NONE;
    if (line->state == LINE_STATE_ON)
        return REFUSAL_LINE_HAS_FISH;
    return line->state == LINE_STATE_IN ? REFUSAL_LINE_IN : REFUSAL_NONE;
}

static enum refusal_code kept_admit(const struct board *b, const struct entry *e, struct about *about)
{
    const struct board_line *line = line_find(b, e->body.line_kept.line);
    about->line = e->body.line_kept.line;
    if (line == NULL)
        return REFUSAL_LINE_UNKNOWN;
    if (entry_late(e, line->kept_ms) || entry_late(e, line->since_ms))
        return REFUSAL_NONE;
    return kept_refusal(line, e->body.line_kept.kept);
}

static enum refusal_code over_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->entry = e->body.clear_over.clearing;
    return id_is(b->clearing.id, about->entry) ? REFUSAL_NONE : refuse_gone(e, REFUSAL_CLEARING_OVER);
}

/* An answer to the call, or the server's word that there was none, is never refused. */
enum refusal_code clearing_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_CLEAR_CALLED)
        return called_admit(b, e, about);
    if (e->kind == KIND_LINE_TAKEN)
        return taken_admit(b, e, about);
    if (e->kind == KIND_LINE_KEPT)
        return kept_admit(b, e, about);
    return e->kind == KIND_CLEAR_OVER ? over_admit(b, e, about) : REFUSAL_NONE;
}

/* ---- apply ---- */

static void leave(struct board *b)
{
    memset(&b->clearing, 0, sizeof b->clearing);
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++)
        b->lines[i].asked = false;
}

/* Is the line asked for by the open call, and left so by this one? */
static bool stays_asked(const struct board *b, const struct body_clear_called *body, const struct board_line *line)
{
    return b->clearing.state == CLEAR_STATE_OPEN && line->asked && !named_kept(body, line->id);
}

/* What the call and the open one ask for together: with lines outside the called part it is a part no longer. */
static enum scope scope_of_both(const struct board *b, const struct body_clear_called *body)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        if (stays_asked(b, body, &b->lines[i]) && !line_in_scope(b, &b->lines[i], body->scope))
            return SCOPE_ALL;
    }
    return body->scope;
}

/* Lines to be kept out are kept, and nobody's; of the others in its scope none is kept any longer. */
static void mark_lines(struct board *b, const struct body_clear_called *body, const struct entry *e)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        struct board_line *line = &b->lines[i];
        bool asked = asks_for(b, body, line) || stays_asked(b, body, line);
        if (named_kept(body, line->id) && wanted(line) && line->state != LINE_STATE_IN) {
            if (line->state == LINE_STATE_CLEARING)
                line_becomes(line, LINE_STATE_OUT, e);
            line_keeps(line, true, e);
        } else if (asked && line->kept) {
            line_keeps(line, false, e);
        }
        line->asked = asked;
    }
}

static enum outcome called_apply(struct board *b, const struct entry *e)
{
    const struct body_clear_called *body = &e->body.clear_called;
    if (entry_late(e, b->clearing.since_ms) || kept_unknown(b, body) != 0 || !asks_for_more(b, body))
        return OUTCOME_MOOT;
    enum scope scope = scope_of_both(b, body);
    mark_lines(b, body, e);
    memset(&b->clearing, 0, sizeof b->clearing);
    b->clearing.id = e->id;
    b->clearing.state = CLEAR_STATE_OPEN;
    b->clearing.scope = scope;
    b->clearing.reason = body->reason;
    TEXT_COPY(b->clearing.preset, body->preset);
    b->clearing.by = e->by;
    b->clearing.since_ms = e->at_ms;
    count_up(&b->counts.clearings);
    return OUTCOME_DONE;
}

/* The same hand again changes nothing but the time. */
static enum outcome taken_apply(struct board *b, const struct entry *e)
{
    struct board_line *line = line_edit(b, e->body.line_taken.line);
    if (line == NULL || entry_late(e, line->told_ms) || taken_refusal(b, line, e->by) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    line_becomes(line, LINE_STATE_CLEARING, e);
    line->taken_by = e->by;
    return OUTCOME_DONE;
}

static enum outcome kept_apply(struct board *b, const struct entry *e)
{
    bool kept = e->body.line_kept.kept;
    struct board_line *line = line_edit(b, e->body.line_kept.line);
    if (line == NULL || entry_late(e, line->kept_ms) || entry_late(e, line->since_ms) ||
        kept_refusal(line, kept) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    if (kept && line->state == LINE_STATE_CLEARING)
        line_becomes(line, LINE_STATE_OUT, e);
    line_keeps(line, kept, e);
    /* No longer kept out while the call stands: it is asked for like its neighbours. */
    if (!kept && b->clearing.state == CLEAR_STATE_OPEN && line_in_scope(b, line, b->clearing.scope) && wanted(line))
        line->asked = true;
    return OUTCOME_DONE;
}

static enum outcome over_apply(struct board *b, const struct entry *e)
{
    if (!id_is(b->clearing.id, e->body.clear_over.clearing) || entry_late(e, b->clearing.since_ms))
        return OUTCOME_MOOT;
    leave(b);
    return OUTCOME_DONE;
}

static enum outcome unheard_apply(struct board *b)
{
    if (b->clearing.state != CLEAR_STATE_OPEN || b->clearing.heard)
        return OUTCOME_MOOT;
    b->clearing.not_heard = true;
    return OUTCOME_DONE;
}

enum outcome clearing_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_CLEAR_CALLED)
        return called_apply(b, e);
    if (e->kind == KIND_LINE_TAKEN)
        return taken_apply(b, e);
    if (e->kind == KIND_LINE_KEPT)
        return kept_apply(b, e);
    if (e->kind == KIND_CLEAR_OVER)
        return over_apply(b, e);
    if (e->kind == KIND_CALL_UNHEARD)
        return unheard_apply(b);
    return OUTCOME_DONE; /* got and shown: heard is settled below, and that a page showed it is kept by the entry alone */
}

/* ---- settle ---- */

/* Did the cockpit answer, in word or in deed? */
static bool answers(const struct board *b, const struct entry *e)
{
    struct lines_told told;
    lines_told_by(e, &told);
    for (int32_t i = 0; i < told.count; i++) {
        if (told.one[i].state == LINE_STATE_IN && line_find(b, told.one[i].line)->asked)
            return true;
    }
    if (e->kind == KIND_LINES_SEEN)
        return e->body.lines_seen.state == LINE_STATE_IN;
    if (e->kind == KIND_CALL_GOT)
        return id_is(e->body.call_got.call, b->clearing.id);
    return e->kind == KIND_LINE_TAKEN;
}

/* The spread goes out again. */
static bool sets_line(const struct entry *e)
{
    if (e->kind == KIND_LINES_SEEN)
        return e->body.lines_seen.state == LINE_STATE_OUT;
    struct lines_told told;
    lines_told_by(e, &told);
    for (int32_t i = 0; i < told.count; i++) {
        if (told.one[i].state == LINE_STATE_OUT || told.one[i].state == LINE_STATE_SETTING)
            return true;
    }
    return false;
}

static void count_lines(struct board *b, int32_t *to_come)
{
    b->clearing.total = b->clearing.lines_in = *to_come = 0;
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        const struct board_line *line = &b->lines[i];
        if (!line->asked)
            continue;
        b->clearing.total++;
        if (line_sure_in(line))
            b->clearing.lines_in++;
        if (wanted(line))
            ++*to_come;
    }
}

/* The lines that were kept out are simply out again once the spread goes out after a clearing that was done. */
static void leave_done(struct board *b, const struct entry *e)
{
    leave(b);
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        if (b->lines[i].kept)
            line_keeps(&b->lines[i], false, e);
    }
}

static void settle_clearing(struct board *b, const struct entry *e)
{
    int32_t to_come = 0;
    if (b->clearing.state == CLEAR_STATE_DONE && sets_line(e))
        leave_done(b, e);
    if (b->clearing.state == CLEAR_STATE_NONE)
        return;
    if (answers(b, e)) {
        b->clearing.heard = true;
        b->clearing.not_heard = false;
    }
    count_lines(b, &to_come);
    if (to_come == 0)
        b->clearing.state = CLEAR_STATE_DONE;
}

/* Something was struck, so something is out. */
static bool strike_without_line(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        if (b->strikes[i].id.n != 0 && b->strikes[i].line == 0)
            return true;
    }
    return false;
}

static struct board_clear clear_now(const struct board *b)
{
    struct board_clear clear;
    memset(&clear, 0, sizeof clear);
    clear.is_clear = b->trip.id.n != 0 && !strike_without_line(b);
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        const struct board_line *line = &b->lines[i];
        if (line->id == 0 || line->state == LINE_STATE_ON)
            continue;
        if (!line_sure_in(line))
            clear.is_clear = false;
        else if (line->eye)
            clear.seen++;
        else
            clear.tapped++;
    }
    return clear;
}

void clearing_settle(struct board *b, const struct entry *e)
{
    settle_clearing(b, e);
    struct board_clear clear = clear_now(b);
    if (clear.is_clear)
        clear.since_ms = b->clear.is_clear ? b->clear.since_ms : e->at_ms;
    b->clear = clear;
}

void clearing_check(const struct board *b)
{
    struct board_clear clear = clear_now(b);
    int32_t asked = 0, in = 0, to_come = 0;
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        asked += b->lines[i].asked;
        in += b->lines[i].asked && line_sure_in(&b->lines[i]);
        to_come += b->lines[i].asked && wanted(&b->lines[i]);
    }
    CHECK(b->clearing.total == asked && b->clearing.lines_in == in);           /* C1 */
    CHECK(b->clearing.state != CLEAR_STATE_OPEN || to_come > 0);               /* C2 */
    CHECK((b->clearing.state != CLEAR_STATE_NONE) == (b->clearing.id.n != 0)); /* C2 */
    CHECK(!b->clearing.heard || !b->clearing.not_heard);                       /* C3 */
    CHECK(b->clear.is_clear == clear.is_clear);                                /* C4 */
    CHECK(b->clear.tapped == clear.tapped && b->clear.seen == clear.seen);     /* C4 */
    CHECK(b->clear.is_clear || b->clear.since_ms == 0);                        /* C4 */
}
