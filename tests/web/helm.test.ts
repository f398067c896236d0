// What the helm's places, lanes and tiles say when things come together: a fish up while one is on, a second fish in the dark,
// somebody hurt while the age of an act is asked for. Read off fixtures' boards, with a store that keeps what was tapped.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { Store, ViewState } from '../../web/src/store'
import { allLines } from '../../web/src/ui/board'
import { type Earlier, tell } from '../../web/src/ui/earlier'
import { boardFromFlat } from '../../web/src/ui/flat'
import { hurtNow, hurtSentence } from '../../web/src/ui/say_deck'
import { type HelmHands, REST, helmPlaces } from '../../web/src/views/helm_bar'
import { edgeTiles } from '../../web/src/views/helm_edge'
import { spreadActs } from '../../web/src/views/helm_lanes'
import { type Flat, NOW, allLines as linesAre, flatOf, line, pageOf } from './fixtures/boards'
import { FIXTURES } from './fixtures/fixtures'

const SEC = 1000
const STATION = pageOf('station')
const nothing = () => undefined
const NOT_ASKED: Earlier = { asked: null, holding: '', showHolding: nothing, ask: nothing, answer: nothing, drop: nothing }

/** The fixture's helm with more on its board, and what was tapped there. */
function helm(name: string, more: Flat = {}, earlier = NOT_ASKED): { at: HelmHands; tapped: { kind: string; body: object }[] } {
  const fixture = FIXTURES[name]
  assert.ok(fixture, name)
  const tapped: { kind: string; body: object }[] = []
  const state: ViewState = {
    board: boardFromFlat({ ...flatOf(fixture), ...more }), known: true, rev: 7, link: { state: 'ok', since: NOW },
    me: { source: 'helm', device: 1, page: pageOf('helm'), hand: 0, view: 'helm', greeted: true, keyless: false },
    taps: [], waiting: 0, rings: [], disk: 'ok', unsaved: 0, utc_offset_ms: 0, release: 'same', storage: 'kept', mismatches: 0,
  }
  const store = { act: (kind: string, body: object) => tapped.push({ kind, body }) } as unknown as Store
  const at: HelmHands = { state, store, menu: REST, go: nothing, lapsed: () => false, panel: '', show: nothing, now: NOW, named: [], forget: nothing, startTrip: nothing, earlier, fish: null }
  return { at, tapped }
}

function lane(at: HelmHands, id: number): void {
  const line = allLines(at.state.board).find((one) => one.id === id)
  assert.ok(line)
  spreadActs(at, nothing).line(line)?.()
}

test('while one fish is on, a lane tells of a strike though another fish is still up', () => {
  const up = helm('helm-raised')
  lane(up.at, 3)
  assert.deepEqual(up.tapped.map((one) => one.kind), ['raise_touched'])
  const fish = `${STATION}.o.71`
  const on = helm('helm-raised', { [`fights/${fish}`]: { id: fish, line: 6, since_ms: NOW - 20 * SEC } })
  lane(on.at, 3)
  assert.deepEqual(on.tapped, [{ kind: 'strike', body: { line: 3 } }])
})

test('a second fish in the dark is called for again: who was woken for the first has lain down', () => {
  const tiles = (more: Flat) => edgeTiles(helm('helm-night-bite', more).at)?.map((tile) => tile.place)
  const wake = (ago_s: number): Flat => ({ [`calls/${STATION}.o.72`]: { id: `${STATION}.o.72`, what: 'wake', to: 'below', hand: 5, state: 'got', at_ms: NOW - ago_s * SEC } })
  assert.deepEqual(tiles({}), ['baits', 'wake', 'slick'])
  assert.deepEqual(tiles(wake(5)), ['baits', 'stand-by', 'slick'])
  assert.deepEqual(tiles(wake(200)), ['baits', 'stand-by', 'slick'], 'who came for the bite is still up')
  assert.deepEqual(tiles(wake(400)), ['baits', 'wake', 'slick'])
})

