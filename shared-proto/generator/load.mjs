// Reads the schemas and turns them into one model that the three writers share.
//
// The model:
//   enums     [{ name, values, about }]
//   structs   [{ name, ts, about, place, fields }] dependencies first; layout.mjs adds size, align and members
//   kinds     [{ def, name, v, from, lane, act, voidable, undoable, struct }]
//   board     { name, parts: [{ name, struct, max, key, keyForm }] } or null
//   messages  { up: [{ def, t, struct }], down: [...] }
//   refusals  [{ code, words }]
//   proto     the protocol's build id
// A field is { name, need, type, about, max }; max is set for a list. A type is { form, ... } (see typeOf).

import { createHash } from 'node:crypto'
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { patternSteps } from './pattern.mjs'
import { layOut } from './layout.mjs'
import { pascal, upper } from './text.mjs'

export class SchemaError extends Error {}

const FILES = ['types.json', 'entries.json', 'board.json', 'wire.json']
const NUMBER_LIMIT = 999999999999999
const ABOUT = ['description', 'title', '$comment']
const NAME = /^[a-z][a-z0-9]*(_[a-z0-9]+)*$/
const C_WORDS = new Set(
  (
    'auto break case char const continue default do double else enum extern float for goto if inline int long register ' +
    'restrict return short signed sizeof static struct switch typedef union unsigned void volatile while bool true false'
  ).split(' '),
)

/** Enums that the generated tables need: made here when no schema defines them. The codec relies on the order of lane. */
const OWN_ENUMS = {
  lane: ['ordinary', 'emergency'],
  source: ['anyone', 'guest', 'crew', 'helm', 'server'],
  kind_lane: ['ordinary', 'emergency', 'both'],
}

export function loadModel(schemaDir, refusalsFile) {
  const files = FILES.filter((name) => existsSync(join(schemaDir, name)))
  if (files.length === 0) throw new SchemaError(`${schemaDir}: none of ${FILES.join(', ')} is there`)
  const documents = new Map(files.map((name) => [name, readJson(join(schemaDir, name))]))
  const refusals = readRefusals(refusalsFile)
  const schemas = new Schemas(documents)
  const model = {
    proto: buildId(documents, refusals),
    enums: allEnums(schemas),
    structs: [],
    kinds: [],
    board: null,
    messages: { up: [], down: [] },
    refusals,
  }
  for (const [file, document] of documents)
    for (const name of Object.keys(document.$defs)) addDefinition(model, schemas, file, name)
  model.structs = dependenciesFirst(model.structs, model.kinds)
  layOut(model)
  refuseSameConstants(model)
  return model
}

function readJson(path) {
  try {
    return JSON.parse(readFileSync(path, 'utf8'))
  } catch (error) {
    throw new SchemaError(`${path}: ${error.message}`)
  }
}

function readRefusals(path) {
  const { codes } = readJson(path)
  if (!Array.isArray(codes)) throw new SchemaError(`${path}: expected {"codes": [...]}`)
  for (const { code, words } of codes) {
    checkName(code, `${path}: code`)
    if (typeof words !== 'string' || (words === '') !== (code === 'none'))
      throw new SchemaError(`${path}: ${code} needs words; none alone has none`)
  }
  return codes.filter(({ code }) => code !== 'none')
}

/** 16 hex digits that change with any change of the protocol, and with nothing else. */
function buildId(documents, refusals) {
  const canonical = canonicalText([...documents.values(), refusals])
  return createHash('sha256').update(canonical).digest('hex').slice(0, 16)
}

/** Sorted and without the prose: a better description is no other protocol. */
function canonicalText(value) {
  if (Array.isArray(value)) return `[${value.map(canonicalText).join(',')}]`
  if (typeof value !== 'object' || value === null) return JSON.stringify(value)
  const isProse = (key) => ABOUT.includes(key) && typeof value[key] === 'string'
  const keys = Object.keys(value).filter((key) => !isProse(key))
  return `{${keys.sort().map((key) => `${JSON.stringify(key)}:${canonicalText(value[key])}`)}}`
}

