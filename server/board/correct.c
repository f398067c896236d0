/* Corrections, and entries that are nothing but their row in the log.
 *
 * Neither does anything in its own place. What a void or an amendment does, it does in the place of what it corrects, and only
 * the journal knows that place (journal.h); whether a void is admitted depends on the log, which the hub knows. A gap's row
 * is always refused, so it is never applied.
 */
#include "board/aspects.h"
#include "board/check.h"

enum refusal_code correct_admit(const struct board *b, const struct entry *e, struct about *about)
{
    (void)b;
    if (e->kind == KIND_VOIDED)
        about->entry = e->body.voided.target;
    return REFUSAL_NONE;
}

enum outcome correct_apply(struct board *b, const struct entry *e)
{
    (void)b;
    (void)e;
    return OUTCOME_DONE;
}

void correct_check(const struct board *b)
{
    CHECK(b != NULL); /* a correction leaves nothing of its own on the board */
}
