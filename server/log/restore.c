#include "restore.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

#include "board/check.h"
#include "log/copy.h"
#include "log/database.h"
#include "log/format.h"
#include "log/swap.h"
#include "log/verify.h"

#define ASIDE_NAME "board.from.db"

static const char *const suffixes[] = {"", "-wal", "-journal", "-shm"};
#define SUFFIXES (sizeof suffixes / sizeof suffixes[0])

/* ---- the file to read ---- */

static enum err cannot_copy(struct msg *why, const char *path)
{
    return err_set(why, ERR_IO, "%s could not be copied (%s). Check both disks, then try again.", path,
                   strerror(errno));
}

static bool copied(int in, int out)
{
    char bytes[65536];
    ssize_t len = 0;
    while ((len = read(in, bytes, sizeof bytes)) > 0)
        for (ssize_t done = 0; done < len;) {
            ssize_t part = write(out, bytes + done, (size_t)(len - done));
            if (part < 0)
                return false;
            done += part;
        }
    return len == 0;
}

static enum err copy_file(const char *from, const char *to, struct msg *why)
{
    enum err err = ERR_NONE;
    int in = open(from, O_RDONLY | O_CLOEXEC);
    if (in < 0)
        return errno == ENOENT ? ERR_NONE : cannot_copy(why, from);
    int out = open(to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (out < 0 || !copied(in, out))
        err = cannot_copy(why, from);
    (void)close(in);
    if (out >= 0)
        (void)close(out);
    return err;
}

static void remove_aside(const char *aside)
{
    for (size_t i = 0; i < SUFFIXES; i++) {
        char path[FOLDER_PATH_LEN + 16];
        (void)snprintf(path, sizeof path, "%s%s", aside, suffixes[i]);
        (void)unlink(path);
    }
}

/* A file that was cut off in the middle of a write cannot be read without mending it first, nor one with a -wal on a
 * stick that cannot be written. So a private copy is made and mended, and the file itself stays as it is. */
static enum err open_aside(struct database *db, const char *file, const char *aside, struct msg *why)
{
    enum err err = ERR_NONE;
    remove_aside(aside);
    for (size_t i = 0; i + 1 < SUFFIXES && err == ERR_NONE; i++) {
        char from[FOLDER_PATH_LEN + 16];
        char to[FOLDER_PATH_LEN + 16];
        (void)snprintf(from, sizeof from, "%s%s", file, suffixes[i]);
        (void)snprintf(to, sizeof to, "%s%s", aside, suffixes[i]);
        err = copy_file(from, to, why);
    }
    return err == ERR_NONE ? database_open(db, aside, DATABASE_WRITE, why) : err;
}

/* Opens what is to be restored, and finds out which log it is. */
static enum err open_from(struct database *db, const char *file, const char *aside, struct format_identity *identity,
                          struct msg *why)
{
    enum err err = database_open(db, file, DATABASE_SALVAGE, why);
    if (err != ERR_NONE)
        return err;
    err = format_check(db, why);
    int code = sqlite3_errcode(db->handle) & 0xff;
    if (err != ERR_NONE && (code == SQLITE_READONLY || code == SQLITE_CANTOPEN)) {
        database_close(db);
        err = open_aside(db, file, aside, why);
        if (err != ERR_NONE)
            return err;
        err = format_check(db, why);
    }
    if (err == ERR_NONE)
        err = format_identify(db, identity, why);
    if (err != ERR_NONE)
        database_close(db);
    return err;
}

/* ---- the new log ---- */

static void print_nothing(void *context, const char *line)
{
    (void)context;
    (void)line;
}

/* Where the new log comes from, after where its own log came from; the oldest goes first when there is no room. */
static void describe(struct format_identity *identity, const struct format_identity *from, int64_t last_seq)
{
    char now[80];
    (void)snprintf(now, sizeof now, "log %016" PRIx64 " up to row %" PRId64, from->log_id, last_seq);
    if (strlen(from->restored) + sizeof now < sizeof identity->restored && from->restored[0])
        (void)sqlite3_snprintf(sizeof identity->restored, identity->restored, "%s; %s", from->restored, now);
    else
        (void)sqlite3_snprintf(sizeof identity->restored, identity->restored, "%s", now);
}

/* How far the chain of the file goes: its rows may be told in the new log's meta only once that is known. */
static enum err measure(struct database *db, const struct format_identity *from, const char *made,
                        struct copy_sums *sums, struct msg *why)
{
    enum err err = copy_rows(db, made, from, INT64_MAX, sums, why);
    if (err == ERR_NONE && sums->last_seq == 0)
        err = err_set(why, ERR_DATA, "Nothing of %s can be restored: %s. Try an older backup.", db->path,
                      sums->damage.text[0] ? sums->damage.text : "it holds no entry");
    return err;
}

static enum err make(struct database *db, const struct format_identity *from, const char *dir,
                     struct restored *restored, struct msg *why)
{
    char made[FOLDER_PATH_LEN];
    struct copy_sums sums;
    struct verify_sums verified;
    struct format_identity identity = {.chain_id = from->chain_id};
    enum err err = swap_begin(dir, made, why);
    if (err == ERR_NONE)
        err = measure(db, from, made, &sums, why);
    if (err == ERR_NONE)
        err = swap_begin(dir, made, why);
    if (err != ERR_NONE)
        return err;
    restored->last_seq = sums.last_seq;
    restored->whole = sums.whole;
    restored->damage = sums.damage;
    CHECK(getrandom(&identity.log_id, sizeof identity.log_id, 0) == sizeof identity.log_id);
    restored->log_id = identity.log_id;
    restored->from_log_id = from->log_id;
    describe(&identity, from, sums.last_seq);
    err = copy_rows(db, made, &identity, sums.last_seq, &sums, why);
    if (err == ERR_NONE && sums.last_seq != restored->last_seq)
        err = err_set(why, ERR_IO,
                      "%s could be read up to row %" PRId64 ", and then to row %" PRId64
                      " alone: its disk fails at times. Copy it to another disk, then try again.",
                      db->path, restored->last_seq, sums.last_seq);
    return err == ERR_NONE ? verify_log(made, print_nothing, NULL, &verified, why) : err;
}

static enum err restore_held(const char *file, const char *dir, struct restored *restored, struct msg *why)
{
    char aside[FOLDER_PATH_LEN];
    char unused[FOLDER_PATH_LEN];
    struct database db;
    struct format_identity from = {0};
    enum err err = swap_finish(dir, unused, why);
    if (err == ERR_NONE)
        err = folder_path(dir, ASIDE_NAME, aside, why);
    if (err == ERR_NONE)
        err = open_from(&db, file, aside, &from, why);
    if (err != ERR_NONE)
        return err;
    err = make(&db, &from, dir, restored, why);
    database_close(&db);
    remove_aside(aside);
    if (err == ERR_NONE)
        return swap_commit(dir, restored->kept, why);
    struct msg ignored;
    if (swap_begin(dir, unused, &ignored) != ERR_NONE) /* clears away what is half made */
        return err;
    return err;
}

enum err restore_log(const char *from, const char *dir, struct restored *restored, struct msg *why)
{
    int held = -1;
    char file[FOLDER_PATH_LEN];
    memset(restored, 0, sizeof *restored);
    enum err err = format_path(from, file, why);
    if (err != ERR_NONE)
        return err;
    if (access(file, F_OK) != 0)
        return err_set(why, ERR_NO_INPUT, "There is no log %s (%s).", file, strerror(errno));
    folder_make_parents(dir);
    err = folder_hold(dir, &held, why);
    if (err != ERR_NONE)
        return err;
    err = restore_held(file, dir, restored, why);
    folder_release(held);
    return err;
}
