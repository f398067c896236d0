/* A log whose rows hold any text, one a line, each with its right number and chain: what somebody could make who knows the format.
 * With a first line "!" the guards against a wrong identity are gone as well. Whatever verify says of it, the start either loads it
 * into a sound hub or says in a sentence why not; and what verify calls whole, is loaded. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "commands.h"
#include "fuzz.h"
#include "load.h"
#include "log/verify.h"

enum { LOG_MAX = 1 << 20, LINES_MAX = 100 };

/* An empty log as the program makes it. Its id is random; no input depends on it. */
struct empty_log {
    char *bytes;
    size_t len;
    struct log_open_info info;
};

static void make_empty(struct empty_log *empty)
{
    struct log *log = NULL;
    struct msg why;
    char path[512];
    CHECK(log_open(&log, fuzz_folder(), &empty->info, &why) == ERR_NONE);
    log_close(log);
    (void)snprintf(path, sizeof path, "%s/board.db", fuzz_folder());
    empty->bytes = fuzz_read(path, LOG_MAX, &empty->len);
}

static void run(sqlite3 *db, const char *sql)
{
    CHECK(sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK);
}

/* A row that a guard refuses is left out, and the next takes its number. */
static void put_rows(sqlite3 *db, const uint8_t chain_start[CHAIN_LEN], const char *text, size_t left)
{
    sqlite3_stmt *insert = NULL;
    const char *line;
    size_t len;
    int64_t seq = 1;
    uint8_t chain[CHAIN_LEN], next[CHAIN_LEN];
    memcpy(chain, chain_start, sizeof chain);
    CHECK(sqlite3_prepare_v2(db, "INSERT INTO entry (seq, text, chain) VALUES (?, ?, ?)", -1, &insert, NULL) ==
          SQLITE_OK);
    for (int i = 0; i < LINES_MAX && fuzz_line(&text, &left, &line, &len); i++) {
        chain_next(chain, line, len, next);
        (void)sqlite3_bind_int64(insert, 1, seq);
        (void)sqlite3_bind_text(insert, 2, line, (int)len, SQLITE_STATIC);
        (void)sqlite3_bind_blob(insert, 3, next, CHAIN_LEN, SQLITE_STATIC);
        if (sqlite3_step(insert) == SQLITE_DONE) {
            memcpy(chain, next, sizeof chain);
            seq++;
        }
        (void)sqlite3_reset(insert);
    }
    CHECK(sqlite3_finalize(insert) == SQLITE_OK);
}

static void drop_guards(sqlite3 *db)
{
    sqlite3_stmt *query = NULL;
    char all[4096] = "", *at = all;
    CHECK(sqlite3_prepare_v2(db,
                             "SELECT 'DROP ' || type || ' ' || name || ';' FROM sqlite_schema "
                             "WHERE tbl_name = 'entry' AND type IN ('trigger', 'index') AND sql IS NOT NULL",
                             -1, &query, NULL) == SQLITE_OK);
    while (sqlite3_step(query) == SQLITE_ROW)
        at += snprintf(at, sizeof all - (size_t)(at - all), "%s", (const char *)sqlite3_column_text(query, 0));
    CHECK(sqlite3_finalize(query) == SQLITE_OK && at > all);
    run(db, all);
}

static void make_log(const struct empty_log *empty, const char *path, const char *text, size_t len)
{
    sqlite3 *db = NULL;
    bool unguarded = len >= 2 && text[0] == '!' && text[1] == '\n';
    fuzz_write_log("board.db", empty->bytes, empty->len);
    CHECK(sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK);
    run(db, "PRAGMA locking_mode = EXCLUSIVE; PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF; BEGIN");
    if (unguarded)
        drop_guards(db);
    put_rows(db, empty->info.chain, unguarded ? text + 2 : text, unguarded ? len - 2 : len);
    run(db, "COMMIT");
    CHECK(sqlite3_close(db) == SQLITE_OK);
}

/* Starts on it as the program does. */
static enum err load(const char *path, struct msg *why)
{
    static struct keys keys;
    struct log *log = NULL;
    struct log_open_info info;
    struct hub *hub = NULL;
    struct hub_time now = {.boot_ms = 1000};
    enum err err = log_open_read(&log, path, &info, why);
    if (err != ERR_NONE)
        return err;
    err = load_hub(log, &info, &keys, now, &hub, why);
    if (err == ERR_NONE) {
        (void)hub_tick(hub, now);
        hub_check(hub);
        hub_free(hub);
    }
    log_close(log);
    return err;
}

static void check_said(enum err err, const struct msg *why)
{
    CHECK(err == ERR_NONE || why->text[0] != '\0');
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct empty_log empty;
    struct msg why = {""};
    char path[512];
    if (empty.bytes == NULL)
        make_empty(&empty);
    (void)snprintf(path, sizeof path, "%s/board.db", fuzz_folder());
    make_log(&empty, path, (const char *)bytes, len);
    FILE *nowhere = fopen("/dev/null", "w");
    CHECK(nowhere != NULL);
    enum err verified = command_verify(path, nowhere, &why);
    check_said(verified, &why);
    check_said(command_dump(path, nowhere, &why), &why);
    check_said(command_show(path, 0, nowhere, &why), &why);
    enum err loaded = load(path, &why);
    check_said(loaded, &why);
    CHECK(loaded == ERR_NONE || verified != ERR_NONE);
    CHECK(fclose(nowhere) == 0);
    return 0;
}
