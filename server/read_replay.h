/* From a log's file to the replay of one of its trips. */
#ifndef STERNBOARD_READ_REPLAY_H
#define STERNBOARD_READ_REPLAY_H

#include "debrief/replay.h"

/* path: the data folder or a log's file; the board may run on it. The trip begins at first_seq and goes to the entry before the
 * next one's start. *out is the caller's, for replay_free(). ERR_NO_INPUT: there is no such log, or no entry of that number. */
enum err read_replay(const char *path, int64_t first_seq, const struct without *, struct replay **out,
                     struct msg *why) MUST_CHECK;

#endif
