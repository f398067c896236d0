// What the helm's places do now. The state of the board and the menu that is open decide; the entries say what was meant, and
// the server what comes of it.

import type { DebriefFishAnswer } from 'debrief'
import type { BoardPreset, Condition, EntryId, FightEnd, Light, Scope } from 'proto'
import type { Store, ViewState } from '../store'
import { actWords } from '../ui/act_words'
import type { Place, Places } from '../ui/bar'
import { lastTap } from '../ui/band'
import { allLines, callState, callsTo, fights, handName, iAnswered, isStern, lineName, phaseOf, shortName, strikes, tripRuns } from '../ui/board'
import { type Act, type AgoWord, type Earlier, after, tell } from '../ui/earlier'
import { isFloat, isNight } from '../ui/night'
import { isUntold, leaderFight, openHurts, raiseNow } from '../ui/say_deck'
import { words } from '../words'

/** The menu that the bar shows for a while. */
export type Menu =
  | { at: 'rest' }
  | { at: 'clear' }
  | { at: 'eye' }
  | { at: 'fight'; fight: EntryId }
  | { at: 'leader' }
  | { at: 'line'; line: number }
  | { at: 'who'; what: 'wheel' | 'look_out' | 'stand_by' | 'person' }
  | { at: 'hand'; hand: number }
  /** A fish was released here: how it swam off may be told. */
  | { at: 'swam'; fight: EntryId }
  /** A float was told out here: the light that it has may be told. */
  | { at: 'light'; line: number }

export const REST: Menu = { at: 'rest' }

export type Panel = '' | 'checks' | 'calls' | 'setup' | 'spread' | 'crew' | 'codes' | 'more' | 'astern' | 'hurt' | 'stamps' | 'note' | 'brief' | 'start' | 'baits' | 'box'

export interface HelmHands {
  state: ViewState
  store: Store
  menu: Menu
  go: (menu: Menu) => void
  /** Whether a menu has just lapsed for which the bar or the lanes meant something else. */
  lapsed: () => boolean
  panel: Panel
  show: (panel: Panel) => void
  now: number
  /** The names tapped last at the dock, at most two. */
  named: readonly number[]
  forget: () => void
  startTrip: () => void
  /** The fish as the server has worked them out; null: not read yet. */
  fish: DebriefFishAnswer | null
  earlier: Earlier
}

const HOLD_MS = 600
/** Ending a trip is held for longer: there is no way back from it. */
export const END_HOLD_MS = 1500
const dead = (label = ''): Place => ({ label })

export function helmPlaces(at: HelmHands): Places {
  const { state, menu } = at
  if (state.board.overboard.id) return overboardPlaces(at)
  if (!tripRuns(state.board)) return noTripPlaces(at)
  if (at.earlier.asked) return agePlaces(at)
  switch (menu.at) {
    case 'clear': return clearMenu(at)
    case 'eye': return eyeMenu(at)
    case 'fight': return fightMenu(at, menu.fight)
    case 'line': return lineMenu(at, menu.line)
    case 'hand': return handMenu(at, menu.hand)
    case 'light': return lightMenu(at, menu.line)
    case 'who': case 'leader': return { ...workPlaces(at), d: back(at) }
    case 'rest': case 'swam': return workPlaces(at)
  }
}

const AGE_PLACES = ['a', 'b', 'c', 'd'] as const
const AGES: readonly AgoWord[] = ['30000', '60000', '120000', '300000']

/** How long ago what was held was. The place that was held says NOW, so that a finger which comes down again tells nothing else.
 * What waits for the helm keeps its place. */
function agePlaces(at: HelmHands): Places {
  const { asked, answer } = at.earlier
  const age = (n: number): Place => asked?.place === AGE_PLACES[n]
    ? { label: words.deck.now, strong: true, act: () => answer(0) }
    : { label: words.ago[AGES[n] ?? '30000'], act: () => answer(Number(AGES[n])) }
  return { a: age(0), b: age(1), c: (asked?.place === 'c' ? null : urgentC(at)) ?? age(2), d: age(3) }
}

/** The age for which the bar has no place, because its place is the one that was held. */
export function ageLeft({ asked }: Earlier): AgoWord | undefined {
  return AGES.find((_, n) => asked?.place === AGE_PLACES[n])
}

/** Does it, and closes the menu. */
export function doing({ go }: HelmHands, act: Act): Act {
  return after(() => go(REST), act)
}

const back = ({ go }: HelmHands): Place => ({ label: words.button.back, act: () => go(REST) })

