/* The log on a disk that loses what was not synced: the power is cut, or the program killed, before the 1st, the 2nd, the 3rd...
 * change to a file, while a log is made, appended to and checkpointed. Each time: what was told saved is there, once, and the
 * file is whole. What is lost of the rest, and in which order it came to the disk, is drawn anew several times for each. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <unistd.h>

#include "disk.h"
#include "disk_file.h"
#include "log/verify.h"
#include "log_support.h"

#define BATCHES    10
#define BATCH_ROWS 3
#define DRAWS      8
#define SECTOR     512

static int install(void **state)
{
    (void)state;
    disk_install();
    return 0;
}

/* ---- the disk itself --------------------------------------------------------------------------------------------------- */

/* Of three sectors of ones, what is found after a cut, as bits; fails the test where a sector is neither whole nor untouched. */
static int32_t sectors_kept(const struct disk_file *file)
{
    int32_t kept = 0;
    for (int32_t i = 0; i < 3; i++) {
        uint8_t bytes[SECTOR];
        (void)disk_file_read(file, bytes, SECTOR, (int64_t)i * SECTOR);
        for (int32_t j = 1; j < SECTOR; j++)
            assert_int_equal(bytes[j], bytes[0]);
        kept |= bytes[0] << i;
    }
    return kept;
}

static void test_a_cut_keeps_any_sectors_of_what_was_not_synced(void **state)
{
    uint64_t chance = 1;
    uint8_t ones[3 * SECTOR];
    bool seen[8] = {false};
    (void)state;
    memset(ones, 1, sizeof ones);
    for (int32_t i = 0; i < 400; i++) {
        struct disk_file *file = disk_file_new();
        disk_file_truncate(file, 3 * SECTOR);
        disk_file_sync(file);
        disk_file_write(file, ones, sizeof ones, 0);
        disk_file_cut(file, SECTOR, &chance);
        seen[sectors_kept(file)] = true;
        disk_file_drop(file);
    }
    for (size_t i = 0; i < 8; i++)
        assert_true(seen[i]);
}

static void test_a_later_write_may_stay_without_an_earlier_one(void **state)
{
    uint64_t chance = 1;
    bool old_won = false, new_won = false;
    (void)state;
    for (int32_t i = 0; i < 200; i++) {
        struct disk_file *file = disk_file_new();
        uint8_t found;
        disk_file_write(file, "1", 1, 0);
        disk_file_write(file, "2", 1, 0);
        disk_file_cut(file, SECTOR, &chance);
        (void)disk_file_read(file, &found, 1, 0);
        old_won = old_won || found == '1';
        new_won = new_won || found == '2';
        disk_file_drop(file);
    }
    assert_true(old_won && new_won);
}

static void test_what_was_synced_stays(void **state)
{
    uint64_t chance = 1;
    (void)state;
    for (int32_t i = 0; i < 100; i++) {
        struct disk_file *file = disk_file_new();
        char found[4];
        disk_file_write(file, "kept", 4, 0);
        disk_file_sync(file);
        disk_file_write(file, "more", 4, 4);
        disk_file_cut(file, SECTOR, &chance);
        assert_true(disk_file_read(file, found, 4, 0));
        assert_memory_equal(found, "kept", 4);
        assert_true(file->live.size >= 4 && file->live.size <= 8);
        disk_file_drop(file);
    }
}

/* What a failed sync did not bring to the disk is still seen, and no later sync brings it. */
static void test_a_failed_sync_loses_for_good(void **state)
{
    uint64_t chance = 1;
    bool lost = false;
    (void)state;
    for (int32_t i = 0; i < 100; i++) {
        struct disk_file *file = disk_file_new();
        char found[4];
        disk_file_write(file, "gone", 4, 0);
        disk_file_sync_failed(file, SECTOR, &chance);
        assert_true(disk_file_read(file, found, 4, 0));
        disk_file_sync(file);
        disk_file_cut(file, SECTOR, &chance);
        lost = lost || !disk_file_read(file, found, 4, 0);
        disk_file_drop(file);
    }
    assert_true(lost);
}

/* ---- the log on it ------------------------------------------------------------------------------------------------------- */

/* Opens the log and appends until it is done or the program is killed; every third batch is followed by a checkpoint. Returns
 * the last seq told saved. */
static int64_t append_until_stopped(const char *dir, uint64_t sender, int32_t batches, int64_t saved)
{
    struct log_open_info info;
    struct log *log = NULL;
    struct maker maker;
    struct log_row rows[BATCH_ROWS];
    struct msg why = {""};
    bool good = log_open(&log, dir, &info, &why) == ERR_NONE;
    if (!good)
        return saved;
    saved = info.last_seq;
    maker_start(&maker, &info, sender);
    for (int32_t i = 0; i < batches && good; i++) {
        maker_fill(&maker, rows, BATCH_ROWS);
        good = log_append(log, rows, BATCH_ROWS, &why) == ERR_NONE;
        if (good)
            saved = rows[BATCH_ROWS - 1].seq;
        good = good && (i % 3 != 2 || log_checkpoint(log, &why) == ERR_NONE);
        rows_free(rows, BATCH_ROWS);
    }
    disk_kill();
    log_close(log);
    return saved;
}

static void ignore_finding(void *context, const char *line)
{
    (void)context;
    (void)line;
}

