// What rings, and what was shown.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { Bench, entry, OTHER, PAGE } from './bench'

const CALL = `${OTHER}.o.1`
const ALARM = `${OTHER}.e.1`

test('an alarm rings once: as alarm, as patch, in a fresh board, after a cut', () => {
  const bench = new Bench().live()
  const called = entry(1, 'overboard', {}, { id: ALARM })
  bench.say({ t: 'alarm', entry: called })
  const parts = { overboard: { id: ALARM, calls: [{ id: ALARM, at_ms: 50_000 }] } }
  bench.say({ t: 'patch', rev: 2, entry: called, parts })
  bench.again()
  bench.fresh({ trip: {}, ...parts }, 3)
  assert.deepEqual(bench.rings.map(({ id, what }) => [id, what]), [[ALARM, 'overboard']])
})

test('a call rings when it is new and no older than a minute; overboard always', () => {
  const bench = new Bench().live({ trip: {} }, { now_ms: 200_000 })
  const patch = (rev: number, at_ms: number, kind: 'call' | 'overboard' | 'stop' | 'clear_called', refused = ''): void =>
    bench.say({ t: 'patch', rev, entry: entry(rev, kind, {}, { at_ms, ...(refused ? { refused } : {}) }), parts: {} })
  patch(2, 139_000, 'call')
  assert.equal(bench.rings.length, 0)
  patch(3, 141_000, 'call')
  patch(4, 199_000, 'clear_called')
  patch(5, 199_000, 'stop')
  patch(6, 100, 'overboard')
  patch(7, 199_000, 'call', 'call_nobody')
  assert.deepEqual(bench.rings.map(({ what }) => what), ['call', 'clear', 'stop', 'overboard'])
  bench.say({ t: 'patch', rev: 8, entry: entry(8, 'call', {}, { at_ms: 199_000 }), moot: true, parts: {} })
  assert.equal(bench.rings.length, 4)
})

test('a page that comes while a call stands rings for it, not for what this page has answered', () => {
  const parts = {
    overboard: { id: ALARM, calls: [{ id: ALARM, at_ms: 1 }], heard: [{ page: PAGE }] },
    'calls/x': { id: CALL, at_ms: 49_000 },
    'calls/y': { id: `${OTHER}.o.2`, at_ms: 49_000, state: 'got' },
  }
  const bench = new Bench().live(parts)
  assert.deepEqual(bench.rings.map(({ id }) => id), [CALL])
})

test('a call of another page is receipted once, when the page is in front', () => {
  const bench = new Bench()
  bench.input({ is: 'visible', visible: false })
  bench.live()
  const parts = { [`calls/${CALL}`]: { id: CALL, at_ms: 50_000 }, [`calls/${PAGE}.o.9`]: { id: `${PAGE}.o.9`, at_ms: 50_000 } }
  bench.say({ t: 'patch', rev: 2, entry: entry(1, 'call', {}), parts })
  assert.deepEqual(bench.taps(), [])
  bench.input({ is: 'visible', visible: true })
  assert.deepEqual(bench.taps().map((tap) => [tap.kind, tap.body]), [['shown', { call: CALL }]])
  bench.say({ t: 'patch', rev: 3, entry: entry(2, 'duty', {}), parts: { [`calls/${CALL}`]: { id: CALL, at_ms: 50_000, shown: 1 } } })
  assert.equal(bench.taps().length, 1)
})

test('a debrief and a guest receipt nothing', () => {
  const parts = { [`calls/${CALL}`]: { id: CALL, at_ms: 50_000 } }
  const debrief = new Bench({ view: 'debrief' }).live(parts)
  const guest = new Bench().live(parts, { from: 'guest' })
  assert.deepEqual([...debrief.rows, ...guest.rows], [])
})
