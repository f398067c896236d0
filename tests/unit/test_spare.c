/* The spare copy: it is the log, row for row and byte for byte, on a disk that may fail, fill up, or hold another boat's;
 * the log itself never notices. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <semaphore.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "log/mirror.h"
#include "log/restore.h"
#include "log/spare.h"
#include "log/verify.h"
#include "log_support.h"
#include "vfs_fail.h"

struct boat {
    char *dir, *log, *stick;
};

static int make_boat(void **state)
{
    struct boat *boat = calloc(1, sizeof *boat);
    assert_non_null(boat);
    boat->dir = scratch_make();
    boat->log = scratch_path(boat->dir, "log");
    boat->stick = scratch_path(boat->dir, "stick");
    assert_int_equal(mkdir(boat->stick, 0700), 0);
    append_rows(boat->log, 1, 30);
    *state = boat;
    return 0;
}

static int remove_boat(void **state)
{
    struct boat *boat = *state;
    free(boat->log);
    free(boat->stick);
    scratch_remove(boat->dir);
    free(boat);
    return 0;
}

static bool is_there(const char *dir, const char *name)
{
    char *path = scratch_path(dir, name);
    bool there = access(path, F_OK) == 0;
    free(path);
    return there;
}

/* Both logs are the same to the last row, in one file on the stick. */
static void check_same(const struct boat *boat)
{
    struct verify_sums log = verified(boat->log);
    struct verify_sums copy = verified(boat->stick);
    assert_memory_equal(&log, &copy, sizeof log);
    assert_false(is_there(boat->stick, "board.db-journal"));
    assert_false(is_there(boat->stick, "board.db-wal"));
}

/* Opens, checks and follows up to a row, or to where it fails. *note: whatever was said of what was there. */
static enum err mirror_up_to(const struct boat *boat, int64_t up_to_seq, struct msg *note, struct msg *why)
{
    struct mirror *mirror = NULL;
    bool done = false;
    enum err err = mirror_open(&mirror, boat->log, boat->stick, note, why);
    if (err != ERR_NONE)
        return err;
    while (err == ERR_NONE && !done)
        err = mirror_check(mirror, &done, why);
    while (err == ERR_NONE && mirror_last_seq(mirror) < up_to_seq)
        err = mirror_follow(mirror, up_to_seq, why);
    mirror_close(mirror);
    return err;
}

