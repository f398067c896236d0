/* The log on a real disk with the real SQLite: what is appended is there, what is refused stays out, and what cannot be
 * opened is said. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "log/verify.h"
#include "log_support.h"

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

static int make_dir(void **state)
{
    *state = scratch_make();
    return 0;
}

static int remove_dir(void **state)
{
    scratch_remove(*state);
    return 0;
}

/* ---- chain ---- */

/* The expected values were worked out with sha256sum of GNU coreutils, another implementation of FIPS 180-4. */
static void test_chain_is_sha256(void **state)
{
    (void)state;
    static const uint8_t start[CHAIN_LEN] = {
        0xcb, 0x15, 0x32, 0xb6, 0x78, 0x4c, 0xa6, 0x98, 0x8c, 0x49, 0xe7, 0x49, 0x1f, 0x98, 0x19, 0xde,
        0xd0, 0x69, 0x86, 0xa7, 0x9f, 0x13, 0x56, 0xf2, 0x95, 0x46, 0x57, 0x8a, 0x90, 0x81, 0x67, 0xd2,
    };
    static const uint8_t next[CHAIN_LEN] = {
        0x4d, 0x02, 0x5d, 0x56, 0xa6, 0x8d, 0x06, 0x26, 0xcc, 0xf3, 0xec, 0xf4, 0xc2, 0xbf, 0x85, 0x4a,
        0x09, 0xe0, 0x3e, 0x87, 0xd3, 0x7e, 0xe4, 0xae, 0xee, 0xae, 0xf5, 0x69, 0x28, 0x6a, 0xe0, 0x39,
    };
    uint8_t chain[CHAIN_LEN];
    chain_start(0x0123456789abcdef, chain);
    assert_memory_equal(chain, start, CHAIN_LEN);
    chain_next(chain, "{\"seq\":1}", 9, chain);
    assert_memory_equal(chain, next, CHAIN_LEN);
}

/* ---- append and read ---- */

struct seen {
    int64_t count, last_seq, stop_at;
    const struct log_row *rows;
};

static bool see(void *context, const struct log_line *line)
{
    struct seen *seen = context;
    const struct log_row *row = &seen->rows[line->seq - 1];
    assert_int_equal(line->seq, seen->last_seq + 1);
    assert_int_equal(line->len, row->len);
    assert_string_equal(line->text, row->text);
    assert_memory_equal(line->chain, row->chain, CHAIN_LEN);
    seen->last_seq = line->seq;
    seen->count++;
    return line->seq != seen->stop_at;
}

static void test_appended_rows_are_read_back(void **state)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    struct log_row rows[60];
    struct log *log = open_log(*state, &info);
    assert_true(info.made);
    assert_int_equal(info.last_seq, 0);
    maker_start(&maker, &info, 0xabc);
    maker_fill(&maker, rows, 60);
    assert_int_equal(log_append(log, rows, 1, &why), ERR_NONE);
    assert_int_equal(log_append(log, rows + 1, 59, &why), ERR_NONE);
    log_close(log);

    uint64_t log_id = info.log_id;
    log = open_log(*state, &info);
    assert_false(info.made);
    assert_true(info.log_id == log_id);
    assert_int_equal(info.last_seq, 60);
    assert_memory_equal(info.chain, rows[59].chain, CHAIN_LEN);
    struct seen all = {.rows = rows};
    assert_int_equal(log_read(log, 1, see, &all, &why), ERR_NONE);
    assert_int_equal(all.count, 60);
    struct seen some = {.rows = rows, .last_seq = 20, .stop_at = 25};
    assert_int_equal(log_read(log, 21, see, &some, &why), ERR_NONE);
    assert_int_equal(some.count, 5);
    assert_string_equal(why.text, "");
    rows_free(rows, 60);
    log_close(log);
}

