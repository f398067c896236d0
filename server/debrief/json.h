/* The debrief as JSON, after shared-proto/schema/debrief.json. */
#ifndef STERNBOARD_DEBRIEF_JSON_H
#define STERNBOARD_DEBRIEF_JSON_H

#include "debrief/debrief.h"
#include "debrief/out.h"

/* One object, on one line. Names of persons and what they wrote are left out where the choice says so. */
void json_write(const struct debrief *, struct out *);

/* Its member learned alone. */
void json_learned(const struct debrief *, struct out *);

#endif