function undo({ state, store, now }: HelmHands): Place {
  const { last } = state
  const tap = lastTap(state)
  if (last && now < last.until_ms) {
    return { label: words.button.undo, sub: actWords(state.board, last.kind, last.body), mark: tap?.mark ?? 'sent', act: () => store.undo() }
  }
  return tap ? { label: words.button.undo, mark: tap.mark, sub: tap.text.toLowerCase() } : dead(words.button.undo)
}

function overboardPlaces(at: HelmHands): Places {
  const { state, store, go, menu } = at
  const id = state.board.overboard.id ?? ''
  const list = [...state.board.lists.values()].find((one) => one.kind === 'read_do')
  const check = list && state.board.checks.get(list.id)
  const run = check?.run
  const next = check?.state === 'open' ? (check.next ?? 0) : 0
  const asks = menu.at === 'who' && menu.what === 'person'
  return {
    a: iAnswered(state)
      ? dead(words.button.heard)
      : { label: words.button.iHear, strong: true, act: () => store.act('overboard_heard', { call: id }) },
    b: { label: words.button.whoIsIt, sub: words.tapName, strong: asks, act: () => go(asks ? REST : { at: 'who', what: 'person' }) },
    c: !list ? dead() : next && run
      ? { label: words.button.done, sub: words.checks.next(next, (list.items ?? []).length), strong: true,
          act: () => store.act('check_answered', { run, item: next, answer: 'done' }) }
      : check?.state === 'done' ? dead(words.button.steps) : { label: words.button.steps, act: () => store.act('check_opened', { list: list.id }) },
    d: dead(),
  }
}

/** Without a trip: its start. After one, what is left to settle comes first, and the next start is a place further on. */
function noTripPlaces(at: HelmHands): Places {
  const { state, store, panel, show } = at
  const ended = phaseOf(state.board) === 'ended'
  const settling = ended && panel !== 'start'
  return {
    a: settling ? { label: words.button.nextTrip, act: () => show('start') } : { label: words.button.startTrip, strong: true, act: at.startTrip },
    b: codes(at),
    c: ended ? { label: words.join.debrief, act: () => store.setView('debrief') } : dead(),
    d: panel === 'start' ? { label: words.button.back, act: () => show('') } : dead(words.button.undo),
  }
}

function codes({ panel, show }: HelmHands): Place {
  return { label: words.button.joinCodes, strong: panel === 'codes', act: () => show(panel === 'codes' ? '' : 'codes') }
}

function workPlaces(at: HelmHands): Places {
  const { state, store, menu } = at
  const open = strikes(state.board)[0]
  const c = urgentC(at) ?? usualC(at)
  const d = undo(at)
  if (open && (menu.at === 'rest' || menu.at === 'swam')) return { ...strikePlaces(at, open.id, open.line ?? 0), d }
  const phase = phaseOf(state.board)
  if (phase === 'dock') return { a: { label: words.button.leave, strong: true, act: () => store.act('trip_phase', { phase: 'running' }) }, b: codes(at), c, d }
  const fishing: Place = { label: words.button.linesGoIn, strong: true, act: () => store.act('trip_phase', { phase: 'fishing' }) }
  if (phase === 'home') return { a: letGo(at) ?? endTrip(at), b: clearPlace(at, { ...fishing, strong: false }), c, d }
  return { a: phase === 'running' ? fishing : letGo(at) ?? strikePlace(at), b: clearPlace(at), c, d }
}

/** Going home leads to the dock, and there the trip ends. */
function endTrip({ store, show }: HelmHands): Place {
  return { label: words.button.endTrip, sub: words.phase.dock.toLowerCase(), strong: true, hold_ms: END_HOLD_MS, act: () => {
    show('')
    store.act('trip_ended', {})
  } }
}

/** A while a hand has the leader: the other lines' strikes are told by their lanes. */
function letGo({ state, store }: HelmHands): Place | null {
  const fight = leaderFight(state.board)
  return fight ? { label: words.button.letGo, sub: handName(state.board, fight.wire), act: tell(store, 'leader', { fight: fight.id, on: false }) } : null
}

/** A: something struck. While a fish is up, it is the bait that it went for last. */
function strikePlace(at: HelmHands): Place {
  const { state, store } = at
  const bait = allLines(state.board).find((line) => line.id === raiseNow(state.board)?.line && !isStern(line) && line.state === 'out')
  return { label: words.button.strike, ...(bait ? { sub: shortName(bait.name), strong: true } : {}), act: doing(at, tell(store, 'strike', bait ? { line: bait.id } : {})) }
}

