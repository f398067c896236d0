// The sentences of the cockpit's quiet and of the night: where the fish is while hands are at it, a bite in the dark with the
// other baits beside it, who is woken for it, and how old the baits are.

import type { BoardCall, View } from 'proto'
import type { BoardView, ViewState } from '../store'
import { words } from '../words'
import { allLines, callState, fights, handName, isStern, lineName } from './board'
import { baitSince, baitsByAge, fishSide, isNight, nightBite, quietFight, quietSince, standBy, wakeCall, wakeLine, wakesAll } from './night'
import { type Sentence, sentence } from './sentence'
import { age, stopwatch } from './time'

const list = (...parts: string[]) => parts.filter(Boolean).join(' · ')

/** A wake for this page's hand, or for everybody by now; not on the page that called it. */
export function wakeForMe(state: ViewState, now: number): BoardCall | undefined {
  const { board, me } = state
  const call = wakeCall(board, now)
  if (!call || call.id.startsWith(me.page)) return undefined
  const mine = call.hand ? call.hand === me.hand : me.hand !== 0
  return mine || wakesAll(call) ? call : undefined
}

export function wakeSentence(state: ViewState, view: View, now: number): Sentence | null {
  const call = wakeForMe(state, now)
  if (!call || callState(call) === 'got' || view === 'guest' || view === 'debrief') return null
  const line = wakeLine(state.board, call)
  const text = line ? words.night.comeUp(lineName(state.board, line).toLowerCase()) : words.call.come_up
  return sentence('stop', text, words.say.call(words.call.wake, handName(state.board, call.by)), true, text)
}

/** How a wake stands, for whoever called it. */
export function wakeWords(board: BoardView, now: number): string {
  const call = wakeCall(board, now)
  if (!call) return ''
  const name = handName(board, call.hand) || words.station.all
  if (callState(call) === 'got') return words.night.coming(handName(board, call.got?.[0]?.hand) || name)
  if (wakesAll(call)) return call.hand ? words.night.allCalled(name) : words.night.nobodyHeard
  return words.night.woken(name, age(now - (call.at_ms ?? now)))
}

export const sideWords = (board: BoardView, fight: NonNullable<ReturnType<typeof quietFight>>) => {
  const { side, called } = fishSide(board, fight)
  return called ? words.night.fishAt(words.side[side]) : words.night.lineAt(words.side[side])
}

/** Nothing but what the hands at the rail may need: no alert is read aloud. */
export function quietSentence(board: BoardView, now: number): Sentence | null {
  const fight = quietFight(board)
  if (!fight) return null
  const time = stopwatch(now - quietSince(board, fight, now))
  return sentence('quiet', fight.leader ? words.say.leader(time) : board.deck.gaff ? words.night.gaff(time) : words.night.door(time))
}

function otherBaits(board: BoardView, line: number): string {
  const names = allLines(board).filter((one) => one.id !== line && one.state !== 'in' && !isStern(one)).map((one) => one.name.toLowerCase())
  return words.night.others(names.length, together(names))
}

/** Names that differ in their last word alone say the rest once: float 1, 3, 4. */
export function together(names: readonly string[]): string {
  const stem = (name: string) => name.slice(0, name.lastIndexOf(' ') + 1)
  return names.map((name, n) => (n > 0 && stem(name) && stem(name) === stem(names[n - 1] ?? '') ? name.slice(stem(name).length) : name)).join(', ')
}

/** The bite for which somebody was called and does not come, once it has lapsed: whoever is alone with it still waits. */
function biteAlone(board: BoardView, now: number): number {
  const call = wakeCall(board, now)
  return isNight(board) && call && callState(call) !== 'got' ? wakeLine(board, call) : 0
}

/** A bite in the dark, or the fish that came of it; with the baits that still hang beside it. */
export function nightFishSentence(board: BoardView, now: number): Sentence | null {
  const [fight, second] = fights(board)
  const bite = nightBite(board)?.line ?? (fight ? 0 : biteAlone(board, now))
  const woken = wakeWords(board, now)
  if (bite) return sentence('fish', words.night.bite(lineName(board, bite).toLowerCase()), woken || otherBaits(board, bite))
  if (!isNight(board) || !fight || second) return null
  const on = words.say.on(lineName(board, fight.line).toLowerCase(), age(now - (fight.since_ms ?? now)))
  return sentence('fish', on, callState(wakeCall(board, now) ?? { id: '' }) === 'got' ? otherBaits(board, fight.line ?? 0) : woken || otherBaits(board, fight.line ?? 0))
}

/** By night: how many baits are out, the one longest not looked at, who is stand-by, whom the cockpit shows on a tile. Nothing
 * out stands in words as well. */
export function nightOutSentence(board: BoardView, view: View, now: number): Sentence | null {
  if (!isNight(board)) return null
  const floats = allLines(board).filter((line) => line.gear === 'float')
  const hung = allLines(board).filter((line) => !isStern(line) && (line.state !== 'in' || line.gear === 'float'))
  const out = hung.filter((line) => line.state !== 'in').length
  const oldest = baitsByAge(board)[0]
  const more = list(oldest ? words.night.oldest(oldest.name.toLowerCase(), age(now - baitSince(oldest))) : '',
    view === 'station' || view === 'phone' ? '' : standBy(board) ? words.night.standBy(standBy(board)) : words.night.noStandBy)
  return sentence(out ? 'water' : 'plain', words.night.baitsOut(out, Math.max(out, floats.length)), more)
}
