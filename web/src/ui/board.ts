// The board as the parts of a page read it: zero values filled in, lists in the order of the boat. It only picks and sorts
// what the server says; what a line may become, what is clear, who may do what is said by the server alone.

import type {
  BaitResult, BoardCall, BoardFight, BoardLine, BoardPage, BoardStrike, EntryId, Gear, Light, LineState, PageReach, Phase, Side, View,
} from 'proto'
import type { BoardView, ViewState } from '../store'
import { words } from '../words'

export interface Line {
  id: number
  name: string
  side: Side
  gear: Gear
  distance_m: number
  state: LineState
  since_ms: number
  eye: boolean
  unsure: boolean
  check: boolean
  taken_by: number
  kept: boolean
  kept_ms: number
  asked: boolean
  bait_ms: number
  checked_ms: number
  result: BaitResult
  light: Light
}

export function whole(line: BoardLine): Line {
  return {
    id: line.id, name: line.name, side: line.side ?? 'centre', gear: line.gear ?? 'line', distance_m: line.distance_m ?? 0,
    state: line.state ?? 'in', since_ms: line.since_ms ?? 0, eye: line.eye ?? false, unsure: line.unsure ?? false,
    check: line.check ?? false, taken_by: line.taken_by ?? 0, kept: line.kept ?? false, kept_ms: line.kept_ms ?? 0,
    asked: line.asked ?? false, bait_ms: line.bait_ms ?? 0, checked_ms: line.checked_ms ?? 0, result: line.result ?? 'none',
    light: line.light ?? 'none',
  }
}

const ORDER: Record<Side, number> = { port: 0, centre: 1, starboard: 2 }

/** In order across the stern, port first, as the boat numbers them on each side. */
export function allLines(board: BoardView): Line[] {
  return [...board.lines.values()].map(whole).sort((a, b) => ORDER[a.side] - ORDER[b.side] || a.id - b.id)
}

export const isStern = (line: Line) => line.gear === 'teaser' || line.gear === 'dredge'
export const lanes = (board: BoardView) => allLines(board).filter((line) => !isStern(line))
export const sternGear = (board: BoardView) => allLines(board).filter(isStern)

export function handName(board: BoardView, hand: number | undefined): string {
  return hand ? (board.hands.get(hand)?.name ?? `${hand}`) : ''
}

/** Whose a job is, or who is hurt: a hand of this trip, or somebody of an earlier one by name. */
export const whoName = (board: BoardView, of: { hand?: number; name?: string }): string => handName(board, of.hand) || (of.name ?? '')

export function lineName(board: BoardView, line: number | undefined): string {
  return line ? (board.lines.get(line)?.name ?? `${line}`) : ''
}

/** A name for a tight place: the side's own word stands written out at the end of the stern edge. */
export function shortName(name: string): string {
  return name.replace(/\bstarboard\b/gi, words.sideShort.starboard).replace(/\bcentre\b/gi, words.sideShort.centre).toUpperCase()
}

/** For the tightest places, beside the full names: FLAT P, SHORT S. */
export function tinyName(name: string): string {
  const letter = (side: string) => side.charAt(0)
  return name.replace(/\bport\b/i, letter(words.side.port)).replace(/\bstarboard\b/i, letter(words.side.starboard)).toUpperCase()
}

/** A preset's name among others, all of which say what stays out: BUT LONGS. */
export function butName(name: string): string {
  return name.replace(/^all but /i, 'but ').replace(/\bdredges\b/i, 'drgs').replace(/\bteaser/i, 'tsr').replace(/ and /i, ' + ').toUpperCase()
}

/** Two lines of a few words: the first of them, and the rest. */
export function parted(words: string): { top: string; below: string } {
  const [top = '', ...rest] = words.split(' ')
  return { top, below: rest.join(' ') }
}

export const strikes = (board: BoardView): BoardStrike[] =>
  [...board.strikes.values()].sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))
export const fights = (board: BoardView): BoardFight[] =>
  [...board.fights.values()].sort((a, b) => (b.since_ms ?? 0) - (a.since_ms ?? 0))
