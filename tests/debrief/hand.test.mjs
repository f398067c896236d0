// One day of 40 entries (hand.mjs): what comes out of it, worked out on paper here, by the program, and by SQLite's own shell.
//
// On paper, in minutes of log time. A line fishes while it is out; the teaser does not.
//
//   Long port (1)       out 60 to 91        31:00   then struck; knocked down at 92
//                           92 to 121:10    29:10   then brought in
//                          150 to 300      150:00   in: 302 said so in the place of 300, and the time stays that of 300
//                                          210:10
//   Long starboard (2)  out 60 to 120       60:00   then struck, on, released and in at 142
//                          150 to 360      210:00
//                                          270:00
//   Way back (3)        out 60 to 122       62:00   then seen in
//                          150 to 360      210:00   the strike of 250 was a slip and is undone
//                                          272:00   of them with squid 62 + 30 = 92, with mullet from 180 on 180
//   in all              210:10 + 270 + 272 = 752:10 = 45,130 s
//
//   phases   fishing 60 to 240: 150:10 + 150 + 152 = 452:10; night 240 to 365 (all are in by 360): 60 + 120 + 120 = 300
//   hours    minute 60 is 06:00 UTC.  06: 59 + 60 + 60 = 179;  07: 1:10 + 30, 0 + 30, 2 + 30 = 93:10;  08: 3 x 60 = 180;
//            09: 180;  10: 0 + 60 + 60 = 120.  Together 752:10
//
//   raises 1 (90 to 94; a strike came of it: bit 1), bites 2 (91, and 120 with no raise up: blind 1), knocked down 1, on 1,
//   released 1 with the leader in hand (140 to 141)
//   first bait: put on at 60, struck at 91: 31 min old. Of line 2 nobody said when it went on.
//   strike 120, lines called 121: 60 s; line 1 in 40 s after the call by tap, 3 and 4 after 60 s by eye; port clear after 40 s;
//   starboard's one line has the fish on, so that side was not asked; all in and all clear after 60 s
//   on after 5 s, leader after 20 min, gone 2 min later, fight 21:55
//   NEUTRAL: got after 3 s, done 6 s later; AHEAD came 20 s late, rang nowhere and is in no time
//   looks at baits, one each 30 min (fishing) or 45 min (night) out: line 1: 31 min = 1; 1 min and 28:10 = 0;
//   90 of 30 + 60 of 45 = 3 + 1.33 = 4; together 5. Line 2: 60 = 2; 3 + 120 of 45 = 5.67, 5; together 7.
//   Line 3: 62 = 2; 30 = 1; 60 of 30 + 120 of 45 = 4.67, 4; together 7
//   wheel Ines' from 2 on: named 10 (under way) to 370. Look-out from 20 on: nobody's for 10 min

