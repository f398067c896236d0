/* The log: one SQLite file a boat, DIR/board.db, that only ever grows.
 *
 * Everything here is synchronous: log_append() returns when the rows are on the disk, or with the reason why not. The
 * writer thread (writer.h) is a thin shell around it; the commands (verify, dump) use it without a thread.
 *
 * Promises
 *  1. A row that log_append() has accepted survives the end of the process and, if the disk keeps its own promise to
 *     sync, the loss of power: WAL with synchronous=FULL (sqlite.org/pragma.html), read back when the log is opened.
 *  2. Rows are numbered 1, 2, 3... without a gap; each row's chain covers all before it; an identity comes once. Rows
 *     that would break this are refused.
 *  3. After the first failed write nothing more is written to that file: a sync that failed once may later "succeed" with
 *     the data gone (wiki.postgresql.org/wiki/Fsync_Errors). log_mend() goes on when the disk works again, in a new file.
 *
 * A log belongs to one thread at a time; handing it over needs the usual care (starting or joining a thread is enough).
 */
#ifndef STERNBOARD_LOG_LOG_H
#define STERNBOARD_LOG_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "chain.h"
#include "err.h"
#include "log/format.h"
#include "log/row.h"

struct log;

/* What the log is and where it ends. last_seq 0: it is empty, and chain is what stands before row 1. */
struct log_open_info {
    uint64_t log_id;
    uint64_t chain_id;                  /* what the chain begins from: log_id, unless the log was restored (format.h) */
    char restored[FORMAT_RESTORED_LEN]; /* where from, in words; or empty */
    int64_t last_seq;
    uint8_t chain[CHAIN_LEN];
    bool made; /* the file was made just now */
};

/* Opens DIR/board.db for the one server of this folder; makes folder and file when missing, and holds DIR/lock.
 * ERR_BUSY: a second server. ERR_CANNOT_MAKE: not writable. ERR_DATA: damaged, or another program's. ERR_NEWER.
 * ERR_IO. A disk that is full is none of these: an old log opens, and log_append() says it. */
enum err log_open(struct log **out, const char *dir, struct log_open_info *info, struct msg *why) MUST_CHECK;

/* Opens a log to look at, beside a running server or without: path is the data folder, or a file such as a backup.
 * ERR_NO_INPUT: there is none. Nothing of the file is changed. */
enum err log_open_read(struct log **out, const char *path, struct log_open_info *info, struct msg *why) MUST_CHECK;

void log_close(struct log *log);

/* Appends rows in one transaction: all are on the disk when it returns, or none counts. Of a row are used: seq, text,
 * len, chain. Nothing was tried and it may be tried again: ERR_BUSY, another program has the file locked. The rows do
 * not follow, a chain is wrong, or an identity is there already: ERR_DATA, from a bug above. The disk refused: ERR_IO
 * or another; and so says every later call, until log_mend(). */
enum err log_append(struct log *log, const struct log_row *rows, size_t count, struct msg *why) MUST_CHECK;

/* After log_append() or log_checkpoint() has failed: does the disk work again, and is every row that was told saved there
 * still? Then the log takes rows again, from the one after the last that was told saved. Else: why not, and it may be tried
 * again later. Takes as long as writing the whole log.
 *
 * A disk that was full is waited for, and the same file used on: a write that was refused has lost nothing, and SQLite
 * writes over the part of the commit that did not fit.
 *
 * After any other failure the file is never trusted again. What the system's memory shows of it may not be on the disk, and
 * a sync of it that works says nothing of pages that an earlier one has dropped. So the rows that were told saved are copied
 * into a new file, each proven by the chain up to the last, whose chain is known from when it was saved. Where their bytes
 * are read from does not matter then: whoever changes one breaks the chain. The new file has never seen a failed sync; only
 * when its own has worked does it take the place of the old one (swap.h). The old one goes: all in it that was ever told
 * saved is in the new one, and a card that fails each hour must not fill up with copies. The caller looks through the new
 * file with log_scrub(). */
enum err log_mend(struct log *log, struct msg *why) MUST_CHECK;

/* A saved row as it is read back. The pointers are good until the callback returns. text is ended by NUL. */
struct log_line {
    int64_t seq;
    const char *text;
    int32_t len;
    const uint8_t *chain;
};

/* Reads the rows from from_seq on, in order, none parsed. each may end the reading by returning false; that is no
 * error. */
enum err log_read(struct log *log, int64_t from_seq, bool (*each)(void *context, const struct log_line *),
                  void *context, struct msg *why) MUST_CHECK;

/* The seq of the last trip_started that was not refused: where the fold of the current trip begins. 0: there is
 * none. */
enum err log_trip_start(struct log *log, int64_t *seq, struct msg *why) MUST_CHECK;

/* The highest n of every sender and lane in the whole log: what the hub must never take again. */
enum err log_tops(struct log *log, void (*each)(void *context, uint64_t sender, enum lane lane, int32_t top),
                  void *context, struct msg *why) MUST_CHECK;

/* Moves what is in the -wal into the file, as far as readers allow. To be called when nothing waits: it syncs twice. */
enum err log_checkpoint(struct log *log, struct msg *why) MUST_CHECK;

/* Looks for damage, some rows at a time, so that rows to save never wait for long (SQLite's own quick_check is one step
 * from start to end). Begin with a zeroed struct; *done when the end was reached. Each row's chain is worked out again,
 * and each row must be found through the index of identities. ERR_DATA: damage, and where. */
struct log_scrub {
    int64_t seq;
    uint8_t chain[CHAIN_LEN];
};
enum err log_scrub(struct log *log, struct log_scrub *at, int rows, bool *done, struct msg *why) MUST_CHECK;

/* The guards, and SQLite's whole examination (integrity_check). ERR_DATA: the first finding. */
enum err log_examine(struct log *log, struct msg *why) MUST_CHECK;

#endif
