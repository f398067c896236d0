// Writes debrief.ts: the TypeScript types of debrief.json.
//
// The debrief is no part of the protocol: nothing sends it to the board, so it needs no codec and no limits, and its schema is
// plain JSON Schema with numbers in it. Enums that it takes from types.json are those of proto.ts.

import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { SchemaError } from './load.mjs'
import { pascal } from './text.mjs'

const FILE = 'debrief.json'
const SIMPLE = { integer: 'number', number: 'number', string: 'string', boolean: 'boolean' }

/** The text of debrief.ts, or null where there is no such schema. enums: the names that types.json gives to its enums. */
export function debriefTypescript(schemaDir, enums) {
  const path = join(schemaDir, FILE)
  if (!existsSync(path)) return null
  const { $defs } = JSON.parse(readFileSync(path, 'utf8'))
  const used = new Set()
  const types = Object.entries($defs).map(([name, schema]) => typeOf(name, schema, { $defs, enums, used }))
  const imports = [...used].sort().join(', ')
  return [
    '// Made by shared-proto/generate.mjs from shared-proto/schema/debrief.json. Do not edit.\n',
    ...(imports ? [`import type { ${imports} } from 'proto'\n`] : []),
    ...types,
  ].join('\n')
}

const doc = (about, indent = '') => (about ? `${indent}/** ${about.replaceAll('*/', '* /')} */\n` : '')

/** A definition's TypeScript name: those that would shadow a name of proto.ts or of the language stand apart. */
const typeName = (name) => (name === 'debrief' ? 'Debrief' : `Debrief${pascal(name)}`)

function typeOf(name, schema, all) {
  const place = `${FILE}#/$defs/${name}`
  if (schema.type !== 'object') return `${doc(schema.description)}export type ${typeName(name)} = ${valueOf(schema, all, place)};\n`
  if (schema.additionalProperties !== false) throw new SchemaError(`${place}: an object needs "additionalProperties": false`)
  const required = schema.required ?? []
  for (const one of required)
    if (!(one in schema.properties)) throw new SchemaError(`${place}: ${one} is required but not among the properties`)
  const members = Object.entries(schema.properties).map(([key, member]) =>
    `${doc(member.description, '  ')}  ${key}${required.includes(key) ? '' : '?'}: ${valueOf(member, all, `${place}/${key}`)};\n`)
  return `${doc(schema.description)}export interface ${typeName(name)} {\n${members.join('')}}\n`
}

function valueOf(schema, all, place) {
  if (schema.$ref) return refOf(schema.$ref, all, place)
  if (schema.enum) return schema.enum.map((value) => JSON.stringify(value)).join(' | ')
  if ('const' in schema) return JSON.stringify(schema.const)
  if (schema.type === 'array') {
    const item = valueOf(schema.items, all, `${place}/items`)
    return item.includes('|') ? `(${item})[]` : `${item}[]`
  }
  const simple = SIMPLE[schema.type]
  if (!simple) throw new SchemaError(`${place}: a debrief is made of objects, lists, numbers, texts and truths`)
  return simple
}

function refOf(ref, { $defs, enums, used }, place) {
  const [, file, name] = /^(types\.json)?#\/\$defs\/([a-z0-9_]+)$/.exec(ref) ?? []
  if (!name || !(file ? enums.includes(name) : name in $defs)) throw new SchemaError(`${place}: there is no ${ref}`)
  if (!file) return typeName(name)
  used.add(pascal(name))
  return pascal(name)
}
