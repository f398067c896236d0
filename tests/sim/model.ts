// The independent model: what was tapped, what each phone told its owner, and what the log must then hold. It knows nothing of
// the rules; it compares identities, texts and words.
//
// Promise 2: every tap told "saved" is in the log exactly once and as it was tapped; none told "refused" takes effect.

import { canonical } from '../../web/src/digest'
import * as proto from 'proto'
import { KINDS, type BoardHand, type BoardLine, type Entry, type EntryId, type Kind } from 'proto'

export type Told = 'saved' | 'refused' | 'logged'

interface Tapped {
  kind: Kind
  body: string
  /** logged: in the log, and nobody remembers whether it was taken. */
  told: '' | Told
  /** A text that only this tap carries: where it shows, the tap took effect. */
  mark: string
}

/** What a simulation found wrong. */
export class Wrong extends Error {}

export function must(holds: boolean, what: string): asserts holds {
  if (!holds) throw new Wrong(what)
}

/** What the logs hold of the taps that phones were told of. */
export interface Found {
  once: number
  twice: number
  lost: number
  refused_taken: number
}

export interface TallyValues {
  taken: [Kind, number][]
  refused: [string, number][]
  offered: number
  hands: number
  pages_shown: number
  pages: number
  found: Found
}

/** What the logs of all stories held, so that a simulator that tries nothing can be seen to try nothing. */
export class Tally {
  readonly taken = new Map<Kind, number>()
  readonly refused = new Map<string, number>()
  offered = 0
  /** The most hands and pages that one board showed at a story's end, and the most pages that one story had. */
  hands = 0
  pages_shown = 0
  pages = 0
  readonly found: Found = { once: 0, twice: 0, lost: 0, refused_taken: 0 }

  addBoard(parts: ReadonlyMap<string, unknown>, pages: number): void {
    const count = (name: string): number => [...parts.keys()].filter((id) => id.startsWith(`${name}/`)).length
    this.hands = Math.max(this.hands, count('hands'))
    this.pages_shown = Math.max(this.pages_shown, count('pages'))
    this.pages = Math.max(this.pages, pages)
  }

  add(entry: Entry): void {
    if (entry.refused) this.refused.set(entry.refused, (this.refused.get(entry.refused) ?? 0) + 1)
    else this.taken.set(entry.kind, (this.taken.get(entry.kind) ?? 0) + 1)
    if (entry.offered) this.offered++
  }

  /** All of it, for another process. */
  values(): TallyValues {
    const { offered, hands, pages_shown, pages, found } = this
    return { taken: [...this.taken], refused: [...this.refused], offered, hands, pages_shown, pages, found }
  }

  addAll({ taken, refused, offered, hands, pages_shown, pages, found }: TallyValues): void {
    for (const [kind, count] of taken) this.taken.set(kind, (this.taken.get(kind) ?? 0) + count)
    for (const [code, count] of refused) this.refused.set(code, (this.refused.get(code) ?? 0) + count)
    this.offered += offered
    this.hands = Math.max(this.hands, hands)
    this.pages_shown = Math.max(this.pages_shown, pages_shown)
    this.pages = Math.max(this.pages, pages)
    this.addFound(found)
  }

  addFound(found: Found): void {
    for (const name of ['once', 'twice', 'lost', 'refused_taken'] as const) this.found[name] += found[name]
  }

  /** Kinds that were never taken, but for the filler of gaps, which never is. */
  missing(): Kind[] {
    const kinds = [...new Set(Object.values(KINDS).map(({ kind }) => kind))]
    return kinds.filter((kind) => kind !== 'gap_filled' && !this.taken.has(kind))
  }
}

/** The first word of every list of words: what a member has that says nothing. */
const NOTHING_SAID = new Set(Object.entries(proto).flatMap(([name, words]) => (name.endsWith('_VALUES') ? [(words as readonly string[])[0]] : [])))

/** The log leaves out what says nothing: a zero, an empty text or list, a list's first word. */
function bare(body: object, logged: object): object {
  const nothing = (value: unknown): boolean => !value || (Array.isArray(value) && value.length === 0) || NOTHING_SAID.has(value as string)
  return Object.fromEntries(Object.entries(body).filter(([name, value]) => name in logged || !nothing(value)))
}

export class Model {
  private tapped = new Map<EntryId, Tapped>()