static void test_a_new_file_is_private_and_marked(void **state)
{
    struct log_open_info info;
    struct stat facts;
    static const char *const names[] = {"board.db", "board.db-wal", "board.db-shm", "lock"};
    struct log *log = open_log(*state, &info);
    for (size_t i = 0; i < COUNT_OF(names); i++) {
        char *path = scratch_path(*state, names[i]);
        assert_int_equal(stat(path, &facts), 0);
        assert_int_equal(facts.st_mode & 0777, 0600);
        free(path);
    }
    log_close(log);
    unsigned char head[100];
    char *path = scratch_path(*state, "board.db");
    int file = open(path, O_RDONLY);
    assert_int_equal(read(file, head, sizeof head), sizeof head);
    (void)close(file);
    free(path);
    assert_memory_equal(head + 68, "SBOR", 4);     /* application_id: sqlite.org/fileformat2.html, 1.3 */
    assert_memory_equal(head + 60, "\0\0\0\1", 4); /* user_version */
}

static void test_a_folder_is_made(void **state)
{
    struct log_open_info info;
    struct stat facts;
    char *dir = scratch_path(*state, "new");
    log_close(open_log(dir, &info));
    assert_int_equal(stat(dir, &facts), 0);
    assert_int_equal(facts.st_mode & 0777, 0700);
    free(dir);
}

static void test_trip_start_is_the_last_one_taken(void **state)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    int64_t seq = -1;
    struct log *log = open_log(*state, &info);
    assert_int_equal(log_trip_start(log, &seq, &why), ERR_NONE);
    assert_int_equal(seq, 0);
    maker_start(&maker, &info, 1);
    struct log_row rows[] = {
        maker_next(&maker, KIND_STOP, NULL),         maker_next(&maker, KIND_TRIP_STARTED, NULL),
        maker_next(&maker, KIND_STOP, NULL),         maker_next(&maker, KIND_TRIP_STARTED, NULL),
        maker_next(&maker, KIND_TRIP_STARTED, "no"), maker_next(&maker, KIND_STOP, NULL),
    };
    assert_int_equal(log_append(log, rows, COUNT_OF(rows), &why), ERR_NONE);
    assert_int_equal(log_trip_start(log, &seq, &why), ERR_NONE);
    assert_int_equal(seq, 4);
    rows_free(rows, COUNT_OF(rows));
    log_close(log);
}

struct tops {
    int count;
    struct entry_id ids[8];
};

static void take_top(void *context, uint64_t sender, enum lane lane, int32_t top)
{
    struct tops *tops = context;
    assert_true(tops->count < 8);
    tops->ids[tops->count++] = (struct entry_id){.sender = sender, .lane = lane, .n = top};
}

static bool has_top(const struct tops *tops, uint64_t sender, enum lane lane, int32_t top)
{
    for (int i = 0; i < tops->count; i++)
        if (tops->ids[i].sender == sender && tops->ids[i].lane == lane)
            return tops->ids[i].n == top;
    return false;
}

/* One sender whose lanes reach 11 (so that 9 and 10 do not sort as text) and 2, and the highest sender there can be. */
static void test_tops_of_every_sender_and_lane(void **state)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    struct tops tops = {0};
    struct log *log = open_log(*state, &info);
    assert_int_equal(log_tops(log, take_top, &tops, &why), ERR_NONE);
    assert_int_equal(tops.count, 0);
    log_close(log);
    append_rows(*state, 0xffffffffffffffff, 3);
    append_rows(*state, 5, 11);
    log = open_log(*state, &info);
    maker_start(&maker, &info, 5);
    for (int i = 0; i < 2; i++) {
        /* the same text in the other lane */
        struct log_row row = maker_next(&maker, KIND_STOP, NULL);
        char *lane = strstr(row.text, ".o.");
        lane[1] = 'e';
        memcpy(maker.chain, info.chain, CHAIN_LEN);
        chain_next(info.chain, row.text, (size_t)row.len, info.chain);
        memcpy(row.chain, info.chain, CHAIN_LEN);
        assert_int_equal(log_append(log, &row, 1, &why), ERR_NONE);
        rows_free(&row, 1);
    }
    assert_int_equal(log_tops(log, take_top, &tops, &why), ERR_NONE);
    assert_int_equal(tops.count, 3);
    assert_true(has_top(&tops, 0xffffffffffffffff, LANE_ORDINARY, 3));
    assert_true(has_top(&tops, 5, LANE_ORDINARY, 11));
    assert_true(has_top(&tops, 5, LANE_EMERGENCY, 2));
    log_close(log);
}

