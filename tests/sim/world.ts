// The boat: one server with its disk, a network that cuts, delays and repeats, and the devices of the crew.
//
// Everything that happens is an event on one schedule, and every choice comes from one generator: the same seed is the same
// story. While faults are on, the server is killed between any two steps, also between a commit and its being told; sockets are
// cut for one side before the other; an old socket's messages arrive after a new one's; pages reload, sleep and lose their
// storage. Then the faults stop, and everything has to come right.

import { canonical, digest } from '../../web/src/digest'
import { correction, nextAct, trip } from './acts'
import { HubPipe, type Reply } from './hub_pipe'
import { must, type Model, type Tally } from './model'
import { Page, type Device, type Network } from './page'
import type { Prng } from './prng'
import type { Schedule } from './schedule'

/** One socket between a page and the server. */
interface Wire {
  page: Page
  gen: number
  /** The server's number of it; -1 before it has one and after it is gone there. */
  conn: number
  run: number
  /** Messages go lost from now on, though neither side need know. */
  cut: boolean
  /** The page has let go of it. */
  left: boolean
  up_ms: number
  down_ms: number
}

interface Server {
  up: boolean
  run: number
  /** Boot clock minus the simulation's time. */
  boot_ms: number
  boot: string
  conns: Map<number, Wire>
  tick_ms: number
  writing: boolean
  failed: boolean
  last: Reply | null
}

const CLOCK_2026_MS = 1_780_000_000_000

export class World implements Network {
  readonly pages: Page[] = []
  faults = true
  server: Server = {
    up: false, run: 0, boot_ms: 5000, boot: '', conns: new Map(), tick_ms: 0, writing: false, failed: false, last: null,
  }
  private wires = new Map<Page, Wire>()
  private acting = true
  private utc_known: boolean

  constructor(
    private hub: HubPipe, private folder: string, readonly schedule: Schedule, private rng: Prng, private model: Model,
    private trace: (what: string) => void,
  ) {
    this.utc_known = rng.chance(800)
    this.server.boot = rng.hex()
  }

  // ---- the crew ----

  addDevice(name: string, view: Device['view'], key: string): void {
    const device: Device = {
      name, view, key, address: this.pages.length + 1, rows: new Map(), kept: {}, storage: 'works',
      wall_ms: CLOCK_2026_MS + this.rng.int(-5000, 5000),
    }
    if (this.rng.chance(50)) device.storage = this.rng.pick(['fails', 'hangs'])
    const index = this.pages.length
    this.pages.push(this.load(device))
    this.schedule.after(this.rng.int(50, 1500), () => this.actLater(index))
    if (this.rng.chance(600)) this.schedule.after(this.rng.int(3000, 30_000), () => this.upset(index))
  }

  private load(device: Device): Page {
    this.trace(`${device.name} loads`)
    return new Page(device, this.schedule, this.rng, this.model, this, this.trace)
  }

  private actLater(index: number): void {
    if (!this.acting) return
    const page = this.pages[index]
    if (page && !page.asleep) this.actOnce(page)
    const hurry = this.rng.chance(100)
    this.schedule.after(hurry ? this.rng.int(1, 30) : this.rng.int(100, 1500), () => this.actLater(index))
  }

  private actOnce(page: Page): void {
    const { link, device } = page
    const phase = (link.board.parts.get('trip') as { phase?: string } | undefined)?.phase ?? 'none'
    const between = phase === 'none' || phase === 'ended'
    if (device.view === 'helm' && link.board.live && this.rng.chance(link.source === 'helm' ? 5 : 600)) {
      return page.input({ is: 'take_helm', number: this.rng.chance(950) ? '1234' : '0000' })
    }
    if (between && link.source === 'helm' && this.rng.chance(800)) {
      page.act('trip_started', trip(this.rng, this.rng.int(1, 99)), {}, '')
      return
    }
    // Little is tapped while no trip runs; nearly all of it would be refused for that.
    if (between && this.rng.chance(900)) return
    const act = this.rng.chance(60) ? correction(this.rng, page) : nextAct(this.rng, page)
    if (act) page.act(act.kind, act.body, act.options ?? {}, act.mark ?? '')
  }

  /** Something happens to a device: it reloads its page, sleeps, or its storage breaks. */
  private upset(index: number): void {
    if (!this.faults) return
    const page = this.pages[index]
    if (!page) return
    const what = this.rng.weighted([[5, 'reload'], [4, 'sleep'], [1, 'storage'], [2, 'clock']] as const)
    this.trace(`${page.device.name}: ${what}`)
    if (what === 'reload') this.reload(index)
    else if (what === 'sleep') {
      page.sleep()
      this.schedule.after(this.rng.int(500, 20_000), () => page.wake())
    } else if (what === 'storage') page.device.storage = this.rng.pick(['fails', 'hangs'])
    else page.device.wall_ms += this.rng.int(-60_000, 60_000)
    this.schedule.after(this.rng.int(2000, 30_000), () => this.upset(index))
  }

