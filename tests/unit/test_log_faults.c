/* The log on a disk that fails: the 1st, the 2nd, the 3rd... write, sync or truncation, alone or with all that follow,
 * until a run comes through without one (as SQLite's own tests do: sqlite.org/testing.html, 3.2). Each time: the
 * failure is told, nothing that was told saved is lost, nothing is there twice, and the file is whole. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>
#include <unistd.h>

#include "log/verify.h"
#include "log_support.h"
#include "vfs_fail.h"

#define BATCHES    12
#define BATCH_ROWS 3

/* Somewhere in the middle of the batches: a commit. */
#define FIRST_FAILURE 20

static int install(void **state)
{
    (void)state;
    vfs_fail_install();
    return 0;
}

static int uninstall(void **state)
{
    (void)state;
    vfs_fail_remove();
    return 0;
}

/* Appends until it is done or the disk fails; every second batch is followed by a checkpoint. Returns the last seq told
 * saved. */
static int64_t append_until_failure(struct log *log, const struct log_open_info *info, bool *told)
{
    struct maker maker;
    struct log_row rows[BATCH_ROWS];
    struct msg why = {""};
    int64_t saved = info->last_seq;
    maker_start(&maker, info, 77);
    *told = false;
    for (int i = 0; i < BATCHES && !*told; i++) {
        maker_fill(&maker, rows, BATCH_ROWS);
        if (log_append(log, rows, BATCH_ROWS, &why) == ERR_NONE)
            saved = rows[BATCH_ROWS - 1].seq;
        else
            *told = true;
        if (!*told && i % 2 == 1)
            *told = log_checkpoint(log, &why) != ERR_NONE;
        rows_free(rows, BATCH_ROWS);
    }
    if (*told) {
        /* It is said in words, and from then on nothing more is tried. */
        struct log_row row = maker_next(&maker, KIND_STOP, NULL);
        assert_true(strlen(why.text) > 20);
        assert_int_not_equal(log_append(log, &row, 1, &why), ERR_NONE);
        rows_free(&row, 1);
    }
    return saved;
}

