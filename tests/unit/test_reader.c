/* The strict reader: what it takes, what it turns down and with which word, byte by byte. */
#include "reader.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct bad_text {
    const char *text;
    const char *code;
    const char *at;
};

/* The text lies at the very end of its own allocation, so that a sanitizer sees a read beyond it. */
static cJSON *read_bytes(const char *text, size_t len, struct proto_error *err)
{
    char *copy = malloc(len > 0 ? len : 1);
    assert_non_null(copy);
    memcpy(copy, text, len);
    cJSON *json = json_read(copy, len, err);
    free(copy);
    return json;
}

static void takes(const char *text, const char *printed)
{
    struct proto_error err = {.code = "untouched"};
    cJSON *json = read_bytes(text, strlen(text), &err);
    if (json == NULL)
        fail_msg("%s: %s at %s", text, err.code, err.at);
    char *out = cJSON_PrintUnformatted(json);
    assert_string_equal(out, printed);
    assert_string_equal(err.code, "untouched");
    free(out);
    cJSON_Delete(json);
}

static void refuses_bytes(const char *text, size_t len, const char *code, const char *at)
{
    struct proto_error err = {0};
    cJSON *json = read_bytes(text, len, &err);
    if (json != NULL)
        fail_msg("%s: was taken, not %s", text, code);
    if (strcmp(err.code, code) != 0 || strcmp(err.at, at) != 0)
        fail_msg("%s: %s at %s, not %s at %s", text, err.code, err.at, code, at);
    assert_int_not_equal(err.words[0], '\0');
}

static void refuses_all(const struct bad_text *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        refuses_bytes(list[i].text, strlen(list[i].text), list[i].code, list[i].at);
}

#define REFUSES(...)                                     \
    do {                                                 \
        const struct bad_text list[] = {__VA_ARGS__};    \
        refuses_all(list, sizeof list / sizeof list[0]); \
    } while (0)

static void test_values(void **state)
{
    (void)state;
    takes("{}", "{}");
    takes(" \t\r\n[ ] \n", "[]");
    takes("null", "null");
    takes("true", "true");
    takes("false", "false");
    takes("\"\"", "\"\"");
    takes("{\"a\":[1,{\"b\":null}],\"c\":\"d\"}", "{\"a\":[1,{\"b\":null}],\"c\":\"d\"}");
    takes("{ \"a\" : 1 , \"A\" : 2 }", "{\"a\":1,\"A\":2}");
}

static void test_numbers(void **state)
{
    (void)state;
    takes("0", "0");
    takes("-1", "-1");
    takes("999999999999999", "999999999999999");
    takes("-999999999999999", "-999999999999999");
    REFUSES({"1000000000000000", "out_of_range", "byte 0"}, {"-1000000000000000", "out_of_range", "byte 0"},
            {"[9007199254740993]", "out_of_range", "byte 1"}, {"[01]", "not_json", "byte 1"},
            {"-01", "not_json", "byte 0"}, {"1.0", "bad_form", "byte 0"}, {"1e3", "bad_form", "byte 0"},
            {"1E3", "bad_form", "byte 0"}, {"1e400", "bad_form", "byte 0"}, {"-0", "bad_form", "byte 0"},
            {"-", "not_json", "byte 1"}, {"+1", "not_json", "byte 0"}, {".5", "not_json", "byte 0"},
            {"NaN", "not_json", "byte 0"}, {"-Infinity", "not_json", "byte 1"}, {"0x10", "trailing", "byte 1"});
}

/* The escapes of RFC 8785, 3.2.2.2, which are those of JSON.stringify. */
static void test_texts(void **state)
{
    (void)state;
    takes("\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"", "\"\\\"\\\\/\\b\\f\\n\\r\\t\"");
    takes("\"\\u0001\\u001F\\u007f\\u00e9\\u2028\"", "\"\\u0001\\u001f\x7f\xc3\xa9\xe2\x80\xa8\"");
    takes("\"\\uD83D\\uDE00\"", "\"\xf0\x9f\x98\x80\"");
    takes("\"\xed\x9f\xbf\xee\x80\x80\xef\xbf\xbf\xf4\x8f\xbf\xbf\"",
          "\"\xed\x9f\xbf\xee\x80\x80\xef\xbf\xbf\xf4\x8f\xbf\xbf\"");
    REFUSES({"\"\\u0000\"", "bad_form", "byte 1"}, {"{\"a\\u0000\":1}", "bad_form", "byte 3"},
            {"\"\\ud800\"", "utf8", "byte 1"}, {"\"\\ud800x\"", "utf8", "byte 1"}, {"\"\\ud800\\n\"", "utf8", "byte 1"},
            {"\"\\ud800\\u0041\"", "utf8", "byte 1"}, {"\"\\udc00\\ud800\"", "utf8", "byte 1"},
            {"\"\\ud800\\u12\"", "not_json", "byte 11"}, {"\"\\u12g4\"", "not_json", "byte 5"},
            {"\"\\x41\"", "not_json", "byte 2"}, {"\"a\nb\"", "not_json", "byte 2"}, {"\"a\tb\"", "not_json", "byte 2"},
            {"\"a\x1f\"", "not_json", "byte 2"}, {"\"abc", "not_json", "byte 4"}, {"\"abc\\", "not_json", "byte 5"},
            {"'a'", "not_json", "byte 0"});
}

