// Logs that are odd, broken off or damaged: a clear answer each, and never a wrong number.

import assert from 'node:assert/strict'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { HOUR, LogMaker, MIN, SEC, makeLog, scratch, sternboard, trip } from './logs.mjs'
import { faults } from './schema.mjs'

const RUN = { run: '1'.repeat(16), boot: '2'.repeat(16), base_ms: 0 }

function begun() {
  const log = new LogMaker()
  log.add(0, 'trip_started', trip())
  log.add(0, 'trip_phase', { phase: 'fishing' })
  return log
}

const total = (debrief) => debrief.effort.find(({ by }) => by === 'all') ?? { line_ms: 0, not_known_ms: 0 }

/** The debrief, which keeps to the schema: JSON knows neither NaN nor infinity, so none is in it. */
function sound(log, ...args) {
  const debrief = log.debrief(...args)
  assert.deepEqual(faults(debrief), [])
  return debrief
}

test('no log, an empty log, a log without a trip', () => {
  const none = sternboard('debrief', join(scratch(), 'nothing'))
  assert.equal(none.status, 66)
  assert.equal(none.out, '')
  const empty = sternboard('debrief', makeLog([]))
  assert.deepEqual([empty.status, empty.out], [66, ''])
  assert.match(empty.err, /No trip has been started in this log yet: there is nothing to tell of\./)
  const log = new LogMaker()
  log.add(0, 'run', RUN)
  log.add(5, 'stop', {}, { lane: 'emergency' })
  assert.equal(sternboard('debrief', log.make()).status, 66)
  assert.match(sternboard('debrief', '--trip', '9', begun().make()).err, /None of the 1 trip of this log/)
})

test('one entry: a trip that began, and of which there is no more', () => {
  const log = new LogMaker()
  log.add(7, 'trip_started', trip())
  const debrief = sound(log)
  assert.deepEqual([debrief.trips[0].started_ms, debrief.trips[0].ended_ms, debrief.trips[0].open], [7, 7, true])
  assert.deepEqual([debrief.effort, debrief.lanes, debrief.counts.bites], [[], [], 0])
  assert.ok(debrief.ratios.every(({ n, part }) => n === 0 && part === undefined))
  assert.equal(sternboard('debrief', log.make()).status, 0)
})

test('zero effort: bites without a line out are counted, and are in no rate', () => {
  const log = begun()
  for (let i = 0; i < 6; i++) {
    const strike = log.add((i + 1) * MIN, 'strike', {})
    log.add((i + 1) * MIN + SEC, 'strike_ended', { strike, end: 'gone' })
  }
  const debrief = sound(log)
  assert.equal(debrief.counts.bites, 6)
  const [all] = debrief.effort
  assert.deepEqual([all.bites, all.line_ms, all.rate, all.at_most_per_10h], [6, 0, undefined, undefined])
  assert.equal(debrief.effort.find(({ by }) => by === 'position').key, 'not known')
  assert.match(sternboard('debrief', log.make()).out, /6 bites, and no time in which it fished for sure/)
})

test('a trip never closed goes up to its last entry, and says so', () => {
  const log = begun()
  log.add(10 * MIN, 'lines_are', { out: [1, 2] })
  log.add(70 * MIN, 'stamped', {})
  const debrief = sound(log)
  assert.deepEqual([debrief.trips[0].open, debrief.trips[0].ended_ms, total(debrief).line_ms], [true, 70 * MIN, 120 * MIN])
  assert.match(sternboard('debrief', log.make()).out, /it was never ended, so this goes up to its last entry/)
})

test('the server was down: what the lines did is not known from its last row until they are seen', () => {
  const log = begun()
  log.add(10 * MIN, 'lines_are', { out: [1] })
  log.add(30 * MIN, 'stamped', {})
  log.add(50 * MIN, 'run', { ...RUN, run: '3'.repeat(16), fresh: true, estimated: true })
  log.add(60 * MIN, 'line_is', { line: 1, state: 'out' })
  log.add(90 * MIN, 'trip_ended', {})
  const debrief = sound(log)
  assert.deepEqual([total(debrief).line_ms, total(debrief).not_known_ms], [(20 + 30) * MIN, (20 + 10) * MIN])
  assert.deepEqual(debrief.gaps.map(({ of, from_ms, to_ms, estimated }) => [of, from_ms, to_ms, estimated]),
    [['server', 30 * MIN, 50 * MIN, true], ['clock', 30 * MIN, 50 * MIN, true]])
  assert.equal(debrief.trips[0].clock_estimated, true)
})

