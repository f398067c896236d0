/* The writer with its two threads; meant for the race detector as well. The test plays the loop: it puts, waits to be
 * woken, takes. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <dirent.h>
#include <poll.h>
#include <sqlite3.h>
#include <sys/eventfd.h>
#include <sys/stat.h>
#include <unistd.h>

#include "limit.h"
#include "log/verify.h"
#include "log/writer.h"
#include "log_support.h"
#include "vfs_fail.h"

struct loop {
    char *dir;
    int woken; /* an eventfd, as the real loop is woken through a file descriptor */
    struct log *log;
    struct log_open_info info;
    struct log_writer *writer;
    struct maker maker;
};

static void wake(void *context)
{
    const struct loop *loop = context;
    const uint64_t one = 1;
    if (write(loop->woken, &one, sizeof one) != sizeof one)
        abort();
}

/* Waits until there is news. */
static struct log_report wait_for_news(struct loop *loop)
{
    struct log_report report;
    uint64_t times = 0;
    while (!log_writer_take(loop->writer, &report)) {
        struct pollfd wait = {.fd = loop->woken, .events = POLLIN};
        assert_int_equal(poll(&wait, 1, 20000), 1);
        assert_int_equal(read(loop->woken, &times, sizeof times), sizeof times);
    }
    return report;
}

static void put_rows(struct loop *loop, struct log_row *rows, size_t count, int64_t now_ms)
{
    maker_fill(&loop->maker, rows, count);
    assert_true(log_writer_put(loop->writer, rows, count, now_ms));
}

static int start(void **state)
{
    struct loop *loop = calloc(1, sizeof *loop);
    assert_non_null(loop);
    loop->dir = scratch_make();
    loop->woken = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    assert_true(loop->woken >= 0);
    loop->log = open_log(loop->dir, &loop->info);
    maker_start(&loop->maker, &loop->info, 42);
    loop->writer = log_writer_start(loop->log, loop->dir, wake, loop);
    *state = loop;
    return 0;
}

static int stop(void **state)
{
    struct loop *loop = *state;
    if (loop->writer)
        assert_true(log_writer_stop(loop->writer));
    log_close(loop->log);
    (void)close(loop->woken);
    scratch_remove(loop->dir);
    free(loop);
    return 0;
}

static void no_finding(void *context, const char *line)
{
    (void)context;
    print_message("%s\n", line);
}

