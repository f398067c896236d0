// Writes proto_json.h and proto_json.c: for each struct a table of its fields, and the functions that hand it to codec.c.

import { upper, cString } from './text.mjs'

const MADE = '/* Made by shared-proto/generate.mjs from shared-proto/schema. Do not edit. */\n'
const READS = 'const cJSON *json'
const TEXT = 'const char *text, size_t len'
const CHECKED = '__attribute__((warn_unused_result))'

export function codecHeader(model) {
  return [
    MADE,
    '#ifndef PROTO_JSON_H\n#define PROTO_JSON_H\n',
    `#include "json_out.h"\n#include "proto.h"\n#include "reader.h"\n`,
    HEADER_COMMENT,
    ...model.structs.map(
      ({ name }) =>
        `bool ${name}_from_json(${READS}, struct ${name} *out, struct proto_error *err) ${CHECKED};\n` +
        `cJSON *${name}_to_json(const struct ${name} *from);\n` +
        `bool ${name}_decode(${TEXT}, struct ${name} *out) ${CHECKED};\n` +
        `void ${name}_encode(const struct ${name} *from, struct json_out *out);\n`,
    ),
    model.kinds.length > 0 ? BODY_DECLARATION : '',
    ...['up', 'down'].map((dir) => messageDeclaration(dir, model.messages[dir])),
    model.board ? boardDeclaration(model.board.name) : '',
    '#endif\n',
  ]
    .filter(Boolean)
    .join('\n')
}

const HEADER_COMMENT = `/*
 * x_from_json() zeroes *out and fills it; false: err says why and where, and *out is not to be used.
 * x_to_json() makes the canonical tree, to be freed with cJSON_Delete(). Neither ever returns NULL; lack of memory aborts.
 * x_encode() writes the canonical text behind what *out holds, without a tree.
 * x_decode() reads a text without a tree; false: this one is not for it, or bad, and x_from_json() says which (decode.h).
 */
`

const BODY_DECLARATION = `/* The body alone, as it stands in an entry of that kind. */
cJSON *entry_body_to_json(enum entry_kind kind, const union entry_body *body);
bool entry_body_from_json(${READS}, enum entry_kind kind, union entry_body *out,
                          struct proto_error *err) ${CHECKED};

/* One row of the log, whoever wrote it: by the quick way, or else by the strict one, which says in *err why not. */
bool entry_read(${TEXT}, struct entry *out, struct proto_error *err) ${CHECKED};

/* An entry without some of its members: names of what is left out, sorted. */
void entry_encode_without(const struct entry *from, const char *const *names, size_t count, struct json_out *out);
`

function messageDeclaration(dir, messages) {
  if (messages.length === 0) return ''
  return `enum msg_${dir} {
${messages.map(({ def }) => `    ${upper(`msg_${dir}_${def}`)},\n`).join('')}    MSG_${upper(dir)}_COUNT_,
};

/* One message ${dir}: t says which of u. JSON inside it is borrowed from the tree it was read from. */
struct msg_${dir}_any {
    enum msg_${dir} t;
    union {
${messages.map(({ def, struct }) => `        struct ${struct} ${def};\n`).join('')}    } u;
};
const char *msg_${dir}_name(enum msg_${dir} t);
bool msg_${dir}_from_json(${READS}, struct msg_${dir}_any *out, struct proto_error *err) ${CHECKED};
cJSON *msg_${dir}_to_json(const struct msg_${dir}_any *from);
bool msg_${dir}_decode(${TEXT}, struct msg_${dir}_any *out) ${CHECKED};
`
}

function boardDeclaration(board) {
  return `/* One part's value; NULL when the slot is not in use. */
cJSON *board_part_to_json(const struct ${board} *board, enum board_part part, int32_t slot);
void board_part_encode(const struct ${board} *board, enum board_part part, int32_t slot, struct json_out *out);

/* The whole board: one flat object from part id to value, sorted by id. Which slot a part lies in does not show. */
cJSON *board_to_json(const struct ${board} *board);
void board_encode(const struct ${board} *board, struct json_out *out);

/* The other way, for tests and tools; slots are filled from the first on, in the order in which the parts stand. */
bool board_from_json(${READS}, struct ${board} *out, struct proto_error *err) ${CHECKED};
`
}

