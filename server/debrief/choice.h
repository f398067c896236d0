/* What a debrief is to be of, as it is written on a command line or in an address. */
#ifndef STERNBOARD_DEBRIEF_CHOICE_H
#define STERNBOARD_DEBRIEF_CHOICE_H

#include <stdbool.h>
#include <stdint.h>

#include "debrief/debrief.h"

/* "last", "all", "12", "12-20", "12-". False: none of these; the choice is as it was. */
bool choice_trips(struct debrief_choice *, const char *text);

/* "7" or "6,7,8". */
bool choice_months(struct debrief_choice *, const char *text);

/* Minutes east of UTC as "-240" or "+120", from -720 to 840; or hours and minutes as "-04:00". */
bool choice_zone(struct debrief_choice *, const char *text);

#endif
