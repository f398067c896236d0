/* Restore, on real files: whole copies, damaged ones, and folders in every state that a kill can leave. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "log/backup.h"
#include "log/restore.h"
#include "log_support.h"
#include "vfs_fail.h"

#define ROWS 400

static int make_dir(void **state)
{
    *state = scratch_make();
    append_rows(*state, 1, ROWS);
    return 0;
}

static int remove_dir(void **state)
{
    scratch_remove(*state);
    return 0;
}

static struct restored restored_from(const char *from, const char *dir)
{
    struct restored restored;
    struct msg why = {""};
    if (restore_log(from, dir, &restored, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    return restored;
}

static char *backup_of(const char *dir)
{
    struct verify_sums sums;
    struct msg why = {""};
    char *path = scratch_path(dir, "backup.db");
    if (backup_log(dir, path, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    return path;
}

static void check_refused(const char *from, const char *dir, enum err want, const char *words)
{
    struct restored restored;
    struct msg why = {""};
    struct verify_sums before = verified(dir);
    assert_int_equal(restore_log(from, dir, &restored, &why), want);
    if (!strstr(why.text, words))
        fail_msg("not \"%s\" in: %s", words, why.text);
    struct verify_sums after = verified(dir);
    assert_memory_equal(&before, &after, sizeof before);
    char *made = scratch_path(dir, "board.new.db");
    assert_int_not_equal(access(made, F_OK), 0);
    free(made);
}

static int64_t size_of(const char *path)
{
    struct stat facts;
    assert_int_equal(stat(path, &facts), 0);
    return facts.st_size;
}

static void write_at(const char *path, long at, const void *bytes, size_t len)
{
    FILE *file = fopen(path, "r+");
    assert_non_null(file);
    assert_int_equal(fseek(file, at, SEEK_SET), 0);
    assert_int_equal(fwrite(bytes, 1, len, file), len);
    assert_int_equal(fclose(file), 0);
}

/* The rows of a backup are there to the last byte, chains too; the log is another, and says where it comes from; what was
 * there before is kept whole. */
static void test_a_backup_is_restored(void **state)
{
    char *backup = backup_of(*state);
    struct verify_sums old = verified(backup);
    append_rows(*state, 2, 30);
    struct restored restored = restored_from(backup, *state);
    struct verify_sums now = verified(*state);
    assert_int_equal(now.rows, ROWS);
    assert_memory_equal(now.chain, old.chain, CHAIN_LEN);
    assert_true(now.log_id != old.log_id && now.log_id == restored.log_id);
    assert_true(now.chain_id == old.log_id && restored.from_log_id == old.log_id);
    char words[80];
    (void)snprintf(words, sizeof words, "log %016llx up to row %d", (unsigned long long)old.log_id, ROWS);
    assert_string_equal(now.restored, words);
    assert_true(restored.whole);
    struct verify_sums kept = verified(restored.kept);
    assert_int_equal(kept.rows, ROWS + 30);
    assert_true(kept.log_id == old.log_id);
    free(backup);
}

/* It goes on as any log, and can be backed up and restored again: the chain and the story of where it was go on. */
static void test_a_restored_log_goes_on(void **state)
{
    char *backup = backup_of(*state);
    struct verify_sums first = verified(backup);
    (void)restored_from(backup, *state);
    append_rows(*state, 3, 20);
    assert_int_equal(unlink(backup), 0);
    free(backup);
    backup = backup_of(*state);
    struct verify_sums second = verified(backup);
    assert_int_equal(second.rows, ROWS + 20);
    (void)restored_from(backup, *state);
    struct verify_sums third = verified(*state);
    assert_memory_equal(third.chain, second.chain, CHAIN_LEN);
    assert_true(third.chain_id == first.log_id && third.log_id != second.log_id);
    assert_non_null(strstr(third.restored, "up to row 400; log "));
    assert_non_null(strstr(third.restored, "up to row 420"));
    struct log_open_info info;
    struct log *log = open_log(*state, &info);
    struct log_scrub scrub = {0};
    struct msg why;
    bool done = false;
    while (!done)
        assert_int_equal(log_scrub(log, &scrub, 100, &done, &why), ERR_NONE);
    log_close(log);
    free(backup);
}

