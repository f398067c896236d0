#include "copy.h"

#include <inttypes.h>
#include <string.h>

#include "board/check.h"

/* Says what is wrong with the row after the last, and ends the copying. */
static bool ends(struct copy_sums *sums, const char *what)
{
    (void)err_set(&sums->damage, ERR_DATA, "row %" PRId64 " %s", sums->last_seq + 1, what);
    return false;
}

/* Does the row that the query stands on follow the last? */
static bool follows(sqlite3_stmt *query, struct copy_sums *sums)
{
    uint8_t chain[CHAIN_LEN];
    const char *text = (const char *)sqlite3_column_text(query, 1);
    if (sqlite3_column_int64(query, 0) != sums->last_seq + 1)
        return ends(sums, "is missing");
    if (!text || sqlite3_column_bytes(query, 2) != CHAIN_LEN)
        return ends(sums, "cannot be read");
    chain_next(sums->chain, text, (size_t)sqlite3_column_bytes(query, 1), chain);
    if (memcmp(chain, sqlite3_column_blob(query, 2), CHAIN_LEN) != 0)
        return ends(sums, "is not as it was written");
    memcpy(sums->chain, chain, CHAIN_LEN);
    sums->last_seq++;
    return true;
}

static enum err insert(struct database *to, sqlite3_stmt *into, sqlite3_stmt *row, struct msg *why)
{
    CHECK(sqlite3_bind_int64(into, 1, sqlite3_column_int64(row, 0)) == SQLITE_OK);
    CHECK(sqlite3_bind_text(into, 2, (const char *)sqlite3_column_text(row, 1), sqlite3_column_bytes(row, 1),
                            SQLITE_STATIC) == SQLITE_OK);
    CHECK(sqlite3_bind_blob(into, 3, sqlite3_column_blob(row, 2), CHAIN_LEN, SQLITE_STATIC) == SQLITE_OK);
    int code = sqlite3_step(into);
    enum err err = code == SQLITE_DONE ? ERR_NONE : database_fail(to, code, why);
    (void)sqlite3_reset(into);
    (void)sqlite3_clear_bindings(into);
    return err;
}

static enum err copy_each(sqlite3_stmt *query, struct database *to, sqlite3_stmt *into, struct copy_sums *sums,
                          struct msg *why)
{
    enum err err = ERR_NONE;
    int code = SQLITE_ROW;
    while (err == ERR_NONE && (code = sqlite3_step(query)) == SQLITE_ROW && follows(query, sums))
        err = insert(to, into, query, why);
    sums->whole = err == ERR_NONE && code == SQLITE_DONE;
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        (void)ends(sums, sqlite3_errstr(code));
    return err;
}

static enum err fill(struct database *from, struct database *to, int64_t until_seq, struct copy_sums *sums,
                     struct msg *why)
{
    sqlite3_stmt *query = NULL;
    sqlite3_stmt *into = NULL;
    enum err err =
        database_prepare(from, "SELECT seq, text, chain FROM entry WHERE seq <= ?1 ORDER BY seq", &query, why);
    if (err == ERR_NONE)
        err = database_prepare(to, "INSERT INTO entry (seq, text, chain) VALUES (?1, ?2, ?3)", &into, why);
    if (err == ERR_NONE)
        err = database_run(to, "BEGIN IMMEDIATE", why);
    if (err == ERR_NONE) {
        CHECK(sqlite3_bind_int64(query, 1, until_seq) == SQLITE_OK);
        err = copy_each(query, to, into, sums, why);
    }
    sqlite3_finalize(query);
    sqlite3_finalize(into);
    return err == ERR_NONE ? database_run(to, "COMMIT", why) : err;
}

enum err copy_rows(struct database *from, const char *path, const struct format_identity *identity, int64_t until_seq,
                   struct copy_sums *sums, struct msg *why)
{
    struct database to;
    memset(sums, 0, sizeof *sums);
    chain_start(identity->chain_id, sums->chain);
    enum err err = database_open(&to, path, DATABASE_WRITE, why);
    if (err != ERR_NONE)
        return err;
    err = format_make(&to, identity, why);
    if (err == ERR_NONE)
        err = fill(from, &to, until_seq, sums, why);
    database_close(&to);
    return err;
}