/* RFC 3629: overlong forms, surrogates, beyond U+10FFFF, and characters cut short. */
static void test_utf8(void **state)
{
    (void)state;
    REFUSES({"\"\x80\"", "utf8", "byte 1"}, {"\"\xc0\x80\"", "utf8", "byte 1"}, {"\"\xc1\xbf\"", "utf8", "byte 1"},
            {"\"\xe0\x9f\xbf\"", "utf8", "byte 1"}, {"\"\xf0\x8f\xbf\xbf\"", "utf8", "byte 1"},
            {"\"\xed\xa0\x80\"", "utf8", "byte 1"}, {"\"\xf4\x90\x80\x80\"", "utf8", "byte 1"},
            {"\"\xf5\x80\x80\x80\"", "utf8", "byte 1"}, {"\"\xff\"", "utf8", "byte 1"}, {"\"\xc3\"", "utf8", "byte 1"},
            {"\"\xe2\x82\"", "utf8", "byte 1"}, {"\"\xe2\x82", "utf8", "byte 1"}, {"{} \xfe", "utf8", "byte 3"});
}

static void test_nul(void **state)
{
    (void)state;
    refuses_bytes("\"a\0b\"", 5, "not_json", "byte 2");
    refuses_bytes("{\0}", 3, "not_json", "byte 1");
    refuses_bytes("{}\0", 3, "trailing", "byte 2");
    refuses_bytes("", 0, "not_json", "byte 0");
}

static void test_shape(void **state)
{
    (void)state;
    REFUSES({" ", "not_json", "byte 1"}, {"{", "not_json", "byte 1"}, {"{\"a\"", "not_json", "byte 4"},
            {"{\"a\":", "not_json", "byte 5"}, {"{\"a\":1", "not_json", "byte 6"}, {"{\"a\":1,", "not_json", "byte 7"},
            {"{\"a\":1,}", "not_json", "byte 7"}, {"{a:1}", "not_json", "byte 1"}, {"{1:1}", "not_json", "byte 1"},
            {"[1,]", "not_json", "byte 3"}, {"[1 2]", "not_json", "byte 3"}, {"[1}", "not_json", "byte 2"},
            {"tru", "not_json", "byte 3"}, {"True", "not_json", "byte 0"}, {"nul1", "not_json", "byte 3"},
            {"/**/1", "not_json", "byte 0"}, {"\xef\xbb\xbf{}", "not_json", "byte 0"}, {"{}\f", "trailing", "byte 2"},
            {"{} x", "trailing", "byte 3"}, {"{}{}", "trailing", "byte 2"}, {"1 2", "trailing", "byte 2"});
}

static void test_duplicates(void **state)
{
    (void)state;
    takes("[{\"a\":1},{\"a\":1}]", "[{\"a\":1},{\"a\":1}]");
    REFUSES({"{\"a\":1,\"a\":1}", "duplicate", "a"}, {"{\"a\":1,\"b\":2,\"\\u0061\":3}", "duplicate", "a"},
            {"{\"x\":{\"y\":[0,{\"z\":1,\"z\":2}]}}", "duplicate", "x.y.1.z"});
}

static void test_depth(void **state)
{
    char text[64] = {0};
    struct proto_error err;
    (void)state;
    memset(text, '[', READER_DEPTH_MAX);
    memset(text + READER_DEPTH_MAX, ']', READER_DEPTH_MAX);
    cJSON *json = read_bytes(text, strlen(text), &err);
    assert_non_null(json);
    cJSON_Delete(json);
    memset(text, '[', READER_DEPTH_MAX + 1);
    refuses_bytes(text, READER_DEPTH_MAX + 1, "too_deep", "byte 12");
    refuses_bytes("[[],{\"a\":[[[[[[[[[[[1]]]]]]]]]]]}]", 34, "too_deep", "byte 19");
}

/* A hundred thousand brackets must not become a hundred thousand calls; as many members must not be compared in pairs. */
static void test_large(void **state)
{
    enum { MEMBERS = 100000, ROOM = 1600000 };
    struct proto_error err;
    char *text = malloc(ROOM);
    size_t len = 0;
    (void)state;
    assert_non_null(text);
    memset(text, '{', MEMBERS);
    refuses_bytes(text, MEMBERS, "not_json", "byte 1");
    memset(text, '[', MEMBERS);
    refuses_bytes(text, MEMBERS, "too_deep", "byte 12");
    for (int i = 0; i < MEMBERS; i++)
        len += (size_t)snprintf(text + len, ROOM - len, "%c\"k%d\":1", i == 0 ? '{' : ',', i);
    text[len++] = '}';
    cJSON *json = json_read(text, len, &err);
    assert_non_null(json);
    assert_int_equal(cJSON_GetArraySize(json), MEMBERS);
    cJSON_Delete(json);
    free(text);
}

/* A name from outside ends up in the answer: it is cut where a character ends. */
static void test_long_path(void **state)
{
    char text[256];
    struct proto_error err = {0};
    (void)state;
    snprintf(text, sizeof text, "{\"%s\":{\"b\":1,\"b\":1}}",
             "a\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
             "\xc3\xa9\xc3\xa9\xc3\xa9");
    assert_null(json_read(text, strlen(text), &err));
    assert_string_equal(err.code, "duplicate");
    assert_int_equal(strlen(err.at), sizeof err.at - 1);
    assert_int_equal((unsigned char)err.at[sizeof err.at - 2], 0xa9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),     cmocka_unit_test(test_numbers), cmocka_unit_test(test_texts),
        cmocka_unit_test(test_utf8),       cmocka_unit_test(test_nul),     cmocka_unit_test(test_shape),
        cmocka_unit_test(test_duplicates), cmocka_unit_test(test_depth),   cmocka_unit_test(test_large),
        cmocka_unit_test(test_long_path),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
