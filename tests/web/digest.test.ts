import assert from 'node:assert/strict'
import { createHash } from 'node:crypto'
import { test } from 'node:test'
import { boardDigest, canonical, digest } from '../../web/src/digest'

test('canonical: keys sorted by code unit, as RFC 8785 section 3.2.3 orders them', () => {
  assert.equal(canonical({ b: 1, a: [true, { d: 'x', c: -2 }], A: '' }), '{"A":"","a":[true,{"c":-2,"d":"x"}],"b":1}')
})

test('canonical: strings escaped as RFC 8785 section 3.2.2.2 says', () => {
  assert.equal(canonical('\u20ac$\u000f\nA\'B"\\\\"/'), '"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"')
  assert.equal(canonical('\u007f\u2028'), '"\u007f\u2028"')
})

test('digest: the first 8 bytes of SHA-256, against another implementation', () => {
  for (const text of ['', 'abc', 'Zwölf Hände \u{1f41f}'.repeat(100)]) {
    assert.equal(digest(text), createHash('sha256').update(text, 'utf8').digest('hex').slice(0, 16))
  }
})

test('boardDigest: one flat object of the parts, whatever order they came in', () => {
  const parts = { trip: { no: 3 }, 'lines/10': { id: 10 }, 'lines/2': { id: 2 } }
  const texts = new Map(Object.entries(parts).map(([id, value]) => [id, canonical(value)]))
  assert.equal(boardDigest(texts), digest(canonical(parts)))
  assert.equal(boardDigest(new Map([...texts].reverse())), digest(canonical(parts)))
})
