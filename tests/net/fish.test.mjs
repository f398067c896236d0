// Fish over HTTP, and the file of rule sets: what a page reads of a trip, which rule set a trip takes along, and what the terminal says
// of a mistake. The numbers themselves are held against their sources in tests/unit/test_standing.c.

import assert from 'node:assert/strict'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { after, test } from 'node:test'
import { endAll, hello, scratch, sleep, startServer } from './server.mjs'
import { open } from './ws.mjs'

after(endAll)

const TRIP = {
  name: 'Grey Petrel', no: 1, spread: [{ id: 1, name: 'long', side: 'port', gear: 'line' }], crew: [{ id: 1, name: 'Ines', station: 'helm' }],
  persons: 5, use: 'private',
}
const OWN = {
  name: 'Own', place: 'here', citation: 'made for this test', dated: '2026-01-01', valid_from: '2026-01-01',
  species: [{ code: 'YFT', name: 'yellowfin' }],
  rows: [{ name: 'yellowfin', codes: ['YFT'], per_head: 1, citation: 'made for this test' }],
}

/** A helm with its token, that taps and waits for the answer. */
async function helmOf(server) {
  const socket = await open(server.port)
  const page = Array.from({ length: 16 }, () => '0123456789abcdef'[Math.floor(Math.random() * 15) + 1]).join('')
  let n = 0
  socket.json(hello({ key: server.keys().crew, page, view: 'helm' }))
  const { token } = await socket.message('welcome')
  await socket.message('fresh_end')
  socket.json({ t: 'take_helm', number: server.keys().helm })
  await socket.message('patch')
  return {
    socket,
    token,
    async tap(kind, body = {}, ago_ms = 0) {
      const id = `${page}.o.${++n}`
      socket.json({ t: 'tap', id, kind, v: 1, ago_ms, body })
      for (;;) {
        const answer = await socket.message('answer')
        if (answer.id !== id) continue
        assert.equal(answer.is, 'seen', JSON.stringify(answer))
        return id
      }
    },
    async fish(query = '') {
      const reply = await fetch(`http://127.0.0.1:${server.port}/fish${query}`, { headers: { authorization: `Bearer ${token}` } })
      return { status: reply.status, text: await reply.text() }
    },
  }
}

const read = async (helm, query) => JSON.parse((await helm.fish(query)).text)

async function boated(helm, code) {
  const fish = await helm.tap('strike', { line: 1 })
  await helm.tap('strike_ended', { strike: fish, end: 'on' })
  await helm.tap('fight_ended', { fight: fish, end: 'boated' })
  await helm.tap('line_is', { line: 1, state: 'out' })
  if (code) await helm.tap('fish_told', { fish, code })
  return fish
}

test('a trip is counted by the rule set that it took along, and read with its day and its citation', async () => {
  const server = await startServer()
  const helm = await helmOf(server)
  const before = await read(helm)
  assert.deepEqual(before.fish, [])
  assert.equal(before.rule_set, undefined)
  assert.match(before.next_rule_set.name, /an example/)
  await helm.tap('trip_started', TRIP)
  await helm.tap('trip_phase', { phase: 'fishing' })
  await helm.tap('line_is', { line: 1, state: 'out' })
  const fish = await boated(helm, 'YFT')
  await boated(helm)
  const now = await read(helm)
  const row = now.standing.find((one) => one.name === 'yellowfin')
  assert.deepEqual([row.logged, row.limit, row.left], [1, 15, 14])
  assert.equal(row.basis, '3 a person, 5 aboard; a day, and no more aboard however long the trip')
  assert.equal(row.citation, '50 CFR 635.22(d), 635.20')
  assert.equal(now.untold, 1)
  assert.match(now.rule_set.caution, /^Check the current rule\./)
  assert.equal(now.species[0].code, 'YFT', 'the most caught first')
  assert.deepEqual(now.species[0].measures, ['curved_fork'])
  assert.deepEqual(now.fish.map((one) => [one.id === fish, one.code, one.fate]), [[true, 'YFT', 'kept'], [false, '', 'kept']])
  helm.socket.end()
  assert.equal(await server.stop(), 0)
  const again = await startServer({ data: server.data })
  const after = await helmOf(again)
  assert.deepEqual((await read(after)).standing, now.standing, 'the log gives the same after a start')
  after.socket.end()
  assert.equal(await again.stop(), 0)
})

test('what was told last of a fish holds, however late another tap comes', async () => {
  const server = await startServer()
  const helm = await helmOf(server)
  await helm.tap('trip_started', TRIP)
  const fish = await helm.tap('fish_told', { code: 'YFT', fate: 'kept' })
  await sleep(2500)
  await helm.tap('fish_told', { fish, fate: 'released', length_um: 600_000, measure: 'curved_fork' })
  await helm.tap('fish_told', { fish, fate: 'kept', length_um: 700_000, measure: 'fork' }, 2000)
  const told = (await read(helm)).fish
  assert.deepEqual(told.map((one) => [one.id, one.code, one.fate, one.length_um, one.measure]), [[fish, 'YFT', 'released', 600_000, 'curved_fork']])
  const debrief = await fetch(`http://127.0.0.1:${server.port}/debrief.json`, { headers: { authorization: `Bearer ${helm.token}` } })
  assert.deepEqual((await debrief.json()).fish.map((one) => [one.id, one.fate, one.length_um]), [[fish, 'released', 600_000]], 'and in the debrief')
  helm.socket.end()
  assert.equal(await server.stop(), 0)
})

