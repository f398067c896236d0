// The ticks of the debrief's time axis.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { ticks } from '../../web/src/debrief/scale'

const MINUTE_MS = 60_000
const AT_0840 = Date.UTC(2026, 4, 3, 8, 40)

test('ticks stand at round times of day, at most nine of them', () => {
  const log_ms = 1000
  const { at_ms, seconds } = ticks(log_ms, log_ms + 175 * MINUTE_MS, AT_0840 + 7000 - log_ms)
  assert.deepEqual(at_ms.map((ms) => new Date(ms + AT_0840 + 7000 - log_ms).toISOString().slice(11, 19)), ['09:00:00', '09:30:00', '10:00:00', '10:30:00', '11:00:00', '11:30:00'])
  assert.equal(seconds, false)
  for (const minutes of [1, 3, 9, 17, 60, 240, 1440, 20000]) assert.ok(ticks(0, minutes * MINUTE_MS, AT_0840).at_ms.length <= 9, `${minutes} min`)
})

test('no two ticks of a short span say the same: they say seconds', () => {
  const short = ticks(0, MINUTE_MS, AT_0840)
  assert.deepEqual([short.seconds, short.at_ms], [true, [0, 10_000, 20_000, 30_000, 40_000, 50_000, 60_000]])
  assert.deepEqual([ticks(0, 5 * MINUTE_MS, AT_0840).seconds, ticks(0, 5 * MINUTE_MS, AT_0840).at_ms.length], [false, 6])
})

test('with no time of day ticks count from where the log begins', () => {
  assert.deepEqual(ticks(12_345, 12_345 + 4 * MINUTE_MS, 0).at_ms, [0, 30, 60, 90, 120, 150, 180, 210, 240].map((s) => 12_345 + s * 1000))
})
