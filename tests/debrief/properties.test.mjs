// What must hold of every log: an entry taken back leaves no trace in any number; the order in which taps arrived changes none; the
// program's counts are SQL's; and whatever the log holds, the answer keeps to the schema and to sense.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { LogMaker, MIN, SEC, debriefOf, makeLog, sql, sternboard, trip } from './logs.mjs'
import { lot, madeUpTrip } from './made_up.mjs'
import { faults } from './schema.mjs'

const SEEDS = (process.env.SEEDS ?? '1 2 3 4 5 6').split(' ').map(Number)

function made(seed, entries = 600) {
  const log = new LogMaker()
  madeUpTrip(log, { seed, entries })
  return log.entries
}

/** Without what is about rows and not about the trip: seqs, how many rows, and the taking back itself. */
function numbers(debrief) {
  const bare = JSON.parse(JSON.stringify(debrief), (key, value) => (['seq', 'seqs', 'from_seq', 'to_seq', 'entries', 'voided', 'log_id'].includes(key) ? undefined : value))
  bare.events = bare.events.filter(({ kind }) => kind !== 'voided')
  return bare
}

/** Taps that would change numbers if they stood, each at a moment within the trip. */
const STRAYS = [
  (at) => [at, 'strike', { line: 2 }],
  (at) => [at, 'raised', { line: 1 }],
  (at) => [at, 'line_is', { line: 3, state: 'in' }],
  (at) => [at, 'lines_are', { in: [1, 2, 3, 4, 5] }],
  (at) => [at, 'line_bait', { line: 4, bait: 'gone bait' }],
  (at) => [at, 'call', { what: 'gaff', to: 'cockpit' }],
  (at) => [at, 'clear_called', { scope: 'port' }],
  (at) => [at, 'near_miss', { what: 'fall' }],
  (at) => [at, 'trip_phase', { phase: 'night' }],
  (at) => [at, 'duty', { post: 'look_out', hand: 0 }],
  (at) => [at, 'check_opened', { list: 1 }],
]

test('an entry taken back leaves no trace in any number', () => {
  for (const seed of SEEDS) {
    const plain = made(seed)
    const before = numbers(debriefOf(makeLog(plain)))
    const chance = lot(seed * 1000)
    const [from, to] = [plain[0].at_ms, plain[plain.length - 1].at_ms]
    for (const stray of STRAYS) {
      const log = new LogMaker()
      log.entries = [...plain]
      const at = from + chance.below(to - from)
      const [at_ms, kind, body] = stray(at)
      const target = log.add(at_ms, kind, body, { page: 'c'.repeat(16), by: 2 })
      log.add(to + 5 * SEC, 'voided', { target, agreed: 0 }, { page: 'c'.repeat(16), by: 2 })
      assert.deepEqual(numbers(log.debrief()), before, `seed ${seed}, ${kind} at ${at_ms}`)
    }
  }
})

/** The same rows in another order: each page's own stay in theirs, and none comes before what it names. */
function shuffled(entries, seed) {
  const chance = lot(seed)
  const [first, ...rest] = entries
  const lanes = new Map()
  for (const entry of rest) {
    const lane = entry.id.slice(0, 18)
    if (!lanes.has(lane)) lanes.set(lane, [])
    lanes.get(lane).push(entry)
  }
  const placed = new Set([first.id])
  const all = new Set(entries.map(({ id }) => id))
  const named = ({ body, instead_of }) => [instead_of, ...Object.values(body)].filter((value) => typeof value === 'string' && all.has(value))
  const order = [first]
  while (order.length < entries.length) {
    const ready = [...lanes.values()].filter((lane) => lane.length > 0 && named(lane[0]).every((id) => placed.has(id)))
    const next = chance.of(ready).shift()
    placed.add(next.id)
    order.push(next)
  }
  return order
}

test('the order in which taps arrived changes no number', () => {
  for (const seed of SEEDS) {
    const plain = made(seed)
    const before = numbers(debriefOf(makeLog(plain)))
    for (const turn of [1, 2]) assert.deepEqual(numbers(debriefOf(makeLog(shuffled(plain, seed * 31 + turn)))), before, `seed ${seed}`)
  }
})

test('what was told late is told where it belongs', () => {
  const log = new LogMaker()
  const at = (minute, kind, body, head) => log.add(minute * MIN, kind, body, head)
  at(0, 'trip_started', trip())
  at(1, 'trip_phase', { phase: 'fishing' })
  at(10, 'lines_are', { out: [1] })
  at(100, 'lines_are', { in: [1] })
  at(20, 'line_is', { line: 1, state: 'in' }, { ago: 80 * MIN })
  at(30, 'line_is', { line: 1, state: 'out' }, { ago: 70 * MIN })
  at(120, 'trip_ended', {})
  assert.equal(log.debrief().effort[0].line_ms, (10 + 70) * MIN)
})

/** By SQL: strikes and calls that stand, the rows taken back aside. The board may take fewer, never more. */
const STANDING = `SELECT kind, count(*) AS n FROM entry WHERE refused IS NULL AND id NOT IN
  (SELECT json_extract(body, '$.target') FROM entry WHERE kind = 'voided' AND refused IS NULL) GROUP BY kind`

