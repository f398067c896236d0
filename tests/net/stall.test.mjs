// Overboard on a disk that hangs for five seconds, measured at 30 real sockets by one small program (tests/load/stall.c), and what becomes
// of the ordinary taps made meanwhile: seen by all, not said saved, and then in the log once each.

import assert from 'node:assert/strict'
import { execFile } from 'node:child_process'
import { promisify } from 'node:util'
import { after, test } from 'node:test'
import { compile, endAll, run, startServer } from './server.mjs'
import { slowDisk } from './slow_disk.mjs'

const CLIENTS = 30
const STALL_MS = 5000
const ALARM_MS = 100

after(endAll)

/** One storm on a board of its own: the figures, after whatever is true on any machine was looked at. */
async function storm(t, program) {
  const disk = slowDisk()
  const server = await startServer({ env: disk.env })
  const { crew, helm } = server.keys()
  const { stdout } = await promisify(execFile)(program, [`${server.port}`, `${CLIENTS}`, `${STALL_MS}`, disk.marker, crew, helm])
  const [calls, alarm, alarm_max, taps, seen, seen_max, meanwhile, after_ms, last_seq] = stdout.trim().split(' ').map(Number)
  const ms = (us) => `${(us / 1000).toFixed(1)} ms`
  t.diagnostic(`| overboard to ${CLIENTS} sockets while the disk hangs ${STALL_MS / 1000} s, ${calls} calls | half within ${ms(alarm)} | slowest ${ms(alarm_max)} |`)
  t.diagnostic(`| ${taps} taps meanwhile, to all screens | half within ${ms(seen)} | slowest ${ms(seen_max)} | told saved meanwhile ${meanwhile} | ` +
    `all ${last_seq} entries saved ${after_ms} ms after it went on |`)
  assert.ok(calls === 5 && taps > CLIENTS, stdout)
  assert.equal(meanwhile, 0)
  assert.equal(await server.stop(), 0)
  await onceEach(server.data, calls, taps)
  return alarm_max / 1000
}

async function onceEach(data, calls, taps) {
  const pages = new Set(Array.from({ length: CLIENTS }, (_, i) => (i + 1).toString(16).padStart(16, '0')))
  const dump = await run(['dump', '--data', data])
  const ids = dump.out.trim().split('\n').map((line) => JSON.parse(line).id)
  assert.equal(new Set(ids).size, ids.length, 'none twice')
  const of = (lane) => ids.filter((id) => pages.has(id.slice(0, 16)) && id[17] === lane).length
  assert.deepEqual([of('e'), of('o')], [calls, taps])
}

// What else runs on the machine can hold up any process for longer than that: it is given three tries, and all are printed.
test(`while the disk hangs for ${STALL_MS / 1000} s an overboard call is at ${CLIENTS} sockets within ${ALARM_MS} ms, and no tap is lost, doubled or said saved`, async (t) => {
  const program = compile(['load/stall.c', 'load/client.c'])
  let slowest_ms = Infinity
  for (let tries = 0; tries < 3 && slowest_ms > ALARM_MS; tries++) slowest_ms = await storm(t, program)
  assert.ok(slowest_ms <= ALARM_MS, `the slowest alarm took ${slowest_ms} ms`)
})
