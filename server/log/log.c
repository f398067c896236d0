#include "log.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include "board/check.h"
#include "log/copy.h"
#include "log/database.h"
#include "log/folder.h"
#include "log/format.h"
#include "log/keys.h"
#include "log/swap.h"

/* A WAL of this many pages (16 MB) is moved into the file by the commit that passes it. The writer does so earlier, in
 * quiet moments; this bound is for the hour that has none. */
#define WAL_PAGES "4000"

/* Nine digits: the largest number of a sender's entry (shared-proto/schema/entries.json). */
#define NUMBER_MAX 999999999

/* A disk that was full takes rows again from this much room on: a few commits, and the pages that SQLite adds. */
#define ROOM_BYTES (2 * 1024 * 1024)

struct log {
    struct database db;
    char dir[FOLDER_PATH_LEN]; /* of a log open for writing */
    int held;                  /* DIR/lock, or -1 */
    bool failed;
    bool full; /* it failed for want of room, and of nothing else */
    struct format_identity identity;
    int64_t last_seq;
    uint8_t chain[CHAIN_LEN];
    sqlite3_stmt *begin, *insert, *commit, *read, *scrub;
};

/* ---- open and close ---- */

/* Durability is a setting of the connection and easily lost: set, then read back, and no server without it. */
static enum err make_durable(struct log *log, struct msg *why)
{
    char journal[16] = "";
    int64_t synchronous = 0;
    int64_t recursive = 0;
    enum err err = database_text(&log->db, "PRAGMA journal_mode = WAL", journal, sizeof journal, why);
    if (err == ERR_NONE)
        err = database_run(&log->db,
                           "PRAGMA synchronous = FULL; PRAGMA recursive_triggers = ON;"
                           "PRAGMA wal_autocheckpoint = " WAL_PAGES "; PRAGMA journal_size_limit = 16777216",
                           why);
    if (err == ERR_NONE)
        err = database_number(&log->db, "PRAGMA synchronous", &synchronous, why);
    if (err == ERR_NONE)
        err = database_number(&log->db, "PRAGMA recursive_triggers", &recursive, why);
    if (err != ERR_NONE)
        return err;
    if (strcmp(journal, "wal") != 0 || synchronous != 2 || recursive != 1)
        return err_set(why, ERR_CANNOT_MAKE,
                       "The disk of %s does not let SQLite sync each commit (journal %s, synchronous %" PRId64
                       "). Name a folder on another disk with --data.",
                       log->db.path, journal, synchronous);
    return ERR_NONE;
}

/* Writes every byte of a file once more, where it is, and syncs. SQLite's result code. */
static int write_again(sqlite3_file *file)
{
    uint8_t bytes[4096];
    sqlite3_int64 size = 0;
    int code = file->pMethods->xFileSize(file, &size);
    for (sqlite3_int64 at = 0; at < size && code == SQLITE_OK; at += (sqlite3_int64)sizeof bytes) {
        int len = size - at < (sqlite3_int64)sizeof bytes ? (int)(size - at) : (int)sizeof bytes;
        code = file->pMethods->xRead(file, bytes, len, at);
        if (code == SQLITE_OK)
            code = file->pMethods->xWrite(file, bytes, len, at);
    }
    return code == SQLITE_OK && size > 0 ? file->pMethods->xSync(file, SQLITE_SYNC_NORMAL) : code;
}

/* A sync of the run before may have failed: then the system can still show a -wal that is not on the disk and never will be, and
 * rows saved after it would be lost with it when the power is cut. Written once more it is on the disk, or this says why not; that
 * takes no room, so a full disk keeps nobody from the board. */
static enum err save_again(struct log *log, struct msg *why)
{
    sqlite3_file *wal = NULL;
    int code = sqlite3_file_control(log->db.handle, "main", SQLITE_FCNTL_JOURNAL_POINTER, &wal);
    if (code == SQLITE_OK && wal->pMethods)
        code = write_again(wal);
    return code == SQLITE_OK ? ERR_NONE : database_fail(&log->db, code, why);
}

static enum err make(struct log *log, struct msg *why)
{
    struct format_identity identity = {0};
    CHECK(getrandom(&identity.log_id, sizeof identity.log_id, 0) == sizeof identity.log_id);
    return format_make(&log->db, &identity, why);
}

