#include "debrief/out.h"

#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"

enum { ROOM_FIRST = 4096 };

void out_open(struct out *out)
{
    out->text = malloc(ROOM_FIRST);
    CHECK(out->text);
    out->text[0] = '\0';
    out->len = 0;
    out->room = ROOM_FIRST;
}

char *out_take(struct out *out)
{
    char *text = out->text;
    memset(out, 0, sizeof *out);
    return text;
}

void out_release(struct out *out)
{
    free(out->text);
    memset(out, 0, sizeof *out);
}

static void make_room(struct out *out, size_t more)
{
    if (out->room - out->len > more)
        return;
    while (out->room - out->len <= more)
        out->room *= 2;
    out->text = realloc(out->text, out->room);
    CHECK(out->text);
}

void out_bytes(struct out *out, const char *bytes, size_t len)
{
    make_room(out, len);
    memcpy(out->text + out->len, bytes, len);
    out->len += len;
    out->text[out->len] = '\0';
}

void out_text(struct out *out, const char *text)
{
    out_bytes(out, text, strlen(text));
}

void out_format(struct out *out, const char *format, ...)
{
    va_list args;
    CHECK(format);
    va_start(args, format);
    int len = vsnprintf(NULL, 0, format, args);
    va_end(args);
    CHECK(len >= 0);
    make_room(out, (size_t)len);
    va_start(args, format);
    (void)vsnprintf(out->text + out->len, (size_t)len + 1, format, args);
    va_end(args);
    out->len += (size_t)len;
}

/* ---- JSON ---- */

static void quoted(struct out *out, const char *value)
{
    static const char HEX[] = "0123456789abcdef";
    const char *from = value;
    out_bytes(out, "\"", 1);
    for (const char *at = value;; at++) {
        unsigned char byte = (unsigned char)*at;
        if (byte >= ' ' && byte != '"' && byte != '\\')
            continue;
        out_bytes(out, from, (size_t)(at - from));
        from = at + 1;
        if (byte == '\0')
            break;
        if (byte >= ' ') {
            char escape[2] = {'\\', (char)byte};
            out_bytes(out, escape, sizeof escape);
        } else {
            char escape[6] = {'\\', 'u', '0', '0', HEX[byte >> 4], HEX[byte & 15]};
            out_bytes(out, escape, sizeof escape);
        }
    }
    out_bytes(out, "\"", 1);
}

static void begin(struct out *out, const char *name)
{
    char last = out->len == 0 ? '{' : out->text[out->len - 1];
    if (last != '{' && last != '[' && last != '\n')
        out_bytes(out, ",", 1);
    if (name == NULL)
        return;
    quoted(out, name);
    out_bytes(out, ":", 1);
}

void out_object(struct out *out, const char *name)
{
    begin(out, name);
    out_bytes(out, "{", 1);
}

void out_list(struct out *out, const char *name)
{
    begin(out, name);
    out_bytes(out, "[", 1);
}

void out_end(struct out *out, char bracket)
{
    out_bytes(out, &bracket, 1);
}

void out_int(struct out *out, const char *name, int64_t value)
{
    begin(out, name);
    out_format(out, "%" PRId64, value);
}

void out_decimal(double value, char text[40])
{
    CHECK(isfinite(value));
    int len = snprintf(text, 40, "%.6f", value);
    CHECK(len > 0 && len < 40);
    while (text[len - 1] == '0')
        text[--len] = '\0';
    if (text[len - 1] == '.')
        text[--len] = '\0';
    if (strcmp(text, "-0") == 0)
        memcpy(text, "0", 2);
}

void out_number(struct out *out, const char *name, double value)
{
    char text[40];
    out_decimal(value, text);
    begin(out, name);
    out_text(out, text);
}

void out_bool(struct out *out, const char *name, bool value)
{
    begin(out, name);
    out_text(out, value ? "true" : "false");
}

void out_string(struct out *out, const char *name, const char *value)
{
    begin(out, name);
    quoted(out, value);
}

void out_raw(struct out *out, const char *name, const char *json)
{
    begin(out, name);
    out_text(out, json);
}
