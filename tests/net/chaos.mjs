// chaos - the real program and pages with the real link.ts, and between them a proxy that delays, trickles, cuts, resets and goes
// silent (chaos_proxy.mjs).
//
//   node tests/net/chaos.mjs OUT [SEEDS] [FROM]      OUT: a folder for the bundle
//
// Each storm: a helm, a station and six phones tap for STORM_MS as the simulator's crew does, one of them calls overboard in the midst
// of it; then the network is well. Within SETTLE_MS every page must have its link, the server's board, and no tap that waits; the call
// must have rung on every page; the log must hold what the pages were told (tests/sim/model.ts); the server's memory must have stayed
// below RSS_MOST_KB. And beside them: a page whose connection goes silent one way or both ways finds another, and the server gives its
// place free. The seed decides taps and fates; time is real, so that a seed does not repeat itself byte for byte.

import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { bundle } from '../web/bundle.mjs'
import { ChaosProxy } from './chaos_proxy.mjs'
import { run, sleep, startServer } from './server.mjs'
import { open } from './ws.mjs'

const STORM_MS = 9000
const SETTLE_MS = 60_000
const RSS_MOST_KB = 48 * 1024
/** The server asks after 3 s and hangs up after 8 (net.c); the page after 3.5 s of silence, or 3 s
 * after a tap that nobody answers (web/src/link_types.ts). */
const FREED_MS = 12_000
const FOUND_MS = 8000

const [out, seeds = 3, from = 1] = [process.argv[2], ...process.argv.slice(3).map(Number)]
if (!out) throw new Error('usage: node tests/net/chaos.mjs OUT [SEEDS] [FROM]')
const [script] = await bundle([fileURLToPath(new URL('chaos_page.ts', import.meta.url))], resolve(out))
const { canonical, digest, Model, nextAct, Page, Prng, resetMarks, Tally, trip } = await import(pathToFileURL(script).href)

/** Real time in the place of the simulator's. */
class Clock {
  began = performance.now()
  timers = new Set()
  over = false

  get now_ms() {
    return Math.floor(performance.now() - this.began)
  }

  after(ms, what) {
    const timer = setTimeout(() => {
      this.timers.delete(timer)
      if (!this.over) what()
    }, ms)
    this.timers.add(timer)
  }

  at(ms, what) {
    this.after(Math.max(0, ms - this.now_ms), what)
  }

  stop() {
    this.over = true
    for (const timer of this.timers) clearTimeout(timer)
  }
}

/** The websockets of the pages, as web/src/socket.ts has them of a browser. */
class Sockets {
  lines = new Map()
  constructor(port, host) {
    Object.assign(this, { port, host })
  }

  open(page, gen) {
    const line = { gen, socket: null, closed: false }
    this.lines.set(page, line)
    const headers = { Host: this.host, Origin: `http://${this.host}` }
    void open(this.port, { headers }).then((socket) => this.listen(page, line, socket), () => page.input({ is: 'closed', gen }))
  }

  async listen(page, line, socket) {
    if (line.closed) return socket.end()
    line.socket = socket
    page.input({ is: 'opened', gen: line.gen })
    try {
      for (;;) page.input({ is: 'message', gen: line.gen, text: JSON.stringify(await socket.message(undefined, 1e8)) })
    } catch (error) {
      if (!line.closed && !socket.line.over && socket.closeCode === null) throw error
    }
    if (!line.closed) page.input({ is: 'closed', gen: line.gen })
  }

  send(page, gen, text) {
    const line = this.lines.get(page)
    if (line?.gen === gen) line.socket?.text(text)
  }

  close(page, gen) {
    const line = this.lines.get(page)
    if (line?.gen !== gen) return
    line.closed = true
    line.socket?.end()
  }
}

class Storm {
  clock = new Clock()
  model = new Model()
  pages = []

  constructor(seed) {
    this.chances = new Prng(seed)
  }

