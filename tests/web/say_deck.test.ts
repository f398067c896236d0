// The band's sentences of the cockpit's work, read off boards as the server writes them.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { ViewState } from '../../web/src/store'
import { boardFromFlat } from '../../web/src/ui/flat'
import { newHand } from '../../web/src/ui/new_hand'
import { bandSentence, stillOut } from '../../web/src/ui/say'
import { clearingLeft_ms, keepAheadLeft_ms } from '../../web/src/ui/say_deck'
import { reportWords } from '../../web/src/views/hurt'
import { type Flat, NOW, SEC, flatOf } from './fixtures/boards'
import { HELM_STATES } from './fixtures/helm_states'

const HOUR = 3_600_000

function stateOf(flat: Flat, more: Partial<ViewState> = {}): ViewState {
  const me = { source: 'helm', device: 1, page: 'aaaaaaaaaaaaaaaa', hand: 0, view: 'helm', greeted: true, keyless: false } as const
  return { board: boardFromFlat(flat), known: true, link: { state: 'ok', since: NOW }, me, taps: [], rings: [], ...more } as unknown as ViewState
}

const flatAt = (name: string, change: Flat = {}): Flat => ({ ...flatOf(HELM_STATES[name] ?? { view: 'helm' }), ...change })
const said = (name: string, now = NOW, change: Flat = {}) => bandSentence(stateOf(flatAt(name, change)), 'helm', now)

test('a fish up is told with its age and the path of its baits, and rings for nobody', () => {
  const say = said('helm-raised')
  assert.equal(say.text, 'Fish up 0:40')
  assert.equal(say.more, 'touched teaser, short port · teaser in')
  assert.deepEqual([say.pulse, say.alert], [false, ''])
  assert.match(said('helm-raised-pitch').more, /pitch in water$/)
})

test('after a hook-up ahead is kept as long as the orders say, from the first fish on; then the fight is told', () => {
  assert.equal(said('helm-keep-ahead').text, 'KEEP AHEAD 0:16')
  assert.equal(said('helm-keep-ahead').more, 'next: Dov · tuna: all but longs · marlin: clear all')
  assert.equal(said('helm-keep-ahead', NOW + 15 * SEC).text, 'KEEP AHEAD 0:01')
  const after = said('helm-keep-ahead', NOW + 16 * SEC)
  assert.match(after.text, /^On: short starboard/)
  assert.equal(after.more, 'angler Amparo · next: Dov')
  const second = { 'fights/dddddddddddddddd.o.1': { id: 'dddddddddddddddd.o.1', line: 3, since_ms: NOW } }
  assert.equal(keepAheadLeft_ms(stateOf(flatAt('helm-keep-ahead', second)).board, NOW), 16 * SEC, 'a second fish does not start it anew')
  assert.equal(keepAheadLeft_ms(stateOf(flatAt('helm-keep-ahead', { orders: {} })).board, NOW), 0, 'without orders nothing is counted')
})

test('a clearing says about how long is left: from this boat\'s own lines, else 15 s a line (common practice, no source)', () => {
  const left = (change: Flat) => clearingLeft_ms(stateOf(flatAt('helm-clearing-ahead', change)).board)
  const trip = flatAt('helm-clearing-ahead')['trip'] as object
  assert.equal(left({}), 50 * SEC, 'three lines of 15 s, in tens of seconds')
  assert.equal(left({ trip: { ...trip, line_in_ms: 26_000 } }), 80 * SEC)
  assert.equal(left({ clearing: { state: 'done' } }), 0)
  assert.equal(said('helm-clearing-ahead').more, 'keep ahead 0:13 · about 0:50 left')
})

test('the leader: for how long, who wires, the door, the gaff, the look-out', () => {
  assert.equal(said('helm-leader').text, 'LEADER 0:12')
  assert.equal(said('helm-leader').more, 'Tobias wires · door shut · look-out: Ines')
  assert.equal(said('helm-leader-deck').more, 'Tobias wires · DOOR OPEN · gaff: Ruth · look-out: Ines')
})

test('astern says what is logged and never that anything is safe, and is forgotten after a minute', () => {
  assert.equal(said('helm-astern').text, 'Astern: 9 not in, door open')
  assert.equal(said('helm-astern-clear').text, 'Astern: nothing logged as out')
  for (const name of ['helm-astern', 'helm-astern-clear']) assert.doesNotMatch(`${said(name).text} ${said(name).more}`, /safe|clear|go/i)
  assert.match(said('helm-astern', NOW + 60 * SEC).text, /^On:/)
  assert.equal(stillOut(stateOf(flatAt('helm-astern'))).stands, true)
})

test('HURT goes before calls and fish, asks until somebody has said more, and leaves when it is looked after', () => {
  assert.deepEqual([said('helm-hurt').text, said('helm-hurt').pulse], ['HURT  1:12', true])
  assert.deepEqual([said('helm-hurt-how').text, said('helm-hurt-how').pulse], ['HURT: Amparo  1:12', false])
  const id = Object.keys(flatAt('helm-hurt')).find((part) => part.startsWith('hurts/')) ?? ''
  assert.doesNotMatch(said('helm-hurt', NOW, { [id]: { ...(flatAt('helm-hurt')[id] as object), over: true } }).text, /HURT/)
})

test('the clock of the accident report: 33 CFR 173.55, 48 h for an injury beyond first aid', () => {
  const hurt = { id: 'x', since_ms: NOW } as const
  assert.match(reportWords({ ...hurt, how: 'beyond_first_aid' }, NOW + HOUR), /about 47 h left/)
  assert.match(reportWords({ ...hurt, how: 'missing' }, NOW + 48 * HOUR), /48 hours are over/)
  assert.match(reportWords({ ...hurt, how: 'first_aid' }, NOW), /^First aid alone is not named/)
  assert.match(reportWords(hurt, NOW), /^If a doctor is needed/)
})

test('who writes a new name on a page is that hand once the board has it, and only then, and once', () => {
  const page = 'aaaaaaaaaaaaaaaa'
  const tap = (n: number, kind: string, body: object, state = 'seen') => ({ id: `${page}.o.${n}`, kind, body, state })
  const added = tap(1, 'hand_added', { name: 'Ruth' })
  const hand = (taps: object[], change: Flat = {}) => newHand(stateOf({ ...flatAt('helm-note'), ...change }, { taps } as unknown as Partial<ViewState>))
  assert.equal(hand([added]), 3)
  assert.equal(hand([added], { 'hands/3': { id: 3, name: 'Somebody' } }), 0, 'not on the board yet')
  assert.equal(hand([added, tap(2, 'page_hand', { hand: 3 })]), 0)
  const me = { page, hand: 2 }
  assert.equal(newHand(stateOf(flatAt('helm-note'), { taps: [added], me } as unknown as Partial<ViewState>)), 0, 'it speaks for another already')
  assert.equal(hand([tap(1, 'hand_added', { name: 'Ruth' }, 'refused')]), 0)
  assert.equal(hand([tap(1, 'hand_added', { name: 'Ruth', voice: true })]), 0, 'a hand without a phone is spoken for by others')
})
