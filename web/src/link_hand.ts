// Whom this page speaks for. The choice outlives the page, and a trip: each trip numbers its hands anew, so the name is kept
// beside the number.

import type { BoardHand, BoardTrip } from 'proto'

export class Hand {
  /** 0: nobody named. */
  id = 0
  private name = ''
  private trip = ''

  constructor(kept: { hand: number; name: string } | undefined) {
    this.id = kept?.hand ?? 0
    this.name = kept?.name ?? ''
  }

  /** As a message says it: nobody is left out. */
  field(): { hand?: number } {
    return this.id > 0 ? { hand: this.id } : {}
  }

  /** For keeping. */
  text(): string {
    return JSON.stringify({ hand: this.id, name: this.name })
  }

  /** The crew's choice. */
  choose(id: number, parts: ReadonlyMap<string, unknown>): void {
    this.id = id
    this.name = handAt(parts, id)?.name ?? ''
  }

  /** The board changed: under another trip the page goes on with the hand of the same name, or with nobody. True when it did. */
  follow(parts: ReadonlyMap<string, unknown>): boolean {
    const trip = (parts.get('trip') as BoardTrip | undefined)?.id ?? ''
    const other_trip = trip !== '' && trip !== this.trip
    this.trip = trip
    const here = handAt(parts, this.id)
    if (here && this.name === '') this.name = here.name
    if (this.id === 0 || !other_trip || here?.name === this.name) return false
    const same = [...parts].find(([id, value]) => id.startsWith('hands/') && (value as BoardHand).name === this.name)
    this.choose(same ? (same[1] as BoardHand).id : 0, parts)
    return true
  }
}

function handAt(parts: ReadonlyMap<string, unknown>, id: number): BoardHand | undefined {
  return parts.get(`hands/${id}`) as BoardHand | undefined
}
