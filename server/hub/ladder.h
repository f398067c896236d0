/* What falls due when nobody does anything: strikes and raises lapse, calls go unheard, held alarms ring. */
#ifndef STERNBOARD_HUB_LADDER_H
#define STERNBOARD_HUB_LADDER_H

#include "hub_internal.h"

/* Does what is due; returns when more will be (boot clock). */
int64_t ladder_run(struct hub *);

/* An overboard call that a screen brought back: it rings in a moment, unless its end is brought back too by then. */
void ladder_hold_alarm(struct hub *, struct entry_id);

#endif