export const strikeOn = (board: BoardView, line: number) => strikes(board).find((strike) => strike.line === line)
export const fightOn = (board: BoardView, line: number) => fights(board).find((fight) => fight.line === line)
/** A strike that names no line yet. */
export const unnamedStrike = (board: BoardView) => strikes(board).find((strike) => !strike.line)
/** Whether the question which line was struck may mean this one: what is logged as in, or has a fish already, it does not. */
export const mayBeStruck = (line: Line) => !['in', 'strike', 'on'].includes(line.state)

/** Whether a look from a distance has something left to say of this line: not of one that stays out, is struck or has a fish. */
const toBeSeen = (line: Line) => !line.kept && (line.unsure || !['in', 'strike', 'on'].includes(line.state))

/** The lines of the whole spread, or of a part of it, of which somebody is still to say by eye that they are in. */
export function eyeLeft(board: BoardView, scope: EyeScope | 'all'): number {
  return inEyeScope(board, scope).filter(toBeSeen).length
}

export type EyeScope = 'port' | 'starboard' | 'teasers'
export const inEyeScope = (board: BoardView, scope: EyeScope | 'all') =>
  allLines(board).filter((line) => scope === 'all' || (scope === 'teasers' ? isStern(line) : line.side === scope))

export const phaseOf = (board: BoardView): Phase => board.trip.phase ?? 'none'
export const tripRuns = (board: BoardView) => !['none', 'ended'].includes(phaseOf(board))

export const callState = (call: BoardCall) => call.state ?? 'called'
export const isOpenCall = (call: BoardCall) => ['called', 'got', 'not_heard'].includes(callState(call))

/** Newest first. */
export const openCalls = (board: BoardView): BoardCall[] =>
  [...board.calls.values()].filter(isOpenCall).sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))

/** The calls that a page of this kind shows large: those to its station or its hand, by somebody else. A wake is answered by
 * the one it is for, on his own device. */
export function callsTo(state: ViewState, view: View): BoardCall[] {
  const { board, me } = state
  const mine = board.hands.get(me.hand)?.station ?? 'none'
  return openCalls(board).filter((call) => {
    if (call.id.startsWith(me.page)) return false
    if (call.hand) return call.hand === me.hand || (view === 'station' && call.what !== 'wake')
    const to = call.to ?? 'none'
    if (view === 'helm') return to === 'helm' || to === 'all'
    return to === 'all' || to === mine || (to !== 'helm' && view === 'station') || (to === 'cockpit' && mine !== 'helm')
  })
}

export interface Reach {
  state: PageReach | 'voice'
  since_ms: number
}

/** The pages that show a call; one that shows the way in or the debrief reaches nobody. */
const BOARD_VIEWS: readonly View[] = ['helm', 'station', 'phone']

/** The best that is known of a hand's pages that show the board: one in front, else one that sleeps, else one that was lost. */
export function reachOf(board: BoardView, hand: number): Reach {
  const pages = [...board.pages.values()].filter((page) => page.hand === hand && BOARD_VIEWS.includes(page.view ?? 'none'))
  const best = RANK.map((state) => pages.find((page) => (page.state ?? 'here') === state)).find((page) => page !== undefined)
  if (!best) return { state: 'voice', since_ms: 0 }
  return { state: best.state ?? 'here', since_ms: best.since_ms ?? 0 }
}

const RANK: readonly PageReach[] = ['here', 'asleep', 'lost', 'left']

export function helmPage(board: BoardView): BoardPage | undefined {
  return board.helm.page ? board.pages.get(board.helm.page) : undefined
}

/** The helm was taken and its page is not in front of anybody. */
export function helmIsGone(board: BoardView): boolean {
  const page = helmPage(board)
  return board.helm.page !== undefined && (page ? (page.state ?? 'here') : 'left') !== 'here'
}

/** This page's own call of the open emergency. */
export function myCall(state: ViewState): EntryId | undefined {
  return (state.board.overboard.calls ?? []).find((call) => call.id.startsWith(state.me.page) && !call.withdrawn)?.id
}

export function iAnswered(state: ViewState): boolean {
  return (state.board.overboard.heard ?? []).some((heard) => heard.page === state.me.page)
}

/** What is drawn may be old, and must not look live. */
export function isOld(state: ViewState): boolean {
  return state.link.state === 'not_known' || state.link.state === 'down'
}

export function isHelm(state: ViewState): boolean {
  return state.board.helm.page === state.me.page || state.me.source === 'helm'
}