static enum err find_end(struct log *log, struct msg *why)
{
    sqlite3_stmt *query = NULL;
    enum err err = format_identify(&log->db, &log->identity, why);
    chain_start(log->identity.chain_id, log->chain);
    if (err == ERR_NONE)
        err = database_prepare(&log->db, "SELECT seq, chain FROM entry ORDER BY seq DESC LIMIT 1", &query, why);
    if (err != ERR_NONE)
        return err;
    int code = sqlite3_step(query);
    if (code == SQLITE_ROW && sqlite3_column_bytes(query, 1) == CHAIN_LEN) {
        log->last_seq = sqlite3_column_int64(query, 0);
        memcpy(log->chain, sqlite3_column_blob(query, 1), CHAIN_LEN);
    } else if (code != SQLITE_DONE) {
        err = database_fail(&log->db, code == SQLITE_ROW ? SQLITE_CORRUPT : code, why);
    }
    sqlite3_finalize(query);
    return err;
}

static enum err prepare_all(struct log *log, struct msg *why)
{
    enum err err = database_prepare(&log->db, "BEGIN IMMEDIATE", &log->begin, why);
    if (err == ERR_NONE)
        err = database_prepare(&log->db, "COMMIT", &log->commit, why);
    if (err == ERR_NONE)
        err = database_prepare(&log->db, "INSERT INTO entry (seq, text, chain) VALUES (?1, ?2, ?3)", &log->insert, why);
    if (err == ERR_NONE)
        err = database_prepare(&log->db, "SELECT seq, text, chain FROM entry WHERE seq >= ?1 ORDER BY seq", &log->read,
                               why);
    if (err == ERR_NONE)
        err = database_prepare(
            &log->db,
            "SELECT seq, text, chain, (SELECT other.seq FROM entry AS other WHERE other.sender = entry.sender "
            "AND other.lane = entry.lane AND other.n = entry.n) FROM entry WHERE seq > ?1 ORDER BY seq "
            "LIMIT ?2",
            &log->scrub, why);
    return err;
}

static struct log *log_new(void)
{
    struct log *log = calloc(1, sizeof *log);
    CHECK(log);
    log->held = -1;
    return log;
}

/* The file is open and ours: where does it end? */
static enum err start(struct log *log, struct log_open_info *info, struct msg *why)
{
    enum err err = find_end(log, why);
    if (err == ERR_NONE)
        err = prepare_all(log, why);
    info->log_id = log->identity.log_id;
    info->chain_id = log->identity.chain_id;
    memcpy(info->restored, log->identity.restored, sizeof info->restored);
    info->last_seq = log->last_seq;
    memcpy(info->chain, log->chain, CHAIN_LEN);
    return err;
}

/* A board.db without a byte in it is either a start that was cut off, or a log that was lost. The keys are made after the
 * log, so where they lie there was a log; and where a -wal lies, SQLite would drop it beside an empty database. Neither
 * is overwritten with a new log. */
static enum err refuse_emptied(const char *dir, const char *path, struct msg *why)
{
    char keys[FOLDER_PATH_LEN];
    char wal[FOLDER_PATH_LEN + 8];
    struct stat facts;
    bool there = stat(path, &facts) == 0;
    enum err err = folder_path(dir, KEYS_FILE_NAME, keys, why);
    if (err != ERR_NONE || (there && facts.st_size > 0))
        return err;
    (void)snprintf(wal, sizeof wal, "%s-wal", path);
    if ((there && access(keys, F_OK) == 0) || (stat(wal, &facts) == 0 && facts.st_size > 0))
        return err_set(
            why, ERR_DATA,
            "The log %s is %s, though this boat had one. Run `sternboard restore FILE` with the spare copy or "
            "the newest backup; to begin a new log, move %s* away.",
            path, there ? "empty" : "gone", path);
    return ERR_NONE;
}

/* The format is checked before the first setting that writes: a file of another program's stays as it is, to the
 * byte. */
