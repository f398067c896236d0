// What the boat's own log has learned, for the trip that is about to start: asked for while no trip runs, and put into the trip's
// first entry, so that the trip is whole by itself.

import { useEffect, useState } from 'preact/hooks'
import type { DebriefLearned } from 'debrief'
import type { BodyTripStarted } from 'proto'
import type { Store } from '../store_shape'

/** The body with what was learned in it; what rests on no lines yet is left to the board's usual. */
export function withLearned(body: BodyTripStarted, learned: DebriefLearned | null): BodyTripStarted {
  return learned && learned.lines > 0 ? { ...body, line_in_ms: learned.line_in_ms } : body
}

/** null: not known (yet). A board without a trip in its log has learned nothing; a read that fails is as if it had not. */
export function useLearned(store: Store, wanted: boolean): DebriefLearned | null {
  const [learned, setLearned] = useState<DebriefLearned | null>(null)
  useEffect(() => {
    if (!wanted) return
    const ended = new AbortController()
    fetch('/debrief.json?part=learned', { headers: { Authorization: `Bearer ${store.token()}` }, signal: ended.signal })
      .then((answer) => (answer.ok ? (answer.json() as Promise<DebriefLearned>) : null))
      .then((made) => made && setLearned(made), () => undefined)
    return () => ended.abort()
  }, [store, wanted])
  return learned
}
