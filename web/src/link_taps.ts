// The waiting taps: each from the act until it is safe on the server's disk, or for good refused there.
//
//            written              sent               seen                   saved_up_to >= seq
//   unwritten ─────▶ ready ──────────▶ flying ──────────▶ answered ──────────────────────▶ final (row erased)
//                      ▲   wait, not_now │                   │
//                      ├─────────────────┘                   │
//                      └──── cut (flying), new run (all) ────┘
//
// Rules, each of which the tests hold it to:
//  1. An ordinary tap lies in the phone's storage before it is sent. An emergency tap is sent at once, while it is written.
//  2. The taps of one sender and lane are sent in the order of their numbers; senders and lanes don't wait for each other.
//  3. A tap is kept, and sent again under the same identity, until its seq is saved by the run that gave the seq.
//  4. A refusal is told to the crew only once the phone would send the tap as told no after a crash, or once it is saved. Of a tap
//     that was ever sent to a run before it is told only once saved: that run may have taken it, whether its answer came or not, and
//     other screens that saw it taken may bring it back as that.
//  5. A phone may have several pages, which share its storage, and a page that seems to be gone may only be asleep. So a tap goes
//     to a run only once its row is marked for that run (a claim), and a refusal by a run is told only while the row still is:
//     else another page might send to the next run what this one tells to be refused. Emergencies of the page itself don't wait
//     for their mark.
//  6. A tap for another boat's board, from before the phone changed boats, stays in the phone's storage. It is neither shown nor counted.

import { KINDS, REFUSALS, SOURCE_VALUES, type EntryId, type Kind, type MsgAnswer, type MsgTap, type Source, type U64 } from 'proto'
import type { TapView, TapWord } from './store_shape'
import { IN_FLIGHT, LINK_MS, UNTOLD, type Now, type Row } from './link_types'

/** A kind by its name, at the newest version. */
export function kindInfo(kind: Kind): (typeof KINDS)[keyof typeof KINDS] {
  return KINDS[kind as keyof typeof KINDS]
}

/** May a page of this source send that kind at all? */
export function maySend(source: Source, kind: Kind): boolean {
  const needed = kindInfo(kind).from === 'helm' ? 'crew' : kindInfo(kind).from
  return SOURCE_VALUES.indexOf(source) >= SOURCE_VALUES.indexOf(needed)
}

type Phase = 'unwritten' | 'ready' | 'flying' | 'answered' | 'final'

interface Tap {
  row: Row
  phase: Phase
  /** The row is in the storage; being written since, if not yet. */
  stored: boolean
  writing_ms: number
  /** Its claim for the present run is under way. */
  claiming: boolean
  /** It belongs to no board that is known. */
  nobodys: boolean
  /** On the mono clock when the act was; null for a tap of an earlier page load. */
  at_mono_ms: number | null
  seq: number
  refused: string
  /** When it was last sent, to this run or one before; Infinity: never. */
  sent_ms: number
  /** A run before this one may have taken it: other screens may hold it as taken. */
  doubt: boolean
  moot: boolean
  late: boolean
  words: string
  about?: EntryId
  waiting: boolean
  /** A refusal being written into the row: not told before. */
  telling: boolean
  /** On the mono clock when its answer came; 0: not yet. */
  told_ms: number
  final_ms: number
}

/** One sender's numbers in one lane. */
interface Lane {
  emergency: boolean
  /** In order of their numbers; without the final ones. */
  taps: Tap[]
  hold_until_ms: number
}

const numberOf = (id: EntryId): number => Number(id.slice(19))
const laneKey = (id: EntryId): string => id.slice(0, 18)

export class Taps {
  private lanes = new Map<string, Lane>()
  private byId = new Map<EntryId, Tap>()
  private finals: Tap[] = []
  /** What the caller must write and erase. */
  private writes: Row[] = []
  private erases: EntryId[] = []
  private boat: U64 = ''
  private run: U64 = ''
  storage: 'kept' | 'memory' = 'kept'
  /** When a socket was last changed because nobody answered a tap on it. */
  private left_ms = -Infinity

  constructor(private page: U64) {}

  /** A server said welcome: from now on taps go to this run of this boat's board. */
  welcomed(boat: U64, run: U64): void {
    if (this.run !== run) this.newRun()
    this.boat = boat
    this.run = run
  }

  /** An act of this page. */
  add(row: Row, at_mono_ms: number, now: Now): void {
    const stored = this.storage === 'memory'
    const tap = this.enter(row, stored ? 'ready' : 'unwritten', at_mono_ms)
    tap.writing_ms = now.mono_ms
    if (!stored) this.writes.push(row)
  }