static void check_after(const char *dir, int64_t saved)
{
    struct verify_sums sums;
    struct msg why = {""};
    append_rows(dir, 99, 2);
    if (verify_log(dir, print_finding, NULL, &sums, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    if (sums.last_seq - 2 < saved)
        fail_msg("%d rows were told saved, %d are there", (int)saved, (int)sums.last_seq - 2);
    assert_true(sums.last_seq - 2 <= saved + BATCH_ROWS);
    assert_int_equal((sums.last_seq - 2) % BATCH_ROWS, 0);
}

/* The at-th change is the first that does not happen. false: it did not come to that. */
static bool run_stopped(int32_t at, uint64_t draw, int64_t sector)
{
    char *dir = scratch_make();
    disk_wipe(draw);
    disk_arm(DISK_STOPS, at, false);
    int64_t saved = append_until_stopped(dir, 77, BATCHES, 0);
    bool stopped = saved < (int64_t)BATCHES * BATCH_ROWS;
    disk_kill();
    if (sector > 0)
        disk_power_cut(sector);
    else
        disk_restart(true);
    check_after(dir, saved);
    scratch_remove(dir);
    return stopped;
}

static int32_t stop_everywhere(uint64_t draws, int64_t sector)
{
    int32_t at = 0;
    bool stopped = true;
    while (stopped) {
        at++;
        for (uint64_t draw = 0; draw < draws; draw++)
            stopped = run_stopped(at, draw * 1000 + (uint64_t)at, sector);
    }
    assert_true(at > 5 * BATCHES);
    return at;
}

static void test_the_power_is_cut_before_each_change(void **state)
{
    int32_t small = stop_everywhere(DRAWS, 512);
    int32_t large = stop_everywhere(DRAWS, 4096);
    (void)state;
    print_message("%d power cuts\n", (small + large) * DRAWS);
}

static void test_the_program_is_killed_before_each_change(void **state)
{
    (void)state;
    (void)stop_everywhere(1, 0);
}

/* A sync fails, the log says so and is closed, and a new run begins while the system still holds in memory what never came to the
 * disk. What the new run tells as saved survives the power all the same. false: it did not come to a
 * failure. */
static bool run_after_failed_sync(int32_t at, uint64_t draw, bool evict)
{
    char *dir = scratch_make();
    disk_wipe(draw);
    disk_arm(DISK_SYNC_FAILS, at, false);
    int64_t saved = append_until_stopped(dir, 77, BATCHES, 0);
    bool failed = disk_is_well();
    disk_arm(DISK_WELL, 0, false);
    disk_kill();
    disk_restart(evict);
    saved = append_until_stopped(dir, 78, 2, saved);
    disk_kill();
    disk_power_cut(4096);
    check_after(dir, saved);
    scratch_remove(dir);
    return failed;
}

static void test_a_new_run_does_not_build_on_what_a_failed_sync_lost(void **state)
{
    bool failed = true;
    (void)state;
    for (int32_t at = 1; failed; at++)
        for (uint64_t draw = 0; draw < DRAWS; draw++)
            failed = run_after_failed_sync(at, draw * 1000 + (uint64_t)at, draw % 2 == 0);
}

/* After a kill, a disk without room: the board must be had all the same, and says that it saves nothing. */
static void test_a_full_disk_keeps_nobody_from_the_board(void **state)
{
    struct log_open_info info;
    struct log *log = NULL;
    struct maker maker;
    struct log_row row;
    struct msg why = {""};
    char *dir = scratch_make();
    (void)state;
    disk_wipe(1);
    int64_t saved = append_until_stopped(dir, 77, 2, 0);
    disk_restart(false);
    disk_arm(DISK_FULL, 1, true);
    assert_int_equal(log_open(&log, dir, &info, &why), ERR_NONE);
    assert_int_equal(info.last_seq, saved);
    maker_start(&maker, &info, 78);
    maker_fill(&maker, &row, 1);
    assert_int_equal(log_append(log, &row, 1, &why), ERR_IO);
    assert_true(strlen(why.text) > 20);
    rows_free(&row, 1);
    log_close(log);
    disk_arm(DISK_WELL, 0, false);
    check_after(dir, saved);
    scratch_remove(dir);
}

/* One bit of the files turns over. The log says so when it is opened or looked through, or the bit was nowhere that counts. */
static void test_a_bit_that_turned_is_found_or_does_no_harm(void **state)
{
    struct verify_sums whole, sums;
    int32_t found = 0;
    (void)state;
    for (uint64_t draw = 1; draw <= 300; draw++) {
        struct msg why = {""};
        char *dir = scratch_make();
        disk_wipe(draw);
        append_rows(dir, 77, 40);
        assert_int_equal(verify_log(dir, print_finding, NULL, &whole, &why), ERR_NONE);
        assert_true(disk_rot());
        if (verify_log(dir, ignore_finding, NULL, &sums, &why) != ERR_NONE)
            found++;
        else
            assert_memory_equal(sums.chain, whole.chain, sizeof sums.chain);
        scratch_remove(dir);
    }
    assert_true(found > 30);
}

int main(void)
{
    if (access("/dev/shm", W_OK) == 0)
        (void)setenv("TMPDIR", "/dev/shm", 1);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_cut_keeps_any_sectors_of_what_was_not_synced),
        cmocka_unit_test(test_a_later_write_may_stay_without_an_earlier_one),
        cmocka_unit_test(test_what_was_synced_stays),
        cmocka_unit_test(test_a_failed_sync_loses_for_good),
        cmocka_unit_test(test_the_power_is_cut_before_each_change),
        cmocka_unit_test(test_the_program_is_killed_before_each_change),
        cmocka_unit_test(test_a_new_run_does_not_build_on_what_a_failed_sync_lost),
        cmocka_unit_test(test_a_full_disk_keeps_nobody_from_the_board),
        cmocka_unit_test(test_a_bit_that_turned_is_found_or_does_no_harm),
    };
    return cmocka_run_group_tests(tests, install, NULL);
}
