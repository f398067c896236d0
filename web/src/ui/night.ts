// The cockpit's quiet and its night, read off the board: whose hands are at the leader, how long ago each bait was looked at,
// a bite in the dark and who is woken for it.

import type { BoardCall, BoardFight, BoardStrike, Side } from 'proto'
import type { BoardView } from '../store'
import { type Line, type Reach, allLines, callState, fights, handName, phaseOf, reachOf, strikes } from './board'

/** An older wake was for another fish. */
const WAKE_STANDS_MS = 600000

/** The fight at whose fish hands are at work: one with the leader in a hand, else the newest while the gaff is up or the door open. */
export function quietFight(board: BoardView): BoardFight | undefined {
  const open = fights(board)
  return open.find((fight) => fight.leader) ?? (board.deck.gaff || board.deck.door ? open[0] : undefined)
}

/**
 * Until the outcome nothing but overboard, STOP and HURT sounds or is read aloud, and the cockpit's screens are dark. Besides the
 * outcome this ends when the door is shut and the gaff away with no leader in a hand, or by LET GO (our decision): LET GO is said
 * when the fish has taken the leader back, so no hand is near it, and the crew must hear its calls again for the next try. A
 * gaff that is up or a door that is open keeps the quiet over LET GO. Nothing else lifts it: no phase, no other strike or call.
 */
export const isQuiet = (board: BoardView) => quietFight(board) !== undefined

/** When the quiet began. */
export function quietSince(board: BoardView, fight: BoardFight, now: number): number {
  const { deck } = board
  return fight.leader ? (fight.leader_ms ?? now) : deck.gaff ? (deck.gaff_ms ?? now) : (deck.door_ms ?? now)
}

/** Busy with both hands at the fish: not to be shown as absent, however quiet the phone in the pocket is. */
export function atLeader(board: BoardView, hand: number): boolean {
  const fight = quietFight(board)
  return fight !== undefined && hand !== 0 && [fight.wire, fight.angler, board.deck.gaff ? board.deck.gaff_by : 0].includes(hand)
}

/** How a hand is reached: with both hands at the fish it is here, whatever its page says. */
export function reachNow(board: BoardView, hand: number): Reach {
  const fight = quietFight(board)
  return fight && atLeader(board, hand) ? { state: 'here', since_ms: fight.since_ms ?? 0 } : reachOf(board, hand)
}

/** Where the fish is, as the cockpit last called it in this fight; else the side of its line. */
export function fishSide(board: BoardView, fight: BoardFight): { side: Side; called: boolean } {
  const said = [...board.calls.values()].filter((call) => (call.what === 'fish_port' || call.what === 'fish_starboard') &&
    callState(call) !== 'off' && (call.at_ms ?? 0) >= (fight.since_ms ?? 0))
  const last = said.sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))[0]
  if (last) return { side: last.what === 'fish_port' ? 'port' : 'starboard', called: true }
  return { side: board.lines.get(fight.line ?? 0)?.side ?? 'centre', called: false }
}

export const isNight = (board: BoardView) => phaseOf(board) === 'night'
export const isFloat = (line: Line) => line.gear === 'float'

/** Since when the bait is as it is known to be: looked at or fresh, else out. */
export function baitSince(line: Line): number {
  return Math.max(line.checked_ms, line.bait_ms) || line.since_ms
}

/** Baits in the water, the one longest not looked at first. A bait that was knocked down comes before all. */
export function baitsByAge(board: BoardView): Line[] {
  return allLines(board).filter((line) => line.state === 'out' && (line.gear === 'line' || line.gear === 'float'))
    .sort((a, b) => Number(b.check) - Number(a.check) || baitSince(a) - baitSince(b))
}

/** A strike at night whose line is a float: it makes no sound, one hand may be awake. */
export function nightBite(board: BoardView): BoardStrike | undefined {
  return isNight(board) ? strikes(board).find((strike) => board.lines.get(strike.line ?? 0)?.gear === 'float') : undefined
}

/** A fish in the dark: a bite not yet ended, or one that is on. */
export function nightFish(board: BoardView): number {
  return nightBite(board)?.line ?? (isNight(board) ? (fights(board)[0]?.line ?? 0) : 0)
}

/** The newest wake that stands: asked for, not heard, or answered. */
export function wakeCall(board: BoardView, now: number): BoardCall | undefined {
  return [...board.calls.values()].filter((call) => call.what === 'wake' && ['called', 'not_heard', 'got'].includes(callState(call)) && now - (call.at_ms ?? now) < WAKE_STANDS_MS)
    .sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))[0]
}

/** Since when there has been a fish in the dark, without a moment between one and the next. */
function firstFish_ms(board: BoardView): number {
  return Math.min(...strikes(board).map((one) => one.at_ms ?? 0), ...fights(board).map((one) => one.since_ms ?? 0))
}

/** From a bite to its ON may go as long as this; a fight says since when it is on, not since when it bit. */
const BITE_TO_ON_MS = 300000

/** A fish in the dark for which nobody has been called yet: nobody wires or gaffs alone. Who was called for an earlier one has
 * lain down again. */
export function wakeWanted(board: BoardView, now: number): boolean {
  const wake = wakeCall(board, now)
  return nightFish(board) !== 0 && (wake === undefined || (wake.at_ms ?? 0) < firstFish_ms(board) - BITE_TO_ON_MS)
}

/** The line of the fish that this wake is for: on the board, or a bite of which nobody has told the end since. */
export function wakeLine(board: BoardView, call: BoardCall): number {
  const lapsed = [...board.open_ends.values()].filter((end) => (end.of ?? 'strike') === 'strike' && (end.at_ms ?? 0) <= (call.at_ms ?? 0))
    .sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))[0]
  return nightFish(board) || (lapsed?.line ?? 0)
}

/** The one that was called has not heard: it is everybody's now. How long that takes is the server's to say. */
export const wakesAll = (call: BoardCall): boolean => callState(call) === 'not_heard'

export const standBy = (board: BoardView) => handName(board, board.deck.stand_by)
