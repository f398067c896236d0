/* Fish in the box, and who counts.
 *
 *     boated ──▶ fish_told: species, length, whose decision ──▶ fish_iced ──▶ at the dock: report_told
 *
 * A day may bring more fish than a board can hold, and each may be told of in pieces and told again. So what is told of a fish
 * is kept by its entries alone; the board says how many such entries there are, which tells a page when to read the fish anew
 * (GET /fish). How they stand against the rule set is worked out where it is asked (server/debrief): no rule is known here.
 *
 * Who is aboard is on the board, for limits are counted by heads: a trip starts with it, and the helm may say it anew.
 *
 *   X1  no more pay than are aboard, where that is said
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static bool heads_good(int32_t persons, int32_t paying)
{
    return persons == 0 || paying <= persons;
}

static bool says_something(const struct body_fish_told *body)
{
    return body->code[0] != '\0' || body->fate != FISH_FATE_NOT_SAID || body->decided_by != 0 || body->length_um != 0 ||
           body->girth_um != 0 || body->weight_g != 0 || body->condition != CONDITION_NONE ||
           body->out_of_water_s != 0 || body->tag[0] != '\0';
}

static enum refusal_code told_refusal(const struct board *b, const struct body_fish_told *body, struct about *about)
{
    about->entry = body->fish;
    about->hand = hand_may(b, body->decided_by) ? body->measured_by : body->decided_by;
    if (!hand_may(b, about->hand))
        return REFUSAL_HAND_UNKNOWN;
    return says_something(body) ? REFUSAL_NONE : REFUSAL_FISH_BARE;
}

enum refusal_code fish_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_FISH_TOLD)
        return told_refusal(b, &e->body.fish_told, about);
    if (e->kind == KIND_FISH_ICED)
        about->entry = e->body.fish_iced.fish;
    if (e->kind == KIND_REPORT_TOLD)
        about->entry = e->body.report_told.of;
    if (e->kind == KIND_ABOARD && !heads_good(e->body.aboard.persons, e->body.aboard.paying))
        return REFUSAL_ABOARD_BAD;
    return REFUSAL_NONE;
}

static enum outcome aboard_apply(struct board *b, const struct entry *e)
{
    const struct body_aboard *body = &e->body.aboard;
    if (entry_late(e, b->box.told_ms) || !heads_good(body->persons, body->paying))
        return OUTCOME_MOOT;
    b->box.persons = body->persons;
    b->box.paying = body->paying;
    b->box.use = body->use;
    b->box.told_ms = e->at_ms;
    return OUTCOME_DONE;
}

enum outcome fish_apply(struct board *b, const struct entry *e)
{
    struct about about = {0};
    if (e->kind == KIND_ABOARD)
        return aboard_apply(b, e);
    if (e->kind == KIND_FISH_TOLD) {
        if (told_refusal(b, &e->body.fish_told, &about) != REFUSAL_NONE)
            return OUTCOME_MOOT;
        count_up(&b->box.fish);
    } else if (e->kind == KIND_FISH_ICED) {
        count_up(&b->box.iced);
    } else if (e->kind == KIND_REPORT_TOLD) {
        count_up(&b->box.reports);
    } else if (e->kind == KIND_RULES_KEPT) {
        TEXT_COPY(b->trip.rules, e->body.rules_kept.set.name);
    }
    return OUTCOME_DONE;
}

void fish_muster(struct board *b, const struct entry *e)
{
    const struct body_trip_started *body = &e->body.trip_started;
    if (!heads_good(body->persons, body->paying))
        return;
    b->box.persons = body->persons;
    b->box.paying = body->paying;
    b->box.use = body->use;
    bool said = body->persons != 0 || body->paying != 0 || body->use != TRIP_USE_NOT_SAID;
    b->box.told_ms = said ? e->at_ms : 0;
}

void fish_check(const struct board *b)
{
    CHECK(heads_good(b->box.persons, b->box.paying)); /* X1 */
}