function strikePlaces({ state, store }: HelmHands, strike: EntryId, line: number): Omit<Places, 'd'> {
  const sub = line ? shortName(lineName(state.board, line)) : ''
  const end = (how: 'on' | 'knockdown' | 'gone') => tell(store, 'strike_ended', { strike, end: how })
  return {
    a: line ? { label: words.button.on, sub, strong: true, act: end('on') } : dead(words.whichLine),
    b: { label: words.button.knockdown, sub, act: end('knockdown') },
    c: { label: words.button.gone, sub, act: end('gone') },
  }
}

/** All out by eye is the spread of the hour: by day without the floats, by night the floats alone. */
function allOut({ state, store }: HelmHands): Act {
  const lines = allLines(state.board)
  const ofNow = lines.filter((line) => isFloat(line) === isNight(state.board))
  if (!ofNow.length || !lines.some(isFloat)) return tell(store, 'lines_seen', { scope: 'all', state: 'out' })
  return tell(store, 'lines_are', { out: ofNow.map((line) => line.id), eye: true })
}

/** B: to clear, to tally a clearing by eye, or to say that all was seen to be out. `allIn`: what stands there instead of that. */
function clearPlace(at: HelmHands, allIn?: Place): Place {
  const { state, store, go } = at
  const { board } = state
  if (board.clearing.state === 'open') return { label: words.button.byEye, sub: words.whatIsIn, strong: true, act: () => go({ at: 'eye' }) }
  const lines = allLines(board)
  const unsure = lines.filter((line) => line.unsure && (line.state === 'in' || line.state === 'out'))
  if (unsure.length) {
    const shown = (is: 'in' | 'out') => unsure.filter((line) => line.state === is).map((line) => line.id)
    const seen = { ...(shown('in').length ? { in: shown('in') } : {}), ...(shown('out').length ? { out: shown('out') } : {}), eye: true }
    return { label: words.button.asShown, sub: words.byEye, hold_ms: HOLD_MS, act: tell(store, 'lines_are', seen) }
  }
  if (lines.every((line) => line.state === 'in')) return allIn ?? { label: words.button.allOut, sub: words.byEye, act: allOut(at) }
  return { label: words.button.clear, strong: board.fights.size > 0, act: () => go({ at: 'clear' }) }
}

/** C when somebody waits for the helm: STOP, somebody hurt of whom nothing is said yet, or a call. */
function urgentC({ state, store, panel, show }: HelmHands): Place | null {
  const stop = state.board.stop.id
  if (stop) return { label: words.button.stopped, strong: true, act: () => store.act('stop_over', { stop }) }
  if (panel !== 'hurt' && openHurts(state.board).some(isUntold)) return { label: words.button.hurt, strong: true, act: () => show('hurt') }
  const call = callsTo(state, 'helm')[0]
  if (!call) return null
  const sub = words.call[call.what ?? 'ahead']
  return callState(call) === 'got'
    ? { label: words.button.done, sub, act: () => store.act('call_done', { call: call.id }) }
    : { label: words.button.gotIt, sub, strong: true, act: () => store.act('call_got', { call: call.id }) }
}

/** C: LEADER after a hook-up, FIGHT OVER after that, HURT while somebody is; LEFT while a fish is up, RAISED while fishing; the
 * checklists at other times, by night among them: before dark there is one to be read, and a fish is raised by nobody then. */
function usualC(at: HelmHands): Place {
  const { state, store, go, panel, show } = at
  const { board } = state
  const phase = phaseOf(board)
  const led = leaderFight(board)
  if (led) return { label: words.button.fightOver, sub: shortName(lineName(board, led.line)), act: () => go({ at: 'fight', fight: led.id }) }
  const [fight, another] = fights(board)
  if (fight) return { label: words.button.leader, act: another ? () => go({ at: 'leader' }) : tell(store, 'leader', { fight: fight.id, on: true }) }
  if (panel !== 'hurt' && openHurts(board).length) return { label: words.button.hurt, act: () => show('hurt') }
  const raise = raiseNow(board)
  if (raise) return { label: words.button.left, act: doing(at, tell(store, 'raise_ended', { episode: raise.id, end: 'left' })) }
  if (phase === 'fishing') return { label: words.button.raised, act: doing(at, tell(store, 'raised', {})) }
  return { label: words.button.checks, strong: panel === 'checks', act: () => show(panel === 'checks' ? '' : 'checks') }
}

/** For which fish the orders name a preset. */
function fishOf({ state }: HelmHands, preset: number): string {
  return (state.board.orders.fish ?? []).filter((fish) => (fish.preset ?? 0) === preset).map((fish) => fish.name).join(', ')
}

