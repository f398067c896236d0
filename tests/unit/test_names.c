/* The names a server answers to: exact hosts, and origins of those very hosts (RFC 6454, 4 and 7; RFC 6455, 10.2). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "net/names.h"

static void test_own_hosts(void **state)
{
    (void)state;
    struct names names;
    names_init(&names, 8470, false);
    names_refresh(&names);
    assert_string_equal(names_find(&names, "localhost:8470"), "localhost:8470");
    assert_non_null(names_find(&names, "127.0.0.1:8470"));
    assert_string_equal(names_find(&names, "LocalHost:8470"), "localhost:8470");
    char machine[64], host[80];
    assert_int_equal(gethostname(machine, sizeof machine), 0);
    (void)snprintf(host, sizeof host, "%s.local:8470", machine);
    assert_non_null(names_find(&names, host));
}

/* Whatever is not exactly one of them is somebody else's. */
static void test_other_hosts(void **state)
{
    (void)state;
    static const char *const others[] = {"",
                                         "localhost",
                                         "localhost:847",
                                         "localhost:84700",
                                         "localhost:8471",
                                         "localhost:8470 ",
                                         "localhost.:8470",
                                         "localhos:8470",
                                         "evil.test:8470",
                                         "localhost:8470.evil.test",
                                         "evil.test@localhost:8470",
                                         "http://localhost:8470",
                                         "localhost:8470,localhost:8470"};
    struct names names;
    names_init(&names, 8470, false);
    names_refresh(&names);
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        assert_null(names_find(&names, others[i]));
}

static void test_port_80(void **state)
{
    (void)state;
    struct names names;
    names_init(&names, 80, false);
    assert_string_equal(names_find(&names, "localhost"), "localhost");
    assert_string_equal(names_find(&names, "localhost:80"), "localhost:80");
}

static void test_added_names(void **state)
{
    (void)state;
    static const char *const wrong[] = {"",       ":1",  "a b",     "a;b",   "a'b",
                                        "a\r\nb", "a:0", "a:65536", "a:1:2", "a:x",
                                        "a:1x",   "a/b", "a:",      "[::1]", "a:999999999999999999999"};
    struct names names;
    names_init(&names, 8470, false);
    assert_true(names_add(&names, "Board.Test"));
    assert_true(names_add(&names, "board.test:9000"));
    names_refresh(&names);
    names_refresh(&names);
    assert_string_equal(names_find(&names, "board.test:8470"), "board.test:8470");
    assert_non_null(names_find(&names, "board.test:9000"));
    assert_null(names_find(&names, "board.test:9001"));
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_false(names_add(&names, wrong[i]));
}

/* A name over the room for it, or more names than there is room for, is refused and harms nothing. */
static void test_no_room(void **state)
{
    (void)state;
    char name[NAMES_HOST_LEN + 8];
    memset(name, 'a', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    struct names names;
    names_init(&names, 8470, false);
    assert_false(names_add(&names, name));
    int added = 0;
    for (int i = 0; i < 2 * NAMES_MAX; i++) {
        (void)snprintf(name, sizeof name, "name%d", i);
        added += names_add(&names, name);
    }
    assert_int_equal(names.count, NAMES_MAX);
    assert_in_range(added, NAMES_MAX / 2, NAMES_MAX - 1);
    names_refresh(&names);
    assert_int_equal(names.count, NAMES_MAX);
    assert_non_null(names_find(&names, "name0:8470"));
}

static void test_origins(void **state)
{
    (void)state;
    static const char *const wrong[] = {"",
                                        "null",
                                        "http://localhost",
                                        "https://localhost:8470",
                                        "ws://localhost:8470",
                                        "http://localhost:8470/",
                                        "http://localhost:84701",
                                        "http://evil.test",
                                        "http://evil.test/http://localhost:8470"};
    struct names names;
    names_init(&names, 8470, false);
    assert_true(names_origin_is(&names, "localhost:8470", "http://localhost:8470"));
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_false(names_origin_is(&names, "localhost:8470", wrong[i]));
}

/* With TLS, 443 is the port that a browser leaves out, and a page that came by plain http is a foreign one. */
static void test_tls(void **state)
{
    (void)state;
    struct names names;
    names_init(&names, 443, true);
    assert_string_equal(names_find(&names, "localhost"), "localhost");
    assert_string_equal(names_find(&names, "localhost:443"), "localhost:443");
    assert_true(names_origin_is(&names, "localhost", "https://localhost"));
    assert_false(names_origin_is(&names, "localhost", "http://localhost"));
    names_init(&names, 80, true);
    assert_null(names_find(&names, "localhost"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_own_hosts),   cmocka_unit_test(test_other_hosts), cmocka_unit_test(test_port_80),
        cmocka_unit_test(test_added_names), cmocka_unit_test(test_no_room),     cmocka_unit_test(test_origins),
        cmocka_unit_test(test_tls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