/* ---- what the log refuses ---- */

static void test_a_row_must_follow(void **state)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    struct log_row rows[4];
    struct log *log = open_log(*state, &info);
    maker_start(&maker, &info, 1);
    maker_fill(&maker, rows, 4);
    assert_int_equal(log_append(log, rows, 1, &why), ERR_NONE);
    assert_int_equal(log_append(log, rows + 2, 1, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "Row 3"));
    assert_int_equal(log_append(log, rows, 1, &why), ERR_DATA);
    rows[2].chain[31] ^= 1;
    assert_int_equal(log_append(log, rows + 1, 2, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "does not continue"));
    rows[2].chain[31] ^= 1;
    /* None of this touched the disk, so the right rows still pass. */
    assert_int_equal(log_append(log, rows + 1, 3, &why), ERR_NONE);
    rows_free(rows, 4);
    log_close(log);
}

static void test_an_identity_comes_once(void **state)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    struct log *log = open_log(*state, &info);
    maker_start(&maker, &info, 1);
    struct log_row first = maker_next(&maker, KIND_STOP, NULL);
    maker.n = 0;
    struct log_row again = maker_next(&maker, KIND_STOP, NULL);
    assert_int_equal(log_append(log, &first, 1, &why), ERR_NONE);
    assert_int_equal(log_append(log, &again, 1, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "an entry is logged once"));
    /* A failed write is the last one. */
    assert_int_equal(log_append(log, &again, 1, &why), ERR_IO);
    rows_free(&first, 1);
    rows_free(&again, 1);
    log_close(log);
    log = open_log(*state, &info);
    assert_int_equal(info.last_seq, 1);
    log_close(log);
}

struct refusal {
    const char *sql, *says;
};

#define ENTRY(seq, n)                                                                          \
    "'{\"at_ms\":1,\"body\":{},\"from\":\"crew\",\"got_ms\":1,\"id\":\"0000000000000001.o." #n \
    "\",\"kind\":\"stop\",\"seq\":" #seq ",\"v\":1}'"

/* A plain connection, as of a person's SQLite shell: no setting of ours helps. */
static void test_guards_refuse_raw_sql(void **state)
{
    static const struct refusal refusals[] = {
        {"UPDATE entry SET text = '{}'", "the log is never rewritten"},
        {"UPDATE entry SET seq = 9 WHERE seq = 3", "the log is never rewritten"},
        {"UPDATE OR IGNORE entry SET chain = zeroblob(32)", "the log is never rewritten"},
        {"DELETE FROM entry", "the log is never deleted from"},
        {"DELETE FROM entry WHERE seq = 3", "the log is never deleted from"},
        {"INSERT INTO entry (seq, text, chain) VALUES (5, " ENTRY(5, 4) ", zeroblob(32))",
         "rows follow one another without a gap"},
        {"INSERT INTO entry (text, chain) VALUES (" ENTRY(4, 4) ", zeroblob(32))",
         "rows follow one another without a gap"},
        {"INSERT OR REPLACE INTO entry (seq, text, chain) VALUES (3, " ENTRY(3, 9) ", zeroblob(32))",
         "rows follow one another without a gap"},
        {"INSERT OR REPLACE INTO entry (seq, text, chain) VALUES (4, " ENTRY(4, 2) ", zeroblob(32))",
         "an entry is logged once"},
        {"INSERT OR IGNORE INTO entry (seq, text, chain) VALUES (4, " ENTRY(4, 2) ", zeroblob(32))",
         "an entry is logged once"},
        {"INSERT INTO entry (seq, text, chain) VALUES (4, " ENTRY(5, 4) ", zeroblob(32))",
         "CHECK constraint failed: seq"},
        {"INSERT INTO entry (seq, text, chain) VALUES (4, " ENTRY(4, 4) ", zeroblob(31))",
         "CHECK constraint failed: length(chain)"},
        {"INSERT INTO entry (seq, text, chain) VALUES (4, '{\"seq\":4}', zeroblob(32))",
         "NOT NULL constraint failed: entry.id"},
        {"INSERT INTO entry (seq, text, chain) VALUES (4, 'not json', zeroblob(32))", "malformed JSON"},
        {"UPDATE meta SET value = '0'", "what the file is was settled"},
        {"DELETE FROM meta", "what the file is was settled"},
        {"INSERT OR REPLACE INTO meta VALUES ('log_id', '0')", "what the file is was settled"},
    };
    struct log_open_info before;
    struct log_open_info after;
    append_rows(*state, 1, 3);
    log_close(open_log(*state, &before));
    for (size_t i = 0; i < COUNT_OF(refusals); i++) {
        char message[64] = "";
        assert_int_not_equal(raw_sql(*state, refusals[i].sql, message), SQLITE_OK);
        if (!strstr(message, refusals[i].says))
            fail_msg("%s: %s", refusals[i].sql, message);
    }
    log_close(open_log(*state, &after));
    assert_int_equal(after.last_seq, 3);
    assert_memory_equal(before.chain, after.chain, CHAIN_LEN);
}

