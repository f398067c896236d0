/*
 * The vectors of the real protocol, which the pages' tests read as well (tests/web/vectors.test.mjs).
 *
 * good.json: what may be sent, and the one canonical text it comes back as, byte for byte.
 * bad.json:  what is turned down, with the code and the place that the answer names.
 *
 * The quick reader (decode.h) is held against the strict one on all of them: what it takes, the strict one takes as well, to the
 * same canonical text.
 */
#include "codec.h"
#include "proto_json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static cJSON *read_file(const char *path)
{
    enum { ROOM = 1 << 20 };
    struct proto_error err = {0};
    char *text = malloc(ROOM);
    FILE *file = fopen(path, "rb");
    if (text == NULL || file == NULL) {
        perror(path);
        exit(EXIT_FAILURE);
    }
    const size_t len = fread(text, 1, ROOM, file);
    cJSON *json = json_read(text, len, &err);
    fclose(file);
    free(text);
    if (json == NULL) {
        fprintf(stderr, "%s: %s at %s\n", path, err.code, err.at);
        exit(EXIT_FAILURE);
    }
    return json;
}

static const char *text_of(const cJSON *vector, const char *name)
{
    const char *text = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(vector, name));
    assert_non_null(text);
    return text;
}

/* Reads the tree as what the vector says it is; *again, when not NULL, becomes the tree written from the struct. */
static bool read_as(const char *as, const cJSON *json, cJSON **again, struct proto_error *err)
{
    struct msg_up_any up;
    struct msg_down_any down;
    struct entry entry;
    struct board board;
    bool good = false;
    cJSON *made = NULL;
    if (strcmp(as, "up") == 0 && (good = msg_up_from_json(json, &up, err)))
        made = msg_up_to_json(&up);
    else if (strcmp(as, "down") == 0 && (good = msg_down_from_json(json, &down, err)))
        made = msg_down_to_json(&down);
    else if (strcmp(as, "entry") == 0 && (good = entry_from_json(json, &entry, err)))
        made = entry_to_json(&entry);
    else if (strcmp(as, "board") == 0 && (good = board_from_json(json, &board, err)))
        made = board_to_json(&board);
    *again = made;
    return good;
}

/* Reads the text the quick way, over memory that is not zero, and writes what came of it. false: not taken. */
static bool quick_as(const char *as, const char *text, size_t len, struct json_out *out)
{
    struct msg_up_any up;
    struct entry entry;
    memset(&up, 0x55, sizeof up);
    memset(&entry, 0x55, sizeof entry);
    if (strcmp(as, "entry") == 0 && entry_decode(text, len, &entry)) {
        entry_encode(&entry, out);
        return true;
    }
    if (strcmp(as, "up") != 0 || !msg_up_decode(text, len, &up))
        return false;
    cJSON *json = msg_up_to_json(&up);
    char *written = json_text(json);
    json_out_bytes(out, written, strlen(written));
    free(written);
    cJSON_Delete(json);
    return true;
}

/* again: what the strict way made of the text; NULL when it turned it down. Returns whether the quick way took it. */
static bool quick_agrees(const char *as, const char *text, size_t len, const cJSON *again)
{
    struct json_out out = {0};
    const bool taken = quick_as(as, text, len, &out);
    if (taken) {
        if (again == NULL)
            fail_msg("only the quick reader takes %.*s", (int)len, text);
        char *written = json_text(again);
        assert_string_equal(json_out_end(&out), written);
        free(written);
    }
    json_out_release(&out);
    return taken;
}

/* Is the text one that the quick reader must take? */
static bool is_quick(const char *as, const char *text)
{
    return (strcmp(as, "up") == 0 || strcmp(as, "entry") == 0) && strchr(text, '\\') == NULL;
}

static void comes_back(const char *name, const char *as, const char *text, const char *canonical)
{
    struct proto_error err = {0};
    cJSON *again = NULL;
    cJSON *json = json_read(text, strlen(text), &err);
    if (json == NULL || !read_as(as, json, &again, &err))
        fail_msg("%s: %s at %s: %s", name, err.code, err.at, err.words);
    if (quick_agrees(as, text, strlen(text), again) != is_quick(as, text))
        fail_msg("%s: the quick reader turned down or took %s", name, text);
    char *written = json_text(again);
    if (strcmp(written, canonical) != 0)
        fail_msg("%s:\n%s\nis not\n%s", name, written, canonical);
    free(written);
    cJSON_Delete(again);
    cJSON_Delete(json);
}

