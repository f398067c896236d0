// The draft of a trip, kept on the tablet until the trip starts: a reload, or a browser that was closed, loses nothing that was
// written at the dock. A draft belongs to the board that it was made on: once another trip has started it is dropped.

import type { BodyTripStarted } from 'proto'

export interface KeptDraft {
  /** The last trip's first entry when the draft was made; '' = there had been none. */
  after: string
  trip: Partial<BodyTripStarted>
  /** The hands that were aboard when the crew was changed. */
  known: readonly number[]
}

const KEPT_AS = 'sternboard.draft'
const LISTS: readonly (keyof BodyTripStarted)[] = ['spread', 'crew', 'lists', 'presets', 'jobs']

export const noDraft = (after: string): KeptDraft => ({ after, trip: {}, known: [] })

/** Whether what was kept can be read as a draft: somebody else, or an older release, may have written it. */
function isDraft(kept: unknown): kept is KeptDraft {
  if (typeof kept !== 'object' || kept === null) return false
  const { after, trip, known } = kept as Partial<KeptDraft>
  if (typeof after !== 'string' || typeof trip !== 'object' || trip === null || !Array.isArray(known)) return false
  return (trip.name === undefined || typeof trip.name === 'string') && LISTS.every((list) => trip[list] === undefined || Array.isArray(trip[list]))
}

/** Null: nothing is kept here, or nothing that can be read. */
export function readDraft(): KeptDraft | null {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEPT_AS) ?? 'null')
    return isDraft(kept) ? kept : null
  } catch {
    return null
  }
}

/** Where storage is denied or full the draft lives as long as the page. */
export function writeDraft(draft: KeptDraft): void {
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify(draft))
  } catch {
    forgetDraft()
  }
}

/** What could not be written anew must not come back old. */
export function forgetDraft(): void {
  try {
    localStorage.removeItem(KEPT_AS)
  } catch {
    // Denied altogether: nothing was kept either.
  }
}
