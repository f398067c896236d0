// Reading the log back over HTTP: pages of rows, and the board as it was after any entry. Nothing is worked out here that the
// server has not folded; the timeline is made of boards, not of a second reading of the entries.

import type { Entry, EntryId, Kind, LineState } from 'proto'
import type { BoardView } from '../store'
import { boardFromFlat } from '../ui/flat'

export interface LogRow {
  entry: Entry
  outcome: 'done' | 'moot'
  voided: boolean
  replaced_by?: EntryId
}

interface LogPage {
  last: number
  rows: LogRow[]
}

const PAGE_ROWS = 500
/** Rows that one page of the browser holds; a longer log is read in its newest part. */
export const MOST_ROWS = 10000
/** Boards that the timeline is drawn from. */
export const MOST_BOARDS = 240
/** Kinds after which a line may hang otherwise, or a fish or a hand at it stands elsewhere. */
const MOVES: readonly Kind[] = [
  'trip_started', 'line_is', 'lines_are', 'lines_seen', 'strike', 'strike_named', 'strike_ended', 'strike_lapsed', 'fight_ended', 'line_taken', 'line_kept',
  'clear_called', 'clear_over', 'run', 'voided', 'trip_ended', 'raised', 'raise_touched', 'raise_gear_moved', 'leader', 'place_set',
]
const LATE_MS = 5000

export class LogReader {
  private boards = new Map<number, Promise<BoardView>>()

  constructor(private readonly token: () => string) {}

  private async get(path: string): Promise<unknown> {
    const answer = await fetch(path, { headers: { Authorization: `Bearer ${this.token()}` } })
    if (!answer.ok) throw new Error(`${answer.status}`)
    return answer.json()
  }

  /** The rows from seq on, page by page; `got` is called with each. */
  async rows(from: number, got: (rows: LogRow[], last: number) => void): Promise<void> {
    let next = from
    for (let read = 0; read < MOST_ROWS; ) {
      const page = (await this.get(`/log?from=${next}&max=${PAGE_ROWS}`)) as LogPage
      got(page.rows, page.last)
      read += page.rows.length
      const end = page.rows[page.rows.length - 1]?.entry.seq
      if (!end || end >= page.last) return
      next = end + 1
    }
  }

  board(at: number): Promise<BoardView> {
    const kept = this.boards.get(at)
    if (kept) return kept
    const board = this.get(`/board?at=${at}`).then((flat) => boardFromFlat(flat as Record<string, unknown>))
    board.catch(() => this.boards.delete(at))
    this.boards.set(at, board)
    return board
  }
}

/** The seqs whose boards the timeline is drawn from: all that may move a line, or so many of them evenly spread. */
export function turningPoints(rows: readonly LogRow[]): number[] {
  const moving = rows.filter((row) => MOVES.includes(row.entry.kind)).map((row) => row.entry.seq)
  if (moving.length <= MOST_BOARDS) return moving
  const step = moving.length / MOST_BOARDS
  return Array.from({ length: MOST_BOARDS }, (_, i) => moving[Math.min(moving.length - 1, Math.floor((i + 1) * step) - 1)] ?? 0)
}

/** How an entry stands in the log, in the order in which it matters. */
export type Standing = 'refused' | 'voided' | 'replaced' | 'moot' | 'offered' | 'late' | 'plain'

export function rowStanding(row: LogRow): Standing {
  if (row.entry.refused) return 'refused'
  if (row.voided) return 'voided'
  if (row.replaced_by) return 'replaced'
  if (row.outcome === 'moot') return 'moot'
  if (row.entry.offered) return 'offered'
  return row.entry.got_ms - row.entry.at_ms > LATE_MS ? 'late' : 'plain'
}

export interface Segment {
  line: number
  state: LineState
  unsure: boolean
  from_ms: number
  to_ms: number
}

