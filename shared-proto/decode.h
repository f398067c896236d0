/*
 * The quick way from text to struct: one pass over the bytes, led by the tables of codec.h, without a tree in between. A trip of a
 * hundred thousand rows is read in this way, and each tap.
 *
 * true: the strict reader and the codec would have taken the text as well, and *out holds what they would have made of it, but for
 * the bytes of a union behind the kind's own body, which stay as they were.
 * false: *out is not to be used, and nothing is said about the text. It may be bad; or it is good and written in a way that seldom
 * comes, such as with white space or with escapes. Ask the strict reader (reader.h) and the codec, which say why.
 */
#ifndef DECODE_H
#define DECODE_H

#include "codec.h"

bool shape_decode(const struct shape *shape, const char *text, size_t len, void *out)
    __attribute__((warn_unused_result));

/* The message that the text's t names into *which and, from out on, its struct. */
bool message_decode(const struct message_set *set, const char *text, size_t len, int32_t *which, void *out)
    __attribute__((warn_unused_result));

#endif