test('fish are for whoever has a token, and by a clock that is asked for in minutes', async () => {
  const server = await startServer()
  const helm = await helmOf(server)
  assert.equal((await fetch(`http://127.0.0.1:${server.port}/fish`)).status, 401)
  for (const zone of ['-300', '0', '840', '']) assert.equal((await helm.fish(`?zone=${zone}`)).status, 200, zone)
  for (const zone of ['841', '-841', 'x', '1e3', '--5', '+5', '1.5']) {
    const reply = await helm.fish(`?zone=${zone}`)
    assert.equal(reply.status, 400, zone)
    assert.match(reply.text, /^Ask for /)
  }
  helm.socket.end()
  assert.equal(await server.stop(), 0)
})

test('what the last trip kept, and the reports it left, stand in the next one', async () => {
  const server = await startServer()
  const helm = await helmOf(server)
  await helm.tap('trip_started', TRIP)
  await helm.tap('trip_phase', { phase: 'fishing' })
  await helm.tap('line_is', { line: 1, state: 'out' })
  const big = await boated(helm, 'BFT')
  await helm.tap('fish_told', { fish: big, length_um: 2032000, measure: 'curved_fork' })
  const sword = await boated(helm, 'SWO')
  await helm.tap('trip_phase', { phase: 'dock' })
  await helm.tap('trip_ended')
  const done = await read(helm)
  assert.deepEqual(done.reports.map((one) => [one.of, one.id, one.hours, one.due_ms - one.from_ms]),
    [['bluefin', big, 24, 86_400_000], ['swordfish', sword, 24, 86_400_000]])
  await helm.tap('report_told', { of: big, number: 'N-1' })
  await helm.tap('trip_started', { ...TRIP, no: 2 })
  const next = await read(helm)
  assert.deepEqual(next.fish, [])
  const row = next.standing.find((one) => one.name === 'bluefin of 73 in and more')
  assert.deepEqual([row.logged, row.limit, row.left], [1, 1, 0], 'one a year, and this year had it')
  assert.deepEqual(next.reports.map((one) => [one.of, one.id]), [['swordfish, an earlier trip', sword]])
  await helm.tap('report_told', { of: sword, number: 'N-2' })
  assert.equal((await read(helm)).reports[0].confirmed, 'N-2')
  helm.socket.end()
  assert.equal(await server.stop(), 0)
})

test('a crew loads its own rule set; a mistake is told with its line, and the old one kept until the file is right', async () => {
  const data = scratch()
  const file = join(data, 'mine.json')
  const write = (set) => writeFileSync(file, JSON.stringify(set, null, 1))
  write(OWN)
  const server = await startServer({ data, args: ['--rules', file] })
  const helm = await helmOf(server)
  const told = async (pattern) => {
    for (let i = 0; i < 100 && !pattern.test(server.output()); i++) await sleep(50)
    assert.match(server.output(), pattern)
  }
  await told(/Fish are counted by "Own", dated 2026-01-01, from the next trip's start on\. Check the current rule\./)
  await helm.tap('trip_started', TRIP)
  assert.equal((await read(helm)).standing[0].limit, 5)
  write({ ...OWN, rows: [{ ...OWN.rows[0], per_head: 5000 }] })
  server.signal('SIGUSR1')
  const line = JSON.stringify(OWN, null, 1).split('"per_head"')[0].split('\n').length
  await told(new RegExp(`mine\\.json, line ${line}: rows\\.0\\.per_head: This must be from 0 to 1000\\.\nsternboard: The rule sets read before are kept\\.`))
  assert.equal((await read(helm)).next_rule_set.name, 'Own')
  write({ ...OWN, name: 'Own, new', rows: [{ ...OWN.rows[0], per_head: 2 }] })
  server.signal('SIGUSR1')
  await told(/counted by "Own, new"/)
  const running = await read(helm)
  assert.deepEqual([running.rule_set.name, running.standing[0].limit, running.next_rule_set.name], ['Own', 5, 'Own, new'], 'a trip keeps its own')
  await helm.tap('trip_ended')
  await helm.tap('trip_started', { ...TRIP, no: 2 })
  const next = await read(helm)
  assert.deepEqual([next.rule_set.name, next.standing[0].limit], ['Own, new', 10])
  helm.socket.end()
  assert.equal(await server.stop(), 0)
})

test('a file that is no rule set stops no board: it is said, and the next trip goes on with the last one\'s', async () => {
  const data = scratch()
  const cases = [['', /rules\.json is empty/], ['{', /rules\.json, line 1/], [' '.repeat(1024 * 1024), /rules\.json has 1048576 bytes/], ['\0', /rules\.json holds a zero byte/]]
  writeFileSync(join(data, 'rules.json'), JSON.stringify(OWN))
  const first = await startServer({ data })
  const helm = await helmOf(first)
  await helm.tap('trip_started', TRIP)
  await helm.tap('trip_ended')
  helm.socket.end()
  assert.equal(await first.stop(), 0)
  for (const [text, pattern] of cases) {
    writeFileSync(join(data, 'rules.json'), text)
    const server = await startServer({ data })
    for (let i = 0; i < 100 && !/No rule set is read/.test(server.output()); i++) await sleep(50)
    assert.match(server.output(), pattern)
    assert.match(server.output(), /No rule set is read: the next trip goes on with that of the last one/)
    const page = await helmOf(server)
    assert.equal((await read(page)).next_rule_set.name, 'Own')
    page.socket.end()
    assert.equal(await server.stop(), 0)
  }
  const none = await startServer({ args: ['--rules', join(data, 'nothing.json')] })
  for (let i = 0; i < 100 && !/nothing\.json cannot be opened/.test(none.output()); i++) await sleep(50)
  assert.match(none.output(), /nothing\.json cannot be opened: No such file/)
  assert.equal(await none.stop(), 0)
})
