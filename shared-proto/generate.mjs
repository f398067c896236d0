// Makes the C structs, their JSON codecs and the TypeScript types from the schemas.
//
//   node shared-proto/generate.mjs --schema DIR --refusals FILE --out DIR
//
// Reads types.json, entries.json, board.json and wire.json in DIR (those that are there), and the refusals as data.
// Writes proto.h proto.c proto_json.h proto_json.c proto.ts, and debrief.ts where DIR has a debrief.json. The output is never committed: the schemas are the one
// place where the protocol is written.

import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { loadModel, SchemaError } from './generator/load.mjs'
import { protoHeader, protoSource } from './generator/c.mjs'
import { codecHeader, codecSource } from './generator/codec.mjs'
import { debriefTypescript } from './generator/plain_ts.mjs'
import { typescript } from './generator/ts.mjs'

const USAGE = 'usage: node generate.mjs --schema DIR --refusals FILE --out DIR'

function optionsFrom(argv) {
  const options = {}
  for (let i = 0; i < argv.length; i += 2) {
    const name = argv[i]
    if (!['--schema', '--refusals', '--out'].includes(name) || argv[i + 1] === undefined) throw new SchemaError(USAGE)
    options[name.slice(2)] = argv[i + 1]
  }
  if (!options.schema || !options.refusals || !options.out) throw new SchemaError(USAGE)
  return options
}

function main(argv) {
  const options = optionsFrom(argv)
  const model = loadModel(options.schema, options.refusals)
  const outputs = {
    'proto.h': protoHeader(model),
    'proto.c': protoSource(model),
    'proto_json.h': codecHeader(model),
    'proto_json.c': codecSource(model),
    'proto.ts': typescript(model),
  }
  const debrief = debriefTypescript(options.schema, model.enums.map(({ name }) => name))
  if (debrief) outputs['debrief.ts'] = debrief
  mkdirSync(options.out, { recursive: true })
  for (const [name, text] of Object.entries(outputs)) writeFileSync(join(options.out, name), text)
}

try {
  main(process.argv.slice(2))
} catch (error) {
  if (!(error instanceof SchemaError)) throw error
  process.stderr.write(`generate.mjs: ${error.message}\n`)
  process.exitCode = 1
}
