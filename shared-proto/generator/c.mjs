// Writes proto.h and proto.c: the structs, the enums and the tables, without a word of JSON in them.

import { cString, upper } from './text.mjs'

const MADE = '/* Made by shared-proto/generate.mjs from shared-proto/schema. Do not edit. */\n'

export function protoHeader(model) {
  return [
    MADE,
    '#ifndef PROTO_H\n#define PROTO_H\n',
    '#include <stdbool.h>\n#include <stddef.h>\n#include <stdint.h>\n',
    'struct cJSON;\n',
    `/* Changes with any change of the protocol, and with nothing else. */\n#define PROTO_ID "${model.proto}"\n`,
    NAMES_DECLARATION,
    ...model.enums.map(enumDeclaration),
    refusalDeclaration(model),
    ENTRY_ID_DECLARATION,
    kindDeclaration(model),
    ...structDeclarations(model),
    model.board ? boardDeclaration(model.board) : '',
    '#endif\n',
  ]
    .filter(Boolean)
    .join('\n')
}

const NAMES_DECLARATION = `/* The words of an enum as they stand on the wire, in the order of the enum. */
struct proto_names {
    int32_t count;
    const char *const *name;
};
`

const ENTRY_ID_DECLARATION = `/* Who said it, and the how-many-th thing of that lane it was. No entry: n is 0. */
struct entry_id {
    uint64_t sender;
    int32_t n;
    enum lane lane;
};
_Static_assert(sizeof(struct entry_id) == 16, "struct entry_id has no hidden padding");
`

function comment(about) {
  return about ? `/* ${about.replaceAll('*/', '* /')} */\n` : ''
}

function enumDeclaration({ name, values, about }) {
  const constants = [...values, 'count_'].map((value) => `    ${upper(`${name}_${value}`)},\n`).join('')
  return (
    `${comment(about)}enum ${name} {\n${constants}};\n` +
    `extern const struct proto_names ${name}_names;\n` +
    `const char *${name}_name(enum ${name} value);\n` +
    `bool ${name}_find(const char *name, enum ${name} *value);\n`
  )
}

function refusalDeclaration(model) {
  const constants = ['none', ...model.refusals.map((one) => one.code), 'count_']
  return (
    "/* A rule's no: the code for programs, the words for the crew. */\nenum refusal_code {\n" +
    constants.map((code) => `    ${upper(`refusal_${code}`)},\n`).join('') +
    '};\nextern const struct proto_names refusal_code_names;\n' +
    'const char *refusal_code_name(enum refusal_code code);\n' +
    'bool refusal_code_find(const char *name, enum refusal_code *code);\n' +
    'const char *refusal_words(enum refusal_code code);\n'
  )
}

function kindDeclaration(model) {
  if (model.kinds.length === 0) return ''
  return (
    '/* Every kind and version of entry there ever was: kind and v together. */\nenum entry_kind {\n' +
    model.kinds.map((kind) => `    ${upper(`kind_${kind.def}`)},\n`).join('') +
    '    KIND_COUNT_,\n};\n' +
    `
/*
 * from: who may send it. act: counts as a page's last act, for undo. voidable: a later entry may void it, or stand in
 * its place. undoable: its page may take it back at once, with one tap. body_size: of its struct in union entry_body.
 * ids: where in that struct the ids of other entries stand, id_count offsets of a struct entry_id each.
 */
struct kind_info {
    const char *name;
    int32_t v;
    enum source from;
    enum kind_lane lane;
    bool act;
    bool voidable;
    bool undoable;
    size_t body_size;
    int32_t id_count;
    const size_t *ids;
};
const struct kind_info *kind_info(enum entry_kind kind);

/* The kind of that name and version; false when there is none. */
bool kind_find(const char *name, int32_t v, enum entry_kind *kind);
`
  )
}

function structDeclarations(model) {
  const texts = []
  let unionOpen = model.kinds.length > 0
  for (const struct of model.structs) {
    if (unionOpen && struct.fields.some((field) => field.type.form === 'body')) {
      texts.push(unionDeclaration(model))
      unionOpen = false
    }
    texts.push(structDeclaration(struct))
  }
  if (unionOpen) texts.push(unionDeclaration(model))
  return texts
}

function structDeclaration({ name, about, members, fields, size }) {
  const lines = members.map((member) => memberLine(member)).join('')
  const limits = (fields ?? [])
    .filter((field) => field.max !== undefined)
    .map((field) => `enum { ${upper(`${name}_${field.name}_max`)} = ${field.max} };\n`)
  return (
    `${comment(about)}struct ${name} {\n${lines}};\n` +
    `_Static_assert(sizeof(struct ${name}) == ${size}, "struct ${name} has no hidden padding");\n${limits.join('')}`
  )
}

