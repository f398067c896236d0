#include "box_support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void take_rules(struct box_scene *s)
{
    struct msg why = {""};
    struct rules *rules = calloc(1, sizeof *rules);
    assert_non_null(rules);
    assert_int_equal(rules_read(rules_shipped, strlen(rules_shipped), "shipped", rules, &why), ERR_NONE);
    assert_string_equal(why.text, "");
    box_scene_entry(s, KIND_RULES_KEPT)->body.rules_kept.set = rules->sets[0];
    (void)box_scene_give(s);
    free(rules);
}

void box_scene_open(struct box_scene *s, enum trip_use use, int32_t persons, int32_t paying)
{
    memset(s, 0, sizeof *s);
    s->now_ms = HOUR_MS;
    struct body_trip_started *body = &box_scene_entry(s, KIND_TRIP_STARTED)->body.trip_started;
    body->persons = persons;
    body->paying = paying;
    body->use = use;
    (void)box_scene_give(s);
    take_rules(s);
    /* 2024-06-15 12:00 UTC as the trip starts. */
    box_scene_entry(s, KIND_CLOCK)->body.clock.utc_offset_ms = INT64_C(1718452800000) - s->now_ms;
    (void)box_scene_give(s);
    box_scene_entry(s, KIND_TRIP_PHASE)->body.trip_phase.phase = PHASE_FISHING;
    (void)box_scene_give(s);
}

void box_scene_close(struct box_scene *s)
{
    box_release(&s->box);
}

struct entry *box_scene_entry(struct box_scene *s, enum entry_kind kind)
{
    memset(&s->entry, 0, sizeof s->entry);
    s->now_ms += 1000;
    s->n++;
    s->entry.kind = kind;
    s->entry.seq = s->n;
    s->entry.id = (struct entry_id){.sender = 7, .n = s->n};
    s->entry.at_ms = s->entry.got_ms = s->now_ms;
    return &s->entry;
}

struct entry_id box_scene_give(struct box_scene *s)
{
    box_take(&s->box, &s->entry);
    return s->entry.id;
}

struct body_fish_told *box_scene_tell(struct box_scene *s, struct entry_id fish)
{
    struct body_fish_told *body = &box_scene_entry(s, KIND_FISH_TOLD)->body.fish_told;
    body->fish = fish;
    return body;
}

struct entry_id box_scene_kept(struct box_scene *s, const char *code, int64_t length_um, enum measure measure)
{
    struct entry_id fight = {.sender = 9, .n = ++s->n};
    struct body_fight_ended *ended = &box_scene_entry(s, KIND_FIGHT_ENDED)->body.fight_ended;
    ended->fight = fight;
    ended->end = FIGHT_END_BOATED;
    (void)box_scene_give(s);
    struct body_fish_told *body = box_scene_tell(s, fight);
    (void)snprintf(body->code, sizeof body->code, "%s", code);
    body->length_um = (int32_t)length_um;
    body->measure = measure;
    (void)box_scene_give(s);
    return fight;
}

void box_scene_stand(struct box_scene *s)
{
    struct standing_when when = {.now_ms = s->now_ms};
    box_settle(&s->box);
    s->count = standing_of(&s->box, &when, s->rows);
}

const struct standing *box_scene_row(const struct box_scene *s, const char *name)
{
    for (int32_t i = 0; i < s->count; i++)
        if (strcmp(s->rows[i].row->name, name) == 0)
            return &s->rows[i];
    fail_msg("there is no row %s", name);
    return NULL;
}

bool box_scene_says(const struct sayings *sayings, const char *part)
{
    for (int32_t i = 0; i < sayings->count; i++)
        if (strstr(sayings->words[i], part))
            return true;
    return false;
}
