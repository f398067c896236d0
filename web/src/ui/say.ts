// The one sentence of the band, the first thing an eye finds: the most urgent that stands on the board, in words, with the
// look that belongs to it. It only reads; the order of urgency is overboard, a broken link, STOP, somebody hurt, a call, a
// strike, astern, the leader, a clearing, keeping ahead, a fight, a fish up, and last what is out.

import type { Gear, View } from 'proto'
import type { BoardView, ViewState } from '../store'
import { words } from '../words'
import { allLines, callState, callsTo, fights, handName, isStern, lineName, phaseOf, strikes, tripRuns } from './board'
import { asternSentence, clearingMore, hurtSentence, keepAheadSentence, leaderSentence, raiseSentence } from './say_deck'
import { isQuiet } from './night'
import { nightFishSentence, nightOutSentence, quietSentence, wakeSentence } from './say_night'
import { type Sentence, sentence } from './sentence'
import { age, stopwatch } from './time'

export type { Sentence } from './sentence'

export function bandSentence(state: ViewState, view: View, now: number): Sentence {
  return overboardSentence(state) ?? linkSentence(state, now) ?? stopSentence(state, now) ?? hurtSentence(state.board, now) ?? workSentence(state, view, now)
}

/** What is no emergency. While hands are at the fish none of it is read aloud, and the cockpit station says nothing of it. */
function workSentence(state: ViewState, view: View, now: number): Sentence {
  const { board } = state
  const quiet = view === 'helm' || view === 'debrief' ? null : quietSentence(board, now)
  const said = (view === 'station' ? quiet : null) ?? wakeSentence(state, view, now) ?? quiet ?? callSentence(state, view) ?? fishingSentence(board, view, now)
  return isQuiet(board) ? { ...said, alert: '' } : said
}

function overboardSentence(state: ViewState): Sentence | null {
  const { overboard } = state.board
  if (!overboard.id) return null
  const answered = (overboard.heard ?? []).some((heard) => heard.page === state.me.page)
  const lost = state.link.state === 'ok' ? '' : linkWords(state)
  return sentence('man', words.say.overboard, lost, !answered, words.say.overboard)
}

export function linkWords(state: ViewState): string {
  switch (state.link.state) {
    case 'ok': return ''
    case 'no_link': return words.noLink
    case 'not_known': return words.notKnown
    case 'down': return words.down
  }
}

function linkSentence(state: ViewState, now: number): Sentence | null {
  if (state.no) return sentence('link', state.no.words)
  if (state.link.state !== 'ok') return sentence('link', linkWords(state), words.lastKnown(stopwatch(now - state.link.since)))
  return state.known ? null : sentence('link', words.say.joinFirst)
}

function stopSentence(state: ViewState, now: number): Sentence | null {
  const { stop } = state.board
  if (!stop.id) return null
  const said = words.say.stop(handName(state.board, stop.by), stopwatch(now - (stop.since_ms ?? now)))
  return sentence('stop', said, '', true, words.say.stop(handName(state.board, stop.by), ''))
}

function callSentence(state: ViewState, view: View): Sentence | null {
  const call = callsTo(state, view).find((one) => callState(one) !== 'got')
  if (!call) return null
  const what = words.call[call.what ?? 'ahead']
  const heard = callState(call) !== 'not_heard'
  return sentence('stop', heard ? words.say.call(what, handName(state.board, call.by)) : words.say.callNotHeard(what), '', true)
}

function fishingSentence(board: BoardView, view: View, now: number): Sentence {
  const open = strikes(board)[0]
  if (open && !open.line) return sentence('fish', words.say.which)
  if (open) return nightFishSentence(board, now) ?? sentence('fish', words.say.strike(lineName(board, open.line)))
  return asternSentence(board, now) ?? leaderSentence(board, now) ?? clearingSentence(board, now) ?? keepAheadSentence(board, now) ??
    nightFishSentence(board, now) ?? fightSentence(board, now) ?? raiseSentence(board, now) ?? allClearSentence(board, now) ?? checkSentence(board) ??
    nightOutSentence(board, view, now) ?? outSentence(board)
}

export function clearingWhat(board: BoardView): string {
  return board.clearing.preset || words.scope[board.clearing.scope ?? 'all']
}

