// What sounds, and what was shown: each alarm and each call once for this page, however often it comes.
//
// An alarm may come three ways, as an alarm message, as a patch, and in a fresh board, and again after a cut or a crash. Its
// identity decides: what has rung here never rings again. A call older than a minute doesn't ring; overboard always does.

import type { BoardCall, BoardClearing, BoardHurt, BoardOverboard, BoardStop, Entry, EntryId } from 'proto'
import type { Ring } from './store_shape'
import { LINK_MS } from './link_types'

const REMEMBERED = 2000

type What = Ring['what']
const RINGS: Partial<Record<Entry['kind'], What>> = { overboard: 'overboard', stop: 'stop', hurt: 'hurt', clear_called: 'clear', call: 'call' }

export class Rings {
  private rung = new Set<EntryId>()
  private shown = new Set<EntryId>()

  /** A new entry: what it rings, if it does. */
  entry(entry: Entry, now_log_ms: number): Ring[] {
    const what = RINGS[entry.kind]
    return what && !entry.refused ? this.ring(what, entry.id, entry.at_ms, now_log_ms) : []
  }

  /** A fresh board: what stands on it and has not rung here. What this page has answered already stays silent. */
  board(parts: ReadonlyMap<string, unknown>, page: string, now_log_ms: number): Ring[] {
    const overboard = parts.get('overboard') as BoardOverboard | undefined
    const stop = parts.get('stop') as BoardStop | undefined
    const clearing = parts.get('clearing') as BoardClearing | undefined
    const heard = overboard?.heard?.some((answer) => answer.page === page) ?? false
    const calls = heard ? [] : (overboard?.calls ?? []).filter((call) => !call.withdrawn)
    return [
      ...calls.flatMap((call) => this.ring('overboard', call.id, call.at_ms ?? 0, now_log_ms)),
      ...(stop?.id ? this.ring('stop', stop.id, stop.since_ms ?? 0, now_log_ms) : []),
      ...openHurts(parts).flatMap((hurt) => this.ring('hurt', hurt.id, hurt.since_ms ?? 0, now_log_ms)),
      ...(clearing?.id && clearing.state === 'open' && !clearing.heard
        ? this.ring('clear', clearing.id, clearing.since_ms ?? 0, now_log_ms)
        : []),
      ...openCalls(parts).flatMap((call) => this.ring('call', call.id, call.at_ms ?? 0, now_log_ms)),
    ]
  }

  private ring(what: What, id: EntryId, at_ms: number, now_log_ms: number): Ring[] {
    if (this.rung.has(id)) return []
    remember(this.rung, id)
    if (what !== 'overboard' && now_log_ms - at_ms > LINK_MS.call_rings) return []
    return [{ id, what, at_ms, came_ms: now_log_ms }]
  }

  /** The calls of others that stand on the board and that this page, being in front, shows for the first time. */
  newlyShown(parts: ReadonlyMap<string, unknown>, page: string): EntryId[] {
    const overboard = parts.get('overboard') as BoardOverboard | undefined
    const clearing = parts.get('clearing') as BoardClearing | undefined
    const standing = [
      ...(overboard?.id ? [overboard.id] : []),
      ...(clearing?.id && clearing.state === 'open' ? [clearing.id] : []),
      ...openCalls(parts).map((call) => call.id),
    ]
    const fresh = standing.filter((id) => !this.shown.has(id) && !id.startsWith(page))
    for (const id of fresh) remember(this.shown, id)
    return fresh
  }
}

/** Calls that nobody has answered yet. The first word of a list is the zero value, and zero values are left out. */
function openCalls(parts: ReadonlyMap<string, unknown>): BoardCall[] {
  return partsOf<BoardCall>('calls', parts).filter((call) => (call.state ?? 'called') === 'called')
}

function openHurts(parts: ReadonlyMap<string, unknown>): BoardHurt[] {
  return partsOf<BoardHurt>('hurts', parts).filter((hurt) => !hurt.over)
}

function partsOf<Part>(name: string, parts: ReadonlyMap<string, unknown>): Part[] {
  return [...parts].filter(([id]) => id.startsWith(`${name}/`)).map(([, value]) => value as Part)
}

function remember(ids: Set<EntryId>, id: EntryId): void {
  ids.add(id)
  for (const oldest of ids) {
    if (ids.size <= REMEMBERED) break
    ids.delete(oldest)
  }
}
