/* Entries of the server's own: runs, the clock, pages, what fell due. Their sender is the run. */
#ifndef STERNBOARD_HUB_OWN_H
#define STERNBOARD_HUB_OWN_H

#include "hub_internal.h"

/* Zeroes hub->own_entry and gives it this kind; fill in its body, then call own_take(). */
union entry_body *own_begin(struct hub *, enum entry_kind);
/* Takes it, unless it would do nothing, or there is no room: then it is still due. */
enum own_is { OWN_TAKEN, OWN_MOOT, OWN_NO_ROOM };
enum own_is own_take(struct hub *);

void own_run(struct hub *, bool fresh, bool estimated);
/* When the time of day became known, or no longer fits what the log says of it. */
void own_clock(struct hub *);

/* The helm is this device's. */
enum own_is own_helm(struct hub *, uint64_t page, int32_t device, int32_t hand);

#endif
