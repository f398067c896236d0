#include "mirror.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "board/check.h"
#include "chain.h"
#include "log/database.h"
#include "log/folder.h"
#include "log/format.h"
#include "log/swap.h"

/* Rows of one commit or one piece of the check: what a slow stick takes in well under a second. */
#define ROWS_AT_ONCE 256

struct mirror {
    struct database log, copy;
    sqlite3_stmt *read_log, *read_copy, *insert;
    int held;
    char dir[FOLDER_PATH_LEN];
    int64_t last_seq; /* of the copy; while it is checked: of what was checked */
    uint8_t chain[CHAIN_LEN];
};

#define READ_ROWS "SELECT seq, text, chain FROM entry WHERE seq > ?1 AND seq <= ?2 ORDER BY seq LIMIT ?3"

/* ---- open and close ---- */

/* After a failed sync the system's memory may hold what the disk does not. Let go of it, so that the check reads the
 * disk: posix_fadvise(2). Nobody has the file open now, so no lock is lost with it. */
static void forget_cached(const char *path)
{
    int file = open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return;
    (void)posix_fadvise(file, 0, 0, POSIX_FADV_DONTNEED);
    (void)close(file);
}

/* One file between commits; synced with its folder, so that a commit told done is not undone by a journal that came
 * back. */
static enum err make_durable(struct database *copy, struct msg *why)
{
    char journal[16] = "";
    int64_t synchronous = 0;
    enum err err = database_text(copy, "PRAGMA journal_mode = DELETE", journal, sizeof journal, why);
    if (err == ERR_NONE)
        err = database_run(copy, "PRAGMA synchronous = EXTRA; PRAGMA recursive_triggers = ON", why);
    if (err == ERR_NONE)
        err = database_number(copy, "PRAGMA synchronous", &synchronous, why);
    if (err == ERR_NONE && (strcmp(journal, "delete") != 0 || synchronous != 3))
        err = err_set(why, ERR_CANNOT_MAKE, "The disk of %s does not let SQLite sync each commit.", copy->path);
    return err;
}

static enum err put_aside(const char *dir, const char *because, struct msg *note, struct msg *why)
{
    char kept[FOLDER_PATH_LEN];
    enum err err = swap_keep(dir, kept, why);
    if (err == ERR_NONE)
        (void)err_set(note, ERR_DATA, "The spare copy that was in %s %s: it is kept as %.200s, and a new one begun.",
                      dir, because, strrchr(kept, '/') ? strrchr(kept, '/') + 1 : kept);
    return err;
}

/* Opens the copy's file. *other: it is a log, but damaged or of another boat. */
static enum err open_copy(struct mirror *mirror, const char *path, const struct format_identity *identity, bool *other,
                          struct msg *why)
{
    bool empty = false;
    struct format_identity found = {0};
    *other = false;
    forget_cached(path);
    enum err err = database_open(&mirror->copy, path, DATABASE_WRITE, why);
    if (err != ERR_NONE)
        return err;
    err = format_is_empty(&mirror->copy, &empty, why);
    if (err == ERR_NONE && !empty)
        err = format_check(&mirror->copy, why);
    if (err != ERR_NONE || empty) {
        *other = err == ERR_DATA && (sqlite3_errcode(mirror->copy.handle) & 0xff) == SQLITE_CORRUPT;
        return err == ERR_NONE ? format_make(&mirror->copy, identity, why) : err;
    }
    err = format_check_guards(&mirror->copy, why);
    if (err == ERR_NONE)
        err = format_identify(&mirror->copy, &found, why);
    *other = err == ERR_DATA || (err == ERR_NONE && found.log_id != identity->log_id);
    return err;
}

static enum err prepare(struct mirror *mirror, struct msg *why)
{
    enum err err = make_durable(&mirror->copy, why);
    if (err == ERR_NONE)
        err = database_prepare(&mirror->log, READ_ROWS, &mirror->read_log, why);
    if (err == ERR_NONE)
        err = database_prepare(&mirror->copy, READ_ROWS, &mirror->read_copy, why);
    if (err == ERR_NONE)
        err = database_prepare(&mirror->copy, "INSERT INTO entry (seq, text, chain) VALUES (?1, ?2, ?3)",
                               &mirror->insert, why);
    return err;
}