function clearingSentence(board: BoardView, now: number): Sentence | null {
  const { clearing } = board
  if (clearing.state !== 'open') return null
  const what = clearingWhat(board)
  if (clearing.not_heard && !clearing.heard) return sentence('clear', words.say.clearNotHeard(what), '', true, words.say.clearNotHeard(what))
  return sentence('clear', words.say.clear(what, clearing.lines_in ?? 0, clearing.total ?? 0), clearingMore(board, now), !clearing.heard,
    `${words.button.clear} ${what}`)
}

/** While fish are on, the second line names them; once all else is in, it says that, which is what the fight waits for. */
function fightSentence(board: BoardView, now: number): Sentence | null {
  const open = fights(board)
  const first = open[0]
  if (!first) return null
  const basis = clearBasis(board, now)
  const clear = basis && `${words.say.allClear} ${basis}`
  if (open.length > 1) return sentence('fish', words.say.onMany(open.length), clear || open.map((fight) => lineName(board, fight.line)).join(', '))
  return sentence('fish', words.say.on(lineName(board, first.line).toLowerCase(), age(now - (first.since_ms ?? now))), clear || anglerWords(board, first.angler))
}

/** Who has the rod, and who has the next one. */
function anglerWords(board: BoardView, angler: number | undefined): string {
  const [name, next] = [handName(board, angler), handName(board, board.orders.next)]
  return [name && `${words.hand.angler} ${name}`, next && words.say.next(next)].filter(Boolean).join(' · ')
}

/** What ALL CLEAR rests on, from the end of a clearing on; '' while it does not stand. */
function clearBasis({ clear, clearing }: BoardView, now: number): string {
  if (!clear.is_clear || clearing.state !== 'done') return ''
  return words.say.basis(clear.tapped ?? 0, clear.seen ?? 0, age(now - (clear.since_ms ?? now)))
}

function allClearSentence(board: BoardView, now: number): Sentence | null {
  const basis = clearBasis(board, now)
  return basis ? sentence('plain', words.say.allClear, basis) : null
}

function checkSentence(board: BoardView): Sentence | null {
  const open = [...board.checks.values()].find((check) => check.state === 'open' && check.next)
  const items = open ? (board.lists.get(open.list)?.items ?? []).length : 0
  return open ? sentence('warn', words.say.checkOpen(open.next ?? 0, items)) : null
}

function outSentence(board: BoardView): Sentence {
  if (!tripRuns(board)) return sentence('plain', words.phase[phaseOf(board)])
  const lines = allLines(board)
  const unsure = lines.filter((line) => line.unsure)
  if (unsure.length) return sentence('warn', words.say.notSeen(unsure.length))
  const wet = lines.filter((line) => line.state !== 'in')
  if (!wet.length) return sentence('plain', phaseOf(board) === 'fishing' ? words.say.allIn : words.phase[phaseOf(board)])
  const hooks = wet.filter((line) => !isStern(line)).length
  const dredges = wet.filter((line) => line.gear === 'dredge').length
  // The night's floats are not missed by day.
  const fished = lines.filter((line) => line.gear === 'line' || (line.gear === 'float' && line.state !== 'in')).length
  return sentence('water', words.say.out(hooks, fished, words.say.sternOut(dredges, wet.length - hooks - dredges)))
}

export interface StillOut {
  /** Shown dark, as the standing strip: from a hook-up on, and while a clearing or an emergency is open. */
  stands: boolean
  known: boolean
  /** Teasers and dredges first. hooked: a line or a float. */
  chips: { name: string; gear: Gear; kept: boolean; hooked: boolean; on: boolean }[]
}

/** What is logged as not in, by name. Not known while there is no news, and after a restart until every line was seen again; a
 * fish on tells of its own line. By night it stands for going ahead too. */
export function stillOut(state: ViewState): StillOut {
  const { board } = state
  const wet = allLines(board).filter((line) => line.state !== 'in')
  const unsure = allLines(board).some((line) => (line.unsure && line.state !== 'on') || line.state === 'not_known')
  const stands = Boolean(board.fights.size || board.clearing.state === 'open' || board.overboard.id || board.stop.id || board.astern.state === 'asked' || unsure ||
    phaseOf(board) === 'night')
  const chips = [...wet].sort((a, b) => Number(isStern(b)) - Number(isStern(a)))
    .map((line) => ({ name: line.state === 'on' ? words.stillOn(line.name) : line.name, gear: line.gear, kept: line.kept, hooked: !isStern(line), on: line.state === 'on' }))
  return { stands, known: state.known && !unsure && ['ok', 'no_link'].includes(state.link.state), chips }
}
