/* What changed between two boards, as the wire says it: the parts of a patch. The hub makes its patches with it, and the replay
 * makes them again, so that a page applies both by the same code. */
#ifndef STERNBOARD_DEBRIEF_CHANGES_H
#define STERNBOARD_DEBRIEF_CHANGES_H

#include "board/board.h"
#include "proto_json.h"

/* An object: the whole new value of each changed part by its id, null for one that is gone. Behind what *out holds. */
void changes_encode(const struct board *old, const struct board *now, struct json_out *out);

#endif
