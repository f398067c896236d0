/* Ends that nobody told: strikes and raises that lapsed, fights whose end is not known.
 *
 * They are off the board as far as the fishing goes; what is kept here is only that an end may still be told, by one tap of the
 * same kind as at sea, at the dock at the latest. There is room for the last ten. When one more comes, the oldest gives way:
 * its end stays not known for good.
 */
#ifndef STERNBOARD_BOARD_OPEN_ENDS_H
#define STERNBOARD_BOARD_OPEN_ENDS_H

#include "board/board.h"

void open_end_note(struct board *, struct entry_id id, enum end_of, int32_t line, int64_t at_ms);

/* NULL: that strike, fight or raise has no end to be told here. */
const struct board_open_end *open_end_find(const struct board *, struct entry_id id, enum end_of);
struct board_open_end *open_end_edit(struct board *, struct entry_id id, enum end_of);

/*   E1  what is on the board as open has no end to be told here */
void open_ends_check(const struct board *);

#endif
