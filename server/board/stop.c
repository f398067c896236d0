/* STOP: neutral now. Any hand's, at any time, with no reason asked.
 *
 *     stop ──▶ stands ──▶ stop_over, by the helm, naming it ──▶ none
 *               │  ▲
 *               └──┘ a second stop adds nothing: the first keeps its name and its time
 *
 *   P1  none, every byte is zero
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

enum refusal_code stop_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_STOP)
        return REFUSAL_NONE;
    about->entry = e->body.stop_over.stop;
    return id_is(b->stop.id, about->entry) ? REFUSAL_NONE : refuse_gone(e, REFUSAL_STOP_UNKNOWN);
}

static enum outcome stopped_apply(struct board *b, const struct entry *e)
{
    if (b->stop.id.n != 0)
        return OUTCOME_DONE;
    b->stop.id = e->id;
    b->stop.by = e->by;
    b->stop.since_ms = e->at_ms;
    count_up(&b->counts.stops);
    return OUTCOME_DONE;
}

enum outcome stop_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_STOP)
        return stopped_apply(b, e);
    if (!id_is(b->stop.id, e->body.stop_over.stop) || entry_late(e, b->stop.since_ms))
        return OUTCOME_MOOT;
    memset(&b->stop, 0, sizeof b->stop);
    return OUTCOME_DONE;
}

void stop_check(const struct board *b)
{
    CHECK(b->stop.id.n != 0 || (b->stop.by == 0 && b->stop.since_ms == 0)); /* P1 */
}
