// What sounds on which page, when, and how often.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { View } from 'proto'
import type { Ring, ViewState } from '../../web/src/store'
import { PULSES } from '../../web/src/sound'
import { boardFromFlat } from '../../web/src/ui/flat'
import { ringing } from '../../web/src/ui/ringing'
import { bandSentence } from '../../web/src/ui/say'

const T = 1_000_000
const ME = 'cccccccccccccccc'
const OTHER = 'bbbbbbbbbbbbbbbb'

function state(flat: Record<string, unknown>, rings: Ring[] = [], page = ME): ViewState {
  return {
    board: boardFromFlat(flat), known: true, rev: 1, link: { state: 'ok', since: T },
    me: { source: 'crew', device: 1, page, hand: 0, view: 'station', greeted: true, keyless: false },
    taps: [], waiting: 0, rings, disk: 'ok', unsaved: 0, utc_offset_ms: 0, release: 'same', storage: 'kept', mismatches: 0,
  }
}

/** How many bursts have begun by each of these times. */
function counts(of: ViewState, view: View, seconds: number[]): number[] {
  return seconds.map((s) => ringing(of, view, T + s * 1000).reduce((sum, burst) => sum + burst.count, 0))
}

const OVERBOARD: Ring = { id: `${OTHER}.e.1`, what: 'overboard', at_ms: T, came_ms: T }
const emergency = (heard: object[] = []) => ({ overboard: { id: OVERBOARD.id, since_ms: T, heard } })

test('overboard: every 2.5 s, on a phone until it has answered', () => {
  const open = state(emergency(), [OVERBOARD])
  assert.deepEqual(counts(open, 'phone', [0, 2.4, 2.5, 5, 60]), [1, 1, 2, 3, 25])
  assert.deepEqual(counts(state(emergency([{ page: ME }]), [OVERBOARD]), 'phone', [5, 60]), [0, 0])
})

test('overboard: at the helm and the cockpit station silent after ten seconds', () => {
  const open = state(emergency(), [OVERBOARD])
  for (const view of ['helm', 'station'] as const) assert.deepEqual(counts(open, view, [0, 9.9, 10, 60]), [1, 4, 4, 4])
})

test('overboard rings as soon as its alarm is here, before the board has it, and silences all else', () => {
  const clear: Ring = { id: `${OTHER}.o.5`, what: 'clear', at_ms: T, came_ms: T }
  const both = state({ clearing: { id: clear.id, state: 'open' } }, [clear, OVERBOARD])
  assert.deepEqual(ringing(both, 'phone', T + 100).map((burst) => burst.sound), ['overboard'])
  assert.deepEqual(ringing(state({}, [OVERBOARD]), 'phone', T + 60_000), [])
})

test('clear sounds once and once more at 4 s, unless somebody was heard; never at the helm that called', () => {
  const ring: Ring = { id: `${OTHER}.o.5`, what: 'clear', at_ms: T, came_ms: T }
  const open = (heard: boolean) => state({ clearing: { id: ring.id, state: 'open', heard } }, [ring])
  assert.deepEqual(counts(open(false), 'station', [0, 3.9, 4, 30]), [1, 1, 2, 2])
  assert.deepEqual(counts(open(true), 'station', [0, 30]), [1, 1])
  assert.deepEqual(counts(open(false), 'helm', [0, 30]), [0, 0])
})

test('a call that came a minute late does not sound', () => {
  const ring: Ring = { id: `${OTHER}.o.5`, what: 'clear', at_ms: T - 61_000, came_ms: T }
  assert.deepEqual(ringing(state({ clearing: { id: ring.id, state: 'open' } }, [ring]), 'station', T), [])
})

test('STOP sounds at the helm until it has stopped, for ten seconds at most', () => {
  const ring: Ring = { id: `${OTHER}.e.2`, what: 'stop', at_ms: T, came_ms: T }
  const open = state({ stop: { id: ring.id, since_ms: T } }, [ring])
  assert.deepEqual(counts(open, 'helm', [0, 3, 6, 9, 40]), [1, 2, 3, 4, 4])
  assert.deepEqual(counts(open, 'station', [0, 40]), [1, 1])
  assert.deepEqual(counts(state({}, [ring]), 'helm', [5]), [0])
})

test('strikes of one event are one sound, repeated once at 3 s, and not on the page that tapped', () => {
  const strike = (page: string, n: number, at: number) => ({ [`strikes/${page}.o.${n}`]: { id: `${page}.o.${n}`, event: `${OTHER}.o.7`, line: n, at_ms: at } })
  const two = state({ ...strike(OTHER, 7, T), ...strike(OTHER, 8, T + 2000) })
  const bursts = ringing(two, 'station', T + 3500)
  assert.deepEqual(bursts.map((burst) => [burst.key, burst.count]), [[`strike ${OTHER}.o.7`, 2]])
  assert.deepEqual(ringing(state(strike(ME, 7, T)), 'station', T + 100), [])
})

