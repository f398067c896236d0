// The connection as it stands, and what silence on it means.

import { LINK_MS, type Now } from './link_types'
import type { LinkWord } from './store_shape'

export interface Connection {
  gen: number
  is: 'closed' | 'opening' | 'open' | 'greeted'
  since_ms: number
  heard_ms: number
  /** Something must be heard by then; Infinity: no probe is out. */
  probe_ms: number
  beat_ms: number
  retry_ms: number
  tries: number
  /** A fresh board was asked for then; -Infinity: none. */
  asked_ms: number
  /** The revision of the last pulse that was ahead of this page's. */
  ahead_of: number
}

export function connection(is: 'closed' | 'opening', gen: number, tries: number, mono_ms: number): Connection {
  return {
    gen, is, since_ms: mono_ms, heard_ms: mono_ms, probe_ms: Infinity, beat_ms: Infinity, retry_ms: Infinity, tries, asked_ms: -Infinity,
    ahead_of: 0,
  }
}

/** When time alone will make something due on it. */
export function connectionDue(conn: Connection): number {
  return Math.min(
    conn.probe_ms, conn.beat_ms, conn.is === 'closed' ? conn.retry_ms : Infinity, conn.is === 'opening' ? conn.since_ms + LINK_MS.opening : Infinity,
    conn.is === 'greeted' && conn.probe_ms === Infinity ? conn.heard_ms + LINK_MS.silence : Infinity,
  )
}

/** While a page is greeted a timer goes off each second. None for longer, by either clock, is sleep: or the clock was set. */
export function slept(conn: Connection, last: Now | undefined, now: Now): boolean {
  if (!last || conn.is !== 'greeted') return false
  return Math.max(now.mono_ms - last.mono_ms, now.wall_ms - last.wall_ms) >= LINK_MS.asleep
}

export function linkWord(silent_ms: number, greeted_once: boolean): LinkWord {
  if (silent_ms >= LINK_MS.down) return 'down'
  if (silent_ms >= LINK_MS.not_known) return 'not_known'
  return silent_ms >= LINK_MS.no_link || !greeted_once ? 'no_link' : 'ok'
}

/** The next time after at_ms at which silence since heard_ms has another word. */
export function wordDue(heard_ms: number, at_ms: number): number {
  return Math.min(...[LINK_MS.no_link, LINK_MS.not_known, LINK_MS.down].map((after) => heard_ms + after).filter((due) => due > at_ms), Infinity)
}

/** JSON, or undefined for what is none. */
export function parsed<T>(text: string | undefined): T | undefined {
  try {
    return text ? (JSON.parse(text) as T) : undefined
  } catch {
    return undefined
  }
}
