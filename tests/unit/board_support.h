/* A board under test, and taps on it said in one line each.
 *
 * Each tap is sent as the hub would: admitted, and applied when nothing speaks against it. Whatever is sent, three promises
 * are checked: admit and a MOOT leave the board as it was, byte for byte; what admit refuses, apply answers with MOOT; every
 * invariant holds afterwards. The clock goes on a second before each tap.
 */
#ifndef BOARD_SUPPORT_H
#define BOARD_SUPPORT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "board/board.h"
#include "board/parts.h"

/* The spread and the crew of a scene. Ines is at the helm; Dov has no phone. */
enum { PORT_FLAT = 1, STARBOARD_FLAT, SHOTGUN, PORT_TEASER, STARBOARD_DREDGE, LINES };
enum { INES = 1, TOBIAS, RUTH, AMPARO, DOV };
enum { LIST_DEPART = 1, LIST_DARK };
enum { LIST_DEPART_ITEMS = 3 };
#define PAGE_A UINT64_C(0xa)
#define PAGE_B UINT64_C(0xb)

struct scene {
    struct board board, before;
    int64_t now_ms;
    int64_t ago_ms; /* of the next taps: how long before they came they were made */
    uint64_t page;  /* of the next taps */
    int32_t by;     /* of the next taps */
    int32_t n;
    struct entry entry; /* being made, then the last one sent */
    enum refusal_code code;
    struct about about;
    enum outcome outcome;
};

void scene_open(struct scene *);  /* no trip */
void scene_start(struct scene *); /* a trip at the dock, every line in */
void scene_out(struct scene *);   /* the same, and every line told out */
void scene_ago(struct scene *, int64_t ago_ms);

/* A new entry of that kind in scene->entry, its body to be filled in, then sent. send() answers its identity. */
struct entry *tap(struct scene *, enum entry_kind);
struct entry_id send(struct scene *);

struct entry *trip_tap(struct scene *); /* the scene's own trip_started */

struct entry_id line_is(struct scene *, int32_t line, enum line_state);
struct entry_id lines_seen(struct scene *, enum scope, enum line_state);
struct entry_id strike(struct scene *, int32_t line);
struct entry_id strike_ended(struct scene *, struct entry_id id, enum strike_end);
struct entry_id strike_named(struct scene *, struct entry_id id, int32_t line);
struct entry_id hook(struct scene *, int32_t line); /* a strike, and on: the fight */
struct entry_id fight_ended(struct scene *, struct entry_id fight, enum fight_end);
struct entry_id clear_called(struct scene *, enum scope, int32_t kept_line); /* kept_line 0: none kept */
struct entry_id line_taken(struct scene *, int32_t line);
struct entry_id line_kept(struct scene *, int32_t line, bool kept);
struct entry_id call_to(struct scene *, enum station, int32_t hand);
struct entry_id call_got(struct scene *, struct entry_id call);
struct entry_id trip_phase(struct scene *, enum phase);
struct entry_id trip_ended(struct scene *);

#define expect_done(scene)                                             \
    do {                                                               \
        assert_string_equal(refusal_code_name((scene)->code), "none"); \
        assert_int_equal((scene)->outcome, OUTCOME_DONE);              \
    } while (0)
#define expect_moot(scene)                                             \
    do {                                                               \
        assert_string_equal(refusal_code_name((scene)->code), "none"); \
        assert_int_equal((scene)->outcome, OUTCOME_MOOT);              \
    } while (0)
#define expect_refused(scene, why) assert_string_equal(refusal_code_name((scene)->code), (why))

#define line_of(scene, id)  line_find(&(scene)->board, (id))
#define state_of(scene, id) (line_of(scene, id)->state)

#endif