/* ---- what cannot be opened ---- */

/* Opens, and must fail so; the sentence names the file or folder and holds these words. */
static void refuse_open(const char *dir, enum err expected, const char *words)
{
    struct log *log = NULL;
    struct log_open_info info;
    struct msg why = {""};
    assert_int_equal(log_open(&log, dir, &info, &why), expected);
    assert_null(log);
    if (!strstr(why.text, words) || !strstr(why.text, dir))
        fail_msg("%s", why.text);
}

static void write_file(const char *dir, const char *name, const char *bytes, size_t len)
{
    char *path = scratch_path(dir, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, len, file), len);
    assert_int_equal(fclose(file), 0);
    free(path);
}

static void test_a_foreign_database_is_refused_and_left_alone(void **state)
{
    assert_int_equal(raw_sql(*state, "CREATE TABLE catch (fish TEXT); INSERT INTO catch VALUES ('dorado')", NULL),
                     SQLITE_OK);
    refuse_open(*state, ERR_DATA, "belongs to another program");
    assert_int_equal(raw_sql(*state, "SELECT fish FROM catch", NULL), SQLITE_OK);
    char *wal = scratch_path(*state, "board.db-wal");
    assert_int_not_equal(access(wal, F_OK), 0);
    free(wal);
}

static void test_a_file_that_is_no_database_is_refused(void **state)
{
    char bytes[5000];
    memset(bytes, 'x', sizeof bytes);
    write_file(*state, "board.db", bytes, sizeof bytes);
    refuse_open(*state, ERR_DATA, "is not a sternboard log");
}

static void test_a_newer_format_is_refused(void **state)
{
    append_rows(*state, 1, 1);
    assert_int_equal(raw_sql(*state, "PRAGMA user_version = 3", NULL), SQLITE_OK);
    refuse_open(*state, ERR_NEWER, "newer sternboard (format 3");
}

static void test_missing_guards_are_refused(void **state)
{
    append_rows(*state, 1, 1);
    assert_int_equal(raw_sql(*state, "DROP TRIGGER entry_no_delete", NULL), SQLITE_OK);
    refuse_open(*state, ERR_DATA, "guards are not as they were made");
}

static void test_a_file_whose_maker_was_killed_is_made_again(void **state)
{
    struct log_open_info info;
    assert_int_equal(raw_sql(*state, "PRAGMA journal_mode = WAL", NULL), SQLITE_OK);
    log_close(open_log(*state, &info));
    assert_true(info.made);
}