import assert from 'node:assert/strict'
import { readFileSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { handLog } from './hand.mjs'
import { HOUR, LogMaker, MIN, SEC, debriefOf, scratch, sql, sternboard, trip } from './logs.mjs'
import { faults } from './schema.mjs'

const log = handLog()
const debrief = log.debrief()
const EFFORT_SQL = readFileSync(new URL('effort.sql', import.meta.url), 'utf8')
const m = (minutes, seconds = 0) => minutes * MIN + seconds * SEC

const PAPER = {
  line_ms: m(752, 10),
  place: { 'Long port': m(210, 10), 'Long starboard': m(270), 'Way back': m(272) },
  bait: { ballyhoo: m(210, 10), 'blue lure': m(270), squid: m(92), mullet: m(180) },
  phase: { fishing: m(452, 10), night: m(300) },
  hour: { 6: m(179), 7: m(93, 10), 8: m(180), 9: m(180), 10: m(120) },
}
const PAPER_COUNTS = { raises: 1, bites: 2, bites_blind: 1, hooked: 1, knockdowns: 1, gone: 0, boated: 0, released: 1, pulled: 0 }

const lineMs = (by) => Object.fromEntries(debrief.effort.filter((group) => group.by === by).map(({ key, line_ms }) => [key, line_ms]))
const seconds = (of, group = '') => {
  const { n, median_s } = debrief.times.find((times) => times.of === of && times.group === group) ?? { n: 0 }
  return n === 0 ? null : [n, median_s]
}

test('the log has 40 entries, and its debrief keeps to the schema', () => {
  assert.equal(log.entries.length, 40)
  assert.deepEqual(faults(debrief), [])
})

test('line-hours: on paper, by the program, by SQL', () => {
  const [row] = sql(log.make(), EFFORT_SQL)
  for (const [name, own] of [['all', lineMs('all').all], ['sql', row.line_ms]]) assert.equal(own, PAPER.line_ms, name)
  for (const by of ['bait', 'phase', 'hour']) {
    assert.deepEqual(lineMs(by), PAPER[by], by)
    assert.deepEqual(JSON.parse(row[by]), PAPER[by], `${by} by SQL`)
  }
  assert.deepEqual(lineMs('position'), PAPER.place)
  assert.deepEqual(JSON.parse(row.place), PAPER.place)
  assert.deepEqual(lineMs('side'), { port: m(210, 10), starboard: m(270), centre: m(272) })
  assert.deepEqual(lineMs('light'), { day: m(452, 10), night: m(300) })
  assert.deepEqual(lineMs('day'), { '2026-07-14': m(752, 10) })
  assert.ok(debrief.effort.every(({ not_known_ms }) => not_known_ms === 0))
})

test('every count: on paper, by the program, by SQL', () => {
  const [row] = sql(log.make(), EFFORT_SQL)
  for (const [name, count] of Object.entries(PAPER_COUNTS)) {
    assert.equal(debrief.counts[name], count, name)
    assert.equal(row[name], count, `${name} by SQL`)
  }
  const { raises_bit, caught, released_leader, touches, ends_not_known, fights_open } = debrief.counts
  assert.deepEqual({ raises_bit, caught, released_leader, touches, ends_not_known, fights_open },
    { raises_bit: 1, caught: 1, released_leader: 1, touches: 0, ends_not_known: 0, fights_open: 0 })
  const [trip] = debrief.trips
  assert.deepEqual([trip.entries, trip.voided, trip.moot, trip.refused, trip.late], [40, 1, 1, 0, 1])
})

test('no rate under five events; with none, at most so many', () => {
  assert.ok(debrief.effort.every(({ rate }) => rate === undefined))
  assert.deepEqual(debrief.compared, [])
  const wayBack = debrief.effort.find(({ key }) => key === 'Way back')
  assert.equal(wayBack.few, 'none')
  assert.ok(Math.abs(wayBack.at_most_per_10h - 3.6889 / (272 / 600)) < 0.001, 'Garwood: 3.6889 for none, in 10 line-hours')
})

test('times', () => {
  assert.deepEqual(seconds('call_to_got'), [1, 3])
  assert.deepEqual(seconds('call_to_got', 'neutral'), [1, 3])
  assert.deepEqual(seconds('call_to_got', 'to helm'), [1, 3])
  assert.deepEqual(seconds('got_to_done'), [1, 6])
  assert.deepEqual(seconds('call_to_done'), [1, 9])
  assert.equal(seconds('call_to_got', 'ahead'), null)
  assert.deepEqual(seconds('strike_to_clear_called'), [1, 60])
  assert.deepEqual(seconds('clear_called_to_side_clear', 'port'), [1, 40])
  assert.equal(seconds('clear_called_to_side_clear', 'starboard'), null)
  assert.deepEqual(seconds('clear_called_to_done'), [1, 60])
  assert.deepEqual(seconds('clear_called_to_all_clear'), [1, 60])
  assert.deepEqual(seconds('line_in', 'tapped'), [1, 40])
  assert.deepEqual(seconds('line_in', 'by eye'), [2, 60])
  assert.deepEqual(seconds('strike_to_on'), [1, 5])
  assert.deepEqual(seconds('strike_to_leader'), [1, 1200])
  assert.deepEqual(seconds('leader_to_end'), [1, 120])
  assert.deepEqual(seconds('fight'), [1, 21 * 60 + 55])
  assert.deepEqual(seconds('bait_age_at_bite'), [1, 31 * 60])
})

test('baits, posts, near misses', () => {
  assert.deepEqual(debrief.baits.map(({ line, checks, missed, longest_ms }) => [line, checks, missed, longest_ms]),
    [[1, 1, 5, m(150)], [2, 0, 7, m(210)], [3, 0, 7, m(180)]])
  const [wheel, lookOut] = debrief.duties
  assert.deepEqual([wheel.named_ms, wheel.unnamed_ms, lookOut.named_ms, lookOut.unnamed_ms], [m(360), 0, m(350), m(10)])
  assert.equal(debrief.near_misses.length, 1)
})

test('the table of events says what was corrected, what was taken back, and what came late', () => {
  const corrected = debrief.events.find(({ standing }) => standing === 'corrected')
  assert.equal(corrected.words, 'Long port in')
  assert.equal(corrected.was, 'Long starboard in')
  assert.equal(corrected.at_ms, m(300))
  assert.ok(debrief.events.some(({ words }) => words === 'undone: strike on Way back'))
  assert.equal(debrief.events.filter(({ words }) => words === 'strike on Way back').length, 0)
  assert.equal(debrief.events.find(({ words }) => words === 'call ahead to helm').standing, 'moot')
})

test('hours and days are cut by the zone that is asked for', () => {
  const { effort } = debriefOf(log.make(), '--zone', '-10:30')
  const of = (by) => Object.fromEntries(effort.filter((group) => group.by === by).map(({ key, line_ms }) => [key, line_ms]))
  // 06:00 UTC is 19:30 the day before; midnight there is 10:30 UTC, minute 330.
  assert.deepEqual(of('day'), { '2026-07-13': m(692, 10), '2026-07-14': m(60) })
  assert.equal(of('hour')['0'], m(60))
  assert.equal(of('hour')['19'], m(90), 'three lines from 60 to 90, when it is 20:00 there')
})

test('filters by bait and by position leave their part alone', () => {
  const squid = debriefOf(log.make(), '--bait', 'squid')
  assert.equal(squid.effort[0].line_ms, m(92))
  assert.equal(squid.counts.bites, 0)
  const port = debriefOf(log.make(), '--position', 'Long port')
  assert.deepEqual([port.effort[0].line_ms, port.counts.bites, port.counts.raises, port.counts.caught], [m(210, 10), 1, 1, 0])
  assert.equal(debriefOf(log.make(), '--months', '7').trips.length, 1)
  assert.match(sternboard('debrief', '--months', '8', log.make()).err, /None of the 1 trip of this log is what was asked for/)
})

test('the tables: RFC 4180, the same numbers, columns that are documented, and nothing that a spreadsheet would run', () => {
  const folder = join(scratch(), 'tables')
  assert.equal(sternboard('debrief', '--csv', folder, log.make()).status, 0)
  const tables = Object.fromEntries(readdirSync(folder).map((name) => [name.replace('.csv', ''), readCsv(readFileSync(join(folder, name), 'utf8'))]))
  const all = tables.effort.find(({ by }) => by === 'all')
  assert.equal(Number(all.line_ms), PAPER.line_ms)
  assert.equal(Number(all.bites), 2)
  assert.equal(tables.strikes.length, 2)
  assert.equal(tables.strikes[0].at, '2026-07-14T06:31:00Z')
  assert.equal(tables.near_misses[0].words, "'=a hook swung past my ear")
  for (const [name, rows] of Object.entries(tables))
    for (const column of name === 'columns' ? [] : Object.keys(rows[0] ?? {}))
      assert.ok(tables.columns.some((one) => one.table === name && one.column === column && one.what), `${name}.${column}`)
})

test('JSON lines hold the same rows as the tables, and the text says the numbers in words', () => {
  const lines = sternboard('debrief', '--jsonl', log.make()).out.trim().split('\n').map((line) => JSON.parse(line))
  assert.equal(lines.find(({ table, by }) => table === 'effort' && by === 'all').line_ms, PAPER.line_ms)
  assert.equal(lines.filter(({ table }) => table === 'strikes').length, 2)
  const text = sternboard('debrief', log.make()).out
  assert.match(text, /^Grey Petrel, trip 1: from 2026-07-14T05:01:00Z, 6 h 9 min\.$/m)
  assert.match(text, /^1 raised, 2 bites, 1 on, 1 caught: 0 boated, 1 released, 1 of these with the leader in hand\.$/m)
  assert.match(text, /^ {2}all: 2 bites in 12\.5 line-hours; too few for a rate\.$/m)
  assert.match(text, /^ {2}Way back: no bite in 4\.5 line-hours; at most 8\.1 in 10\.$/m)
})

test('the text tells of the fish, their limits and their reports, with the rule\'s date', () => {
  const set = JSON.parse(readFileSync(new URL('../../shared-proto/defaults/rules_us_atlantic.json', import.meta.url), 'utf8'))
  const box = new LogMaker()
  box.add(0, 'trip_started', trip({ persons: 1, use: 'private' }), { by: 1 })
  box.add(1, 'rules_kept', { set })
  box.add(2, 'clock', { source: 'gps', utc_offset_ms: Date.UTC(2024, 6, 1, 12) })
  for (let i = 0; i < 4; i++) box.add(MIN + i, 'fish_told', { code: 'YFT', fate: 'kept' }, { by: 1 })
  box.add(2 * MIN, 'fish_told', { code: 'SWO', fate: 'kept' }, { by: 1 })
  box.add(2 * MIN + 1, 'fish_told', { fate: 'kept' }, { by: 1 })
  box.add(HOUR, 'trip_ended', {}, { by: 1 })
  const text = sternboard('debrief', box.make()).out
  assert.match(text, /Of 6 fish told of or landed 6 are logged as kept, 0 as released\.\n {2}1 kept without a species told/)
  assert.match(text, /dated 2024-02-02\. Check the current rule\.\n/)
  assert.match(text, /yellowfin: 4 logged, the limit 3 \(3 a person, 1 aboard; .*\)\. 50 CFR 635\.22\(d\), 635\.20\n/)
  assert.match(text, /Report of swordfish, within 24 hours: no number is logged \(50 CFR 635\.5\(c\)\)\./)
})

test('names are left out of everything where they are to be', () => {
  const folder = join(scratch(), 'tables')
  const printed = ['--json', '--jsonl'].map((as) => sternboard('debrief', as, '--no-names', '--csv', folder, log.make()).out)
  const files = readdirSync(folder).map((name) => readFileSync(join(folder, name), 'utf8'))
  for (const text of [...printed, ...files, sternboard('debrief', '--no-names', log.make()).out])
    assert.doesNotMatch(text, /Ines|Tobias|Ruth|swung/)
})

/** RFC 4180, read back: CRLF after every record, quotes doubled within quotes. */
function readCsv(text) {
  assert.ok(text.endsWith('\r\n'))
  const records = text.slice(0, -2).split('\r\n').map((line) => {
    const cells = line.match(/("(?:[^"]|"")*"|[^",]*)(,|$)/g).map((cell) => cell.replace(/,$/, ''))
    if (!line.endsWith(',')) cells.pop()
    return cells.map((cell) => (cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell))
  })
  const [head, ...rows] = records
  return rows.map((cells) => {
    assert.equal(cells.length, head.length, cells.join())
    return Object.fromEntries(head.map((name, index) => [name, cells[index]]))
  })
}

