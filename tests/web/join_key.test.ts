// A key that was typed by hand, against Crockford's base 32 (Douglas Crockford, "Base 32": what a decoder takes).

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { isHelmNumber, typedKey } from '../../web/src/ui/join_key'

test('small letters, breaks and letters that look like digits are the same key', () => {
  for (const text of ['7Q2M0ZK8T3V5XJ4N6R9WBYCDEF', ' 7q2m 0zk8 t3v5 xj4n 6r9w bycd ef ', '7Q2M-OZK8-T3V5-XJ4N-6R9W-BYCD-EF']) assert.equal(typedKey(text), '7Q2M0ZK8T3V5XJ4N6R9WBYCDEF')
  assert.equal(typedKey('il1oO0'), '111000')
  assert.equal(typedKey(' - '), '')
})

test('four digits are the helm’s number, and no key', () => {
  assert.deepEqual(['4711', ' 4711 ', '471', '47114', '47a1', ''].map(isHelmNumber), [true, true, false, false, false, false])
})