/** The documents with their references: finds what a $ref means and gives every place a printable name. */
class Schemas {
  constructor(documents) {
    this.documents = documents
    for (const [file, document] of documents) {
      if (typeof document.$defs !== 'object') throw new SchemaError(`${file}: no $defs`)
      if (document.$id !== file) throw new SchemaError(`${file}: $id must be "${file}"`)
    }
  }

  /** { file, name, schema, place } of a reference made in `file`. */
  target(ref, file, place) {
    const found = /^([a-z_]+\.json)?#\/\$defs\/([a-z0-9_]+)$/.exec(ref)
    if (!found) throw new SchemaError(`${place}: a reference must look like types.json#/$defs/side, not ${ref}`)
    return this.definition(found[1] ?? file, found[2], place)
  }

  definition(file, name, place) {
    const schema = this.documents.get(file)?.$defs[name]
    if (schema === undefined) throw new SchemaError(`${place}: there is no ${file}#/$defs/${name}`)
    return { file, name, schema, place: `${file}#/$defs/${name}` }
  }
}

function addDefinition(model, schemas, file, name) {
  const def = schemas.definition(file, name, file)
  checkName(name, def.place)
  if (def.schema['x-parts']) model.board = boardOf(model, schemas, def)
  else if (def.schema.type === 'object') addObject(model, schemas, def)
  else typeOf(schemas, def.schema, def, true)
}

function addObject(model, schemas, def) {
  const struct = structOf(schemas, def)
  model.structs.push(struct)
  if (def.schema['x-kind']) model.kinds.push(kindOf(model, def, struct.name))
  if (def.schema['x-message']) addMessage(model, def, struct)
}

/** struct body_strike, struct msg_hello, struct line: what an object definition is called in C. */
function structName({ name, schema }) {
  if (schema['x-kind']) return `body_${name}`
  if (schema['x-message']) return `msg_${name}`
  return name
}

function structOf(schemas, def) {
  allowKeys(def.schema, ['type', 'properties', 'required', 'additionalProperties', 'x-kind', 'x-message'], def.place)
  if (def.schema.additionalProperties !== false)
    throw new SchemaError(`${def.place}: an object needs "additionalProperties": false`)
  const properties = def.schema.properties ?? {}
  const required = def.schema.required ?? []
  for (const name of required)
    if (!(name in properties)) throw new SchemaError(`${def.place}: ${name} is required but not among the properties`)
  const fields = Object.entries(properties).map(([name, schema]) =>
    fieldOf(schemas, def, name, schema, required.includes(name)),
  )
  checkEnvelope(fields, def)
  const name = structName(def)
  return { name, ts: pascal(name), about: def.schema.description, place: def.place, fields }
}

function fieldOf(schemas, def, name, schema, need) {
  const place = `${def.place}/properties/${name}`
  checkName(name, place)
  if (C_WORDS.has(name)) throw new SchemaError(`${place}: ${name} is a word of C`)
  const field = { name, need, about: schema.description, place }
  if (schema.type !== 'array') return { ...field, type: typeOf(schemas, schema, { ...def, place }, false) }
  allowKeys(schema, ['type', 'items', 'maxItems'], place)
  checkInteger(schema.maxItems, 1, 100000, `${place}/maxItems`)
  const type = typeOf(schemas, schema.items ?? {}, { ...def, place: `${place}/items` }, false)
  if (['const', 'kind', 'body', 'json'].includes(type.form))
    throw new SchemaError(`${place}: a list cannot hold ${type.form}`)
  return { ...field, type, max: schema.maxItems }
}

