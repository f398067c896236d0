/* Verify finds what was done to a log behind its back; a whole log it calls whole. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <unistd.h>

#include "log/verify.h"
#include "log_support.h"

static int make_dir(void **state)
{
    *state = scratch_make();
    append_rows(*state, 1, 30);
    return 0;
}

static int remove_dir(void **state)
{
    scratch_remove(*state);
    return 0;
}

struct findings {
    int count;
    char lines[VERIFY_FINDINGS_TOLD][256];
};

static void keep(void *context, const char *line)
{
    struct findings *findings = context;
    assert_true(findings->count < VERIFY_FINDINGS_TOLD);
    (void)snprintf(findings->lines[findings->count++], sizeof findings->lines[0], "%s", line);
}

/* Verifies a log that is damaged, and must find exactly these things, in this order; a line may go on after what is
 * given. */
static void expect(const char *dir, int count, const char *const *lines)
{
    struct findings findings = {0};
    struct verify_sums sums;
    struct msg why = {""};
    assert_int_equal(verify_log(dir, keep, &findings, &sums, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "is damaged in"));
    for (int i = 0; i < count && i < findings.count; i++)
        if (strncmp(findings.lines[i], lines[i], strlen(lines[i])) != 0)
            fail_msg("finding %d: %s", i, findings.lines[i]);
    assert_int_equal(findings.count, count);
    assert_int_equal(sums.findings, count);
}

#define EXPECT(dir, ...)                                    \
    do {                                                    \
        static const char *const lines[] = {__VA_ARGS__};   \
        expect(dir, sizeof lines / sizeof lines[0], lines); \
    } while (0)

static void test_a_whole_log_is_whole(void **state)
{
    struct findings findings = {0};
    struct verify_sums sums;
    struct log_open_info info;
    struct maker maker;
    struct msg why = {""};
    append_rows(*state, 2, 5);
    struct log *log = open_log(*state, &info);
    maker_start(&maker, &info, 3);
    struct log_row rows[] = {maker_next(&maker, KIND_TRIP_STARTED, NULL),
                             maker_next(&maker, KIND_TRIP_STARTED, "busy")};
    assert_int_equal(log_append(log, rows, 2, &why), ERR_NONE);
    /* beside the writer, rows still in the -wal */
    assert_int_equal(verify_log(*state, keep, &findings, &sums, &why), ERR_NONE);
    assert_int_equal(findings.count, 0);
    assert_int_equal(sums.rows, 37);
    assert_int_equal(sums.last_seq, 37);
    assert_int_equal(sums.refused, 1);
    assert_int_equal(sums.trips, 1);
    assert_int_equal(sums.lanes, 3);
    assert_true(sums.log_id == info.log_id);
    assert_memory_equal(sums.chain, rows[1].chain, CHAIN_LEN);
    assert_string_equal(why.text, "");
    rows_free(rows, 2);
    log_close(log);
}

