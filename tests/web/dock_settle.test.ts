// What is left to settle at the dock: in which order, how much of it, and by which entries.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { Store, ViewState } from '../../web/src/store'
import { boardFromFlat } from '../../web/src/ui/flat'
import { dockRows } from '../../web/src/views/dock_seen'
import { unsettled } from '../../web/src/views/dock_settle'
import { type Flat, FISHING, HELM, MIN, NOW, STATION, allLines, id, line } from './fixtures/boards'

const OVER: Flat = { ...FISHING, ...allLines({ state: 'in' }), trip: { ...(FISHING['trip'] as object), phase: 'ended', ended_ms: NOW } }
const end = (n: number, of: string, min: number): Flat => ({ [`open_ends/${id(STATION, n)}`]: { id: id(STATION, n), of, line: 2, at_ms: NOW - min * MIN } })
const stamp = (n: number, min: number): Flat => ({ [`stamps/${id(HELM, n)}`]: { id: id(HELM, n), at_ms: NOW - min * MIN, by: 1 } })

function left(flat: Flat) {
  const acts: { kind: string; body: object }[] = []
  const store = { act: (kind: string, body: object) => void acts.push({ kind, body }) } as unknown as Store
  return { open: unsettled({ board: boardFromFlat({ ...OVER, ...flat }), utc_offset_ms: 0 } as unknown as ViewState, store), acts }
}

test('ends and stamps come first, oldest first; then lines not known, then baits that were taken to be so', () => {
  const { open } = left({ ...line(4, { state: 'in', bait: 'mullet', assumed: true }), ...line(7, { state: 'not_known' }), ...stamp(3, 10), ...end(7, 'strike', 60), ...end(5, 'fight', 5) })
  assert.deepEqual(open.map((one) => one.ask), [
    'Strike, Short port: how did it end?', 'Something happened: what was it?', 'Fish on, Short port: how did it end?',
    'Long starboard: how was it left?', 'Way back: the bait was taken to be mullet',
  ])
})

test('one touch settles each, by the entry that would have told it at sea', () => {
  const { open, acts } = left({ ...line(4, { state: 'in', bait: 'mullet', assumed: true }), ...line(7, { state: 'out', unsure: true }), ...stamp(3, 10), ...end(7, 'raise', 60) })
  for (const one of open) one.ends[0]?.act()
  assert.deepEqual(acts, [
    { kind: 'line_is', body: { line: 7, state: 'in', eye: true } }, { kind: 'raise_ended', body: { episode: id(STATION, 7), end: 'bit' } },
    { kind: 'stamp_told', body: { stamp: id(HELM, 3), what: 'strike' } }, { kind: 'line_bait', body: { line: 4, bait: 'mullet' } },
  ])
})

test('a fish that is on and gear that is out come before all else, and are asked for until they are told', () => {
  const fight = { [`fights/${id(STATION, 9)}`]: { id: id(STATION, 9), line: 6, since_ms: NOW - 5 * MIN } }
  const { open, acts } = left({ ...end(7, 'strike', 60), ...fight, ...line(6, { state: 'on' }), ...line(8, { state: 'out', kept: true }), ...line(2, { state: 'clearing', taken_by: 2 }) })
  assert.deepEqual(open.map((one) => one.ask), [
    'Fish on, Short starboard: how did it end?', 'Short port: how was it left?', 'Dredge port: how was it left?', 'Strike, Short port: how did it end?',
  ])
  assert.deepEqual(open.map((one) => one.ends.map((end) => end.label)).slice(0, 2), [['BOATED', 'RELEASED', 'PULLED', 'BROKE OFF', 'BITTEN OFF'], ['IN', 'FOULED', 'NOT KNOWN']])
  for (const one of open.slice(0, 2)) one.ends[1]?.act()
  assert.deepEqual(acts, [{ kind: 'fight_ended', body: { fight: id(STATION, 9), end: 'released' } }, { kind: 'line_is', body: { line: 2, state: 'fouled', eye: true } }])
})

test('a line left fouled or not known at sea is asked for once', () => {
  const was = (told_ms: number) => left({ ...line(3, { state: 'fouled', told_ms }), ...line(7, { state: 'not_known', told_ms }) }).open.length
  assert.deepEqual([was(NOW - MIN), was(NOW + MIN)], [2, 0])
})

test('at most ten are asked, and a bait of a line that was never used is not', () => {
  const many = Object.assign({}, ...[1, 2, 3, 4, 5, 6].map((n) => stamp(n, n)), ...[11, 12, 13, 14, 15, 16].map((n) => end(n, 'strike', n))) as Flat
  assert.equal(left(many).open.length, 10)
  const started = { trip: { ...(OVER['trip'] as object), started_ms: NOW } }
  assert.deepEqual(left({ ...started, ...line(4, { state: 'in', bait: 'mullet', assumed: true }) }).open, [])
})

test('the cockpit reads along: what is asked, the box, whose job is what, how much was told', () => {
  const rows = (flat: Flat, asked: string[] = []) => dockRows({ board: boardFromFlat({ ...OVER, ...flat }), utc_offset_ms: 0 } as unknown as ViewState, asked)
  const counts = { counts: { boated: 2, near_misses: 2, gear_faults: 1 } }
  const jobs: Flat = { 'jobs/1': { no: 1, text: 'New clip', hand: 2 }, 'jobs/2': { no: 2, text: 'Guard', hand: 3, done: true } }
  assert.deepEqual(rows({ ...counts, ...jobs }, ['Strike, Short port: how did it end?', 'Way back: how was it left?']), [
    'Strike, Short port: how did it end? (2 left)', 'The log says 2 boated', 'Tobias: New clip', '2 near misses told, 1 fault told',
  ])
  const counted = { dock: { counted: true, counted_ms: NOW, boated: 3, hand: 1, second: 2 } }
  assert.deepEqual(rows({ counts: { boated: 2 }, ...counted }), ['Everything is settled', 'Counted by Ines and Tobias: 3, not as logged'])
  assert.deepEqual(rows({ counts: { boated: 3 }, ...counted }), ['Everything is settled', 'Counted by Ines and Tobias: as logged'])
})