static int64_t verified_rows(const struct loop *loop)
{
    struct verify_sums sums;
    struct msg why = {""};
    if (verify_log(loop->dir, no_finding, NULL, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    return sums.rows;
}

static void test_batches_are_saved_in_turn(void **state)
{
    struct loop *loop = *state;
    struct log_row rows[8];
    int64_t saved = 0;
    for (size_t i = 0; i < 100; i++) {
        size_t count = i % 8 + 1;
        put_rows(loop, rows, count, (int64_t)i);
        /* The texts are read by the thread until its news is taken; a second batch has to wait as long. */
        assert_false(log_writer_put(loop->writer, rows, 1, (int64_t)i));
        struct log_report report = wait_for_news(loop);
        assert_int_equal(report.news, LOG_NEWS_SAVED);
        saved += (int64_t)count;
        assert_int_equal(report.up_to_seq, saved);
        assert_int_equal(log_writer_state(loop->writer, (int64_t)i), LOG_OK);
        rows_free(rows, count);
    }
    assert_int_equal(verified_rows(loop), saved);
}

static void test_slow_is_told_by_the_loops_own_clock(void **state)
{
    struct loop *loop = *state;
    struct log_row row;
    put_rows(loop, &row, 1, 5000);
    assert_int_equal(log_writer_state(loop->writer, 5000 + LOG_WRITER_SLOW_MS), LOG_OK);
    assert_int_equal(log_writer_state(loop->writer, 5001 + LOG_WRITER_SLOW_MS), LOG_SLOW);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    assert_int_equal(log_writer_state(loop->writer, 9000), LOG_OK);
    rows_free(&row, 1);
}

/* What was put before the stop is saved, news taken or not. */
static void test_stop_finishes_what_was_put(void **state)
{
    struct loop *loop = *state;
    struct log_row rows[50];
    put_rows(loop, rows, 50, 0);
    assert_true(log_writer_stop(loop->writer));
    loop->writer = NULL;
    assert_int_equal(verified_rows(loop), 50);
    struct log_row last = maker_next(&loop->maker, KIND_STOP, NULL);
    struct msg why = {""};
    assert_int_equal(log_append(loop->log, &last, 1, &why), ERR_NONE);
    rows_free(&last, 1);
    rows_free(rows, 50);
}

static void test_after_a_failure_nothing_more_is_taken(void **state)
{
    struct loop *loop = *state;
    struct log_row rows[2];
    put_rows(loop, rows, 1, 0);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    vfs_fail_arm(1, SQLITE_IOERR_WRITE, false);
    put_rows(loop, rows + 1, 1, 0);
    struct log_report report = wait_for_news(loop);
    (void)vfs_fail_disarm();
    assert_int_equal(report.news, LOG_NEWS_FAILED);
    assert_non_null(strstr(report.why.text, "The disk failed"));
    assert_int_equal(log_writer_state(loop->writer, 0), LOG_FAILED);
    assert_false(log_writer_put(loop->writer, rows + 1, 1, 0));
    log_writer_tick(loop->writer, LOG_WRITER_MEND_MS - 1);
    assert_false(log_writer_take(loop->writer, &report));
    assert_int_equal(verified_rows(loop), 1);
    rows_free(rows, 2);
}

/* Looks at the disk after a while, then after a longer one; then goes on where the log was told to end. */
static void test_it_goes_on_when_the_disk_works_again(void **state)
{
    struct loop *loop = *state;
    struct log_row rows[2];
    struct log_report report = {0};
    put_rows(loop, rows, 1, 0);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    vfs_fail_arm(1, SQLITE_IOERR_FSYNC, true);
    put_rows(loop, rows + 1, 1, 0);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_FAILED);
    log_writer_tick(loop->writer, 1000);
    log_writer_tick(loop->writer, 1000 + LOG_WRITER_MEND_MS); /* a look that finds it bad still */
    (void)usleep(200 * 1000);
    assert_false(log_writer_take(loop->writer, &report));
    assert_true(vfs_fail_disarm());
    log_writer_tick(loop->writer, 1000 + 2 * LOG_WRITER_MEND_MS); /* too soon for the next */
    (void)usleep(100 * 1000);
    assert_false(log_writer_take(loop->writer, &report));
    assert_int_equal(log_writer_state(loop->writer, 20000), LOG_FAILED);
    log_writer_tick(loop->writer, 1000 + 3 * LOG_WRITER_MEND_MS);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_MENDED);
    assert_int_equal(log_writer_state(loop->writer, 20000), LOG_OK);
    assert_true(log_writer_put(loop->writer, rows + 1, 1, 20000));
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    assert_int_equal(verified_rows(loop), 2);
    rows_free(rows, 2);
}

