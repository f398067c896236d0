// The replay: any moment's board, whichever way it was come to; only the pages that are wanted are asked for.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { MsgPatch } from 'proto'
import { Replay, eventBeside, lastAtMost } from '../../web/src/debrief/replay'
import type { ReplayHead, ReplayPage, Source } from '../../web/src/debrief/source'

/** 30 entries in pages of 10, one each second; entry n leaves line 1 in since n, and every fifth takes line 2 off and on. */
const flat = (n: number): Record<string, unknown> => ({ trip: { no: 1 }, 'lines/1': { id: 1, name: 'one', since_ms: n }, ...(n % 10 >= 5 ? { 'lines/2': { id: 2, name: 'two' } } : {}) })
const patch = (n: number): MsgPatch => ({
  t: 'patch', rev: n, entry: { seq: 100 + n, id: `a.o.${n}`, got_ms: n * 1000, at_ms: n * 1000 } as unknown as MsgPatch['entry'],
  parts: { 'lines/1': { id: 1, name: 'one', since_ms: n }, ...(n % 10 === 5 ? { 'lines/2': { id: 2, name: 'two' } } : n % 10 === 0 ? { 'lines/2': null } : {}) },
})
const page = (k: number): ReplayPage => ({ page: k, rev: k * 10, start: flat(k * 10), patches: Array.from({ length: 10 }, (_, i) => patch(k * 10 + i + 1)) })
const head: ReplayHead = { pages: [0, 1, 2].map((k) => ({ seq: 101 + k * 10, got_ms: 1000 + k * 10_000 })), last_seq: 130, last_ms: 30_000, presence: [], receipts: [], corrections: [] }

function replay(): { of: Replay; asked: number[] } {
  const asked: number[] = []
  const source = { page: async (_: number, k: number) => { asked.push(k); return page(k) } } as unknown as Source
  return { of: new Replay(source, 1, head), asked }
}

test('every moment has its board, forward, backward and by leaps', async () => {
  const { of } = replay()
  for (const n of [1, 2, 3, 9, 10, 11, 30, 29, 5, 4, 20, 21, 12]) {
    const { seq, board } = await of.at(n * 1000 + 400)
    assert.equal(seq, 100 + n)
    assert.equal(board.lines.get(1)?.since_ms, n)
    assert.equal(board.lines.has(2), n % 10 >= 5, `line 2 after ${n}`)
    assert.deepEqual((await of.after(100 + n)).board.lines.get(1), board.lines.get(1))
  }
})

test('before the first entry there is nothing', async () => {
  const { of, asked } = replay()
  const { seq, board } = await of.at(999)
  assert.deepEqual([seq, board.lines.size, asked], [0, 0, []])
})

test('only the pages that are wanted are asked for, each once', async () => {
  const { of, asked } = replay()
  await of.at(25_000)
  await of.at(26_000)
  assert.deepEqual(asked, [2])
  assert.deepEqual((await of.rows(122, 5)).map((one) => one.entry.seq), [122, 121, 120, 119, 118])
  assert.deepEqual(asked, [2, 1])
})

test('a page that could not be read is asked for again', async () => {
  let fail = true
  const source = { page: async (_: number, k: number) => { if (fail) throw new Error('gone'); return page(k) } } as unknown as Source
  const of = new Replay(source, 1, head)
  await assert.rejects(of.at(5000))
  fail = false
  assert.equal((await of.at(5000)).seq, 105)
})

test('lastAtMost finds the last that is not over', () => {
  assert.deepEqual([0, 1, 2, 3, 9].map((most) => lastAtMost([1, 2, 2, 5], (n) => n, most)), [-1, 0, 2, 2, 3])
})

test('of entries that came at once each has its own moment, and steps go through all of them', async () => {
  const at_once = { ...page(0), patches: page(0).patches.map((one) => ({ ...one, entry: { ...one.entry, got_ms: Math.max(4000, one.entry.got_ms) } })) as MsgPatch[] }
  const of = new Replay({ page: async () => at_once } as unknown as Source, 1, head)
  assert.deepEqual([(await of.at(4000)).seq, (await of.after(102)).seq, (await of.after(102)).board.lines.get(1)?.since_ms], [104, 102, 2])
  const events = at_once.patches.map(({ entry }) => entry).reverse()
  const walk = (now_ms: number, now_seq: number, by: 1 | -1): number[] => {
    const next = eventBeside(events, now_ms, now_seq, by)
    return next ? [next.seq, ...walk(next.got_ms, next.seq, by)] : []
  }
  assert.deepEqual(walk(6000, 106, -1), [105, 104, 103, 102, 101])
  assert.deepEqual(walk(0, 0, 1), [101, 102, 103, 104, 105, 106, 107, 108, 109, 110])
  assert.deepEqual(eventBeside(events, 4000, 0, 1)?.seq, 105, 'all that came at 4000 is there already')
  assert.deepEqual(eventBeside(events, 5000, 0, -1)?.seq, 104)
})
