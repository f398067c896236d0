// One day in 40 entries, written by hand. What comes out of it is worked out on paper in hand.test.mjs.
//
// Minutes are of log time; log time 0 is 05:00 UTC on 14 July 2026, so that minute 60 is 06:00.

import { LogMaker, MIN, SEC, trip } from './logs.mjs'

export const UTC_OFFSET_MS = Date.UTC(2026, 6, 14, 5)
const [INES, TOBIAS, RUTH] = [1, 2, 3]

export function handLog() {
  const log = new LogMaker()
  const at = (minute, kind, body, head) => log.add(Math.round(minute * MIN), kind, body, head)
  const later = (minute, seconds, kind, body, head) => log.add(minute * MIN + seconds * SEC, kind, body, head)

  at(1, 'trip_started', trip(), { by: INES })
  at(1, 'run', { run: '1'.repeat(16), boot: '2'.repeat(16), base_ms: 0 })
  at(1, 'clock', { utc_offset_ms: UTC_OFFSET_MS, source: 'gps' })
  at(2, 'duty', { post: 'wheel', hand: INES }, { by: INES })
  at(10, 'trip_phase', { phase: 'running' }, { by: INES })
  at(20, 'duty', { post: 'look_out', hand: TOBIAS }, { by: INES })
  at(60, 'trip_phase', { phase: 'fishing' }, { by: INES })
  at(60, 'line_bait', { line: 1, bait: 'ballyhoo' }, { by: TOBIAS })
  at(60, 'lines_are', { out: [1, 2, 3, 4] }, { by: TOBIAS })

  const raise = at(90, 'raised', { line: 1 }, { by: TOBIAS })
  const first = at(91, 'strike', { line: 1 }, { by: TOBIAS })
  at(92, 'strike_ended', { strike: first, end: 'knockdown' }, { by: TOBIAS })
  at(93, 'bait_checked', { line: 1, result: 'chewed' }, { by: TOBIAS })
  at(94, 'raise_ended', { episode: raise, end: 'left' }, { by: TOBIAS })

  const second = at(120, 'strike', { line: 2 }, { by: RUTH })
  later(120, 5, 'strike_ended', { strike: second, end: 'on' }, { by: RUTH })
  const clearing = at(121, 'clear_called', { scope: 'all', reason: 'fish' }, { by: INES })
  later(121, 4, 'call_got', { call: clearing, voice: true }, { by: INES })
  later(121, 10, 'line_taken', { line: 1 }, { by: TOBIAS })
  later(121, 40, 'line_is', { line: 1, state: 'in' }, { by: TOBIAS })
  at(122, 'lines_seen', { scope: 'all', state: 'in' }, { by: INES })
  at(140, 'leader', { fight: second, on: true, hand: TOBIAS }, { by: INES })
  at(141, 'leader', { fight: second, on: false }, { by: INES })
  at(142, 'fight_ended', { fight: second, end: 'released' }, { by: INES })
  at(143, 'fight_condition', { fight: second, condition: 'strong' }, { by: INES })

  at(150, 'lines_are', { out: [1, 2, 3] }, { by: TOBIAS })
  at(180, 'line_bait', { line: 3, bait: 'mullet' }, { by: TOBIAS })
  at(240, 'trip_phase', { phase: 'night' }, { by: INES })
  const slip = at(250, 'strike', { line: 3 }, { by: RUTH })
  later(250, 8, 'voided', { target: slip, undo: true }, { by: RUTH })
  const wrong = at(300, 'line_is', { line: 2, state: 'in' }, { by: RUTH })
  at(302, 'line_is', { line: 1, state: 'in' }, { by: RUTH, instead_of: wrong })
  const neutral = at(310, 'call', { what: 'neutral', to: 'helm' }, { by: TOBIAS })
  later(310, 3, 'call_got', { call: neutral, hand: INES, voice: true }, { by: TOBIAS })
  later(310, 9, 'call_done', { call: neutral, hand: INES, voice: true }, { by: TOBIAS })
  at(320, 'call', { what: 'ahead', to: 'helm' }, { by: TOBIAS, ago: 20 * SEC })
  at(360, 'lines_are', { in: [2, 3] }, { by: TOBIAS })
  at(365, 'trip_phase', { phase: 'home' }, { by: INES })
  at(366, 'near_miss', { what: 'hook', hand: INES, text: '=a hook swung past my ear' }, { by: INES })
  at(370, 'trip_ended', {}, { by: INES })
  return log
}
