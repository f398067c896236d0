/* Fish: read over HTTP, worked out of the journal each time they are asked for; and what a new trip is told of the rule set and of
 * the trip before it, so that it can be folded, and its fish counted, without what came before. */
#ifndef STERNBOARD_HUB_FISH_H
#define STERNBOARD_HUB_FISH_H

#include "hub_internal.h"

/* Before a trip's first entry is taken: what the journal holds now is to be told again after it. */
void fish_look_back(struct hub *);
void fish_note(struct hub *);

#endif