static void test_into_a_folder_that_is_not_there(void **state)
{
    char *backup = backup_of(*state);
    char *dir = scratch_path(*state, "a/new/boat");
    struct restored restored = restored_from(backup, dir);
    assert_string_equal(restored.kept, "");
    assert_int_equal(verified(dir).rows, ROWS);
    free(dir);
    free(backup);
}

static void test_a_tampered_row_ends_it(void **state)
{
    tamper(*state, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 70");
    struct restored restored = restored_from(*state, *state);
    assert_false(restored.whole);
    assert_string_equal(restored.damage.text, "row 70 is not as it was written");
    assert_int_equal(verified(*state).rows, 69);
}

/* The folder's own log, cut to half: what stands in the first half is the log again. */
static void test_a_truncated_log_is_read_up_to_the_cut(void **state)
{
    char *path = scratch_path(*state, "board.db");
    int64_t half = size_of(path) / 8192 * 4096;
    assert_true(half > 5 * 4096);
    assert_int_equal(truncate(path, half), 0);
    struct log *log = NULL;
    struct log_open_info info;
    struct msg why = {""};
    assert_int_equal(log_open(&log, *state, &info, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "sternboard restore"));
    struct restored restored = restored_from(path, *state);
    assert_false(restored.whole);
    struct verify_sums sums = verified(*state);
    assert_true(sums.rows > ROWS / 4 && sums.rows < ROWS);
    assert_int_equal(size_of(restored.kept), half);
    free(path);
}

/* One page of the table overwritten with noise, at each page in turn: never a row that was not there, never a crash. */
static void test_a_page_of_noise_anywhere(void **state)
{
    char noise[4096];
    char *path = scratch_path(*state, "board.db");
    char *copy = scratch_path(*state, "noisy.db");
    char *backup = backup_of(*state);
    struct verify_sums whole = verified(backup);
    int restored_some = 0;
    for (size_t i = 0; i < sizeof noise; i++)
        noise[i] = (char)(i * 37 + 11);
    for (long page = 1; page < size_of(path) / 4096; page++) {
        struct restored restored;
        struct msg why = {""};
        char *dir = scratch_path(*state, "boat");
        char *command = NULL;
        assert_true(asprintf(&command, "cp %s %s", backup, copy) > 0);
        assert_int_equal(system(command), 0);
        write_at(copy, page * 4096, noise, sizeof noise);
        enum err err = restore_log(copy, dir, &restored, &why);
        if (err == ERR_NONE) {
            struct verify_sums sums = verified(dir);
            assert_true(sums.rows > 0 && sums.rows <= ROWS && restored.whole == (sums.rows == ROWS));
            assert_int_equal(sums.chain_id, whole.log_id);
            restored_some++;
        } else {
            assert_int_equal(err, ERR_DATA);
        }
        free(command);
        free(dir);
    }
    assert_true(restored_some > 10);
    free(backup);
    free(copy);
    free(path);
}

/* A flipped bit in a row's text, which SQLite does not notice: the chain does. */
static void test_a_flipped_bit_is_found(void **state)
{
    char *backup = backup_of(*state);
    FILE *file = fopen(backup, "r+");
    assert_non_null(file);
    char bytes[4096];
    bool flipped = false;
    while (!flipped && fread(bytes, 1, sizeof bytes, file) == sizeof bytes) {
        char *at = memmem(bytes, sizeof bytes, "\"at_ms\":200000,", 15);
        if (at) {
            at[8] ^= 1;
            assert_int_equal(fseek(file, -(long)sizeof bytes, SEEK_CUR), 0);
            assert_int_equal(fwrite(bytes, 1, sizeof bytes, file), sizeof bytes);
            flipped = true;
        }
    }
    assert_true(flipped);
    assert_int_equal(fclose(file), 0);
    struct restored restored = restored_from(backup, *state);
    assert_false(restored.whole);
    assert_int_equal(verified(*state).rows, 199);
    free(backup);
}

/* The copy is read twice. Where a bad stick gives less of it the second time, that is not called the whole of it. */
static void test_a_stick_that_fails_at_times(void **state)
{
    struct restored restored;
    struct msg why = {""};
    char *dir = scratch_path(*state, "boat");
    append_rows(*state, 2, 24000); /* more than SQLite keeps in memory */
    char *backup = backup_of(*state);
    vfs_fail_install();
    vfs_fail_only("backup.db");
    assert_int_equal(vfs_fail_read(0), 0);
    assert_true(restored_from(backup, dir).whole);
    int reads = vfs_fail_read(0);
    assert_true(reads > 1000);
    (void)vfs_fail_read(reads * 3 / 4);
    assert_int_equal(restore_log(backup, dir, &restored, &why), ERR_IO);
    assert_non_null(strstr(why.text, " could be read up to row 24400, and then to row "));
    vfs_fail_only(NULL);
    vfs_fail_remove();
    assert_int_equal(verified(dir).rows, ROWS + 24000);
    free(backup);
    free(dir);
}

static void test_no_log_is_refused(void **state)
{
    char *path = scratch_path(*state, "letter");
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fclose(file), 0);
    check_refused(path, *state, ERR_DATA, "is empty: there is no log in it");
    write_at(path, 0,
             "A letter, no log, but longer than a header of a hundred bytes: "
             "once upon a time there was a boat, and a fish, and a cook.",
             120);
    check_refused(path, *state, ERR_DATA, "is not a sternboard log");
    char *none = scratch_path(*state, "none");
    check_refused(none, *state, ERR_NO_INPUT, "There is no log");
    free(none);
    free(path);
}