test('the server was down, and a phone told later when the line came in: until then it is known to have been out', () => {
  const log = begun()
  log.add(10 * MIN, 'lines_are', { out: [1, 2] })
  log.add(30 * MIN, 'stamped', {})
  log.add(50 * MIN, 'run', { ...RUN, run: '3'.repeat(16), fresh: true })
  log.add(40 * MIN, 'line_is', { line: 1, state: 'in' }, { ago: 11 * MIN })
  log.add(60 * MIN, 'lines_seen', { scope: 'all', state: 'in' })
  log.add(90 * MIN, 'trip_ended', {})
  const debrief = sound(log)
  assert.deepEqual([total(debrief).line_ms, total(debrief).not_known_ms], [(30 + 20) * MIN, (20 + 10) * MIN])
})

test('overlaps: a line told out twice, struck twice, in while it is in, fishes no longer than it did', () => {
  const log = begun()
  log.add(10 * MIN, 'lines_are', { out: [1] })
  log.add(20 * MIN, 'line_is', { line: 1, state: 'out' })
  const strike = log.add(30 * MIN, 'strike', { line: 1 })
  log.add(30 * MIN, 'strike', { line: 1 })
  log.add(31 * MIN, 'strike_ended', { strike, end: 'gone' })
  log.add(40 * MIN, 'line_is', { line: 1, state: 'in' })
  log.add(45 * MIN, 'line_is', { line: 1, state: 'in' })
  log.add(50 * MIN, 'trip_ended', {})
  const debrief = sound(log)
  assert.deepEqual([total(debrief).line_ms, debrief.counts.bites], [29 * MIN, 1])
})

test('the clock jumps: durations stay, and the best clock dates all of the trip', () => {
  const log = begun()
  log.add(1, 'clock', { utc_offset_ms: 86_400_000, source: 'system' })
  log.add(10 * MIN, 'lines_are', { out: [1] })
  log.add(20 * MIN, 'clock', { utc_offset_ms: Date.UTC(2026, 6, 14, 5), source: 'gps' })
  log.add(30 * MIN, 'clock', { utc_offset_ms: 3 * HOUR, source: 'system' })
  log.add(70 * MIN, 'trip_ended', {})
  const debrief = sound(log)
  assert.equal(debrief.trips[0].utc_offset_ms, Date.UTC(2026, 6, 14, 5))
  assert.deepEqual(debrief.effort.filter(({ by }) => by === 'hour').map(({ key, line_ms }) => [key, line_ms]), [['5', 50 * MIN], ['6', 10 * MIN]])
  assert.equal(debrief.gaps.filter(({ of }) => of === 'clock').length, 2)
})

test('no clock at all: hours are not known, days are counted from the start', () => {
  const log = begun()
  log.add(HOUR, 'lines_are', { out: [1] })
  log.add(26 * HOUR, 'trip_ended', {})
  const debrief = sound(log)
  const of = (name) => debrief.effort.filter(({ by }) => by === name).map(({ key, line_ms }) => [key, line_ms / HOUR])
  assert.deepEqual(of('hour'), [['not known', 25]])
  assert.deepEqual(of('day'), [['day 1', 23], ['day 2', 2]])
})

