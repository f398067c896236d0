/*
 * One pass over the bytes decides everything but duplicates: the grammar, the depth, the numbers, the characters. cJSON
 * then parses a text that is known to be good, and the members of each object are sorted to find one that is there twice.
 */
#include "reader.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The text and how far it has been read. Each scan_ function takes what it is named after, or fills err. */
struct scan {
    const unsigned char *text;
    size_t len;
    size_t pos;
    int depth;
    struct proto_error *err;
};

static bool scan_value(struct scan *scan);

/* Copies as much as fits, and never half a character. */
static void copy_text(char *to, size_t size, const char *from)
{
    size_t len = strlen(from);
    if (len >= size) {
        len = size - 1;
        while (len > 0 && ((unsigned char)from[len] & 0xc0) == 0x80)
            len--;
    }
    memcpy(to, from, len);
    to[len] = '\0';
}

bool proto_error_set(struct proto_error *err, const char *code, const char *at, const char *words)
{
    memset(err, 0, sizeof *err);
    copy_text(err->code, sizeof err->code, code);
    copy_text(err->at, sizeof err->at, at);
    copy_text(err->words, sizeof err->words, words);
    return false;
}

void proto_error_within(struct proto_error *err, const char *step)
{
    char path[2 * sizeof err->at];
    char head[sizeof err->at];
    copy_text(head, sizeof head, step);
    snprintf(path, sizeof path, "%s%s%s", head, err->at[0] != '\0' ? "." : "", err->at);
    copy_text(err->at, sizeof err->at, path);
}

void *json_sure(void *node)
{
    if (node == NULL) {
        fputs("no memory for a JSON value\n", stderr);
        abort();
    }
    return node;
}

static bool fail_at(struct scan *scan, size_t pos, const char *code, const char *words)
{
    char at[32];
    snprintf(at, sizeof at, "byte %zu", pos);
    return proto_error_set(scan->err, code, at, words);
}

static bool not_json(struct scan *scan)
{
    if (scan->pos >= scan->len)
        return fail_at(scan, scan->pos, "not_json", "The text ends too early.");
    return fail_at(scan, scan->pos, "not_json", "This is not JSON.");
}

/* The next byte, or -1 at the end. */
static int peek(const struct scan *scan)
{
    return scan->pos < scan->len ? scan->text[scan->pos] : -1;
}

static bool take(struct scan *scan, int byte)
{
    if (peek(scan) != byte)
        return false;
    scan->pos++;
    return true;
}

static bool is_digit(int byte)
{
    return byte >= '0' && byte <= '9';
}

static void skip_space(struct scan *scan)
{
    while (peek(scan) == ' ' || peek(scan) == '\t' || peek(scan) == '\n' || peek(scan) == '\r')
        scan->pos++;
}

/* The bounds of the second byte keep out overlong forms, surrogates and what lies beyond U+10FFFF (RFC 3629, section 4). */
size_t utf8_len(const unsigned char *at, size_t left)
{
    const unsigned char first = at[0];
    const size_t len = first < 0x80 ? 1 : first < 0xc2 ? 0 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : first < 0xf5 ? 4 : 0;
    if (len == 0 || len > left)
        return 0;
    if (len > 1) {
        const unsigned char low = first == 0xe0 ? 0xa0 : first == 0xf0 ? 0x90 : 0x80;
        const unsigned char high = first == 0xed ? 0x9f : first == 0xf4 ? 0x8f : 0xbf;
        if (at[1] < low || at[1] > high)
            return 0;
    }
    for (size_t i = 2; i < len; i++)
        if ((at[i] & 0xc0) != 0x80)
            return 0;
    return len;
}

static bool check_utf8(struct scan *scan)
{
    for (size_t pos = 0; pos < scan->len;) {
        const size_t len = utf8_len(scan->text + pos, scan->len - pos);
        if (len == 0)
            return fail_at(scan, pos, "utf8", "The text is not valid UTF-8.");
        pos += len;
    }
    return true;
}

static int hex_value(int byte)
{
    if (is_digit(byte))
        return byte - '0';
    if (byte >= 'a' && byte <= 'f')
        return byte - 'a' + 10;
    if (byte >= 'A' && byte <= 'F')
        return byte - 'A' + 10;
    return -1;
}

/* The four digits after \u. */
static bool scan_hex4(struct scan *scan, unsigned *unit)
{
    *unit = 0;
    for (int i = 0; i < 4; i++) {
        const int value = hex_value(peek(scan));
        if (value < 0)
            return not_json(scan);
        *unit = *unit * 16 + (unsigned)value;
        scan->pos++;
    }
    return true;
}

/* What follows \u: one unit, or a high surrogate and its low one. */
static bool scan_unicode_escape(struct scan *scan, size_t start)
{
    unsigned unit = 0;
    unsigned low = 0;
    if (!scan_hex4(scan, &unit))
        return false;
    if (unit == 0)
        return fail_at(scan, start, "bad_form", "A text may not hold the character U+0000.");
    if (unit < 0xd800 || unit > 0xdfff)
        return true;
    if (unit > 0xdbff || !take(scan, '\\') || !take(scan, 'u'))
        return fail_at(scan, start, "utf8", "Half a character stands alone.");
    if (!scan_hex4(scan, &low))
        return false;
    if (low < 0xdc00 || low > 0xdfff)
        return fail_at(scan, start, "utf8", "Half a character stands alone.");
    return true;
}