static void test_a_running_server_is_left_alone(void **state)
{
    struct log_open_info info;
    char *backup = backup_of(*state);
    struct log *log = open_log(*state, &info);
    check_refused(backup, *state, ERR_BUSY, "Another server is running on the data");
    log_close(log);
    free(backup);
}

/* A file on a stick that was pulled out in the middle of a commit: its journal lies beside it, and neither is changed. */
static void test_a_copy_cut_off_in_the_middle_of_a_write(void **state)
{
    char *backup = backup_of(*state);
    char *dir = scratch_path(*state, "boat");
    char *journal = scratch_path(*state, "backup.db-journal");
    pid_t child = fork();
    if (child == 0) {
        sqlite3 *db = NULL;
        const char *text =
            "DROP TRIGGER entry_no_delete; PRAGMA cache_size = 5; BEGIN; DELETE FROM entry WHERE seq > 50;";
        if (sqlite3_open(backup, &db) != SQLITE_OK || sqlite3_exec(db, text, NULL, NULL, NULL) != SQLITE_OK ||
            sqlite3_db_cacheflush(db) != SQLITE_OK)
            _exit(1);
        _exit(0); /* as a kill would end it: nothing is closed */
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    int64_t size = size_of(journal);
    assert_true(size > 512);
    struct verify_sums sums;
    struct msg why = {""};
    assert_int_equal(verify_log(backup, print_finding, NULL, &sums, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "cut off in the middle of a write"));
    assert_true(restored_from(backup, dir).whole);
    assert_int_equal(verified(dir).rows, ROWS);
    assert_int_equal(size_of(journal), size);
    free(journal);
    free(dir);
    free(backup);
}

/* A kill between any two steps of the swap: the next start has the new log, and the old one is kept with its -wal. */
static void test_a_swap_cut_off_is_finished(void **state)
{
    const char *steps[] = {"", "mv board.db-wal board.kept-1.db-wal",
                           "mv board.db-wal board.kept-1.db-wal && mv board.db board.kept-1.db"};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        char *dir = scratch_make();
        char *other = scratch_path(dir, "other");
        char *command = NULL;
        struct log_open_info info;
        append_rows(*state, 10 + i, 1);
        int64_t rows = verified(*state).rows;
        (void)restored_from(*state, other);
        pid_t child = fork();
        if (child == 0) {
            struct maker maker;
            struct msg why;
            struct log *log = open_log(dir, &info);
            maker_start(&maker, &info, 5);
            struct log_row three[3];
            maker_fill(&maker, three, 3);
            if (log_append(log, three, 3, &why) != ERR_NONE)
                _exit(1);
            _exit(0); /* as a kill would end it: the rows are in the -wal */
        }
        int status = 0;
        assert_int_equal(waitpid(child, &status, 0), child);
        assert_int_equal(status, 0);
        assert_true(asprintf(&command, "cd %s && test -s board.db-wal && mv other/board.db board.next.db && %s", dir,
                             steps[i][0] ? steps[i] : "true") > 0);
        assert_int_equal(system(command), 0);
        struct log *log = open_log(dir, &info);
        assert_int_equal(info.last_seq, rows);
        log_close(log);
        char *kept = scratch_path(dir, "board.kept-1.db");
        assert_int_equal(verified(kept).rows, 3);
        char *kept_wal = scratch_path(dir, "board.kept-1.db-wal");
        assert_int_equal(access(kept_wal, F_OK), 0);
        free(kept_wal);
        free(kept);
        free(command);
        free(other);
        scratch_remove(dir);
    }
}