  private reload(index: number): void {
    const page = this.pages[index] as Page
    page.close()
    const wire = this.wires.get(page)
    if (wire) this.leave(wire)
    const { device } = page
    if (device.storage !== 'works') device.rows.clear()
    this.pages[index] = this.load(device)
  }

  /** Somebody on the boat's network who says what no page says. The server must answer, and mind nothing. */
  addRogue(): void {
    this.schedule.after(this.rng.int(500, 8000), () => {
      if (!this.faults) return
      if (this.server.up) this.rogue()
      this.addRogue()
    })
  }

  private rogue(): void {
    const conn = this.call('join', '666').joined
    if (conn < 0) return
    const hello = { t: 'hello', proto: this.rng.hex(), page: this.rng.hex(), view: 'none' }
    if (this.rng.chance(700)) this.call('recv', `${conn}`, JSON.stringify(this.rng.chance(500) ? hello : { ...hello, key: 'wrong' }))
    for (let i = this.rng.int(1, 5); i > 0; i--) this.call('recv', `${conn}`, this.nonsense())
    this.call('gone', `${conn}`)
  }

  private nonsense(): string {
    const tap = JSON.stringify({ t: 'tap', id: `${this.rng.hex()}.e.1`, kind: 'overboard', v: 1, ago_ms: 0, body: {} })
    const at = this.rng.int(0, tap.length - 1)
    return this.rng.pick([
      '', '{', 'null', '[]', '{"t":"tap"}', '{"t":"fresh"}', '{"t":"take_helm","number":"1234"}', '{"t":"nothing"}', '"\\ud800"',
      '['.repeat(2000), `{"t":"beat","rev":1e3,"visible":true}`, 'x'.repeat(33_000).slice(0, this.rng.int(1, 32_000)),
      tap.slice(0, at), tap.slice(0, at) + String.fromCharCode(this.rng.int(1, 126)) + tap.slice(at + 1),
      tap.replace('overboard', 'stop'), tap.replace('"v":1', '"v":99'), tap.replace('.e.1', '.e.999999999'),
    ])
  }

  // ---- the network, from the pages' side ----

  open(page: Page, gen: number): void {
    const wire: Wire = { page, gen, conn: -1, run: 0, cut: false, left: false, up_ms: 0, down_ms: 0 }
    this.wires.set(page, wire)
    if (this.faults && this.rng.chance(40)) return
    this.schedule.after(this.latency(), () => this.arrive(wire))
  }

  private arrive(wire: Wire): void {
    if (wire.left) return
    if (!this.server.up) return this.schedule.after(this.latency(), () => this.tellClosed(wire))
    const reply = this.call('join', `${wire.page.device.address}`)
    if (reply.joined < 0) return this.tellClosed(wire)
    wire.conn = reply.joined
    wire.run = this.server.run
    this.server.conns.set(wire.conn, wire)
    this.schedule.after(this.latency(), () => {
      if (!wire.left && !wire.cut) wire.page.input({ is: 'opened', gen: wire.gen })
    })
    if (this.faults && this.rng.chance(300)) this.schedule.after(this.rng.int(10, 15_000), () => this.cut(wire))
    if (this.faults && this.rng.chance(100)) this.schedule.after(this.rng.int(10, 10_000), () => this.slow(wire))
  }

  send(page: Page, gen: number, text: string): void {
    const wire = this.wires.get(page)
    if (!wire || wire.gen !== gen || wire.left) return
    const repeats = this.faults && this.rng.chance(15) && !text.includes('"t":"hello"') ? 2 : 1
    for (let i = 0; i < repeats; i++) {
      wire.up_ms = Math.max(wire.up_ms, this.schedule.now_ms + this.latency())
      this.schedule.at(wire.up_ms, () => this.deliver(wire, text))
    }
  }

  private deliver(wire: Wire, text: string): void {
    if (wire.cut || wire.conn < 0 || !this.server.up || wire.run !== this.server.run) return
    this.trace(`${wire.page.device.name} > ${text}`)
    this.call('recv', `${wire.conn}`, text)
  }

  close(page: Page, gen: number): void {
    const wire = this.wires.get(page)
    if (wire && wire.gen === gen) this.leave(wire)
  }

