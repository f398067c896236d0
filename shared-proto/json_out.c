#include "json_out.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "reader.h"

enum { FIRST_ROOM = 512 };

/* Room for more bytes than there are, and where they go. */
static char *make_room(struct json_out *out, size_t more)
{
    if (out->room - out->len < more) {
        size_t room = out->room > 0 ? out->room : FIRST_ROOM;
        while (room - out->len < more)
            room *= 2;
        out->text = json_sure(realloc(out->text, room));
        out->room = room;
    }
    return out->text + out->len;
}

void json_out_reset(struct json_out *out)
{
    out->len = 0;
}

void json_out_release(struct json_out *out)
{
    free(out->text);
    *out = (struct json_out){0};
}

void json_out_bytes(struct json_out *out, const char *bytes, size_t len)
{
    memcpy(make_room(out, len), bytes, len);
    out->len += len;
}

void json_out_byte(struct json_out *out, char byte)
{
    *make_room(out, 1) = byte;
    out->len++;
}

void json_out_number(struct json_out *out, int64_t number)
{
    char digits[24];
    size_t at = sizeof digits;
    uint64_t left = number < 0 ? 0 - (uint64_t)number : (uint64_t)number;
    do {
        digits[--at] = (char)('0' + left % 10);
        left /= 10;
    } while (left > 0);
    if (number < 0)
        digits[--at] = '-';
    json_out_bytes(out, digits + at, sizeof digits - at);
}

static bool is_plain(unsigned char byte)
{
    return byte >= ' ' && byte != '"' && byte != '\\';
}

static void escape(struct json_out *out, unsigned char byte)
{
    static const char from[] = "\"\\\b\f\n\r\t", to[] = "\"\\bfnrt", digit[] = "0123456789abcdef";
    const char *known = strchr(from, byte);
    json_out_byte(out, '\\');
    if (known != NULL) {
        json_out_byte(out, to[known - from]);
        return;
    }
    json_out_bytes(out, "u00", 3);
    json_out_byte(out, digit[byte >> 4]);
    json_out_byte(out, digit[byte & 15]);
}

void json_out_string(struct json_out *out, const char *string)
{
    json_out_byte(out, '"');
    while (*string != '\0') {
        size_t plain = 0;
        while (is_plain((unsigned char)string[plain]))
            plain++;
        json_out_bytes(out, string, plain);
        string += plain;
        if (*string != '\0')
            escape(out, (unsigned char)*string++);
    }
    json_out_byte(out, '"');
}

void json_out_name(struct json_out *out, const char *name)
{
    const size_t len = strlen(name);
    const bool first = out->len == 0 || out->text[out->len - 1] == '{';
    char *to = make_room(out, len + 4);
    if (!first)
        *to++ = ',';
    *to++ = '"';
    memcpy(to, name, len);
    to[len] = '"';
    to[len + 1] = ':';
    out->len += len + (first ? 3 : 4);
}

const char *json_out_end(struct json_out *out)
{
    *make_room(out, 1) = '\0';
    return out->text;
}