/** kind, v and body belong together: C holds one enum for kind and v, and a union for the body. */
function checkEnvelope(fields, def) {
  const kind = fields.find((field) => field.type.form === 'kind')
  const body = fields.find((field) => field.type.form === 'body')
  if (!kind && !body) return
  const v = fields.find((field) => field.name === 'v')
  if (!kind || !v || v.type.form !== 'int')
    throw new SchemaError(`${def.place}: x-c kind, an integer v and x-c body belong together`)
  for (const field of [kind, v, body])
    if (field && !field.need) throw new SchemaError(`${field.place}: must be required`)
  v.type = { form: 'v', kindField: kind.name }
  if (body) body.type.kindField = kind.name
}

/**
 * What a value is: { form: "enum", name } { form: "int", min, max, bits } { form: "bool" }
 * { form: "text", bytes, min, pattern, steps } { form: "u64" } { form: "entry_id" } { form: "struct", name }
 * { form: "const", value } { form: "kind" } { form: "v" } { form: "body" } { form: "json" }.
 */
function typeOf(schemas, schema, def, atTop) {
  if (schema.$ref !== undefined) return referencedType(schemas, schema, def)
  if (schema['x-c'] !== undefined) return specialType(schema, def.place)
  if (schema.const !== undefined) return constType(schema, def.place)
  if (schema.type === 'integer') return integerType(schema, def.place)
  if (schema.type === 'boolean') return allowKeys(schema, ['type'], def.place) && { form: 'bool' }
  if (schema.type === 'string' && schema.enum) {
    if (!atTop) throw new SchemaError(`${def.place}: an enum needs a name of its own in $defs`)
    return allowKeys(schema, ['type', 'enum'], def.place) && { form: 'enum', name: def.name }
  }
  if (schema.type === 'string') return textType(schema, def.place)
  throw new SchemaError(`${def.place}: not a form this protocol has`)
}

function referencedType(schemas, schema, def) {
  allowKeys(schema, ['$ref'], def.place)
  const target = schemas.target(schema.$ref, def.file, def.place)
  if (target.schema['x-parts']) throw new SchemaError(`${def.place}: the board cannot be part of something`)
  if (target.schema.type === 'object' && target.schema['x-c'] === undefined)
    return { form: 'struct', name: structName(target) }
  return typeOf(schemas, target.schema, target, true)
}

const SPECIAL_PATTERNS = {
  u64: '^[0-9a-f]{16}$',
  entry_id: '^[0-9a-f]{16}\\.[oe]\\.[1-9][0-9]{0,8}$',
}

function specialType(schema, place) {
  const form = schema['x-c']
  if (form in SPECIAL_PATTERNS) {
    allowKeys(schema, ['type', 'pattern', 'x-c'], place)
    if (schema.type !== 'string' || schema.pattern !== SPECIAL_PATTERNS[form])
      throw new SchemaError(`${place}: ${form} is a string with the pattern ${SPECIAL_PATTERNS[form]}`)
    return { form }
  }
  if (['kind', 'body', 'json'].includes(form)) return { form }
  throw new SchemaError(`${place}: x-c ${form} is not known`)
}

function constType(schema, place) {
  allowKeys(schema, ['const', 'type'], place)
  checkName(schema.const, place)
  return { form: 'const', value: schema.const }
}

function integerType(schema, place) {
  allowKeys(schema, ['type', 'minimum', 'maximum'], place)
  const { minimum: min, maximum: max } = schema
  checkInteger(min, -NUMBER_LIMIT, NUMBER_LIMIT, `${place}/minimum`)
  checkInteger(max, min, NUMBER_LIMIT, `${place}/maximum`)
  const bits = min >= -(2 ** 31) && max < 2 ** 31 ? 32 : 64
  return { form: 'int', min, max, bits }
}