  async begin() {
    this.server = await startServer()
    this.proxy = new ChaosProxy(this.server.port, this.chances)
    this.sockets = new Sockets(await this.proxy.listen(), this.server.host)
    this.direct = new Sockets(this.server.port, this.server.host)
    const views = ['helm', 'station', ...Array(6).fill('phone')]
    for (const [i, view] of views.entries()) this.pages.push(this.load(`${view}${i}`, view, this.sockets))
    const [helm] = this.pages
    await this.until(() => this.pages.every((page) => page.link.board.live), 10_000, 'the first boards')
    helm.input({ is: 'take_helm', number: this.server.keys().helm })
    await this.until(() => helm.link.source === 'helm', 5000, 'the helm')
    helm.act('trip_started', trip(this.chances, 1), {}, '')
    await this.until(() => this.pages.every((page) => this.runs(page)), 5000, 'the trip')
  }

  load(name, view, sockets) {
    const device = {
      name, view, key: this.server.keys().crew, address: 1, rows: new Map(), kept: {}, storage: 'works', wall_ms: Date.now() - this.clock.now_ms,
    }
    return new Page(device, this.clock, this.chances, this.model, sockets, () => {})
  }

  runs({ link }) {
    const phase = link.board.parts.get('trip')?.phase ?? 'none'
    return phase !== 'none' && phase !== 'ended'
  }

  async until(what, most_ms, name) {
    const began = performance.now()
    while (!what()) {
      assert.ok(performance.now() - began < most_ms, `${name}: not within ${most_ms} ms; ${this.state()}`)
      await sleep(20)
    }
    return Math.round(performance.now() - began)
  }

  state() {
    return this.pages.map(({ device, link }) => `${device.name} ${link.word} rev ${link.board.rev} waiting ${link.taps.waiting()}`).join(', ')
  }

  /** One connection goes silent: how long until its page has another, and until the server has let go of it. */
  async silent(way) {
    const page = this.pages[2]
    const before = this.proxy.wires.length
    const wire = this.proxy.wires.find((one) => one.page.remotePort === this.sockets.lines.get(page).socket.line.socket.localPort)
    wire.silence(way)
    page.act('noted', { text: `silent ${way}` }, {}, '')
    const freed = this.until(() => wire.board_closed_ms > 0, FREED_MS, `the server lets go of one silent ${way}`)
    const found = this.until(() => this.proxy.wires.length > before && page.link.word === 'ok', FOUND_MS, `a page silent ${way} finds another`)
    const times = await Promise.all([found, freed])
    await this.until(() => page.link.taps.waiting() === 0, 5000, 'its tap')
    return times
  }

  tapLater(page) {
    this.clock.after(this.chances.int(100, 600), () => {
      if (!this.proxy.storms) return
      const act = this.runs(page) ? nextAct(this.chances, page) : null
      if (act && act.kind !== 'trip_ended') page.act(act.kind, act.body, act.options ?? {}, act.mark ?? '')
      this.tapLater(page)
    })
  }

  async rage() {
    this.proxy.storm()
    for (const wire of this.proxy.wires) this.clock.after(this.chances.int(0, 3000), () => wire.reset())
    for (const page of this.pages) this.tapLater(page)
    await sleep(STORM_MS / 2)
    const call = this.pages[3].act('overboard', {}, {}, '')
    await sleep(STORM_MS / 2)
    this.proxy.calm()
    return call
  }

  async settle() {
    const last = this.load('last', 'phone', this.direct)
    const { pages } = this
    const drawn = ({ link }) => digest(canonical(Object.fromEntries(link.board.parts)))
    return this.until(() => {
      if (!pages.every(({ link }) => link.word === 'ok' && link.taps.waiting() === 0) || !last.link.board.live) return false
      return pages.every((page) => page.link.board.rev === last.link.board.rev && drawn(page) === drawn(last))
    }, SETTLE_MS, 'all come right')
  }

