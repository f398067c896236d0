/* The spare copy (mirror.h) kept current on a thread of its own, beside the log's writer and behind it.
 *
 *      loop                                    the spare's thread
 *      spare_saved(seq)     ── wanted ──▶      mirror_follow()
 *      spare_tick()         ── look ──▶        mirror_open(), mirror_check(), after trouble
 *      spare_take()         ◀── news, wake() ──
 *
 * The log's writer, and so every tap, never waits for it: a stick that is slow, full, read-only or pulled out costs
 * nothing but the copy. What goes wrong closes the copy; every few seconds it is opened, checked from the first row to
 * the last, and brought up to the log again.
 *
 * All functions are the loop's, but wake(), which the thread calls without a lock held. Time comes in as now_ms.
 */
#ifndef STERNBOARD_LOG_SPARE_H
#define STERNBOARD_LOG_SPARE_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"
#include "proto.h"

#define SPARE_RETRY_MS  5000 /* between two looks for a stick that is not there */
#define SPARE_BEHIND_MS 5000 /* rows that wait for longer are told: the stick is slow, or catching up */
#define SPARE_STOP_MS   5000 /* the longest wait for a stick on the way out */

struct spare;

/* log_dir, dir: the data folder and the folder on the stick; copied. saved_seq: the log's last row. Aborts when no
 * thread can be had. */
struct spare *spare_start(const char *log_dir, const char *dir, int64_t saved_seq, void (*wake)(void *context),
                          void *context);

/* Lets it catch up, for SPARE_STOP_MS at most, and ends it. Words are left for whoever stands by: *behind is how many rows
 * the copy lacks. A thread that hangs in a dead disk is left behind, with its memory. */
void spare_stop(struct spare *spare, int64_t *behind);

/* The log has all rows up to here on its disk. */
void spare_saved(struct spare *spare, int64_t up_to_seq, int64_t now_ms);

/* Call a few times a second. */
void spare_tick(struct spare *spare, int64_t now_ms);

/* The next piece of news, or false: that it stopped and why, that it goes on. trouble: to be told even where only
 * trouble is. */
bool spare_take(struct spare *spare, bool *trouble, struct msg *news) MUST_CHECK;

/* For every screen. */
enum spare_copy spare_state(struct spare *spare, int64_t now_ms);

#endif
