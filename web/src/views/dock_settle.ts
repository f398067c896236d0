// What nobody knew when the trip was over, at most ten things: first the fish that are on and the gear that is out as far as the
// board knows, for the next start takes all to be in; then the strikes, fights and raises without an end, as the board keeps
// them, and the stamps not told, oldest first; then lines left not known, fouled, or not seen since a restart; then baits of
// lines that were used, only taken to be the last trip's. Each has its answers, one touch each, by the same entries as at sea.

import type { BoardFight, BoardLine, BoardOpenEnd, BoardStamp, EntryId, FightEnd } from 'proto'
import { STAMP_WHAT_VALUES } from 'proto'
import type { Store, ViewState } from '../store'
import { lineName } from '../ui/board'
import { clock } from '../ui/time'
import { words } from '../words'

export interface Unsettled {
  ask: string
  at_ms: number
  ends: { label: string; act: () => void }[]
}

const MOST = 10
const FIGHT_ENDS: readonly FightEnd[] = ['boated', 'released', 'pulled', 'broke_off', 'bitten_off']

export function unsettled(state: ViewState, store: Store): Unsettled[] {
  const { board } = state
  const lines = [...board.lines.values()]
  const ends = [...[...board.open_ends.values()].map((open) => ofEnd(state, store, open)), ...[...board.stamps.values()].map((stamp) => ofStamp(state, store, stamp))]
  const told = (line: BoardLine) => (line.told_ms ?? 0) > (board.trip.ended_ms ?? 0)
  return [
    ...[...board.fights.values()].map((fight) => ofFight(state, store, fight)),
    ...lines.filter(isOut).map((line) => ofLine(store, line)),
    ...ends.sort((a, b) => a.at_ms - b.at_ms),
    ...lines.filter((line) => !isOut(line) && line.state !== 'on' && (line.unsure || (isLeft(line) && !told(line)))).map((line) => ofLine(store, line)),
    ...lines.filter((line) => line.assumed && line.bait && (line.since_ms ?? 0) > (board.trip.started_ms ?? 0)).map((line) => ofBait(store, line)),
  ].slice(0, MOST)
}

/** A line with a fish on is asked for by its fight, and a strike lapses by itself. */
const isOut = (line: BoardLine) => line.state === 'out' || line.state === 'setting' || line.state === 'clearing'
const isLeft = (line: BoardLine) => line.state === 'not_known' || line.state === 'fouled'

const howEnded = (...what: string[]) => words.dock.ended(what.filter(Boolean).join(', '))

function ofFight(state: ViewState, store: Store, fight: BoardFight): Unsettled {
  const at_ms = fight.since_ms ?? 0
  return { ask: howEnded(words.dock.of.fight, lineName(state.board, fight.line), clock(at_ms, state.utc_offset_ms)), at_ms, ends: fightEnds(store, fight.id) }
}

const fightEnds = (store: Store, fight: EntryId): Unsettled['ends'] => FIGHT_ENDS.map((end) => ({ label: words.fightEnd[end], act: () => store.act('fight_ended', { fight, end }) }))

function ofEnd(state: ViewState, store: Store, open: BoardOpenEnd): Unsettled {
  const at_ms = open.at_ms ?? 0
  return { ask: howEnded(words.dock.of[open.of ?? 'strike'], lineName(state.board, open.line), clock(at_ms, state.utc_offset_ms)), at_ms, ends: endsOf(store, open) }
}

function endsOf(store: Store, open: BoardOpenEnd): Unsettled['ends'] {
  switch (open.of ?? 'strike') {
    case 'strike': return (['on', 'knockdown', 'gone'] as const).map((end) => ({ label: words.strikeEnd[end], act: () => store.act('strike_ended', { strike: open.id, end }) }))
    case 'fight': return fightEnds(store, open.id)
    case 'raise': return (['bit', 'left'] as const).map((end) => ({ label: words.dock.raiseEnd[end], act: () => store.act('raise_ended', { episode: open.id, end }) }))
  }
}

function ofStamp(state: ViewState, store: Store, stamp: BoardStamp): Unsettled {
  return {
    ask: words.helm.stampWas(clock(stamp.at_ms ?? 0, state.utc_offset_ms)), at_ms: stamp.at_ms ?? 0,
    ends: STAMP_WHAT_VALUES.filter((what) => what !== 'none').map((what) => ({ label: words.stamp.is[what], act: () => store.act('stamp_told', { stamp: stamp.id, what }) })),
  }
}

/** Whatever is answered, it is not asked again. */
function ofLine(store: Store, line: BoardLine): Unsettled {
  return {
    ask: words.helm.lineIs(line.name), at_ms: line.since_ms ?? 0,
    ends: (['in', 'fouled', 'not_known'] as const).map((is) => ({ label: words.line[is], act: () => store.act('line_is', { line: line.id, state: is, eye: true }) })),
  }
}

function ofBait(store: Store, line: BoardLine): Unsettled {
  const bait = line.bait ?? ''
  return {
    ask: words.helm.baitWas(line.name, bait), at_ms: line.since_ms ?? 0,
    ends: [
      { label: words.helm.itWas, act: () => store.act('line_bait', { line: line.id, bait }) },
      { label: words.helm.bare, act: () => store.act('line_bait', { line: line.id, bait: words.helm.baitNotKnown }) },
    ],
  }
}