/* Somebody's SQLite shell holds the file for a while: slow, and then saved. */
static void test_a_locked_file_is_waited_for(void **state)
{
    struct loop *loop = *state;
    struct log_row row;
    sqlite3 *other = NULL;
    char *path = scratch_path(loop->dir, "board.db");
    assert_int_equal(sqlite3_open(path, &other), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    put_rows(loop, &row, 1, 0);
    (void)usleep(2500 * 1000); /* longer than a single try lasts */
    struct log_report report;
    assert_false(log_writer_take(loop->writer, &report));
    assert_int_equal(sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    assert_int_equal(sqlite3_close(other), SQLITE_OK);
    free(path);
    rows_free(&row, 1);
}

static off_t size_of(const struct loop *loop, const char *name)
{
    struct stat facts;
    char *path = scratch_path(loop->dir, name);
    assert_int_equal(stat(path, &facts), 0);
    free(path);
    return facts.st_size;
}

/* 40 rows make the file grow; they move over from the -wal only after the quiet time. */
static void test_the_wal_is_moved_in_a_quiet_moment(void **state)
{
    struct loop *loop = *state;
    struct log_row rows[40];
    off_t before = size_of(loop, "board.db");
    put_rows(loop, rows, 40, 1000);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    for (int i = 0; i < 50; i++) {
        log_writer_tick(loop->writer, 1000 + LOG_WRITER_QUIET_MS - 1);
        (void)usleep(1000);
    }
    assert_int_equal(size_of(loop, "board.db"), before);
    for (int i = 0; i < 5000 && size_of(loop, "board.db") == before; i++) {
        log_writer_tick(loop->writer, 1000 + LOG_WRITER_QUIET_MS);
        (void)usleep(1000);
    }
    assert_true(size_of(loop, "board.db") > before);
    rows_free(rows, 40);
}

static void test_damage_is_found_and_saving_goes_on(void **state)
{
    struct loop *loop = *state;
    struct log_row rows[LIMIT_BATCH_ROWS];
    struct log_report report = {0};
    put_rows(loop, rows, LIMIT_BATCH_ROWS, 0);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    rows_free(rows, LIMIT_BATCH_ROWS);
    tamper(loop->dir, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 600");
    for (int i = 0; i < 5000 && !log_writer_take(loop->writer, &report); i++) {
        log_writer_tick(loop->writer, 0);
        (void)usleep(1000);
    }
    assert_int_equal(report.news, LOG_NEWS_DAMAGED);
    assert_non_null(strstr(report.why.text, "row 600"));
    put_rows(loop, rows, 1, 0);
    assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
    rows_free(rows, 1);
}

static void test_keys_are_saved_beside_batches(void **state)
{
    struct loop *loop = *state;
    struct keys *keys = calloc(2, sizeof *keys);
    struct msg why = {""};
    bool made = false;
    assert_non_null(keys);
    assert_int_equal(keys_open(loop->dir, &keys[0], &made, &why), ERR_NONE);
    for (int32_t i = 0; i < 20; i++) {
        struct log_row row;
        keys[0].devices[i] = (struct keys_device){.number = i + 1, .from = SOURCE_CREW};
        keys[0].device_count = i + 1;
        log_writer_put_keys(loop->writer, &keys[0]);
        put_rows(loop, &row, 1, 0);
        assert_int_equal(wait_for_news(loop).news, LOG_NEWS_SAVED);
        rows_free(&row, 1);
    }
    assert_true(log_writer_stop(loop->writer));
    loop->writer = NULL;
    assert_int_equal(keys_open(loop->dir, &keys[1], &made, &why), ERR_NONE);
    assert_false(made);
    assert_memory_equal(&keys[0], &keys[1], sizeof *keys);
    free(keys);
}

static void test_keys_that_cannot_be_saved_are_told(void **state)
{
    struct loop *loop = *state;
    struct keys *keys = calloc(1, sizeof *keys);
    assert_non_null(keys);
    char *in_the_way = scratch_path(loop->dir, "keys.new");
    assert_int_equal(mkdir(in_the_way, 0700), 0);
    log_writer_put_keys(loop->writer, keys);
    struct log_report report = wait_for_news(loop);
    assert_int_equal(report.news, LOG_NEWS_KEYS);
    assert_non_null(strstr(report.why.text, "could not be saved"));
    assert_int_equal(log_writer_state(loop->writer, 0), LOG_OK);
    free(in_the_way);
    free(keys);
}

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

/* How often the threads beside this one have gone to sleep, as the system counts it (proc(5), status of a task). */
static int64_t times_asleep(void)
{
    int64_t sum = 0;
    DIR *tasks = opendir("/proc/self/task");
    assert_non_null(tasks);
    for (struct dirent *task; (task = readdir(tasks)) != NULL;) {
        char path[300], line[200];
        if (task->d_name[0] == '.' || strtol(task->d_name, NULL, 10) == getpid())
            continue;
        (void)snprintf(path, sizeof path, "/proc/self/task/%s/status", task->d_name);
        FILE *status = fopen(path, "r");
        assert_non_null(status);
        while (fgets(line, sizeof line, status))
            if (strncmp(line, "voluntary_ctxt_switches:", 24) == 0)
                sum += strtoll(line + 24, NULL, 10);
        (void)fclose(status);
    }
    (void)closedir(tasks);
    return sum;
}

static void tick_a_hundred_times(struct loop *loop)
{
    for (int i = 0; i < 100; i++) {
        log_writer_tick(loop->writer, i);
        (void)usleep(1000);
    }
}

static void test_with_nothing_to_do_it_sleeps(void **state)
{
    struct loop *loop = *state;
    tick_a_hundred_times(loop); /* the look through the log, which is empty, is done by then */
    int64_t before = times_asleep();
    assert_true(before > 0);
    tick_a_hundred_times(loop);
    assert_in_range(times_asleep() - before, 0, 20); /* the race detector has a thread of its own */
}

int main(void)
{
#define WITH_WRITER(test) cmocka_unit_test_setup_teardown(test, start, stop)
    const struct CMUnitTest tests[] = {
        WITH_WRITER(test_batches_are_saved_in_turn),
        WITH_WRITER(test_slow_is_told_by_the_loops_own_clock),
        WITH_WRITER(test_stop_finishes_what_was_put),
        WITH_WRITER(test_after_a_failure_nothing_more_is_taken),
        WITH_WRITER(test_it_goes_on_when_the_disk_works_again),
        WITH_WRITER(test_a_locked_file_is_waited_for),
        WITH_WRITER(test_the_wal_is_moved_in_a_quiet_moment),
        WITH_WRITER(test_damage_is_found_and_saving_goes_on),
        WITH_WRITER(test_keys_are_saved_beside_batches),
        WITH_WRITER(test_keys_that_cannot_be_saved_are_told),
        WITH_WRITER(test_with_nothing_to_do_it_sleeps),
    };
    return cmocka_run_group_tests(tests, install, uninstall);
}
