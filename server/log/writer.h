/* The writer: the one thread that waits for the disk, so that the loop never does. A thin shell around log_append().
 *
 *      loop                                             writer thread
 *      log_writer_put(rows)  ── posted ──▶              log_append()
 *      log_writer_take()     ◀── done, then wake() ──
 *
 * One batch is under way at a time. While the disk works the loop gathers what comes in, and the next batch takes it
 * all: commits group themselves, and cost nothing when there is little to do (the "natural" group commit).
 *
 * Besides batches the thread saves the keys, and does chores when nothing else is to do: it moves the -wal into the
 * file after a quiet while, and looks through the whole log for damage, a few hundred rows at each tick, once after a
 * start. Batches go first; a chore under way is short, or was begun in a quiet moment.
 *
 * All functions are the loop's, but wake(), which the thread calls with its lock held, so it may do no more than wake. Time comes in as now_ms.
 */
#ifndef STERNBOARD_LOG_WRITER_H
#define STERNBOARD_LOG_WRITER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "err.h"
#include "log/keys.h"
#include "log/log.h"
#include "log/row.h"

/* A batch under way for longer is told to the crew as a slow disk. */
#define LOG_WRITER_SLOW_MS 1000

/* The log is left alone for this long before the -wal is moved into the file. */
#define LOG_WRITER_QUIET_MS 3000

/* After a failure the thread looks whether the disk works again (log_mend()): after so long, then after twice as long
 * each time, up to the longest. */
#define LOG_WRITER_MEND_MS     5000
#define LOG_WRITER_MEND_MAX_MS 60000

/* A disk that hangs is waited for at the end no longer than this. */
#define LOG_WRITER_STOP_MS 2000

struct log_writer;

/* The log (and the folder's name, which is copied) is the writer's until log_writer_stop(). wake(context) says that
 * log_writer_take() has something. Aborts when no thread can be had. */
struct log_writer *log_writer_start(struct log *log, const char *dir, void (*wake)(void *context), void *context);

/* Ends the thread when what was put is done (a batch that waits for a locked file is given up), and frees the writer.
 * The log is the caller's again: what the last batch came to is no longer told, but rows may still be appended with
 * log_append().
 *
 * false: the disk has not answered within LOG_WRITER_STOP_MS, and the thread is left behind in it. The writer, the log
 * and the rows that were put stay the thread's for as long as the process lives: they must not be closed or freed.
 * wake() is not called any more. */
bool log_writer_stop(struct log_writer *writer) MUST_CHECK;

/* Hands over 1 to LIMIT_BATCH_ROWS rows. The array is copied; the texts stay the caller's and must stay until the batch
 * was taken back. false, and nothing happened: a batch is under way, or the disk has failed
 * and is not mended. */
bool log_writer_put(struct log_writer *writer, const struct log_row *rows, size_t count, int64_t now_ms) MUST_CHECK;

/* The newest keys to save; those not yet begun are replaced. Copied. */
void log_writer_put_keys(struct log_writer *writer, const struct keys *keys);

/* Call a few times a second: gives the thread its chores. */
void log_writer_tick(struct log_writer *writer, int64_t now_ms);

enum log_news { LOG_NEWS_SAVED, LOG_NEWS_FAILED, LOG_NEWS_MENDED, LOG_NEWS_DAMAGED, LOG_NEWS_KEYS };

/* SAVED: all rows up to up_to_seq are on the disk, and the next batch may be put. FAILED: the batch under way is not
 * saved and none will be before MENDED (why); its rows are no longer read. MENDED: the disk works again, and batches may
 * be put, from the row after the last that was told saved. DAMAGED: an old row is not as it was written
 * (why); saving goes on. KEYS: the keys could not be saved (why); saving goes on. */
struct log_report {
    enum log_news news;
    int64_t up_to_seq;
    struct msg why;
};

/* The next piece of news, or false. */
bool log_writer_take(struct log_writer *writer, struct log_report *out) MUST_CHECK;

/* For every screen. FAILED stays until MENDED. */
enum log_state log_writer_state(const struct log_writer *writer, int64_t now_ms);

#endif
