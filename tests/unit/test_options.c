/* The command line: what is taken, and what is turned down with a sentence. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdlib.h>
#include <string.h>

#include "options.h"

/* Splits a line at its blanks and reads it. */
static enum err read_line(struct options *options, const char *line, struct msg *why)
{
    static char copy[256];
    static char *words[16];
    int count = 0;
    (void)strncpy(copy, line, sizeof copy - 1);
    for (char *at = copy, *word; (word = strsep(&at, " ")) != NULL;)
        words[count++] = word;
    words[count] = NULL;
    return options_read(options, count, words, why);
}

static void test_usual(void **state)
{
    (void)state;
    struct options options;
    struct msg why;
    assert_int_equal(setenv("XDG_DATA_HOME", "/data", 1), 0);
    assert_int_equal(read_line(&options, "sternboard", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_SERVE);
    assert_string_equal(options.data, "/data/sternboard");
    assert_int_equal(options.port, 8470);
    assert_null(options.address);
    assert_int_equal(options.name_count, 0);
    assert_false(options.quiet);
    assert_int_equal(setenv("XDG_DATA_HOME", "not/absolute", 1), 0); /* to be ignored, as the specification says */
    assert_int_equal(setenv("HOME", "/h", 1), 0);
    assert_int_equal(read_line(&options, "sternboard", &why), ERR_NONE);
    assert_string_equal(options.data, "/h/.local/share/sternboard");
    assert_int_equal(unsetenv("HOME"), 0);
    assert_int_equal(read_line(&options, "sternboard", &why), ERR_USAGE);
    assert_int_equal(read_line(&options, "sternboard --data d", &why), ERR_NONE);
    assert_string_equal(options.data, "d");
}

static void test_all_options(void **state)
{
    (void)state;
    struct options options;
    struct msg why;
    assert_int_equal(
        read_line(&options,
                  "sternboard --port 80 --address 10.0.0.1 --data=d --name a --name b.local --spare s --quiet", &why),
        ERR_NONE);
    assert_int_equal(options.port, 80);
    assert_string_equal(options.spare, "s");
    assert_string_equal(options.address, "10.0.0.1");
    assert_int_equal(options.name_count, 2);
    assert_string_equal(options.names[1], "b.local");
    assert_true(options.quiet);
}

static void test_commands(void **state)
{
    (void)state;
    struct options options;
    struct msg why;
    assert_int_equal(read_line(&options, "sternboard show --at 12 --data d file.db", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_SHOW);
    assert_int_equal(options.at_seq, 12);
    assert_string_equal(options.file, "file.db");
    assert_int_equal(read_line(&options, "sternboard --data d verify", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_VERIFY);
    assert_null(options.file);
    assert_int_equal(read_line(&options, "sternboard --data d dump", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_DUMP);
    assert_int_equal(read_line(&options, "sternboard restore --data d from.db", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_RESTORE);
    assert_string_equal(options.file, "from.db");
    assert_int_equal(read_line(&options, "sternboard --data d backup to.db", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_BACKUP);
    assert_int_equal(read_line(&options, "sternboard --data d --version", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_VERSION);
    assert_int_equal(read_line(&options, "sternboard --data d --help", &why), ERR_NONE);
    assert_int_equal(options.command, COMMAND_HELP);
}

static void test_tls(void **state)
{
    (void)state;
    struct options options;
    struct msg why;
    assert_int_equal(read_line(&options, "sternboard --data d", &why), ERR_NONE);
    assert_false(options.tls);
    assert_int_equal(read_line(&options, "sternboard --data d --tls", &why), ERR_NONE);
    assert_true(options.tls);
    assert_null(options.tls_cert);
    assert_int_equal(read_line(&options, "sternboard --data d --tls-cert c.pem --tls-key k.pem", &why), ERR_NONE);
    assert_true(options.tls);
    assert_string_equal(options.tls_cert, "c.pem");
    assert_string_equal(options.tls_key, "k.pem");
    assert_int_equal(read_line(&options, "sternboard --data d --tls --tls-cert c.pem", &why), ERR_USAGE);
    assert_int_equal(read_line(&options, "sternboard --data d --tls-key k.pem", &why), ERR_USAGE);
}

static void test_nonsense(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "sternboard --port 0",
        "sternboard --port 65536",
        "sternboard --port 84x",
        "sternboard --port",
        "sternboard --port -1",
        "sternboard --colour",
        "sternboard -x",
        "sternboard sail",
        "sternboard show --at 0",
        "sternboard show --at one",
        "sternboard --at 3",
        "sternboard verify --at 3",
        "sternboard backup --data d",
        "sternboard restore --data d",
        "sternboard --data d --spare d",
        "sternboard --spare",
        "sternboard verify --data d --spare s",
        "sternboard --data=",
        "sternboard verify a b",
        "sternboard --quiet=yes",
        "sternboard show --at 9999999999999999",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct options options;
        struct msg why = {""};
        assert_int_equal(read_line(&options, lines[i], &why), ERR_USAGE);
        assert_true(strlen(why.text) > 10 && why.text[strlen(why.text) - 1] == '.');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_usual), cmocka_unit_test(test_all_options), cmocka_unit_test(test_commands),
        cmocka_unit_test(test_tls),   cmocka_unit_test(test_nonsense),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