test('what waits for the helm keeps its place while the age of a held act is asked for', () => {
  const stop = { stop: { id: `${STATION}.e.73`, by: 2, since_ms: NOW - SEC } }
  const asked = (place: string): Earlier => {
    const { store } = helm('helm-fishing').at
    return { ...NOT_ASKED, asked: { act: tell(store, 'raised', {}), label: 'RAISED', place, pressed_ms: 0 } }
  }
  assert.equal(helmPlaces(helm('helm-fishing', {}, asked('line-3')).at).c.label, '2 MIN AGO')
  const { at, tapped } = helm('helm-fishing', stop, asked('line-3'))
  helmPlaces(at).c.act?.()
  assert.deepEqual(tapped.map((one) => one.kind), ['stop_over'])
  assert.equal(helmPlaces(helm('helm-fishing', stop, asked('c')).at).c.label, 'NOW')
})

test('of two who are hurt the one that is not named is asked about first, then how badly', () => {
  const one = { id: `${STATION}.e.74`, since_ms: NOW - 90 * SEC, told_ms: NOW - 60 * SEC, hand: 4, how: 'first_aid' }
  const other = { id: `${STATION}.e.75`, since_ms: NOW - 5 * SEC, told_ms: NOW - 5 * SEC }
  const board = (second: object) => helm('helm-fishing', { [`hurts/${one.id}`]: one, [`hurts/${other.id}`]: { ...other, ...second } }).at.state.board
  assert.equal(hurtNow(board({}))?.id, other.id)
  assert.deepEqual([hurtSentence(board({}), NOW)?.text, hurtSentence(board({}), NOW)?.pulse], ['HURT  0:05', true])
  assert.equal(hurtSentence(board({ hand: 3, told_ms: NOW }), NOW)?.text, 'HURT: Ruth  0:05')
  assert.equal(hurtNow(board({ hand: 3, how: 'first_aid', told_ms: NOW }))?.id, one.id)
})

test('how a fish swam off is asked on the stern edge, five answers of it, and the bar works on', () => {
  const fight = `${STATION}.o.76`
  const { at, tapped } = helm('helm-fishing')
  const bar = Object.values(helmPlaces(at)).map((place) => place.label)
  const asked: HelmHands = { ...at, menu: { at: 'swam', fight } }
  assert.deepEqual(Object.values(helmPlaces(asked)).map((place) => place.label), bar)
  const acts = spreadActs(asked, nothing)
  const answers = [acts.port, ...(acts.edge ?? []), acts.starboard]
  assert.deepEqual(answers.map((one) => one?.label), ['NOT SEEN', 'STRONG', 'REVIVED', 'SANK', 'BLEEDING'])
  for (const one of answers) one?.act?.()
  assert.deepEqual(tapped, ['not_seen', 'strong', 'revived', 'sank', 'bleeding'].map((condition) => ({ kind: 'fight_condition', body: { fight, condition } })))
})

test('going home leads to the end of the trip, by a hold; once it is over, the debrief is one touch', () => {
  const phase = (is: string, lines: Flat = {}) => helm('helm-fishing', { trip: { id: `${STATION}.o.1`, phase: is, started_ms: NOW - 180 * 60 * SEC }, ...lines })
  const home = phase('home')
  const { a, b } = helmPlaces(home.at)
  assert.deepEqual([a.label, a.hold_ms, b.label], ['END TRIP', 1500, 'CLEAR'])
  a.act?.()
  assert.deepEqual(home.tapped, [{ kind: 'trip_ended', body: {} }])
  assert.equal(helmPlaces(phase('home', linesAre({ state: 'in' })).at).b.label, 'GO FISHING')
  assert.equal(helmPlaces(phase('ended').at).c.label, 'DEBRIEF')
})

test('while a strike has no line, a touch on a lane names it; framed are those that are out, kept ones too', () => {
  const strike = `${STATION}.o.77`
  const more: Flat = {
    [`strikes/${strike}`]: { id: strike, event: strike, at_ms: NOW - 2 * SEC },
    ...line(1, { kept: true, kept_ms: NOW - SEC }), ...line(2, { state: 'in' }), ...line(4, { asked: true }), ...line(5, { state: 'fouled' }),
  }
  const { at, tapped } = helm('helm-fishing', more)
  assert.deepEqual(allLines(at.state.board).filter(spreadActs(at, nothing).asked).map((one) => one.id).sort((a, b) => a - b), [1, 3, 6, 7])
  for (const id of [1, 2, 3, 4]) lane(at, id)
  assert.deepEqual(tapped, [...[1, 2, 3].map((id) => ({ kind: 'strike_named', body: { strike, line: id } })), { kind: 'line_is', body: { line: 4, state: 'in', eye: true } }])
})
