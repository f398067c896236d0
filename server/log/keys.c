#include "keys.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

#include "board/check.h"
#include "log/folder.h"

#define FIRST_LINE "sternboard keys 1"
#define LAST_LINE  "end"
#define LETTERS    "0123456789ABCDEFGHJKMNPQRSTVWXYZ" /* Crockford's base 32: no I, L, O, U */
#define NUMBER_MAX 4095

/* A device line is at most 4 + 5 + 20 + 64 bytes and its words; the rest is the head. */
#define LINE_LEN 128
#define FILE_LEN ((LIMIT_DEVICES + 8) * LINE_LEN)

/* ---- making ---- */

static void make_key(char key[KEYS_KEY_LEN + 1])
{
    unsigned char random[KEYS_KEY_LEN];
    CHECK(getrandom(random, sizeof random, 0) == sizeof random);
    for (int i = 0; i < KEYS_KEY_LEN; i++)
        key[i] = LETTERS[random[i] % 32];
    key[KEYS_KEY_LEN] = '\0';
}

/* 60000 is a multiple of 10000, so every number is as likely as every other. */
static void make_helm(char helm[KEYS_HELM_LEN + 1])
{
    uint16_t random = 0;
    do
        CHECK(getrandom(&random, sizeof random, 0) == sizeof random);
    while (random >= 60000);
    (void)snprintf(helm, KEYS_HELM_LEN + 1, "%04d", random % 10000);
}

static void make_keys(struct keys *keys)
{
    memset(keys, 0, sizeof *keys);
    make_key(keys->crew);
    make_key(keys->guest);
    make_helm(keys->helm);
}

/* ---- writing ---- */

static int print_device(char *to, size_t room, const struct keys_device *device)
{
    char hash[65];
    for (int i = 0; i < 32; i++)
        (void)snprintf(&hash[2 * i], 3, "%02x", device->hash[i]);
    return snprintf(to, room, "device %" PRId32 " %s %" PRId64 " %s\n", device->number, source_name(device->from),
                    device->used_utc_ms, hash);
}

enum err keys_save(const char *dir, const struct keys *keys, struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    char *text = malloc(FILE_LEN);
    CHECK(text);
    int len =
        snprintf(text, FILE_LEN, FIRST_LINE "\ncrew %s\nguest %s\nhelm %s\n", keys->crew, keys->guest, keys->helm);
    for (int32_t i = 0; i < keys->device_count; i++)
        len += print_device(text + len, (size_t)(FILE_LEN - len), &keys->devices[i]);
    len += snprintf(text + len, (size_t)(FILE_LEN - len), LAST_LINE "\n");
    CHECK(len < FILE_LEN);
    enum err err = folder_path(dir, KEYS_FILE_NAME, path, why);
    if (err == ERR_NONE)
        err = folder_write(path, text, (size_t)len, why);
    free(text);
    return err;
}

/* ---- reading ---- */

static bool is_made_of(const char *text, size_t len, const char *letters)
{
    return strlen(text) == len && strspn(text, letters) == len;
}

/* A whole number in its shortest form, from 0 to max. */
static bool read_number(const char *text, int64_t max, int64_t *out)
{
    size_t len = strlen(text);
    if (len == 0 || len > 15 || !is_made_of(text, len, "0123456789") || (text[0] == '0' && len > 1))
        return false;
    *out = strtoll(text, NULL, 10);
    return *out <= max;
}

static bool read_hash(const char *text, uint8_t hash[32])
{
    if (!is_made_of(text, 64, "0123456789abcdef"))
        return false;
    for (int i = 0; i < 32; i++) {
        char pair[3] = {text[2 * i], text[2 * i + 1], '\0'};
        hash[i] = (uint8_t)strtoul(pair, NULL, 16);
    }
    return true;
}

static bool is_known(const struct keys *keys, int64_t number)
{
    for (int32_t i = 0; i < keys->device_count; i++)
        if (keys->devices[i].number == number)
            return true;
    return false;
}

