/* A connection's first message: who it is, and whether the log it remembers is this one. */
#ifndef STERNBOARD_HUB_HELLO_H
#define STERNBOARD_HUB_HELLO_H

#include "hub_internal.h"

void hello_recv(struct hub *, int32_t conn_index, const struct msg_hello *);

#endif