  /** The page is done with it; what it sent before may still arrive, and the server learns of it later. */
  private leave(wire: Wire): void {
    wire.left = true
    this.schedule.after(this.faults ? this.rng.delay(100, 5000) : this.latency(), () => this.gone(wire))
  }

  private gone(wire: Wire): void {
    if (wire.conn < 0 || !this.server.up || wire.run !== this.server.run) return
    this.server.conns.delete(wire.conn)
    this.call('gone', `${wire.conn}`)
    wire.conn = -1
  }

  private cut(wire: Wire): void {
    if (!this.faults || wire.cut) return
    this.trace(`${wire.page.device.name}: cut`)
    wire.cut = true
    if (this.rng.chance(600)) this.schedule.after(this.rng.delay(200, 6000), () => this.tellClosed(wire))
    this.schedule.after(this.rng.delay(500, 9000), () => this.gone(wire))
  }

  private tellClosed(wire: Wire): void {
    if (!wire.left) wire.page.input({ is: 'closed', gen: wire.gen })
  }

  /** A screen that reads nothing for a while: its queue in the server grows, and is dropped. */
  private slow(wire: Wire): void {
    if (wire.conn < 0 || wire.run !== this.server.run || !this.faults) return
    const { run } = wire
    this.call('slow', `${wire.conn} 1`)
    this.schedule.after(this.rng.int(200, 9000), () => {
      if (wire.conn >= 0 && this.server.up && run === this.server.run) this.call('slow', `${wire.conn} 0`)
    })
  }

  private latency(): number {
    return this.faults ? this.rng.delay(20, 900) : this.rng.int(1, 10)
  }

  // ---- the server ----

  private time(): string {
    const boot = this.schedule.now_ms + this.server.boot_ms
    return `${boot} ${this.utc_known ? CLOCK_2026_MS + this.schedule.now_ms : 0}`
  }

  private call(word: string, args: string, text?: string): Reply {
    const timed = ['join', 'recv', 'gone', 'tick', 'saved'].includes(word)
    return this.take(this.hub.call(timed ? `${word} ${this.time()} ${args}` : `${word} ${args}`, text))
  }

  /** Passes on what the server says, and sees to its clock and its disk. */
  private take(reply: Reply): Reply {
    const { server } = this
    server.last = reply
    if (!server.up) return reply
    for (const { conn, text } of reply.frames) this.passDown(conn, text)
    for (const { conn } of reply.closes) this.closeFrom(conn)
    const due_ms = Math.max(reply.next_ms - server.boot_ms, this.schedule.now_ms + 1)
    if (due_ms < server.tick_ms || server.tick_ms <= this.schedule.now_ms) this.tickAt(due_ms)
    if (reply.to_save > 0 && !server.writing && !server.failed) this.write()
    return reply
  }

  private passDown(conn: number, text: string): void {
    const wire = this.server.conns.get(conn)
    if (!wire || wire.cut) return
    wire.down_ms = Math.max(wire.down_ms, this.schedule.now_ms + this.latency())
    this.schedule.at(wire.down_ms, () => {
      if (wire.left || wire.cut) return
      this.trace(`${wire.page.device.name} < ${text}`)
      wire.page.input({ is: 'message', gen: wire.gen, text })
    })
  }

  private closeFrom(conn: number): void {
    const wire = this.server.conns.get(conn)
    if (!wire) return
    this.schedule.at(Math.max(wire.down_ms, this.schedule.now_ms + 1), () => {
      this.tellClosed(wire)
      this.gone(wire)
    })
  }

  private tickAt(due_ms: number): void {
    const { run } = this.server
    this.server.tick_ms = due_ms
    this.schedule.at(due_ms, () => {
      if (this.server.up && this.server.run === run && this.server.tick_ms === due_ms) this.call('tick', '')
    })
  }

  /** The writer thread: a commit, and some time later its being told; a kill may come before, between and after. */
  private write(): void {
    const { server } = this
    const { run } = server
    const same = (): boolean => server.up && server.run === run
    const fate = this.faults ? this.rng.weighted([[940, 'ok'], [20, 'stall'], [5, 'fail'], [15, 'kill'], [20, 'kill_told']] as const) : 'ok'
    const before_ms = fate === 'stall' ? this.rng.int(500, 5000) : this.rng.delay(4, 60)
    server.writing = true
    if (fate === 'stall') this.schedule.after(before_ms / 2, () => same() && this.call('saved', 'slow'))
    this.schedule.after(before_ms, () => {
      if (!same()) return
      if (fate === 'kill') return this.kill()
      if (fate === 'fail') return this.fail()
      this.call('append', '')
      if (fate === 'kill_told' && this.rng.chance(500)) return this.kill()
      this.schedule.after(this.rng.delay(3, 40), () => {
        if (!same()) return
        if (fate === 'kill_told') return this.kill()
        server.writing = false
        this.call('saved', 'ok')
      })
    })
  }