/* After the failure, on a good disk again: what was told saved is there, in whole batches, and the log takes more. */
static void check_after(const char *dir, int64_t saved)
{
    struct verify_sums sums;
    struct msg why = {""};
    append_rows(dir, 99, 2);
    if (verify_log(dir, print_finding, NULL, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    assert_true(sums.last_seq - 2 >= saved);
    /* A commit whose sync failed may be there or not; no batch may be there in part. */
    assert_true(sums.last_seq - 2 <= saved + BATCH_ROWS);
    assert_int_equal((sums.last_seq - 2) % BATCH_ROWS, 0);
}

/* One run with the at-th operation failing. false: it did not come to that. */
static bool run_appending(int at, int code, bool for_ever)
{
    struct log_open_info info;
    bool told = false;
    char *dir = scratch_make();
    struct log *log = open_log(dir, &info);
    vfs_fail_arm(at, code, for_ever);
    int64_t saved = append_until_failure(log, &info, &told);
    bool appending = !told;
    log_close(log);
    bool failed = vfs_fail_disarm();
    /* What failed while closing cost nothing: all was saved before. */
    assert_true(failed || appending);
    assert_true(!appending || saved == (int64_t)BATCHES * BATCH_ROWS);
    check_after(dir, saved);
    scratch_remove(dir);
    return failed;
}

static bool run_opening(int at, int code, bool for_ever)
{
    struct log *log = NULL;
    struct log_open_info info;
    struct msg why = {""};
    char *dir = scratch_make();
    vfs_fail_arm(at, code, for_ever);
    enum err err = log_open(&log, dir, &info, &why);
    if (err == ERR_NONE)
        log_close(log);
    else
        assert_true(strlen(why.text) > 20);
    bool failed = vfs_fail_disarm();
    assert_true(failed || err == ERR_NONE);
    check_after(dir, 0);
    scratch_remove(dir);
    return failed;
}

/* ---- going on without a restart ---- */

static bool is_there(const char *dir, const char *name)
{
    char *path = scratch_path(dir, name);
    bool there = access(path, F_OK) == 0;
    free(path);
    return there;
}

/* The disk works again: the log is mended, at the second try where the first fails at the operation mend_at (0: does
 * not). Whether it came to that. */
static bool mend(struct log *log, int mend_at, int code)
{
    struct msg why = {""};
    assert_true(vfs_fail_disarm());
    vfs_fail_arm(mend_at, code, false);
    enum err err = log_mend(log, &why);
    bool failed = vfs_fail_disarm();
    if (err != ERR_NONE) {
        assert_true(failed && strlen(why.text) > 20);
        struct maker maker = {.sender = 1};
        struct log_row row = maker_next(&maker, KIND_STOP, NULL);
        assert_int_not_equal(log_append(log, &row, 1, &why), ERR_NONE);
        rows_free(&row, 1);
        err = log_mend(log, &why);
    }
    if (err != ERR_NONE)
        fail_msg("%s", why.text);
    return failed;
}

/* Twelve batches and six checkpoints, with the at-th operation failing. The batch that failed is put again after the log was
 * mended, as the hub does. Whether anything failed; with mend_at, whether the mending did. */
static bool append_and_mend(const char *dir, int at, int mend_at, int code, bool for_ever)
{
    struct log_open_info info;
    struct maker maker;
    struct log_row rows[BATCH_ROWS];
    struct msg why = {""};
    bool failed = false;
    bool mend_failed = false;
    struct log *log = open_log(dir, &info);
    maker_start(&maker, &info, 77);
    vfs_fail_arm(at, code, for_ever);
    for (int i = 0; i < BATCHES; i++) {
        maker_fill(&maker, rows, BATCH_ROWS);
        while (log_append(log, rows, BATCH_ROWS, &why) != ERR_NONE) {
            failed = true;
            mend_failed = mend(log, mend_at, code);
        }
        while (i % 2 == 1 && log_checkpoint(log, &why) != ERR_NONE) {
            failed = true;
            mend_failed = mend(log, mend_at, code);
        }
        rows_free(rows, BATCH_ROWS);
    }
    log_close(log);
    failed = vfs_fail_disarm() || failed;
    return mend_at ? mend_failed : failed;
}

/* Each row is there once, and nothing of the old file is left. */
static void check_all(const char *dir)
{
    struct verify_sums sums;
    struct msg why = {""};
    if (verify_log(dir, print_finding, NULL, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    assert_int_equal(sums.last_seq, BATCHES * BATCH_ROWS);
    assert_false(is_there(dir, "board.new.db") || is_there(dir, "board.next.db") || is_there(dir, "board.kept-1.db"));
}

static bool run_mending(int at, int code, bool for_ever)
{
    char *dir = scratch_make();
    bool failed = append_and_mend(dir, at, 0, code, for_ever);
    check_all(dir);
    scratch_remove(dir);
    return failed;
}

static bool run_mending_twice(int at, int code, bool for_ever)
{
    char *dir = scratch_make();
    bool failed = append_and_mend(dir, FIRST_FAILURE, at, code, for_ever);
    check_all(dir);
    scratch_remove(dir);
    return failed;
}

/* The mending fails for want of room: the log is as it was, and the next start has all of it. */
static void test_a_disk_that_stays_bad_loses_nothing(void **state)
{
    (void)state;
    struct log_open_info info;
    struct maker maker;
    struct log_row rows[BATCH_ROWS];
    struct msg why = {""};
    char *dir = scratch_make();
    append_rows(dir, 1, 21);
    struct log *log = open_log(dir, &info);
    maker_start(&maker, &info, 2);
    maker_fill(&maker, rows, BATCH_ROWS);
    vfs_fail_arm(1, SQLITE_IOERR_FSYNC, true);
    assert_int_equal(log_append(log, rows, BATCH_ROWS, &why), ERR_IO);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(log_mend(log, &why), ERR_IO);
        assert_false(is_there(dir, "board.new.db") || is_there(dir, "board.new.db-journal"));
    }
    log_close(log);
    assert_true(vfs_fail_disarm());
    check_after(dir, 21);
    rows_free(rows, BATCH_ROWS);
    scratch_remove(dir);
}

/* Rows that were told saved and cannot be read any more are never papered over. */
static void test_a_log_that_lost_rows_is_not_mended(void **state)
{
    (void)state;
    struct log_open_info info;
    struct maker maker;
    struct log_row row;
    struct msg why = {""};
    char *dir = scratch_make();
    append_rows(dir, 1, 20);
    struct log *log = open_log(dir, &info);
    maker_start(&maker, &info, 2);
    row = maker_next(&maker, KIND_STOP, NULL);
    vfs_fail_arm(1, SQLITE_IOERR_FSYNC, false);
    assert_int_equal(log_append(log, &row, 1, &why), ERR_IO);
    assert_true(vfs_fail_disarm());
    tamper(dir, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 12");
    assert_int_equal(log_mend(log, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "that were saved can no longer be read. "));
    assert_int_not_equal(log_append(log, &row, 1, &why), ERR_NONE);
    log_close(log);
    rows_free(&row, 1);
    scratch_remove(dir);
}
static void every_operation(bool (*run)(int at, int code, bool for_ever), int code, int at_least)
{
    for (int for_ever = 0; for_ever <= 1; for_ever++) {
        int at = 1;
        while (run(at, code, for_ever))
            assert_true(++at < 1000);
        assert_true(at > at_least);
    }
}

static void test_writes_fail_while_appending(void **state)
{
    (void)state;
    every_operation(run_appending, SQLITE_IOERR_WRITE, 2 * BATCHES);
}

static void test_syncs_fail_while_appending(void **state)
{
    (void)state;
    every_operation(run_appending, SQLITE_IOERR_FSYNC, 2 * BATCHES);
}

static void test_the_disk_is_full_while_appending(void **state)
{
    (void)state;
    every_operation(run_appending, SQLITE_FULL, 2 * BATCHES);
}

static void test_a_failed_write_is_mended(void **state)
{
    (void)state;
    every_operation(run_mending, SQLITE_IOERR_WRITE, 2 * BATCHES);
}

static void test_a_failed_sync_is_mended(void **state)
{
    (void)state;
    every_operation(run_mending, SQLITE_IOERR_FSYNC, 2 * BATCHES);
}

static void test_a_full_disk_is_waited_for(void **state)
{
    (void)state;
    every_operation(run_mending, SQLITE_FULL, 2 * BATCHES);
}

static void test_the_mending_fails_at_first(void **state)
{
    (void)state;
    every_operation(run_mending_twice, SQLITE_IOERR_WRITE, 5);
    every_operation(run_mending_twice, SQLITE_IOERR_FSYNC, 5);
}

static void test_writes_fail_while_a_log_is_made(void **state)
{
    (void)state;
    every_operation(run_opening, SQLITE_IOERR_WRITE, 5);
}

static void test_the_disk_is_full_while_a_log_is_made(void **state)
{
    (void)state;
    every_operation(run_opening, SQLITE_FULL, 5);
}

int main(void)
{
    /* The failures are the shim's, and some hundred logs are made: memory serves as well as a disk, and sooner. */
    if (access("/dev/shm", W_OK) == 0)
        (void)setenv("TMPDIR", "/dev/shm", 1);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_writes_fail_while_appending),
        cmocka_unit_test(test_syncs_fail_while_appending),
        cmocka_unit_test(test_the_disk_is_full_while_appending),
        cmocka_unit_test(test_a_failed_write_is_mended),
        cmocka_unit_test(test_a_failed_sync_is_mended),
        cmocka_unit_test(test_a_full_disk_is_waited_for),
        cmocka_unit_test(test_the_mending_fails_at_first),
        cmocka_unit_test(test_a_disk_that_stays_bad_loses_nothing),
        cmocka_unit_test(test_a_log_that_lost_rows_is_not_mended),
        cmocka_unit_test(test_writes_fail_while_a_log_is_made),
        cmocka_unit_test(test_the_disk_is_full_while_a_log_is_made),
    };
    return cmocka_run_group_tests(tests, install, uninstall);
}
