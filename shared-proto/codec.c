/*
 * Walks the tables of the generated codecs. Everything read from outside is checked here, field by field, against its
 * table; the path of an error is put together on the way out, so that the good way costs nothing for it.
 *
 * Values are moved with memcpy: a table knows where a value lies and how large it is, and the form says its C type.
 */
#include "codec.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int32_t get_i32(const void *from)
{
    int32_t value;
    memcpy(&value, from, sizeof value);
    return value;
}

static void put_i32(void *to, int32_t value)
{
    memcpy(to, &value, sizeof value);
}

static void put_i64(void *to, int64_t value)
{
    memcpy(to, &value, sizeof value);
}

static void put_json(void *to, const cJSON *value)
{
    *(const cJSON **)to = value;
}

/* --- reading --- */

static bool must_be(struct proto_error *err, const char *code, const char *wanted)
{
    char words[sizeof err->words];
    snprintf(words, sizeof words, "This must be %s.", wanted);
    return proto_error_set(err, code, "", words);
}

static bool wrong_type(struct proto_error *err, const char *wanted)
{
    return must_be(err, "wrong_type", wanted);
}

/* "This may have 24 bytes at most." */
static bool wrong_size(struct proto_error *err, const char *code, const char *start, int64_t limit, const char *end)
{
    char words[sizeof err->words];
    snprintf(words, sizeof words, "This %s %" PRId64 " %s.", start, limit, end);
    return proto_error_set(err, code, "", words);
}

static bool out_of_range(struct proto_error *err, int64_t min, int64_t max)
{
    char words[sizeof err->words];
    snprintf(words, sizeof words, "This must be from %" PRId64 " to %" PRId64 ".", min, max);
    return proto_error_set(err, "out_of_range", "", words);
}

static bool read_number(const cJSON *json, int64_t min, int64_t max, int64_t *value, struct proto_error *err)
{
    if (!cJSON_IsNumber(json))
        return wrong_type(err, "a whole number");
    if (!(json->valuedouble >= (double)min && json->valuedouble <= (double)max))
        return out_of_range(err, min, max);
    *value = (int64_t)json->valuedouble;
    if ((double)*value != json->valuedouble)
        return wrong_type(err, "a whole number");
    return true;
}

static bool read_integer(const struct field *field, const cJSON *json, void *out, struct proto_error *err)
{
    int64_t value = 0;
    if (!read_number(json, field->min, field->max, &value, err))
        return false;
    if (field->form == FIELD_INT32)
        put_i32(out, (int32_t)value);
    else
        put_i64(out, value);
    return true;
}

static bool read_bool(const cJSON *json, void *out, struct proto_error *err)
{
    if (!cJSON_IsBool(json))
        return wrong_type(err, "true or false");
    const bool value = cJSON_IsTrue(json);
    memcpy(out, &value, sizeof value);
    return true;
}

static bool read_enum(const struct proto_names *names, const cJSON *json, void *out, struct proto_error *err)
{
    if (!cJSON_IsString(json))
        return wrong_type(err, "a text");
    for (int32_t i = 0; i < names->count; i++) {
        if (strcmp(names->name[i], json->valuestring) == 0) {
            put_i32(out, i);
            return true;
        }
    }
    return proto_error_set(err, "bad_form", "", "This is not one of the words known here.");
}

/* Code points of valid UTF-8: every byte but those that go on. */
static int64_t code_points(const char *text)
{
    int64_t count = 0;
    for (; *text != '\0'; text++)
        count += ((unsigned char)*text & 0xc0) != 0x80;
    return count;
}

static bool step_takes(const struct pattern_step *step, char c)
{
    return c != '\0' && (strchr(step->set, c) != NULL) != step->negated;
}

/* Greedy without going back: the generator allows only patterns for which that is right. */
static bool pattern_matches(const struct pattern *pattern, const char *text)
{
    for (int32_t i = 0; i < pattern->count; i++) {
        const struct pattern_step *step = &pattern->step[i];
        int32_t taken = 0;
        while (taken != step->max && step_takes(step, *text)) {
            text++;
            taken++;
        }
        if (taken < step->min)
            return false;
    }
    return *text == '\0';
}

static bool is_long_enough(const struct field *field, const char *text)
{
    return field->min == 0 || code_points(text) >= field->min;
}

static bool has_form(const struct field *field, const char *text)
{
    return field->pattern == NULL || pattern_matches(field->pattern, text);
}