  private fail(): void {
    this.trace('the disk fails')
    this.server.failed = true
    this.server.writing = false
    this.call('saved', 'failed')
    this.schedule.after(this.rng.int(500, 5000), () => this.server.up && this.server.failed && this.kill())
  }

  kill(): void {
    const { server } = this
    if (!server.up) return
    this.trace('the server is killed')
    this.call('kill', '')
    server.up = false
    for (const wire of server.conns.values()) {
      wire.conn = -1
      if (!this.faults || this.rng.chance(700)) this.schedule.after(this.latency(), () => this.tellClosed(wire))
    }
    server.conns.clear()
    this.schedule.after(this.rng.delay(300, 4000), () => this.start())
  }

  start(): void {
    const { server } = this
    if (server.run > 0 && this.rng.chance(200)) {
      server.boot = this.rng.hex()
      server.boot_ms = this.rng.int(1000, 30_000) - this.schedule.now_ms
      this.utc_known = this.rng.chance(800)
    }
    const run = this.rng.hex()
    this.trace(`the server starts as ${run}`)
    server.run++
    server.up = true
    server.writing = server.failed = false
    server.tick_ms = 0
    this.take(this.hub.call(`start ${this.folder} ${run} ${server.boot} ${this.rng.bits() + 1} ${this.time()}`))
    if (this.faults && this.rng.chance(700)) {
      const killed = server.run
      this.schedule.after(this.rng.int(20, 20_000), () => {
        if (this.faults && server.run === killed) this.kill()
      })
    }
  }

  // ---- the end ----

  /** No more acts, no more faults: every device awake, every socket whole. */
  heal(): void {
    this.trace('---- the faults stop ----')
    this.faults = this.acting = false
    for (const page of this.pages) page.wake()
    for (const wire of this.wires.values()) if (wire.cut) this.tellClosed(wire)
    for (const conn of this.server.conns.keys()) this.call('slow', `${conn} 0`)
    if (this.server.failed) this.kill()
  }

  /** What is not as it must be in the end; '' when all is. */
  unsettled(): string {
    const { server } = this
    if (!server.up || !server.last) return 'the server is down'
    if (server.last.saved_up_to !== server.last.last_seq) return 'not everything is saved'
    for (const page of this.pages) {
      const { link, device } = page
      const wire = this.wires.get(page)
      if (link.word !== 'ok' || !wire || wire.cut || wire.conn < 0 || wire.run !== server.run) return `${device.name} has no link`
      if (device.key && link.board.rev !== server.last.rev) return `${device.name} is at ${link.board.rev}, the server at ${server.last.rev}`
      if (link.taps.waiting() > 0) return `${device.name} holds ${link.taps.waiting()} taps`
    }
    return ''
  }

  /** Promise 1 in the middle: whenever nothing waits to be saved, the file folds to the live board. */
  checkFold(): void {
    const { server } = this
    if (!server.up || !server.last || server.last.saved_up_to !== server.last.last_seq || server.failed) return
    const live = this.hub.call('digest').digest
    const folded = this.hub.call('fold').digest
    must(live === folded, `promise 1: the live board is ${live}, the log folds to ${folded}`)
  }

  checkEnd(tally: Tally): void {
    this.checkFold()
    const live = this.hub.call('digest').digest
    for (const { link, device } of this.pages) {
      if (!device.key) continue
      // Over what the page would draw, not over what the link believes of it.
      const drawn = digest(canonical(Object.fromEntries(link.board.parts)))
      must(drawn === live, `promise 3: ${device.name} has ${drawn}, the server ${live}`)
      this.model.checkBoard(link.board.parts)
      tally.addBoard(link.board.parts, this.pages.length)
    }
    this.checkScreens()
    this.model.checkLog(this.hub.call('dump').rows, tally)
    must(this.hub.call('verify').findings === 0, 'verify finds something')
  }

  /** A patch that leads elsewhere than the server's board is mended by the fresh board, but it is a bug. This log never goes back. */
  checkScreens(): void {
    for (const { link, device } of this.pages) {
      must(!link.log_back, `${device.name} was told that the log went backwards`)
      must(link.mismatches === 0, `promise 3: the board of ${device.name} differed from the server's at the same revision`)
    }
  }
}
