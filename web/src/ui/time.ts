// Times in words. Lane times step by ten seconds in the first minute and by minutes after: digits that change faster than
// they can be read only draw the eye. The overboard clock alone counts seconds.

import { words } from '../words'

/** now, 0:40, 9 min, 1 h 5. */
export function age(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000))
  if (s < 10) return words.justNow
  if (s < 60) return `0:${String(Math.floor(s / 10) * 10).padStart(2, '0')}`
  const min = Math.floor(s / 60)
  return min < 60 ? `${min} min` : `${Math.floor(min / 60)} h ${min % 60}`
}

/** 0:38, 12:04, 1:02:11: for what counts on the second. */
export function stopwatch(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000))
  const two = (n: number) => String(n).padStart(2, '0')
  const [h, min, sec] = [Math.floor(s / 3600), Math.floor(s / 60) % 60, s % 60]
  return h ? `${h}:${two(min)}:${two(sec)}` : `${min}:${two(sec)}`
}

/** The local time of day of a log time; '' while the time of day is not known. */
export function clock(log_ms: number, utc_offset_ms: number, seconds = false): string {
  if (!utc_offset_ms) return ''
  const time = new Date(log_ms + utc_offset_ms)
  const two = (n: number) => String(n).padStart(2, '0')
  const hm = `${two(time.getHours())}:${two(time.getMinutes())}`
  return seconds ? `${hm}:${two(time.getSeconds())}` : hm
}

/** The zone of the local times, such as UTC+02:00. */
export function zone(log_ms: number, utc_offset_ms: number): string {
  const min = -new Date(log_ms + utc_offset_ms).getTimezoneOffset()
  const two = (n: number) => String(n).padStart(2, '0')
  return `UTC${min < 0 ? '-' : '+'}${two(Math.floor(Math.abs(min) / 60))}:${two(Math.abs(min) % 60)}`
}