static enum err open_for_writing(struct log *log, const char *dir, struct log_open_info *info, struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    enum err err = folder_path(dir, FORMAT_FILE_NAME, path, why);
    if (err == ERR_NONE)
        err = refuse_emptied(dir, path, why);
    if (err == ERR_NONE)
        err = database_open(&log->db, path, DATABASE_WRITE, why);
    if (err == ERR_NONE)
        err = format_is_empty(&log->db, &info->made, why);
    if (err == ERR_NONE && !info->made)
        err = format_check(&log->db, why);
    if (err == ERR_NONE && !info->made)
        err = format_check_guards(&log->db, why);
    if (err == ERR_NONE)
        err = make_durable(log, why);
    if (err == ERR_NONE)
        err = save_again(log, why);
    if (err == ERR_NONE && info->made)
        err = make(log, why);
    (void)snprintf(log->dir, sizeof log->dir, "%s", dir);
    return err == ERR_NONE ? start(log, info, why) : err;
}

enum err log_open(struct log **out, const char *dir, struct log_open_info *info, struct msg *why)
{
    struct log *log = log_new();
    char kept[FOLDER_PATH_LEN];
    memset(info, 0, sizeof *info);
    enum err err = folder_hold(dir, &log->held, why);
    if (err == ERR_NONE)
        err = swap_finish(dir, kept, why);
    if (err == ERR_NONE)
        err = open_for_writing(log, dir, info, why);
    if (err == ERR_NONE)
        *out = log;
    else
        log_close(log);
    return err;
}

/* One transaction from here to log_close(): whatever is read is of one moment. */
enum err log_open_read(struct log **out, const char *path, struct log_open_info *info, struct msg *why)
{
    struct log *log = log_new();
    char file[FOLDER_PATH_LEN];
    memset(info, 0, sizeof *info);
    enum err err = format_path(path, file, why);
    if (err == ERR_NONE)
        err = database_open(&log->db, file, DATABASE_READ, why);
    if (err == ERR_NONE)
        err = database_run(&log->db, "BEGIN", why);
    if (err == ERR_NONE)
        err = format_check(&log->db, why);
    if (err == ERR_NONE)
        err = start(log, info, why);
    if (err == ERR_NONE)
        *out = log;
    else
        log_close(log);
    return err;
}

static void close_file(struct log *log)
{
    sqlite3_finalize(log->begin);
    sqlite3_finalize(log->insert);
    sqlite3_finalize(log->commit);
    sqlite3_finalize(log->read);
    sqlite3_finalize(log->scrub);
    if (log->db.handle)
        database_close(&log->db);
}

void log_close(struct log *log)
{
    close_file(log);
    if (log->held >= 0)
        folder_release(log->held);
    free(log);
}

/* ---- append ---- */

/* The last look before the disk. The hub numbers and chains its rows; the log works both out again. */
static enum err check_rows(const struct log *log, const struct log_row *rows, size_t count, struct msg *why)
{
    uint8_t chain[CHAIN_LEN];
    memcpy(chain, log->chain, CHAIN_LEN);
    for (size_t i = 0; i < count; i++) {
        int64_t seq = log->last_seq + 1 + (int64_t)i;
        if (rows[i].seq != seq)
            return err_set(why, ERR_DATA, "Row %" PRId64 " of the log was to be saved where %" PRId64 " belongs.",
                           rows[i].seq, seq);
        chain_next(chain, rows[i].text, (size_t)rows[i].len, chain);
        if (memcmp(chain, rows[i].chain, CHAIN_LEN) != 0)
            return err_set(why, ERR_DATA, "Row %" PRId64 " of the log does not continue the row before it.", seq);
    }
    return ERR_NONE;
}

static enum err step_once(struct log *log, sqlite3_stmt *statement, struct msg *why)
{
    int code = sqlite3_step(statement);
    enum err err = code == SQLITE_DONE ? ERR_NONE : database_fail(&log->db, code, why);
    (void)sqlite3_reset(statement); /* says again what step said */
    return err;
}

static enum err insert_row(struct log *log, const struct log_row *row, struct msg *why)
{
    CHECK(sqlite3_bind_int64(log->insert, 1, row->seq) == SQLITE_OK);
    CHECK(sqlite3_bind_text(log->insert, 2, row->text, row->len, SQLITE_STATIC) == SQLITE_OK);
    CHECK(sqlite3_bind_blob(log->insert, 3, row->chain, CHAIN_LEN, SQLITE_STATIC) == SQLITE_OK);
    enum err err = step_once(log, log->insert, why);
    (void)sqlite3_clear_bindings(log->insert);
    return err;
}