test('a call not heard warns the helm alone, every 30 s', () => {
  const flat = { [`calls/${ME}.o.3`]: { id: `${ME}.o.3`, what: 'backing', to: 'cockpit', state: 'not_heard', at_ms: T } }
  assert.deepEqual(counts(state(flat), 'helm', [0, 29, 30, 61]), [1, 1, 2, 3])
  assert.deepEqual(counts(state(flat), 'phone', [10]), [0])
})

test('an overboard burst is over before the next begins, in two pitches a fifth apart at least', () => {
  const pulses = PULSES.overboard
  const [, from, length] = pulses[pulses.length - 1] ?? [0, 0, 0]
  assert.equal(pulses.length, 10)
  assert.ok(from + length < 2500)
  assert.deepEqual([...new Set(pulses.map(([hz]) => hz))], [750, 1000])
})

const QUIET = { [`fights/${OTHER}.o.4`]: { id: `${OTHER}.o.4`, line: 6, since_ms: T - 60_000, leader: true, leader_ms: T - 12_000 } }
const rung = (what: Ring['what'], id: string): Ring => ({ id, what, at_ms: T, came_ms: T })

test('at the leader nothing sounds but overboard, STOP and HURT', () => {
  const call = `${OTHER}.o.8`, hurt = `${OTHER}.e.3`, stop = `${OTHER}.e.2`
  const flat = {
    ...QUIET, clearing: { id: `${OTHER}.o.5`, state: 'open' }, [`calls/${call}`]: { id: call, what: 'hold_on', to: 'cockpit', at_ms: T },
    [`strikes/${OTHER}.o.9`]: { id: `${OTHER}.o.9`, line: 2, at_ms: T },
  }
  const rings = [rung('clear', `${OTHER}.o.5`), rung('call', call)]
  assert.deepEqual(ringing(state(flat, rings), 'station', T + 1000), [])
  const hurts = state({ ...flat, [`hurts/${hurt}`]: { id: hurt, since_ms: T }, stop: { id: stop, since_ms: T } }, [...rings, rung('hurt', hurt), rung('stop', stop)])
  assert.deepEqual(ringing(hurts, 'station', T + 1000).map((burst) => burst.sound), ['stop', 'hurt'])
  assert.deepEqual(ringing(state({ ...flat, ...emergency() }, [...rings, OVERBOARD]), 'phone', T).map((burst) => burst.sound), ['overboard'])
})

test('the quiet lasts while a gaff is up or the door open with a fish on, and is over with the fish', () => {
  const fight = { [`fights/${OTHER}.o.4`]: { id: `${OTHER}.o.4`, line: 6 } }
  const clearing = { clearing: { id: `${OTHER}.o.5`, state: 'open' } }
  const rings = [rung('clear', `${OTHER}.o.5`)]
  for (const deck of [{ gaff: true }, { door: true }]) {
    assert.deepEqual(counts(state({ ...fight, ...clearing, deck }, rings), 'station', [1]), [0])
    assert.deepEqual(counts(state({ ...clearing, deck }, rings), 'station', [1]), [1])
  }
})

const FISH = `${OTHER}.o.4`
const fish = (more: object = {}) => ({ [`fights/${FISH}`]: { id: FISH, line: 6, since_ms: T - 60_000, ...more } })
const CAUSES: Record<string, Record<string, unknown>> = {
  'a hand has the leader': fish({ leader: true, leader_ms: T - 12_000 }),
  'the door is open': { ...fish(), deck: { door: true, door_ms: T - 12_000 } },
  'the gaff is up': { ...fish(), deck: { gaff: true, gaff_ms: T - 12_000 } },
}

/** All that could sound: a call to clear, calls, a wake of all, a strike, and at the helm what nobody heard. */
function loud(flat: Record<string, unknown>): ViewState {
  const call = (n: number, more: object) => ({ [`calls/${OTHER}.o.${n}`]: { id: `${OTHER}.o.${n}`, to: 'all', at_ms: T, ...more } })
  const rings = [rung('clear', `${OTHER}.o.20`), rung('call', `${OTHER}.o.21`)]
  return state({
    trip: { phase: 'fishing' }, clearing: { id: `${OTHER}.o.20`, state: 'open' }, ...call(21, { what: 'hold_on' }), ...call(22, { what: 'wake' }),
    ...call(23, { what: 'spin', to: 'helm', state: 'not_heard' }), [`strikes/${OTHER}.o.24`]: { id: `${OTHER}.o.24`, line: 2, at_ms: T }, ...flat,
  }, rings)
}
const sounds = (of: ViewState, view: View) => ringing(of, view, T + 100).map((burst) => burst.sound).sort()

