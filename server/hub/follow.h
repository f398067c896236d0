/* What some entries bring along: a trip's first entry is followed by what makes the trip whole in itself (the run, the clock,
 * the rule set, fish and reports that go over
 * from the last trip, the pages, the helm, a HURT whose report may still be due), so that it can be folded without what came before. */
#ifndef STERNBOARD_HUB_FOLLOW_H
#define STERNBOARD_HUB_FOLLOW_H

#include "hub_internal.h"

/* take() and what follows. */
enum outcome follow_take(struct hub *, struct entry *, bool rings);

#endif
