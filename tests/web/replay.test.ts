// The replay: any moment's board, whichever way it was come to; only the pages that are wanted are asked for.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { MsgPatch } from 'proto'
import { Replay, lastAtMost } from '../../web/src/debrief/replay'
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
