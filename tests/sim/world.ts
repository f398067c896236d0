// The boat: its server, a network that cuts, delays, repeats, reorders and stalls, and the devices of the crew.
//
// Everything that happens is an event on one schedule, and every choice comes out of the story: the same seed is the same story.
// While faults are on, sockets are cut for one side before the other; an old socket's messages arrive after a new one's; pages
// reload, sleep and lose their storage; and the server ends between any two steps (server.ts). Then the faults stop, and everything
// has to come right.

import { canonical, digest } from '../../web/src/digest'
import { correction, nextAct, trip } from './acts'
import { Crowd } from './crowd'
import type { HubPipe } from './hub_pipe'
import { must, type Model, type Tally } from './model'
import { Page, type Device, type Network } from './page'
import type { Prng } from './prng'
import type { Schedule } from './schedule'
import { Server, type Boat } from './server'
import type { Story } from './story'

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

const CLOCK_2026_MS = 1_780_000_000_000

export class World implements Network, Boat {
  readonly pages: Page[] = []
  readonly server: Server
  readonly crowd: Crowd
  faults = true
  private wires = new Map<Page, Wire>()
  private conns = new Map<number, Wire>()
  private acting = true

  constructor(
    private hub: HubPipe, folder: string, readonly schedule: Schedule, private story: Story, private model: Model,
    private trace: (what: string) => void,
  ) {
    this.server = new Server(hub, folder, schedule, story, this, trace)
    this.crowd = new Crowd(this.server, schedule, story)
  }

  // ---- the crew ----

  addDevice(name: string, view: Device['view'], key: string): void {
    const chances = this.story.at(`device ${name}`)
    const device: Device = {
      name, view, key, address: this.pages.length + 1, rows: new Map(), kept: {}, storage: 'works',
      wall_ms: CLOCK_2026_MS + chances.int(-5000, 5000),
    }
    if (chances.chance(50)) device.storage = chances.pick(['fails', 'hangs'])
    const index = this.pages.length
    this.pages.push(this.load(device))
    this.schedule.after(chances.int(50, 1500), () => this.actLater(index))
    if (chances.chance(600)) this.schedule.after(chances.int(3000, 30_000), () => this.upset(index))
  }

  private load(device: Device): Page {
    this.trace(`${device.name} loads`)
    return new Page(device, this.schedule, this.story.at(`page ${device.name}`), this.model, this, this.trace)
  }

  private actLater(index: number): void {
    if (!this.acting) return
    const page = this.pages[index] as Page
    const { name } = page.device
    if (!page.asleep && this.story.may(`${name} taps`, 1000)) this.actOnce(page, this.story.at(`${name} act`))
    const chances = this.story.at(`${name} next`)
    const hurry = chances.chance(100)
    this.schedule.after(hurry ? chances.int(1, 30) : chances.int(100, 1500), () => this.actLater(index))
  }

  private actOnce(page: Page, rng: Prng): void {
    const { link, device } = page
    const phase = (link.board.parts.get('trip') as { phase?: string } | undefined)?.phase ?? 'none'
    const between = phase === 'none' || phase === 'ended'
    if (device.view === 'helm' && link.board.live && rng.chance(link.source === 'helm' ? 5 : 600)) {
      return page.input({ is: 'take_helm', number: rng.chance(950) ? '1234' : '0000' })
    }
    if (between && link.source === 'helm' && rng.chance(800)) {
      page.act('trip_started', trip(rng, rng.int(1, 99)), {}, '')
      return
    }
    // Little is tapped while no trip runs; nearly all of it would be refused for that.
    if (between && rng.chance(900)) return
    const act = rng.chance(60) ? correction(rng, page) : nextAct(rng, page)
    if (act) page.act(act.kind, act.body, act.options ?? {}, act.mark ?? '')
  }

  /** While the disk hangs somebody goes over the side. */
  diskHangs(): void {
    const chances = this.story.at('overboard')
    const page = chances.pick(this.pages)
    if (!this.acting || page.asleep || !this.story.may('overboard while the disk hangs', 300)) return
    page.act('overboard', {}, {}, '')
  }

