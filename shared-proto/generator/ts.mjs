// Writes proto.ts: the types of everything on the wire, and the tables that the pages need at run time.

import { pascal, upper } from './text.mjs'

const MADE = '// Made by shared-proto/generate.mjs from shared-proto/schema. Do not edit.\n'

export function typescript(model) {
  return [
    MADE,
    `/** Changes with any change of the protocol, and with nothing else. */\nexport const PROTO = "${model.proto}";\n`,
    BASICS,
    ...model.enums.map(enumType),
    refusals(model),
    ...model.structs.filter(({ fields }) => !isEnvelope(fields)).map(interfaceType),
    kindTypes(model),
    ...model.structs.filter(({ fields }) => isEnvelope(fields)).map(envelopeType),
    messageTypes(model),
    model.board ? boardTypes(model.board) : '',
    textBytes(model),
  ]
    .filter(Boolean)
    .join('\n')
}

const BASICS = `/** sender.lane.n, such as "00c0ffee00c0ffee.o.12". */
export type EntryId = string;

/** 16 lower-case hex digits. */
export type U64 = string;
`

function doc(about, indent = '') {
  return about ? `${indent}/** ${about.replaceAll('*/', '* /')} */\n` : ''
}

function enumType({ name, values, about }) {
  const words = values.map((value) => `"${value}"`)
  return (
    `export const ${upper(name)}_VALUES = [${words.join(', ')}] as const;\n` +
    `${doc(about)}export type ${pascal(name)} = (typeof ${upper(name)}_VALUES)[number];\n`
  )
}

function refusals({ refusals: list }) {
  const rows = list.map(({ code, words }) => `  ${code}: ${JSON.stringify(words)},\n`).join('')
  return (
    `/** A rule's no: the code, and the words for the crew. */\nexport const REFUSALS = {\n${rows}} as const;\n` +
    'export type RefusalCode = keyof typeof REFUSALS;\n'
  )
}

function isEnvelope(fields) {
  return fields.some((field) => field.type.form === 'body')
}

function interfaceType({ ts, about, fields }) {
  if (fields.length === 0) return `${doc(about)}export type ${ts} = Record<string, never>;\n`
  return `${doc(about)}export interface ${ts} {\n${fields.map(memberLine).join('')}}\n`
}

function memberLine(field) {
  return `${doc(field.about, '  ')}  ${field.name}${field.need ? '' : '?'}: ${typeName(field)};\n`
}

function typeName({ type, max }) {
  const name = {
    enum: () => pascal(type.name),
    int: () => 'number',
    bool: () => 'boolean',
    text: () => 'string',
    u64: () => 'U64',
    entry_id: () => 'EntryId',
    struct: () => pascal(type.name),
    const: () => `"${type.value}"`,
    kind: () => 'Kind',
    v: () => 'number',
    json: () => 'unknown',
  }[type.form]()
  return max === undefined ? name : `${name}[]`
}

function kindTypes({ kinds }) {
  if (kinds.length === 0) return ''
  const rows = kinds.map(
    ({ def, name, v, from, lane, act, voidable, undoable }) =>
      `  ${def}: { kind: "${name}", v: ${v}, from: "${from}", lane: "${lane}", act: ${act}, voidable: ${voidable}, ` +
      `undoable: ${undoable} },\n`,
  )
  const contents = kinds.map(({ name, v, struct }) => `  | { kind: "${name}"; v: ${v}; body: ${pascal(struct)} }\n`)
  return (
    '/** Every kind and version of entry: who may send it, by which lane, whether undo counts it, whether it can be voided, whether undone. */\n' +
    `export const KINDS = {\n${rows.join('')}} as const;\n` +
    'export type Kind = (typeof KINDS)[keyof typeof KINDS]["kind"];\n\n' +
    `/** A kind with its version and the body that belongs to it. */\nexport type Content =\n${contents.join('').trimEnd()};\n`
  )
}

function envelopeType({ ts, about, fields }) {
  const head = fields.filter((field) => !['kind', 'v', 'body'].includes(field.type.form))
  return `export interface ${ts}Head {\n${head.map(memberLine).join('')}}\n${doc(about)}export type ${ts} = ${ts}Head & Content;\n`
}

function messageTypes({ messages }) {
  return ['up', 'down']
    .filter((dir) => messages[dir].length > 0)
    .map(
      (dir) =>
        `export type ${pascal(dir)} =\n${messages[dir]
          .map(({ struct }) => `  | ${pascal(struct)}\n`)
          .join('')
          .trimEnd()};\n`,
    )
    .join('\n')
}

function boardTypes({ ts, about, parts }) {
  const values = parts.map((part) => `${doc(part.about, '  ')}  ${part.name}: ${pascal(part.struct)};\n`)
  const rows = parts.map(
    ({ name, key, max }) => `  ${name}: { key: ${key === null ? 'null' : `"${key}"`}, max: ${max} },\n`,
  )
  const flat = parts.map(({ name, key, struct }) =>
    key === null ? `  ${name}: ${pascal(struct)};\n` : `  [${name}: \`${name}/\${string}\`]: ${pascal(struct)};\n`,
  )
  return (
    `/** What one value of each part is. */\nexport interface Parts {\n${values.join('')}}\nexport type PartName = keyof Parts;\n\n` +
    '/** A part without a key is there unless it says nothing; one with a key has an id for each value, such as lines/3. */\n' +
    `export const PARTS = {\n${rows.join('')}} as const;\n\n` +
    `${doc(about)}export interface ${ts} {\n${flat.join('')}}\n`
  )
}

/** How long a text may be: what a page asks for must fit what the server takes. */
function textBytes({ structs }) {
  const rows = structs
    .map(({ name, fields }) => ({ name, texts: fields.filter((field) => field.type.form === 'text') }))
    .filter(({ texts }) => texts.length > 0)
    .map(
      ({ name, texts }) => `  ${name}: { ${texts.map((field) => `${field.name}: ${field.type.bytes}`).join(', ')} },\n`,
    )
  return `/** The most bytes of UTF-8 that a text field takes. */\nexport const TEXT_BYTES = {\n${rows.join('')}} as const;\n`
}
