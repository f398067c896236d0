// What the cockpit's places do now: the large one in the middle, STOP and UNDO under it, the strip on top. What a tile says when
// it is tapped stands in cockpit_tiles.ts.

import type { DebriefFishAnswer } from 'debrief'
import type { EntryId } from 'proto'
import type { Store, ViewState } from '../store'
import { actWords, heldWords } from '../ui/act_words'
import type { Place } from '../ui/bar'
import { lastTap } from '../ui/band'
import { allLines, callState, callsTo, fightOn, handName, iAnswered, lineName, phaseOf, strikes, tripRuns } from '../ui/board'
import { type Act, type AgoWord, type Earlier, after, tell } from '../ui/earlier'
import { atLeader, baitSince, baitsByAge, isNight, isQuiet, standBy, wakeWanted } from '../ui/night'
import { openHurts, raiseNow } from '../ui/say_deck'
import { wakeForMe } from '../ui/say_night'
import { age } from '../ui/time'
import { words } from '../words'
import { answers, openList } from './checks'
import { type FishAt, type Step, fishStep } from './fish_steps'

export type Sheet =
  | { at: 'spread' }
  | { at: 'menu' }
  | { at: 'calls' }
  | { at: 'light' }
  | { at: 'who' }
  | { at: 'lists' }
  | { at: 'why' }
  | { at: 'facing' }
  | { at: 'eye' }
  | { at: 'ago' }
  | { at: 'earlier' }
  | { at: 'stand_by' }
  | { at: 'strike'; strike: EntryId; line: number }
  | { at: 'fight'; fight: EntryId; line: number }
  | { at: 'swam'; fight: EntryId }
  | { at: 'line'; line: number }
  | { at: 'bait'; line: number }
  | { at: 'float_light'; line: number }
  | { at: 'stamp'; stamp: EntryId }
  | { at: 'hurt'; hurt: EntryId }
  | { at: 'hurt_how'; hurt: EntryId; hand: number }
  | { at: 'duty'; post: 'wheel' | 'look_out' }
  | { at: 'fish'; to: FishAt }

/** For so long the strip asks what came aboard, and whether it is on ice. */
const FISH_ASKED_MS = 1_800_000

export const SPREAD: Sheet = { at: 'spread' }

/** Told as of some time ago: '' is now. */
export type Ago = '' | AgoWord
export const AGOS = Object.keys(words.ago) as AgoWord[]

export interface CockpitHands {
  state: ViewState
  store: Store
  view: 'station' | 'phone'
  now: number
  sheet: Sheet
  go: (sheet: Sheet) => void
  /** LINES IN/OUT: a tile says whether its line is out or in. */
  setting: boolean
  earlier: Earlier | null
  /** The fish as the server has worked them out; null: not read yet. */
  fish: DebriefFishAnswer | null
}

/** What the telling of a fish asks now. */
export function fishAsked({ state, store, fish, go }: CockpitHands, to: FishAt): Step {
  return fishStep({ state, store, answer: fish, by: 'steps', go: (next) => go({ at: 'fish', to: next }), done: () => go(SPREAD) }, to)
}