test('corrections of corrections: the last that stands holds, in the place of the first', () => {
  const log = begun()
  const told = log.add(10 * MIN, 'lines_are', { out: [1] })
  const instead = log.add(20 * MIN, 'lines_are', { out: [1, 2] }, { instead_of: told })
  log.add(30 * MIN, 'lines_are', { out: [1, 2, 3] }, { instead_of: told })
  log.add(110 * MIN, 'trip_ended', {})
  assert.equal(total(sound(log)).line_ms, 3 * 100 * MIN)
  const undone = new LogMaker()
  Object.assign(undone, { entries: [...log.entries.slice(0, -1)], counts: new Map(log.counts) })
  const last = undone.entries[undone.entries.length - 1].id
  const first = undone.add(40 * MIN, 'voided', { target: last, agreed: 0 })
  undone.add(110 * MIN, 'trip_ended', {})
  assert.equal(total(sound(undone)).line_ms, 2 * 100 * MIN, 'the second stands again')
  const restored = new LogMaker()
  Object.assign(restored, { entries: [...undone.entries], counts: new Map(undone.counts) })
  restored.add(120 * MIN, 'voided', { target: first, agreed: 0 })
  assert.equal(total(sound(restored)).line_ms, 3 * 100 * MIN, 'the taking back is taken back')
  assert.ok(instead)
})

test('told as before its cause: in no time, and never below zero', () => {
  const log = begun()
  const call = log.add(10 * MIN, 'call', { what: 'ahead', to: 'helm' })
  log.add(9 * MIN, 'call_got', { call }, { ago: 90 * SEC })
  log.add(11 * MIN, 'call_done', { call })
  const clearing = log.add(20 * MIN, 'clear_called', { scope: 'all' })
  log.add(19 * MIN, 'call_got', { call: clearing }, { ago: 90 * SEC })
  const { times, calls } = sound(log)
  const n = (of) => times.find((one) => one.of === of && one.group === '').n
  assert.deepEqual([calls[0].got_ms < calls[0].called_ms, n('call_to_got'), n('got_to_done'), n('call_to_done')], [true, 0, 1, 1])
})

test('refused rows, rows that never came, and entries of no trip count for nothing', () => {
  const log = begun()
  log.add(1 * MIN, 'strike', { line: 1 }, { refused: 'told_no' })
  log.add(2 * MIN, 'gap_filled', {}, { refused: 'gap' })
  log.add(3 * MIN, 'strike_ended', { strike: `${'e'.repeat(16)}.o.5`, end: 'on' })
  log.add(4 * MIN, 'fight_ended', { fight: `${'e'.repeat(16)}.o.5`, end: 'boated' })
  const debrief = sound(log)
  assert.deepEqual([debrief.counts.bites, debrief.counts.hooked, debrief.counts.boated, debrief.trips[0].refused], [0, 0, 0, 2])
  assert.deepEqual(debrief.gaps.map(({ of }) => of), ['missing'])
})

test('a damaged file: one sentence, nothing printed as if it were right', () => {
  const log = begun()
  for (let i = 1; i < 400; i++) log.add(i * MIN, 'stamped', {})
  const file = join(log.make(), 'board.db')
  const bytes = readFileSync(file)
  const damaged = (change) => {
    const copy = Buffer.from(bytes)
    change(copy)
    writeFileSync(file, copy)
    return sternboard('debrief', '--json', log.make())
  }
  const words = damaged((copy) => copy.fill(0x41, copy.indexOf('"kind":"stamped"') + 8, copy.indexOf('"kind":"stamped"') + 12))
  assert.equal(words.status, 65, words.err)
  assert.equal(words.out, '')
  assert.match(words.err, /^sternboard: Row \d+ of the log cannot be read/)
  for (const result of [damaged((copy) => copy.fill(0, 5 * 4096, 8 * 4096)), damaged((copy) => copy.fill(0xff, 0, 64))]) {
    assert.equal(result.status, 65, result.err)
    assert.equal(result.out, '')
    assert.equal(result.err.trim().split('\n').length, 1)
  }
})

test('the command line says what it does not understand', () => {
  for (const args of [['--trips', '7-3'], ['--trips', 'some'], ['--trips', '0'], ['--months', '13'], ['--months', ''], ['--zone', '+15:00'], ['--zone', 'x'], ['--zone', '']]) {
    const { status, err } = sternboard('debrief', ...args)
    assert.equal(status, 64, args.join(' '))
    assert.match(err, /is not understood/)
  }
  assert.match(sternboard('verify', '--json').err, /--json is for debrief alone/)
})
