/* The fish of a box as JSON, in the shapes of shared-proto/schema/debrief.json. What comes out is the caller's, to be freed with
 * cJSON_Delete(). */
#ifndef STERNBOARD_DEBRIEF_FISH_JSON_H
#define STERNBOARD_DEBRIEF_FISH_JSON_H

#include "debrief/rules.h"
#include "debrief/standing.h"

struct cJSON;

/* Arrays of fish, standing and report; trip is the index that they say they are of. Names are left out by hands being 0. */
struct cJSON *fish_json_list(const struct box *, int32_t trip, bool no_names);
struct cJSON *fish_json_standing(const struct box *, const struct standing_when *);
struct cJSON *fish_json_reports(const struct box *);
struct cJSON *fish_json_head(const struct rule_set *, const struct box *,
                             const struct standing_when *); /* rule_set_head */

/* What GET /fish answers (fish_answer): all of these, the species for a page's tiles, who is aboard, and which rule set
 * the next trip starts with, NULL: none. */
struct cJSON *fish_json_answer(const struct box *, const struct standing_when *, const struct rule_set *next);

#endif