  tap(id: EntryId, kind: Kind, body: object, mark: string): void {
    must(!this.tapped.has(id), `${id} was given twice`)
    this.tapped.set(id, { kind, body: canonical(body), told: '', mark })
  }

  /** The page's own taps, receipts and such, are held to the same. */
  sent(id: EntryId, kind: Kind, body: object): void {
    const known = this.tapped.get(id)
    if (!known) return this.tap(id, kind, body, '')
    must(known.kind === kind && known.body === canonical(body), `${id} was sent with another body`)
  }

  told(id: EntryId, word: Told): void {
    const known = this.tapped.get(id)
    must(known !== undefined, `a phone tells of ${id}, which nobody tapped`)
    must(known.told === '' || known.told === word, `${id} was told ${known.told} and then ${word}`)
    known.told = word
  }

  /** The log as text, one row each. */
  checkLog(rows: readonly string[], tally: Tally): void {
    tally.addFound(this.found(rows))
    const entries = new Map<EntryId, Entry>()
    let got_ms = 0
    rows.forEach((row, index) => {
      const entry = JSON.parse(row) as Entry
      must(entry.got_ms >= got_ms, `row ${index + 1} came ${got_ms - entry.got_ms} ms before the row before it`)
      must(entry.at_ms <= entry.got_ms, `row ${index + 1} came before it was`)
      got_ms = entry.got_ms
      must(entry.seq === index + 1, `row ${index + 1} says seq ${entry.seq}`)
      must(!entries.has(entry.id), `promise 2: ${entry.id} is in the log twice`)
      entries.set(entry.id, entry)
      tally.add(entry)
    })
    for (const [id, tapped] of this.tapped) this.checkTap(id, tapped, entries.get(id))
  }

  /** Counted before anything is checked, so that what fails is counted as well. */
  private found(rows: readonly string[]): Found {
    const found: Found = { once: 0, twice: 0, lost: 0, refused_taken: 0 }
    const by_id = new Map<EntryId, Entry[]>()
    for (const row of rows) {
      const entry = JSON.parse(row) as Entry
      by_id.set(entry.id, [...(by_id.get(entry.id) ?? []), entry])
    }
    for (const [id, { told }] of this.tapped) {
      const entries = by_id.get(id) ?? []
      if (told === 'saved') found[entries.length === 0 ? 'lost' : entries.length === 1 ? 'once' : 'twice']++
      if (told === 'refused' && entries.some(({ refused }) => !refused)) found.refused_taken++
    }
    return found
  }

  private checkTap(id: EntryId, tapped: Tapped, entry: Entry | undefined): void {
    must(tapped.told !== 'logged' || entry !== undefined, `promise 2: ${id} ${tapped.kind} was told logged and is not in the log`)
    if (tapped.told === 'saved') {
      must(entry !== undefined, `promise 2: ${id} ${tapped.kind} was told saved and is not in the log`)
      must(!entry.refused, `promise 2: ${id} ${tapped.kind} was told saved and stands refused (${entry.refused})`)
    }
    if (tapped.told === 'refused') must(!entry || !!entry.refused, `promise 2: ${id} ${tapped.kind} was told refused and stands taken`)
    if (!entry || entry.kind === 'gap_filled') return
    must(entry.kind === tapped.kind, `${id} was tapped as ${tapped.kind} and logged as ${entry.kind}`)
    const body = bare(JSON.parse(tapped.body) as object, entry.body)
    must(canonical(entry.body) === canonical(body), `${id} ${tapped.kind} was logged with another body`)
  }

  /** A board on a screen: nothing that was refused shows on it. */
  checkBoard(parts: ReadonlyMap<string, unknown>): void {
    const shown = new Set<string>()
    for (const [id, value] of parts) {
      if (id.startsWith('lines/')) shown.add((value as BoardLine).bait ?? '')
      if (id.startsWith('hands/')) shown.add((value as BoardHand).name)
    }
    for (const [id, { told, mark }] of this.tapped) {
      must(told !== 'refused' || mark === '' || !shown.has(mark), `promise 2: ${id} was told refused and shows as ${mark}`)
    }
  }

  counts(): { taps: number; saved: number; refused: number } {
    const all = [...this.tapped.values()]
    const with_word = (word: string): number => all.filter((tapped) => tapped.told === word).length
    return { taps: all.length, saved: with_word('saved'), refused: with_word('refused') }
  }
}
