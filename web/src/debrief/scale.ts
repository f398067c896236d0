// Scales of the plots: round ticks, of numbers and of times.

const SECOND_MS = 1000
const MINUTE_MS = 60 * SECOND_MS
const HOUR_MS = 60 * MINUTE_MS
const STEPS_MS = [10 * SECOND_MS, 20 * SECOND_MS, 30 * SECOND_MS, ...[1, 2, 5, 10, 15, 30].map((n) => n * MINUTE_MS), ...[1, 2, 4, 6, 12, 24].map((n) => n * HOUR_MS)]
const MOST_TICKS = 8

export interface Ticks {
  at_ms: number[]
  /** The steps are so short that a tick's minute alone would not tell it from the next. */
  seconds: boolean
}

/** Round local times to write under the axis; while the time of day is not known, round minutes since the start. */
export function ticks(from_ms: number, to_ms: number, offset_ms: number): Ticks {
  const span = to_ms - from_ms
  const step = STEPS_MS.find((one) => span / one <= MOST_TICKS) ?? Math.ceil(span / MOST_TICKS / (24 * HOUR_MS)) * 24 * HOUR_MS
  const first = offset_ms ? Math.ceil((from_ms + offset_ms) / step) * step - offset_ms : from_ms
  return { at_ms: Array.from({ length: Math.max(0, Math.floor((to_ms - first) / step) + 1) }, (_, n) => first + n * step), seconds: step < MINUTE_MS }
}

/** 0 and round numbers up to the most, four or five of them. */
export function steps(most: number): number[] {
  if (!(most > 0)) return [0]
  const raw = most / 4
  const ten = 10 ** Math.floor(Math.log10(raw))
  const step = ([1, 2, 5, 10].find((n) => n * ten >= raw * 0.999) ?? 10) * ten
  return Array.from({ length: Math.floor(most / step + 1e-9) + 1 }, (_, i) => Number((i * step).toPrecision(6)))
}