/** What hung where and for how long, from boards in the order of the log. Each says since when its lines are as they are. */
export function segments(boards: readonly BoardView[], end_ms: number): Segment[] {
  const open = new Map<number, Segment>()
  const done: Segment[] = []
  for (const board of boards) {
    for (const line of board.lines.values()) {
      const state = line.state ?? 'in'
      const before = open.get(line.id)
      const unsure = line.unsure ?? false
      if (before && before.state === state && before.unsure === unsure) continue
      const from_ms = Math.max(line.since_ms ?? 0, before?.from_ms ?? 0)
      if (before) done.push({ ...before, to_ms: from_ms })
      open.set(line.id, { line: line.id, state, unsure, from_ms, to_ms: end_ms })
    }
  }
  return [...done, ...open.values()].filter((segment) => segment.to_ms > segment.from_ms)
}

/** Each fight once: on which line, since when. */
export function fish(boards: readonly BoardView[]): { id: EntryId; line: number; at_ms: number }[] {
  const seen = new Map<EntryId, { id: EntryId; line: number; at_ms: number }>()
  for (const board of boards) {
    for (const fight of board.fights.values()) seen.set(fight.id, { id: fight.id, line: fight.line ?? 0, at_ms: fight.since_ms ?? 0 })
  }
  return [...seen.values()]
}

export interface Touch {
  key: string
  /** 0 = no bait was named. */
  line: number
  at_ms: number
}

/** Each raise at every bait it went for, or once where no bait was named. */
export function raised(boards: readonly BoardView[]): Touch[] {
  const seen = new Map<string, Touch>()
  for (const board of boards) {
    for (const raise of board.raises.values()) {
      const path = raise.path?.length ? raise.path : [{ line: 0, at_ms: raise.at_ms ?? 0 }]
      for (const touch of path) seen.set(`${raise.id} ${touch.line} ${touch.at_ms}`, { key: `${raise.id} ${touch.line} ${touch.at_ms}`, ...touch })
      if (raise.path?.length) seen.delete(`${raise.id} 0 ${raise.at_ms ?? 0}`)
    }
  }
  return [...seen.values()]
}

/** How long a hand had each leader: until it let go, or until the fight had left the board. `ends` are the boards' own times. */
export function leaders(boards: readonly BoardView[], ends: readonly number[], end_ms: number): { key: string; line: number; from_ms: number; to_ms: number }[] {
  const open = new Map<EntryId, { key: string; line: number; from_ms: number; to_ms: number }>()
  const done: { key: string; line: number; from_ms: number; to_ms: number }[] = []
  boards.forEach((board, i) => {
    for (const [id, held] of open) {
      const fight = board.fights.get(id)
      if (fight?.leader && fight.leader_ms === held.from_ms) continue
      done.push({ ...held, to_ms: fight && !fight.leader ? (fight.leader_ms ?? held.from_ms) : (ends[i] ?? end_ms) })
      open.delete(id)
    }
    for (const fight of board.fights.values()) {
      if (fight.leader) open.set(fight.id, { key: `${fight.id} ${fight.leader_ms}`, line: fight.line ?? 0, from_ms: fight.leader_ms ?? 0, to_ms: end_ms })
    }
  })
  return [...done, ...open.values()]
}

const SECOND_MS = 1000
const MINUTE_MS = 60 * SECOND_MS
const HOUR_MS = 60 * MINUTE_MS
const STEPS_MS = [10 * SECOND_MS, 20 * SECOND_MS, 30 * SECOND_MS, ...[1, 2, 5, 10, 15, 30].map((n) => n * MINUTE_MS), ...[1, 2, 4, 6, 12, 24].map((n) => n * HOUR_MS)]
const MOST_TICKS = 8

export interface Ticks {
  at_ms: number[]
  /** The steps are so short that a tick's minute alone would not tell it from the next. */
  seconds: boolean
}

/** The ticks of the time axis, at round times of day; while that is not known, at round times since the log began. */
export function ticks(from_ms: number, to_ms: number, offset_ms: number): Ticks {
  const span = to_ms - from_ms
  const step = STEPS_MS.find((one) => span / one <= MOST_TICKS) ?? Math.ceil(span / MOST_TICKS / (24 * HOUR_MS)) * 24 * HOUR_MS
  const first = offset_ms ? Math.ceil((from_ms + offset_ms) / step) * step - offset_ms : from_ms
  return { at_ms: Array.from({ length: Math.max(0, Math.floor((to_ms - first) / step) + 1) }, (_, n) => first + n * step), seconds: step < MINUTE_MS }
}
