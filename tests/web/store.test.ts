import assert from 'node:assert/strict'
import { test } from 'node:test'
import { PROTO, type Down } from 'proto'
import { Link } from '../../web/src/link'
import { PhoneClock } from '../../web/src/link_clock'
import type { Effect } from '../../web/src/link_types'
import { BoardStore, boardView, emptyBoard } from '../../web/src/store'
import { CHAIN, digestOf, entry, LOG, PAGE } from './bench'

function store(): { store: BoardStore; effects: Effect[]; say: (message: Down) => void; wait: (ms: number) => void } {
  let mono_ms = 0
  const effects: Effect[] = []
  const link = new Link({ page: PAGE, view: 'helm', key: 'crew', kept: {} })
  const made = new BoardStore(link, () => ({ mono_ms, wall_ms: 1000 }), (effect) => effects.push(effect))
  const say = (message: Down): void => made.input({ is: 'message', gen: 1, text: JSON.stringify(message) })
  made.input({ is: 'start' })
  made.input({ is: 'opened', gen: 1 })
  say({
    t: 'welcome', proto: PROTO, log_id: LOG, run: LOG, from: 'crew', device: 7, now_ms: 5000,
    saved: { log_id: LOG, seq: 0, chain: CHAIN },
  })
  return { store: made, effects, say, wait: (ms) => (mono_ms += ms) }
}

const BOARD = { trip: { no: 4 }, 'lines/10': { id: 10 }, 'lines/2': { id: 2 }, clock: { utc_offset_ms: 99 } }

test('the board comes as typed maps in order of their keys; a whole board makes it known', () => {
  const { store: made, say } = store()
  assert.equal(made.state().known, false)
  say({ t: 'fresh_start', rev: 1, parts: 4 })
  for (const [part, value] of Object.entries(BOARD)) say({ t: 'part', part, value })
  say({ t: 'fresh_end', rev: 1, digest: digestOf(BOARD), saved_up_to: 0 })
  const { board, known, utc_offset_ms, link } = made.state()
  assert.equal(known, true)
  assert.deepEqual([...board.lines.keys()], [2, 10])
  assert.deepEqual(board.trip, { no: 4 })
  assert.deepEqual(board.calls, new Map())
  assert.equal(utc_offset_ms, 99)
  assert.equal(link.state, 'ok')
})

test('parts that did not change stay the same objects, and so do maps', () => {
  const parts = new Map<string, unknown>(Object.entries(BOARD))
  const before = boardView(parts, emptyBoard())
  const after = boardView(new Map([...parts, ['lines/2', { id: 2, state: 'out' }]]), before)
  assert.equal(after.trip, before.trip)
  assert.equal(after.lines.get(10), before.lines.get(10))
  assert.notEqual(after.lines, before.lines)
  assert.equal(after.fights, before.fights)
})

test('an act shows at once as here, calls back, and is never painted onto the board', () => {
  const { store: made } = store()
  let calls = 0
  const end = made.subscribe(() => calls++)
  const before = made.state().board
  const id = made.act('line_is', { line: 2, state: 'out' })
  assert.equal(calls, 1)
  assert.deepEqual(made.state().taps.map((tap) => [tap.id, tap.state]), [[id, 'here']])
  assert.equal(made.state().board, before)
  assert.equal(made.state().waiting, 1)
  end()
  made.act('strike', {})
  assert.equal(calls, 1)
})

test('undo voids the last act; with none it does nothing', () => {
  const { store: made } = store()
  made.undo()
  assert.equal(made.state().taps.length, 0)
  const id = made.act('strike', {})
  made.undo()
  assert.deepEqual(made.state().taps.map((tap) => tap.body), [{}, { target: id, undo: true }])
  assert.equal(made.state().last, undefined)
})

test('receipts that the page sends by itself are no acts to show', () => {
  const { store: made, say } = store()
  const parts = { 'calls/x': { id: 'x', at_ms: 5000 } }
  say({ t: 'fresh_start', rev: 1, parts: 1 })
  say({ t: 'part', part: 'calls/x', value: parts['calls/x'] })
  say({ t: 'fresh_end', rev: 1, digest: digestOf(parts), saved_up_to: 0 })
  assert.equal(made.state().waiting, 1)
  assert.equal(made.state().taps.length, 0)
})

test('now() is log time, and goes on between messages', () => {
  const { store: made, say, wait } = store()
  wait(300)
  assert.equal(made.now(), 5300)
  say({ t: 'patch', rev: 1, entry: entry(1, 'call', {}, { at_ms: 5200 }), parts: {} })
  assert.deepEqual(made.state().rings.map(({ at_ms, came_ms }) => [at_ms, came_ms]), [[5200, 5300]])
})

test('the phone\'s clock counts sleep, and is not moved by a clock that is set while the page is in front', () => {
  const clock = new PhoneClock()
  assert.equal(clock.read(100, 9_000_000).mono_ms, 100)
  clock.hidden(200, 1000)
  clock.visible(300, 61_100)
  assert.equal(clock.read(300, 61_100).mono_ms, 300 + 60_000)
  assert.equal(clock.read(400, 9_000_000).mono_ms, 400 + 60_000)
  clock.hidden(500, 9_000_000)
  clock.visible(900, 9_000_400)
  assert.equal(clock.read(900, 9_000_400).mono_ms, 900 + 60_000)
})