/** The large place: what is wanted of this page next, the most pressing first. An open sheet may ask for it before the rest. */
export function primary(at: CockpitHands): Place {
  return emergency(at) ?? bunk(at) ?? quiet(at) ?? woken(at) ?? held(at) ?? ofSheet(at) ?? asked(at) ?? waking(at) ?? striking(at) ?? raising(at) ?? checking(at) ?? usual(at)
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

const hurtPlace = ({ store }: CockpitHands, strong: boolean): Place => ({ label: words.button.hurt, strong, act: () => store.act('hurt', {}) })

/** At the leader the large place is HURT. So it is once STOP was tapped: STOP, and whether somebody is hurt, are two taps. */
function quiet(at: CockpitHands): Place | null {
  const { board } = at.state
  const hurt = openHurts(board).length > 0
  if (isQuiet(board) && at.sheet.at === 'spread') return hurt ? { label: words.button.hurt } : hurtPlace(at, false)
  return board.stop.id && !hurt ? hurtPlace(at, true) : null
}

/** In the quiet a hand that was called up is in a bunk, not at the fish: its phone asks for the answer before it offers HURT. */
function bunk(at: CockpitHands): Place | null {
  const { board, me } = at.state
  return at.view === 'phone' && !board.stop.id && !atLeader(board, me.hand) ? woken(at) : null
}

function woken({ state, store, now }: CockpitHands): Place | null {
  const call = wakeForMe(state, now)
  if (!call || callState(call) === 'got') return null
  return { label: words.button.gotIt, sub: words.call.come_up, strong: true, act: () => store.act('call_got', { call: call.id }) }
}

/** What was held waits to be told how long ago it was: here it was now. */
function held({ state, earlier }: CockpitHands): Place | null {
  const asked = earlier?.asked
  return asked ? { label: words.deck.now, sub: heldWords(state.board, asked.act), strong: true, act: () => earlier.answer(0) } : null
}

function ofSheet(hands: CockpitHands): Place | null {
  const { state, store, sheet, go } = hands
  const { board } = state
  const then = (act: Act) => after(() => go(SPREAD), act)
  switch (sheet.at) {
    case 'bait': {
      const label = isNight(board) ? words.deck.bite : words.button.strike
      return board.lines.get(sheet.line)?.state === 'out' ? { label, strong: true, act: then(tell(store, 'strike', { line: sheet.line })) } : null
    }
    case 'fight': {
      const on = fightOn(board, sheet.line)?.leader ?? false
      return { label: on ? words.button.letGo : words.button.leader, strong: true, act: then(tell(store, 'leader', { fight: sheet.fight, on: !on })) }
    }
    case 'fish': {
      const { save } = fishAsked(hands, sheet.to)
      return save ? { label: save.label, strong: Boolean(save.act), ...(save.act ? { act: save.act } : {}) } : null
    }
    case 'eye': return { label: words.deck.allSeen, strong: true, hold_ms: 600, act: then(() => store.act('lines_seen', { scope: 'all', state: 'in' })) }
    default: return null
  }
}

function asked(at: CockpitHands): Place | null {
  const { state, store, view, go } = at
  const call = callsTo(state, view).find((one) => one.what !== 'wake' || callState(one) === 'got')
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
  if (mine.length) return { label: words.button.mineIn, strong: true, act: tell(store, 'lines_are', { in: mine.map((line) => line.id) }) }
  return view === 'station' ? { label: words.button.byEye, sub: words.whatIsIn, act: () => go({ at: 'eye' }) } : null
}

function waking({ state, store, now }: CockpitHands): Place | null {
  const { board } = state
  if (!wakeWanted(board, now)) return null
  const hand = board.deck.stand_by ?? 0
  if (hand && hand === state.me.hand) return null
  return {
    label: hand ? words.deck.wake(standBy(board).toUpperCase()) : words.deck.wakeAll, strong: true,
    act: () => store.act('call', hand ? { what: 'wake', to: 'below', hand } : { what: 'wake', to: 'all' }),
  }
}

function striking({ state, store }: CockpitHands): Place | null {
  const open = strikes(state.board)[0]
  if (!open) return null
  return open.line ? { label: words.button.on, strong: true, act: tell(store, 'strike_ended', { strike: open.id, end: 'on' }) } : { label: words.whichLine }
}

function raising({ state, store }: CockpitHands): Place | null {
  const up = raiseNow(state.board)
  return up ? { label: words.button.left, sub: words.kind.raised.toLowerCase(), act: tell(store, 'raise_ended', { episode: up.id, end: 'left' }) } : null
}

function checking({ state, store }: CockpitHands): Place | null {
  const list = openList(state)
  const check = list && state.board.checks.get(list.id)
  const item = check?.next ? list?.items?.[check.next - 1] : undefined
  return item && check && !state.board.fights.size ? { label: item.state, strong: true, act: answers(store, check).seen } : null
}

/** By night the bait longest not looked at is what wants a hand next. */
function usual({ state, store, go, now }: CockpitHands): Place {
  const { board } = state
  const phase = phaseOf(board)
  const oldest = baitsByAge(board)[0]
  if (oldest && phase === 'night' && !board.fights.size) {
    return { label: words.bait.check, sub: words.bait.age(oldest.name.toLowerCase(), age(now - baitSince(oldest))), act: () => go({ at: 'bait', line: oldest.id }) }
  }
  if (phase === 'fishing' || phase === 'night') return { label: words.button.strike, strong: true, act: tell(store, 'strike', {}) }
  return { label: words.button.checks, act: () => go({ at: 'lists' }) }
}

/** STOP: neutral now, from any hand at any time. */
export function stopPlace({ state, store }: CockpitHands): Place {
  return state.board.stop.id
    ? { label: words.button.stop, sub: handName(state.board, state.board.stop.by) || words.button.called.toLowerCase() }
    : { label: words.button.stop, act: () => store.act('stop', {}) }
}

/** UNDO while there is something to undo; else, for full hands, HAPPENED: this moment, told later. At the leader it is dark. */
export function undoPlace({ state, store, now, sheet, earlier }: CockpitHands): Place {
  const { overboard } = state.board
  if (overboard.id && state.me.hand && overboard.spotter === state.me.hand && !overboard.sight_lost) {
    const call = overboard.id
    return { label: words.button.lostSight, act: () => store.act('overboard_sighted', { call, hand: state.me.hand, lost: true }) }
  }
  if (earlier?.asked && !overboard.id) return { label: words.button.undo, sub: heldWords(state.board, earlier.asked.act), act: earlier.drop }
  const { last } = state
  const mark = lastTap(state)?.mark
  if (last && now < last.until_ms) {
    return { label: words.button.undo, sub: actWords(state.board, last.kind, last.body), ...(mark ? { mark } : {}), act: () => store.undo() }
  }
  if (overboard.id || !tripRuns(state.board)) return { label: words.button.undo }
  if (isQuiet(state.board) && sheet.at === 'spread') return { label: '' }
  return { label: words.button.happened, sub: words.deck.tellLater, act: tell(store, 'stamped', {}) }
}

export interface Strip {
  look: 'warn' | 'plain'
  text: string
  act: Act
}

/** What the strip on top offers beside the menu, when something there waits to be told or answered. */
export function stripOffer({ state, store, go, now, fish }: CockpitHands): Strip | null {
  const { board, me } = state
  const hurt = openHurts(board).find((one) => !one.hand)
  if (hurt) return { look: 'warn', text: words.deck.whoHurt(age(now - (hurt.since_ms ?? now))), act: () => go({ at: 'hurt', hurt: hurt.id }) }
  const up = raiseNow(board)
  if (up) {
    const gear = up.pitch ? 'pitch_out' : 'pitch_in'
    return { look: 'plain', text: up.pitch ? words.deck.pitchBack : words.deck.pitchIn, act: tell(store, 'raise_gear_moved', { episode: up.id, gear }) }
  }
  const how = openHurts(board).find((one) => one.hand && (one.how ?? 'not_said') === 'not_said')
  if (how) return { look: 'warn', text: words.deck.howHurt(handName(board, how.hand)), act: () => go({ at: 'hurt_how', hurt: how.id, hand: how.hand ?? 0 }) }
  const ours = [...board.calls.values()].find((call) => call.id.startsWith(me.page) && call.what !== 'wake' && ['called', 'got', 'not_heard'].includes(callState(call)))
  if (ours) {
    const is = callState(ours)
    return { look: is === 'not_heard' ? 'warn' : 'plain', text: words.deck.ours(words.call[ours.what ?? 'ahead'], words.callState[is]), act: () => go({ at: 'menu' }) }
  }
  const busy = board.strikes.size || board.fights.size
  const knocked = busy || isNight(board) ? undefined : baitsByAge(board).find((line) => line.check)
  if (knocked) return { look: 'plain', text: words.bait.knocked(knocked.name.toLowerCase()), act: () => go({ at: 'bait', line: knocked.id }) }
  const stamp = busy ? undefined : [...board.stamps.values()].sort((a, b) => (a.at_ms ?? 0) - (b.at_ms ?? 0))[0]
  if (stamp) return { look: 'plain', text: words.deck.whatWasIt(age(now - (stamp.at_ms ?? now))), act: () => go({ at: 'stamp', stamp: stamp.id }) }
  const kept = busy ? [] : (fish?.fish ?? []).filter((one) => one.fate === 'kept' && now - one.at_ms < FISH_ASKED_MS)
  const untold = kept.find((one) => !one.code)
  if (untold) return { look: 'plain', text: words.fish.whatFish, act: () => go({ at: 'fish', to: { at: 'species', fish: untold.id } }) }
  const warm = kept.find((one) => one.to_ice_ms === undefined)
  return warm ? { look: 'plain', text: words.fish.iceAsk, act: () => store.act('fish_iced', { fish: warm.id }) } : null
}

/** What the open sheet asks, in the band's place; null where the board's own sentence stands. */
export function sheetSentence(state: ViewState, sheet: Sheet, now: number): string | null {
  const { board } = state
  switch (sheet.at) {
    case 'fight': return words.say.howEnded(lineName(board, sheet.line))
    case 'swam': return words.deck.condition
    case 'strike': return words.say.strike(lineName(board, sheet.line))
    case 'line': return words.say.lineIs(lineName(board, sheet.line))
    case 'bait': return words.bait.asked(lineName(board, sheet.line))
    case 'float_light': return words.bait.which(lineName(board, sheet.line))
    case 'stamp': return words.deck.whatWasIt(age(now - (board.stamps.get(sheet.stamp)?.at_ms ?? now)))
    case 'hurt': return words.hurt.who
    case 'hurt_how': return words.hurt.how
    case 'duty': return words.say.tapOne(sheet.post === 'wheel' ? words.button.wheel : words.button.lookOut)
    case 'who': return words.join.who
    case 'calls': return words.calls.say
    case 'facing': return words.join.facing
    case 'lists': return board.lists.size ? words.checks.title : words.checks.none
    case 'why': return words.checks.why
    case 'light': return words.setup.light
    case 'eye': return words.say.whichSeen
    case 'ago': case 'earlier': return words.deck.agoAsk
    case 'stand_by': return words.say.tapOne(words.deck.standBy)
    case 'menu': case 'fish': return null
    case 'spread': {
      const list = openList(state)
      const next = list && board.checks.get(list.id)?.next
      return list && next && !board.fights.size ? (list.items?.[next - 1]?.ask ?? null) : null
    }
  }
}