  /**
   * An overboard that is open in the end has rung on every page that is none of its callers: for the first call or a later one, which is
   * what a page that comes late rings for. Resolves to how many have; 0: a hand has ended it, and who came after that had nothing to hear.
   */
  rang(call) {
    const open = this.pages[0].link.board.parts.get('overboard')
    if (!open?.id) return 0
    const calls = [...open.calls.map(({ id }) => id), call]
    const others = this.pages.filter((page) => !calls.some((id) => id.startsWith(page.link.page)))
    for (const page of others) assert.ok(calls.some((id) => page.hasRung(id)), `${page.device.name} never rang for any of ${calls.join()}`)
    return others.length
  }

  peak_kb() {
    return Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${this.server.pid}/status`, 'utf8'))[1])
  }

  /** What the pages were told, against the log. */
  async end() {
    const peak_kb = this.peak_kb()
    this.clock.stop()
    this.proxy.close()
    for (const [, { socket }] of this.direct.lines) socket?.end()
    assert.equal(await this.server.stop(), 0)
    assert.ok(peak_kb < RSS_MOST_KB, `the server took ${peak_kb} KB`)
    const verify = await run(['verify', '--data', this.server.data])
    assert.equal(verify.code, 0, verify.out + verify.err)
    const dump = await run(['dump', '--data', this.server.data])
    const tally = new Tally()
    this.model.checkLog(dump.out.trim().split('\n'), tally)
    return { peak_kb, tally }
  }
}

/** How long a page and the server take to see through a connection that goes silent. */
async function silences() {
  const storm = new Storm(0)
  await storm.begin()
  for (const way of ['both', 'down', 'up']) {
    const [found_ms, freed_ms] = await storm.silent(way)
    console.log(`| a connection goes silent, ${way} | its page has another after ${found_ms} ms | its place is free after ${freed_ms} ms |`)
  }
  await storm.settle()
  await storm.end()
}

async function tell(seed, sums) {
  const storm = new Storm(seed)
  await storm.begin()
  const call = await storm.rage()
  const settled_ms = await storm.settle()
  sums.rang = (sums.rang ?? 0) + storm.rang(call)
  const { peak_kb, tally } = await storm.end()
  const { taps, saved, refused } = storm.model.counts()
  const fates = storm.proxy.sums()
  console.log(`seed ${seed}: ${storm.proxy.wires.length} connections (${Object.entries(fates).map(([name, n]) => `${name} ${n}`).join(', ')}); ` +
    `all came right ${settled_ms} ms after; the server took at most ${peak_kb} KB\n` +
    `  ${taps} taps, told saved ${saved}, found once ${tally.found.once}, found twice ${tally.found.twice}, lost ${tally.found.lost}; ` +
    `told refused ${refused}, of these taken ${tally.found.refused_taken}`)
  for (const [name, n] of Object.entries({ ...fates, saved })) sums[name] = (sums[name] ?? 0) + n
}

// All at once: they wait most of their time.
const sums = {}
resetMarks()
const stories = [['silences', silences()], ...Array.from({ length: seeds }, (_, i) => [`seed ${from + i}`, tell(from + i, sums)])]
let failed = 0
for (const [, story] of stories) story.catch(() => undefined) // each is waited for in its turn
for (const [name, story] of stories) {
  await story.catch((error) => {
    failed++
    console.log(`${name}: ${error.stack}`)
  })
}
// A storm in which nothing was tried has shown nothing.
for (const name of ['late', 'trickle', 'stalled', 'cut', 'reset', 'half-open', 'rang']) {
  if (sums[name] > 0 && sums.saved > 20 * seeds) continue
  failed++
  console.log(`too little: ${name} ${sums[name] ?? 0}, told saved ${sums.saved ?? 0}`)
}
console.log(`${stories.length - Math.min(failed, stories.length)} passed, ${failed} failed`)
process.exit(failed ? 1 : 0)
