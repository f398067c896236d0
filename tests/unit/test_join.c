/* The way in: addresses, links, and the code on the terminal. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "join.h"

#define MODULES_MAX 120

struct picture {
    int width, height;
    bool dark[MODULES_MAX][MODULES_MAX];
};

/* What the eye sees: each character an upper and a lower module. inked_dark: ink is dark. */
static struct picture read_code(const char *text, bool colour)
{
    char *printed = NULL;
    size_t len = 0;
    FILE *out = open_memstream(&printed, &len);
    assert_non_null(out);
    join_code(out, text, colour);
    (void)fclose(out);
    struct picture picture = {0};
    int x = 0;
    for (const char *at = printed; *at;) {
        static const char *const halves[] = {" ", "▄", "▀", "█"};
        size_t which = 0;
        if (*at == '\033') {
            at = strchr(at, 'm') + 1;
            continue;
        }
        if (*at == '\n') {
            picture.width = x;
            picture.height += 2;
            x = 0;
            at++;
            continue;
        }
        while (which < 3 && strncmp(at, halves[which], strlen(halves[which])) != 0)
            which++;
        assert_memory_equal(at, halves[which], strlen(halves[which]));
        assert_true(x < MODULES_MAX && picture.height + 1 < MODULES_MAX);
        picture.dark[picture.height][x] = ((which & 2) != 0) == colour;
        picture.dark[picture.height + 1][x] = ((which & 1) != 0) == colour;
        x++;
        at += strlen(halves[which]);
    }
    free(printed);
    return picture;
}

/* ISO/IEC 18004: a finder is a 7 by 7 ring around a 3 by 3 square; four light modules lie around the whole code. */
static bool is_finder(const struct picture *picture, int top, int left)
{
    for (int y = 0; y < 7; y++)
        for (int x = 0; x < 7; x++) {
            bool ring = y == 0 || y == 6 || x == 0 || x == 6;
            bool core = y >= 2 && y <= 4 && x >= 2 && x <= 4;
            if (picture->dark[top + y][left + x] != (ring || core))
                return false;
        }
    return true;
}

static void check_code(bool colour)
{
    struct picture picture = read_code("http://192.168.1.20:8470/#k=7Q2M0ZK8T3V5XJ4N6R9WBYCDEF", colour);
    int modules = picture.width - 8;
    assert_int_equal(modules % 4, 1); /* 17 + 4 times the version */
    assert_true(picture.height >= picture.width);
    for (int i = 0; i < picture.width; i++)
        for (int edge = 0; edge < 4; edge++) {
            assert_false(picture.dark[edge][i]);
            assert_false(picture.dark[i][edge]);
            assert_false(picture.dark[modules + 4 + edge][i]);
            assert_false(picture.dark[i][modules + 4 + edge]);
        }
    assert_true(is_finder(&picture, 4, 4));
    assert_true(is_finder(&picture, 4, 4 + modules - 7));
    assert_true(is_finder(&picture, 4 + modules - 7, 4));
    assert_false(is_finder(&picture, 4 + modules - 7, 4 + modules - 7));
}

static void test_code(void **state)
{
    (void)state;
    check_code(true);
    check_code(false);
}

static void test_link(void **state)
{
    (void)state;
    char link[JOIN_LINK_LEN];
    const struct join_place place = {false, "192.168.1.20", 8470}, v6 = {false, "fd00::1", 80},
                            tls = {true, "boat.local", 8470}, elsewhere = {true, "boat.example:443", 8470};
    join_link(link, &place, "/", "KEY");
    assert_string_equal(link, "http://192.168.1.20:8470/#k=KEY");
    join_link(link, &v6, "/helm", "");
    assert_string_equal(link, "http://[fd00::1]:80/helm");
    join_link(link, &tls, "/guest", "KEY");
    assert_string_equal(link, "https://boat.local:8470/guest#k=KEY");
    join_link(link, &elsewhere, "/", "KEY");
    assert_string_equal(link, "https://boat.example:443/#k=KEY");
}

static void test_addresses(void **state)
{
    (void)state;
    char addresses[4][JOIN_ADDRESS_LEN];
    int32_t count = join_addresses(addresses, 4);
    assert_in_range(count, 1, 4);
    for (int32_t i = 0; i < count; i++)
        assert_int_equal(strspn(addresses[i], "0123456789."), strlen(addresses[i]));
    assert_int_equal(join_addresses(addresses, 1), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_code),
        cmocka_unit_test(test_link),
        cmocka_unit_test(test_addresses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
