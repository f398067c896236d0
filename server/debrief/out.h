/* A text that grows, and JSON written into it piece by piece (RFC 8259). The debrief of a long trip is megabytes of JSON; a tree of
 * it would take ten times that.
 *
 * An object is begun, its members written, and ended by its bracket; a list likewise.
 *
 * name is the member's, NULL within a list. Numbers are never NaN or infinite: such a value is a bug.
 */
#ifndef STERNBOARD_DEBRIEF_OUT_H
#define STERNBOARD_DEBRIEF_OUT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct out {
    char *text; /* ended by NUL */
    size_t len, room;
};

void out_open(struct out *);
/* The text is the caller's now, to be freed; the out is empty. */
char *out_take(struct out *);
void out_release(struct out *);

void out_text(struct out *, const char *text);
void out_bytes(struct out *, const char *bytes, size_t len);
void out_format(struct out *, const char *format, ...) __attribute__((format(printf, 2, 3)));

void out_object(struct out *, const char *name);
void out_list(struct out *, const char *name);
void out_end(struct out *, char bracket); /* '}' or ']' */
void out_int(struct out *, const char *name, int64_t value);
void out_number(struct out *, const char *name, double value);
void out_bool(struct out *, const char *name, bool value);
void out_string(struct out *, const char *name, const char *value);
void out_raw(struct out *, const char *name, const char *json); /* a value that is JSON already */

/* A number as it is printed everywhere: the fewest digits, up to six after the point, that say it. */
void out_decimal(double value, char text[40]);

#endif
