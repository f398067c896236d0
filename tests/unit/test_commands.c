/* The commands on a small log: what they print, and how they end. The fold itself is tested in server/board's tests. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "commands.h"
#include "log_support.h"

/* Two rows before any trip, a trip of three, a refused start of one, and a trip of two. */
static const enum entry_kind kinds[] = {KIND_STOP, KIND_STOP,         KIND_TRIP_STARTED, KIND_STOP,
                                        KIND_STOP, KIND_TRIP_STARTED, KIND_TRIP_STARTED, KIND_STOP};
#define ROWS        ((int)(sizeof kinds / sizeof kinds[0]))
#define REFUSED_ROW 6

struct fixture {
    char *dir;
    struct log_row rows[ROWS];
    char *printed;
    size_t len;
    FILE *out;
    struct msg why;
};

static int start(void **state)
{
    struct fixture *fixture = calloc(1, sizeof *fixture);
    struct log_open_info info;
    struct maker maker;
    assert_non_null(fixture);
    fixture->dir = scratch_make();
    struct log *log = open_log(fixture->dir, &info);
    maker_start(&maker, &info, 1);
    for (int i = 0; i < ROWS; i++)
        fixture->rows[i] = maker_next(&maker, kinds[i], i + 1 == REFUSED_ROW ? "not_now" : NULL);
    assert_int_equal(log_append(log, fixture->rows, ROWS, &fixture->why), ERR_NONE);
    log_close(log);
    fixture->out = open_memstream(&fixture->printed, &fixture->len);
    assert_non_null(fixture->out);
    *state = fixture;
    return 0;
}

static int stop(void **state)
{
    struct fixture *fixture = *state;
    assert_int_equal(fclose(fixture->out), 0);
    free(fixture->printed);
    rows_free(fixture->rows, ROWS);
    scratch_remove(fixture->dir);
    free(fixture);
    return 0;
}

static const char *printed(struct fixture *fixture)
{
    assert_int_equal(fflush(fixture->out), 0);
    return fixture->printed;
}

static void test_verify_prints_sums_and_a_digest_each_trip(void **state)
{
    struct fixture *fixture = *state;
    char digests[3][17];
    int used = 0;
    assert_int_equal(command_verify(fixture->dir, fixture->out, &fixture->why), ERR_NONE);
    const char *text = printed(fixture);
    assert_non_null(strstr(text, ": 8 rows, 1 of them refused, 2 trips, 1 senders' lanes\nlast row 8, chain "));
    text = strstr(text, "no trip");
    assert_non_null(text);
    assert_int_equal(sscanf(text,
                            "no trip from row 1 to 2: digest %16[0-9a-f]\ntrip from row 3 to 6: digest %16[0-9a-f]\n"
                            "trip from row 7 to 8: digest %16[0-9a-f]\nnothing is wrong\n%n",
                            digests[0], digests[1], digests[2], &used),
                     3);
    assert_int_equal(used, strlen(text));
    /* Different trips, different boards. */
    assert_string_not_equal(digests[0], digests[1]);
    assert_string_not_equal(digests[1], digests[2]);
}