function memberLine({ c, name, suffix, about }) {
  const gap = c.endsWith('*') ? '' : ' '
  return `    ${c}${gap}${name}${suffix};${about ? ` ${comment(about).trimEnd()}` : ''}\n`
}

function unionDeclaration(model) {
  const members = model.kinds.map((kind) => `    struct ${kind.struct} ${kind.def};\n`).join('')
  return `union entry_body {\n${members}};\n`
}

function boardDeclaration(board) {
  const constants = board.parts.map((part) => `    ${upper(`part_${part.name}`)},\n`).join('')
  const limits = board.parts
    .filter((part) => part.key !== null)
    .map((part) => `    ${upper(`${board.name}_${part.name}_max`)} = ${part.max},\n`)
  const slots = board.parts.reduce((sum, part) => sum + part.max, 0)
  return (
    `${structDeclaration(board)}enum {\n${limits.join('')}    BOARD_SLOTS_MAX = ${slots}, /* over all parts */\n};\n` +
    `\nenum board_part {\n${constants}    PART_COUNT_,\n};\n${partDeclarations(board)}`
  )
}

function partDeclarations(board) {
  return `
enum part_key {
    PART_SINGLE,
    PART_KEY_INT,
    PART_KEY_U64,
    PART_KEY_ENTRY,
};

/* Where a part lies in the board: max slots of size bytes from offset on; key_offset is within one slot. */
struct part_info {
    const char *name;
    size_t offset;
    size_t size;
    int32_t max;
    enum part_key key;
    size_t key_offset;
    size_t key_size;
};
const struct part_info *part_info(enum board_part part);

/* A single part is there when any byte of it is not zero; a slot of a keyed one is when its key is not zero. */
bool board_slot_used(const struct ${board.name} *board, enum board_part part, int32_t slot);

/* The part's id on the wire: "trip", "lines/3", "fights/<entry id>". The slot must be in use. */
void board_part_id(const struct ${board.name} *board, enum board_part part, int32_t slot, char out[64]);
`
}

export function protoSource(model) {
  return [
    MADE,
    `#include "proto.h"\n\n#include <inttypes.h>\n#include <stdio.h>\n#include <string.h>\n`,
    FIND_NAME,
    ...model.enums.map((one) => namesSource(one.name, one.values)),
    namesSource('refusal_code', ['none', ...model.refusals.map((one) => one.code)]),
    refusalWordsSource(model),
    kindSource(model),
    model.board ? boardSource(model) : '',
  ]
    .filter(Boolean)
    .join('\n')
}

const FIND_NAME = `static const char *name_at(const struct proto_names *names, int32_t index)
{
    return index >= 0 && index < names->count ? names->name[index] : "?";
}

static int32_t index_of(const struct proto_names *names, const char *name)
{
    for (int32_t i = 0; i < names->count; i++)
        if (strcmp(names->name[i], name) == 0)
            return i;
    return -1;
}
`

function namesSource(name, values) {
  return `static const char *const ${name}_words[] = {${values.map((value) => `"${value}"`).join(', ')}};
const struct proto_names ${name}_names = {${values.length}, ${name}_words};

const char *${name}_name(enum ${name} value)
{
    return name_at(&${name}_names, (int32_t)value);
}

bool ${name}_find(const char *name, enum ${name} *value)
{
    const int32_t index = index_of(&${name}_names, name);
    if (index >= 0)
        *value = (enum ${name})index;
    return index >= 0;
}
`
}

function refusalWordsSource(model) {
  const words = ['', ...model.refusals.map((one) => one.words)]
  return `static const char *const refusal_sentences[] = {
${words.map((sentence) => `    ${cString(sentence)},\n`).join('')}};

const char *refusal_words(enum refusal_code code)
{
    return (unsigned)code < REFUSAL_COUNT_ ? refusal_sentences[code] : "";
}
`
}

/** The names of the fields by which a body names other entries. */
function idFields(model, kind) {
  const { fields } = model.structs.find((one) => one.name === kind.struct)
  return fields.filter((field) => field.type.form === 'entry_id' && field.max === undefined).map((field) => field.name)
}

function idsSource(model, kind) {
  const names = idFields(model, kind)
  if (names.length === 0) return ''
  const offsets = names.map((name) => `offsetof(struct ${kind.struct}, ${name})`)
  return `static const size_t ids_${kind.def}[] = {${offsets.join(', ')}};\n`
}

