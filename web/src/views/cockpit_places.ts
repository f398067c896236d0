// What the cockpit's places do now: the large one in the middle, and what a tile of the spread says when it is tapped.

import type { EntryId } from 'proto'
import type { Store, ViewState } from '../store'
import { type Line, allLines, callState, callsTo, fightOn, handName, iAnswered, phaseOf, strikeOn, strikes } from '../ui/board'
import type { Place } from '../ui/bar'
import { lastTap } from '../ui/band'
import { actWords } from '../ui/act_words'
import { words } from '../words'
import { answers, openList } from './checks'

export type Sheet =
  | { at: 'spread' }
  | { at: 'menu' }
  | { at: 'calls' }
  | { at: 'light' }
  | { at: 'who' }
  | { at: 'lists' }
  | { at: 'why' }
  | { at: 'facing' }
  | { at: 'strike'; strike: EntryId; line: number }
  | { at: 'fight'; fight: EntryId; line: number }
  | { at: 'line'; line: number }

export const SPREAD: Sheet = { at: 'spread' }

export interface CockpitHands {
  state: ViewState
  store: Store
  view: 'station' | 'phone'
  now: number
  sheet: Sheet
  go: (sheet: Sheet) => void
  /** LINES IN/OUT: a tile says whether its line is out or in. */
  setting: boolean
}

/** The large place: what is wanted of this page next, the most pressing first. */
export function primary(at: CockpitHands): Place {
  return emergency(at) ?? asked(at) ?? striking(at) ?? checking(at) ?? usual(at)
}

function emergency({ state, store }: CockpitHands): Place | null {
  const { overboard } = state.board
  const call = overboard.id
  if (!call) return null
  const me = state.me.hand
  if (me && overboard.spotter === me && !overboard.sight_lost) return { label: words.overboard.keepPointing }
  if (!iAnswered(state)) return { label: words.button.iHear, strong: true, act: () => store.act('overboard_heard', { call }) }
  return me ? { label: words.button.iSee, strong: true, act: () => store.act('overboard_sighted', { call, hand: me }) } : { label: words.button.heard }
}

function asked({ state, store, view }: CockpitHands): Place | null {
  const call = callsTo(state, view)[0]
  if (call) {
    const sub = words.call[call.what ?? 'ahead']
    return callState(call) === 'got'
      ? { label: words.button.done, sub, act: () => store.act('call_done', { call: call.id }) }
      : { label: words.button.gotIt, sub, strong: true, act: () => store.act('call_got', { call: call.id }) }
  }
  const { clearing } = state.board
  if (clearing.state !== 'open' || !clearing.id) return null
  const id = clearing.id
  if (!clearing.heard) return { label: words.button.gotIt, strong: true, act: () => store.act('call_got', { call: id }) }
  const mine = allLines(state.board).filter((line) => line.taken_by !== 0 && line.taken_by === state.me.hand)
  if (!mine.length) return null
  return { label: words.button.mineIn, strong: true, act: () => mine.forEach((line) => store.act('line_is', { line: line.id, state: 'in' })) }
}

function striking({ state, store }: CockpitHands): Place | null {
  const open = strikes(state.board)[0]
  if (!open) return null
  return open.line ? { label: words.button.on, strong: true, act: () => store.act('strike_ended', { strike: open.id, end: 'on' }) } : { label: words.whichLine }
}

function checking({ state, store }: CockpitHands): Place | null {
  const list = openList(state)
  const check = list && state.board.checks.get(list.id)
  const item = check?.next ? list?.items?.[check.next - 1] : undefined
  return item && check && !state.board.fights.size ? { label: item.state, strong: true, act: answers(store, check).seen } : null
}

function usual({ state, store, go }: CockpitHands): Place {
  const phase = phaseOf(state.board)
  if (phase === 'fishing' || phase === 'night') return { label: words.button.strike, strong: true, act: () => store.act('strike', {}) }
  return { label: words.button.checks, act: () => go({ at: 'lists' }) }
}

/** STOP: neutral now, from any hand at any time. */
export function stopPlace({ state, store }: CockpitHands): Place {
  return state.board.stop.id
    ? { label: words.button.stop, sub: handName(state.board, state.board.stop.by) || words.button.called.toLowerCase() }
    : { label: words.button.stop, act: () => store.act('stop', {}) }
}

export function undoPlace({ state, store, now }: CockpitHands): Place {
  const { overboard } = state.board
  if (overboard.id && state.me.hand && overboard.spotter === state.me.hand && !overboard.sight_lost) {
    const call = overboard.id
    return { label: words.button.lostSight, act: () => store.act('overboard_sighted', { call, hand: state.me.hand, lost: true }) }
  }
  const { last } = state
  const mark = lastTap(state)?.mark
  return last && now < last.until_ms
    ? { label: words.button.undo, sub: actWords(state.board, last.kind, last.body), ...(mark ? { mark } : {}), act: () => store.undo() }
    : { label: words.button.undo }
}

/** What a tap on a line's tile says: told by whoever handles it. */
export function tileAct(at: CockpitHands, line: Line): (() => void) | undefined {
  const { state, store, go, view, setting } = at
  const { board } = state
  const is = (to: 'in' | 'out') => () => store.act('line_is', { line: line.id, state: to })
  const strike = strikeOn(board, line.id)
  if (line.state === 'strike' && strike) return () => go({ at: 'strike', strike: strike.id, line: line.id })
  const fight = fightOn(board, line.id)
  if (line.state === 'on' && fight) return () => go({ at: 'fight', fight: fight.id, line: line.id })
  const unnamed = strikes(board).find((one) => !one.line)
  if (unnamed && line.state !== 'in') return () => store.act('strike_named', { strike: unnamed.id, line: line.id })
  if (line.state === 'fouled' || line.state === 'not_known') return () => go({ at: 'line', line: line.id })
  if (line.unsure && (line.state === 'in' || line.state === 'out')) return is(line.state)
  if (line.state === 'in' || line.state === 'setting') return is('out')
  if (line.state === 'clearing' || setting) return is('in')
  if (line.asked) return view === 'phone' && state.me.hand ? () => store.act('line_taken', { line: line.id }) : is('in')
  return () => store.act('strike', { line: line.id })
}

