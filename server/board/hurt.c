/* HURT: somebody is hurt. Any hand's, at any time.
 *
 *     hurt ──▶ stands ──▶ hurt_over, by the helm ──▶ looked after
 *               │  ▲                                  │  ▲
 *               └──┘ hurt_told: who, and how badly    └──┘
 *
 * Each is somebody's own and stands by itself. One that is looked after stays on the board because of the clock of the
 * accident report, which starts when it was called: under 33 CFR 173.55 a report is due within 48 hours when a person dies
 * within 24 hours, is injured beyond first aid or is missing, else within ten days. Local law decides; the board decides nothing.
 *
 * A trip may begin while that clock runs. The new board knows nothing of it, so the server says it again (hurt_kept), under
 * the identity of the entry that called it; further telling names the same.
 *
 * A HURT is never refused. When the board has no place left, the oldest that is looked after gives its own; when none is, the
 * four that stand stay, and the new one is counted, rings, and is kept by the log.
 *
 *   H1  who is hurt is not said, or a hand of the roster
 *   H2  only one of whom no hand of the roster is said to be hurt has a name
 *   H3  nothing was told of it before it was called
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

enum refusal_code hurt_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_HURT || e->kind == KIND_HURT_KEPT)
        return REFUSAL_NONE;
    bool telling = e->kind == KIND_HURT_TOLD;
    about->entry = telling ? e->body.hurt_told.hurt : e->body.hurt_over.hurt;
    about->hand = telling ? e->body.hurt_told.hand : 0;
    if (!hand_may(b, about->hand))
        return REFUSAL_HAND_UNKNOWN;
    return hurt_find(b, about->entry) == NULL ? refuse_gone(e, REFUSAL_HURT_UNKNOWN) : REFUSAL_NONE;
}

static int32_t oldest_over(const struct board *b)
{
    int32_t slot = -1;
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++) {
        if (b->hurts[i].over && (slot < 0 || b->hurts[i].since_ms < b->hurts[slot].since_ms))
            slot = i;
    }
    return slot;
}

static enum outcome called_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_free(b, PART_HURTS);
    if (slot < 0)
        slot = oldest_over(b);
    if (slot >= 0) {
        struct board_hurt *hurt = &b->hurts[slot];
        memset(hurt, 0, sizeof *hurt);
        hurt->id = e->id;
        hurt->since_ms = hurt->told_ms = e->at_ms;
        hurt->by = e->by;
    }
    count_up(&b->counts.hurts);
    return OUTCOME_DONE;
}

static enum outcome told_apply(struct board *b, const struct entry *e)
{
    const struct body_hurt_told *body = &e->body.hurt_told;
    struct board_hurt *hurt = hurt_edit(b, body->hurt);
    if (hurt == NULL || entry_late(e, hurt->told_ms) || !hand_may(b, body->hand))
        return OUTCOME_MOOT;
    if (body->hand != 0)
        memset(hurt->name, 0, sizeof hurt->name);
    hurt->hand = body->hand;
    hurt->how = body->how;
    hurt->told_ms = e->at_ms;
    return OUTCOME_DONE;
}

static enum outcome kept_apply(struct board *b, const struct entry *e)
{
    const struct body_hurt_kept *body = &e->body.hurt_kept;
    int32_t slot = slot_free(b, PART_HURTS);
    if (slot < 0 || hurt_find(b, body->hurt) != NULL)
        return OUTCOME_MOOT;
    struct board_hurt *hurt = &b->hurts[slot];
    hurt->id = body->hurt;
    hurt->since_ms = body->since_ms;
    hurt->told_ms = e->at_ms > body->since_ms ? e->at_ms : body->since_ms;
    hurt->how = body->how;
    hurt->over = true;
    hurt->hand = hand_of_name(b, body->who);
    if (hurt->hand == 0)
        TEXT_COPY(hurt->name, body->who);
    return OUTCOME_DONE;
}

enum outcome hurt_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_HURT)
        return called_apply(b, e);
    if (e->kind == KIND_HURT_TOLD)
        return told_apply(b, e);
    if (e->kind == KIND_HURT_KEPT)
        return kept_apply(b, e);
    struct board_hurt *hurt = hurt_edit(b, e->body.hurt_over.hurt);
    if (hurt == NULL || hurt->over || entry_late(e, hurt->since_ms))
        return OUTCOME_MOOT;
    hurt->over = true;
    return OUTCOME_DONE;
}

bool hurt_stands(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++) {
        if (b->hurts[i].id.n != 0 && !b->hurts[i].over)
            return true;
    }
    return false;
}

void hurt_check(const struct board *b)
{
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++) {
        CHECK(hand_may(b, b->hurts[i].hand));                                                   /* H1 */
        CHECK(b->hurts[i].name[0] == '\0' || (b->hurts[i].id.n != 0 && b->hurts[i].hand == 0)); /* H2 */
        CHECK(b->hurts[i].since_ms <= b->hurts[i].told_ms);                                     /* H3 */
    }
}
