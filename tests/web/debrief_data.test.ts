// The debriefs of the pages' fixtures are such as the program may send: ajv holds them against shared-proto/schema/debrief.json.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import Ajv2020 from 'ajv/dist/2020.js'
import debrief from '../../shared-proto/schema/debrief.json'
import types from '../../shared-proto/schema/types.json'
import { DEBRIEFS } from './fixtures/debrief_data'

const ajv = new Ajv2020({ allErrors: true, strict: false })
ajv.addSchema(types)
const check = ajv.compile(debrief)

for (const [name, one] of Object.entries(DEBRIEFS)) {
  test(`the debrief ${name} keeps to the schema`, () => {
    check(one)
    assert.deepEqual((check.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message}`), [])
  })
}

test('the schema refuses what it does not know', () => {
  assert.equal(check({ ...DEBRIEFS.full, score: 7 }), false)
})
