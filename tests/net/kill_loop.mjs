// kill_loop - kills the real server again and again under phones that tap, and counts what became of their taps.
//
//   node tests/net/kill_loop.mjs ROUNDS [CLIENTS]
//
// Each phone does what a phone's page does: it numbers its taps, keeps each until it was told saved, and on every new connection
// sends again, in order, whatever it still keeps; one that was told no, it sends as told no. Each round the server is started on
// the same data, left alone for a random while, and killed with SIGKILL. In the end the server runs until every phone is rid of
// its taps, and the log is held against what they were told:
//
//   told saved   what the phones were told is on the disk
//   found once   of these, those that are in the log exactly once
//   found twice  must be 0
//   lost         told saved and not in the log: must be 0
//   refused yet done   told refused, and in the log as done: must be 0
//
// A kill loses nothing that the system has taken (that is what power cuts are for, tests/unit/test_power.c): what is found
// here is taps told saved before their commit, repeats taken for new, and starts that fail on what a kill leaves behind.

import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { freePort, hello, run, scratch, sleep, startServer } from './server.mjs'
import { open } from './ws.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
const TRIP = JSON.parse(readFileSync(join(HERE, '../scenarios/trip.json'), 'utf8'))
const MAX_KEPT = 40
const NO_ANSWER_MS = 2000

const rounds = Number(process.argv[2] ?? 20)
const clients = Number(process.argv[3] ?? 30)
const any = (max) => Math.floor(Math.random() * max)

/** A connection, or none within three seconds: then a page tries anew, and so does this. */
function openSoon(port) {
  return new Promise((done, fail) => {
    let late = false
    const timer = setTimeout(() => ((late = true), fail(new Error('no connection in 3 s'))), 3000)
    open(port).then((socket) => (late ? socket.end() : done(socket)), fail).finally(() => clearTimeout(timer))
  })
}

class Phone {
  first = hello()
  n = { o: 0, e: 0 }
  kept = new Map() // id -> { id, kind, body, at, seq, told_no }
  told_saved = new Set()
  told_no = new Set()
  log_back = 0
  joined_again = 0
  trouble = 'none'
  saved_up_to = 0
  over = false
  socket = null
  resting = false // all is made; only what is kept is still sent

  constructor(port, key) {
    this.port = port
    this.key = key
  }

  /** Connects, and again when the line breaks, until it is over. */
  async live() {
    while (!this.over) {
      try {
        await this.connection()
      } catch (error) {
        if (error.fatal) throw error
        this.trouble = error.message // the server was killed: that is the point
      }
      this.socket = null
      await sleep(5 + any(30))
    }
  }

  async connection() {
    const socket = await openSoon(this.port)
    const { key, token } = this
    socket.json({ ...this.first, ...(token ? { token } : { key }) })
    const welcome = await socket.message(undefined, 2000)
    if (welcome.t === 'no') return this.joinAgain(socket)
    this.token = welcome.token ?? this.token
    this.log_back += welcome.log_back ? 1 : 0
    // A seq told by a run that is gone may be another entry's now.
    for (const row of this.kept.values()) row.seq = 0
    this.saved_up_to = welcome.saved.seq
    this.socket = socket
    for (const row of this.kept.values()) this.send(row)
    while (!this.over) this.take(await socket.message(undefined, 3000))
    socket.end()
  }

  /** The server was killed between giving out the token and saving its hash: its owner shows the key once more. */
  joinAgain(socket) {
    this.token = ''
    this.joined_again++
    socket.end()
  }

  send(row) {
    const { id, kind, body, at, told_no } = row
    row.sent = performance.now()
    const ago_ms = Math.max(0, Math.round(performance.now() - at))
    this.socket?.json({ t: 'tap', id, kind, v: 1, ago_ms, body, ...(told_no ? { told_no } : {}) })
  }

  tap(kind, lane, body) {
    const id = `${this.first.page}.${lane}.${++this.n[lane]}`
    const row = { id, kind, body, at: performance.now(), seq: 0, told_no: '' }
    this.kept.set(id, row)
    this.send(row)
  }

  take(message) {
    if (message.t === 'answer') this.answered(message)
    if (message.t === 'saved') this.saved(message.up_to)
    if (message.t === 'pulse') this.pulse(message)
  }

  /** An answer may be dropped with the queue of a screen that reads too slowly: what has none for a while is sent again. */
  pulse({ saved_up_to }) {
    this.saved(saved_up_to)
    for (const row of this.kept.values()) if (row.seq === 0 && performance.now() - row.sent > NO_ANSWER_MS) this.send(row)
  }

  answered({ id, is, seq, code, retry_ms }) {
    const row = this.kept.get(id)
    if (!row) return
    row.last = `${is} ${code ?? ''}`
    if (is === 'error') throw Object.assign(new Error(`${id}: ${code}`), { fatal: true })
    if (is === 'wait' || is === 'not_now') {
      const { socket } = this
      setTimeout(() => socket === this.socket && this.kept.has(id) && this.send(row), retry_ms ?? 500)
      return
    }
    if (is === 'refused') {
      row.told_no = code
      this.told_no.add(id)
    }
    if (seq) row.seq = seq
    // Known, and no longer told where: it is in the log, or waits in front of it.
    else if (is === 'known') this.kept.delete(id)
    this.saved(this.saved_up_to)
  }