function textType(schema, place) {
  allowKeys(schema, ['type', 'maxLength', 'minLength', 'pattern', 'x-bytes'], place)
  if (schema['x-bytes'] !== true) throw new SchemaError(`${place}: a text needs "x-bytes": true`)
  checkInteger(schema.maxLength, 1, 65535, `${place}/maxLength`)
  const min = schema.minLength ?? 0
  checkInteger(min, 0, schema.maxLength, `${place}/minLength`)
  if (schema.pattern === undefined) return { form: 'text', bytes: schema.maxLength, min }
  try {
    return { form: 'text', bytes: schema.maxLength, min, pattern: schema.pattern, steps: patternSteps(schema.pattern) }
  } catch (error) {
    throw new SchemaError(`${place}/pattern: ${error.message}`)
  }
}

function kindOf(model, def, struct) {
  const about = def.schema['x-kind']
  const place = `${def.place}/x-kind`
  allowKeys(about, ['v', 'name', 'from', 'lane', 'act', 'voidable', 'undoable'], place)
  const name = about.name ?? def.name
  checkName(name, place)
  checkInteger(about.v, 1, 999, `${place}/v`)
  checkValue(model, 'source', about.from, place)
  checkValue(model, 'kind_lane', about.lane, place)
  if ([about.act, about.voidable, about.undoable].some((flag) => typeof flag !== 'boolean'))
    throw new SchemaError(`${place}: act, voidable and undoable must be true or false`)
  if (about.undoable && !(about.act && about.voidable))
    throw new SchemaError(`${place}: only an act that is voidable can be undoable`)
  if (model.kinds.some((kind) => kind.name === name && kind.v === about.v))
    throw new SchemaError(`${place}: ${name} version ${about.v} is there twice`)
  return {
    def: def.name,
    name,
    v: about.v,
    from: about.from,
    lane: about.lane,
    act: about.act,
    voidable: about.voidable,
    undoable: about.undoable,
    struct,
  }
}

function checkValue(model, enumName, value, place) {
  if (!model.enums.find((one) => one.name === enumName).values.includes(value))
    throw new SchemaError(`${place}: ${value} is not a ${enumName}`)
}

function addMessage(model, def, struct) {
  const { dir } = def.schema['x-message']
  const place = `${def.place}/x-message`
  allowKeys(def.schema['x-message'], ['dir'], place)
  if (dir !== 'up' && dir !== 'down') throw new SchemaError(`${place}: dir is up or down`)
  const t = struct.fields.find((field) => field.name === 't')
  if (t?.type.form !== 'const' || !t.need) throw new SchemaError(`${place}: needs a required t with a const`)
  if (model.messages[dir].some((message) => message.t === t.type.value))
    throw new SchemaError(`${place}: t ${t.type.value} is there twice`)
  model.messages[dir].push({ def: def.name, t: t.type.value, struct: struct.name })
}

function boardOf(model, schemas, def) {
  if (model.board) throw new SchemaError(`${def.place}: there can be one board only`)
  allowKeys(def.schema, ['type', 'x-parts', 'properties', 'required', 'additionalProperties'], def.place)
  const parts = Object.entries(def.schema.properties).map(([name, schema]) => partOf(schemas, def, name, schema))
  return { name: def.name, ts: pascal(def.name), about: def.schema.description, place: def.place, parts }
}

function partOf(schemas, def, name, schema) {
  const place = `${def.place}/properties/${name}`
  checkName(name, place)
  const single = schema.type !== 'array'
  if (!single) allowKeys(schema, ['type', 'maxItems', 'items', 'x-key'], place)
  const type = typeOf(schemas, single ? schema : schema.items, { ...def, place }, false)
  if (type.form !== 'struct') throw new SchemaError(`${place}: a part is an object, or a list of objects with x-key`)
  const part = { name, struct: type.name, about: schema.description, place, key: null, max: 1 }
  if (single) return part
  checkInteger(schema.maxItems, 1, 100000, `${place}/maxItems`)
  const keySchema = schemas.target(schema.items.$ref, def.file, place)
  const key = keySchema.schema.properties?.[schema['x-key']]
  if (!key || !keySchema.schema.required?.includes(schema['x-key']))
    throw new SchemaError(`${place}: x-key must name a required property`)
  const keyForm = typeOf(schemas, key, keySchema, false).form
  if (!['int', 'u64', 'entry_id'].includes(keyForm))
    throw new SchemaError(`${place}: a key is an integer, a u64 or an entry id`)
  return { ...part, key: schema['x-key'], keyForm, max: schema.maxItems }
}