  /** What a page that is gone has left. */
  load(rows: readonly Row[], now: Now): void {
    for (const row of rows) {
      if (this.byId.has(row.id)) continue
      const tap = this.enter(row, 'ready', null)
      tap.stored = true
      tap.doubt = !row.told_no
      tap.nobodys = !row.boat && row.id[17] === 'e' && now.wall_ms - row.wall_ms > LINK_MS.nobodys
    }
    for (const lane of this.lanes.values()) lane.taps.sort((a, b) => numberOf(a.row.id) - numberOf(b.row.id))
  }

  private enter(row: Row, phase: Phase, at_mono_ms: number | null): Tap {
    const tap: Tap = {
      row, phase, at_mono_ms, stored: false, writing_ms: 0, claiming: false, nobodys: false, seq: 0, refused: row.told_no ?? '', sent_ms: Infinity,
      doubt: false, moot: false, late: false, words: row.told_words ?? '', waiting: false, telling: false, told_ms: 0, final_ms: 0,
    }
    const key = laneKey(row.id)
    const lane = this.lanes.get(key) ?? { emergency: row.id[17] === 'e', taps: [], hold_until_ms: 0 }
    this.lanes.set(key, lane)
    lane.taps.push(tap)
    this.byId.set(row.id, tap)
    return tap
  }

  written(id: EntryId): void {
    const tap = this.byId.get(id)
    if (!tap) return
    tap.stored = true
    tap.telling = false
    if (tap.phase === 'unwritten') tap.phase = 'ready'
  }

  /** Another page of this phone may have sent it to a later run, which may have taken it: told only once saved. */
  outrun(id: EntryId): void {
    const tap = this.byId.get(id)
    if (!tap) return
    const { told_no: _no, told_words: _words, ...row } = tap.row
    tap.row = row
    tap.telling = false
    tap.doubt = true
  }

  /** The rows to be marked for the present run. */
  takeClaims(now_ms: number): Row[] {
    if (this.storage === 'memory') return []
    const open = [...this.byId.values()].filter((tap) => tap.phase === 'ready' && tap.row.run !== this.run && !tap.claiming && !this.elsewhere(tap))
    for (const tap of open) {
      tap.claiming = true
      tap.writing_ms = now_ms
    }
    return open.map((tap) => tap.row)
  }

  /** The storage's word goes before this page's: another page may have been told no. */
  claimed(run: U64, rows: readonly Row[]): void {
    for (const row of rows) {
      const tap = this.byId.get(row.id)
      if (!tap?.claiming || run !== this.run) continue
      tap.claiming = false
      tap.stored = true
      tap.row = row
      if (!row.told_no) continue
      tap.doubt = false
      tap.refused = row.told_no
      tap.words = row.told_words ?? ''
    }
  }

  /** For another board than this one. */
  private elsewhere(tap: Tap): boolean {
    return tap.row.boat ? this.boat !== '' && tap.row.boat !== this.boat : tap.nobodys
  }

  /** May it be sent, as far as the storage goes? */
  private mayGo(tap: Tap, emergency: boolean): boolean {
    if (emergency && tap.row.id.startsWith(this.page)) return tap.phase === 'ready' || tap.phase === 'unwritten'
    return tap.phase === 'ready' && (tap.row.run === this.run || this.storage === 'memory')
  }

  /** The storage is denied, broken or hangs: from now on the taps live in memory, and what waited for it goes out. */
  storageFailed(): void {
    this.storage = 'memory'
    for (const tap of this.byId.values()) {
      tap.claiming = false
      if (tap.phase === 'unwritten') tap.phase = 'ready'
      // A row that lies in the storage without its refusal could come back after a reload: told only once it is saved.
      if (!tap.stored) tap.telling = false
    }
  }

  /** A row unconfirmed for too long: the storage hangs. */
  storageHangs(now_ms: number): boolean {
    return this.storage === 'kept' && this.writeDue() <= now_ms
  }

  private writeDue(): number {
    let due = Infinity
    for (const tap of this.byId.values()) {
      if (tap.phase !== 'final' && (!tap.stored || tap.telling || tap.claiming)) due = Math.min(due, tap.writing_ms + LINK_MS.write)
    }
    return due
  }

  /** The connection is gone, or answers on it are: what was not answered is sent again. */
  cut(): void {
    for (const lane of this.lanes.values()) {
      lane.hold_until_ms = 0
      for (const tap of lane.taps) if (tap.phase === 'flying') tap.phase = 'ready'
    }
  }

