// The phone's two clocks as one that never runs backwards and counts sleep.
//
// performance.now() stands still on some phones while they sleep; Date.now() goes on but may be set. So the difference that
// opens up between the two while the page was hidden is taken for sleep, and one that opens up while it was in front is not.

import type { Now } from './link_types'

/** Less than this between the two clocks is their ordinary drift. */
const SLEEP_LEAST_MS = 1000

export class PhoneClock {
  private slept_ms = 0
  private hidden_at: Now | null = null

  read(performance_ms: number, wall_ms: number): Now {
    return { mono_ms: performance_ms + this.slept_ms, wall_ms }
  }

  hidden(performance_ms: number, wall_ms: number): void {
    this.hidden_at = { mono_ms: performance_ms, wall_ms }
  }

  visible(performance_ms: number, wall_ms: number): void {
    const from = this.hidden_at
    this.hidden_at = null
    if (!from) return
    const missed_ms = wall_ms - from.wall_ms - (performance_ms - from.mono_ms)
    if (missed_ms > SLEEP_LEAST_MS) this.slept_ms += missed_ms
  }
}
