/*
 * The strict reader: the only place where bytes become JSON.
 *
 * cJSON alone is too kind: it takes members twice, bytes after the end, invalid UTF-8, numbers no int64_t holds, and
 * nesting deep enough to be dangerous. So the text is walked once here, and only what passes is given to cJSON. What comes
 * out is a tree whose every string is valid UTF-8 without a NUL and whose every number is a whole number that a double
 * holds exactly.
 *
 * Standards: RFC 8259 (JSON), RFC 7493 (I-JSON: no member twice, no lone surrogate, no number a double cannot hold) and
 * RFC 3629 (UTF-8). Stricter than these on purpose: whole numbers only, nesting of READER_DEPTH_MAX, no \u0000.
 */
#ifndef READER_H
#define READER_H

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum { READER_DEPTH_MAX = 12 };
#define READER_NUMBER_MAX 999999999999999LL /* 15 digits: printed and read by cJSON and by JavaScript without loss */

/*
 * Why a text or a message was turned down. It is filled on failure only.
 * code: for programs, one word of this list:
 *   the reader   not_json too_deep duplicate trailing utf8 out_of_range bad_form
 *   the codecs   not_object missing unknown_field wrong_type too_long too_short out_of_range bad_form too_many
 *                kind_unknown version_unknown message_unknown
 * at: where: the path of the field, such as body.line or lines.2.name; for the reader "byte 17", counted from 0, but for
 *   a duplicate the path. Empty: the value as a whole. Always valid UTF-8, cut where it is too long.
 * words: one plain sentence.
 */
struct proto_error {
    char code[24];
    char at[64];
    char words[160];
};

/*
 * Reads one JSON value of len bytes, white space around it allowed. The caller frees it with cJSON_Delete().
 * NULL: the text was turned down, and err says why. Aborts when there is no memory: callers bound len.
 */
cJSON *json_read(const char *text, size_t len, struct proto_error *err) __attribute__((warn_unused_result));

/* The whole canonical text, NUL-terminated; the caller frees it with free(). */
char *json_text(const cJSON *json);

/* The length of the UTF-8 character that starts here, of left bytes at most; 0 if it is none. */
size_t utf8_len(const unsigned char *at, size_t left);

/* Fills err, for the reader and the codecs. Returns false, so that it can be returned. */
bool proto_error_set(struct proto_error *err, const char *code, const char *at, const char *words);

/* Puts a step of the path in front of err->at: "line" becomes "body.line". */
void proto_error_within(struct proto_error *err, const char *step);

/* The node itself, or abort when it is NULL, that is, when there was no memory for it. */
void *json_sure(void *node);

#endif
