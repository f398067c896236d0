// What goes into the link and what comes out of it. The link has no socket, no storage, no timer and no clock of its own:
// adapters hand all of that in as inputs, and carry out the effects.

import type { Entry, EntryId, Kind, U64, View } from 'proto'
import type { ActOptions, Ring } from './store_shape'

/**
 * The phone's two clocks, handed in with every input. mono_ms never runs backwards and counts sleep, but begins anew with each
 * page load; wall_ms may jump, and is all that is left across a reload.
 */
export interface Now {
  mono_ms: number
  wall_ms: number
}

/** A waiting tap as it lies in the phone's storage, under its identity. */
export interface Row {
  id: EntryId
  kind: Kind
  v: number
  body: object
  by?: number
  instead_of?: EntryId
  /** When the act was, by the phone's wall clock. */
  wall_ms: number
  /** Whose board it was tapped for, once that was known: no other boat's is ever sent it. */
  boat?: U64
  /** The run that some page of this phone may have sent it to last: it is written here before it is sent. */
  run?: U64
  /** The code of a refusal that the crew was told, with its words: it must stay refused, whatever crashes. */
  told_no?: string
  told_words?: string
}

/** Small values that outlive the page. mark: how far which log was known to be saved. reloaded: for which build it reloaded. */
export interface KeptValues {
  token: string
  hand: string
  mark: string
  reloaded: string
}

export interface LinkConfig {
  /** 64 random bits as 16 hex digits: the sender of this page load's taps. */
  page: U64
  view: View
  /** From the join link; '' when there is none. */
  key: string
  kept: Partial<KeptValues>
}

export type Input =
  | { is: 'start' }
  | { is: 'opened'; gen: number }
  | { is: 'message'; gen: number; text: string }
  | { is: 'closed'; gen: number }
  /** What pages that are gone left in the storage. */
  | { is: 'rows'; rows: Row[] }
  | { is: 'written'; id: EntryId }
  /** Not written: another page of this phone may meanwhile have sent this tap to a later run. */
  | { is: 'outrun'; id: EntryId }
  /** The rows as they lie in the storage now, marked for this run. */
  | { is: 'claimed'; run: U64; rows: Row[] }
  | { is: 'storage_failed' }
  | { is: 'tick' }
  /** The page came to the front or went from it; or the phone woke, or found its network again (visible, once more). */
  | { is: 'visible'; visible: boolean }
  | { is: 'act'; kind: Kind; body: object; options?: ActOptions }
  | { is: 'take_helm'; number: string }
  | { is: 'preview'; target: EntryId }
  | { is: 'view'; view: View }
  | { is: 'join'; key: string }

export type Effect =
  /** A new socket; what comes from it is handed in with this number, and the socket before it is forgotten. */
  | { do: 'open'; gen: number }
  | { do: 'close'; gen: number }
  | { do: 'send'; gen: number; text: string }
  /** Writes the row, unless the one that lies there is marked for another run than this one. */
  | { do: 'write'; row: Row }
  | { do: 'erase'; id: EntryId }
  /** Marks these rows, as they lie in the storage, for the run and the boat, and brings them back. What is not there is put there. */
  | { do: 'claim'; run: U64; boat: U64; rows: Row[] }
  /** Looks for what pages that are gone have left. */
  | { do: 'read' }
  | { do: 'keep'; name: keyof KeptValues; text: string }
  /** A tick is wanted at this time of the mono clock; the last one asked for counts. */
  | { do: 'wake'; at_ms: number }
  | { do: 'ring'; ring: Ring }
  /** The key has been exchanged for a token: it need not stand in the address any longer. */
  | { do: 'key_used' }
  /** The page is of another release and holds nothing: load it again. */
  | { do: 'reload' }
  | { do: 'changed' }

/** An entry that this screen saw before it was saved. */
export interface KeptEntry {
  run: U64
  /** In that run; UNTOLD when the server only said that it has it. */
  seq: number
  entry: Entry
  /** On the mono clock: when the entry's act was, as far as the server told. */
  at_mono_ms: number
}

export const UNTOLD = -1

/** Times of the link, in milliseconds. Two pulses may go missing before the link is in doubt; its word is drawn within a second. */
export const LINK_MS = {
  no_link: 900,
  not_known: 2000,
  down: 4500,
  beat: 1000,
  /** After that much silence the link is probed, and dropped when nothing comes within `probe`. */
  silence: 1500,
  probe: 2000,
  /** A tap is answered at once, whatever the disk does. Unanswered for so long, while the board goes on speaking, the way up is dead: the
   * page changes its socket, though no more often than so. */
  unanswered: 3000,
  unanswered_again: 10_000,
  opening: 4000,
  retry_first: 200,
  retry_most: 2000,
  /** A row that the storage has not confirmed by then: the storage counts as broken. */
  write: 2000,
  /** An answered tap stays on view for that long; so long is UNDO offered. */
  shown_final: 20000,
  undo: 20000,
  /** A call older than this does not ring. */
  call_rings: 60000,
  /** One overboard entry of a page in this time. */
  overboard: 10000,
  fresh_again: 2000,
  mark_write: 1000,
  /** No timer went off for so long: the phone was asleep. */
  asleep: 3000,
  /** So often the page looks for taps of pages that were closed with some waiting. */
  read: 10_000,
  /** An emergency that was tapped before its page had heard of any board, and that its page did not send: older, it is nobody's. */
  nobodys: 3_600_000,
  /** An entry that came so long after its act is said to be of then. */
  late: 60_000,
} as const

/** Ordinary taps of one sender, and offers, that may be unanswered at a time. */
export const IN_FLIGHT = 32

/** Entries kept for a new run: the server has at most 8192 unsaved, and others may be saved without this page's having heard of it yet,
 * for it hears that with the pulse: 40 taps a second of a hundred pages. */
export const KEPT_MAX = 10000