test('each of leader, door and gaff makes the quiet, on every page, over all that is no emergency', () => {
  assert.deepEqual(sounds(loud(fish()), 'station'), ['call', 'call', 'clear', 'strike'])
  assert.deepEqual(sounds(loud(fish()), 'helm'), ['call', 'call', 'strike', 'warning'])
  for (const [cause, flat] of Object.entries(CAUSES)) {
    for (const view of ['helm', 'station', 'phone'] as const) {
      const of = loud(flat)
      assert.deepEqual(sounds(of, view), [], `${cause}, ${view}`)
      assert.equal(bandSentence(of, view, T + 100).alert, '', `${cause}: nothing is read aloud, ${view}`)
      const stop = `${OTHER}.e.2`, hurt = `${OTHER}.e.3`
      const urgent = { ...of, board: loud({ ...flat, stop: { id: stop, since_ms: T }, [`hurts/${hurt}`]: { id: hurt, since_ms: T } }).board, rings: [...of.rings, rung('stop', stop), rung('hurt', hurt)] }
      assert.deepEqual(sounds(urgent, view), ['hurt', 'stop'], `${cause}, ${view}`)
      assert.match(bandSentence(urgent, view, T + 100).alert, /STOP/)
      const man = { ...of, board: loud({ ...flat, ...emergency() }).board, rings: [...of.rings, OVERBOARD] }
      assert.deepEqual(sounds(man, view), ['overboard'], `${cause}, ${view}`)
    }
  }
})

test('nothing lifts the quiet but the outcome, LET GO, or the door shut and the gaff away without a leader', () => {
  const other = { [`fights/${OTHER}.o.30`]: { id: `${OTHER}.o.30`, line: 3, since_ms: T } }
  for (const [cause, flat] of Object.entries(CAUSES)) {
    for (const more of [other, { trip: { phase: 'night' } }, { trip: { phase: 'home' } }, { 'lines/6': { id: 6, state: 'on', unsure: true } }, { helm: {} }, { clear: { is_clear: true } }]) {
      assert.deepEqual(sounds(loud({ ...flat, ...more }), 'station'), [], `${cause}, and ${JSON.stringify(more)}`)
    }
  }
  const held = fish({ leader: true, leader_ms: T - 12_000 })
  assert.deepEqual(sounds(loud({ ...held, deck: { door: false, gaff: false } }), 'station'), [], 'door and gaff away, the leader in a hand')
  for (const deck of [{ door: true }, { gaff: true }]) assert.deepEqual(sounds(loud({ ...fish(), deck }), 'station'), [], 'LET GO with the door open or the gaff up')
  for (const over of [{ ...fish(), deck: { door: false, gaff: false } }, fish({ leader: false, leader_ms: T }), { deck: { door: true } }]) {
    assert.ok(sounds(loud(over), 'station').length > 0, JSON.stringify(over))
  }
})

test('HURT sounds at the helm and the station for ten seconds, once on a phone, and not once it is looked after', () => {
  const id = `${OTHER}.e.3`
  const hurt = (over: boolean) => state({ [`hurts/${id}`]: { id, since_ms: T, ...(over ? { over } : {}) } }, [rung('hurt', id)])
  assert.deepEqual(counts(hurt(false), 'helm', [0, 3, 9, 40]), [1, 2, 4, 4])
  assert.deepEqual(counts(hurt(false), 'phone', [0, 40]), [1, 1])
  assert.deepEqual(counts(hurt(true), 'helm', [3]), [0])
})

test('by night a strike is silent', () => {
  const strike = { [`strikes/${OTHER}.o.9`]: { id: `${OTHER}.o.9`, line: 2, at_ms: T } }
  assert.deepEqual(counts(state({ ...strike, trip: { phase: 'night' } }), 'station', [1]), [0])
  assert.deepEqual(counts(state({ ...strike, trip: { phase: 'fishing' } }), 'station', [1]), [1])
})

test('a wake rings on the stand-by’s device alone, every 4 s, until the board says not heard, then on all but the one that called', () => {
  const id = `${OTHER}.o.8`
  const wake = (hand: number, is: string, page = ME): ViewState => {
    const of = state({ trip: { phase: 'night' }, [`calls/${id}`]: { id, what: 'wake', to: 'below', hand: 5, at_ms: T, state: is } }, [rung('call', id)], page)
    return { ...of, me: { ...of.me, hand } }
  }
  assert.deepEqual(counts(wake(5, 'called'), 'phone', [0, 3.9, 4, 9, 59, 62]), [1, 1, 2, 3, 15, 16])
  assert.deepEqual(counts(wake(3, 'called'), 'phone', [0, 9, 62]), [0, 0, 0])
  assert.deepEqual(counts(wake(3, 'not_heard'), 'phone', [60, 299, 301]), [16, 75, 0])
  assert.deepEqual(counts(wake(5, 'not_heard'), 'phone', [60]), [16])
  assert.deepEqual(ringing(wake(1, 'called'), 'helm', T + 30_000).filter((burst) => burst.sound === 'warning'), [])
  assert.equal(ringing(wake(1, 'not_heard'), 'helm', T + 60_000).filter((burst) => burst.sound === 'warning').length, 1)
  assert.deepEqual(counts(wake(0, 'not_heard', OTHER), 'station', [70]), [0])
  assert.deepEqual(counts(wake(5, 'got'), 'phone', [70]), [0])
})
