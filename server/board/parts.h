/* Finding one's way on the board: what every aspect asks.
 *
 * X_find answers for reading, X_edit for changing; both NULL when the board holds no such thing. Ids of 0, and entries with
 * n 0, name nothing and are never found.
 */
#ifndef STERNBOARD_BOARD_PARTS_H
#define STERNBOARD_BOARD_PARTS_H

#include "board/board.h"

/* Copies a text into one of the same size, its zero bytes included. */
#define TEXT_COPY(to, from)                                                            \
    do {                                                                               \
        _Static_assert(sizeof(to) == sizeof(from), "the same room for the same text"); \
        memcpy((to), (from), sizeof(to));                                              \
    } while (0)

bool id_is(struct entry_id a, struct entry_id b);

/* Slots of a keyed part: the one with that key (an int32_t, a uint64_t or a struct entry_id), a free one; -1: none. */
int32_t slot_find(const struct board *, enum board_part, const void *key);
int32_t slot_free(const struct board *, enum board_part);

const struct board_line *line_find(const struct board *, int32_t id);
struct board_line *line_edit(struct board *, int32_t id);
const struct board_hand *hand_find(const struct board *, int32_t id);
struct board_hand *hand_edit(struct board *, int32_t id);
const struct board_strike *strike_find(const struct board *, struct entry_id id);
struct board_strike *strike_edit(struct board *, struct entry_id id);
const struct board_fight *fight_find(const struct board *, struct entry_id id);
struct board_fight *fight_edit(struct board *, struct entry_id id);
const struct board_raise *raise_find(const struct board *, struct entry_id id);
struct board_raise *raise_edit(struct board *, struct entry_id id);
const struct board_hurt *hurt_find(const struct board *, struct entry_id id);
struct board_hurt *hurt_edit(struct board *, struct entry_id id);
const struct board_call *call_find(const struct board *, struct entry_id id);
struct board_call *call_edit(struct board *, struct entry_id id);

/* The open strike, the fight, on a line; NULL: none. */
const struct board_strike *strike_on_line(const struct board *, int32_t line);
const struct board_fight *fight_on_line(const struct board *, int32_t line);

/* Is it in, and has it been seen since the server started? */
bool line_sure_in(const struct board_line *);

/* Are two times so near that what happened then is one event? */
bool times_join(int64_t a_ms, int64_t b_ms);

/* May a hand be named so? 0 names nobody and always may. */
bool hand_may(const struct board *, int32_t hand);

/* The hand of that name; 0: there is none. No hand's name is empty. */
int32_t hand_of_name(const struct board *, const char *name);

/* Did this happen before the thing it would change became what it is? */
bool entry_late(const struct entry *, int64_t since_ms);

/* Did it come so long after it happened that what it names may well have been there then? */
bool entry_old(const struct entry *);

/* The refusal for something that has left the board: none for an old tap, which is history. */
enum refusal_code refuse_gone(const struct entry *, enum refusal_code);

/* Counts only ever rise, up to what the schema has room for; only those of ends that are not known fall, by one for each end
 * that is told after all. */
void count_up(int32_t *count);
void count_down(int32_t *count);

#endif
