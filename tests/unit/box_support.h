/* A box under test: entries of a trip in one line each, and the shipped rule set or a text of one's own. */
#ifndef BOX_SUPPORT_H
#define BOX_SUPPORT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "debrief/box.h"
#include "debrief/rules.h"
#include "debrief/standing.h"

#define INCHES(n) ((int64_t)(n)*25400)
#define CM(n)     ((int64_t)((n)*10000.0 + 0.5))
#define HOUR_MS   INT64_C(3600000)

struct box_scene {
    struct box box;
    struct entry entry;
    int64_t now_ms;
    int32_t n;
    struct standing rows[28];
    int32_t count;
};

/* A trip of so many persons, so many of them paying, with the shipped rule set. */
void box_scene_open(struct box_scene *, enum trip_use, int32_t persons, int32_t paying);
void box_scene_close(struct box_scene *);

/* A fish boated, its species and its length (0: not measured). Answers its identity. */
struct entry_id box_scene_kept(struct box_scene *, const char *code, int64_t length_um, enum measure);
struct body_fish_told *box_scene_tell(struct box_scene *, struct entry_id fish); /* to be filled in, then given */
struct entry *box_scene_entry(struct box_scene *, enum entry_kind);
struct entry_id box_scene_give(struct box_scene *);

/* Settles the box and works out the standing as of now. */
void box_scene_stand(struct box_scene *);
const struct standing *box_scene_row(const struct box_scene *, const char *name);
bool box_scene_says(const struct sayings *, const char *part); /* does one of them hold these words? */

#endif
