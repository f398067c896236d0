// The same numbers from the board in service: GET /debrief.json beside the loop; and what the boat's own log has learned.

import assert from 'node:assert/strict'
import { after, test } from 'node:test'
import { endAll, hello, startServer } from '../net/server.mjs'
import { open, request } from '../net/ws.mjs'
import { HOUR, LogMaker, MIN, SEC, debriefOf, trip } from './logs.mjs'
import { handLog } from './hand.mjs'
import { madeUpTrip } from './made_up.mjs'
import { faults } from './schema.mjs'

after(endAll)

async function served(data, ask) {
  const server = await startServer({ data })
  const socket = await open(server.port)
  socket.json(hello({ key: server.keys().crew }))
  const authorization = `Bearer ${(await socket.message('welcome')).token}`
  const get = (query) => request(server.port, `GET /debrief.json?${query} HTTP/1.1`, { authorization })
  try {
    return await ask(get, socket)
  } finally {
    socket.end()
    assert.equal(await server.stop(), 0)
  }
}


test('the board in service answers with the command\'s numbers', async () => {
  const folder = handLog().make()
  const command = debriefOf(folder)
  await served(folder, async (get) => {
    const reply = await get('trips=last')
    assert.equal(reply.status, 200)
    assert.equal(reply.headers['content-type'], 'application/json')
    const debrief = JSON.parse(reply.text)
    assert.deepEqual(faults(debrief), [])
    assert.deepEqual(debrief.effort, command.effort)
    assert.deepEqual(debrief.counts, command.counts)
    assert.deepEqual(debrief.times, command.times)
    const places = JSON.parse((await get('position=Long%20port&names=no')).text)
    assert.equal(places.counts.bites, 1)
    assert.ok(places.hands.every(({ name }) => name === ''))
  })
})

test('a long trip\'s debrief comes whole, while the board\'s pulse goes on', async () => {
  const log = new LogMaker()
  madeUpTrip(log, { seed: 9, entries: 30000 })
  const folder = log.make()
  await served(folder, async (get, socket) => {
    const pulses = []
    const asked = get('trips=all')
    for (const until = Date.now() + 1500; Date.now() < until;) {
      await socket.message('pulse')
      pulses.push(Date.now())
    }
    const debrief = JSON.parse((await asked).text)
    assert.deepEqual(faults(debrief), [])
    assert.ok(debrief.counts.bites > 100)
    assert.ok(pulses.length >= 2)
  })
})

/** lines in, one each step_s; by eye all at once with step 0. */
function clearing(log, start_ms, lines, step_s) {
  log.add(start_ms, 'lines_are', { out: lines })
  log.add(start_ms + MIN, 'clear_called', { scope: 'all' })
  lines.forEach((line, index) => log.add(start_ms + MIN + (index + 1) * step_s * SEC, 'line_is', { line, state: 'in' }))
}

/* Four lines in 40 s are 10 s a line, four times; four in 120 s are 30 s a line. Six lines in 6 s were tallied afterwards. The
 * median of 10 10 10 10 30 30 30 30 is 20. Before six lines are known, it is common practice: 15 s, and rests on none. */
test('how long a line takes to come in is learned over trips', async () => {
  const log = new LogMaker()
  const spread = [1, 2, 3, 4, 5, 6].map((id) => ({ id, name: `Place ${id}`, side: 'port', gear: 'line' }))
  const begin = (no, start_ms) => {
    log.add(start_ms, 'trip_started', trip({ no, spread }))
    log.add(start_ms, 'trip_phase', { phase: 'fishing' })
  }
  begin(1, 0)
  clearing(log, HOUR, [1, 2, 3, 4], 10)
  log.add(2 * HOUR, 'trip_ended', {})
  const early = new LogMaker()
  early.entries = [...log.entries]
  assert.deepEqual(early.debrief().learned, { line_in_ms: 15000, lines: 0 })
  begin(2, 3 * HOUR)
  clearing(log, 4 * HOUR, [1, 2, 3, 4], 30)
  clearing(log, 5 * HOUR, [1, 2, 3, 4, 5, 6], 1)
  log.add(6 * HOUR, 'trip_ended', {})
  const folder = log.make()
  assert.deepEqual(debriefOf(folder).learned, { line_in_ms: 20000, lines: 8 })
  await served(folder, async (get) => {
    assert.deepEqual(JSON.parse((await get('part=learned')).text), { line_in_ms: 20000, lines: 8 })
  })
})
