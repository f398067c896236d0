#include "format.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

/* SQLite keeps these texts in the file letter by letter, and format_check() compares them: never reworded within a
 * format. */
static const char *const made[] = {
    "CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID",

    "CREATE TABLE entry (\n"
    "  seq INTEGER PRIMARY KEY CHECK (seq = json_extract(text, '$.seq')),\n"
    "  id TEXT NOT NULL AS (json_extract(text, '$.id')),\n"
    "  sender TEXT NOT NULL AS (substr(json_extract(text, '$.id'), 1, 16)),\n"
    "  lane TEXT NOT NULL AS (substr(json_extract(text, '$.id'), 18, 1)),\n"
    "  n INTEGER NOT NULL AS (CAST(substr(json_extract(text, '$.id'), 20) AS INTEGER)),\n"
    "  kind TEXT NOT NULL AS (json_extract(text, '$.kind')),\n"
    "  v INTEGER NOT NULL AS (json_extract(text, '$.v')),\n"
    "  at_ms INTEGER NOT NULL AS (json_extract(text, '$.at_ms')),\n"
    "  got_ms INTEGER NOT NULL AS (json_extract(text, '$.got_ms')),\n"
    "  by INTEGER NOT NULL AS (coalesce(json_extract(text, '$.by'), 0)),\n"
    "  device INTEGER NOT NULL AS (coalesce(json_extract(text, '$.device'), 0)),\n"
    "  source TEXT NOT NULL AS (json_extract(text, '$.from')),\n"
    "  offered INTEGER NOT NULL AS (coalesce(json_extract(text, '$.offered'), 0)),\n"
    "  refused TEXT AS (json_extract(text, '$.refused')),\n"
    "  instead_of TEXT AS (json_extract(text, '$.instead_of')),\n"
    "  place TEXT AS (json_extract(text, '$.place')),\n"
    "  body TEXT NOT NULL AS (json_extract(text, '$.body')),\n"
    "  text TEXT NOT NULL,\n"
    "  chain BLOB NOT NULL CHECK (length(chain) = 32),\n"
    "  UNIQUE (sender, lane, n)\n"
    ") STRICT",

    "CREATE INDEX entry_trip ON entry (seq) WHERE kind = 'trip_started' AND refused IS NULL",

    "CREATE TRIGGER entry_follows BEFORE INSERT ON entry\n"
    "WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry)\n"
    "BEGIN SELECT RAISE(ABORT, 'rows follow one another without a gap'); END",

    "CREATE TRIGGER entry_once BEFORE INSERT ON entry\n"
    "WHEN EXISTS (SELECT 1 FROM entry WHERE sender = NEW.sender AND lane = NEW.lane AND n = NEW.n)\n"
    "BEGIN SELECT RAISE(ABORT, 'an entry is logged once'); END",

    "CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry\n"
    "BEGIN SELECT RAISE(ABORT, 'the log is never rewritten'); END",

    "CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry\n"
    "BEGIN SELECT RAISE(ABORT, 'the log is never deleted from'); END",

    "CREATE TRIGGER meta_no_insert BEFORE INSERT ON meta WHEN EXISTS (SELECT 1 FROM meta WHERE key = NEW.key)\n"
    "BEGIN SELECT RAISE(ABORT, 'what the file is was settled when it was made'); END",

    "CREATE TRIGGER meta_no_update BEFORE UPDATE ON meta\n"
    "BEGIN SELECT RAISE(ABORT, 'what the file is was settled when it was made'); END",

    "CREATE TRIGGER meta_no_delete BEFORE DELETE ON meta\n"
    "BEGIN SELECT RAISE(ABORT, 'what the file is was settled when it was made'); END",
};

#define ABOUT                                                                                                         \
    "sternboard log. entry.text is one entry as JSON (RFC 8785); entry.chain is SHA-256 of the chain before and the " \
    "text; before row 1 stands SHA-256 of the word sternboard and the chain_id, or the log_id where there is none."

/* What belongs to the file's makers, in the order it was made; SQLite's own helpers have no text, or names of their
 * own. */
#define MADE_QUERY \
    "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY rowid"

enum err format_path(const char *path, char out[FOLDER_PATH_LEN], struct msg *why)
{
    struct stat facts;
    if (stat(path, &facts) == 0 && S_ISDIR(facts.st_mode))
        return folder_path(path, FORMAT_FILE_NAME, out, why);
    if (strlen(path) >= FOLDER_PATH_LEN)
        return err_set(why, ERR_NO_INPUT, "The name of the log is too long.");
    strncpy(out, path, FOLDER_PATH_LEN);
    return ERR_NONE;
}

enum err format_is_empty(struct database *db, bool *empty, struct msg *why)
{
    int64_t application = 0;
    int64_t things = 0;
    enum err err = database_number(db, "PRAGMA application_id", &application, why);
    if (err == ERR_NONE)
        err = database_number(db, "SELECT count(*) FROM sqlite_schema", &things, why);
    if (err == ERR_NONE)
        *empty = application == 0 && things == 0;
    return err;
}

