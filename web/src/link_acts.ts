// This page's own acts: their numbers, which of them UNDO would take back, and that OVERBOARD pressed twice is one call.

import type { EntryId, Kind, U64 } from 'proto'
import { kindInfo } from './link_taps'
import { LINK_MS, type Now } from './link_types'
import type { LastAct } from './store_shape'

export class Acts {
  last: LastAct | undefined
  private numbers = { o: 0, e: 0 }
  private called_id: EntryId = ''
  private called_ms = -Infinity

  constructor(private page: U64) {}

  /** The call that this one would only repeat: OVERBOARD within 10 s of the last, unless that was withdrawn. '' for none. */
  standing(kind: Kind, now: Now): EntryId {
    return kind === 'overboard' && now.mono_ms - this.called_ms < LINK_MS.overboard ? this.called_id : ''
  }

  next(kind: Kind): EntryId {
    const lane = kindInfo(kind).lane === 'emergency' ? 'e' : 'o'
    return `${this.page}.${lane}.${++this.numbers[lane]}`
  }

  /** It was done, at at_ms of the log. An undo, and what the hub would not undo (a call that may have been heard), leave nothing to
   * undo. */
  done(id: EntryId, kind: Kind, body: object, at_ms: number, now: Now): void {
    const info = kindInfo(kind)
    if (kind === 'overboard') {
      this.called_id = id
      this.called_ms = now.mono_ms
    } else if (kind === 'overboard_withdrawn') this.called_ms = -Infinity
    if (info.act) this.last = info.undoable ? { id, kind, body, at_ms, until_ms: at_ms + LINK_MS.undo } : undefined
  }
}
