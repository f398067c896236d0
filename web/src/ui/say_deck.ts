// The band's sentences of the cockpit's work: a fish up, keeping ahead after a hook-up, a hand at the leader, astern, somebody
// hurt, and how long a clearing is about to take. They read the board and say what is logged; none says that something is safe.

import type { BoardAstern, BoardFight, BoardHurt, BoardRaise } from 'proto'
import type { BoardView } from '../store'
import { words } from '../words'
import { allLines, fights, handName, lineName } from './board'
import { type Sentence, sentence } from './sentence'
import { age, stopwatch } from './time'

/** A line until this boat's own log knows better: two good hands clear six to eight lines in 45 to 120 s. Common practice, no source. */
const LINE_IN_MS = 15000
const TEN_S = 10000
/** An astern that nobody decided is no longer what the helm is about to do. */
const ASTERN_ASKED_MS = 60000

const list = (...parts: string[]) => parts.filter(Boolean).join(' · ')

/** Newest first. */
export const raises = (board: BoardView): BoardRaise[] => [...board.raises.values()].sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))

/** The fish up of which lanes and places tell. While one is on, a lane tells of a strike again: that is what must not be missed. */
export const raiseNow = (board: BoardView): BoardRaise | undefined => (board.fights.size ? undefined : raises(board)[0])

export const openHurts = (board: BoardView): BoardHurt[] => [...board.hurts.values()].filter((hurt) => !hurt.over)

/** Of whom nothing has been said yet. */
export const isUntold = (hurt: BoardHurt): boolean => (hurt.told_ms ?? 0) <= (hurt.since_ms ?? 0)

/** Who is asked about: the one of whom it is not said who it is, then how badly; else the first. */
export function hurtNow(board: BoardView): BoardHurt | undefined {
  const open = openHurts(board)
  return open.find((hurt) => !hurt.hand) ?? open.find((hurt) => (hurt.how ?? 'not_said') === 'not_said') ?? open[0]
}

/** Looked after; an accident report may still be due. For first aid alone none is. */
export const reportsDue = (board: BoardView): BoardHurt[] => [...board.hurts.values()].filter((hurt) => hurt.over && hurt.how !== 'first_aid')

export const leaderFight = (board: BoardView): BoardFight | undefined => fights(board).find((fight) => fight.leader)

/** Astern, asked and not decided. */
export function asternAsked({ astern }: BoardView, now: number): BoardAstern | null {
  return astern.state === 'asked' && now - (astern.since_ms ?? now) < ASTERN_ASKED_MS ? astern : null
}

/** How long ahead is still to be kept by the standing orders, from the first hook-up on; 0 when it is over, or never was asked. */
export function keepAheadLeft_ms(board: BoardView, now: number): number {
  const first = fights(board).pop()
  const until = first ? (first.since_ms ?? now) + (board.orders.keep_ahead_s ?? 0) * 1000 : 0
  return first ? Math.max(0, until - now) : 0
}

/** About how long the open clearing still takes, in tens of seconds; 0 when nothing of it is left. */
export function clearingLeft_ms({ clearing, trip }: BoardView): number {
  if (clearing.state !== 'open') return 0
  const left = Math.max(0, (clearing.total ?? 0) - (clearing.lines_in ?? 0))
  return Math.ceil((left * (trip.line_in_ms || LINE_IN_MS)) / TEN_S) * TEN_S
}

/** Whose turn the rod is, and what stays out for which fish, as the standing orders say. */
export function ordersWords(board: BoardView): string {
  const { orders } = board
  const next = handName(board, orders.next)
  const stays = (orders.fish ?? []).map((fish) => words.say.forFish(fish.name, fish.preset ? (board.presets.get(fish.preset)?.name ?? '') : words.brief.allIn))
  return list(next && words.say.next(next), ...stays)
}

export function hurtSentence(board: BoardView, now: number): Sentence | null {
  const hurt = hurtNow(board)
  if (!hurt) return null
  const said = words.say.hurt(handName(board, hurt.hand), stopwatch(now - (hurt.since_ms ?? now)))
  return sentence('stop', said, '', isUntold(hurt), words.say.hurt(handName(board, hurt.hand), ''))
}

export function asternSentence(board: BoardView, now: number): Sentence | null {
  if (!asternAsked(board, now)) return null
  const out = allLines(board).filter((line) => (line.state !== 'in' || line.unsure) && line.state !== 'on').length
  return sentence('warn', words.say.astern(out, board.deck.door ?? false), words.astern.aside)
}

/** A hand has the leader: who, for how long, and what stands in the way of his hands. */
export function leaderSentence(board: BoardView, now: number): Sentence | null {
  const fight = leaderFight(board)
  if (!fight) return null
  const { deck, duty } = board
  const wire = handName(board, fight.wire)
  const lookOut = handName(board, duty.look_out) || words.nobody
  const more = list(wire && words.say.wires(wire), words.say.doorIs(deck.door ?? false), deck.gaff ? words.say.gaffUp(handName(board, deck.gaff_by)) : '',
    words.say.lookOutIs(lookOut))
  return sentence('fish', words.say.leader(stopwatch(now - (fight.leader_ms ?? now))), more)
}

/** What else is to be said while a clearing goes on. */
export function clearingMore(board: BoardView, now: number): string {
  const ahead = keepAheadLeft_ms(board, now)
  const left = clearingLeft_ms(board)
  return list(ahead ? words.say.keepAheadToo(stopwatch(ahead)) : '', left ? words.say.aboutLeft(stopwatch(left)) : '')
}

export function keepAheadSentence(board: BoardView, now: number): Sentence | null {
  const left = keepAheadLeft_ms(board, now)
  return left ? sentence('fish', words.say.keepAhead(stopwatch(left)), ordersWords(board)) : null
}

/** A fish is up: how long, and the path of the baits it went for. It never sounds. */
export function raiseSentence(board: BoardView, now: number): Sentence | null {
  const open = raises(board)
  const first = open[0]
  if (!first) return null
  const path = (first.path ?? []).map((touch) => lineName(board, touch.line).toLowerCase())
  const more = list(path.length ? words.say.touched(path.slice(-3).join(', ')) : '', first.teaser_in ? words.say.teaserIn : '', first.pitch ? words.say.pitchIn : '')
  const up = age(now - (first.at_ms ?? now))
  return sentence('fish', open.length > 1 ? words.say.fishUpMany(open.length) : words.say.fishUp(up), more)
}