bool text_fits(const struct field *field, const char *text)
{
    return is_long_enough(field, text) && has_form(field, text);
}

static bool read_text(const struct field *field, const cJSON *json, char *out, struct proto_error *err)
{
    if (!cJSON_IsString(json))
        return wrong_type(err, "a text");
    const size_t len = strlen(json->valuestring);
    if (len > (size_t)field->max)
        return wrong_size(err, "too_long", "may have", field->max, "bytes at most");
    if (!is_long_enough(field, json->valuestring))
        return wrong_size(err, "too_short", "must have", field->min, "characters at least");
    if (!has_form(field, json->valuestring))
        return proto_error_set(err, "bad_form", "", "This text does not have the form it must have.");
    memcpy(out, json->valuestring, len);
    return true;
}

bool read_hex16(const char *text, uint64_t *value)
{
    *value = 0;
    for (int i = 0; i < 16; i++) {
        const char c = text[i];
        const bool digit = c >= '0' && c <= '9';
        if (!digit && !(c >= 'a' && c <= 'f'))
            return false;
        *value = *value << 4 | (uint64_t)(digit ? c - '0' : c - 'a' + 10);
    }
    return true;
}

static bool read_u64(const cJSON *json, void *out, struct proto_error *err)
{
    uint64_t value = 0;
    if (!cJSON_IsString(json))
        return wrong_type(err, "a text");
    if (!read_hex16(json->valuestring, &value) || json->valuestring[16] != '\0')
        return proto_error_set(err, "bad_form", "", "This must be 16 lower-case hex digits.");
    memcpy(out, &value, sizeof value);
    return true;
}

/* 1 to 9 digits without a leading 0, to the end of the text; 0 when they are not that. */
static int32_t read_count(const char *text)
{
    int32_t n = 0;
    int digits = 0;
    for (; text[digits] >= '0' && text[digits] <= '9' && digits < 9; digits++)
        n = n * 10 + (text[digits] - '0');
    return text[0] != '0' && text[digits] == '\0' ? n : 0;
}

bool entry_id_from_text(const char *text, struct entry_id *id)
{
    uint64_t sender = 0;
    if (!read_hex16(text, &sender) || text[16] != '.' || (text[17] != 'o' && text[17] != 'e') || text[18] != '.')
        return false;
    const int32_t n = read_count(text + 19);
    *id = (struct entry_id){.sender = sender, .n = n, .lane = text[17] == 'e' ? LANE_EMERGENCY : LANE_ORDINARY};
    return n != 0;
}

static bool read_entry_id(const cJSON *json, void *out, struct proto_error *err)
{
    struct entry_id id = {0};
    if (!cJSON_IsString(json))
        return wrong_type(err, "a text");
    if (!entry_id_from_text(json->valuestring, &id))
        return proto_error_set(err, "bad_form", "", "This must be an entry's id: sender.lane.n.");
    memcpy(out, &id, sizeof id);
    return true;
}

static bool read_const(const char *word, const cJSON *json, struct proto_error *err)
{
    if (!cJSON_IsString(json))
        return wrong_type(err, "a text");
    if (strcmp(word, json->valuestring) != 0)
        return must_be(err, "bad_form", word);
    return true;
}

/* The first version of the kind; the member v, which the table has after it, then finds the right one. */
static bool read_kind(const struct kind_set *kinds, const cJSON *json, void *out, struct proto_error *err)
{
    if (!cJSON_IsString(json))
        return wrong_type(err, "a text");
    for (int32_t i = 0; i < kinds->count; i++) {
        if (strcmp(kinds->choice[i].name, json->valuestring) == 0) {
            put_i32(out, i);
            return true;
        }
    }
    return proto_error_set(err, "kind_unknown", "", "There is no such kind of entry.");
}

static bool read_version(const struct kind_set *kinds, const cJSON *json, char *kind, struct proto_error *err)
{
    const char *name = kinds->choice[get_i32(kind)].name;
    if (!cJSON_IsNumber(json))
        return wrong_type(err, "a whole number");
    for (int32_t i = 0; i < kinds->count; i++) {
        if (json->valuedouble == kinds->choice[i].v && strcmp(kinds->choice[i].name, name) == 0) {
            put_i32(kind, i);
            return true;
        }
    }
    return proto_error_set(err, "version_unknown", "", "This version of the entry is not known here.");
}

