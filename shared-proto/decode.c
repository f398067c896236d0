/*
 * Where a text leaves the beaten track this gives up: a member that the table does not have, the same member twice, an escape, a
 * number out of bounds. So it can be short, and need not know a single reason; test_decode.c holds it against the strict reader.
 *
 * What a body is, only the kind says, and in canonical order the kind stands behind it: the body is stepped over first, and read
 * when the kind is known.
 */
#include "decode.h"

#include <string.h>

struct cursor {
    const char *at, *end;
};

/* Bytes of the text, not ended by a NUL. */
struct piece {
    const char *at;
    size_t len;
};

/* What an object has shown so far. */
struct object {
    const struct shape *shape;
    char *base;
    int32_t next;  /* the field expected next: the table is in canonical order */
    uint64_t seen; /* a bit a field */
    struct piece kind, body;
    int64_t v;
};
enum { FIELDS_MAX = 64 };

static bool take(struct cursor *c, char byte)
{
    if (c->at == c->end || *c->at != byte)
        return false;
    c->at++;
    return true;
}

static bool take_word(struct cursor *c, const char *word, size_t len)
{
    if ((size_t)(c->end - c->at) < len || memcmp(c->at, word, len) != 0)
        return false;
    c->at += len;
    return true;
}

static bool is_word(const struct piece *piece, const char *word)
{
    return strncmp(word, piece->at, piece->len) == 0 && word[piece->len] == '\0';
}

/* A string without escapes: what stands between its quotes. */
static bool take_string(struct cursor *c, struct piece *out)
{
    if (!take(c, '"'))
        return false;
    out->at = c->at;
    while (c->at < c->end && *c->at != '"') {
        const unsigned char byte = (unsigned char)*c->at;
        const size_t len = byte < 0x80 ? 1 : utf8_len((const unsigned char *)c->at, (size_t)(c->end - c->at));
        if (byte < ' ' || byte == '\\' || len == 0)
            return false;
        c->at += len;
    }
    out->len = (size_t)(c->at - out->at);
    return take(c, '"');
}

/* At most 15 digits, as the strict reader has it. */
static bool take_number(struct cursor *c, int64_t *out)
{
    const bool minus = take(c, '-');
    const char *first = c->at;
    int64_t value = 0;
    while (c->at < c->end && *c->at >= '0' && *c->at <= '9' && c->at - first <= 15)
        value = value * 10 + (*c->at++ - '0');
    const size_t digits = (size_t)(c->at - first);
    if (digits == 0 || digits > 15 || (*first == '0' && (digits > 1 || minus)))
        return false;
    *out = minus ? -value : value;
    return true;
}

/* Steps over an object without looking closely: whoever reads it later looks whether it ends where this did. */
static bool skip_object(struct cursor *c, struct piece *out)
{
    int depth = 0;
    bool quoted = false;
    out->at = c->at;
    for (; c->at < c->end; c->at++) {
        const char byte = *c->at;
        if (byte == '\\')
            return false;
        if (byte == '"')
            quoted = !quoted;
        depth += !quoted && byte == '{';
        depth -= !quoted && byte == '}';
        if (depth == 0)
            break;
    }
    if (!take(c, '}'))
        return false;
    out->len = (size_t)(c->at - out->at);
    return true;
}

/* --- values --- */

static bool decode_object(const struct shape *shape, struct cursor *c, void *out);

static bool decode_integer(const struct field *field, struct cursor *c, void *out)
{
    int64_t value = 0;
    if (!take_number(c, &value) || value < field->min || value > field->max)
        return false;
    const int32_t small = (int32_t)value;
    if (field->form == FIELD_INT32)
        memcpy(out, &small, sizeof small);
    else
        memcpy(out, &value, sizeof value);
    return true;
}

static bool decode_bool(struct cursor *c, void *out)
{
    const bool value = take_word(c, "true", 4);
    memcpy(out, &value, sizeof value);
    return value || take_word(c, "false", 5);
}