export function codecSource(model) {
  const patterns = new Patterns()
  const shapes = model.structs.map((struct) => ({ struct, table: fieldTable(struct, patterns) }))
  const bodies = new Set(model.kinds.map((kind) => kind.struct))
  return [
    MADE,
    `#include "proto_json.h"\n\n#include "codec.h"\n#include "decode.h"\n#include "encode.h"\n\n#include <stdio.h>\n#include <stdlib.h>\n#include <string.h>\n`,
    patterns.source(),
    model.kinds.length > 0 ? 'static const struct kind_set entry_kinds;\n' : '',
    ...shapes.map(({ table }) => table),
    kindsSource(model, bodies),
    ...model.structs.map(({ name }) => structFunctions(name)),
    ...['up', 'down'].map((dir) => messageSource(dir, model.messages[dir])),
    model.board ? boardSource(model.board) : '',
  ]
    .filter(Boolean)
    .join('\n')
}

/** Each pattern once, as a table of steps. */
class Patterns {
  constructor() {
    this.known = new Map()
  }

  name(type) {
    if (!this.known.has(type.pattern))
      this.known.set(type.pattern, { name: `pattern_${this.known.size}`, steps: type.steps })
    return this.known.get(type.pattern).name
  }

  source() {
    const texts = [...this.known].map(([pattern, { name, steps }]) => {
      const rows = steps.map(({ set, negated, min, max }) => `{${cString(set)}, ${negated}, ${min}, ${max}}`)
      return (
        `/* ${pattern.replaceAll('*/', '* /')} */\n` +
        `static const struct pattern_step ${name}_steps[] = {${rows.join(', ')}};\n` +
        `static const struct pattern ${name} = {${steps.length}, ${name}_steps};\n`
      )
    })
    return texts.join('')
  }
}

/** Sorted by the names on the wire, which is the canonical order (RFC 8785, 3.2.3; all names are ASCII). */
function fieldTable({ name, fields }, patterns) {
  const sorted = [...fields].sort((a, b) => (a.name < b.name ? -1 : 1))
  if (sorted.length === 0) return `static const struct shape shape_${name} = {sizeof(struct ${name}), 0, NULL};\n`
  const rows = sorted.map((field) => `    {${fieldRow(name, field, patterns).join(', ')}},\n`)
  return (
    `static const struct field fields_${name}[] = {\n${rows.join('')}};\n` +
    `static const struct shape shape_${name} = {sizeof(struct ${name}), ${sorted.length}, fields_${name}};\n`
  )
}

function fieldRow(struct, field, patterns) {
  const { type } = field
  const form = type.form === 'int' ? `INT${type.bits}` : upper(type.form)
  const row = [`.name = "${field.name}"`, `.form = FIELD_${form}`]
  if (field.need) row.push('.needed = true')
  if (type.form === 'const') return [...row, `.word = "${type.value}"`]
  if (type.form === 'v') return [...row, '.kinds = &entry_kinds', kindOffset(struct, type)]
  const member = `((struct ${struct} *)0)->${field.name}${field.max === undefined ? '' : '[0]'}`
  row.push(`.offset = offsetof(struct ${struct}, ${field.name})`, `.size = sizeof(${member})`)
  if (field.max !== undefined)
    row.push(`.list_max = ${field.max}`, `.count_offset = offsetof(struct ${struct}, ${field.name}_count)`)
  return [...row, ...typeCells(struct, field, patterns)]
}