static enum err insert_all(struct log *log, const struct log_row *rows, size_t count, struct msg *why)
{
    enum err err = ERR_NONE;
    for (size_t i = 0; i < count && err == ERR_NONE; i++)
        err = insert_row(log, &rows[i], why);
    return err == ERR_NONE ? step_once(log, log->commit, why) : err;
}

enum err log_append(struct log *log, const struct log_row *rows, size_t count, struct msg *why)
{
    if (log->failed)
        return err_set(why, ERR_IO, "An earlier write to %s failed.", log->db.path);
    if (count == 0)
        return ERR_NONE;
    enum err err = check_rows(log, rows, count, why);
    if (err != ERR_NONE)
        return err;
    err = step_once(log, log->begin, why);
    if (err == ERR_BUSY)
        return err;
    if (err == ERR_NONE)
        err = insert_all(log, rows, count, why);
    if (err != ERR_NONE) {
        log->failed = true;
        log->full = (sqlite3_errcode(log->db.handle) & 0xff) == SQLITE_FULL;
        if (!sqlite3_get_autocommit(log->db.handle))
            (void)sqlite3_exec(log->db.handle, "ROLLBACK", NULL, NULL, NULL);
        return err;
    }
    log->last_seq = rows[count - 1].seq;
    memcpy(log->chain, rows[count - 1].chain, CHAIN_LEN);
    return ERR_NONE;
}

enum err log_checkpoint(struct log *log, struct msg *why)
{
    if (log->failed)
        return ERR_NONE;
    int code = sqlite3_wal_checkpoint_v2(log->db.handle, "main", SQLITE_CHECKPOINT_PASSIVE, NULL, NULL);
    if (code == SQLITE_OK || (code & 0xff) == SQLITE_BUSY)
        return ERR_NONE;
    log->failed = true;
    log->full = (code & 0xff) == SQLITE_FULL;
    return database_fail(&log->db, code, why);
}

/* ---- going on after a failure ---- */

/* Whether the file ends where the log was told to end. */
static enum err check_end(const struct log *log, int64_t last_seq, const uint8_t chain[CHAIN_LEN], struct msg *why)
{
    if (last_seq == log->last_seq && memcmp(chain, log->chain, CHAIN_LEN) == 0)
        return ERR_NONE;
    return err_set(why, ERR_DATA, "Rows of %s that were saved can no longer be read. " DATABASE_MEND, log->db.path);
}

static enum err mend_full(struct log *log, struct msg *why)
{
    struct statvfs disk;
    struct log end = {.db = log->db};
    if (statvfs(log->dir, &disk) != 0 || (uint64_t)disk.f_bavail * disk.f_frsize < ROOM_BYTES)
        return err_set(why, ERR_IO, "The disk with %s is still full.", log->db.path);
    enum err err = find_end(&end, why);
    return err == ERR_NONE ? check_end(log, end.last_seq, end.chain, why) : err;
}

/* The new file, whole and in place. *kept: where the old one is now. */
static enum err renew_file(struct log *log, char kept[FOLDER_PATH_LEN], struct msg *why)
{
    char made[FOLDER_PATH_LEN];
    char unused[FOLDER_PATH_LEN];
    struct copy_sums sums;
    enum err err = swap_finish(log->dir, unused, why);
    if (err == ERR_NONE)
        err = swap_begin(log->dir, made, why);
    if (err == ERR_NONE)
        err = copy_rows(&log->db, made, &log->identity, log->last_seq, &sums, why);
    if (err == ERR_NONE)
        err = check_end(log, sums.last_seq, sums.chain, why);
    if (err == ERR_NONE)
        return swap_commit(log->dir, kept, why);
    struct msg ignored;
    if (swap_begin(log->dir, unused, &ignored) != ERR_NONE) /* half a copy must not fill the disk that the keys need */
        return err;
    return err;
}

