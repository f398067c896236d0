/* The board's rules: entries in, board out.
 *
 *     admit   asked once, of a live tap, by today's policy: yes, or a refusal that the crew reads. Never changes the board.
 *     apply   for ever: what an entry of this kind and version does to a board. Total: it never fails, whatever the body, and
 *             answers DONE, or MOOT when the entry no longer applies. MOOT leaves the board as it was, bit for bit.
 *
 * So every condition under which an entry can do nothing stands in apply; admit says the same in words, and may refuse more.
 * Who may send a kind at all is asked before, of kind_info(). Nothing here has a clock, a file, chance, memory of its own or
 * JSON: the same entries give the same bytes on every machine. Boards are compared and copied as plain bytes.
 *
 * Late. An entry says when it happened (at_ms) and when it came (got_ms). What it would change may have moved on since:
 * then it is history. admit lets it pass, for it is no mistake of today's, and apply answers MOOT. What it names may have
 * left the board altogether; the board then cannot tell when, so a tap that came more than LIMIT_LATE_MS after it happened
 * passes as history, and a fresh one is told that it is over. The same entries applied in the order of at_ms give the board
 * as the debrief tells it.
 *
 * What the board says is what has been logged. It never says that something is safe.
 */
#ifndef STERNBOARD_BOARD_H
#define STERNBOARD_BOARD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "proto.h"

enum outcome { OUTCOME_DONE, OUTCOME_MOOT };

/* What a refusal is about, for the {line} and {hand} of its words. 0, or an entry with n 0: about none. */
struct about {
    int32_t line, hand;
    struct entry_id entry;
};

/* The board before anything: no trip, nothing open, every byte zero. */
void board_reset(struct board *);

/* REFUSAL_NONE: the entry may be taken. *about is always set. A correction (instead_of) is judged on the board it goes back
 * to, by journal_dry_instead(), and always passes here. */
enum refusal_code board_admit(const struct board *, const struct entry *, struct about *);

/* Never called with a refused entry. A correction does nothing in its own place: the journal carries it back. */
enum outcome board_apply(struct board *, const struct entry *);

/* CHECKs every invariant of every aspect. */
void board_check(const struct board *);

/* One part that changed: slot is its place in now or, when it is gone, in old. */
struct part_change {
    enum board_part part;
    int32_t slot;
    bool gone;
};

/* Room for every change there can be. */
enum { BOARD_CHANGES_MAX = 2 * BOARD_SLOTS_MAX };

/* What must be sent to make now out of old, in the order of the parts, emergencies first; at most max are written, and the
 * number written is returned. A part is known by its key: one that only moved to another slot did not change. */
size_t board_diff(const struct board *old, const struct board *now, struct part_change *out, size_t max);

/* The board as text for people, lines ended by a newline, cut to cap - 1 bytes and ended by NUL. Returns the bytes written
 * without the NUL. BOARD_DUMP_BYTES is always enough. */
enum { BOARD_DUMP_BYTES = 32 * 1024 };
size_t board_dump(const struct board *, char *buf, size_t cap);

#endif
