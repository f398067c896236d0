/* The keys: made once, read back the same, and nothing malformed is taken. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sys/stat.h>
#include <unistd.h>

#include "log/keys.h"
#include "log_support.h"

#define LETTERS "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
#define CREW    "7Q2M0ZK8T3V5XJ4N6R9WBYCDEF"
#define GUEST   "0123456789ABCDEFGHJKMNPQRS"
#define HASH    "000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f"
#define HEAD    "sternboard keys 1\ncrew " CREW "\nguest " GUEST "\nhelm 0417\n"

struct fixture {
    char *dir;
    struct keys *keys; /* two of them */
};

static int start(void **state)
{
    struct fixture *fixture = calloc(1, sizeof *fixture);
    assert_non_null(fixture);
    fixture->dir = scratch_make();
    fixture->keys = calloc(2, sizeof *fixture->keys);
    assert_non_null(fixture->keys);
    *state = fixture;
    return 0;
}

static int stop(void **state)
{
    struct fixture *fixture = *state;
    scratch_remove(fixture->dir);
    free(fixture->keys);
    free(fixture);
    return 0;
}

static void write_keys(const char *dir, const char *text, size_t len)
{
    char *path = scratch_path(dir, "keys");
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, len, file), len);
    assert_int_equal(fclose(file), 0);
    free(path);
}

static void test_keys_are_made_once(void **state)
{
    struct fixture *fixture = *state;
    struct keys *keys = fixture->keys;
    struct msg why = {""};
    struct stat facts;
    bool made = false;
    assert_int_equal(keys_open(fixture->dir, &keys[0], &made, &why), ERR_NONE);
    assert_true(made);
    assert_int_equal(strlen(keys->crew), KEYS_KEY_LEN);
    assert_int_equal(strspn(keys->crew, LETTERS), KEYS_KEY_LEN);
    assert_int_equal(strspn(keys->guest, LETTERS), KEYS_KEY_LEN);
    assert_string_not_equal(keys->crew, keys->guest);
    assert_int_equal(strlen(keys->helm), KEYS_HELM_LEN);
    assert_int_equal(strspn(keys->helm, "0123456789"), KEYS_HELM_LEN);
    assert_int_equal(keys->device_count, 0);
    assert_int_equal(keys_open(fixture->dir, &keys[1], &made, &why), ERR_NONE);
    assert_false(made);
    assert_memory_equal(&keys[0], &keys[1], sizeof *keys);
    char *path = scratch_path(fixture->dir, "keys");
    assert_int_equal(stat(path, &facts), 0);
    assert_int_equal(facts.st_mode & 0777, 0600);
    free(path);
}

static void test_two_boats_have_different_keys(void **state)
{
    struct fixture *fixture = *state;
    struct msg why = {""};
    bool made = false;
    char *other = scratch_make();
    assert_int_equal(keys_open(fixture->dir, &fixture->keys[0], &made, &why), ERR_NONE);
    assert_int_equal(keys_open(other, &fixture->keys[1], &made, &why), ERR_NONE);
    assert_string_not_equal(fixture->keys[0].crew, fixture->keys[1].crew);
    assert_string_not_equal(fixture->keys[0].guest, fixture->keys[1].guest);
    scratch_remove(other);
}

static void test_as_many_devices_as_there_may_be(void **state)
{
    struct fixture *fixture = *state;
    struct keys *keys = fixture->keys;
    struct msg why = {""};
    bool made = false;
    assert_int_equal(keys_open(fixture->dir, &keys[0], &made, &why), ERR_NONE);
    keys->device_count = LIMIT_DEVICES;
    for (int32_t i = 0; i < LIMIT_DEVICES; i++) {
        struct keys_device *device = &keys->devices[i];
        device->number = 4095 - i;
        device->from = (enum source)(i % SOURCE_COUNT_);
        device->used_utc_ms = i == 0 ? 999999999999999 : 1767225600000 + i;
        for (int k = 0; k < 32; k++)
            device->hash[k] = (uint8_t)(i * 31 + k * 7);
    }
    assert_int_equal(keys_save(fixture->dir, &keys[0], &why), ERR_NONE);
    assert_int_equal(keys_open(fixture->dir, &keys[1], &made, &why), ERR_NONE);
    assert_memory_equal(&keys[0], &keys[1], sizeof *keys);
}

static void test_a_file_by_hand(void **state)
{
    struct fixture *fixture = *state;
    static const char text[] = HEAD "device 12 crew 1767225600000 " HASH "\ndevice 3 guest 0 " HASH "\nend\n";
    struct msg why = {""};
    bool made = false;
    write_keys(fixture->dir, text, sizeof text - 1);
    if (keys_open(fixture->dir, fixture->keys, &made, &why) != ERR_NONE)
        fail_msg("%s", why.text);
    assert_string_equal(fixture->keys->crew, CREW);
    assert_string_equal(fixture->keys->guest, GUEST);
    assert_string_equal(fixture->keys->helm, "0417");
    assert_int_equal(fixture->keys->device_count, 2);
    const struct keys_device *device = &fixture->keys->devices[0];
    assert_int_equal(device->number, 12);
    assert_int_equal(device->from, SOURCE_CREW);
    assert_int_equal(device->used_utc_ms, 1767225600000);
    assert_int_equal(device->hash[0], 0);
    assert_int_equal(device->hash[31], 0x1f);
}

struct bad {
    int line;
    const char *text;
};

