// Known to: what a place (the helm, the cockpit station, a hand's phone) had been shown at a moment, against hindsight.
//
//     here                 its glass showed the board: all that the server had
//     asleep, lost, left   it showed what it had last, or nothing
//
// A page is lost once the server has not heard it for eight seconds. What came in those eight may have reached it or not, and is
// said to be so, unless the page itself sent something later: a receipt is a proof that it was there.

import type { Entry, EntryId, PageReach, U64, View } from 'proto'
import type { ReplayHead } from './source'

/** The server's own limit: a page unheard so long is lost. */
const SILENT_MS = 8000

export type PlaceOf = 'log' | 'helm' | 'station' | 'phone'
export interface Place {
  of: PlaceOf
  /** Whose phone. */
  hand: number
}
export const EVERYONE: Place = { of: 'log', hand: 0 }

/** A time in which a page showed the board. */
export interface Stay {
  page: U64
  view: View
  hand: number
  from_ms: number
  /** Infinity: to the end. */
  to_ms: number
  /** From when on it is not known whether it was still there; to_ms when it is. */
  sure_ms: number
  ended: PageReach | ''
}

interface Open extends Stay {
  proof_ms: number
}

/** All stays of all pages, in the order of the log. */
export function stays(head: ReplayHead): Stay[] {
  const open = new Map<U64, Open>()
  const done: Stay[] = []
  const end = (page: U64, ended: PageReach, at_ms: number, silent_ms: number) => {
    const stay = open.get(page)
    if (!stay) return
    const { proof_ms, ...told } = stay
    done.push({ ...told, to_ms: at_ms, sure_ms: Math.min(at_ms, Math.max(proof_ms, at_ms - silent_ms)), ended })
    open.delete(page)
  }
  const begin = (page: U64, view: View, hand: number, at_ms: number) => {
    open.set(page, { page, view, hand, from_ms: at_ms, to_ms: Infinity, sure_ms: Infinity, ended: '', proof_ms: at_ms })
  }
  const last = new Map<U64, { view: View; hand: number }>()
  const take = (entry: Entry) => {
    const at_ms = entry.got_ms
    const sender = entry.id.slice(0, 16)
    const known = open.get(sender)
    if (known) known.proof_ms = at_ms
    switch (entry.kind) {
      case 'run':
        if (entry.body.fresh) for (const page of [...open.keys()]) end(page, 'lost', at_ms, 0)
        return
      case 'page_joined': {
        const { page, view, hand = 0, state = 'here' } = entry.body
        end(page, state === 'here' ? 'left' : state, at_ms, 0)
        last.set(page, { view, hand })
        if (state === 'here') begin(page, view, hand, at_ms)
        return
      }
      case 'page_hand': {
        const { view } = last.get(sender) ?? { view: 'phone' as View }
        last.set(sender, { view, hand: entry.body.hand })
        if (!known) return
        end(sender, 'here', at_ms, 0)
        begin(sender, view, entry.body.hand, at_ms)
        return
      }
      case 'page_state': {
        const { page, state } = entry.body
        if (state !== 'here') return end(page, state, at_ms, state === 'lost' ? SILENT_MS : 0)
        const { view, hand } = last.get(page) ?? { view: 'none' as View, hand: 0 }
        if (!open.has(page)) begin(page, view, hand, at_ms)
        return
      }
      default:
        return
    }
  }
  for (const entry of [...head.presence, ...head.receipts].sort((a, b) => a.seq - b.seq)) take(entry)
  return [...done, ...[...open.values()].map(({ proof_ms: _, ...stay }) => stay)].sort((a, b) => a.from_ms - b.from_ms)
}

const isAt = (stay: Stay, place: Place) => (place.of === 'phone' ? stay.view === 'phone' && stay.hand === place.hand : stay.view === place.of)

/** The places that showed the board at some time: the helm, the station, each hand's phone. */
export function places(all: readonly Stay[]): Place[] {
  const hands = [...new Set(all.filter((stay) => stay.view === 'phone' && stay.hand).map((stay) => stay.hand))].sort((a, b) => a - b)
  return [
    ...(['helm', 'station'] as const).filter((view) => all.some((stay) => stay.view === view)).map((of) => ({ of, hand: 0 })),
    ...hands.map((hand) => ({ of: 'phone' as const, hand })),
  ]
}

export interface Known {
  is: 'here' | 'away' | 'never'
  /** What came until then, it had been shown. */
  until_ms: number
  /** What came from then on may not have reached it; until_ms when all did. */
  sure_ms: number
  /** How it went away, for 'away'. */
  how: PageReach | ''
}

/** What a place had been shown at a moment. */
export function knownTo(all: readonly Stay[], place: Place, at_ms: number): Known {
  if (place.of === 'log') return { is: 'here', until_ms: at_ms, sure_ms: at_ms, how: '' }
  const its = all.filter((stay) => isAt(stay, place) && stay.from_ms <= at_ms)
  if (its.some((stay) => stay.to_ms > at_ms)) {
    const sure = Math.max(...its.filter((stay) => stay.to_ms > at_ms).map((stay) => stay.sure_ms))
    return { is: 'here', until_ms: at_ms, sure_ms: Math.min(at_ms, sure), how: '' }
  }
  const latest = its.reduce<Stay | null>((best, stay) => (best && best.to_ms >= stay.to_ms ? best : stay), null)
  if (!latest) return { is: 'never', until_ms: -1, sure_ms: -1, how: '' }
  return { is: 'away', until_ms: latest.to_ms, sure_ms: latest.sure_ms, how: latest.ended }
}

/**
 * How an entry that the server got at got_ms stood with a place at a moment: shown as it came; perhaps (the page was silent and
 * then lost); later, when its page came back; not_yet.
 */
export type Reached = 'shown' | 'perhaps' | 'later' | 'not_yet'

export function reached(all: readonly Stay[], place: Place, got_ms: number, at_ms: number): Reached {
  if (place.of === 'log') return got_ms <= at_ms ? 'shown' : 'not_yet'
  if (got_ms > at_ms) return 'not_yet'
  const its = all.filter((stay) => isAt(stay, place))
  const then = its.filter((stay) => stay.from_ms <= got_ms && got_ms < stay.to_ms)
  if (then.some((stay) => got_ms <= stay.sure_ms)) return 'shown'
  if (its.some((stay) => stay.from_ms > got_ms && stay.from_ms <= at_ms)) return 'later'
  return then.length ? 'perhaps' : 'not_yet'
}

/** When a page of this place said that it showed this call, clearing or emergency; 0: it had not by then. */
export function receiptAt(head: ReplayHead, all: readonly Stay[], place: Place, call: EntryId, at_ms: number): number {
  const receipt = head.receipts.find((entry) => entry.kind === 'shown' && entry.body.call === call && entry.got_ms <= at_ms
    && (place.of === 'log' || all.some((stay) => isAt(stay, place) && stay.page === entry.id.slice(0, 16))))
  return receipt?.at_ms ?? 0
}