static void remove_kept(const char *kept)
{
    char wal[FOLDER_PATH_LEN + 8];
    if (!kept[0])
        return;
    (void)snprintf(wal, sizeof wal, "%s-wal", kept);
    (void)unlink(wal);
    (void)unlink(kept);
}

static enum err mend_file(struct log *log, struct msg *why)
{
    char kept[FOLDER_PATH_LEN];
    struct log_open_info info = {0};
    struct log *fresh = log_new();
    CHECK(sqlite3_db_config(log->db.handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL) == SQLITE_OK);
    enum err err = renew_file(log, kept, why);
    if (err == ERR_NONE)
        remove_kept(kept);
    if (err == ERR_NONE)
        err = open_for_writing(fresh, log->dir, &info, why);
    if (err == ERR_NONE)
        err = check_end(log, info.last_seq, info.chain, why);
    if (err != ERR_NONE) {
        log_close(fresh);
        return err;
    }
    close_file(log);
    fresh->held = log->held;
    *log = *fresh;
    free(fresh);
    return ERR_NONE;
}

enum err log_mend(struct log *log, struct msg *why)
{
    if (!log->failed)
        return ERR_NONE;
    enum err err = log->full ? mend_full(log, why) : mend_file(log, why);
    log->failed = err != ERR_NONE;
    return err;
}

/* ---- read ---- */

static struct log_line line_of(sqlite3_stmt *query)
{
    const void *chain = sqlite3_column_blob(query, 2);
    return (struct log_line){
        .seq = sqlite3_column_int64(query, 0),
        .text = (const char *)sqlite3_column_text(query, 1),
        .len = sqlite3_column_bytes(query, 1),
        .chain = sqlite3_column_bytes(query, 2) == CHAIN_LEN ? chain : NULL,
    };
}

static enum err damaged_row(const struct log *log, int64_t seq, const char *what, struct msg *why)
{
    return err_set(why, ERR_DATA, "The log %s is damaged: row %" PRId64 " %s. After the trip: " DATABASE_MEND,
                   log->db.path, seq, what);
}

enum err log_read(struct log *log, int64_t from_seq, bool (*each)(void *context, const struct log_line *),
                  void *context, struct msg *why)
{
    enum err err = ERR_NONE;
    int code = SQLITE_ROW;
    bool more = true;
    CHECK(sqlite3_bind_int64(log->read, 1, from_seq) == SQLITE_OK);
    while (more && err == ERR_NONE && (code = sqlite3_step(log->read)) == SQLITE_ROW) {
        struct log_line line = line_of(log->read);
        if (line.text && line.chain)
            more = each(context, &line);
        else
            err = damaged_row(log, line.seq, "cannot be read", why);
    }
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        err = database_fail(&log->db, code, why);
    (void)sqlite3_reset(log->read); /* says again what step said */
    return err;
}

enum err log_trip_start(struct log *log, int64_t *seq, struct msg *why)
{
    return database_number(&log->db, "SELECT max(seq) FROM entry WHERE kind = 'trip_started' AND refused IS NULL", seq,
                           why);
}

/* The next lower lane of a sender, or else the highest lane of the next lower sender, with its highest number. Each
 * part is one search of the index; (sender, lane) < (?1, ?2) would read all rows of the lane it leaves. */
#define NEXT_TOP                                                                        \
    "SELECT * FROM (SELECT sender, lane, n FROM entry WHERE sender = ?1 AND lane < ?2 " \
    "ORDER BY lane DESC, n DESC LIMIT 1) "                                              \
    "UNION ALL SELECT * FROM (SELECT sender, lane, n FROM entry WHERE sender < ?1 "     \
    "ORDER BY sender DESC, lane DESC, n DESC LIMIT 1) LIMIT 1"

/* Is this a lane of a sender, below the one before it in the order of the query, and its number one that an entry may have? What a
 * damaged index says may be anything, even the same for ever. */
static bool is_top(sqlite3_stmt *query, const char *sender_before, const char *lane_before)
{
    const char *sender = (const char *)sqlite3_column_text(query, 0);
    const char *lane = (const char *)sqlite3_column_text(query, 1);
    int64_t n = sqlite3_column_int64(query, 2);
    if (!sender || !lane || strlen(sender) != 16 || strspn(sender, "0123456789abcdef") != 16 ||
        strspn(sender, "0") == 16)
        return false;
    if ((strcmp(lane, "e") != 0 && strcmp(lane, "o") != 0) || n < 1 || n > NUMBER_MAX)
        return false;
    int order = strcmp(sender, sender_before);
    return order < 0 || (order == 0 && strcmp(lane, lane_before) < 0);
}

