/* From a log's file to a debrief: what every way of asking for numbers does (the command, a page, a trip's start). */
#ifndef STERNBOARD_READ_BACK_H
#define STERNBOARD_READ_BACK_H

#include "debrief/debrief.h"
#include "err.h"

/* path: the data folder or a log's file; the board may run on it. The log's id and the program's version are filled in. *out is
 * the caller's, for debrief_free(). The errors are those of log_open_read() and debrief_finish(). On an error there is none. */
enum err read_back(const char *path, const struct debrief_choice *, struct debrief **out, struct msg *why) MUST_CHECK;

#endif
