/* Entries that a screen saw and that were not saved when the server died, brought back to the new run.
 *
 * They were admitted by the run that gave them out, so they are not asked again: they are taken as they were, with their own
 * identity, hand and device, refused where they were refused. Each offer is answered as a tap is, so that the screen knows what
 * it need not keep; the server's own entries are passed over in silence.
 */
#ifndef STERNBOARD_HUB_OFFERS_H
#define STERNBOARD_HUB_OFFERS_H

#include "hub_internal.h"

void offers_recv(struct hub *, struct conn *, const struct msg_offer *);

#endif
