// Several pages of one phone, which share its storage; and a phone that comes from another boat.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { Row } from '../../web/src/link_types'
import { Bench, LOG, OTHER, PAGE } from './bench'

const RUN1 = { run: 'aaaaaaaaaaaaaaaa' }
const RUN2 = { run: 'bbbbbbbbbbbbbbbb' }
const BOAT2 = '2222222222222222'

/** Two pages of one phone. */
function twoPages(): [Bench, Bench] {
  const first = new Bench()
  const second = new Bench({ page: OTHER })
  second.rows = first.rows
  return [first.live(), second.live()]
}

const rows = (bench: Bench): Row[] => [...bench.rows.values()]

test('a tap is sent to another run only once its row is marked for it', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  assert.equal(bench.rows.get(id)?.run, RUN1.run)
  bench.slow_storage = true
  bench.again(RUN2)
  assert.deepEqual(bench.taps(), [])
  assert.equal(bench.rows.get(id)?.run, RUN2.run)
  bench.input({ is: 'claimed', run: RUN1.run, rows: rows(bench) })
  assert.deepEqual(bench.taps(), [], 'a mark for a run that is over says nothing')
  bench.input({ is: 'claimed', run: RUN2.run, rows: rows(bench) })
  assert.deepEqual(bench.tapIds(), [id])
})

test('a storage that does not answer a claim counts as broken, and the taps go out', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.slow_storage = true
  bench.again(RUN2)
  for (let i = 0; i < 4; i++) {
    bench.pass(500)
    bench.pulse()
  }
  assert.equal(bench.link.taps.storage, 'memory')
  assert.deepEqual(bench.tapIds(), [id])
})

test('an emergency of the page itself waits for no mark', () => {
  const bench = new Bench().live()
  const id = bench.act('overboard')
  bench.slow_storage = true
  bench.again(RUN2)
  assert.deepEqual(bench.tapIds(), [id])
})

test('a refusal that one page was told holds for the other too: it sends the tap to the next run as told no', () => {
  const [first, second] = twoPages()
  const id = first.act('strike')
  second.input({ is: 'rows', rows: rows(first) })
  assert.deepEqual(second.tapIds(), [id], 'the first page seemed to be gone')
  first.answer(id, 'refused', { seq: 3, code: 'no_trip' })
  assert.equal(first.state(id), 'refused')
  second.again(RUN2)
  assert.deepEqual(second.taps().map((tap) => [tap.id, tap.told_no]), [[id, 'no_trip']])
  assert.equal(second.state(id), 'refused')
})

test('a refusal that comes after the other page has sent the tap to the next run is not told before it is saved', () => {
  const [first, second] = twoPages()
  const id = first.act('strike')
  second.input({ is: 'rows', rows: rows(first) })
  second.again(RUN2)
  assert.deepEqual(second.taps().map((tap) => tap.told_no), [undefined])
  first.answer(id, 'refused', { seq: 3, code: 'no_trip' })
  assert.equal(first.state(id), 'seen', 'the next run may be taking it now')
  assert.equal(first.rows.get(id)?.told_no, undefined)
  second.answer(id, 'seen', { seq: 2 })
  first.again(RUN2)
  assert.deepEqual(first.taps().map((tap) => tap.told_no), [undefined])
  first.answer(id, 'known', { seq: 2 })
  first.saved(2)
  second.saved(2)
  assert.deepEqual([first.state(id), second.state(id)], ['saved', 'saved'])
  assert.equal(first.rows.size, 0)
})

test('a row that is gone is put back when its page sends it: storage cleared under a live page', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.rows.clear()
  bench.again(RUN2)
  assert.deepEqual(bench.tapIds(), [id])
  assert.equal(bench.rows.get(id)?.run, RUN2.run)
})

test('the storage is read at the start, with each welcome, when the page comes to the front, and every 10 s', () => {
  const bench = new Bench()
  const reads = (): number => bench.effects.filter((effect) => effect.do === 'read').length
  bench.live()
  assert.equal(reads(), 2)
  bench.input({ is: 'visible', visible: true })
  assert.equal(reads(), 3)
  for (let i = 0; i < 24; i++) {
    bench.pass(400)
    bench.pulse()
  }
  assert.equal(reads(), 3)
  bench.pass(400)
  assert.equal(reads(), 4)
  bench.input({ is: 'storage_failed' })
  for (let i = 0; i < 30; i++) {
    bench.pass(400)
    bench.pulse()
  }
  assert.equal(reads(), 4)
})

test('a phone that comes from another boat keeps that boat\'s taps to itself; back on that boat they go out', () => {
  const before = new Bench().live()
  before.input({ is: 'closed', gen: before.gen })
  before.act('overboard')
  before.act('strike')
  assert.deepEqual(rows(before).map((row) => row.boat), [LOG, LOG])
  const away = new Bench({ page: OTHER })
  away.rows = before.rows
  away.live({ trip: {} }, { log_id: BOAT2, boat: BOAT2, ...RUN2 })
  away.input({ is: 'rows', rows: rows(before) })
  assert.deepEqual(away.taps(), [])
  assert.equal(away.link.taps.waiting(), 0)
  assert.equal(away.state(`${PAGE}.e.1`), 'gone')
  assert.equal(away.rows.size, 2)
  const back = new Bench({ page: 'c'.repeat(16) }).live({ trip: {} }, { log_id: '3333333333333333', boat: LOG, ...RUN2 })
  back.input({ is: 'rows', rows: rows(before) })
  assert.deepEqual(back.tapIds().sort(), [`${PAGE}.e.1`, `${PAGE}.o.1`], 'a log restored from this boat\'s is this boat\'s')
})

test('a page that is open while its phone changes boats sends the second boat only what was tapped on it', () => {
  const bench = new Bench().live()
  bench.input({ is: 'closed', gen: bench.gen })
  bench.act('overboard')
  bench.pass(400)
  bench.opened()
  bench.sent = []
  bench.welcome({ log_id: BOAT2, ...RUN2 })
  assert.deepEqual(bench.taps(), [])
  const id = bench.act('hurt')
  assert.deepEqual(bench.tapIds(), [id])
})

test('an emergency that no board had heard of is sent within the hour, and is nobody\'s after it; other taps are sent', () => {
  const bench = new Bench().live()
  const row = (sender: string, lane: string, minutes: number): Row => ({
    id: `${sender}.${lane}.1`, kind: lane === 'e' ? 'overboard' : 'strike', v: 1, body: {}, wall_ms: bench.wall_ms - minutes * 60_000,
  })
  bench.input({ is: 'rows', rows: [row('00000000000000c1', 'e', 59), row('00000000000000c2', 'e', 61), row('00000000000000c3', 'o', 600)] })
  assert.deepEqual(bench.tapIds().sort(), ['00000000000000c1.e.1', '00000000000000c3.o.1'])
})