function typeCells(struct, { name, type }, patterns) {
  if (type.form === 'int') return [`.min = INT64_C(${type.min})`, `.max = INT64_C(${type.max})`]
  if (type.form === 'text') {
    const pattern = type.pattern === undefined ? [] : [`.pattern = &${patterns.name(type)}`]
    return [`.min = ${type.min}`, `.max = ${type.bytes}`, ...pattern]
  }
  if (type.form === 'enum') return [`.names = &${type.name}_names`]
  if (type.form === 'struct') return [`.shape = &shape_${type.name}`]
  if (type.form === 'kind') return ['.kinds = &entry_kinds', kindOffset(struct, { kindField: name })]
  if (type.form === 'body') return ['.kinds = &entry_kinds', kindOffset(struct, type)]
  return []
}

function kindOffset(struct, type) {
  return `.kind_offset = offsetof(struct ${struct}, ${type.kindField})`
}

function kindsSource(model) {
  if (model.kinds.length === 0) return ''
  const rows = model.kinds.map((kind) => `    {"${kind.name}", ${kind.v}, &shape_${kind.struct}},\n`)
  const byName = (a, b) => (a.name === b.name ? a.v - b.v : a.name < b.name ? -1 : 1)
  const sorted = [...model.kinds].sort(byName).map((kind) => model.kinds.indexOf(kind))
  return `static const struct kind_choice kind_choices[] = {
${rows.join('')}};
static const int32_t kinds_sorted[] = {${sorted.join(', ')}};
static const struct kind_set entry_kinds = {${model.kinds.length}, kind_choices, kinds_sorted};

cJSON *entry_body_to_json(enum entry_kind kind, const union entry_body *body)
{
    return shape_write(kind_choices[kind].shape, body);
}

bool entry_body_from_json(${READS}, enum entry_kind kind, union entry_body *out, struct proto_error *err)
{
    memset(out, 0, sizeof *out);
    return shape_read(kind_choices[kind].shape, json, out, err);
}

bool entry_read(${TEXT}, struct entry *out, struct proto_error *err)
{
    if (shape_decode(&shape_entry, text, len, out))
        return true;
    cJSON *json = json_read(text, len, err);
    const bool good = json != NULL && shape_read(&shape_entry, json, out, err);
    cJSON_Delete(json);
    return good;
}

void entry_encode_without(const struct entry *from, const char *const *names, size_t count, struct json_out *out)
{
    shape_encode_without(&shape_entry, from, names, count, out);
}
`
}

function structFunctions(name) {
  return `bool ${name}_from_json(${READS}, struct ${name} *out, struct proto_error *err)
{
    return shape_read(&shape_${name}, json, out, err);
}

cJSON *${name}_to_json(const struct ${name} *from)
{
    return shape_write(&shape_${name}, from);
}

bool ${name}_decode(${TEXT}, struct ${name} *out)
{
    return shape_decode(&shape_${name}, text, len, out);
}

void ${name}_encode(const struct ${name} *from, struct json_out *out)
{
    shape_encode(&shape_${name}, from, out);
}
`
}

function messageSource(dir, messages) {
  if (messages.length === 0) return ''
  return `static const struct message_choice ${dir}_choices[] = {
${messages.map(({ t, struct }) => `    {"${t}", &shape_${struct}},\n`).join('')}};
static const struct message_set ${dir}_messages = {${messages.length}, ${dir}_choices};

const char *msg_${dir}_name(enum msg_${dir} t)
{
    return ${dir}_choices[t].t;
}

bool msg_${dir}_from_json(${READS}, struct msg_${dir}_any *out, struct proto_error *err)
{
    int32_t which = 0;
    memset(out, 0, sizeof *out);
    if (!message_read(&${dir}_messages, json, &which, &out->u, err))
        return false;
    out->t = (enum msg_${dir})which;
    return true;
}

cJSON *msg_${dir}_to_json(const struct msg_${dir}_any *from)
{
    return shape_write(${dir}_choices[from->t].shape, &from->u);
}

bool msg_${dir}_decode(${TEXT}, struct msg_${dir}_any *out)
{
    int32_t which = 0;
    if (!message_decode(&${dir}_messages, text, len, &which, &out->u))
        return false;
    out->t = (enum msg_${dir})which;
    return true;
}
`
}