static bool scan_escape(struct scan *scan, size_t start)
{
    const int byte = peek(scan);
    if (byte <= 0 || strchr("\"\\/bfnrtu", byte) == NULL)
        return not_json(scan);
    scan->pos++;
    return byte == 'u' ? scan_unicode_escape(scan, start) : true;
}

static bool scan_string(struct scan *scan)
{
    if (!take(scan, '"'))
        return not_json(scan);
    while (!take(scan, '"')) {
        const size_t start = scan->pos;
        if (peek(scan) < ' ')
            return not_json(scan);
        if (!take(scan, '\\'))
            scan->pos++;
        else if (!scan_escape(scan, start))
            return false;
    }
    return true;
}

/* RFC 8259 section 6, less the fraction, the exponent, the sign of zero and what a double may not hold. */
static bool scan_number(struct scan *scan)
{
    const size_t start = scan->pos;
    const bool minus = take(scan, '-');
    const size_t digits = scan->pos;
    while (is_digit(peek(scan)))
        scan->pos++;
    const size_t count = scan->pos - digits;
    if (count == 0)
        return not_json(scan);
    if (scan->text[digits] == '0' && count > 1)
        return fail_at(scan, start, "not_json", "A number may not start with a needless 0.");
    if (peek(scan) == '.' || peek(scan) == 'e' || peek(scan) == 'E')
        return fail_at(scan, start, "bad_form", "Only whole numbers without an exponent are used here.");
    if (minus && scan->text[digits] == '0')
        return fail_at(scan, start, "bad_form", "Zero has no sign here.");
    if (count > 15)
        return fail_at(scan, start, "out_of_range", "The number has more than 15 digits.");
    return true;
}

static bool scan_word(struct scan *scan, const char *word)
{
    for (; *word != '\0'; word++)
        if (!take(scan, *word))
            return not_json(scan);
    return true;
}

static bool scan_member(struct scan *scan)
{
    skip_space(scan);
    if (!scan_string(scan))
        return false;
    skip_space(scan);
    if (!take(scan, ':'))
        return not_json(scan);
    return scan_value(scan);
}

/* An object or an array, from its opening bracket on. */
static bool scan_container(struct scan *scan, int close)
{
    if (scan->depth == READER_DEPTH_MAX)
        return fail_at(scan, scan->pos, "too_deep", "The text is nested too deeply.");
    scan->depth++;
    scan->pos++;
    skip_space(scan);
    if (!take(scan, close)) {
        do {
            if (!(close == '}' ? scan_member(scan) : scan_value(scan)))
                return false;
        } while (take(scan, ','));
        if (!take(scan, close))
            return not_json(scan);
    }
    scan->depth--;
    return true;
}

/* A value of any kind and the white space around it. */
static bool scan_value(struct scan *scan)
{
    bool good = false;
    skip_space(scan);
    switch (peek(scan)) {
    case '{': good = scan_container(scan, '}'); break;
    case '[': good = scan_container(scan, ']'); break;
    case '"': good = scan_string(scan); break;
    case 't': good = scan_word(scan, "true"); break;
    case 'f': good = scan_word(scan, "false"); break;
    case 'n': good = scan_word(scan, "null"); break;
    default: /* a byte, not an enum */ good = scan_number(scan); break;
    }
    skip_space(scan);
    return good;
}

static int by_name(const void *a, const void *b)
{
    const char *const *left = a;
    const char *const *right = b;
    return strcmp(*left, *right);
}

/* Sorts the names rather than comparing each with each: a text of one size must not cost the square of it. */
static bool members_unique(const cJSON *object, struct proto_error *err)
{
    const size_t count = (size_t)cJSON_GetArraySize(object);
    const cJSON *node = NULL;
    size_t i = 0;
    if (count < 2)
        return true;
    const char **names = json_sure(calloc(count, sizeof *names));
    cJSON_ArrayForEach(node, object)
    {
        names[i++] = node->string;
    }
    qsort(names, count, sizeof *names, by_name);
    for (i = 1; i < count; i++)
        if (strcmp(names[i - 1], names[i]) == 0)
            break;
    if (i < count)
        proto_error_set(err, "duplicate", names[i], "The same member is there twice.");
    free(names);
    return i == count;
}

static bool all_unique(const cJSON *tree, struct proto_error *err)
{
    const cJSON *node = NULL;
    int index = 0;
    char number[16];
    if (cJSON_IsObject(tree) && !members_unique(tree, err))
        return false;
    cJSON_ArrayForEach(node, tree)
    {
        if (!all_unique(node, err)) {
            snprintf(number, sizeof number, "%d", index);
            proto_error_within(err, node->string != NULL ? node->string : number);
            return false;
        }
        index++;
    }
    return true;
}

cJSON *json_read(const char *text, size_t len, struct proto_error *err)
{
    struct scan scan = {.text = (const unsigned char *)text, .len = len, .err = err};
    if (!check_utf8(&scan) || !scan_value(&scan))
        return NULL;
    if (scan.pos != len) {
        fail_at(&scan, scan.pos, "trailing", "Something follows the end of the text.");
        return NULL;
    }
    cJSON *tree = json_sure(cJSON_ParseWithLengthOpts(text, len, NULL, 0));
    if (!all_unique(tree, err)) {
        cJSON_Delete(tree);
        return NULL;
    }
    return tree;
}

char *json_text(const cJSON *json)
{
    return json_sure(cJSON_PrintUnformatted(json));
}
