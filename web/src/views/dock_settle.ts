// What nobody knew when the trip was over, at most ten things: first the strikes, fights and raises without an end, as the board
// keeps them, and the stamps not told, oldest first; then lines left not known, fouled, or not seen since a restart; then baits
// of lines that were used, only taken to be the last trip's. Each has its answers, one touch each, by the same entries as at sea.

import type { BoardLine, BoardOpenEnd, BoardStamp } from 'proto'
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

export function unsettled(state: ViewState, store: Store): Unsettled[] {
  const { board } = state
  const lines = [...board.lines.values()]
  const ends = [...[...board.open_ends.values()].map((open) => ofEnd(state, store, open)), ...[...board.stamps.values()].map((stamp) => ofStamp(state, store, stamp))]
  return [
    ...ends.sort((a, b) => a.at_ms - b.at_ms),
    ...lines.filter((line) => line.unsure || line.state === 'not_known' || line.state === 'fouled').map((line) => ofLine(store, line)),
    ...lines.filter((line) => line.assumed && line.bait && (line.since_ms ?? 0) > (board.trip.started_ms ?? 0)).map((line) => ofBait(store, line)),
  ].slice(0, MOST)
}

function ofEnd(state: ViewState, store: Store, open: BoardOpenEnd): Unsettled {
  const what = [words.dock.of[open.of ?? 'strike'], lineName(state.board, open.line), clock(open.at_ms ?? 0, state.utc_offset_ms)].filter(Boolean).join(', ')
  return { ask: words.dock.ended(what), at_ms: open.at_ms ?? 0, ends: endsOf(store, open) }
}

function endsOf(store: Store, open: BoardOpenEnd): Unsettled['ends'] {
  switch (open.of ?? 'strike') {
    case 'strike': return (['on', 'knockdown', 'gone'] as const).map((end) => ({ label: words.strikeEnd[end], act: () => store.act('strike_ended', { strike: open.id, end }) }))
    case 'fight': return (['boated', 'released', 'pulled', 'broke_off', 'bitten_off'] as const)
      .map((end) => ({ label: words.fightEnd[end], act: () => store.act('fight_ended', { fight: open.id, end }) }))
    case 'raise': return (['bit', 'left'] as const).map((end) => ({ label: words.dock.raiseEnd[end], act: () => store.act('raise_ended', { episode: open.id, end }) }))
  }
}

function ofStamp(state: ViewState, store: Store, stamp: BoardStamp): Unsettled {
  return {
    ask: words.helm.stampWas(clock(stamp.at_ms ?? 0, state.utc_offset_ms)), at_ms: stamp.at_ms ?? 0,
    ends: STAMP_WHAT_VALUES.filter((what) => what !== 'none').map((what) => ({ label: words.stamp.is[what], act: () => store.act('stamp_told', { stamp: stamp.id, what }) })),
  }
}

function ofLine(store: Store, line: BoardLine): Unsettled {
  return {
    ask: words.helm.lineIs(line.name), at_ms: line.since_ms ?? 0,
    ends: (['in', 'out'] as const).map((is) => ({ label: words.line[is], act: () => store.act('line_is', { line: line.id, state: is, eye: true }) })),
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
