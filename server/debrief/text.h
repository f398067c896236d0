/* The debrief as text: plain sentences that can be read aloud at the dock. */
#ifndef STERNBOARD_DEBRIEF_TEXT_H
#define STERNBOARD_DEBRIEF_TEXT_H

#include "debrief/debrief.h"
#include "debrief/out.h"

/* No line of it holds anything that is an order to a terminal. */
void text_write(const struct debrief *, struct out *);

#endif
