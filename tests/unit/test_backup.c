/* A backup is a whole log in one file, or is not there. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <dirent.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "log/backup.h"
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

/* How many files of the folder have a name that begins so. */
static int files_named(const char *dir, const char *begin)
{
    int count = 0;
    DIR *folder = opendir(dir);
    assert_non_null(folder);
    for (const struct dirent *item = NULL; (item = readdir(folder)) != NULL;)
        count += strncmp(item->d_name, begin, strlen(begin)) == 0;
    assert_int_equal(closedir(folder), 0);
    return count;
}

static void check_backup(const char *path, int64_t rows)
{
    struct verify_sums sums;
    struct msg why = {""};
    struct stat facts;
    if (verify_log(path, print_finding, NULL, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    assert_int_equal(sums.rows, rows);
    assert_int_equal(stat(path, &facts), 0);
    assert_int_equal(facts.st_mode & 0777, 0600);
}

static void test_a_backup_is_the_log(void **state)
{
    struct verify_sums sums;
    struct log_open_info info;
    struct msg why = {""};
    char *path = scratch_path(*state, "copy.db");
    struct log *log = open_log(*state, &info);
    assert_int_equal(backup_log(*state, path, &sums, &why), ERR_NONE);
    assert_int_equal(sums.rows, 30);
    assert_true(sums.log_id == info.log_id);
    assert_memory_equal(sums.chain, info.chain, CHAIN_LEN);
    log_close(log);
    check_backup(path, 30);
    assert_int_equal(files_named(*state, "copy.db"), 1); /* alone: no -wal, nothing half made */
    free(path);
}

/* In the place of the log, it is the log: appended to, and read. */
static void test_a_backup_put_in_place_goes_on(void **state)
{
    struct verify_sums sums;
    struct msg why = {""};
    char *path = scratch_path(*state, "copy.db");
    char *log = scratch_path(*state, "board.db");
    assert_int_equal(backup_log(*state, path, &sums, &why), ERR_NONE);
    assert_int_equal(rename(path, log), 0);
    append_rows(*state, 2, 4);
    check_backup(log, 34);
    free(log);
    free(path);
}

static void test_a_backup_while_rows_are_written(void **state)
{
    struct verify_sums sums = {0};
    struct msg why = {""};
    int64_t rows = 0;
    pid_t child = fork();
    if (child == 0)
        for (uint64_t sender = 2;; sender++)
            append_rows(*state, sender, 50);
    for (int i = 0; i < 10; i++) {
        char *path = scratch_path(*state, "copy.db");
        if (backup_log(*state, path, &sums, &why) != ERR_NONE)
            fail_msg("%s", why.text);
        assert_true(sums.rows >= rows);
        rows = sums.rows;
        check_backup(path, rows);
        assert_int_equal(unlink(path), 0);
        free(path);
    }
    assert_int_equal(kill(child, SIGKILL), 0);
    assert_int_equal(waitpid(child, NULL, 0), child);
    assert_true(rows > 30);
}

static void test_a_file_in_the_way_is_left_alone(void **state)
{
    struct verify_sums sums;
    struct msg why = {""};
    struct stat facts;
    char *path = scratch_path(*state, "lock");
    assert_int_equal(backup_log(*state, path, &sums, &why), ERR_CANNOT_MAKE);
    assert_non_null(strstr(why.text, "There is a file"));
    assert_int_equal(stat(path, &facts), 0);
    assert_int_equal(facts.st_size, 0);
    free(path);
}

static void test_a_folder_that_is_not_there(void **state)
{
    struct verify_sums sums;
    struct msg why = {""};
    char *path = scratch_path(*state, "nowhere/copy.db");
    assert_int_equal(backup_log(*state, path, &sums, &why), ERR_CANNOT_MAKE);
    assert_non_null(strstr(why.text, "cannot be made (No such file or directory)"));
    free(path);
}

static void test_no_backup_of_a_damaged_log(void **state)
{
    struct verify_sums sums;
    struct msg why = {""};
    char *path = scratch_path(*state, "copy.db");
    tamper(*state, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 7");
    assert_int_equal(backup_log(*state, path, &sums, &why), ERR_DATA);
    assert_int_equal(sums.findings, 1);
    assert_int_equal(files_named(*state, "copy.db"), 0);
    free(path);
}

static void test_no_log_no_backup(void **state)
{
    struct verify_sums sums;
    struct msg why = {""};
    char *from = scratch_path(*state, "nothing");
    char *to = scratch_path(*state, "copy.db");
    assert_int_equal(backup_log(from, to, &sums, &why), ERR_NO_INPUT);
    assert_int_equal(files_named(*state, "copy.db"), 0);
    free(to);
    free(from);
}

int main(void)
{
#define IN_DIR(test) cmocka_unit_test_setup_teardown(test, make_dir, remove_dir)
    const struct CMUnitTest tests[] = {
        IN_DIR(test_a_backup_is_the_log),
        IN_DIR(test_a_backup_put_in_place_goes_on),
        IN_DIR(test_a_backup_while_rows_are_written),
        IN_DIR(test_a_file_in_the_way_is_left_alone),
        IN_DIR(test_a_folder_that_is_not_there),
        IN_DIR(test_no_backup_of_a_damaged_log),
        IN_DIR(test_no_log_no_backup),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