enum err log_tops(struct log *log, void (*each)(void *context, uint64_t sender, enum lane lane, int32_t top),
                  void *context, struct msg *why)
{
    char sender[17] = "g"; /* above every hex digit */
    char lane[2] = "";
    int code = SQLITE_ROW;
    sqlite3_stmt *query = NULL;
    enum err err = database_prepare(&log->db, NEXT_TOP, &query, why);
    if (err != ERR_NONE)
        return err;
    do {
        CHECK(sqlite3_bind_text(query, 1, sender, -1, SQLITE_TRANSIENT) == SQLITE_OK);
        CHECK(sqlite3_bind_text(query, 2, lane, -1, SQLITE_TRANSIENT) == SQLITE_OK);
        if ((code = sqlite3_step(query)) == SQLITE_ROW && !is_top(query, sender, lane))
            code = SQLITE_CORRUPT;
        if (code == SQLITE_ROW) {
            sqlite3_snprintf(sizeof sender, sender, "%s", sqlite3_column_text(query, 0));
            sqlite3_snprintf(sizeof lane, lane, "%s", sqlite3_column_text(query, 1));
            each(context, strtoull(sender, NULL, 16), lane[0] == 'e' ? LANE_EMERGENCY : LANE_ORDINARY,
                 sqlite3_column_int(query, 2));
        }
        (void)sqlite3_reset(query);
    } while (code == SQLITE_ROW);
    sqlite3_finalize(query);
    if (code == SQLITE_CORRUPT)
        return err_set(why, ERR_DATA, "The log %s is damaged: who sent its entries cannot be read. " DATABASE_MEND,
                       log->db.path);
    return code == SQLITE_DONE ? ERR_NONE : database_fail(&log->db, code, why);
}

/* ---- looking for damage ---- */

static enum err scrub_row(const struct log *log, struct log_scrub *at, sqlite3_stmt *query, struct msg *why)
{
    struct log_line line = line_of(query);
    if (line.seq != at->seq + 1)
        return damaged_row(log, at->seq + 1, "is missing", why);
    if (!line.text || !line.chain)
        return damaged_row(log, line.seq, "cannot be read", why);
    chain_next(at->chain, line.text, (size_t)line.len, at->chain);
    if (memcmp(at->chain, line.chain, CHAIN_LEN) != 0)
        return damaged_row(log, line.seq, "is not as it was written", why);
    if (sqlite3_column_int64(query, 3) != line.seq)
        return damaged_row(log, line.seq, "is not found by its identity", why);
    at->seq = line.seq;
    return ERR_NONE;
}

enum err log_scrub(struct log *log, struct log_scrub *at, int rows, bool *done, struct msg *why)
{
    enum err err = ERR_NONE;
    int code = SQLITE_ROW;
    int seen = 0;
    if (at->seq == 0)
        chain_start(log->identity.chain_id, at->chain);
    CHECK(sqlite3_bind_int64(log->scrub, 1, at->seq) == SQLITE_OK);
    CHECK(sqlite3_bind_int(log->scrub, 2, rows) == SQLITE_OK);
    while (err == ERR_NONE && (code = sqlite3_step(log->scrub)) == SQLITE_ROW) {
        err = scrub_row(log, at, log->scrub, why);
        seen++;
    }
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        err = database_fail(&log->db, code, why);
    (void)sqlite3_reset(log->scrub);
    *done = err != ERR_NONE || seen < rows;
    return err;
}

enum err log_examine(struct log *log, struct msg *why)
{
    char words[256] = "";
    enum err err = format_check_guards(&log->db, why);
    if (err == ERR_NONE)
        err = database_text(&log->db, "PRAGMA integrity_check(1)", words, sizeof words, why);
    if (err == ERR_NONE && strcmp(words, "ok") != 0)
        return err_set(why, ERR_DATA, "The log %s is damaged: SQLite finds: %s.", log->db.path, words);
    return err;
}
