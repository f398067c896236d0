// The replay: the board as the screens had it at any moment of a trip. Its pages hold the patches that the screens were sent; they
// are applied by the code that applies live ones. Time here is the order of the log: an entry is there from when the server
// received it, not from when it happened.

import type { MsgPatch } from 'proto'
import { BoardCopy } from '../link_board'
import { type BoardView, boardView, emptyBoard } from '../store'
import type { ReplayHead, ReplayPage, Source } from './source'

/** Pages kept; the farthest from where it is goes first. */
const MOST_PAGES = 24

export interface Moment {
  /** The last entry that was there, 0: none. */
  seq: number
  board: BoardView
}

/** The last index whose value is at most this, or -1. */
export function lastAtMost<T>(rows: readonly T[], value: (row: T) => number, most: number): number {
  let low = 0
  let high = rows.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (value(rows[middle] as T) <= most) low = middle + 1
    else high = middle
  }
  return low - 1
}

/** The next event, or the one before, in the order in which they came; now_seq as in a player. */
export function eventBeside<T extends { seq: number; got_ms: number }>(events: readonly T[], now_ms: number, now_seq: number, by: 1 | -1): T | undefined {
  const beyond = (event: T) => (event.got_ms - now_ms || (now_seq && event.seq - now_seq)) * by > 0
  const nearer = (a: T, b: T) => (a.got_ms - b.got_ms || a.seq - b.seq) * by < 0
  return events.filter(beyond).reduce<T | undefined>((best, event) => (best && nearer(best, event) ? best : event), undefined)
}

export class Replay {
  private pages = new Map<number, Promise<ReplayPage>>()
  private copy = new BoardCopy()
  /** Which page the copy is of; -1: none. */
  private of = -1
  private view: BoardView = emptyBoard()

  constructor(private readonly source: Source, readonly trip: number, readonly head: ReplayHead) {}

  get first_ms(): number {
    return this.head.pages[0]?.got_ms ?? 0
  }

  page(number: number): Promise<ReplayPage> {
    const kept = this.pages.get(number)
    if (kept) return kept
    const page = this.source.page(this.trip, number)
    page.catch(() => this.pages.delete(number))
    this.pages.set(number, page)
    if (this.pages.size > MOST_PAGES) {
      const far = [...this.pages.keys()].reduce((a, b) => (Math.abs(a - number) > Math.abs(b - number) ? a : b))
      this.pages.delete(far)
    }
    return page
  }

  private async patchesAt(rows: (row: { seq: number; got_ms: number }) => number, most: number): Promise<{ page: ReplayPage; count: number } | null> {
    const number = lastAtMost(this.head.pages, rows, most)
    if (number < 0) return null
    const page = await this.page(number)
    return { page, count: lastAtMost(page.patches, (patch) => rows(patch.entry), most) + 1 }
  }

  /** The board once all was there that the server had received until then. */
  async at(ms: number): Promise<Moment> {
    return this.moment(await this.patchesAt((row) => row.got_ms, ms))
  }

  async after(seq: number): Promise<Moment> {
    return this.moment(await this.patchesAt((row) => row.seq, seq))
  }

  /** The entries up to this one, newest first, at most so many. */
  async rows(seq: number, most: number): Promise<MsgPatch[]> {
    const rows: MsgPatch[] = []
    const last = lastAtMost(this.head.pages, (row) => row.seq, seq)
    for (let number = last; number >= 0 && rows.length < most; number--) {
      const { patches } = await this.page(number)
      rows.push(...patches.slice(0, lastAtMost(patches, (patch) => patch.entry.seq, seq) + 1).reverse())
    }
    return rows.slice(0, most)
  }

  private moment(of: { page: ReplayPage; count: number } | null): Moment {
    if (!of) return { seq: 0, board: emptyBoard() }
    const { page, count } = of
    if (this.of !== page.page || this.copy.rev > page.rev + count) this.begin(page)
    for (const patch of page.patches.slice(this.copy.rev - page.rev, count)) this.copy.patch(patch)
    this.view = boardView(this.copy.parts, this.view)
    return { seq: page.patches[count - 1]?.entry.seq ?? 0, board: this.view }
  }

  private begin(page: ReplayPage): void {
    this.copy.freshStart()
    for (const [id, value] of Object.entries(page.start)) this.copy.part(id, value)
    this.copy.freshEnd(page.rev)
    this.of = page.page
  }
}