/* The words of a device line after its first. */
static bool read_device(char *words, struct keys *keys)
{
    struct keys_device device = {0};
    int64_t number = 0;
    char *rest = words;
    const char *number_word = strsep(&rest, " ");
    const char *from_word = strsep(&rest, " ");
    const char *used_word = strsep(&rest, " ");
    if (!from_word || !used_word || !rest || keys->device_count == LIMIT_DEVICES)
        return false;
    if (!read_number(number_word, NUMBER_MAX, &number) || number == 0 || is_known(keys, number) ||
        !source_find(from_word, &device.from) || !read_number(used_word, INT64_MAX, &device.used_utc_ms) ||
        !read_hash(rest, device.hash))
        return false;
    device.number = (int32_t)number;
    keys->devices[keys->device_count++] = device;
    return true;
}

/* A line "word value" whose value is len letters of a set, copied to to. */
static bool read_word(const char *line, const char *word, size_t len, const char *letters, char *to)
{
    size_t word_len = strlen(word);
    if (strncmp(line, word, word_len) != 0 || line[word_len] != ' ' || !is_made_of(line + word_len + 1, len, letters))
        return false;
    memcpy(to, line + word_len + 1, len + 1);
    return true;
}

/* One line by its number, from 1. */
static bool read_line(char *line, int number, struct keys *keys)
{
    switch (number) {
    case 1: return strcmp(line, FIRST_LINE) == 0;
    case 2: return read_word(line, "crew", KEYS_KEY_LEN, LETTERS, keys->crew);
    case 3: return read_word(line, "guest", KEYS_KEY_LEN, LETTERS, keys->guest);
    case 4: return read_word(line, "helm", KEYS_HELM_LEN, "0123456789", keys->helm);
    default: return strncmp(line, "device ", 7) == 0 && read_device(line + 7, keys);
    }
}

/* The number of the first bad line, or 0. text is changed. */
static int read_text(char *text, struct keys *keys)
{
    int number = 1;
    for (char *end = NULL; (end = strchr(text, '\n')) != NULL; number++) {
        *end = '\0';
        if (number > 4 && strcmp(text, LAST_LINE) == 0)
            return end[1] == '\0' ? 0 : number + 1;
        if (!read_line(text, number, keys))
            return number;
        text = end + 1;
    }
    return number;
}

/* The whole file, ended by NUL, or NULL: then errno says why, EFBIG when it is too long or holds a NUL. */
static char *read_file(const char *path)
{
    int file = open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return NULL;
    char *text = malloc(FILE_LEN + 1);
    CHECK(text);
    size_t len = 0;
    ssize_t part = 0;
    while (len < FILE_LEN && (part = read(file, text + len, FILE_LEN - len)) > 0)
        len += (size_t)part;
    int error = part < 0 ? errno : 0;
    (void)close(file);
    text[len] = '\0';
    if (!error && (len == FILE_LEN || strlen(text) != len))
        error = EFBIG;
    if (error) {
        free(text);
        errno = error;
        return NULL;
    }
    return text;
}

enum err keys_open(const char *dir, struct keys *keys, bool *made, struct msg *why)
{
    char path[FOLDER_PATH_LEN];
    enum err err = folder_path(dir, KEYS_FILE_NAME, path, why);
    if (err != ERR_NONE)
        return err;
    char *text = read_file(path);
    *made = !text && errno == ENOENT;
    if (*made) {
        make_keys(keys);
        return keys_save(dir, keys, why);
    }
    if (!text && errno != EFBIG)
        return err_set(why, ERR_CANNOT_MAKE, "The keys in %s cannot be read (%s). Give this user the right to.", path,
                       strerror(errno));
    memset(keys, 0, sizeof *keys);
    int bad = text ? read_text(text, keys) : 1;
    free(text);
    if (bad)
        return err_set(
            why, ERR_DATA,
            "The keys in %s are damaged at line %d. Move that file away and start again: new keys are made, and "
            "every phone joins anew by its code.",
            path, bad);
    return ERR_NONE;
}
