/* The board in service: everything wired together, the loop, and the way out. */
#ifndef STERNBOARD_SERVE_H
#define STERNBOARD_SERVE_H

#include "err.h"
#include "options.h"

/* Returns when the board was asked to stop (SIGINT, SIGTERM) and everything is saved and every screen told; or with the reason
 * why it could not start, or could not save. */
enum err serve(const struct options *, struct msg *why) MUST_CHECK;

#endif