static void test_verify_prints_what_is_wrong(void **state)
{
    struct fixture *fixture = *state;
    tamper(fixture->dir, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 4");
    assert_int_equal(command_verify(fixture->dir, fixture->out, &fixture->why), ERR_DATA);
    assert_non_null(strstr(printed(fixture), "row 4: the chain breaks\n"));
    assert_null(strstr(printed(fixture), "digest"));
    assert_null(strstr(printed(fixture), "nothing is wrong"));
}

static void test_dump_is_the_texts(void **state)
{
    struct fixture *fixture = *state;
    assert_int_equal(command_dump(fixture->dir, fixture->out, &fixture->why), ERR_NONE);
    const char *at = printed(fixture);
    for (int i = 0; i < ROWS; i++) {
        assert_int_equal(strncmp(at, fixture->rows[i].text, (size_t)fixture->rows[i].len), 0);
        at += fixture->rows[i].len;
        assert_int_equal(*at++, '\n');
    }
    assert_int_equal(*at, '\0');
}

static void test_show_is_the_board_after_an_entry(void **state)
{
    struct fixture *fixture = *state;
    assert_int_equal(command_show(fixture->dir, 4, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "The board after entry 4."));
    assert_non_null(strstr(printed(fixture), "Grey Petrel"));
}

/* A name can hold what a terminal takes for an order: ESC, DELETE, or C1's CSI. None comes out, and the dump is the same JSON. */
static void test_no_orders_to_the_terminal(void **state)
{
    struct fixture *fixture = *state;
    tamper(fixture->dir,
           "UPDATE entry SET text = replace(text, 'Grey Petrel', 'Grey\\u001b[2J' || char(127) || char(155) || 'J') "
           "WHERE seq = 7");
    assert_int_equal(command_dump(fixture->dir, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "Grey\\u001b[2J\\u007f\\u009bJ"));
    assert_int_equal(command_show(fixture->dir, 0, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "Grey?[2J??J"));
    assert_null(strpbrk(printed(fixture), "\x1b\x7f"));
    assert_null(strstr(printed(fixture), "\xc2\x9b"));
    tamper(fixture->dir,
           "UPDATE entry SET text = replace(text, '\"kind\"', '\"\\u001b[2J\":1,\"kind\"') WHERE seq = 4");
    assert_int_equal(command_verify(fixture->dir, fixture->out, &fixture->why), ERR_DATA);
    assert_non_null(strstr(printed(fixture), "unknown_field \\u001b[2J"));
    assert_null(strpbrk(printed(fixture), "\x1b\x7f"));
    assert_null(strpbrk(fixture->why.text, "\x1b\x7f\n"));
}

/* So can a file's name, and what a file says of where it was restored from. */
static void test_no_orders_from_names_of_files(void **state)
{
    struct fixture *fixture = *state;
    char *copy = scratch_path(fixture->dir, "co\x1b[2Jpy\n.db");
    char *boat = scratch_path(fixture->dir, "bo\xc2\x9b\x7f"
                                            "at");
    tamper(fixture->dir, "INSERT INTO meta VALUES ('restored', 'a' || char(27) || '[2Jfile' || char(10))");
    assert_int_equal(command_backup(fixture->dir, copy, fixture->out, &fixture->why), ERR_NONE);
    assert_int_equal(command_verify(copy, fixture->out, &fixture->why), ERR_NONE);
    assert_int_equal(command_restore(copy, boat, fixture->out, &fixture->why), ERR_NONE);
    assert_int_equal(command_restore(copy, boat, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "/co?[2Jpy?.db holds the log up to row 8"));
    assert_non_null(strstr(printed(fixture), "\nrestored from a?[2Jfile?; its chain begins"));
    assert_non_null(strstr(printed(fixture), "/bo??at is now "));
    assert_non_null(strstr(printed(fixture), "/bo??at/board.kept-1.db.\n"));
    assert_null(strpbrk(printed(fixture), "\x1b\x7f"));
    assert_null(strstr(printed(fixture), "\xc2\x9b"));
    free(boat);
    free(copy);
}

static void test_show_without_an_entry_is_the_end(void **state)
{
    struct fixture *fixture = *state;
    assert_int_equal(command_show(fixture->dir, 0, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "The board after entry 8."));
}

static void test_show_before_the_trip_knows_nothing_of_it(void **state)
{
    struct fixture *fixture = *state;
    assert_int_equal(command_show(fixture->dir, 2, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "The board after entry 2."));
    assert_null(strstr(printed(fixture), "Grey Petrel"));
}

static void test_show_beyond_the_end_is_told(void **state)
{
    struct fixture *fixture = *state;
    assert_int_equal(command_show(fixture->dir, 9, fixture->out, &fixture->why), ERR_NO_INPUT);
    assert_string_equal(fixture->why.text, "There is no entry 9: the log ends with entry 8.");
    assert_string_equal(printed(fixture), "");
}

static void test_show_of_a_text_that_is_no_entry(void **state)
{
    struct fixture *fixture = *state;
    tamper(fixture->dir,
           "UPDATE entry SET text = replace(text, '\"kind\":\"stop\"', '\"kind\":\"shark\"') WHERE seq = 4");
    assert_int_equal(command_show(fixture->dir, 0, fixture->out, &fixture->why), ERR_DATA);
    assert_non_null(strstr(fixture->why.text, "Row 4 of the log cannot be read"));
}

static void test_backup_says_what_it_made(void **state)
{
    struct fixture *fixture = *state;
    char *copy = scratch_path(fixture->dir, "copy.db");
    assert_int_equal(command_backup(fixture->dir, copy, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "holds the log up to row 8"));
    assert_int_equal(command_verify(copy, fixture->out, &fixture->why), ERR_NONE);
    free(copy);
}

static void test_restore_says_what_it_did(void **state)
{
    struct fixture *fixture = *state;
    char *copy = scratch_path(fixture->dir, "copy.db");
    assert_int_equal(command_backup(fixture->dir, copy, fixture->out, &fixture->why), ERR_NONE);
    assert_int_equal(command_restore(copy, fixture->dir, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "/board.kept-1.db.\n"));
    assert_non_null(strstr(printed(fixture), " up to row 8, and nothing is wrong with it.\n"));
    assert_int_equal(command_verify(fixture->dir, fixture->out, &fixture->why), ERR_NONE);
    assert_non_null(strstr(printed(fixture), "\nrestored from log "));
    free(copy);
}

/* What could be read is in place; that it is not all is an error with a way on. */
static void test_restore_of_a_damaged_log_says_how_far(void **state)
{
    struct fixture *fixture = *state;
    tamper(fixture->dir, "UPDATE entry SET text = replace(text, '\"by\":2', '\"by\":3') WHERE seq = 7");
    assert_int_equal(command_restore(fixture->dir, fixture->dir, fixture->out, &fixture->why), ERR_DATA);
    assert_non_null(strstr(fixture->why.text, "row 7 is not as it was written, so only rows 1 to 6 are restored. If"));
    assert_int_equal(command_verify(fixture->dir, fixture->out, &fixture->why), ERR_NONE);
}

static void test_an_output_that_is_full_is_told(void **state)
{
    struct fixture *fixture = *state;
    FILE *full = fopen("/dev/full", "w");
    assert_non_null(full);
    assert_int_equal(command_dump(fixture->dir, full, &fixture->why), ERR_IO);
    assert_non_null(strstr(fixture->why.text, "cannot be written (No space left on device)"));
    (void)fclose(full);
}

static void test_no_log_is_told_by_each(void **state)
{
    struct fixture *fixture = *state;
    char *none = scratch_path(fixture->dir, "none");
    assert_int_equal(command_verify(none, fixture->out, &fixture->why), ERR_NO_INPUT);
    assert_int_equal(command_dump(none, fixture->out, &fixture->why), ERR_NO_INPUT);
    assert_int_equal(command_show(none, 0, fixture->out, &fixture->why), ERR_NO_INPUT);
    assert_int_equal(command_restore(none, fixture->dir, fixture->out, &fixture->why), ERR_NO_INPUT);
    assert_int_equal(command_backup(none, none, fixture->out, &fixture->why), ERR_NO_INPUT);
    assert_string_equal(printed(fixture), "");
    free(none);
}

int main(void)
{
#define WITH_LOG(test) cmocka_unit_test_setup_teardown(test, start, stop)
    const struct CMUnitTest tests[] = {
        WITH_LOG(test_verify_prints_sums_and_a_digest_each_trip),
        WITH_LOG(test_verify_prints_what_is_wrong),
        WITH_LOG(test_dump_is_the_texts),
        WITH_LOG(test_show_is_the_board_after_an_entry),
        WITH_LOG(test_no_orders_to_the_terminal),
        WITH_LOG(test_no_orders_from_names_of_files),
        WITH_LOG(test_show_without_an_entry_is_the_end),
        WITH_LOG(test_show_before_the_trip_knows_nothing_of_it),
        WITH_LOG(test_show_beyond_the_end_is_told),
        WITH_LOG(test_show_of_a_text_that_is_no_entry),
        WITH_LOG(test_backup_says_what_it_made),
        WITH_LOG(test_restore_says_what_it_did),
        WITH_LOG(test_restore_of_a_damaged_log_says_how_far),
        WITH_LOG(test_an_output_that_is_full_is_told),
        WITH_LOG(test_no_log_is_told_by_each),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