  saved(up_to) {
    this.saved_up_to = Math.max(this.saved_up_to, up_to)
    for (const row of this.kept.values()) {
      if (row.seq === 0 || row.seq > this.saved_up_to) continue
      this.told_saved.add(row.id)
      this.kept.delete(row.id)
    }
  }

  /** A crew at work: two lines in three, a bait, and now and then STOP, on the emergency lane. */
  async work() {
    while (!this.resting) {
      if (this.kept.size < MAX_KEPT) {
        const line = 1 + any(5)
        const what = any(40)
        if (what === 0) this.tap('stop', 'e', {})
        else if (what < 12) this.tap('line_bait', 'o', { line, bait: 'ballyhoo' })
        else this.tap('line_is', 'o', { line, state: any(2) ? 'out' : 'in' })
      }
      await sleep(30 + any(120))
    }
  }
}

/** The first server: the helm is taken and a trip started, on a connection of its own. */
async function begin(port) {
  const server = await startServer({ port })
  const { crew, helm } = server.keys()
  const socket = await open(port)
  const first = hello({ key: crew, view: 'helm' })
  socket.json(first)
  await socket.message('fresh_end')
  socket.json({ t: 'take_helm', number: helm })
  socket.json({ t: 'tap', id: `${first.page}.o.1`, kind: 'trip_started', v: 1, ago_ms: 0, body: TRIP })
  const { is, seq, words } = await socket.message('answer')
  if (is !== 'seen') throw new Error(`the trip was not started: ${is} ${words}`)
  for (let up_to = 0; up_to < seq;) ({ saved_up_to: up_to } = await socket.message('pulse'))
  socket.end()
  return { server, crew }
}

async function logOf(data) {
  const verify = await run(['verify', '--data', data], { timeout_ms: 600_000 })
  if (verify.code !== 0) throw new Error(`verify: ${verify.code} ${verify.out}${verify.err}`)
  const dump = await run(['dump', '--data', data], { timeout_ms: 600_000 })
  return dump.out.trim().split('\n').map((line) => JSON.parse(line))
}

function count(phones, entries) {
  const times = new Map()
  const done = new Set()
  for (const { id, refused } of entries) {
    times.set(id, (times.get(id) ?? 0) + 1)
    if (!refused) done.add(id)
  }
  const made = phones.flatMap(({ first, n }) => Object.keys(n).flatMap((lane) => Array.from({ length: n[lane] }, (_, i) => `${first.page}.${lane}.${i + 1}`)))
  const told = phones.flatMap(({ told_saved }) => [...told_saved])
  const found = (ids, wanted) => ids.filter((id) => (times.get(id) ?? 0) === wanted).length
  return {
    made: made.length,
    told: told.length,
    once: found(told, 1),
    twice: [...times.values()].filter((n) => n > 1).length,
    lost: found(told, 0),
    never: found(made, 0),
    refusedYetDone: phones.flatMap(({ told_no }) => [...told_no]).filter((id) => done.has(id)).length,
    again: phones.reduce((sum, { joined_again }) => sum + joined_again, 0),
    back: phones.reduce((sum, { log_back }) => sum + log_back, 0),
  }
}

async function main() {
  const port = await freePort()
  let { server, crew } = await begin(port)
  const { data } = server
  const phones = Array.from({ length: clients }, () => new Phone(port, crew))
  const lives = phones.flatMap((phone) => [phone.live(), phone.work()])
  for (let round = 0; round < rounds; round++) {
    await sleep(50 + any(400))
    await server.kill()
    server = await startServer({ data, port, args: ['--quiet'], wait_ms: 300_000 })
    if (round % 100 === 99) console.log(`${round + 1} kills`)
  }
  for (const phone of phones) phone.resting = true
  const until = Date.now() + 60_000
  while (phones.some((phone) => phone.kept.size > 0) && Date.now() < until) await sleep(50)
  const left = phones.reduce((sum, phone) => sum + phone.kept.size, 0)
  for (const phone of phones) phone.over = true
  for (const phone of phones.filter(({ kept }) => kept.size > 0).slice(0, 3)) {
    const [{ id, kind, last }] = phone.kept.values()
    console.log(`${id} ${kind} and ${phone.kept.size - 1} more were never settled; the last answer was "${last}", the line: ${phone.trouble}`)
  }
  const code = await server.stop()
  await Promise.all(lives)
  const entries = await logOf(data)
  const sums = count(phones, entries)
  console.log(`| ${rounds} kills, ${clients} phones | taps made ${sums.made} | told saved ${sums.told} | found once ${sums.once} | ` +
    `found twice ${sums.twice} | lost ${sums.lost} |\n${entries.length} rows in the log, never in the log ${sums.never}, refused yet done ${sums.refusedYetDone}, told that the log went backwards ${sums.back}, still kept ${left}\n` +
    `a token lost with the kill, and the key shown again: ${sums.again}`)
  const good = code === 0 && sums.told > rounds && sums.once === sums.told && sums.twice === 0 && sums.lost === 0 &&
    sums.never === 0 && sums.refusedYetDone === 0 && sums.back === 0 && left === 0
  console.log(good ? `${rounds} passed, 0 failed` : `0 passed, 1 failed`)
  process.exitCode = good ? 0 : 1
}

await main()
