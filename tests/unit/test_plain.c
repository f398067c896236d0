/* What never reaches a terminal: ECMA-48, 5 (C0, DELETE, C1) and the marks of Unicode Standard Annex 9, 2. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "err.h"
#include "plain.h"

static void check_line(const char *text, const char *plain)
{
    char line[256];
    (void)snprintf(line, sizeof line, "%s", text);
    plain_line(line);
    assert_string_equal(line, plain);
}

static void test_lines(void **state)
{
    (void)state;
    check_line("", "");
    check_line("Grey Petrel, J\u00f6rn \u2013 \u200b\u20ac \U0001f41f",
               "Grey Petrel, J\u00f6rn \u2013 \u200b\u20ac \U0001f41f");
    check_line("a\x1b[2Jb\r\nc\x7f", "a?[2Jb??c?");
    check_line("\xc2\x80 \xc2\x9b\x41 \xc2\xa0", "? ?A \xc2\xa0");
    check_line("\u202eknil\u202c \u2066x\u2069 \u200f\u200e", "?knil? ?x? ??");
    check_line("\u2029\u202f\u2065\u206a", "\u2029\u202f\u2065\u206a");
    check_line("cut \xc2", "cut \xc2");
    check_line("cut \xe2\x80", "cut \xe2\x80");
}

/* Every sentence of trouble is one plain line, whatever was in the file it speaks of. */
static void test_msg(void **state)
{
    (void)state;
    struct msg why;
    assert_int_equal(err_set(&why, ERR_DATA, "The log %s is damaged.", "a\x1b]0;x\x07\n.db"), ERR_DATA);
    assert_string_equal(why.text, "The log a?]0;x??.db is damaged.");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_lines), cmocka_unit_test(test_msg)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
