/* Places: the spread itself during a trip. A place is added, changed, or gone.
 *
 * A place that is there must be in, and sure: what is in the water does not change its side under the crew's hands, and above
 * all it does not vanish from the strip of what is still out. The last place stays. A bait given with a place is assumed until
 * it is said, as at the start of a trip. There are as many places as numbers for them, so a new one always has room. What was kept of a place that is gone (the path of a raise, an end to be told) goes on
 * naming it.
 *
 *   W1  no two places bear the same name; there is always one while there is a trip
 *   W2  no preset keeps out a place that is gone
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static bool name_taken(const struct board *b, const struct spread_line *place)
{
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        const struct board_line *line = &b->lines[i];
        if (line->id != 0 && line->id != place->id && strcmp(line->name, place->name) == 0)
            return true;
    }
    return false;
}

static int32_t places(const struct board *b)
{
    int32_t count = 0;
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++)
        count += b->lines[i].id != 0;
    return count;
}

static enum refusal_code in_use(const struct board *b, const struct board_line *line)
{
    if (line->state == LINE_STATE_ON)
        return REFUSAL_LINE_HAS_FISH;
    if (strike_on_line(b, line->id) != NULL)
        return REFUSAL_LINE_STRUCK;
    return line_sure_in(line) ? REFUSAL_NONE : REFUSAL_LINE_NOT_IN;
}

static enum refusal_code set_refusal(const struct board *b, const struct body_place_set *body)
{
    const struct board_line *line = line_find(b, body->place.id);
    if (body->gone) {
        if (line == NULL)
            return REFUSAL_LINE_UNKNOWN;
        return places(b) == 1 ? REFUSAL_SPREAD_BAD : in_use(b, line);
    }
    if (name_taken(b, &body->place))
        return REFUSAL_PLACE_TAKEN;
    return line == NULL ? REFUSAL_NONE : in_use(b, line);
}

/* Told something since, the place is as it was told. */
static bool late(const struct board *b, const struct entry *e)
{
    const struct board_line *line = line_find(b, e->body.place_set.place.id);
    return line != NULL && entry_late(e, line->told_ms);
}

enum refusal_code places_admit(const struct board *b, const struct entry *e, struct about *about)
{
    about->line = e->body.place_set.place.id;
    return late(b, e) ? REFUSAL_NONE : set_refusal(b, &e->body.place_set);
}

static void forget(struct board *b, struct board_line *line)
{
    for (int32_t i = 0; i < BOARD_PRESETS_MAX; i++) {
        struct board_preset *preset = &b->presets[i];
        for (int32_t k = 0; k < preset->kept_count; k++) {
            if (preset->kept[k] != line->id)
                continue;
            preset->kept[k] = preset->kept[preset->kept_count - 1];
            preset->kept[--preset->kept_count] = 0;
            k--;
        }
    }
    memset(line, 0, sizeof *line);
}

static void set(struct board_line *line, const struct spread_line *place)
{
    TEXT_COPY(line->name, place->name);
    line->side = place->side;
    line->gear = place->gear;
    line->distance_m = place->distance_m;
    if (place->gear != GEAR_FLOAT) {
        line->light = LIGHT_NONE;
        line->light_ms = 0;
    }
    if (place->bait[0] != '\0') {
        TEXT_COPY(line->bait, place->bait);
        line->assumed = true;
    }
}

enum outcome places_apply(struct board *b, const struct entry *e)
{
    const struct body_place_set *body = &e->body.place_set;
    struct board_line *line = line_edit(b, body->place.id);
    if (late(b, e) || set_refusal(b, body) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    if (body->gone) {
        forget(b, line);
        return OUTCOME_DONE;
    }
    if (line == NULL) {
        line = &b->lines[slot_free(b, PART_LINES)];
        line->id = body->place.id;
        line->since_ms = line->told_ms = e->at_ms;
        line->by = e->by;
    }
    set(line, &body->place);
    return OUTCOME_DONE;
}

void places_check(const struct board *b)
{
    CHECK((b->trip.id.n != 0) == (places(b) > 0)); /* W1 */
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        for (int32_t k = 0; k < i; k++)
            CHECK(b->lines[i].id == 0 || b->lines[k].id == 0 ||
                  strcmp(b->lines[i].name, b->lines[k].name) != 0); /* W1 */
    }
    for (int32_t i = 0; i < BOARD_PRESETS_MAX; i++) {
        for (int32_t k = 0; k < b->presets[i].kept_count; k++)
            CHECK(line_find(b, b->presets[i].kept[k]) != NULL); /* W2 */
    }
}
