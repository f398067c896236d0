/*
 * What the generated codecs are made of: a table of fields for each struct, and what walks it: here the reader of a tree, which
 * says why it turns something down; the writer is in encode.h, and the quick reader of most texts in decode.h.
 *
 * The canonical encoding is RFC 8785 (JCS): members sorted, no white space, whole numbers printed plainly, and the same
 * escapes as JSON.stringify. Each table is sorted by the names on the wire, so the writer only has to follow it.
 *
 * A field that is not needed may be absent, which means its zero value: 0, false, "", an enum's first, no entry, an empty
 * list, a struct of nothing but zeros. The writer leaves such a value out; the reader takes it given or not. There is no null.
 */
#ifndef CODEC_H
#define CODEC_H

#include "proto.h"
#include "reader.h"

enum field_form {
    FIELD_BOOL,
    FIELD_INT32,
    FIELD_INT64,
    FIELD_ENUM,
    FIELD_TEXT,
    FIELD_U64,      /* 16 lower-case hex digits */
    FIELD_ENTRY_ID, /* sender.lane.n */
    FIELD_STRUCT,
    FIELD_CONST, /* a message's t: no place in the struct */
    FIELD_KIND,  /* an entry's kind and version, in one enum */
    FIELD_V,     /* the version's own member; the value is the kind's */
    FIELD_BODY,  /* a union; the kind says which */
    FIELD_JSON,  /* any JSON: borrowed when read, lent when written */
};

/* One step of a pattern: min to max characters of the set, or none of the set. max -1: no end. */
struct pattern_step {
    const char *set;
    bool negated;
    int32_t min;
    int32_t max;
};

struct pattern {
    int32_t count;
    const struct pattern_step *step;
};

/*
 * Where a field lies in its struct and what it may be. size is one item's. list_max 0: not a list; else the number of
 * items stands at count_offset. min and max: an integer's bounds, or a text's fewest code points and most bytes.
 * For FIELD_V and FIELD_BODY, kind_offset is where the kind stands.
 */
struct field {
    const char *name;
    enum field_form form;
    bool needed;
    size_t offset;
    size_t size;
    int32_t list_max;
    size_t count_offset;
    int64_t min;
    int64_t max;
    const struct pattern *pattern;
    const struct proto_names *names;
    const struct shape *shape;
    const char *word;
    const struct kind_set *kinds;
    size_t kind_offset;
};

/* A struct: its fields sorted by name. */
struct shape {
    size_t size;
    int32_t count;
    const struct field *field;
};

/* The kinds of entries, in the order of enum entry_kind; sorted: their places by name, then version. */
struct kind_choice {
    const char *name;
    int32_t v;
    const struct shape *shape;
};

struct kind_set {
    int32_t count;
    const struct kind_choice *choice;
    const int32_t *sorted;
};

/* The messages of one direction, in the order of their enum. */
struct message_choice {
    const char *t;
    const struct shape *shape;
};

struct message_set {
    int32_t count;
    const struct message_choice *choice;
};

/* Zeroes out and fills it from json. false: err says why, and out is not to be used. */
bool shape_read(const struct shape *shape, const cJSON *json, void *out, struct proto_error *err);

/* Reads the message that json's t names into *which and, from out on, its struct. */
bool message_read(const struct message_set *set, const cJSON *json, int32_t *which, void *out, struct proto_error *err);

/* --- for decode.c, so that nothing is spelled twice --- */

enum { ENTRY_ID_CHARS = 28 };

/* 16 lower-case hex digits at text, whatever follows. */
bool read_hex16(const char *text, uint64_t *value);

/* The whole text is an entry's id, and names one. */
bool entry_id_from_text(const char *text, struct entry_id *id);

/* A text that is not too long: is it long enough, and does it have the form of the field's pattern? */
bool text_fits(const struct field *field, const char *text);

#endif
