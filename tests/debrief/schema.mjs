// The debrief's schema as ajv reads it: the sentences in which a debrief breaks it, none if it holds.

import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import Ajv2020 from 'ajv/dist/2020.js'

const SCHEMA = join(dirname(fileURLToPath(import.meta.url)), '../../shared-proto/schema')
const read = (name) => JSON.parse(readFileSync(join(SCHEMA, name), 'utf8'))

const ajv = new Ajv2020.default({ allErrors: true, strict: true, strictTypes: false })
ajv.addVocabulary(['x-c', 'x-kind', 'x-bytes'])
ajv.addSchema(read('types.json'))
const valid = ajv.compile(read('debrief.json'))

export function faults(debrief) {
  return valid(debrief) ? [] : valid.errors.map(({ instancePath, message, params }) => `${instancePath} ${message} ${JSON.stringify(params)}`)
}