static enum err open_both(struct mirror *mirror, const char *log_dir, struct msg *note, struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    bool other = false;
    struct format_identity identity = {0};
    enum err err = folder_path(log_dir, FORMAT_FILE_NAME, path, why);
    if (err == ERR_NONE)
        err = database_open(&mirror->log, path, DATABASE_READ, why);
    if (err == ERR_NONE)
        err = format_identify(&mirror->log, &identity, why);
    if (err == ERR_NONE)
        err = folder_path(mirror->dir, FORMAT_FILE_NAME, path, why);
    if (err == ERR_NONE)
        err = folder_hold(mirror->dir, &mirror->held, why);
    if (err != ERR_NONE)
        return err;
    err = open_copy(mirror, path, &identity, &other, why);
    if (other) {
        database_close(&mirror->copy);
        err = put_aside(mirror->dir, err == ERR_NONE ? "is of another log" : "is damaged", note, why);
        if (err == ERR_NONE)
            err = open_copy(mirror, path, &identity, &other, why);
    }
    chain_start(identity.chain_id, mirror->chain);
    return err == ERR_NONE ? prepare(mirror, why) : err;
}

enum err mirror_open(struct mirror **out, const char *log_dir, const char *dir, struct msg *note, struct msg *why)
{
    struct stat facts;
    note->text[0] = '\0';
    if (stat(dir, &facts) != 0 || !S_ISDIR(facts.st_mode))
        return err_set(why, ERR_NO_INPUT, "There is no folder %s. Put the stick in, or make the folder on it.", dir);
    struct mirror *mirror = calloc(1, sizeof *mirror);
    CHECK(mirror && strlen(dir) < sizeof mirror->dir);
    strncpy(mirror->dir, dir, sizeof mirror->dir);
    mirror->held = -1;
    enum err err = open_both(mirror, log_dir, note, why);
    if (err == ERR_NONE)
        *out = mirror;
    else
        mirror_close(mirror);
    return err;
}

void mirror_close(struct mirror *mirror)
{
    sqlite3_finalize(mirror->read_log);
    sqlite3_finalize(mirror->read_copy);
    sqlite3_finalize(mirror->insert);
    if (mirror->log.handle)
        database_close(&mirror->log);
    if (mirror->copy.handle)
        database_close(&mirror->copy);
    if (mirror->held >= 0)
        folder_release(mirror->held);
    free(mirror);
}

int64_t mirror_last_seq(const struct mirror *mirror)
{
    return mirror->last_seq;
}

/* ---- rows ---- */

static void begin_read(const struct mirror *mirror, sqlite3_stmt *query, int64_t up_to_seq, int rows)
{
    CHECK(sqlite3_bind_int64(query, 1, mirror->last_seq) == SQLITE_OK);
    CHECK(sqlite3_bind_int64(query, 2, up_to_seq) == SQLITE_OK);
    CHECK(sqlite3_bind_int(query, 3, rows) == SQLITE_OK);
}

/* Does the row under the query follow? Then it is the last. */
static bool follows(struct mirror *mirror, sqlite3_stmt *query)
{
    uint8_t chain[CHAIN_LEN];
    const char *text = (const char *)sqlite3_column_text(query, 1);
    if (sqlite3_column_int64(query, 0) != mirror->last_seq + 1 || !text || sqlite3_column_bytes(query, 2) != CHAIN_LEN)
        return false;
    chain_next(mirror->chain, text, (size_t)sqlite3_column_bytes(query, 1), chain);
    if (memcmp(chain, sqlite3_column_blob(query, 2), CHAIN_LEN) != 0)
        return false;
    memcpy(mirror->chain, chain, CHAIN_LEN);
    mirror->last_seq++;
    return true;
}

/* ---- the check ---- */

/* Is the log's row with the copy's last seq the same one? */
static enum err same_end(struct mirror *mirror, bool *same, struct msg *why)
{
    int64_t last_seq = mirror->last_seq--;
    begin_read(mirror, mirror->read_log, last_seq, 1);
    mirror->last_seq = last_seq;
    int code = sqlite3_step(mirror->read_log);
    *same = code == SQLITE_ROW && sqlite3_column_bytes(mirror->read_log, 2) == CHAIN_LEN &&
            memcmp(sqlite3_column_blob(mirror->read_log, 2), mirror->chain, CHAIN_LEN) == 0;
    enum err err = code == SQLITE_ROW || code == SQLITE_DONE ? ERR_NONE : database_fail(&mirror->log, code, why);
    (void)sqlite3_reset(mirror->read_log);
    return err;
}