/* As it was given, and as it is written: what is canonical already does not change again. */
static void test_good(void **state)
{
    const cJSON *good_vectors = *state;
    const cJSON *vector = NULL;
    assert_true(cJSON_GetArraySize(good_vectors) >= 40);
    cJSON_ArrayForEach(vector, good_vectors)
    {
        const char *name = text_of(vector, "name");
        const char *canonical = text_of(vector, "canonical");
        char *given = json_text(cJSON_GetObjectItemCaseSensitive(vector, "message"));
        comes_back(name, text_of(vector, "as"), given, canonical);
        comes_back(name, text_of(vector, "as"), canonical, canonical);
        free(given);
    }
}

/* The bytes of a vector's text or hex; the caller frees them. */
static char *bytes_of(const cJSON *vector, size_t *len)
{
    const char *hex = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(vector, "hex"));
    if (hex == NULL) {
        *len = strlen(text_of(vector, "text"));
        return strdup(text_of(vector, "text"));
    }
    *len = strlen(hex) / 2;
    char *bytes = malloc(*len + 1);
    assert_non_null(bytes);
    for (size_t i = 0; i < *len; i++) {
        const char pair[] = {hex[2 * i], hex[2 * i + 1], '\0'};
        bytes[i] = (char)strtol(pair, NULL, 16);
    }
    return bytes;
}

static void test_bad(void **state)
{
    const cJSON *bad_vectors = *state;
    const cJSON *vector = NULL;
    assert_true(cJSON_GetArraySize(bad_vectors) >= 40);
    cJSON_ArrayForEach(vector, bad_vectors)
    {
        const char *name = text_of(vector, "name");
        struct proto_error err = {0};
        size_t len = 0;
        cJSON *again = NULL;
        char *bytes = bytes_of(vector, &len);
        cJSON *json = json_read(bytes, len, &err);
        if (json != NULL && read_as(text_of(vector, "as"), json, &again, &err))
            fail_msg("%s: was taken", name);
        assert_false(quick_agrees(text_of(vector, "as"), bytes, len, NULL));
        if (strcmp(err.code, text_of(vector, "code")) != 0 || strcmp(err.at, text_of(vector, "at")) != 0)
            fail_msg("%s: %s at %s, not %s at %s", name, err.code, err.at, text_of(vector, "code"),
                     text_of(vector, "at"));
        assert_int_not_equal(err.words[0], '\0');
        cJSON_Delete(json);
        free(bytes);
    }
}

/* Every byte of every good text, changed in turn: whatever comes of it, it is an answer, and never a crash. */
static void test_one_byte_wrong(void **state)
{
    const cJSON *good_vectors = *state;
    const cJSON *vector = NULL;
    size_t refused = 0, taken_quickly = 0;
    cJSON_ArrayForEach(vector, good_vectors)
    {
        const char *canonical = text_of(vector, "canonical");
        const size_t len = strlen(canonical);
        for (size_t i = 0; i < len; i++) {
            struct proto_error err = {0};
            cJSON *again = NULL;
            char *text = strdup(canonical);
            assert_non_null(text);
            text[i] = (char)(text[i] ^ (i % 3 == 0 ? 0x80 : i % 3 == 1 ? 0x20 : 0x01));
            cJSON *json = json_read(text, len, &err);
            if (json == NULL || !read_as(text_of(vector, "as"), json, &again, &err)) {
                assert_int_not_equal(err.code[0], '\0');
                refused++;
            }
            taken_quickly += quick_agrees(text_of(vector, "as"), text, len, again);
            cJSON_Delete(again);
            cJSON_Delete(json);
            free(text);
        }
    }
    assert_true(refused > 5000);
    assert_true(taken_quickly > 1000);
}

int main(int argc, char **argv)
{
    if (argc != 3) {
        fputs("usage: test_vectors GOOD BAD\n", stderr);
        return EXIT_FAILURE;
    }
    cJSON *good = read_file(argv[1]);
    cJSON *bad = read_file(argv[2]);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(test_good, good),
        cmocka_unit_test_prestate(test_bad, bad),
        cmocka_unit_test_prestate(test_one_byte_wrong, good),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    cJSON_Delete(good);
    cJSON_Delete(bad);
    return failed;
}
