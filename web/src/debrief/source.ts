// Where a debrief comes from: the board, over HTTP, or the file that holds it whole. The page draws from either by the same code.

import type { Entry, MsgPatch } from 'proto'
import type { Debrief, Filter } from './numbers'

/** As shared-proto/schema/replay.json says them. */
export interface ReplayRow {
  seq: number
  got_ms: number
}
export interface ReplayHead {
  pages: ReplayRow[]
  last_seq: number
  last_ms: number
  presence: Entry[]
  receipts: Entry[]
  corrections: { seq: number; got_ms: number; target: number }[]
}
export interface ReplayPage {
  page: number
  rev: number
  start: Record<string, unknown>
  patches: MsgPatch[]
}

/** What is left out of a file or of a print, before anything is worked out. */
export interface Without {
  names: boolean
  places: boolean
}

export interface Source {
  debrief(filter: Filter, without: Without): Promise<Debrief>
  /** trip: the seq of its first entry. */
  head(trip: number): Promise<ReplayHead>
  page(trip: number, page: number): Promise<ReplayPage>
  /** The whole debrief as one file; not there where it is one already. */
  file?(filter: Filter, without: Without): Promise<Blob>
}

/** The filter as the server reads it in an address. */
export function query(filter: Filter, without: Without): string {
  const ask = new URLSearchParams()
  if (filter.trip_from) ask.set('trips', filter.trip_to ? `${filter.trip_from}-${Math.max(filter.trip_from, filter.trip_to)}` : `${filter.trip_from}`)
  if (filter.months?.length) ask.set('months', filter.months.join(','))
  if (filter.bait) ask.set('bait', filter.bait)
  if (filter.position) ask.set('position', filter.position)
  if (without.names) ask.set('names', 'no')
  if (without.places) ask.set('places', 'no')
  ask.set('zone', `${-new Date().getTimezoneOffset()}`)
  return `?${ask.toString()}`
}

export class BoardSource implements Source {
  constructor(private readonly token: () => string) {}

  private async get(path: string): Promise<Response> {
    const answer = await fetch(path, { headers: { Authorization: `Bearer ${this.token()}` } })
    if (!answer.ok) throw new Error((await answer.text()).trim() || `${answer.status}`)
    return answer
  }

  async debrief(filter: Filter, without: Without): Promise<Debrief> {
    return (await (await this.get(`/debrief.json${query(filter, without)}`)).json()) as Debrief
  }

  async head(trip: number): Promise<ReplayHead> {
    return (await (await this.get(`/replay?trip=${trip}`)).json()) as ReplayHead
  }

  async page(trip: number, page: number): Promise<ReplayPage> {
    return (await (await this.get(`/replay?trip=${trip}&page=${page}`)).json()) as ReplayPage
  }

  async file(filter: Filter, without: Without): Promise<Blob> {
    return (await this.get(`/debrief.html${query(filter, without)}`)).blob()
  }
}