static void test_a_damaged_file_is_said(void **state)
{
    append_rows(*state, 1, 200);
    char *path = scratch_path(*state, "board.db");
    int file = open(path, O_WRONLY);
    struct stat facts;
    assert_int_equal(fstat(file, &facts), 0);
    char noise[4096];
    memset(noise, 0x5a, sizeof noise);
    /* all but the first page, which holds the schema */
    for (off_t at = 4096; at < facts.st_size; at += 4096)
        assert_int_equal(pwrite(file, noise, sizeof noise, at), sizeof noise);
    (void)close(file);
    free(path);
    refuse_open(*state, ERR_DATA, "is damaged");
}

static void test_a_second_server_is_refused(void **state)
{
    struct log_open_info info;
    struct log *log = open_log(*state, &info);
    refuse_open(*state, ERR_BUSY, "Another server is running");
    log_close(log);
    log_close(open_log(*state, &info));
}

/* In a child that may not write there: root may write anywhere, so it becomes nobody first. */
static enum err open_unprivileged(const char *dir, struct msg *why)
{
    int ends[2];
    enum err err = ERR_NONE;
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    if (child == 0) {
        struct log *log = NULL;
        struct log_open_info info;
        bool dropped = geteuid() != 0 || setresuid(65534, 65534, 65534) == 0;
        err = dropped ? log_open(&log, dir, &info, why) : ERR_USAGE;
        bool told = write(ends[1], &err, sizeof err) == sizeof err && write(ends[1], why, sizeof *why) == sizeof *why;
        _exit(told ? 0 : 1);
    }
    assert_int_equal(read(ends[0], &err, sizeof err), sizeof err);
    assert_int_equal(read(ends[0], why, sizeof *why), sizeof *why);
    (void)close(ends[0]);
    (void)close(ends[1]);
    assert_int_equal(waitpid(child, NULL, 0), child);
    return err;
}

static void test_a_folder_that_cannot_be_written_is_said(void **state)
{
    struct msg why = {""};
    char *dir = scratch_path(*state, "closed");
    char *inside = scratch_path(dir, "inside");
    assert_int_equal(mkdir(dir, 0700), 0);
    assert_int_equal(chmod(dir, 0555), 0);
    assert_int_equal(chmod(*state, 0755), 0);
    assert_int_equal(open_unprivileged(dir, &why), ERR_CANNOT_MAKE);
    assert_non_null(strstr(why.text, "cannot be written (Permission denied)"));
    assert_int_equal(open_unprivileged(inside, &why), ERR_CANNOT_MAKE);
    assert_non_null(strstr(why.text, "cannot be made (Permission denied)"));
    free(inside);
    free(dir);
}

/* The folder is open to all, but the log itself is not: SQLite alone would quietly open it read-only. */
static void test_a_log_that_may_only_be_read_is_said(void **state)
{
    struct msg why = {""};
    append_rows(*state, 1, 1);
    char *path = scratch_path(*state, "board.db");
    char *lock = scratch_path(*state, "lock");
    assert_int_equal(chmod(path, 0444), 0);
    assert_int_equal(chmod(lock, 0666), 0);
    assert_int_equal(chmod(*state, 0777), 0);
    assert_int_equal(open_unprivileged(*state, &why), ERR_CANNOT_MAKE);
    assert_non_null(strstr(why.text, "Give this user the right"));
    free(lock);
    free(path);
}

static void test_a_missing_log_is_no_input(void **state)
{
    struct log *log = NULL;
    struct log_open_info info;
    struct msg why = {""};
    assert_int_equal(log_open_read(&log, *state, &info, &why), ERR_NO_INPUT);
    char *path = scratch_path(*state, "board.db");
    assert_int_not_equal(access(path, F_OK), 0);
    free(path);
}

/* ---- looking for damage while running ---- */

static enum err scrub_all(const char *dir, struct msg *why)
{
    struct log_open_info info;
    struct log_scrub at = {0};
    bool done = false;
    enum err err = ERR_NONE;
    struct log *log = open_log(dir, &info);
    for (int turns = 0; !done; turns++) {
        assert_true(turns < 100);
        err = log_scrub(log, &at, 7, &done, why);
    }
    log_close(log);
    return err;
}