/* A log that has lost rows which its copy has: the copy is what brings them back, so it is kept, and said aloud. */
static enum err refuse(struct mirror *mirror, const char *because, struct msg *why)
{
    struct msg note;
    sqlite3_finalize(mirror->read_copy);
    sqlite3_finalize(mirror->insert);
    mirror->read_copy = NULL;
    mirror->insert = NULL;
    database_close(&mirror->copy);
    enum err err = put_aside(mirror->dir, because, &note, why);
    return err == ERR_NONE ? err_set(why, ERR_DATA, "%s", note.text) : err;
}

enum err mirror_check(struct mirror *mirror, bool *done, struct msg *why)
{
    int code = SQLITE_ROW;
    int rows = 0;
    bool good = true;
    *done = false;
    begin_read(mirror, mirror->read_copy, INT64_MAX, ROWS_AT_ONCE);
    while (good && (code = sqlite3_step(mirror->read_copy)) == SQLITE_ROW) {
        good = follows(mirror, mirror->read_copy);
        rows++;
    }
    (void)sqlite3_reset(mirror->read_copy);
    if (!good || (code & 0xff) == SQLITE_CORRUPT)
        return refuse(mirror, "is damaged", why);
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        return database_fail(&mirror->copy, code, why);
    *done = rows < ROWS_AT_ONCE;
    if (!*done || mirror->last_seq == 0)
        return ERR_NONE;
    enum err err = same_end(mirror, &good, why);
    if (err == ERR_NONE && !good)
        err = refuse(mirror, "holds rows that the log has lost (restore it after the trip)", why);
    return err;
}

/* ---- following ---- */

static enum err insert(struct mirror *mirror, struct msg *why)
{
    sqlite3_stmt *row = mirror->read_log;
    CHECK(sqlite3_bind_int64(mirror->insert, 1, sqlite3_column_int64(row, 0)) == SQLITE_OK);
    CHECK(sqlite3_bind_text(mirror->insert, 2, (const char *)sqlite3_column_text(row, 1), sqlite3_column_bytes(row, 1),
                            SQLITE_STATIC) == SQLITE_OK);
    CHECK(sqlite3_bind_blob(mirror->insert, 3, sqlite3_column_blob(row, 2), CHAIN_LEN, SQLITE_STATIC) == SQLITE_OK);
    int code = sqlite3_step(mirror->insert);
    enum err err = code == SQLITE_DONE ? ERR_NONE : database_fail(&mirror->copy, code, why);
    (void)sqlite3_reset(mirror->insert);
    (void)sqlite3_clear_bindings(mirror->insert);
    return err;
}

static enum err insert_rows(struct mirror *mirror, int64_t up_to_seq, struct msg *why)
{
    enum err err = ERR_NONE;
    int64_t from_seq = mirror->last_seq;
    int code = SQLITE_ROW;
    begin_read(mirror, mirror->read_log, up_to_seq, ROWS_AT_ONCE);
    while (err == ERR_NONE && (code = sqlite3_step(mirror->read_log)) == SQLITE_ROW)
        err = follows(mirror, mirror->read_log)
                  ? insert(mirror, why)
                  : err_set(why, ERR_DATA, "Row %" PRId64 " of the log %s is damaged. " DATABASE_MEND,
                            mirror->last_seq + 1, mirror->log.path);
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        err = database_fail(&mirror->log, code, why);
    (void)sqlite3_reset(mirror->read_log);
    if (err == ERR_NONE && mirror->last_seq == from_seq && from_seq < up_to_seq)
        err = err_set(why, ERR_IO, "The log %s was replaced.", mirror->log.path);
    return err;
}

enum err mirror_follow(struct mirror *mirror, int64_t up_to_seq, struct msg *why)
{
    enum err err = database_run(&mirror->copy, "BEGIN IMMEDIATE", why);
    if (err == ERR_NONE)
        err = insert_rows(mirror, up_to_seq, why);
    return err == ERR_NONE ? database_run(&mirror->copy, "COMMIT", why) : err;
}
