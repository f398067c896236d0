// Numbers and times of the debrief in words.

import { age, clock, stopwatch, zone } from '../ui/time'
import { said } from '../words_debrief'
import type { Debrief, Position, Trip } from './numbers'

export interface When {
  offset_ms: number
  started_ms: number
}

export const whenOf = (trip: Trip | undefined): When => ({ offset_ms: trip?.utc_offset_ms ?? 0, started_ms: trip?.started_ms ?? 0 })

/** The time of day, or how long after the start when that is not known. */
export function at(when: When, ms: number, seconds = false): string {
  return clock(ms, when.offset_ms, seconds) || stopwatch(ms - when.started_ms)
}

export function date(when: When, ms: number): string {
  if (!when.offset_ms) return ''
  const day = new Date(ms + when.offset_ms)
  const two = (n: number) => String(n).padStart(2, '0')
  return `${day.getFullYear()}-${two(day.getMonth() + 1)}-${two(day.getDate())}`
}

/** The date, the hours, and the zone of all times on the page. */
export function heading(trip: Trip): string[] {
  const when = whenOf(trip)
  return [
    date(when, trip.started_ms), said.slice(at(when, trip.started_ms), at(when, trip.ended_ms)), said.hours(number((trip.ended_ms - trip.started_ms) / 3600000)),
    when.offset_ms ? said.zone(zone(trip.started_ms, when.offset_ms)) : said.noClock, trip.clock_estimated ? said.estimated : '', trip.open ? said.open : '',
  ].filter(Boolean)
}

/** Two digits that mean something: 0.53, 3.3, 12, 140. */
export function number(value: number): string {
  const digits = Math.abs(value) >= 9.95 ? 0 : Math.abs(value) >= 0.995 ? 1 : 2
  return value === 0 ? '0' : value.toFixed(digits)
}

export const lineHours = (ms: number) => (ms / 3600000).toFixed(1)
export const seconds = (ms: number) => number(ms / 1000)
export const labelOf = (debrief: Debrief, trip: number, line: number) => positionOf(debrief, trip, line)?.label ?? ''
export const positionOf = (debrief: Debrief, trip: number, line: number): Position | undefined => debrief.positions.find((one) => one.trip === trip && one.id === line)
export const lasted = (ms: number | undefined) => (ms === undefined ? '' : stopwatch(ms))
export { age }
