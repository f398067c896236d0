/* A tap of a page's own, from the message to its one answer. */
#ifndef STERNBOARD_HUB_TAPS_H
#define STERNBOARD_HUB_TAPS_H

#include "hub_internal.h"

void taps_recv(struct hub *, struct conn *, const struct msg_tap *);

/* A tap that could not be read, when at least its identity could: so that its page does not send it for ever. */
void taps_unreadable(struct hub *, struct conn *, const cJSON *message, const struct proto_error *);

/* Fills the bucket by one use, unless it is full. */
bool bucket_use(struct bucket *, int64_t boot_ms, int64_t per_second, int64_t burst);

#endif