static void test_scrub_finds_what_was_changed(void **state)
{
    struct msg why = {""};
    assert_int_equal(scrub_all(*state, &why), ERR_NONE);
    append_rows(*state, 1, 40);
    assert_int_equal(scrub_all(*state, &why), ERR_NONE);
    tamper(*state, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 23");
    assert_int_equal(scrub_all(*state, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "row 23 is not as it was written"));
}

/* ---- the end of the process ---- */

/* Appends for ever, and says each seq only when the log has said that it is saved. */
_Noreturn static void append_for_ever(const char *dir, int to, uint64_t sender)
{
    struct log_open_info info;
    struct maker maker;
    struct msg why;
    struct log_row rows[3];
    struct log *log = open_log(dir, &info);
    maker_start(&maker, &info, sender);
    for (;;) {
        maker_fill(&maker, rows, 3);
        if (log_append(log, rows, 3, &why) != ERR_NONE || write(to, &rows[2].seq, 8) != 8)
            _exit(1);
        rows_free(rows, 3);
    }
}

static void no_finding(void *context, const char *line)
{
    (void)context;
    print_message("%s\n", line);
}

/* kill -9 ends the program, not the machine: the disk's cache lives on. Power cuts are another test's matter. */
static void test_what_was_told_saved_survives_kill_9(void **state)
{
    int64_t told = 0;
    for (uint64_t round = 1; round <= 8; round++) {
        int ends[2];
        int64_t seq = 0;
        assert_int_equal(pipe(ends), 0);
        pid_t child = fork();
        if (child == 0)
            append_for_ever(*state, ends[1], round);
        (void)close(ends[1]);
        assert_int_equal(read(ends[0], &seq, 8), 8);
        (void)usleep((useconds_t)(round * 7919 % 30 * 1000));
        assert_int_equal(kill(child, SIGKILL), 0);
        assert_int_equal(waitpid(child, NULL, 0), child);
        do
            told = seq;
        while (read(ends[0], &seq, 8) == 8);
        (void)close(ends[0]);

        struct verify_sums sums;
        struct msg why = {""};
        assert_int_equal(verify_log(*state, no_finding, NULL, &sums, &why), ERR_NONE);
        assert_true(sums.last_seq >= told && sums.last_seq <= told + 3);
        assert_int_equal(sums.last_seq % 3, 0); /* whole batches */
        assert_int_equal(sums.lanes, round);
    }
    assert_true(told > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_chain_is_sha256),
#define IN_DIR(test) cmocka_unit_test_setup_teardown(test, make_dir, remove_dir)
        IN_DIR(test_appended_rows_are_read_back),
        IN_DIR(test_a_new_file_is_private_and_marked),
        IN_DIR(test_a_folder_is_made),
        IN_DIR(test_trip_start_is_the_last_one_taken),
        IN_DIR(test_tops_of_every_sender_and_lane),
        IN_DIR(test_a_row_must_follow),
        IN_DIR(test_an_identity_comes_once),
        IN_DIR(test_guards_refuse_raw_sql),
        IN_DIR(test_a_foreign_database_is_refused_and_left_alone),
        IN_DIR(test_a_file_that_is_no_database_is_refused),
        IN_DIR(test_a_newer_format_is_refused),
        IN_DIR(test_missing_guards_are_refused),
        IN_DIR(test_a_file_whose_maker_was_killed_is_made_again),
        IN_DIR(test_a_damaged_file_is_said),
        IN_DIR(test_a_second_server_is_refused),
        IN_DIR(test_a_folder_that_cannot_be_written_is_said),
        IN_DIR(test_a_log_that_may_only_be_read_is_said),
        IN_DIR(test_a_missing_log_is_no_input),
        IN_DIR(test_scrub_finds_what_was_changed),
        IN_DIR(test_what_was_told_saved_survives_kill_9),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