/** Calls for a clearing, and closes the menu. */
export function clearing(at: HelmHands, scope: Scope, preset?: BoardPreset): () => void {
  const reason = at.state.board.fights.size ? 'fish' : 'other'
  return doing(at, () => at.store.act('clear_called', { scope, ...(preset ? { preset: preset.name, kept: preset.kept ?? [] } : {}), reason }))
}

/** The presets: those that the bar has room for beside ALL and CLEAR REST, and those that stand on the stern edge. */
export function presetPlaces({ state }: HelmHands): { bar: BoardPreset[]; edge: BoardPreset[] } {
  const all = [...state.board.presets.values()]
  const room = allLines(state.board).some((line) => line.kept) ? 1 : 2
  return { bar: all.slice(0, room), edge: all.slice(room) }
}

function clearMenu(at: HelmHands): Places {
  const but = (preset: BoardPreset | undefined): Place => (preset ? { label: preset.name.toUpperCase(), sub: fishOf(at, preset.id), act: clearing(at, 'all', preset) } : dead())
  const [first, second] = presetPlaces(at).bar
  const keptOut = allLines(at.state.board).some((line) => line.kept)
  return {
    a: { label: words.button.all, sub: fishOf(at, 0), strong: true, act: clearing(at, 'all') },
    b: but(first),
    c: keptOut ? { label: words.button.clearRest, act: clearing(at, 'rest') } : but(second),
    d: back(at),
  }
}

function eyeMenu(at: HelmHands): Places {
  const { state, store } = at
  const seen = (scope: Scope) => doing(at, tell(store, 'lines_seen', { scope, state: 'in' }))
  const open = state.board.clearing.id ?? ''
  return {
    a: { label: words.button.allIn, sub: words.byEye, hold_ms: HOLD_MS, act: seen('all') },
    b: { label: words.button.teasersIn, sub: words.byEye, act: seen('teasers') },
    c: { label: words.button.callOver, hold_ms: HOLD_MS, act: doing(at, () => store.act('clear_over', { clearing: open })) },
    d: back(at),
  }
}

/** How a fight ended: two more ways stand at the ends of the stern edge. One that nobody tells is asked for at the dock. Of a
 * fish that was released, how it swam off is asked next. */
function fightMenu(at: HelmHands, fight: EntryId): Places {
  const { state, store } = at
  const sub = shortName(lineName(state.board, state.board.fights.get(fight)?.line))
  const end = (how: FightEnd, mark?: 'boated' | 'released'): Place => ({ mark, label: words.fightEnd[how], sub, act: doing(at, tell(store, 'fight_ended', { fight, end: how })) })
  const asks = after(() => at.go({ at: 'swam', fight }), tell(store, 'fight_ended', { fight, end: 'released' }))
  return { a: end('boated', 'boated'), b: { ...end('released', 'released'), act: asks }, c: end('pulled'), d: back(at) }
}

/** Tells how a released fish swam off. It is asked on the stern edge and is never a must: the next strike may come at any moment,
 * and the bar works on. */
export function swam(at: HelmHands, fight: EntryId, condition: Condition): () => void {
  return doing(at, () => at.store.act('fight_condition', { fight, condition }))
}

/** Tells a float's light. */
export function lit(at: HelmHands, line: number, light: Light): () => void {
  return doing(at, () => at.store.act('float_light', { line, light }))
}

/** Three lights here, the others on the stern edge. */
function lightMenu(at: HelmHands, line: number): Places {
  const is = (light: Light): Place => ({ label: words.bait.light[light], act: lit(at, line, light) })
  return { a: is('green'), b: is('blue'), c: urgentC(at) ?? is('white'), d: undo(at) }
}

/** A name was tapped of which nothing else was asked: its posts. Two more stand on the stern edge. */
function handMenu(at: HelmHands, hand: number): Places {
  const { state, store } = at
  const sub = handName(state.board, hand)
  const post = (label: string, act: Act): Place => ({ label, sub, act: doing(at, act) })
  const turn = (state.board.orders.anglers ?? []).includes(hand)
  return {
    a: post(words.button.wheel, tell(store, 'duty', { post: 'wheel', hand })),
    b: post(words.button.lookOut, tell(store, 'duty', { post: 'look_out', hand })),
    c: turn ? post(words.helm.nextRod, () => store.act('angler_next', { hand })) : dead(words.helm.nextRod),
    d: back(at),
  }
}

function lineMenu(at: HelmHands, line: number): Places {
  const sub = shortName(lineName(at.state.board, line))
  const told = (state: 'out' | 'in' | 'fouled'): Place =>
    ({ label: words.line[state], sub, act: doing(at, tell(at.store, 'line_is', { line, state, eye: true })) })
  return { a: told('out'), b: told('in'), c: told('fouled'), d: back(at) }
}
