// What should be sounding on this page now: a pure function of the state and the time.
//
// Each reason to sound has a key and a count of bursts that should have begun by now; whoever plays them remembers the counts
// and plays one burst when a count has grown. So nothing rings twice, whatever is drawn anew. Overboard silences all else; at
// the helm and the cockpit station it falls silent after ten seconds, so that a voice can be heard, and stays red. While hands
// are at the leader nothing sounds but overboard, STOP and HURT; at night a strike is silent, and a wake rings on the one
// device of whom it is for, until he answers or the board says that he has not heard: then on all.

import type { BoardCall, EntryId, View } from 'proto'
import type { Ring, ViewState } from '../store'
import type { Sound } from '../sound'
import { callsTo, callState, isOpenCall } from './board'
import { isNight, isQuiet, wakesAll } from './night'

export interface Burst {
  key: string
  sound: Sound
  /** How many bursts of it should have begun by now. */
  count: number
}

export const OVERBOARD_EVERY_MS = 2500
export const OVERBOARD_QUIET_MS = 10000
const STOP_EVERY_MS = 3000
const STOP_QUIET_MS = 10000
const AGAIN_MS = 4000
const STRIKE_AGAIN_MS = 3000
const STRIKE_OLD_MS = 10000
const WARN_EVERY_MS = 30000
/** A sleeper is not called twice and left: a wake goes on for that long, on one device and then on all. */
const WAKE_FOR_MS = 300000
/** A call that came later than this is news, not a call. */
const STALE_MS = 60000

export function ringing(state: ViewState, view: View, now: number): Burst[] {
  const alarm = overboard(state, view, now)
  if (alarm) return alarm.count ? [alarm] : []
  const emergencies = [stop(state, view, now), ...hurts(state, view, now)]
  const work = () => [clear(state, view, now), ...calls(state, view, now), ...wakes(state, now), strike(state, now), warning(state, view, now)]
  return [...emergencies, ...(isQuiet(state.board) ? [] : work())]
    .filter((burst): burst is Burst => burst !== null && burst.count > 0)
}

/** Bursts begun by now, one each period, for as long as told. */
function every(period_ms: number, for_ms: number, from_ms: number, now: number): number {
  const gone = Math.min(Math.max(0, now - from_ms), for_ms - 1)
  return Math.floor(gone / period_ms) + 1
}

function last(state: ViewState, what: Ring['what']): Ring | undefined {
  return [...state.rings].reverse().find((ring) => ring.what === what)
}

/** The overboard alarm of this page, with count 0 where it is open and silent here; null when there is none. */
function overboard(state: ViewState, view: View, now: number): Burst | null {
  const open = state.board.overboard.id
  const ring = last(state, 'overboard')
  const justCame = ring !== undefined && now - ring.came_ms < OVERBOARD_EVERY_MS
  if (!open && !justCame) return null
  const key = `overboard ${open ?? ring?.id}`
  const answered = (state.board.overboard.heard ?? []).some((heard) => heard.page === state.me.page)
  if (!ring || answered) return { key, sound: 'overboard', count: 0 }
  const for_ms = view === 'helm' || view === 'station' ? OVERBOARD_QUIET_MS : Infinity
  return { key: `overboard ${ring.id}`, sound: 'overboard', count: every(OVERBOARD_EVERY_MS, for_ms, ring.came_ms, now) }
}

function stop(state: ViewState, view: View, now: number): Burst | null {
  const ring = last(state, 'stop')
  if (!ring || state.board.stop.id !== ring.id) return null
  const count = view === 'helm' ? every(STOP_EVERY_MS, STOP_QUIET_MS, ring.came_ms, now) : 1
  return { key: `stop ${ring.id}`, sound: 'stop', count }
}

/** Somebody is hurt: as STOP at the helm and the station, once elsewhere. */
function hurts(state: ViewState, view: View, now: number): Burst[] {
  const many = view === 'helm' || view === 'station'
  const stands = (ring: Ring) => ring.what === 'hurt' && state.board.hurts.has(ring.id) && !state.board.hurts.get(ring.id)?.over
  return state.rings.filter(stands).map((ring) =>
    ({ key: `hurt ${ring.id}`, sound: 'hurt', count: many ? every(STOP_EVERY_MS, STOP_QUIET_MS, ring.came_ms, now) : 1 }))
}

/** Told by the board alone, not by a ring that came: a phone that finds the boat again must still wake its hand. */
function wakes(state: ViewState, now: number): Burst[] {
  const { board, me } = state
  const open = (call: BoardCall) => call.what === 'wake' && ['called', 'not_heard'].includes(callState(call)) && now - (call.at_ms ?? now) < WAKE_FOR_MS
  const mine = (call: BoardCall) => !call.id.startsWith(me.page) && (!call.hand || call.hand === me.hand || wakesAll(call))
  return [...board.calls.values()].filter((call) => open(call) && mine(call))
    .map((call) => ({ key: `wake ${call.id}`, sound: 'call' as const, count: every(AGAIN_MS, WAKE_FOR_MS, call.at_ms ?? now, now) }))
}

function clear(state: ViewState, view: View, now: number): Burst | null {
  const ring = last(state, 'clear')
  const clearing = state.board.clearing
  if (!ring || clearing.id !== ring.id || clearing.state !== 'open' || view === 'helm' || isStale(ring)) return null
  return { key: `clear ${ring.id}`, sound: 'clear', count: clearing.heard ? 1 : every(AGAIN_MS, 2 * AGAIN_MS, ring.came_ms, now) }
}

function calls(state: ViewState, view: View, now: number): Burst[] {
  return state.rings.filter((ring) => ring.what === 'call' && !isStale(ring)).flatMap((ring) => {
    const call = state.board.calls.get(ring.id)
    if (!call || call.what === 'wake' || !isOpenCall(call) || !callsTo(state, view).includes(call)) return []
    const count = callState(call) === 'called' ? every(AGAIN_MS, 2 * AGAIN_MS, ring.came_ms, now) : 1
    return [{ key: `call ${ring.id}`, sound: 'call' as const, count }]
  })
}

/** One call for all strikes of an event; not on the page that tapped it. */
function strike(state: ViewState, now: number): Burst | null {
  if (isNight(state.board)) return null
  const mine = (id: EntryId) => id.startsWith(state.me.page)
  const newest = [...state.board.strikes.values()].filter((one) => !mine(one.id) && now - (one.at_ms ?? 0) < STRIKE_OLD_MS)
    .sort((a, b) => (a.at_ms ?? 0) - (b.at_ms ?? 0))[0]
  if (!newest) return null
  const count = every(STRIKE_AGAIN_MS, 2 * STRIKE_AGAIN_MS, newest.at_ms ?? 0, now)
  return { key: `strike ${newest.event || newest.id}`, sound: 'strike', count }
}

function warning(state: ViewState, view: View, now: number): Burst | null {
  if (view !== 'helm') return null
  const unheard = [...state.board.calls.values()].find((call) => call.state === 'not_heard')
  const clearing = state.board.clearing
  if (unheard) return { key: `warn ${unheard.id}`, sound: 'warning', count: every(WARN_EVERY_MS, Infinity, unheard.at_ms ?? now, now) }
  if (clearing.state !== 'open' || !clearing.not_heard) return null
  return { key: `warn ${clearing.id}`, sound: 'warning', count: every(WARN_EVERY_MS, Infinity, clearing.since_ms ?? now, now) }
}

function isStale(ring: Ring): boolean {
  return ring.came_ms - ring.at_ms > STALE_MS
}