static void test_a_changed_byte(void **state)
{
    tamper(*state, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 11");
    EXPECT(*state, "row 11: the chain breaks");
}

/* Below SQLite: one byte of the file itself. */
static void test_a_changed_byte_of_the_file(void **state)
{
    char page[4096];
    char *path = scratch_path(*state, "board.db");
    int file = open(path, O_RDWR);
    assert_true(file >= 0);
    bool changed = false;
    for (off_t at = 0; !changed && pread(file, page, sizeof page, at) == sizeof page; at += (off_t)sizeof page) {
        char *text = memmem(page, sizeof page, "\"seq\":17,", 9);
        if (text) {
            /* the device of row 17 stands less than that before */
            char *device = text - 100;
            while (memcmp(device, "\"device\":7", 10) != 0)
                device++;
            device[9] = '8';
            assert_int_equal(pwrite(file, page, sizeof page, at), sizeof page);
            changed = true;
        }
    }
    assert_true(changed);
    (void)close(file);
    free(path);
    EXPECT(*state, "row 17: the chain breaks");
}

static void test_a_missing_row(void **state)
{
    tamper(*state, "DELETE FROM entry WHERE seq = 12");
    EXPECT(*state, "row 13 follows row 11", "row 13: the chain breaks",
           "row 13: sender 0000000000000001, lane ordinary, goes from number 11 to 13");
}

static void test_missing_last_rows_look_like_a_shorter_log(void **state)
{
    struct verify_sums sums;
    struct findings findings = {0};
    struct msg why = {""};
    tamper(*state, "DELETE FROM entry WHERE seq > 25");
    assert_int_equal(verify_log(*state, keep, &findings, &sums, &why), ERR_NONE);
    assert_int_equal(sums.last_seq, 25);
}

/* Two texts change places. SQLite itself sees nothing: a connection that only reads does not know CHECK constraints. */
static void test_swapped_rows(void **state)
{
    tamper(*state, "CREATE TEMP TABLE pair AS SELECT seq, text, chain FROM entry WHERE seq IN (8, 9);"
                   "PRAGMA ignore_check_constraints = ON;"
                   "DELETE FROM entry WHERE seq IN (8, 9);"
                   "INSERT INTO entry (seq, text, chain) SELECT 17 - seq, text, chain FROM pair");
    EXPECT(*state, "row 8: the chain breaks", "row 8: the text says seq 9", "row 8: sender 0000000000000001",
           "row 9: the chain breaks", "row 9: the text says seq 8", "row 9: sender 0000000000000001",
           "row 10: the chain breaks", "row 10: sender 0000000000000001");
}

static void test_a_text_that_is_no_entry(void **state)
{
    tamper(*state, "UPDATE entry SET text = replace(text, '\"kind\":\"stop\"', '\"kind\":\"shark\"') WHERE seq = 5");
    EXPECT(*state, "row 5: the chain breaks", "row 5: kind_unknown kind",
           "row 6: sender 0000000000000001, lane ordinary, goes from number 4 to 6");
}

static void test_a_text_that_is_not_canonical(void **state)
{
    tamper(*state, "UPDATE entry SET text = replace(text, ',\"by\"', ', \"by\"') WHERE seq = 5");
    EXPECT(*state, "row 5: the chain breaks", "row 5: the text is not in its canonical form");
}

static void test_missing_guards(void **state)
{
    assert_int_equal(raw_sql(*state, "DROP TRIGGER entry_no_update", NULL), SQLITE_OK);
    EXPECT(*state, "The log");
}

/* An index that does not lead to its row: SQLite's own examination. */
static void test_a_damaged_index(void **state)
{
    char *path = scratch_path(*state, "board.db");
    char page[4096];
    int file = open(path, O_RDWR);
    assert_true(file >= 0);
    bool changed = false;
    for (off_t at = 4096; !changed && pread(file, page, sizeof page, at) == sizeof page; at += (off_t)sizeof page) {
        char *sender =
            memmem(page, sizeof page, "0000000000000001o", 17); /* sender and lane, as only the index has them */
        if (sender) {
            sender[15] = '2';
            assert_int_equal(pwrite(file, page, sizeof page, at), sizeof page);
            changed = true;
        }
    }
    assert_true(changed);
    (void)close(file);
    free(path);
    EXPECT(*state, "The log");
}

static void test_many_findings_are_counted_and_not_all_told(void **state)
{
    struct findings findings = {0};
    struct verify_sums sums;
    struct msg why = {""};
    tamper(*state, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3')");
    assert_int_equal(verify_log(*state, keep, &findings, &sums, &why), ERR_DATA);
    assert_int_equal(findings.count, VERIFY_FINDINGS_TOLD);
    assert_int_equal(sums.findings, 30);
    assert_non_null(strstr(why.text, "in 30 places"));
}

static void test_what_is_no_log(void **state)
{
    struct findings findings = {0};
    struct verify_sums sums;
    struct msg why = {""};
    char *path = scratch_path(*state, "lock");
    assert_int_equal(verify_log(path, keep, &findings, &sums, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "is empty: there is no log in it"));
    assert_int_equal(findings.count, 0);
    free(path);
    path = scratch_path(*state, "nothing");
    assert_int_equal(verify_log(path, keep, &findings, &sums, &why), ERR_NO_INPUT);
    free(path);
}

int main(void)
{
#define IN_DIR(test) cmocka_unit_test_setup_teardown(test, make_dir, remove_dir)
    const struct CMUnitTest tests[] = {
        IN_DIR(test_a_whole_log_is_whole),
        IN_DIR(test_a_changed_byte),
        IN_DIR(test_a_changed_byte_of_the_file),
        IN_DIR(test_a_missing_row),
        IN_DIR(test_missing_last_rows_look_like_a_shorter_log),
        IN_DIR(test_swapped_rows),
        IN_DIR(test_a_text_that_is_no_entry),
        IN_DIR(test_a_text_that_is_not_canonical),
        IN_DIR(test_missing_guards),
        IN_DIR(test_a_damaged_index),
        IN_DIR(test_many_findings_are_counted_and_not_all_told),
        IN_DIR(test_what_is_no_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