/* What a restored log has beside. The words are ours, but go in as a value all the same. */
static enum err make_restored(struct database *db, const struct format_identity *identity, struct msg *why)
{
    sqlite3_stmt *insert = NULL;
    char chain_id[17];
    (void)snprintf(chain_id, sizeof chain_id, "%016" PRIx64, identity->chain_id);
    enum err err = database_prepare(db, "INSERT INTO meta VALUES ('chain_id', ?1), ('restored', ?2)", &insert, why);
    if (err != ERR_NONE)
        return err;
    int code = sqlite3_bind_text(insert, 1, chain_id, -1, SQLITE_STATIC);
    if (code == SQLITE_OK)
        code = sqlite3_bind_text(insert, 2, identity->restored, -1, SQLITE_STATIC);
    if (code == SQLITE_OK && (code = sqlite3_step(insert)) != SQLITE_DONE)
        err = database_fail(db, code, why);
    sqlite3_finalize(insert);
    return err;
}

static enum err make_all(struct database *db, const struct format_identity *identity, struct msg *why)
{
    enum err err = ERR_NONE;
    bool restored = identity->restored[0] != '\0';
    char sql[512];
    for (size_t i = 0; i < COUNT_OF(made) && err == ERR_NONE; i++)
        err = database_run(db, made[i], why);
    (void)snprintf(sql, sizeof sql,
                   "INSERT INTO meta VALUES ('log_id', '%016" PRIx64 "'), ('about', '" ABOUT "');"
                   "PRAGMA application_id = %d; PRAGMA user_version = %d",
                   identity->log_id, FORMAT_APPLICATION_ID, restored ? FORMAT_VERSION : FORMAT_VERSION_PLAIN);
    if (err == ERR_NONE)
        err = database_run(db, sql, why);
    return err == ERR_NONE && restored ? make_restored(db, identity, why) : err;
}

enum err format_make(struct database *db, const struct format_identity *identity, struct msg *why)
{
    enum err err = database_run(db, "BEGIN IMMEDIATE", why);
    if (err == ERR_NONE)
        err = make_all(db, identity, why);
    if (err == ERR_NONE)
        err = database_run(db, "COMMIT", why);
    if (err != ERR_NONE && !sqlite3_get_autocommit(db->handle))
        (void)sqlite3_exec(db->handle, "ROLLBACK", NULL, NULL, NULL);
    return err;
}

static bool is_blank(struct database *db)
{
    struct msg unused;
    bool empty = false;
    return format_is_empty(db, &empty, &unused) == ERR_NONE && empty;
}

enum err format_check(struct database *db, struct msg *why)
{
    int64_t application = 0;
    int64_t version = 0;
    enum err err = database_number(db, "PRAGMA application_id", &application, why);
    if (err == ERR_NONE)
        err = database_number(db, "PRAGMA user_version", &version, why);
    if (err != ERR_NONE)
        return err;
    if (application == 0 && version == 0 && is_blank(db))
        return err_set(why, ERR_DATA, "%s is empty: there is no log in it.", db->path);
    if (application != FORMAT_APPLICATION_ID)
        return err_set(why, ERR_DATA,
                       "%s belongs to another program. Move it away, or name another folder with --data.", db->path);
    if (version > FORMAT_VERSION)
        return err_set(why, ERR_NEWER,
                       "The log %s was written by a newer sternboard (format %" PRId64
                       ", and this one knows up to %d). Start the newer one, or name another folder with --data.",
                       db->path, version, FORMAT_VERSION);
    return ERR_NONE;
}

enum err format_check_guards(struct database *db, struct msg *why)
{
    sqlite3_stmt *query = NULL;
    size_t count = 0;
    bool same = true;
    enum err err = database_prepare(db, MADE_QUERY, &query, why);
    if (err != ERR_NONE)
        return err;
    int code = SQLITE_ROW;
    while ((code = sqlite3_step(query)) == SQLITE_ROW && same) {
        const char *sql = (const char *)sqlite3_column_text(query, 0);
        same = sql && count < COUNT_OF(made) && strcmp(sql, made[count]) == 0;
        count++;
    }
    if (same && code != SQLITE_DONE)
        err = database_fail(db, code, why);
    else if (!same || count != COUNT_OF(made))
        err = err_set(
            why, ERR_DATA,
            "The log %s was changed by another program: its tables or guards are not as they were made. " DATABASE_MEND,
            db->path);
    sqlite3_finalize(query);
    return err;
}

static bool read_id(const char *text, uint64_t *id)
{
    *id = strtoull(text, NULL, 16);
    return strlen(text) == 16 && strspn(text, "0123456789abcdef") == 16;
}

enum err format_identify(struct database *db, struct format_identity *identity, struct msg *why)
{
    char log_id[24] = "";
    char chain_id[24] = "";
    enum err err = database_text(db, "SELECT value FROM meta WHERE key = 'log_id'", log_id, sizeof log_id, why);
    if (err == ERR_NONE)
        err = database_text(db, "SELECT value FROM meta WHERE key = 'chain_id'", chain_id, sizeof chain_id, why);
    if (err == ERR_NONE)
        err = database_text(db, "SELECT value FROM meta WHERE key = 'restored'", identity->restored,
                            sizeof identity->restored, why);
    if (err != ERR_NONE)
        return err;
    if (!read_id(log_id, &identity->log_id) || !read_id(chain_id[0] ? chain_id : log_id, &identity->chain_id))
        return err_set(why, ERR_DATA, "The log %s has no id. " DATABASE_MEND, db->path);
    return ERR_NONE;
}
