// The generator: what it makes is the same each time, and a schema that is not of the dialect is an error that names the
// place. What the made C does is tested in tests/unit/test_codec.c, on the same sample.

import assert from 'node:assert/strict'
import { execFileSync, spawnSync } from 'node:child_process'
import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { test } from 'node:test'
import { TOP } from './schemas.mjs'

const GENERATOR = join(TOP, 'shared-proto/generate.mjs')
const SAMPLE = join(TOP, 'tests/unit/proto-sample')
const MADE = ['proto.c', 'proto.h', 'proto.ts', 'proto_json.c', 'proto_json.h']

function inScratch(use) {
  const folder = mkdtempSync(join(tmpdir(), 'proto-'))
  try {
    cpSync(join(SAMPLE, 'schema'), join(folder, 'schema'), { recursive: true })
    cpSync(join(SAMPLE, 'refusals.json'), join(folder, 'refusals.json'))
    return use(folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}

const argumentsIn = (folder, out) => [
  ...[GENERATOR, '--schema', join(folder, 'schema')],
  ...['--refusals', join(folder, 'refusals.json'), '--out', join(folder, out)],
]

function change(folder, file, edit) {
  const path = join(folder, file)
  const json = JSON.parse(readFileSync(path, 'utf8'))
  edit(json.$defs ?? json)
  writeFileSync(path, JSON.stringify(json))
}

const readMade = (folder, out) => MADE.map((name) => readFileSync(join(folder, out, name), 'utf8'))
const protoOf = (folder, out) => /PROTO = "([0-9a-f]{16})"/.exec(readFileSync(join(folder, out, 'proto.ts'), 'utf8'))[1]

test('the same schemas make the same five files', () =>
  inScratch((folder) => {
    execFileSync(process.execPath, argumentsIn(folder, 'one'))
    execFileSync(process.execPath, argumentsIn(folder, 'two'))
    assert.deepEqual(readdirSync(join(folder, 'one')).sort(), MADE)
    assert.deepEqual(readMade(folder, 'one'), readMade(folder, 'two'))
  }))

test('the build id changes with the protocol, and not with its prose or layout', () =>
  inScratch((folder) => {
    execFileSync(process.execPath, argumentsIn(folder, 'one'))
    change(folder, 'schema/types.json', (defs) => (defs.colour.description = 'Said better.'))
    execFileSync(process.execPath, argumentsIn(folder, 'two'))
    change(folder, 'schema/types.json', (defs) => defs.colour.enum.push('green'))
    execFileSync(process.execPath, argumentsIn(folder, 'three'))
    assert.equal(protoOf(folder, 'one'), protoOf(folder, 'two'))
    assert.notEqual(protoOf(folder, 'one'), protoOf(folder, 'three'))
  }))

const TYPES = 'schema/types.json'
const ENTRIES = 'schema/entries.json'
const BOARD = 'schema/board.json'
const WIRE = 'schema/wire.json'
const everything = (defs) => defs.everything.properties

/** [file, what is changed, what the message says] */
const MISTAKES = [
  [TYPES, (d) => (everything(d).yes = { type: 'number' }), /everything\/properties\/yes: not a form/],
  [TYPES, (d) => (everything(d).yes = { type: ['boolean', 'null'] }), /everything\/properties\/yes: not a form/],
  [TYPES, (d) => (everything(d).yes.default = true), /properties\/yes: default is not used here/],
  [TYPES, (d) => (everything(d).default = { type: 'boolean' }), /default: default is a word of C/],
  [TYPES, (d) => (everything(d).Yes = { type: 'boolean' }), /Yes: Yes is not lower_snake_case/],
  [TYPES, (d) => delete everything(d).small.minimum, /properties\/small\/minimum: must be a whole number/],
  [TYPES, (d) => (everything(d).large.maximum = 2 ** 53), /properties\/large\/maximum: must be a whole number/],
  [TYPES, (d) => delete everything(d).text['x-bytes'], /properties\/text: a text needs "x-bytes"/],
  [TYPES, (d) => delete everything(d).text.maxLength, /properties\/text\/maxLength: must be/],
  [TYPES, (d) => (everything(d).text = { type: 'string', enum: ['a'] }), /text: an enum needs a name of its own/],
  [TYPES, (d) => (everything(d).page.pattern = '^x$'), /properties\/page: u64 is a string with the pattern/],
  [TYPES, (d) => (everything(d).page['x-c'] = 'u32'), /properties\/page: x-c u32 is not known/],
  [TYPES, (d) => (everything(d).at.$ref = '#/$defs/nowhere'), /at: there is no types.json#\/\$defs\/nowhere/],
  [TYPES, (d) => (everything(d).at.$ref = 'types.json'), /at: a reference must look like/],
  [TYPES, (d) => (d.point.properties.self = { $ref: '#/$defs/point' }), /point: holds itself/],
  [TYPES, (d) => delete d.point.additionalProperties, /point: an object needs "additionalProperties": false/],
  [TYPES, (d) => (d.point.required = ['up']), /point: up is required but not among/],
  [TYPES, (d) => delete everything(d).numbers.maxItems, /properties\/numbers\/maxItems: must be/],
  [TYPES, (d) => (everything(d).numbers.minItems = 1), /properties\/numbers: minItems is not used here/],
  [TYPES, (d) => d.colour.enum.push('red'), /colour: a value is there twice/],
  [TYPES, (d) => (d.lane = { type: 'string', enum: ['a', 'b'] }), /lane: must be ordinary, emergency/],
  [TYPES, (d) => (d.kind = { type: 'string', enum: ['bell'] }), /kind bell: KIND_BELL is also made by enum kind/],
  [ENTRIES, (d) => (d.colour = d.bell) && delete d.colour['x-kind'], /there is another colour already/],
  [ENTRIES, (d) => (d.bell['x-kind'].from = 'god'), /bell\/x-kind: god is not a source/],
  [ENTRIES, (d) => (d.bell['x-kind'].lane = 'fast'), /bell\/x-kind: fast is not a kind_lane/],
  [ENTRIES, (d) => delete d.bell['x-kind'].act, /bell\/x-kind: act, voidable and undoable must be/],
  [ENTRIES, (d) => delete d.bell['x-kind'].undoable, /bell\/x-kind: act, voidable and undoable must be/],
  [ENTRIES, (d) => (d.bell['x-kind'].undoable = true), /bell\/x-kind: only an act that is voidable can be undoable/],
  [ENTRIES, (d) => (d.moved_v2['x-kind'].v = 1), /moved_v2\/x-kind: moved version 1 is there twice/],
  [
    ENTRIES,
    (d) => delete d.entry.properties.v && (d.entry.required = ['kind', 'body']),
    /entry: x-c kind, an integer v/,
  ],
  [ENTRIES, (d) => (d.entry.required = ['v', 'body']), /entry\/properties\/kind: must be required/],
  [BOARD, (d) => (d.board.properties.buoys['x-key'] = 'name'), /buoys: x-key must name a required property/],
  [BOARD, (d) => (d.board.properties.place = { type: 'boolean' }), /place: a part is an object/],
  [BOARD, (d) => (d.other = d.board), /other: there can be one board only/],
  [WIRE, (d) => (d.bye['x-message'].dir = 'sideways'), /bye\/x-message: dir is up or down/],
  [WIRE, (d) => delete d.bye.properties.t && delete d.bye.required, /bye\/x-message: needs a required t/],
  [WIRE, (d) => (d.tap.properties.t.const = 'hello'), /tap\/x-message: t hello is there twice/],
  ['refusals.json', (r) => (r.codes[1].words = ''), /no_bell needs words/],
  ['refusals.json', (r) => delete r.codes, /expected \{"codes"/],
]

test('a schema that is not of the dialect is an error that names the place', () => {
  for (const [file, edit, message] of MISTAKES)
    inScratch((folder) => {
      change(folder, file, edit)
      const { status, stderr } = spawnSync(process.execPath, argumentsIn(folder, 'out'), { encoding: 'utf8' })
      assert.equal(status, 1, `${edit}: ${stderr}`)
      assert.match(stderr, message)
      assert.match(stderr, /^generate\.mjs: .*\n$/)
    })
})

const PATTERNS = ['abc', '^a|b$', '^(a)$', '^a.b$', '^[a-z]*[a-f]$', '^[^a]$', '^\\d$', '^[\\d]$', '^[é]$', '^a*a$']

test('a pattern that plain C could not follow is an error', () => {
  for (const pattern of PATTERNS)
    inScratch((folder) => {
      change(folder, TYPES, (defs) => (everything(defs).word.pattern = pattern))
      const { status, stderr } = spawnSync(process.execPath, argumentsIn(folder, 'out'), { encoding: 'utf8' })
      assert.equal(status, 1, pattern)
      assert.match(stderr, /everything\/properties\/word\/pattern: /)
    })
})

test('without its options, or without schemas, it says how it is used', () => {
  const usage = spawnSync(process.execPath, [GENERATOR, '--schema'], { encoding: 'utf8' })
  assert.equal(usage.status, 1)
  assert.match(usage.stderr, /usage: node generate\.mjs/)
  inScratch((folder) => {
    rmSync(join(folder, 'schema'), { recursive: true })
    const empty = spawnSync(process.execPath, argumentsIn(folder, 'out'), { encoding: 'utf8' })
    assert.equal(empty.status, 1)
    assert.match(empty.stderr, /none of types\.json/)
  })
})

test('a debrief schema makes types of its own, and one that is not plain is an error', () =>
  inScratch((folder) => {
    const path = join(folder, 'schema/debrief.json')
    const about = (properties) => writeFileSync(path, JSON.stringify({ $defs: { debrief: { type: 'object', properties, required: ['n'], additionalProperties: false } } }))
    about({ n: { type: 'number' }, of: { enum: ['a', 'b'] }, hue: { type: 'array', items: { $ref: 'types.json#/$defs/colour' } } })
    execFileSync(process.execPath, argumentsIn(folder, 'one'))
    assert.match(readFileSync(join(folder, 'one/debrief.ts'), 'utf8'),
      /import type { Colour } from 'proto'\n\nexport interface Debrief {\n {2}n: number;\n {2}of\?: "a" \| "b";\n {2}hue\?: Colour\[\];\n}/)
    about({ n: { type: 'null' } })
    const { status, stderr } = spawnSync(process.execPath, argumentsIn(folder, 'two'), { encoding: 'utf8' })
    assert.equal(status, 1)
    assert.match(stderr, /debrief\.json#\/\$defs\/debrief\/n: a debrief is made of/)
  }))
