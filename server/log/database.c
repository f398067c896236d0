#include "database.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include "board/check.h"

/* How long a write waits for another program that has the file locked, such as a person's sqlite3 shell. */
#define WAIT_MS 2000

#define URI_LEN (3 * FOLDER_PATH_LEN + 32)

static enum err damaged(struct database *db, struct msg *why)
{
    return err_set(why, ERR_DATA, "The log %s is damaged (%s). " DATABASE_MEND, db->path, sqlite3_errmsg(db->handle));
}

static enum err cannot_open(const char *path, int code, struct msg *why)
{
    return err_set(why, ERR_CANNOT_MAKE,
                   "%s cannot be opened here (%s). Give this user the right to write it and its folder, or name "
                   "another with --data.",
                   path, sqlite3_errstr(code));
}

/* A disk that its system has turned read-only after an error of its own fails in the middle of the work, not at the opening. */
static enum err disk_failed(const struct database *db, int code, struct msg *why)
{
    if (access(db->path, W_OK) != 0 && errno == EROFS)
        return err_set(why, ERR_IO,
                       "The disk with %s can only be read now: its system has turned it read-only. Check the disk.",
                       db->path);
    return err_set(why, ERR_IO, "The disk failed at %s (%s). Check the disk.", db->path, sqlite3_errstr(code));
}

enum err database_fail(struct database *db, int code, struct msg *why)
{
    const char *path = db->path;
    CHECK((code & 0xff) != SQLITE_NOMEM && (code & 0xff) != SQLITE_MISUSE);
    switch (code & 0xff) {
    case SQLITE_FULL: return err_set(why, ERR_IO, "The disk with %s is full. Make room on it.", path);
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return err_set(why, ERR_BUSY, "Another program has locked %s. End it first.", path);
    case SQLITE_READONLY:
        if (code == SQLITE_READONLY_ROLLBACK)
            return err_set(why, ERR_DATA,
                           "%s was cut off in the middle of a write. `sternboard restore` reads it up to the write "
                           "before, and the board mends it when it is started with it.",
                           path);
        if (code == SQLITE_READONLY_DBMOVED)
            return err_set(why, ERR_IO, "%s is no longer there: its disk was taken out, or it was moved.", path);
        return cannot_open(path, code, why);
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH: return cannot_open(path, code, why);
    case SQLITE_CORRUPT: return damaged(db, why);
    case SQLITE_NOTADB:
        return err_set(why, ERR_DATA, "%s is not a sternboard log. Move it away, or name another folder with --data.",
                       path);
    case SQLITE_CONSTRAINT:
        return err_set(why, ERR_DATA, "The log %s refused a row: %s.", path, sqlite3_errmsg(db->handle));
    case SQLITE_ERROR:
        return err_set(why, ERR_DATA, "The log %s is not as it was made (%s). " DATABASE_MEND, path,
                       sqlite3_errmsg(db->handle));
    default: return disk_failed(db, code, why);
    }
}

/* SQLite would make the file readable by all; its -wal and -shm take the file's own rights. */
static enum err make_file(const char *path, struct msg *why)
{
    int file = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (file < 0 && errno == EEXIST)
        return ERR_NONE;
    if (file < 0)
        return err_set(why, ERR_CANNOT_MAKE,
                       "%s cannot be made (%s). Give this user the right to write there, or name another folder with "
                       "--data.",
                       path, strerror(errno));
    (void)close(file);
    return ERR_NONE;
}

/* Caution over speed: no mapped memory (a failing card would be a SIGBUS), every cell looked at when a page is read.
 * A file that is shorter than it says is read all the same where the schema counts as writable (SQLite's btree.c,
 * lockBtree), which a defensive connection never allows. */
static enum err settle(struct database *db, enum database_mode mode, struct msg *why)
{
    int defensive = mode != DATABASE_SALVAGE;
    CHECK(sqlite3_extended_result_codes(db->handle, 1) == SQLITE_OK);
    CHECK(sqlite3_busy_timeout(db->handle, WAIT_MS) == SQLITE_OK);
    CHECK(sqlite3_db_config(db->handle, SQLITE_DBCONFIG_DEFENSIVE, defensive, NULL) == SQLITE_OK);
    /* A reader's last act must not be one of a writer: a file may have got another's name under it (swap.h). */
    if (mode != DATABASE_WRITE)
        CHECK(sqlite3_db_config(db->handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL) == SQLITE_OK);
    if (!defensive)
        CHECK(sqlite3_db_config(db->handle, SQLITE_DBCONFIG_WRITABLE_SCHEMA, 1, NULL) == SQLITE_OK);
    return database_run(db, "PRAGMA mmap_size = 0; PRAGMA cell_size_check = ON", why);
}

