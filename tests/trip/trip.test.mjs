// The long trip, and what the shipped program makes of its log: 36 hours, 200 strikes and more, all kinds that a page may send.
//
//   SIM_HUB=PROGRAM STERNBOARD=PROGRAM node --test tests/trip/trip.test.mjs      SEED: another trip than the usual one
//
// The trip is played once (trip.ts); each test then asks one thing of it. The figures are printed.

import assert from 'node:assert/strict'
import { spawnSync } from 'node:child_process'
import { readFileSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { after, before, test } from 'node:test'
import { fileURLToPath } from 'node:url'
import { endAll, run, scratch, startServer } from '../net/server.mjs'
import { bundle } from '../web/bundle.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
const BOARD_MOST = 16 * 1024
const STRIKES_LEAST = 200
const HOURS_LEAST = 36
const KINDS = JSON.parse(readFileSync(join(HERE, '../../shared-proto/schema/entries.json'), 'utf8')).$defs

const data = scratch()
let trip, entries

async function command(...args) {
  const { code, out, err } = await run([...args, '--data', data])
  assert.equal(code, 0, `sternboard ${args[0]}: ${err}${out}`)
  return out
}

before(async () => {
  const out = scratch()
  const [script] = await bundle([join(HERE, 'trip.ts')], out)
  const played = spawnSync(process.execPath, ['--enable-source-maps', script, process.env.SIM_HUB, data, join(out, 'trip.json'), process.env.SEED ?? '36'], { encoding: 'utf8' })
  assert.equal(played.status, 0, played.stdout + played.stderr)
  trip = JSON.parse(readFileSync(join(out, 'trip.json'), 'utf8'))
  entries = (await command('dump')).split('\n').filter(Boolean).map((line) => JSON.parse(line))
})

after(endAll)

const taken = (kind) => entries.filter((entry) => entry.kind === kind && !entry.refused).length

test('the trip is as long and as full as it says', (t) => {
  const hours = (entries[entries.length - 1].at_ms - entries.find((entry) => entry.kind === 'trip_started').at_ms) / 3_600_000
  const pages = new Set(entries.filter((entry) => entry.kind === 'page_joined').map((entry) => entry.body.page)).size
  t.diagnostic(`${hours.toFixed(1)} hours, ${taken('strike')} strikes, ${taken('fight_ended')} fights ended, ${taken('clear_called')} clearings, ${taken('call')} calls, ${pages} pages`)
  assert.ok(hours >= HOURS_LEAST)
  assert.ok(taken('strike') >= STRIKES_LEAST, `${taken('strike')} strikes`)
  assert.ok(pages > 8)
  assert.equal(entries.filter((entry) => entry.kind === 'trip_started').length, 1)
})

test('every kind of entry that a page may send is in it, taken', () => {
  const kinds = Object.entries(KINDS).filter(([, { 'x-kind': kind }]) => kind && kind.from !== 'server').map(([name]) => name)
  assert.deepEqual(kinds.filter((kind) => taken(kind) === 0), [])
})

test('the whole board never takes more than 16 KB on the wire', (t) => {
  const { boards, sum, most, most_seq, most_messages, most_headers } = trip.sizes
  t.diagnostic(`${boards} boards measured over ${entries.length} entries: greatest ${most} bytes in ${most_messages} messages after entry ${most_seq} (their headers ${most_headers} more), mean ${Math.round(sum / boards)}`)
  assert.ok(boards > 0.9 * entries.length)
  assert.ok(most <= BOARD_MOST, `${most} bytes`)
})

test('verify finds nothing wrong, and folds to the live board', async () => {
  const verified = await command('verify')
  assert.match(verified, /nothing is wrong\n$/)
  assert.equal([...verified.matchAll(/digest ([0-9a-f]{16})/g)].pop()[1], trip.digest)
})

test('show at the last entry is the live board, and dump has a line for each entry', async () => {
  const shown = await command('show', '--at', String(trip.seq))
  assert.equal(shown.slice(shown.indexOf('\n\n') + 2), trip.text)
  assert.equal(entries.length, trip.seq)
  assert.deepEqual(entries.map((entry) => entry.seq), entries.map((_, index) => index + 1))
})

test('a server opens the log and goes on with it', async (t) => {
  const bytes = statSync(join(data, 'board.db')).size
  const began = process.hrtime.bigint()
  const server = await startServer({ data })
  const ms = Number((process.hrtime.bigint() - began) / 1_000_000n)
  t.diagnostic(`open after ${ms} ms: ${entries.length} entries, ${bytes} bytes`)
  assert.equal(await server.stop(), 0)
  const verified = await command('verify')
  assert.match(verified, /nothing is wrong\n$/)
})
