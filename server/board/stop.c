/* STOP: neutral now. Any hand's, at any time, with no reason asked.
 *
 *     stop ──▶ stands ──▶ stop_over, by the helm, naming it ──▶ none
 *               │  ▲
 *               └──┘ a second stop adds nothing: the first keeps its name and its time
 *
 * One that was tapped before the helm took the last one down, and comes after that, is history: the boat was stopped for it.
 *
 *   P1  none, every byte but that time's is zero
 *   P2  the one that stands came no earlier than that time
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
    if (entry_late(e, b->stop.over_ms))
        return OUTCOME_MOOT;
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
    b->stop.over_ms = e->at_ms;
    return OUTCOME_DONE;
}

void stop_check(const struct board *b)
{
    CHECK(b->stop.id.n != 0 || (b->stop.by == 0 && b->stop.since_ms == 0)); /* P1 */
    CHECK(b->stop.id.n == 0 || b->stop.since_ms >= b->stop.over_ms);        /* P2 */
}