  /** Something happens to a device: it reloads its page, sleeps, or its storage breaks. */
  private upset(index: number): void {
    if (!this.faults) return
    const { device } = this.pages[index] as Page
    const chances = this.story.at(`${device.name} upset`)
    const what = chances.weighted([[5, 'reloads'], [4, 'sleeps'], [1, 'storage'], [2, 'clock']] as const)
    if (this.story.may(`${device.name} ${what}`, 1000)) this.upsetBy(what, index, chances)
    this.schedule.after(chances.int(2000, 30_000), () => this.upset(index))
  }

  private upsetBy(what: 'reloads' | 'sleeps' | 'storage' | 'clock', index: number, chances: Prng): void {
    const page = this.pages[index] as Page
    this.trace(`${page.device.name}: ${what}`)
    if (what === 'reloads') this.reload(index)
    else if (what === 'sleeps') {
      page.sleep()
      this.schedule.after(chances.int(500, 20_000), () => page.wake())
    } else if (what === 'storage') page.device.storage = chances.pick(['fails', 'hangs'])
    else page.device.wall_ms += chances.int(-60_000, 60_000)
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

  // ---- the network, from the pages' side ----

  open(page: Page, gen: number): void {
    const wire: Wire = { page, gen, conn: -1, run: 0, cut: false, left: false, up_ms: 0, down_ms: 0 }
    this.wires.set(page, wire)
    if (this.faults && this.story.may(`${page.device.name} gets no socket`, 40)) return
    this.schedule.after(this.latency(wire, 'opens'), () => this.arrive(wire))
  }

  private arrive(wire: Wire): void {
    const { name, address } = wire.page.device
    if (wire.left) return
    if (!this.server.up) return this.schedule.after(this.latency(wire, 'no server'), () => this.tellClosed(wire))
    const reply = this.server.call('join', `${address}`)
    if (reply.joined < 0) return this.tellClosed(wire)
    wire.conn = reply.joined
    wire.run = this.server.run
    this.conns.set(wire.conn, wire)
    this.schedule.after(this.latency(wire, 'opened'), () => {
      if (!wire.left && !wire.cut) wire.page.input({ is: 'opened', gen: wire.gen })
    })
    const chances = this.story.at(`${name} wire`)
    if (!this.faults) return
    if (chances.chance(300)) this.schedule.after(chances.int(10, 15_000), () => this.cut(wire))
    if (chances.chance(100)) this.schedule.after(chances.int(10, 10_000), () => this.slow(wire))
    if (chances.chance(100)) this.schedule.after(chances.int(10, 10_000), () => this.stall(wire, chances.int(300, 6000)))
  }

  send(page: Page, gen: number, text: string): void {
    const wire = this.wires.get(page)
    if (!wire || wire.gen !== gen || wire.left) return
    const first = text.includes('"t":"hello"')
    const { name } = page.device
    if (!first && this.faults && this.story.may(`${name} out of order`, 10)) {
      return this.schedule.after(this.story.at(`${name} order`).int(0, 500), () => this.deliver(wire, text))
    }
    const repeats = !first && this.faults && this.story.may(`${name} twice`, 15) ? 2 : 1
    for (let i = 0; i < repeats; i++) {
      wire.up_ms = Math.max(wire.up_ms, this.schedule.now_ms + this.latency(wire, 'up'))
      this.schedule.at(wire.up_ms, () => this.deliver(wire, text))
    }
  }

  private there(wire: Wire): boolean {
    return wire.conn >= 0 && this.server.up && wire.run === this.server.run
  }

  private deliver(wire: Wire, text: string): void {
    if (wire.cut || !this.there(wire)) return
    this.trace(`${wire.page.device.name} > ${text}`)
    this.server.recv(wire.conn, text)
  }

  close(page: Page, gen: number): void {
    const wire = this.wires.get(page)
    if (wire && wire.gen === gen) this.leave(wire)
  }

  /** The page is done with it; what it sent before may still arrive, and the server learns of it later. */
  private leave(wire: Wire): void {
    wire.left = true
    const ms = this.faults ? this.story.at(`${wire.page.device.name} leaves`).delay(100, 5000) : this.latency(wire, 'leaves')
    this.schedule.after(ms, () => this.gone(wire))
  }

  private gone(wire: Wire): void {
    if (!this.there(wire)) return
    const { conn } = wire
    wire.conn = -1
    this.conns.delete(conn)
    this.server.gone(conn)
  }

  private cut(wire: Wire): void {
    const { name } = wire.page.device
    if (!this.faults || wire.cut || !this.story.may(`${name} cut`, 1000)) return
    this.trace(`${name}: cut`)
    wire.cut = true
    const chances = this.story.at(`${name} is cut`)
    if (chances.chance(600)) this.schedule.after(chances.delay(200, 6000), () => this.tellClosed(wire))
    this.schedule.after(chances.delay(500, 9000), () => this.gone(wire))
  }

  private tellClosed(wire: Wire): void {
    if (!wire.left) wire.page.input({ is: 'closed', gen: wire.gen })
  }

  /** A screen that reads nothing for a while: its queue in the server grows, and is dropped. */
  private slow(wire: Wire): void {
    const { name } = wire.page.device
    if (!this.faults || !this.there(wire) || !this.story.may(`${name} slow`, 1000)) return
    this.trace(`${name}: slow`)
    this.server.slow(wire.conn, true)
    this.schedule.after(this.story.at(`${name} is slow`).int(200, 9000), () => {
      if (this.there(wire)) this.server.slow(wire.conn, false)
    })
  }

  /** Nothing gets through for a while, and then all of it. */
  private stall(wire: Wire, for_ms: number): void {
    const { name } = wire.page.device
    if (!this.faults || !this.story.may(`${name} stalls`, 1000)) return
    this.trace(`${name}: stalls`)
    wire.up_ms = Math.max(wire.up_ms, this.schedule.now_ms + for_ms)
    wire.down_ms = Math.max(wire.down_ms, this.schedule.now_ms + for_ms)
  }

  private latency(wire: Wire, what: string): number {
    const chances = this.story.at(`${wire.page.device.name} ${what}`)
    return this.faults ? chances.delay(20, 900) : chances.int(1, 10)
  }

  // ---- the network, from the server's side ----

  frame(conn: number, text: string): void {
    const wire = this.conns.get(conn)
    if (!wire || wire.cut) return
    wire.down_ms = Math.max(wire.down_ms, this.schedule.now_ms + this.latency(wire, 'down'))
    this.schedule.at(wire.down_ms, () => {
      if (wire.left || wire.cut) return
      this.trace(`${wire.page.device.name} < ${text}`)
      wire.page.input({ is: 'message', gen: wire.gen, text })
    })
  }

  closed(conn: number): void {
    const wire = this.conns.get(conn)
    if (!wire) return
    this.schedule.at(Math.max(wire.down_ms, this.schedule.now_ms + 1), () => {
      this.tellClosed(wire)
      this.gone(wire)
    })
  }

  down(silently: boolean): void {
    for (const wire of this.conns.values()) {
      wire.conn = -1
      const told = !this.faults || (!silently && this.story.at(`${wire.page.device.name} is told`).chance(700))
      if (told) this.schedule.after(this.latency(wire, 'reset'), () => this.tellClosed(wire))
    }
    this.conns.clear()
  }

  // ---- the end ----

  /** No more acts, no more faults: every device awake, every socket whole. */
  heal(): void {
    this.trace('---- the faults stop ----')
    this.faults = this.acting = false
    for (const page of this.pages) page.wake()
    for (const wire of this.wires.values()) if (wire.cut) this.tellClosed(wire)
    if (this.server.up) for (const conn of [...this.conns.keys()]) this.server.slow(conn, false)
    this.server.heal()
  }

  /** What is not as it must be in the end; '' when all is. */
  unsettled(): string {
    const { server } = this
    if (!server.up || !server.last) return 'the server is down'
    if (!server.all_saved) return 'not everything is saved'
    for (const page of this.pages) {
      const { link, device } = page
      const wire = this.wires.get(page)
      if (link.word !== 'ok' || !wire || wire.cut || !this.there(wire)) return `${device.name} has no link`
      // A board of the run before may have the same number; it is this run's once a fresh one has come.
      if (device.key && !link.board.live) return `${device.name} has no fresh board`
      if (device.key && link.board.rev !== server.last.rev) return `${device.name} is at ${link.board.rev}, the server at ${server.last.rev}`
      if (link.taps.waiting() > 0) return `${device.name} holds ${link.taps.waiting()} taps`
    }
    return ''
  }

  /** Promise 1 in the middle: whenever nothing waits to be saved, the file folds to the live board. */
  checkFold(): void {
    if (!this.server.all_saved) return
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
      must(link.log_back_ms === undefined, `${device.name} was told that the log went backwards`)
      must(link.mismatches === 0, `promise 3: the board of ${device.name} differed from the server's at the same revision`)
    }
  }
}