static void test_nothing_malformed_is_taken(void **state)
{
    static const struct bad bads[] = {
        {1, ""},
        {1, "sternboard keys 2\n"},
        {2, "sternboard keys 1\n"},
        {2, "sternboard keys 1\ncrew short\n"},
        {2, "sternboard keys 1\ncrew " CREW "X\n"},
        {2, "sternboard keys 1\ncrew 7q2m0zk8t3v5xj4n6r9wbycdef\n"},
        {2, "sternboard keys 1\nguest " GUEST "\ncrew " CREW "\nhelm 0417\nend\n"},
        {4, "sternboard keys 1\ncrew " CREW "\nguest " GUEST "\nhelm 417\nend\n"},
        {4, "sternboard keys 1\ncrew " CREW "\nguest " GUEST "\nend\n"},
        {5, HEAD},
        {5, HEAD "end"},
        {6, HEAD "end\n\n"},
        {6, HEAD "end\nend\n"},
        {5, HEAD "\nend\n"},
        {5, HEAD "device\nend\n"},
        {5, HEAD "device \nend\n"},
        {5, HEAD "device 0 crew 0 " HASH "\nend\n"},
        {5, HEAD "device 4096 crew 0 " HASH "\nend\n"},
        {5, HEAD "device 012 crew 0 " HASH "\nend\n"},
        {5, HEAD "device -1 crew 0 " HASH "\nend\n"},
        {5, HEAD "device 1 captain 0 " HASH "\nend\n"},
        {5, HEAD "device 1 crew  " HASH "\nend\n"},
        {5, HEAD "device 1 crew 9999999999999999 " HASH "\nend\n"},
        {5, HEAD "device 1 crew 0 " HASH "0\nend\n"},
        {5, HEAD "device 1 crew 0 " HASH " \nend\n"},
        {5, HEAD "device 1 crew 0 0001\nend\n"},
        {6, HEAD "device 1 crew 0 " HASH "\ndevice 1 crew 0 " HASH "\nend\n"},
        {6, HEAD "device 1 crew 0 " HASH "\n"},
    };
    struct fixture *fixture = *state;
    for (size_t i = 0; i < sizeof bads / sizeof bads[0]; i++) {
        struct msg why = {""};
        char words[40];
        bool made = false;
        write_keys(fixture->dir, bads[i].text, strlen(bads[i].text));
        (void)snprintf(words, sizeof words, "damaged at line %d.", bads[i].line);
        if (keys_open(fixture->dir, fixture->keys, &made, &why) != ERR_DATA || !strstr(why.text, words))
            fail_msg("\"%s\": %s", bads[i].text, why.text);
        assert_false(made);
    }
}

static void test_a_nul_or_a_long_file_is_damaged(void **state)
{
    static const char text[] = HEAD "end\n\0";
    struct fixture *fixture = *state;
    struct msg why = {""};
    bool made = false;
    write_keys(fixture->dir, text, sizeof text - 1);
    assert_int_equal(keys_open(fixture->dir, fixture->keys, &made, &why), ERR_DATA);
    size_t len = 1000000;
    char *large = malloc(len);
    assert_non_null(large);
    memset(large, '\n', len);
    memcpy(large, HEAD, strlen(HEAD));
    write_keys(fixture->dir, large, len);
    assert_int_equal(keys_open(fixture->dir, fixture->keys, &made, &why), ERR_DATA);
    free(large);
}

/* The old file stands when the new one cannot be written. */
static void test_a_failed_save_leaves_the_old_keys(void **state)
{
    struct fixture *fixture = *state;
    struct keys *keys = fixture->keys;
    struct msg why = {""};
    bool made = false;
    assert_int_equal(keys_open(fixture->dir, &keys[0], &made, &why), ERR_NONE);
    char *in_the_way = scratch_path(fixture->dir, "keys.new");
    assert_int_equal(mkdir(in_the_way, 0700), 0);
    keys[1] = keys[0];
    memcpy(keys[1].helm, "0000", 5);
    assert_int_equal(keys_save(fixture->dir, &keys[1], &why), ERR_IO);
    assert_non_null(strstr(why.text, "could not be saved"));
    assert_int_equal(keys_open(fixture->dir, &keys[1], &made, &why), ERR_NONE);
    assert_memory_equal(&keys[0], &keys[1], sizeof *keys);
    free(in_the_way);
}

static void test_keys_that_cannot_be_read_are_not_made_anew(void **state)
{
    struct fixture *fixture = *state;
    struct msg why = {""};
    bool made = true;
    char *path = scratch_path(fixture->dir, "keys");
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(keys_open(fixture->dir, fixture->keys, &made, &why), ERR_CANNOT_MAKE);
    assert_false(made);
    assert_non_null(strstr(why.text, "cannot be read"));
    free(path);
}

int main(void)
{
#define IN_DIR(test) cmocka_unit_test_setup_teardown(test, start, stop)
    const struct CMUnitTest tests[] = {
        IN_DIR(test_keys_are_made_once),
        IN_DIR(test_two_boats_have_different_keys),
        IN_DIR(test_as_many_devices_as_there_may_be),
        IN_DIR(test_a_file_by_hand),
        IN_DIR(test_nothing_malformed_is_taken),
        IN_DIR(test_a_nul_or_a_long_file_is_damaged),
        IN_DIR(test_a_failed_save_leaves_the_old_keys),
        IN_DIR(test_keys_that_cannot_be_read_are_not_made_anew),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