function kindRow(model, kind) {
  const ids = idFields(model, kind).length
  return (
    `    [${upper(`kind_${kind.def}`)}] = {"${kind.name}", ${kind.v}, ${upper(`source_${kind.from}`)}, ` +
    `${upper(`kind_lane_${kind.lane}`)}, ${kind.act}, ${kind.voidable}, ${kind.undoable}, ` +
    `sizeof(struct ${kind.struct}), ${ids}, ${ids > 0 ? `ids_${kind.def}` : 'NULL'}},\n`
  )
}

function kindSource(model) {
  if (model.kinds.length === 0) return ''
  const rows = model.kinds.map((kind) => kindRow(model, kind))
  return `${model.kinds.map((kind) => idsSource(model, kind)).join('')}
static const struct kind_info kinds[KIND_COUNT_] = {
${rows.join('')}};

const struct kind_info *kind_info(enum entry_kind kind)
{
    return &kinds[kind];
}

bool kind_find(const char *name, int32_t v, enum entry_kind *kind)
{
    for (int32_t i = 0; i < KIND_COUNT_; i++) {
        if (kinds[i].v == v && strcmp(kinds[i].name, name) == 0) {
            *kind = (enum entry_kind)i;
            return true;
        }
    }
    return false;
}
`
}

const KEY_FORMS = { int: 'PART_KEY_INT', u64: 'PART_KEY_U64', entry_id: 'PART_KEY_ENTRY' }

function boardSource(model) {
  const { board } = model
  const rows = board.parts.map((part) => {
    const single = part.key === null
    const member = `((struct ${part.struct} *)0)->${part.key}`
    const key = single
      ? 'PART_SINGLE, 0, 0'
      : `${KEY_FORMS[part.keyForm]}, offsetof(struct ${part.struct}, ${part.key}), sizeof(${member})`
    return (
      `    [${upper(`part_${part.name}`)}] = {"${part.name}", offsetof(struct ${board.name}, ${part.name}), ` +
      `sizeof(struct ${part.struct}), ${part.max}, ${key}},\n`
    )
  })
  return `static const struct part_info parts[PART_COUNT_] = {
${rows.join('')}};

const struct part_info *part_info(enum board_part part)
{
    return &parts[part];
}

static const char *slot_key(const struct ${board.name} *board, const struct part_info *info, int32_t slot)
{
    return (const char *)board + info->offset + (size_t)slot * info->size + info->key_offset;
}

static int64_t int_key(const char *key, size_t size)
{
    int32_t narrow;
    int64_t wide;
    if (size == sizeof wide) {
        memcpy(&wide, key, sizeof wide);
        return wide;
    }
    memcpy(&narrow, key, sizeof narrow);
    return narrow;
}

static uint64_t u64_key(const char *key)
{
    uint64_t value;
    memcpy(&value, key, sizeof value);
    return value;
}

static struct entry_id entry_key(const char *key)
{
    struct entry_id id;
    memcpy(&id, key, sizeof id);
    return id;
}

static bool any_byte(const char *bytes, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        if (bytes[i] != 0)
            return true;
    }
    return false;
}

bool board_slot_used(const struct ${board.name} *board, enum board_part part, int32_t slot)
{
    const struct part_info *info = &parts[part];
    const char *key = slot_key(board, info, slot);
    switch (info->key) {
    case PART_SINGLE:
        return any_byte((const char *)board + info->offset, info->size);
    case PART_KEY_INT:
        return int_key(key, info->key_size) != 0;
    case PART_KEY_U64:
        return u64_key(key) != 0;
    case PART_KEY_ENTRY:
        return entry_key(key).n != 0;
    }
    return false;
}

void board_part_id(const struct ${board.name} *board, enum board_part part, int32_t slot, char out[64])
{
    const struct part_info *info = &parts[part];
    const char *key = slot_key(board, info, slot);
    switch (info->key) {
    case PART_SINGLE:
        snprintf(out, 64, "%s", info->name);
        return;
    case PART_KEY_INT:
        snprintf(out, 64, "%s/%" PRId64, info->name, int_key(key, info->key_size));
        return;
    case PART_KEY_U64:
        snprintf(out, 64, "%s/%016" PRIx64, info->name, u64_key(key));
        return;
    case PART_KEY_ENTRY: {
        const struct entry_id id = entry_key(key);
        const char lane = id.lane == LANE_EMERGENCY ? 'e' : 'o';
        snprintf(out, 64, "%s/%016" PRIx64 ".%c.%" PRId32, info->name, id.sender, lane, id.n);
        return;
    }
    }
}
`
}