function allEnums(schemas) {
  const enums = []
  for (const [file, document] of schemas.documents)
    for (const [name, schema] of Object.entries(document.$defs))
      if (schema.enum) enums.push(enumOf(name, schema, `${file}#/$defs/${name}`))
  for (const [name, values] of Object.entries(OWN_ENUMS)) {
    const given = enums.find((one) => one.name === name)
    if (!given) enums.push({ name, values })
    else if (name === 'lane' && given.values.join() !== values.join())
      throw new SchemaError(`${given.place}: must be ${values.join(', ')}`)
  }
  return enums
}

function enumOf(name, schema, place) {
  for (const value of schema.enum) checkName(value, `${place}/enum`)
  if (new Set(schema.enum).size !== schema.enum.length) throw new SchemaError(`${place}: a value is there twice`)
  return { name, values: schema.enum, about: schema.description, place }
}

/** C wants a struct before its first use; a struct that holds itself has no size. */
function dependenciesFirst(structs, kinds) {
  const sorted = []
  const open = new Set()
  const visit = (struct) => {
    if (sorted.includes(struct)) return
    if (open.has(struct)) throw new SchemaError(`${struct.place}: holds itself`)
    open.add(struct)
    for (const { type } of struct.fields) {
      if (type.form === 'struct') visit(structs.find((one) => one.name === type.name))
      if (type.form === 'body') kinds.map((kind) => structs.find((one) => one.name === kind.struct)).forEach(visit)
    }
    sorted.push(struct)
  }
  structs.forEach(visit)
  return sorted
}

/** All enumerators share one name space in C: line_state/in and line/state_in would be the same name. */
function refuseSameConstants(model) {
  const seen = new Map()
  const note = (constant, place) => {
    if (seen.has(constant)) throw new SchemaError(`${place}: ${constant} is also made by ${seen.get(constant)}`)
    seen.set(constant, place)
  }
  for (const one of model.enums)
    for (const value of [...one.values, 'count_']) note(upper(`${one.name}_${value}`), `enum ${one.name}`)
  for (const kind of model.kinds) note(upper(`kind_${kind.def}`), `kind ${kind.def}`)
  for (const part of model.board?.parts ?? []) note(upper(`part_${part.name}`), `part ${part.name}`)
  for (const name of ['PART_SINGLE', 'PART_KEY_INT', 'PART_KEY_U64', 'PART_KEY_ENTRY']) note(name, 'enum part_key')
  for (const { code } of model.refusals) note(upper(`refusal_${code}`), `refusal ${code}`)
  for (const dir of ['up', 'down'])
    for (const message of model.messages[dir]) note(upper(`msg_${dir}_${message.def}`), `message ${message.def}`)
  const tags = new Set(['entry_id', 'entry_kind', 'entry_body', 'refusal_code', 'board_part', 'part_key', 'msg_up'])
  for (const { name, place } of [...model.enums, ...model.structs, ...(model.board ? [model.board] : [])]) {
    if (tags.has(name)) throw new SchemaError(`${place}: there is another ${name} already`)
    tags.add(name)
  }
}

function allowKeys(schema, keys, place) {
  for (const key of Object.keys(schema))
    if (!keys.includes(key) && !ABOUT.includes(key)) throw new SchemaError(`${place}: ${key} is not used here`)
  return true
}

function checkName(name, place) {
  if (typeof name !== 'string' || !NAME.test(name)) throw new SchemaError(`${place}: ${name} is not lower_snake_case`)
}

function checkInteger(value, min, max, place) {
  if (!Number.isInteger(value) || value < min || value > max)
    throw new SchemaError(`${place}: must be a whole number from ${min} to ${max}`)
}
