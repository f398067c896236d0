#include "encode.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A broken promise of this program's own making: an enum or a count that no table allows. */
static _Noreturn void cannot_write(const char *name)
{
    fprintf(stderr, "%s: this value cannot be written\n", name);
    abort();
}

static void must(bool promise, const char *name)
{
    if (!promise)
        cannot_write(name);
}

static int32_t get_i32(const void *from)
{
    int32_t value;
    memcpy(&value, from, sizeof value);
    return value;
}

static int64_t get_i64(const void *from)
{
    int64_t value;
    memcpy(&value, from, sizeof value);
    return value;
}

static uint64_t get_u64(const void *from)
{
    uint64_t value;
    memcpy(&value, from, sizeof value);
    return value;
}

static bool get_bool(const void *from)
{
    bool value;
    memcpy(&value, from, sizeof value);
    return value;
}

static struct entry_id get_entry_id(const void *from)
{
    struct entry_id value;
    memcpy(&value, from, sizeof value);
    return value;
}

static const cJSON *get_json(const void *from)
{
    return *(const cJSON *const *)from;
}

/* --- zeros, which are left out --- */

static bool shape_is_zero(const struct shape *shape, const char *base);

static bool item_is_zero(const struct field *field, const char *at)
{
    switch (field->form) {
    case FIELD_BOOL: return !get_bool(at);
    case FIELD_INT32:
    case FIELD_ENUM: return get_i32(at) == 0;
    case FIELD_INT64: return get_i64(at) == 0;
    case FIELD_TEXT: return at[0] == '\0';
    case FIELD_U64: return get_u64(at) == 0;
    case FIELD_ENTRY_ID: return get_entry_id(at).n == 0;
    case FIELD_STRUCT: return shape_is_zero(field->shape, at);
    case FIELD_JSON: return get_json(at) == NULL;
    case FIELD_CONST:
    case FIELD_KIND:
    case FIELD_V:
    case FIELD_BODY: return false;
    }
    return false;
}

static bool field_is_zero(const struct field *field, const char *base)
{
    if (field->list_max > 0)
        return get_i32(base + field->count_offset) == 0;
    return item_is_zero(field, base + field->offset);
}

static bool shape_is_zero(const struct shape *shape, const char *base)
{
    for (int32_t i = 0; i < shape->count; i++)
        if (!field_is_zero(&shape->field[i], base))
            return false;
    return true;
}

/* --- values --- */

static void put_word(struct json_out *out, const char *word)
{
    json_out_bytes(out, word, strlen(word));
}

/* A word of the tables: it has nothing to escape. */
static void put_quoted(struct json_out *out, const char *word)
{
    json_out_byte(out, '"');
    put_word(out, word);
    json_out_byte(out, '"');
}

static void put_hex16(struct json_out *out, uint64_t value)
{
    static const char digit[] = "0123456789abcdef";
    char hex[16];
    for (size_t i = 0; i < sizeof hex; i++)
        hex[i] = digit[value >> (60 - 4 * i) & 15];
    json_out_bytes(out, hex, sizeof hex);
}

static void put_u64(struct json_out *out, uint64_t value)
{
    json_out_byte(out, '"');
    put_hex16(out, value);
    json_out_byte(out, '"');
}

static void put_entry_id(struct json_out *out, struct entry_id id)
{
    json_out_byte(out, '"');
    put_hex16(out, id.sender);
    put_word(out, id.lane == LANE_EMERGENCY ? ".e." : ".o.");
    json_out_number(out, id.n);
    json_out_byte(out, '"');
}

static void put_enum(struct json_out *out, const struct field *field, int32_t value)
{
    must(value >= 0 && value < field->names->count, field->name);
    put_quoted(out, field->names->name[value]);
}

static void put_string(struct json_out *out, const struct field *field, const char *at)
{
    must(memchr(at, '\0', field->size) != NULL, field->name);
    json_out_string(out, at);
}

static void put_json(struct json_out *out, const struct field *field, const cJSON *json)
{
    if (!json)
        cannot_write(field->name);
    if (cJSON_IsRaw(json)) {
        put_word(out, json->valuestring);
        return;
    }
    char *text = json_text(json);
    put_word(out, text);
    free(text);
}

static const struct kind_choice *choice_of(const struct field *field, const char *base)
{
    const int32_t kind = get_i32(base + field->kind_offset);
    must(kind >= 0 && kind < field->kinds->count, field->name);
    return &field->kinds->choice[kind];
}

static void put_item(struct json_out *out, const struct field *field, const char *at, const char *base)
{
    switch (field->form) {
    case FIELD_BOOL: put_word(out, get_bool(at) ? "true" : "false"); break;
    case FIELD_INT32: json_out_number(out, get_i32(at)); break;
    case FIELD_INT64: json_out_number(out, get_i64(at)); break;
    case FIELD_ENUM: put_enum(out, field, get_i32(at)); break;
    case FIELD_TEXT: put_string(out, field, at); break;
    case FIELD_U64: put_u64(out, get_u64(at)); break;
    case FIELD_ENTRY_ID: put_entry_id(out, get_entry_id(at)); break;
    case FIELD_STRUCT: shape_encode(field->shape, at, out); break;
    case FIELD_CONST: put_quoted(out, field->word); break;
    case FIELD_KIND: put_quoted(out, choice_of(field, base)->name); break;
    case FIELD_V: json_out_number(out, choice_of(field, base)->v); break;
    case FIELD_BODY: shape_encode(choice_of(field, base)->shape, at, out); break;
    case FIELD_JSON: put_json(out, field, get_json(at)); break;
    }
}

static void put_list(struct json_out *out, const struct field *field, const char *base)
{
    const int32_t count = get_i32(base + field->count_offset);
    must(count >= 0 && count <= field->list_max, field->name);
    json_out_byte(out, '[');
    for (int32_t i = 0; i < count; i++) {
        if (i > 0)
            json_out_byte(out, ',');
        put_item(out, field, base + field->offset + (size_t)i * field->size, base);
    }
    json_out_byte(out, ']');
}

/* --- objects --- */

static void put_field(struct json_out *out, const struct field *field, const char *base)
{
    if (!field->needed && field_is_zero(field, base))
        return;
    json_out_name(out, field->name);
    if (field->list_max > 0)
        put_list(out, field, base);
    else
        put_item(out, field, base + field->offset, base);
}

void shape_encode_without(const struct shape *shape, const void *from, const char *const *names, size_t count,
                          struct json_out *out)
{
    size_t next = 0;
    json_out_byte(out, '{');
    for (int32_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        while (next < count && strcmp(names[next], field->name) < 0)
            next++;
        if (next == count || strcmp(names[next], field->name) != 0)
            put_field(out, field, from);
    }
    json_out_byte(out, '}');
}

void shape_encode(const struct shape *shape, const void *from, struct json_out *out)
{
    shape_encode_without(shape, from, NULL, 0, out);
}

cJSON *json_out_tree(const struct json_out *out)
{
    struct proto_error err = {0};
    cJSON *json = json_read(out->text, out->len, &err);
    must(json != NULL, err.at);
    return json;
}

cJSON *shape_write(const struct shape *shape, const void *from)
{
    struct json_out out = {0};
    shape_encode(shape, from, &out);
    cJSON *json = json_out_tree(&out);
    json_out_release(&out);
    return json;
}

cJSON json_raw(char *text)
{
    return (cJSON){.type = cJSON_Raw | cJSON_IsReference, .valuestring = text};
}
