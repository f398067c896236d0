// The second copy: entries that this screen saw and that were not saved then.
//
// While the server lives they are dropped as its disk catches up. When a new run of the same log says hello, what is left of
// older runs is offered to it, oldest first, so that a crash between seen and saved loses nothing while one screen lives. The
// page's own taps are not offered: it sends them again itself. The server's own entries are not kept: each run has its own; but
// for a number that the server filled, which is the page's.
//
// Invariants: each entry is kept once, under its identity, with the run that was heard of last; an entry of the present run is
// never offered to it.

import type { Entry, EntryId, MsgAnswer, U64 } from 'proto'
import { IN_FLIGHT, KEPT_MAX, UNTOLD, type KeptEntry } from './link_types'

interface Offer {
  kept: KeptEntry
  state: 'ready' | 'flying'
  hold_until_ms: number
}

export class Kept {
  private entries = new Map<EntryId, KeptEntry>()
  private offers = new Map<EntryId, Offer>()
  private runs: U64[] = []

  /** A patch or an alarm brought an entry that is not saved yet. */
  note(run: U64, entry: Entry, now_ms: number): void {
    if (entry.from === 'server' && entry.kind !== 'gap_filled') return
    if (!this.runs.includes(run)) this.runs.push(run)
    if (this.entries.size >= KEPT_MAX && !this.entries.has(entry.id)) return
    this.entries.set(entry.id, { run, seq: entry.seq, entry, at_mono_ms: now_ms - (entry.got_ms - entry.at_ms) })
    this.offers.delete(entry.id)
  }

  /** The run has everything up to this seq on its disk. */
  saved(run: U64, up_to: number): void {
    for (const [id, kept] of this.entries) {
      if (kept.run === run && kept.seq !== UNTOLD && kept.seq <= up_to) this.entries.delete(id)
    }
  }

  /** The run's last entry has this seq: what it said it has, without saying where, lies no later. */
  last(run: U64, last_seq: number): void {
    for (const kept of this.entries.values()) if (kept.run === run && kept.seq === UNTOLD) kept.seq = last_seq
  }

  /** Another log: what was seen of the old one is not this boat's any more. */
  clear(): void {
    this.entries.clear()
    this.offers.clear()
    this.runs = []
  }

  /** A connection to this run began: everything of older runs is to be offered, oldest first, but for the page's own. */
  begin(run: U64, own: (id: EntryId) => boolean): void {
    if (!this.runs.includes(run)) this.runs.push(run)
    const older = [...this.entries.values()].filter((kept) => kept.run !== run && !own(kept.entry.id))
    older.sort((a, b) => this.runs.indexOf(a.run) - this.runs.indexOf(b.run) || a.seq - b.seq)
    this.offers = new Map(older.map((kept) => [kept.entry.id, { kept, state: 'ready', hold_until_ms: 0 }]))
  }

  /** The connection is gone. */
  cut(): void {
    this.offers.clear()
  }

  /** Answers were lost: what was not answered is offered again. */
  again(): void {
    for (const offer of this.offers.values()) offer.state = 'ready'
  }

  /** The offers to send now, in order. */
  take(now_ms: number): KeptEntry[] {
    const out: KeptEntry[] = []
    let flying = 0
    for (const offer of this.offers.values()) if (offer.state === 'flying') flying++
    for (const offer of this.offers.values()) {
      if (flying >= IN_FLIGHT) break
      if (offer.state === 'flying' || offer.hold_until_ms > now_ms) continue
      offer.state = 'flying'
      flying++
      out.push(offer.kept)
    }
    return out
  }

  /** What became of an offer to this run; false when the answer is to none. A taken one is kept on, as that run's entry. */
  answer(run: U64, answer: MsgAnswer, now_ms: number): boolean {
    const offer = this.offers.get(answer.id)
    if (!offer) return false
    if (answer.is === 'wait' || answer.is === 'not_now') {
      offer.state = 'ready'
      offer.hold_until_ms = now_ms + Math.max(answer.retry_ms ?? 0, 100)
      return true
    }
    this.offers.delete(answer.id)
    if (answer.is === 'error') this.entries.delete(answer.id)
    else this.entries.set(answer.id, { ...offer.kept, run, seq: answer.seq || UNTOLD })
    return true
  }

  /** The next time at which take() may give something on account of time alone; Infinity when there is none. */
  due_ms(now_ms: number): number {
    const holds = [...this.offers.values()].filter(({ state, hold_until_ms }) => state === 'ready' && hold_until_ms > now_ms)
    return Math.min(Infinity, ...holds.map((offer) => offer.hold_until_ms))
  }

  /** Is something still to be offered to the present run? */
  offering(): boolean {
    return this.offers.size > 0
  }

  count(): number {
    return this.entries.size
  }
}
