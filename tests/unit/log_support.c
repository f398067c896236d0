#include "log_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <ftw.h>
#include <sqlite3.h>
#include <unistd.h>

#include "codec.h"
#include "proto_json.h"

char *scratch_make(void)
{
    char *dir = NULL;
    const char *base = getenv("TMPDIR");
    assert_true(asprintf(&dir, "%s/sternboard-test.XXXXXX", base ? base : "/tmp") > 0);
    assert_non_null(mkdtemp(dir));
    return dir;
}

static int remove_one(const char *path, const struct stat *facts, int type, struct FTW *where)
{
    (void)facts;
    (void)type;
    (void)where;
    return remove(path);
}

void scratch_remove(char *dir)
{
    assert_int_equal(nftw(dir, remove_one, 8, FTW_DEPTH | FTW_PHYS), 0);
    free(dir);
}

char *scratch_path(const char *dir, const char *name)
{
    char *path = NULL;
    assert_true(asprintf(&path, "%s/%s", dir, name) > 0);
    return path;
}

void maker_start(struct maker *maker, const struct log_open_info *info, uint64_t sender)
{
    *maker = (struct maker){.sender = sender, .seq = info->last_seq};
    memcpy(maker->chain, info->chain, CHAIN_LEN);
}

/* The least that is a trip: a name and one line. */
static void fill_trip(struct body_trip_started *trip)
{
    strncpy(trip->name, "Grey Petrel", sizeof trip->name - 1);
    trip->no = 1;
    trip->spread_count = 1;
    trip->spread[0] = (struct spread_line){.id = 1, .name = "short port", .side = SIDE_PORT, .distance_m = 20};
}

struct log_row maker_next(struct maker *maker, enum entry_kind kind, const char *refused)
{
    struct entry *entry = calloc(1, sizeof *entry);
    assert_non_null(entry);
    entry->seq = ++maker->seq;
    entry->id = (struct entry_id){.sender = maker->sender, .n = ++maker->n, .lane = LANE_ORDINARY};
    entry->kind = kind;
    entry->at_ms = 1000 * entry->seq;
    entry->got_ms = entry->at_ms + 40;
    entry->by = 2;
    entry->device = 7;
    entry->from = SOURCE_CREW;
    if (refused)
        strncpy(entry->refused, refused, sizeof entry->refused - 1);
    if (kind == KIND_TRIP_STARTED)
        fill_trip(&entry->body.trip_started);
    cJSON *json = entry_to_json(entry);
    struct log_row row = {
        .seq = entry->seq, .id = entry->id, .kind = kind, .at_ms = entry->at_ms, .got_ms = entry->got_ms};
    char *text = json_text(json);
    row.text = text;
    row.len = (int32_t)strlen(text);
    chain_next(maker->chain, text, strlen(text), maker->chain);
    memcpy(row.chain, maker->chain, CHAIN_LEN);
    cJSON_Delete(json);
    free(entry);
    return row;
}

void maker_fill(struct maker *maker, struct log_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        rows[i] = maker_next(maker, KIND_STOP, NULL);
}

void rows_free(struct log_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        free((char *)(uintptr_t)rows[i].text);
}

struct log *open_log(const char *dir, struct log_open_info *info)
{
    struct log *log = NULL;
    struct msg why = {""};
    if (log_open(&log, dir, info, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    return log;
}

void append_rows(const char *dir, uint64_t sender, size_t count)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    struct log *log = open_log(dir, &info);
    maker_start(&maker, &info, sender);
    for (size_t i = 0; i < count; i++) {
        struct log_row row = maker_next(&maker, KIND_STOP, NULL);
        assert_int_equal(log_append(log, &row, 1, &why), ERR_NONE);
        rows_free(&row, 1);
    }
    log_close(log);
}

void print_finding(void *context, const char *line)
{
    (void)context;
    print_message("%s\n", line);
}

struct verify_sums verified(const char *path)
{
    struct verify_sums sums;
    struct msg why = {""};
    if (verify_log(path, print_finding, NULL, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    return sums;
}

int raw_sql(const char *dir, const char *sql, char *message)
{
    sqlite3 *db = NULL;
    char *path = scratch_path(dir, "board.db");
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    int code = sqlite3_exec(db, sql, NULL, NULL, NULL);
    if (message)
        (void)snprintf(message, 64, "%s", sqlite3_errmsg(db));
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    free(path);
    return code;
}

/* The guards' own texts, read from the file, so that they go back letter by letter. */
static char *guards(const char *dir, const char *query)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *statement = NULL;
    char *path = scratch_path(dir, "board.db");
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, query, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    char *text = strdup((const char *)sqlite3_column_text(statement, 0));
    assert_non_null(text);
    sqlite3_finalize(statement);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    free(path);
    return text;
}

void tamper(const char *dir, const char *sql)
{
    char message[64] = "";
    char *drop =
        guards(dir, "SELECT group_concat('DROP TRIGGER ' || name, ';') FROM sqlite_schema WHERE type = 'trigger'");
    char *make = guards(
        dir,
        "SELECT group_concat(sql, ';') FROM (SELECT sql FROM sqlite_schema WHERE type = 'trigger' ORDER BY rowid)");
    char *all = NULL;
    assert_true(asprintf(&all, "BEGIN; %s; %s; %s; COMMIT", drop, sql, make) > 0);
    if (raw_sql(dir, all, message) != SQLITE_OK)
        fail_msg("%s: %s", sql, message);
    free(all);
    free(make);
    free(drop);
}
