/*
 * A JSON text in the making: it grows as it is written to, and is used again for the next.
 *
 * All zero is an empty one. It never shrinks, and is released once, by whoever owns it. Lack of memory aborts: whoever writes
 * bounds what is written.
 */
#ifndef JSON_OUT_H
#define JSON_OUT_H

#include <stddef.h>
#include <stdint.h>

struct json_out {
    char *text; /* not ended by a NUL, until json_out_end() */
    size_t len;
    size_t room;
};

void json_out_reset(struct json_out *out);
void json_out_release(struct json_out *out);

/* Bytes as they are. */
void json_out_bytes(struct json_out *out, const char *bytes, size_t len);
void json_out_byte(struct json_out *out, char byte);

/* A value: a whole number, or a text of UTF-8 in quotes with the escapes of RFC 8785, section 3.2.2.2. */
void json_out_number(struct json_out *out, int64_t number);
void json_out_string(struct json_out *out, const char *string);

/* A member's name with its colon, and a comma before it unless it is the first after an opening bracket. */
void json_out_name(struct json_out *out, const char *name);

/* Ends the text with a NUL, which does not count in len, and returns it. */
const char *json_out_end(struct json_out *out);

#endif
