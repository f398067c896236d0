/* The aspects of the board, one file each, with what it admits, what it applies and what must always hold side by side.
 *
 * Each is handed only its own kinds of entry (board.c deals them out). Files call downwards only:
 *
 *     board.c -> every aspect -> lines.c (the one door through which a line's state changes) -> parts.c
 *                calls.c -> overboard.c (is this one of its calls?)
 *                trip.c -> hurt.c (does one stand?), fish.c (who counts)
 *                strikes.c, fights.c, raises.c -> open_ends.c
 *
 * Where one aspect follows from an entry of another's (a fish that comes on ends its raise, takes the next angler, frees the
 * gaff when it is off), it does so in its X_settle(), which board.c calls after every entry that did something.
 */
#ifndef STERNBOARD_BOARD_ASPECTS_H
#define STERNBOARD_BOARD_ASPECTS_H

#include "board/board.h"

enum refusal_code trip_admit(const struct board *, const struct entry *, struct about *);
enum outcome trip_apply(struct board *, const struct entry *);
void trip_check(const struct board *);
bool trip_runs(const struct board *); /* begun and not ended */

enum refusal_code crew_admit(const struct board *, const struct entry *, struct about *);
enum outcome crew_apply(struct board *, const struct entry *);
void crew_check(const struct board *);

enum refusal_code lines_admit(const struct board *, const struct entry *, struct about *);
enum outcome lines_apply(struct board *, const struct entry *);
void lines_check(const struct board *);
/* Lines told one by one, in what kind of entry so ever: of how many, which, as what, and whether by eye. */
struct line_told {
    int32_t line;
    enum line_state state;
};
struct lines_told {
    struct line_told one[2 * BOARD_LINES_MAX];
    int32_t count;
    bool eye;
};
void lines_told_by(const struct entry *, struct lines_told *); /* none: the entry is of another kind */
enum refusal_code lines_told_refusal(const struct board *, const struct entry *, struct about *);
enum outcome lines_told_apply(struct board *, const struct entry *);
void line_becomes(struct board_line *, enum line_state, const struct entry *);
void line_keeps(struct board_line *, bool kept, const struct entry *);
bool line_in_scope(const struct board *, const struct board_line *, enum scope);

enum refusal_code strikes_admit(const struct board *, const struct entry *, struct about *);
enum outcome strikes_apply(struct board *, const struct entry *);
void strikes_check(const struct board *);

enum refusal_code fights_admit(const struct board *, const struct entry *, struct about *);
enum outcome fights_apply(struct board *, const struct entry *);
void fights_check(const struct board *);

enum refusal_code clearing_admit(const struct board *, const struct entry *, struct about *);
enum outcome clearing_apply(struct board *, const struct entry *);
void clearing_check(const struct board *);
void clearing_settle(struct board *, const struct entry *); /* after every entry that did something */

enum refusal_code raises_admit(const struct board *, const struct entry *, struct about *);
enum outcome raises_apply(struct board *, const struct entry *);
void raises_check(const struct board *);
void raises_settle(struct board *, const struct entry *); /* a strike may be the raised fish */

enum refusal_code deck_admit(const struct board *, const struct entry *, struct about *);
enum outcome deck_apply(struct board *, const struct entry *);
void deck_check(const struct board *);
void deck_settle(struct board *, const struct entry *); /* the gaff falls with the last fight */

enum refusal_code astern_admit(const struct board *, const struct entry *, struct about *);
enum outcome astern_apply(struct board *, const struct entry *);
void astern_check(const struct board *);

enum refusal_code hurt_admit(const struct board *, const struct entry *, struct about *);
enum outcome hurt_apply(struct board *, const struct entry *);
void hurt_check(const struct board *);
bool hurt_stands(const struct board *); /* is there one that is not looked after? */

enum refusal_code stamps_admit(const struct board *, const struct entry *, struct about *);
enum outcome stamps_apply(struct board *, const struct entry *);
void stamps_check(const struct board *);

enum refusal_code baits_admit(const struct board *, const struct entry *, struct about *);
enum outcome baits_apply(struct board *, const struct entry *);
void baits_check(const struct board *);

enum refusal_code places_admit(const struct board *, const struct entry *, struct about *);
enum outcome places_apply(struct board *, const struct entry *);
void places_check(const struct board *);

enum refusal_code orders_admit(const struct board *, const struct entry *, struct about *);
enum outcome orders_apply(struct board *, const struct entry *);
void orders_check(const struct board *);
void orders_settle(struct board *, const struct entry *); /* a fish that came on has an angler */

enum refusal_code dock_admit(const struct board *, const struct entry *, struct about *);
enum outcome dock_apply(struct board *, const struct entry *);
void dock_check(const struct board *);

enum refusal_code fish_admit(const struct board *, const struct entry *, struct about *);
enum outcome fish_apply(struct board *, const struct entry *);
void fish_check(const struct board *);
void fish_muster(struct board *b, const struct entry *e); /* who counts, as the trip starts */

enum refusal_code checks_admit(const struct board *, const struct entry *, struct about *);
enum outcome checks_apply(struct board *, const struct entry *);
void checks_check(const struct board *);

enum refusal_code calls_admit(const struct board *, const struct entry *, struct about *);
enum outcome calls_apply(struct board *, const struct entry *);
void calls_check(const struct board *);

enum refusal_code overboard_admit(const struct board *, const struct entry *, struct about *);
enum outcome overboard_apply(struct board *, const struct entry *);
void overboard_check(const struct board *);
bool overboard_names(const struct board *, struct entry_id); /* is it a call of the open emergency? */

enum refusal_code stop_admit(const struct board *, const struct entry *, struct about *);
enum outcome stop_apply(struct board *, const struct entry *);
void stop_check(const struct board *);

enum refusal_code correct_admit(const struct board *, const struct entry *, struct about *);
enum outcome correct_apply(struct board *, const struct entry *);
void correct_check(const struct board *);

enum refusal_code presence_admit(const struct board *, const struct entry *, struct about *);
enum outcome presence_apply(struct board *, const struct entry *);
void presence_check(const struct board *);

#endif