test('made up logs keep to the schema and to sense, and to SQL', () => {
  for (const seed of SEEDS) {
    const folder = makeLog(made(seed, 2000))
    const debrief = debriefOf(folder)
    const { counts: c, effort } = debrief
    assert.deepEqual(faults(debrief), [])
    const standing = Object.fromEntries(sql(folder, STANDING).map(({ kind, n }) => [kind, n]))
    assert.ok(c.bites <= standing.strike && c.bites > 0.5 * standing.strike, `${c.bites} of ${standing.strike}`)
    assert.ok(c.raises <= standing.raised && debrief.calls.length <= standing.call)
    assert.ok(c.bites >= c.hooked && c.hooked >= c.caught && c.caught === c.boated + c.released)
    assert.equal(c.bites, c.hooked + c.knockdowns + c.gone + c.ends_not_known + debrief.strikes.filter(({ end }) => end === 'open').length)
    assert.ok(c.raises >= c.raises_bit)
    for (const by of ['position', 'bait', 'side', 'phase', 'hour', 'day', 'light'])
      for (const what of ['line_ms', 'not_known_ms', 'raises', 'bites', 'bites_blind', 'hooked', 'caught'])
        assert.equal(effort.filter((group) => group.by === by).reduce((sum, group) => sum + group[what], 0), effort[0][what], `${by} ${what}`)
    assert.ok(effort.every(({ bites, line_ms, rate }) => (rate !== undefined) === (bites >= 5 && line_ms > 0)))
    assert.ok(effort.every(({ rate }) => !rate || (rate.most.lo < rate.half.lo && rate.half.lo < rate.per_10h && rate.per_10h < rate.half.hi && rate.half.hi < rate.most.hi)))
    const lanes = debrief.lanes.filter(({ state, unsure }) => state === 'out' && !unsure)
    const fishing = new Set(debrief.positions.filter(({ gear }) => gear === 'line' || gear === 'float').map(({ id }) => id))
    assert.equal(lanes.filter(({ line }) => fishing.has(line)).reduce((sum, { from_ms, to_ms }) => sum + to_ms - from_ms, 0), effort[0].line_ms)
  }
})

test('many trips: pooled are the sums of each, and the record is what was not asked for', () => {
  const log = new LogMaker()
  let end = 0
  for (let no = 1; no <= 5; no++) end = madeUpTrip(log, { seed: no, no, start_ms: end + 60 * MIN, entries: 400 })
  const folder = log.make()
  const each = [1, 2, 3, 4, 5].map((no) => debriefOf(folder, '--trip', String(no)))
  const sum = (of) => each.reduce((total, one) => total + of(one), 0)
  const all = debriefOf(folder, '--trips', 'all')
  assert.deepEqual(faults(all), [])
  assert.equal(all.counts.bites, sum(({ counts }) => counts.bites))
  assert.equal(all.effort[0].line_ms, sum(({ effort }) => effort[0].line_ms))
  assert.equal(all.record, undefined)
  assert.deepEqual(all.trend.map(({ bites }) => bites), each.map(({ counts }) => counts.bites))
  const last = debriefOf(folder)
  assert.equal(last.trips[0].no, 5)
  assert.deepEqual(last.trips, each[4].trips)
  assert.equal(last.record.trips, 4)
  assert.equal(last.record.bites, sum(({ counts }) => counts.bites) - each[4].counts.bites)
  assert.equal(last.record.line_ms, sum(({ effort }) => effort[0].line_ms) - each[4].effort[0].line_ms)
  assert.ok(last.learned.lines >= 6 && last.learned.line_in_ms > 1000 && last.learned.line_in_ms < 60 * SEC)
  assert.deepEqual(debriefOf(folder, '--trips', '2-4').trips.map(({ no }) => no), [2, 3, 4])
  assert.deepEqual(debriefOf(folder, '--trips', '4-').trips.map(({ no }) => no), [4, 5])
})

test('names left out change no number, and leave no word that a person wrote', () => {
  const log = new LogMaker()
  const end = madeUpTrip(log, { seed: 4, entries: 500 })
  const [start] = log.entries
  const middle = Math.floor((start.at_ms + end) / 2)
  log.add(middle, 'hand_added', { name: 'Karin' })
  log.add(middle, 'hand_added', { name: 'Mia' })
  log.add(middle + SEC, 'duty', { post: 'look_out', hand: 7 })
  log.add(middle + SEC, 'noted', { text: 'Karin saw Mia fall' })
  log.add(middle + SEC, 'gear_fault', { text: 'the rod of Karin' })
  log.add(middle + SEC, 'near_miss', { what: 'fall', text: 'Mia, on the ladder' })
  log.add(end + SEC, 'job', { no: 1, text: 'Karin mends the rod', hand: 6 })
  const folder = log.make()
  const numbersOf = ({ hands, events, near_misses, cards, trips, ...rest }) => rest
  const bare = debriefOf(folder, '--no-names', '--no-places')
  assert.deepEqual(numbersOf(bare), numbersOf(debriefOf(folder)))
  assert.deepEqual(faults(bare), [])
  assert.deepEqual([bare.trips[0].names_left_out, bare.trips[0].places_left_out], [true, true])
  for (const args of [['--json'], ['--jsonl'], []]) {
    assert.match(sternboard('debrief', ...args, folder).out, /Karin/)
    assert.doesNotMatch(sternboard('debrief', ...args, '--no-names', folder).out, /Karin|Mia|Ines|Tobias/)
  }
})