static bool read_item(const struct field *field, const cJSON *json, char *out, char *base, struct proto_error *err)
{
    switch (field->form) {
    case FIELD_BOOL: return read_bool(json, out, err);
    case FIELD_INT32:
    case FIELD_INT64: return read_integer(field, json, out, err);
    case FIELD_ENUM: return read_enum(field->names, json, out, err);
    case FIELD_TEXT: return read_text(field, json, out, err);
    case FIELD_U64: return read_u64(json, out, err);
    case FIELD_ENTRY_ID: return read_entry_id(json, out, err);
    case FIELD_STRUCT: return shape_read(field->shape, json, out, err);
    case FIELD_CONST: return read_const(field->word, json, err);
    case FIELD_KIND: return read_kind(field->kinds, json, out, err);
    case FIELD_V: return read_version(field->kinds, json, base + field->kind_offset, err);
    case FIELD_BODY: return shape_read(field->kinds->choice[get_i32(base + field->kind_offset)].shape, json, out, err);
    case FIELD_JSON: put_json(out, json); return true;
    }
    return false;
}

static bool read_list(const struct field *field, const cJSON *json, char *base, struct proto_error *err)
{
    const cJSON *item = NULL;
    int32_t count = 0;
    char step[16];
    if (!cJSON_IsArray(json))
        return wrong_type(err, "a list");
    if (cJSON_GetArraySize(json) > field->list_max)
        return wrong_size(err, "too_many", "may have", field->list_max, "items at most");
    cJSON_ArrayForEach(item, json)
    {
        char *out = base + field->offset + (size_t)count * field->size;
        if (!read_item(field, item, out, base, err)) {
            snprintf(step, sizeof step, "%" PRId32, count);
            proto_error_within(err, step);
            return false;
        }
        count++;
    }
    put_i32(base + field->count_offset, count);
    return true;
}

static bool read_field(const struct field *field, const cJSON *object, char *base, struct proto_error *err)
{
    const cJSON *json = cJSON_GetObjectItemCaseSensitive(object, field->name);
    bool good = true;
    if (json == NULL)
        good = !field->needed || proto_error_set(err, "missing", "", "This field is needed.");
    else if (field->list_max > 0)
        good = read_list(field, json, base, err);
    else
        good = read_item(field, json, base + field->offset, base, err);
    if (!good)
        proto_error_within(err, field->name);
    return good;
}

static bool knows_field(const struct shape *shape, const char *name)
{
    for (int32_t i = 0; i < shape->count; i++)
        if (strcmp(shape->field[i].name, name) == 0)
            return true;
    return false;
}

/* Bodies are read last: what a body is, only the kind says, and the kind stands after it in the table. */
bool shape_read(const struct shape *shape, const cJSON *json, void *out, struct proto_error *err)
{
    const cJSON *member = NULL;
    memset(out, 0, shape->size);
    if (!cJSON_IsObject(json))
        return proto_error_set(err, "not_object", "", "This must be an object.");
    cJSON_ArrayForEach(member, json)
    {
        if (!knows_field(shape, member->string))
            return proto_error_set(err, "unknown_field", member->string, "There is no such field.");
    }
    for (int32_t i = 0; i < shape->count; i++)
        if (shape->field[i].form != FIELD_BODY && !read_field(&shape->field[i], json, out, err))
            return false;
    for (int32_t i = 0; i < shape->count; i++)
        if (shape->field[i].form == FIELD_BODY && !read_field(&shape->field[i], json, out, err))
            return false;
    return true;
}

bool message_read(const struct message_set *set, const cJSON *json, int32_t *which, void *out, struct proto_error *err)
{
    if (!cJSON_IsObject(json))
        return proto_error_set(err, "not_object", "", "This must be an object.");
    const cJSON *t = cJSON_GetObjectItemCaseSensitive(json, "t");
    if (t == NULL)
        return proto_error_set(err, "missing", "t", "This field is needed.");
    if (!cJSON_IsString(t))
        return proto_error_set(err, "wrong_type", "t", "This must be a text.");
    for (int32_t i = 0; i < set->count; i++) {
        if (strcmp(set->choice[i].t, t->valuestring) == 0) {
            *which = i;
            return shape_read(set->choice[i].shape, json, out, err);
        }
    }
    return proto_error_set(err, "message_unknown", "t", "There is no such message.");
}