/* On a disk that cannot be written SQLite finds no place for the index of a -wal, and opens no log at all. Where there is no
 * -wal none is needed: "immutable" says so (sqlite.org/uri.html), and on such a disk it is true. */
static bool is_immutable(const char *path)
{
    char wal[FOLDER_PATH_LEN + 8];
    struct stat facts;
    struct statvfs disk;
    (void)snprintf(wal, sizeof wal, "%s-wal", path);
    return statvfs(path, &disk) == 0 && (disk.f_flag & ST_RDONLY) && (stat(wal, &facts) != 0 || facts.st_size == 0);
}

/* The path as a URI that says immutable; what has a meaning in a URI is written in hex (RFC 3986, 2.1). */
static void immutable_uri(const char *path, char uri[URI_LEN])
{
    size_t at = (size_t)snprintf(uri, URI_LEN, "file:");
    for (; *path; path++)
        at += (size_t)snprintf(uri + at, URI_LEN - at, strchr("%?#", *path) ? "%%%02x" : "%c", (unsigned char)*path);
    (void)snprintf(uri + at, URI_LEN - at, "?immutable=1");
}

static int open_file(struct database *db, const char *path, enum database_mode mode)
{
    char uri[URI_LEN];
    if (mode == DATABASE_WRITE)
        return sqlite3_open_v2(path, &db->handle, SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_READWRITE, NULL);
    if (!is_immutable(path))
        return sqlite3_open_v2(path, &db->handle, SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_READONLY, NULL);
    immutable_uri(path, uri);
    return sqlite3_open_v2(uri, &db->handle, SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, NULL);
}

enum err database_open(struct database *db, const char *path, enum database_mode mode, struct msg *why)
{
    enum err err = ERR_NONE;
    CHECK(strlen(path) < sizeof db->path);
    strncpy(db->path, path, sizeof db->path);
    db->handle = NULL;
    if (mode != DATABASE_WRITE && access(path, F_OK) != 0)
        return err_set(why, ERR_NO_INPUT, "There is no log %s (%s).", path, strerror(errno));
    if (mode == DATABASE_WRITE && (err = make_file(path, why)) != ERR_NONE)
        return err;
    int code = open_file(db, path, mode);
    if (code != SQLITE_OK)
        err = database_fail(db, code, why);
    else if (mode == DATABASE_WRITE && sqlite3_db_readonly(db->handle, "main"))
        err = database_fail(db, SQLITE_READONLY, why);
    else
        err = settle(db, mode, why);
    if (err != ERR_NONE)
        database_close(db);
    return err;
}

void database_close(struct database *db)
{
    /* Busy here means a statement was not released. */
    CHECK(sqlite3_close(db->handle) == SQLITE_OK);
    db->handle = NULL;
}

enum err database_run(struct database *db, const char *sql, struct msg *why)
{
    int code = sqlite3_exec(db->handle, sql, NULL, NULL, NULL);
    return code == SQLITE_OK ? ERR_NONE : database_fail(db, code, why);
}

enum err database_prepare(struct database *db, const char *sql, sqlite3_stmt **out, struct msg *why)
{
    int code = sqlite3_prepare_v3(db->handle, sql, -1, SQLITE_PREPARE_PERSISTENT, out, NULL);
    return code == SQLITE_OK ? ERR_NONE : database_fail(db, code, why);
}

/* Steps to the first row of a query, or past its end: *row says which. */
static enum err first_row(struct database *db, const char *sql, sqlite3_stmt **query, int *row, struct msg *why)
{
    enum err err = database_prepare(db, sql, query, why);
    if (err != ERR_NONE)
        return err;
    int code = sqlite3_step(*query);
    *row = code == SQLITE_ROW;
    return code == SQLITE_ROW || code == SQLITE_DONE ? ERR_NONE : database_fail(db, code, why);
}

enum err database_number(struct database *db, const char *sql, int64_t *out, struct msg *why)
{
    sqlite3_stmt *query = NULL;
    int row = 0;
    enum err err = first_row(db, sql, &query, &row, why);
    if (err == ERR_NONE)
        *out = row ? sqlite3_column_int64(query, 0) : 0;
    sqlite3_finalize(query);
    return err;
}

enum err database_text(struct database *db, const char *sql, char *out, int size, struct msg *why)
{
    sqlite3_stmt *query = NULL;
    int row = 0;
    enum err err = first_row(db, sql, &query, &row, why);
    if (err == ERR_NONE) {
        const unsigned char *text = row ? sqlite3_column_text(query, 0) : NULL;
        sqlite3_snprintf(size, out, "%s", text ? (const char *)text : "");
    }
    sqlite3_finalize(query);
    return err;
}
