/*
 * From a struct straight to its canonical text (codec.h), without a tree in between: what is said to every screen, and each row
 * of the log, is written this way.
 *
 * Lists longer than their struct, texts without an end and values that no enum has are bugs, and abort.
 */
#ifndef ENCODE_H
#define ENCODE_H

#include "codec.h"
#include "json_out.h"

/* One object, behind what the text holds already. */
void shape_encode(const struct shape *shape, const void *from, struct json_out *out);

/* The same without some of its members: names of what is left out, sorted. */
void shape_encode_without(const struct shape *shape, const void *from, const char *const *names, size_t count,
                          struct json_out *out);

/* The same as a tree, for what looks into it or adds to it; the caller frees it with cJSON_Delete(). */
cJSON *shape_write(const struct shape *shape, const void *from);

/* A tree of what was written; the caller frees it. */
cJSON *json_out_tree(const struct json_out *out);

/* A node for JSON in a message that stands there as the text says; the text must outlive it. */
cJSON json_raw(char *text);

#endif