static void append_byte(const char *path)
{
    FILE *file = fopen(path, "a");
    assert_non_null(file);
    assert_int_equal(fputc('k', file), 'k');
    assert_int_equal(fclose(file), 0);
}

static void refuse_open(const char *dir, const char *words)
{
    struct log *log = NULL;
    struct log_open_info info;
    struct msg why = {""};
    assert_int_equal(log_open(&log, dir, &info, &why), ERR_DATA);
    if (!strstr(why.text, words))
        fail_msg("%s", why.text);
}

/* A log that was lost is not begun anew in silence, and SQLite does not get to drop what is left of it. */
static void test_an_emptied_log_is_refused_and_left_alone(void **state)
{
    char *wal = scratch_path(*state, "board.db-wal");
    char *path = scratch_path(*state, "board.db");
    char *keys = scratch_path(*state, "keys");
    assert_int_equal(truncate(path, 0), 0);
    append_byte(keys);
    refuse_open(*state, "is empty, though this boat had one");
    append_byte(wal);
    refuse_open(*state, "sternboard restore FILE");
    assert_int_equal(unlink(path), 0);
    refuse_open(*state, "is gone, though this boat had one");
    assert_int_equal(access(wal, F_OK), 0);
    /* Moved away, a new one is begun; the keys stay. */
    assert_int_equal(unlink(wal), 0);
    append_rows(*state, 1, 1);
    free(keys);
    free(path);
    free(wal);
}

int main(void)
{
#define IN_DIR(test) cmocka_unit_test_setup_teardown(test, make_dir, remove_dir)
    const struct CMUnitTest tests[] = {
        IN_DIR(test_a_backup_is_restored),
        IN_DIR(test_a_restored_log_goes_on),
        IN_DIR(test_into_a_folder_that_is_not_there),
        IN_DIR(test_a_tampered_row_ends_it),
        IN_DIR(test_a_truncated_log_is_read_up_to_the_cut),
        IN_DIR(test_a_page_of_noise_anywhere),
        IN_DIR(test_a_flipped_bit_is_found),
        IN_DIR(test_a_stick_that_fails_at_times),
        IN_DIR(test_no_log_is_refused),
        IN_DIR(test_a_running_server_is_left_alone),
        IN_DIR(test_a_copy_cut_off_in_the_middle_of_a_write),
        IN_DIR(test_an_emptied_log_is_refused_and_left_alone),
        IN_DIR(test_a_swap_cut_off_is_finished),
    };
    if (access("/dev/shm", W_OK) == 0)
        (void)setenv("TMPDIR", "/dev/shm", 1);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