static bool decode_enum(const struct proto_names *names, struct cursor *c, void *out)
{
    struct piece word;
    if (!take_string(c, &word))
        return false;
    for (int32_t i = 0; i < names->count; i++) {
        if (is_word(&word, names->name[i])) {
            memcpy(out, &i, sizeof i);
            return true;
        }
    }
    return false;
}

static bool decode_text(const struct field *field, struct cursor *c, char *out)
{
    struct piece text;
    if (!take_string(c, &text) || text.len > (size_t)field->max)
        return false;
    memcpy(out, text.at, text.len); /* the rest is zero already */
    return text_fits(field, out);
}

static bool decode_u64(struct cursor *c, void *out)
{
    struct piece hex;
    uint64_t value = 0;
    if (!take_string(c, &hex) || hex.len != 16 || !read_hex16(hex.at, &value))
        return false;
    memcpy(out, &value, sizeof value);
    return true;
}

static bool decode_entry_id(struct cursor *c, void *out)
{
    struct piece piece;
    char text[ENTRY_ID_CHARS + 1];
    struct entry_id id = {0};
    if (!take_string(c, &piece) || piece.len > ENTRY_ID_CHARS)
        return false;
    memcpy(text, piece.at, piece.len);
    text[piece.len] = '\0';
    if (!entry_id_from_text(text, &id))
        return false;
    memcpy(out, &id, sizeof id);
    return true;
}

static bool decode_const(const char *word, struct cursor *c)
{
    struct piece piece;
    return take_string(c, &piece) && is_word(&piece, word);
}

static bool decode_item(const struct field *field, struct cursor *c, char *out)
{
    switch (field->form) {
    case FIELD_BOOL: return decode_bool(c, out);
    case FIELD_INT32:
    case FIELD_INT64: return decode_integer(field, c, out);
    case FIELD_ENUM: return decode_enum(field->names, c, out);
    case FIELD_TEXT: return decode_text(field, c, out);
    case FIELD_U64: return decode_u64(c, out);
    case FIELD_ENTRY_ID: return decode_entry_id(c, out);
    case FIELD_STRUCT: return decode_object(field->shape, c, out);
    case FIELD_CONST: return decode_const(field->word, c);
    case FIELD_KIND:
    case FIELD_V:
    case FIELD_BODY: /* of the object, not of a field alone: decode_member() */
    case FIELD_JSON: return false;
    }
    return false;
}

static bool decode_list(const struct field *field, struct cursor *c, char *base)
{
    int32_t count = 0;
    if (!take(c, '['))
        return false;
    if (!take(c, ']')) {
        do {
            if (count == field->list_max || !decode_item(field, c, base + field->offset + (size_t)count * field->size))
                return false;
            count++;
        } while (take(c, ','));
        if (!take(c, ']'))
            return false;
    }
    memcpy(base + field->count_offset, &count, sizeof count);
    return true;
}

/* --- objects --- */

/* Tells kinds by name, then by version: kind_set.sorted is in that order. */
static int compare_kind(const struct kind_choice *choice, const struct piece *name, int64_t v)
{
    int order = strncmp(choice->name, name->at, name->len);
    if (order == 0)
        order = choice->name[name->len] != '\0';
    return order != 0 ? order : (choice->v > v) - (choice->v < v);
}

