/* Full hands: a stamp now, told later; and notes.
 *
 *     stamped ──▶ kept ──▶ stamp_told ──▶ off the board
 *
 * A stamp is only a moment. It is never refused: when six are kept, the oldest gives way, and its moment is still in the log.
 * So what a stamp was may be told whether or not the board still shows it, and told again; like a note, the words are kept by
 * the entry and change nothing else. What is to be counted is entered as the act itself, as of its time.
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

enum refusal_code stamps_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind != KIND_STAMP_TOLD)
        return REFUSAL_NONE;
    about->entry = e->body.stamp_told.stamp;
    about->line = e->body.stamp_told.line;
    if (about->line != 0 && line_find(b, about->line) == NULL)
        return REFUSAL_LINE_UNKNOWN;
    return e->body.stamp_told.what == STAMP_WHAT_NONE ? REFUSAL_WHAT_MISSING : REFUSAL_NONE;
}

static int32_t oldest(const struct board *b)
{
    int32_t slot = 0;
    for (int32_t i = 1; i < BOARD_STAMPS_MAX; i++) {
        if (b->stamps[i].at_ms < b->stamps[slot].at_ms)
            slot = i;
    }
    return slot;
}

static enum outcome stamped_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_free(b, PART_STAMPS);
    struct board_stamp *stamp = &b->stamps[slot < 0 ? oldest(b) : slot];
    memset(stamp, 0, sizeof *stamp);
    stamp->id = e->id;
    stamp->at_ms = e->at_ms;
    stamp->by = e->by;
    return OUTCOME_DONE;
}

static enum outcome told_apply(struct board *b, const struct entry *e)
{
    const struct body_stamp_told *body = &e->body.stamp_told;
    int32_t slot = slot_find(b, PART_STAMPS, &body->stamp);
    if (body->what == STAMP_WHAT_NONE || (body->line != 0 && line_find(b, body->line) == NULL))
        return OUTCOME_MOOT;
    if (slot >= 0)
        memset(&b->stamps[slot], 0, sizeof b->stamps[slot]);
    return OUTCOME_DONE;
}

enum outcome stamps_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_STAMPED)
        return stamped_apply(b, e);
    if (e->kind == KIND_STAMP_TOLD)
        return told_apply(b, e);
    count_up(&b->counts.notes);
    return OUTCOME_DONE;
}

void stamps_check(const struct board *b)
{
    CHECK(b != NULL); /* a moment has nothing that could be wrong about it */
}
