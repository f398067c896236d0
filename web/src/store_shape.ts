// The public shape of the store: everything that a page is drawn from, and everything that it can do.
//
// A page renders from a ViewState and calls a Store; it touches no socket and no storage. Each change makes a new ViewState;
// parts that did not change stay the same objects, so that they can be compared by identity.
//
// Two clocks. Times of the board and of taps (at_ms, since_ms) are log time: milliseconds that never run backwards over a
// whole log; Store.now() is an estimate of it. UTC = log time + utc_offset_ms, when that is known.

import type {
  BoardAstern, BoardBox, BoardCall, BoardCheck, BoardClear, BoardClearing, BoardClock, BoardCounts, BoardDeck, BoardDock, BoardDuty,
  BoardFight, BoardHand, BoardHelm, BoardHurt, BoardJob, BoardLine, BoardList, BoardOpenEnd, BoardOrders, BoardOverboard,
  BoardPage, BoardPreset, BoardRaise, BoardStamp, BoardStop, BoardStrike, BoardTrip, Content, Disk, Entry, EntryId, Kind,
  MsgPreviewIs, Source, SpareCopy, U64, View,
} from 'proto'
import type { ReleaseWord } from './link_release'

/** The board, keyed parts as maps in order of their key. Single parts are always there, perhaps as empty objects. */
export interface BoardView {
  overboard: BoardOverboard
  stop: BoardStop
  hurts: ReadonlyMap<EntryId, BoardHurt>
  astern: BoardAstern
  deck: BoardDeck
  trip: BoardTrip
  clock: BoardClock
  helm: BoardHelm
  duty: BoardDuty
  clearing: BoardClearing
  clear: BoardClear
  orders: BoardOrders
  dock: BoardDock
  counts: BoardCounts
  lines: ReadonlyMap<number, BoardLine>
  strikes: ReadonlyMap<EntryId, BoardStrike>
  fights: ReadonlyMap<EntryId, BoardFight>
  raises: ReadonlyMap<EntryId, BoardRaise>
  open_ends: ReadonlyMap<EntryId, BoardOpenEnd>
  stamps: ReadonlyMap<EntryId, BoardStamp>
  calls: ReadonlyMap<EntryId, BoardCall>
  hands: ReadonlyMap<number, BoardHand>
  pages: ReadonlyMap<U64, BoardPage>
  checks: ReadonlyMap<number, BoardCheck>
  lists: ReadonlyMap<number, BoardList>
  presets: ReadonlyMap<number, BoardPreset>
  jobs: ReadonlyMap<number, BoardJob>
  box: BoardBox
}

/** ok: heard within 0.9 s. no_link: not for 0.9 s. not_known: not for 2 s, what is drawn may be old. down: not for 4.5 s. */
export type LinkWord = 'ok' | 'no_link' | 'not_known' | 'down'

/**
 * here: on this phone only. sent: on its way. seen: in the board and on every screen, not yet on the disk. saved: on the disk.
 * moot: saved, but it no longer applied. late: saved as history, it came too late for the live board. refused: a rule's no.
 */
export type TapWord = 'here' | 'sent' | 'seen' | 'saved' | 'refused' | 'moot' | 'late'

/** An act of this phone: every one not yet final, and the final ones of the last 20 s. */
export interface TapView {
  id: EntryId
  kind: Kind
  body: object
  at_ms: number
  state: TapWord
  /** When its answer came, in log time; 0: not yet. */
  told_ms: number
  /** It is held back by the server (a queue, an entry it names) and tried again by itself. */
  waiting: boolean
  /** It no longer applied, or was late: known as soon as it is seen, before it is saved. */
  moot: boolean
  late: boolean
  /** For refused, moot or waiting: why, in words for the crew; for saved: what else is to be said of it. Mostly ''. */
  words: string
  /** The entry that stands in the way of a refused one. */
  about?: EntryId
}

/** Something that sounds: one for each new alarm or call, never twice. Whether and how it sounds here is the page's choice. */
export interface Ring {
  id: EntryId
  what: 'overboard' | 'stop' | 'hurt' | 'clear' | 'call'
  /** When it was called, and when it came to this page, in log time. */
  at_ms: number
  came_ms: number
}

/** This page's last act, when UNDO may be offered for it. */
export interface LastAct {
  id: EntryId
  kind: Kind
  body: object
  at_ms: number
  /** No UNDO from then on. */
  until_ms: number
}

/** What another page told of some time ago. moot: the board had moved on, it is in the log alone. */
export interface LateEntry {
  entry: Entry
  moot: boolean
  /** Log time when it came. */
  came_ms: number
}

export interface Said {
  code: string
  words: string
  /** Counts up, so that the same words said twice are two. */
  n: number
}

export interface ViewState {
  board: BoardView
  /** A whole board has been here since the page loaded: until then `board` is empty, not known to be empty. */
  known: boolean
  rev: number
  link: {
    state: LinkWord
    /** Log time when something was last heard. */
    since: number
  }
  me: {
    source: Source
    device: number
    page: U64
    /** The hand that this page speaks for; 0 = nobody named. */
    hand: number
    view: View
    /** The server has said welcome at least once. */
    greeted: boolean
    /** This page has no key and no token: it can call overboard and join. */
    keyless: boolean
  }
  /** In order of the tap. */
  taps: readonly TapView[]
  /** Of them, how many are not yet safe on the server's disk. */
  waiting: number
  last?: LastAct
  rings: readonly Ring[]
  disk: Disk
  /** The log's copy on a second disk. */
  spare?: SpareCopy
  /** Entries seen and not yet saved, as the server counts them. */
  unsaved: number
  /** UTC minus log time; 0 = not known. */
  utc_offset_ms: number
  /** Log time when this screen was told that the log went backwards: it knows a longer one, or another one. */
  log_back_ms?: number
  /** The last of what came late from others. */
  late?: LateEntry
  /** Does this page go with the board's release? */
  release: ReleaseWord
  /** kept: this phone keeps taps over a reload. memory: its storage is denied or broken, they live until the page closes. */
  storage: 'kept' | 'memory'
  /** The connection was refused (wrong key, full, another release), in words. */
  no?: Said
  /** An answer in words to something that was no tap, such as a wrong helm's number. */
  told?: Said
  preview?: MsgPreviewIs
  /** How often the board here differed from the server's and was fetched anew. */
  mismatches: number
}

export type BodyOf<K extends Kind> = Extract<Content, { kind: K }>['body']

export interface ActOptions {
  /** The act was that long ago (30 s, 1, 2, 5 minutes). */
  ago_ms?: number
  /** Another hand than this page's speaks. */
  by?: number
  /** This entry stands in the place of an earlier one. */
  instead_of?: EntryId
}

export interface Store {
  /** The state as it is; the same object until something changes. */
  state(): ViewState
  /** Calls back after each change; returns the function that ends it. */
  subscribe(changed: () => void): () => void
  /** Log time now, as this page estimates it. */
  now(): number
  /** An act of the crew's. Returns the entry's identity. */
  act<K extends Kind>(kind: K, body: BodyOf<K>, options?: ActOptions): EntryId
  /** UNDO of the last act; nothing when there is none to undo. */
  undo(): void
  /** Takes the helm: with the number before the trip starts, without it after. */
  takeHelm(number?: string): void
  /** Asks what a correction of this entry would make moot; the answer is `preview`. */
  preview(target: EntryId): void
  /** Shows another page from now on; the server is told. */
  setView(view: View): void
  /** Joins with a key typed in or scanned. */
  join(key: string): void
  /** For reads over HTTP: the bearer token, '' when there is none. */
  token(): string
}
