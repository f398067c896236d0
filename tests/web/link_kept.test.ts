// The second copy: entries above saved_up_to, offered to a new run of the same log.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { Entry, MsgOffer } from 'proto'
import { Bench, CHAIN, entry, OTHER, PAGE } from './bench'

const RUN2 = { run: 'bbbbbbbbbbbbbbbb' }
const RUN3 = { run: 'cccccccccccccccc' }

function seen(bench: Bench, ...entries: Entry[]): void {
  for (const one of entries) bench.say({ t: 'patch', rev: bench.link.board.rev + 1, entry: one, parts: {} })
}

function offers(bench: Bench): MsgOffer[] {
  return bench.sent.filter((message): message is MsgOffer => message.t === 'offer')
}

const seqs = (bench: Bench): number[] => offers(bench).map((offer) => offer.entry.seq)

test('what was not saved is offered to a new run, oldest first, with its age; the page\'s own taps are not', () => {
  const bench = new Bench().live()
  seen(bench, entry(1, 'strike', {}), entry(2, 'strike', {}, { id: `${PAGE}.o.1` }), entry(3, 'strike', {}, { got_ms: 50_200 }),
    entry(4, 'strike', {}))
  bench.saved(1)
  bench.pass(600)
  bench.again(RUN2)
  assert.deepEqual(seqs(bench), [3, 4])
  assert.equal(offers(bench)[0]?.ago_ms, 600 + 400 + 200)
})

test('the server\'s own entries are not offered, but for the numbers that it filled', () => {
  const bench = new Bench().live()
  seen(bench, entry(1, 'strike_lapsed', {}, { from: 'server' }), entry(2, 'gap_filled', {}, { from: 'server', refused: 'gap' }))
  bench.again(RUN2)
  assert.deepEqual(seqs(bench), [2])
})

test('the same run is offered nothing, nor another log, nor by a guest', () => {
  const bench = new Bench().live()
  seen(bench, entry(1, 'strike', {}))
  bench.again()
  assert.deepEqual(seqs(bench), [])
  bench.again({ ...RUN2, from: 'guest' })
  assert.deepEqual(seqs(bench), [])
  bench.again({ ...RUN3, log_id: '2222222222222222', saved: { log_id: '2222222222222222', seq: 0, chain: CHAIN } })
  assert.deepEqual(seqs(bench), [])
  bench.again(RUN2)
  assert.deepEqual(seqs(bench), [], 'a log that is not this one any more has ended the memory')
})

test('an offer that must wait is offered again; one cut off too; an answered one is not', () => {
  const bench = new Bench().live()
  seen(bench, entry(1, 'strike', {}), entry(2, 'strike', {}))
  bench.again(RUN2)
  bench.sent = []
  bench.answer(`${OTHER}.o.1`, 'wait', { retry_ms: 500 })
  bench.answer(`${OTHER}.o.2`, 'seen', { seq: 1 })
  bench.pass(500)
  assert.deepEqual(seqs(bench), [1])
  bench.again(RUN2)
  assert.deepEqual(seqs(bench), [1])
})

test('a further board on one connection: the answer to an offer may be lost, so it is offered again', () => {
  const bench = new Bench().live()
  seen(bench, entry(1, 'strike', {}), entry(2, 'strike', {}))
  bench.again(RUN2)
  bench.fresh({ trip: {} }, 3)
  bench.answer(`${OTHER}.o.1`, 'seen', { seq: 1 })
  bench.sent = []
  bench.fresh({ trip: {} }, 5)
  assert.deepEqual(seqs(bench), [2])
})

test('what the second run took and did not save is offered to the third', () => {
  const bench = new Bench().live()
  seen(bench, entry(7, 'strike', {}), entry(8, 'strike', {}))
  bench.again(RUN2)
  bench.answer(`${OTHER}.o.7`, 'seen', { seq: 3 })
  bench.answer(`${OTHER}.o.8`, 'known')
  bench.again(RUN3)
  assert.deepEqual(offers(bench).map((offer) => offer.entry.id), [`${OTHER}.o.8`, `${OTHER}.o.7`],
    'what it knew already is the older')
  bench.answer(`${OTHER}.o.7`, 'seen', { seq: 1 })
  bench.answer(`${OTHER}.o.8`, 'known')
  bench.pulse({ saved_up_to: 1, unsaved: 1 })
  bench.saved(2)
  bench.again({ run: 'dddddddddddddddd' })
  assert.deepEqual(seqs(bench), [])
})

test('an alarm is kept as well, before its patch comes', () => {
  const bench = new Bench().live()
  bench.say({ t: 'alarm', entry: entry(1, 'overboard', {}, { id: `${OTHER}.e.1` }) })
  bench.again(RUN2)
  assert.deepEqual(offers(bench).map((offer) => offer.entry.id), [`${OTHER}.e.1`])
})

test('at most 32 offers fly', () => {
  const bench = new Bench().live()
  seen(bench, ...Array.from({ length: 50 }, (_, i) => entry(i + 1, 'strike', {})))
  bench.again(RUN2)
  assert.equal(offers(bench).length, 32)
  bench.answer(`${OTHER}.o.1`, 'seen', { seq: 1 })
  assert.equal(offers(bench).length, 33)
})