static int32_t find_kind(const struct kind_set *kinds, const struct piece *name, int64_t v)
{
    int32_t low = 0, high = kinds->count; /* what is before low is less, what is from high on is greater */
    while (low < high) {
        const int32_t middle = (low + high) / 2;
        const int order = compare_kind(&kinds->choice[kinds->sorted[middle]], name, v);
        if (order == 0)
            return kinds->sorted[middle];
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return -1;
}

/* The field of that name; most often it is the next one, or one of the next. -1: there is none. */
static int32_t find_field(struct object *object, const struct piece *name)
{
    const struct shape *shape = object->shape;
    for (int32_t tried = 0; tried < shape->count; tried++) {
        const int32_t i = (object->next + tried) % shape->count;
        if (is_word(name, shape->field[i].name)) {
            object->next = i + 1;
            return i;
        }
    }
    return -1;
}

static bool decode_member(struct object *object, struct cursor *c)
{
    struct piece name;
    if (!take_string(c, &name) || !take(c, ':'))
        return false;
    const int32_t i = find_field(object, &name);
    if (i < 0 || (object->seen >> i & 1))
        return false;
    object->seen |= UINT64_C(1) << i;
    const struct field *field = &object->shape->field[i];
    if (field->list_max > 0)
        return decode_list(field, c, object->base);
    if (field->form == FIELD_KIND)
        return take_string(c, &object->kind);
    if (field->form == FIELD_V)
        return take_number(c, &object->v);
    if (field->form == FIELD_BODY)
        return skip_object(c, &object->body);
    return decode_item(field, c, object->base + field->offset);
}

static bool decode_body(const struct field *field, const struct object *object)
{
    int32_t kind;
    memcpy(&kind, object->base + field->kind_offset, sizeof kind);
    struct cursor c = {object->body.at, object->body.at + object->body.len};
    const struct shape *shape = field->kinds->choice[kind].shape;
    char *out = object->base + field->offset;
    memset(out, 0, shape->size);
    return decode_object(shape, &c, out) && c.at == c.end;
}

/* Kind and version together are one field of the struct; then the body can be read. */
static bool decode_kind(const struct object *object)
{
    const struct field *body = NULL;
    for (int32_t i = 0; i < object->shape->count; i++) {
        const struct field *field = &object->shape->field[i];
        if (field->form == FIELD_BODY)
            body = field;
        if (field->form != FIELD_KIND)
            continue;
        const int32_t kind = find_kind(field->kinds, &object->kind, object->v);
        if (kind < 0)
            return false;
        memcpy(object->base + field->offset, &kind, sizeof kind);
    }
    return body == NULL || decode_body(body, object);
}

static bool has_needed(const struct object *object)
{
    for (int32_t i = 0; i < object->shape->count; i++)
        if (object->shape->field[i].needed && !(object->seen >> i & 1))
            return false;
    return true;
}

/* Into a struct that is zero already. */
static bool decode_object(const struct shape *shape, struct cursor *c, void *out)
{
    struct object object = {.shape = shape, .base = out};
    if (shape->count > FIELDS_MAX || !take(c, '{'))
        return false;
    if (!take(c, '}')) {
        do {
            if (!decode_member(&object, c))
                return false;
        } while (take(c, ','));
        if (!take(c, '}'))
            return false;
    }
    return has_needed(&object) && (object.kind.at == NULL || decode_kind(&object));
}

/* All but a body, which is as large as the largest and zeroed when its kind is known. */
static void zero(const struct shape *shape, char *out)
{
    size_t from = 0;
    for (int32_t i = 0; i < shape->count; i++) {
        if (shape->field[i].form != FIELD_BODY)
            continue;
        memset(out, 0, shape->field[i].offset);
        from = shape->field[i].offset + shape->field[i].size;
    }
    memset(out + from, 0, shape->size - from);
}

bool shape_decode(const struct shape *shape, const char *text, size_t len, void *out)
{
    struct cursor c = {text, text + len};
    zero(shape, out);
    return decode_object(shape, &c, out) && c.at == c.end;
}

/* The value of t, which the pages write first and the canonical order last. */
static bool find_t(const char *text, size_t len, struct piece *t)
{
    static const char name[] = "\"t\":\"";
    const char *at = memmem(text, len, name, sizeof name - 1);
    struct cursor c = {at, text + len};
    return at != NULL && take_word(&c, name, sizeof name - 2) && take_string(&c, t);
}

bool message_decode(const struct message_set *set, const char *text, size_t len, int32_t *which, void *out)
{
    struct piece t;
    if (!find_t(text, len, &t))
        return false;
    for (int32_t i = 0; i < set->count; i++) {
        if (is_word(&t, set->choice[i].t)) {
            *which = i;
            return shape_decode(set->choice[i].shape, text, len, out);
        }
    }
    return false;
}
