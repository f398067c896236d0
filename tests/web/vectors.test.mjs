// The vectors, read from the pages' side. The C side reads the same files in tests/unit/test_vectors.c.
//
// Canonical text is checked against an implementation of RFC 8785 that is not ours (canonicalize), and what is valid
// against one of JSON Schema 2020-12 that is not ours (ajv).

import assert from 'node:assert/strict'
import { test } from 'node:test'
import canonicalize from 'canonicalize'
import { kinds, messages, problems, schemas, vectors } from './schemas.mjs'

const good = vectors('good')
const bad = vectors('bad')
const DEPTH_MAX = 12

/** The codes of struct proto_error, in shared-proto/reader.h. */
const CODES = (
  'not_json too_deep duplicate trailing utf8 not_object missing unknown_field wrong_type too_long too_short ' +
  'out_of_range bad_form too_many kind_unknown version_unknown message_unknown'
).split(' ')

const enumFirsts = Object.values(schemas['types.json'].$defs).flatMap((schema) => schema.enum?.[0] ?? [])

/** An optional field that says nothing means the same as none: a zero, an enum's first word, nothing but such inside. */
function saysNothing(value) {
  if (Array.isArray(value)) return value.length === 0
  if (typeof value === 'object' && value !== null) return Object.values(value).every(saysNothing)
  return [0, false, '', ...enumFirsts].includes(value)
}

test('every good message is valid, and its canonical text is RFC 8785', () => {
  for (const { name, as, message, canonical } of good) {
    assert.deepEqual(problems(as, message), [], name)
    assert.deepEqual(problems(as, JSON.parse(canonical)), [], `${name}, canonical`)
    assert.equal(canonicalize(JSON.parse(canonical)), canonical, name)
  }
})

test('canonical text leaves out nothing but what says nothing', () => {
  const compare = (name, given, kept) => {
    for (const [key, value] of Object.entries(given)) {
      if (key in kept && typeof value === 'object' && value !== null) compare(name, value, kept[key])
      else if (key in kept) assert.equal(kept[key], value, `${name}: ${key}`)
      else assert.ok(saysNothing(value), `${name}: ${key} is gone`)
    }
    for (const key of Object.keys(kept)) assert.ok(key in given, `${name}: ${key} came from nowhere`)
  }
  for (const { name, message, canonical } of good) compare(name, message, JSON.parse(canonical))
  const unchanged = good.filter(({ message, canonical }) => canonicalize(message) === canonical)
  assert.ok(unchanged.length >= 40)
})

test('every kind of entry and every message is among the good', () => {
  const content = good.map(({ message }) => message.entry ?? message)
  const missing = kinds.filter(({ name, v }) => !content.some((one) => one.kind === name && one.v === v))
  assert.deepEqual(missing, [])
  for (const dir of ['up', 'down'])
    for (const t of messages(dir).keys())
      assert.ok(
        good.some(({ as, message }) => as === dir && message.t === t),
        t,
      )
})

test('every code is among the bad', () => {
  const used = new Set(bad.map(({ code }) => code))
  assert.deepEqual([...CODES].sort(), [...used].sort())
})

const bytesOf = ({ text, hex }) => (hex === undefined ? Buffer.from(text, 'utf8') : Buffer.from(hex, 'hex'))

/** The text, or null when the bytes are not UTF-8; a byte order mark stays. */
function decode(bytes) {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes)
  } catch {
    return null
  }
}

function parse(text) {
  try {
    return { value: JSON.parse(text) }
  } catch {
    return null
  }
}

function depthOf(value) {
  if (typeof value !== 'object' || value === null) return 0
  return 1 + Math.max(0, ...Object.values(value).map(depthOf))
}

function holds(value, is) {
  if (typeof value === 'object' && value !== null)
    return Object.entries(value).some(([key, inner]) => is(key) || holds(inner, is))
  return is(value)
}

const isHalfCharacter = (value) => typeof value === 'string' && /\p{Surrogate}/u.test(value)
const isOddForm = (value) => (typeof value === 'number' ? !Number.isInteger(value) : String(value).includes('\0'))
const isTooLong = (value) => typeof value === 'number' && Math.abs(value) > 999999999999999

/** How JavaScript's own reading of the bytes bears out why the strict reader turns them down. */
const BORNE_OUT = {
  not_json: (text) => parse(text) === null,
  trailing: (text) => parse(text) === null,
  utf8: (text) => text === null || holds(parse(text).value, isHalfCharacter),
  duplicate: (text) => JSON.stringify(parse(text).value).length < text.length,
  too_deep: (text) => parse(text) === null || depthOf(parse(text).value) > DEPTH_MAX,
  out_of_range: (text) => holds(parse(text).value, isTooLong),
  bad_form: (text) => JSON.stringify(parse(text).value) !== text || holds(parse(text).value, isOddForm),
}

const isReaders = ({ code, at }) => at.startsWith('byte ') || code === 'duplicate'

test('why the strict reader turns a text down is there to be seen', () => {
  const list = bad.filter(isReaders)
  assert.ok(list.length >= 20)
  for (const vector of list) assert.ok(BORNE_OUT[vector.code](decode(bytesOf(vector))), vector.name)
})

test('what the codecs turn down, the schemas turn down at the same place', () => {
  const list = bad.filter((vector) => !isReaders(vector))
  assert.ok(list.length >= 20)
  for (const { name, as, text, code, at } of list) {
    const found = problems(as, JSON.parse(text))
    assert.ok(
      found.some((one) => one.code === code && one.at === at),
      `${name}: expected ${code} at ${at}, found ${JSON.stringify(found)}`,
    )
  }
})