static void mirror_all(const struct boat *boat, const char *note_wanted)
{
    struct msg note;
    struct msg why = {""};
    if (mirror_up_to(boat, verified(boat->log).last_seq, &note, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    if (!strstr(note.text, note_wanted) || (!note_wanted[0] && note.text[0]))
        fail_msg("not \"%s\": %s", note_wanted, note.text);
    check_same(boat);
}

static void test_it_is_the_log_and_catches_up(void **state)
{
    struct boat *boat = *state;
    mirror_all(boat, "");
    append_rows(boat->log, 2, 700); /* more than one commit of it */
    mirror_all(boat, "");
    struct restored restored;
    struct msg why = {""};
    assert_int_equal(restore_log(boat->stick, boat->log, &restored, &why), ERR_NONE);
    assert_int_equal(restored.last_seq, 730);
    assert_true(restored.whole);
}

/* Only what was told saved: the copy is never ahead of that. */
static void test_it_stops_where_it_is_told(void **state)
{
    struct boat *boat = *state;
    struct msg note;
    struct msg why;
    assert_int_equal(mirror_up_to(boat, 12, &note, &why), ERR_NONE);
    assert_int_equal(verified(boat->stick).last_seq, 12);
}

static void test_another_logs_copy_is_kept(void **state)
{
    struct boat *boat = *state;
    append_rows(boat->stick, 9, 5);
    uint64_t other = verified(boat->stick).log_id;
    mirror_all(boat, "is of another log: it is kept as board.kept-1.db, and a new one begun");
    char *kept = scratch_path(boat->stick, "board.kept-1.db");
    assert_true(verified(kept).log_id == other);
    free(kept);
}

/* After a restore the log is another: its old copy is kept, and a new one begun. */
static void test_after_a_restore_a_new_copy_is_begun(void **state)
{
    struct boat *boat = *state;
    struct restored restored;
    struct msg why = {""};
    mirror_all(boat, "");
    assert_int_equal(restore_log(boat->stick, boat->log, &restored, &why), ERR_NONE);
    mirror_all(boat, "is of another log");
    assert_true(verified(boat->stick).chain_id != verified(boat->stick).log_id);
}

static void check_put_aside(const struct boat *boat, const char *words)
{
    struct msg note;
    struct msg why = {""};
    assert_int_equal(mirror_up_to(boat, 30, &note, &why), ERR_DATA);
    if (!strstr(why.text, words))
        fail_msg("%s", why.text);
    assert_true(is_there(boat->stick, "board.kept-1.db"));
    mirror_all(boat, "");
}

static void test_a_changed_row_in_the_copy_is_found(void **state)
{
    struct boat *boat = *state;
    mirror_all(boat, "");
    tamper(boat->stick, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 7");
    check_put_aside(boat, "is damaged: it is kept as board.kept-1.db");
}

/* The disk of the log lied, or an older copy of it was put in place by hand: the stick knows more, and is not cut back. */
static void test_a_log_that_lost_rows_does_not_cost_the_copy_its_own(void **state)
{
    struct boat *boat = *state;
    mirror_all(boat, "");
    tamper(boat->log, "DELETE FROM entry WHERE seq > 20");
    struct msg note;
    struct msg why = {""};
    assert_int_equal(mirror_up_to(boat, 20, &note, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "holds rows that the log has lost (restore it after the trip): it is kept as"));
    char *kept = scratch_path(boat->stick, "board.kept-1.db");
    assert_int_equal(verified(kept).last_seq, 30);
    free(kept);
    mirror_all(boat, "");
}

static void test_a_damaged_log_ends_it(void **state)
{
    struct boat *boat = *state;
    struct msg note;
    struct msg why = {""};
    tamper(boat->log, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 7");
    assert_int_equal(mirror_up_to(boat, 30, &note, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "Row 7 of the log "));
}

static void test_no_stick_makes_no_folder(void **state)
{
    struct boat *boat = *state;
    struct msg note;
    struct msg why = {""};
    assert_int_equal(rmdir(boat->stick), 0);
    assert_int_equal(mirror_up_to(boat, 30, &note, &why), ERR_NO_INPUT);
    assert_non_null(strstr(why.text, "Put the stick in"));
    assert_int_not_equal(access(boat->stick, F_OK), 0);
    assert_int_equal(mkdir(boat->stick, 0700), 0);
}

/* Another program's file of that name is left alone. */
static void test_a_foreign_file_is_left_alone(void **state)
{
    struct boat *boat = *state;
    struct msg note;
    struct msg why = {""};
    assert_int_equal(raw_sql(boat->stick, "CREATE TABLE catch (fish TEXT)", NULL), SQLITE_OK);
    assert_int_equal(mirror_up_to(boat, 30, &note, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "belongs to another program"));
    assert_int_equal(raw_sql(boat->stick, "SELECT fish FROM catch", NULL), SQLITE_OK);
}

/* Every write, sync and truncation on the stick fails in turn, once or for ever, with this code. Each time the trouble is
 * told, the log is untouched, and the next try brings the copy up to it. */
static void every_operation(struct boat *boat, int code)
{
    for (int for_ever = 0; for_ever <= 1; for_ever++)
        for (int at = 1;; at++) {
            struct msg note;
            struct msg why = {""};
            append_rows(boat->log, 1000 * (uint64_t)code + 500 * (uint64_t)for_ever + (uint64_t)at, 2);
            int64_t last_seq = verified(boat->log).last_seq;
            vfs_fail_only("/stick/");
            vfs_fail_arm(at, code, for_ever);
            enum err err = mirror_up_to(boat, last_seq, &note, &why);
            bool failed = vfs_fail_disarm();
            vfs_fail_only(NULL);
            assert_true(failed || err == ERR_NONE);
            assert_true(err == ERR_NONE || strlen(why.text) > 20);
            mirror_all(boat, "");
            if (!failed) {
                assert_true(at > 5);
                break;
            }
        }
}

static void test_every_operation_fails(void **state)
{
    every_operation(*state, SQLITE_IOERR_WRITE);
    every_operation(*state, SQLITE_IOERR_FSYNC);
    every_operation(*state, SQLITE_FULL);
}

/* ---- the thread ---- */

static void wake(void *context)
{
    sem_t *woken = context;
    (void)sem_post(woken);
}

/* Ticks, with a time of our own, until the state is this one and the last news holds these words. */
static void wait_for(struct spare *spare, enum spare_copy state, const char *words, int64_t *now_ms, struct msg *news)
{
    const struct timespec a_moment = {.tv_nsec = 2000000};
    bool trouble = false;
    for (int i = 0; i < 5000; i++) {
        struct msg next;
        *now_ms += 100;
        spare_tick(spare, *now_ms);
        while (spare_take(spare, &trouble, &next))
            *news = next;
        if (spare_state(spare, *now_ms) == state && strstr(news->text, words))
            return;
        (void)nanosleep(&a_moment, NULL);
    }
    fail_msg("state %d after ten seconds, not %d: %s", (int)spare_state(spare, *now_ms), (int)state, news->text);
}

/* Kept up beside a log in use; then the stick is gone, comes back, and lacks nothing. */
static void test_the_thread_follows_loses_and_finds_the_stick(void **state)
{
    struct boat *boat = *state;
    sem_t woken;
    struct msg news = {""};
    int64_t now_ms = 1;
    int64_t behind = -1;
    char *pocket = scratch_path(boat->dir, "pocket");
    assert_int_equal(sem_init(&woken, 0, 0), 0);
    struct spare *spare = spare_start(boat->log, boat->stick, 30, wake, &woken);
    wait_for(spare, SPARE_COPY_CURRENT, "is whole", &now_ms, &news);

    vfs_fail_only("/stick/");
    vfs_fail_arm(1, SQLITE_IOERR_WRITE, true);
    append_rows(boat->log, 2, 10);
    spare_saved(spare, 40, now_ms);
    news.text[0] = '\0';
    wait_for(spare, SPARE_COPY_STOPPED, "has stopped. The disk failed at", &now_ms, &news);
    assert_non_null(strstr(news.text, "The log itself is saved as before."));
    assert_int_equal(rename(boat->stick, pocket), 0);
    append_rows(boat->log, 3, 10);
    spare_saved(spare, 50, now_ms);
    news.text[0] = '\0';
    wait_for(spare, SPARE_COPY_STOPPED, "Put the stick in", &now_ms, &news);
    (void)vfs_fail_disarm();
    assert_int_equal(rename(pocket, boat->stick), 0);
    news.text[0] = '\0';
    wait_for(spare, SPARE_COPY_CURRENT, "is whole, up to row 50.", &now_ms, &news);
    spare_stop(spare, &behind);
    assert_int_equal(behind, 0);
    check_same(boat);
    assert_int_equal(sem_destroy(&woken), 0);
    free(pocket);
}

/* Pulled out and another put in its place within a moment: the copy goes on there, and not in what is gone. */
static void test_another_stick_in_its_place(void **state)
{
    struct boat *boat = *state;
    sem_t woken;
    struct msg news = {""};
    int64_t now_ms = 1;
    int64_t behind = -1;
    char *pocket = scratch_path(boat->dir, "pocket");
    assert_int_equal(sem_init(&woken, 0, 0), 0);
    struct spare *spare = spare_start(boat->log, boat->stick, 30, wake, &woken);
    wait_for(spare, SPARE_COPY_CURRENT, "is whole", &now_ms, &news);
    assert_int_equal(rename(boat->stick, pocket), 0);
    assert_int_equal(mkdir(boat->stick, 0700), 0);
    append_rows(boat->log, 2, 10);
    spare_saved(spare, 40, now_ms);
    news.text[0] = '\0';
    wait_for(spare, SPARE_COPY_STOPPED, "is no longer there: its disk was taken out, or", &now_ms, &news);
    wait_for(spare, SPARE_COPY_CURRENT, "is whole, up to row 40.", &now_ms, &news);
    spare_stop(spare, &behind);
    assert_int_equal(behind, 0);
    check_same(boat);
    assert_int_equal(verified(pocket).last_seq, 30);
    assert_int_equal(sem_destroy(&woken), 0);
    free(pocket);
}

/* A stick that takes nothing for a while: rows that wait are told as behind, then as gone on. */
static void test_a_stick_that_hangs_is_behind(void **state)
{
    struct boat *boat = *state;
    sem_t woken;
    struct msg news = {""};
    int64_t now_ms = 1;
    int64_t behind = -1;
    sqlite3 *other = NULL;
    char *path = scratch_path(boat->stick, "board.db");
    assert_int_equal(sem_init(&woken, 0, 0), 0);
    struct spare *spare = spare_start(boat->log, boat->stick, 30, wake, &woken);
    wait_for(spare, SPARE_COPY_CURRENT, "is whole", &now_ms, &news);
    assert_int_equal(sqlite3_open(path, &other), SQLITE_OK);
    assert_int_equal(sqlite3_busy_timeout(other, 5000), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
    append_rows(boat->log, 2, 10);
    spare_saved(spare, 40, now_ms);
    assert_int_equal(spare_state(spare, now_ms + SPARE_BEHIND_MS - 1), SPARE_COPY_CURRENT);
    assert_int_equal(spare_state(spare, now_ms + SPARE_BEHIND_MS), SPARE_COPY_BEHIND);
    assert_int_equal(sqlite3_exec(other, "COMMIT", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(other), SQLITE_OK);
    wait_for(spare, SPARE_COPY_CURRENT, "is whole", &now_ms, &news);
    spare_stop(spare, &behind);
    assert_int_equal(behind, 0);
    check_same(boat);
    assert_int_equal(sem_destroy(&woken), 0);
    free(path);
}

int main(void)
{
    if (access("/dev/shm", W_OK) == 0)
        (void)setenv("TMPDIR", "/dev/shm", 1);
#define ON_A_BOAT(test) cmocka_unit_test_setup_teardown(test, make_boat, remove_boat)
    const struct CMUnitTest tests[] = {
        ON_A_BOAT(test_it_is_the_log_and_catches_up),
        ON_A_BOAT(test_it_stops_where_it_is_told),
        ON_A_BOAT(test_another_logs_copy_is_kept),
        ON_A_BOAT(test_after_a_restore_a_new_copy_is_begun),
        ON_A_BOAT(test_a_changed_row_in_the_copy_is_found),
        ON_A_BOAT(test_a_log_that_lost_rows_does_not_cost_the_copy_its_own),
        ON_A_BOAT(test_a_damaged_log_ends_it),
        ON_A_BOAT(test_no_stick_makes_no_folder),
        ON_A_BOAT(test_a_foreign_file_is_left_alone),
        ON_A_BOAT(test_every_operation_fails),
        ON_A_BOAT(test_the_thread_follows_loses_and_finds_the_stick),
        ON_A_BOAT(test_another_stick_in_its_place),
        ON_A_BOAT(test_a_stick_that_hangs_is_behind),
    };
    vfs_fail_install();
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    vfs_fail_remove();
    return failed;
}
