// The schemas as ajv reads them: a reading of the protocol that shares nothing with the generator or the C codecs.
//
// ajv knows JSON Schema 2020-12. What the dialect adds is checked here by hand: lengths in bytes (x-bytes), the body that
// belongs to a kind (x-kind), and the flat board (x-parts).

import { readFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import Ajv2020 from 'ajv/dist/2020.js'

export const TOP = resolve(dirname(fileURLToPath(import.meta.url)), '../..')
const FILES = ['types.json', 'entries.json', 'board.json', 'wire.json']

const readJson = (path) => JSON.parse(readFileSync(join(TOP, path), 'utf8'))
export const schemas = Object.fromEntries(FILES.map((file) => [file, readJson(`shared-proto/schema/${file}`)]))
export const vectors = (name) => readJson(`shared-proto/vectors/${name}.json`)

const ajv = new Ajv2020.default({ allErrors: true, strict: true, strictTypes: false })
ajv.addVocabulary(['x-c', 'x-kind', 'x-message', 'x-parts', 'x-key'])
ajv.addKeyword({
  keyword: 'x-bytes',
  type: 'string',
  schemaType: 'boolean',
  validate: (_, text, parent) => Buffer.byteLength(text, 'utf8') <= parent.maxLength,
})
for (const file of FILES) ajv.addSchema(schemas[file])

/** Every kind of entry: { def, name, v }. */
export const kinds = Object.entries(schemas['entries.json'].$defs)
  .filter(([, schema]) => schema['x-kind'])
  .map(([def, schema]) => ({ def, name: schema['x-kind'].name ?? def, v: schema['x-kind'].v }))

/** Every message of a direction: its def, by its t. */
export const messages = (dir) =>
  new Map(
    Object.entries(schemas['wire.json'].$defs)
      .filter(([, schema]) => schema['x-message']?.dir === dir)
      .map(([def, schema]) => [schema.properties.t.const, def]),
  )

/** What ajv's keyword means in the words of the codecs. */
const CODES = {
  required: 'missing',
  additionalProperties: 'unknown_field',
  minimum: 'out_of_range',
  maximum: 'out_of_range',
  maxLength: 'too_long',
  'x-bytes': 'too_long',
  minLength: 'too_short',
  pattern: 'bad_form',
  enum: 'bad_form',
  const: 'bad_form',
  maxItems: 'too_many',
}

function asError({ keyword, params, instancePath }) {
  const code = keyword === 'type' ? (params.type === 'object' ? 'not_object' : 'wrong_type') : CODES[keyword]
  const last = params.missingProperty ?? params.additionalProperty
  return { code, at: [...instancePath.split('/').slice(1), ...(last === undefined ? [] : [last])].join('.') }
}

const isObject = (value) => typeof value === 'object' && value !== null && !Array.isArray(value)
const within = (step, errors) => errors.map(({ code, at }) => ({ code, at: at === '' ? step : `${step}.${at}` }))

function errorsOf(ref, value) {
  const validate = ajv.getSchema(ref)
  return validate(value) ? [] : validate.errors.map(asError)
}

/** What is wrong with kind, v and body taken together, for an entry or a tap. */
function contentErrors({ kind, v, body }) {
  if (typeof kind !== 'string' || typeof v !== 'number' || body === undefined) return []
  const named = kinds.filter((one) => one.name === kind)
  const found = named.find((one) => one.v === v)
  if (named.length === 0) return [{ code: 'kind_unknown', at: 'kind' }]
  if (!found) return [{ code: 'version_unknown', at: 'v' }]
  return within('body', errorsOf(`entries.json#/$defs/${found.def}`, body))
}

function messageErrors(dir, value) {
  if (!isObject(value)) return [{ code: 'not_object', at: '' }]
  if (value.t === undefined) return [{ code: 'missing', at: 't' }]
  if (typeof value.t !== 'string') return [{ code: 'wrong_type', at: 't' }]
  const def = messages(dir).get(value.t)
  if (def === undefined) return [{ code: 'message_unknown', at: 't' }]
  const inside = isObject(value.entry) ? within('entry', contentErrors(value.entry)) : contentErrors(value)
  return [...errorsOf(`wire.json#/$defs/${def}`, value), ...inside]
}

function partErrors(id, value) {
  const [name, key] = id.split('/', 2)
  const schema = schemas['board.json'].$defs.board.properties[name]
  if (schema === undefined || (schema.items === undefined) !== (key === undefined))
    return [{ code: 'unknown_field', at: id }]
  const ref = (schema.$ref ?? schema.items.$ref).replace(/^#/, 'board.json#')
  const misnamed = key !== undefined && String(value[schema['x-key']]) !== key
  return [...within(id, errorsOf(ref, value)), ...(misnamed ? [{ code: 'bad_form', at: id }] : [])]
}

/** The board is written flat, from part id to value; a part that says nothing is not there. */
function boardErrors(value) {
  return Object.entries(value).flatMap(([id, part]) => partErrors(id, part))
}

/** All that is wrong with a value as an 'up' or 'down' message, an 'entry', or a 'board': [{ code, at }]. */
export function problems(as, value) {
  if (as === 'entry') return [...errorsOf('entries.json#/$defs/entry', value), ...contentErrors(value)]
  if (as === 'board') return boardErrors(value)
  return messageErrors(as, value)
}
