/* A SQLite file: the one place that opens one, and that turns SQLite's numbers into sentences.
 *
 * A database belongs to one thread at a time (it is opened without SQLite's own mutexes). A process opens a file once
 * for writing; closing a second handle to it by other means would drop the first one's locks
 * (sqlite.org/howtocorrupt.html, 2.2).
 */
#ifndef STERNBOARD_LOG_DATABASE_H
#define STERNBOARD_LOG_DATABASE_H

#include <sqlite3.h>
#include <stdint.h>

#include "err.h"
#include "folder.h"

/* What to do about a damaged log, as the end of a message. */
#define DATABASE_MEND                                                                                              \
    "End the board and run `sternboard restore FILE` with the spare copy, the newest backup, or the damaged file " \
    "itself."

/* READ never changes the file, nor its -wal; it may be used beside a running server. SALVAGE is READ that does not
 * mind a file cut short, or tables that cannot be understood, as long as what is asked for can be found. */
enum database_mode { DATABASE_READ, DATABASE_SALVAGE, DATABASE_WRITE };

struct database {
    sqlite3 *handle;
    char path[FOLDER_PATH_LEN];
};

/* WRITE makes a missing file (0600). ERR_CANNOT_MAKE, ERR_NO_INPUT, ERR_DATA. On an error nothing is left open. */
enum err database_open(struct database *, const char *path, enum database_mode, struct msg *why) MUST_CHECK;
void database_close(struct database *);

/* Statements that give nothing back. */
enum err database_run(struct database *, const char *sql, struct msg *why) MUST_CHECK;

/* The one value of a query. A missing row is 0, or the empty text; text over size is cut. */
enum err database_number(struct database *, const char *sql, int64_t *out, struct msg *why) MUST_CHECK;
enum err database_text(struct database *, const char *sql, char *out, int size, struct msg *why) MUST_CHECK;

/* A statement kept for use again and again; released with sqlite3_finalize(). */
enum err database_prepare(struct database *, const char *sql, sqlite3_stmt **, struct msg *why) MUST_CHECK;

/* What a result code of SQLite means for the person at the machine. */
enum err database_fail(struct database *, int code, struct msg *why);

#endif