  /** Another run: what the old one had seen and not saved may be lost, its seqs mean nothing. */
  private newRun(): void {
    this.cut()
    for (const lane of this.lanes.values()) {
      for (const tap of lane.taps) {
        tap.doubt ||= tap.sent_ms < Infinity && !tap.row.told_no
        tap.claiming = false
        if (tap.phase !== 'answered') continue
        tap.phase = 'ready'
        tap.seq = 0
      }
    }
  }

  /** The taps to send now, in order. */
  take(source: Source, now: Now): MsgTap[] {
    const out: MsgTap[] = []
    for (const lane of this.lanes.values()) {
      if (lane.hold_until_ms > now.mono_ms) continue
      let flying = 0
      for (const tap of lane.taps) if (tap.phase === 'flying') flying++
      for (const tap of lane.taps) {
        if (!lane.emergency && flying >= IN_FLIGHT) break
        if ((tap.phase !== 'ready' && tap.phase !== 'unwritten') || this.elsewhere(tap)) continue
        if (!this.mayGo(tap, lane.emergency) || !maySend(source, tap.row.kind)) {
          if (lane.emergency) continue
          break
        }
        tap.phase = 'flying'
        tap.sent_ms = now.mono_ms
        flying++
        out.push(message(tap, now))
      }
    }
    return out
  }

  /** What became of a tap. False when the answer is to none that is waited for. */
  answer(answer: MsgAnswer, now: Now): boolean {
    const tap = this.byId.get(answer.id)
    if (!tap || tap.phase === 'final') return false
    if (answer.is === 'wait' || answer.is === 'not_now') return this.hold(tap, answer, now.mono_ms)
    if (answer.is === 'error') {
      tap.refused = answer.code || 'bad_tap'
      tap.words = wordsOf(answer)
      tap.told_ms = now.mono_ms
      this.finish(tap, now.mono_ms)
      return true
    }
    tap.phase = 'answered'
    tap.told_ms = now.mono_ms
    tap.waiting = false
    tap.seq = answer.seq || (answer.is === 'refused' ? 0 : UNTOLD)
    tap.moot = answer.moot ?? false
    tap.late = answer.late ?? false
    if (answer.is === 'refused') this.refuse(tap, answer, now.mono_ms)
    else {
      // An earlier run's no that was not told: this one has it as taken.
      if (untold(tap)) tap.refused = ''
      if (!tap.refused) tap.words = wordsOf(answer)
    }
    // A no that is no entry of the log: nothing will ever be saved, it is final as it stands.
    if (tap.seq === 0) this.finish(tap, now.mono_ms)
    return true
  }

  private hold(tap: Tap, answer: MsgAnswer, now_ms: number): boolean {
    const lane = this.lanes.get(laneKey(tap.row.id))
    if (tap.phase === 'flying') tap.phase = 'ready'
    tap.waiting = true
    tap.words = wordsOf(answer)
    if (lane) lane.hold_until_ms = Math.max(lane.hold_until_ms, now_ms + Math.max(answer.retry_ms ?? 0, 100))
    return true
  }

  private refuse(tap: Tap, answer: MsgAnswer, now_ms: number): void {
    tap.refused = answer.code || 'told_no'
    tap.words = wordsOf(answer)
    if (answer.about) tap.about = answer.about
    if (tap.doubt) return
    if (tap.row.told_no === tap.refused) return
    tap.row = { ...tap.row, boat: this.boat, run: this.run, told_no: tap.refused, told_words: tap.words }
    if (this.storage === 'memory') {
      tap.telling = tap.stored
      return
    }
    tap.telling = true
    tap.writing_ms = now_ms
    this.writes.push(tap.row)
  }

  /** The present run has everything up to this seq on its disk. True when a tap became final. */
  saved(up_to: number, now_ms: number): boolean {
    const done = [...this.byId.values()].filter((tap) => tap.phase === 'answered' && tap.seq !== UNTOLD && tap.seq <= up_to)
    for (const tap of done) this.finish(tap, now_ms)
    return done.length > 0
  }

  /** The present run's last entry has this seq: what it knows, without saying where, lies no later. */
  last(last_seq: number): void {
    for (const tap of this.byId.values()) if (tap.phase === 'answered' && tap.seq === UNTOLD) tap.seq = last_seq
  }

  private finish(tap: Tap, now_ms: number): void {
    tap.phase = 'final'
    tap.telling = false
    tap.waiting = false
    tap.final_ms = now_ms
    this.finals.push(tap)
    this.erases.push(tap.row.id)
    const key = laneKey(tap.row.id)
    const lane = this.lanes.get(key)
    if (!lane) return
    lane.taps = lane.taps.filter((other) => other !== tap)
    if (lane.taps.length === 0) this.lanes.delete(key)
  }

