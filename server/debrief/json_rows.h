/* The parts of the debrief's JSON that are rows of facts. Only json.c calls them. */
#ifndef STERNBOARD_DEBRIEF_JSON_ROWS_H
#define STERNBOARD_DEBRIEF_JSON_ROWS_H

#include "debrief/debrief.h"
#include "debrief/out.h"

void json_trips(const struct debrief *, struct out *);
void json_places(const struct debrief *, struct out *); /* positions and hands */
void json_rows(const struct debrief *, struct out *);   /* calls to gaps */
void json_cards(const struct debrief *, struct out *);

/* What a person wrote, or is called: empty where names are to be left out. */
const char *json_person(const struct debrief *, int32_t name);

#endif