function boardSource({ name, parts }) {
  return `static const struct shape *const part_shapes[PART_COUNT_] = {
${parts.map((part) => `    [${upper(`part_${part.name}`)}] = &shape_${part.struct},\n`).join('')}};

cJSON *board_part_to_json(const struct ${name} *board, enum board_part part, int32_t slot)
{
    const struct part_info *info = part_info(part);
    if (!board_slot_used(board, part, slot))
        return NULL;
    return shape_write(part_shapes[part], (const char *)board + info->offset + (size_t)slot * info->size);
}

void board_part_encode(const struct ${name} *board, enum board_part part, int32_t slot, struct json_out *out)
{
    const struct part_info *info = part_info(part);
    shape_encode(part_shapes[part], (const char *)board + info->offset + (size_t)slot * info->size, out);
}

struct placed_part {
    char id[64];
    enum board_part part;
    int32_t slot;
};

static int by_part_id(const void *a, const void *b)
{
    const struct placed_part *left = a;
    const struct placed_part *right = b;
    return strcmp(left->id, right->id);
}

static size_t used_parts(const struct ${name} *board, struct placed_part *out)
{
    size_t count = 0;
    for (int32_t part = 0; part < PART_COUNT_; part++) {
        for (int32_t slot = 0; slot < part_info((enum board_part)part)->max; slot++) {
            if (!board_slot_used(board, (enum board_part)part, slot))
                continue;
            out[count].part = (enum board_part)part;
            out[count].slot = slot;
            board_part_id(board, (enum board_part)part, slot, out[count].id);
            count++;
        }
    }
    return count;
}

void board_encode(const struct ${name} *board, struct json_out *out)
{
    struct placed_part placed[BOARD_SLOTS_MAX];
    const size_t count = used_parts(board, placed);
    qsort(placed, count, sizeof placed[0], by_part_id);
    json_out_byte(out, '{');
    for (size_t i = 0; i < count; i++) {
        json_out_name(out, placed[i].id);
        board_part_encode(board, placed[i].part, placed[i].slot, out);
    }
    json_out_byte(out, '}');
}

cJSON *board_to_json(const struct ${name} *board)
{
    struct json_out out = {0};
    board_encode(board, &out);
    cJSON *json = json_out_tree(&out);
    json_out_release(&out);
    return json;
}

/* The part that an id names, by what stands before its slash. */
static bool part_of_id(const char *id, enum board_part *part)
{
    const size_t len = strcspn(id, "/");
    for (int32_t i = 0; i < PART_COUNT_; i++) {
        const char *known = part_info((enum board_part)i)->name;
        if (strncmp(known, id, len) == 0 && known[len] == '\\0') {
            *part = (enum board_part)i;
            return true;
        }
    }
    return false;
}

static bool read_part(const cJSON *json, struct ${name} *out, int32_t next[PART_COUNT_], struct proto_error *err)
{
    enum board_part part = PART_COUNT_;
    char id[64];
    if (!part_of_id(json->string, &part))
        return proto_error_set(err, "unknown_field", "", "The board has no such part.");
    const struct part_info *info = part_info(part);
    const int32_t slot = next[part]++;
    if (slot == info->max)
        return proto_error_set(err, "too_many", "", "The board has no more room for this.");
    if (!shape_read(part_shapes[part], json, (char *)out + info->offset + (size_t)slot * info->size, err))
        return false;
    board_part_id(out, part, slot, id);
    if ((info->key != PART_SINGLE && !board_slot_used(out, part, slot)) || strcmp(id, json->string) != 0)
        return proto_error_set(err, "bad_form", "", "The part's name and its key differ.");
    return true;
}

bool board_from_json(${READS}, struct ${name} *out, struct proto_error *err)
{
    int32_t next[PART_COUNT_] = {0};
    const cJSON *part = NULL;
    memset(out, 0, sizeof *out);
    if (!cJSON_IsObject(json))
        return proto_error_set(err, "not_object", "", "This must be an object.");
    cJSON_ArrayForEach(part, json)
    {
        if (!read_part(part, out, next, err)) {
            proto_error_within(err, part->string);
            return false;
        }
    }
    return true;
}
`
}