  /** Final taps that have been on view long enough are forgotten. */
  forget(now_ms: number): boolean {
    const before = this.finals.length
    while (this.finals[0] && this.finals[0].final_ms + LINK_MS.shown_final <= now_ms) {
      const tap = this.finals.shift()
      if (tap) this.byId.delete(tap.row.id)
    }
    return this.finals.length !== before
  }

  takeWrites(): Row[] {
    return this.writes.splice(0)
  }

  takeErases(): EntryId[] {
    return this.erases.splice(0)
  }

  has(id: EntryId): boolean {
    return this.byId.has(id)
  }

  /** When the way up is given up, because nobody answers a tap on it; Infinity: none is under way. */
  private wayDue(): number {
    let since = Infinity
    for (const lane of this.lanes.values()) for (const tap of lane.taps) if (tap.phase === 'flying') since = Math.min(since, tap.sent_ms)
    return Math.max(since + LINK_MS.unanswered, this.left_ms + LINK_MS.unanswered_again)
  }

  /** Is it time to change the socket for that? Then it is taken as done. */
  leavesWay(now_ms: number): boolean {
    if (this.wayDue() > now_ms) return false
    this.left_ms = now_ms
    return true
  }

  /** How many are not yet final. */
  waiting(): number {
    let count = 0
    for (const tap of this.byId.values()) if (tap.phase !== 'final' && !this.elsewhere(tap)) count++
    return count
  }

  /** Was this tap refused, or did it not apply? */
  failed(id: EntryId): boolean {
    const tap = this.byId.get(id)
    return tap !== undefined && (tap.refused !== '' || tap.moot)
  }

  /** When something is to be done next on account of time alone; Infinity for nothing. What could go now has gone. */
  due_ms(source: Source, greeted: boolean, now_ms: number): number {
    let due = this.storage === 'kept' ? this.writeDue() : Infinity
    if (this.finals[0]) due = Math.min(due, this.finals[0].final_ms + LINK_MS.shown_final)
    if (!greeted) return due
    due = Math.min(due, this.wayDue())
    for (const lane of this.lanes.values()) {
      const ready = lane.taps.find((tap) => tap.phase === 'ready' && !this.elsewhere(tap))
      if (ready && lane.hold_until_ms > now_ms && maySend(source, ready.row.kind)) due = Math.min(due, lane.hold_until_ms)
    }
    return due
  }

  /** In order of the act. log_now_ms: log time at `now`. */
  views(now: Now, log_now_ms: number): TapView[] {
    const here = [...this.byId.values()].filter((tap) => !this.elsewhere(tap))
    const views = here.map((tap) => ({
      id: tap.row.id, kind: tap.row.kind, body: tap.row.body, at_ms: log_now_ms - ago(tap, now), state: word(tap),
      told_ms: tap.told_ms ? log_now_ms - (now.mono_ms - tap.told_ms) : 0,
      waiting: tap.waiting, moot: tap.moot, late: tap.late, words: untold(tap) ? '' : tap.words,
      ...(tap.about && !untold(tap) ? { about: tap.about } : {}),
    }))
    return views.sort((a, b) => a.at_ms - b.at_ms)
  }
}

function ago(tap: Tap, now: Now): number {
  const passed = tap.at_mono_ms === null ? now.wall_ms - tap.row.wall_ms : now.mono_ms - tap.at_mono_ms
  return Math.max(0, Math.round(passed))
}

/** A refusal that is not yet to be told. */
function untold(tap: Tap): boolean {
  return tap.refused !== '' && (tap.telling || (tap.doubt && tap.phase !== 'final'))
}

function word(tap: Tap): TapWord {
  if (tap.refused && !untold(tap)) return 'refused'
  switch (tap.phase) {
    case 'unwritten':
    case 'ready':
      return 'here'
    case 'flying':
      return 'sent'
    case 'answered':
      return 'seen'
    case 'final':
      return tap.moot ? 'moot' : tap.late ? 'late' : 'saved'
  }
}

function wordsOf(answer: MsgAnswer): string {
  return answer.words || (answer.code && answer.code in REFUSALS ? REFUSALS[answer.code as keyof typeof REFUSALS] : '')
}

function message(tap: Tap, now: Now): MsgTap {
  const { id, kind, v, body, by, instead_of, told_no } = tap.row
  return {
    t: 'tap', id, kind, v, ago_ms: ago(tap, now), body,
    ...(by ? { by } : {}),
    ...(instead_of ? { instead_of } : {}),
    ...(told_no ? { told_no } : {}),
  } as MsgTap
}
