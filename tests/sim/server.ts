// The boat's computer: one server at a time, its disk and its clocks, and all that can befall them.
//
// A commit stalls, fails, finds no room, or is cut off in the middle; the server is killed, or ended, between any two steps; the
// power goes, and what was not synced is lost, or some of it. After each step the promises are looked at that must hold at any time.

import { Alarms } from './alarms'
import type { HubPipe, Reply } from './hub_pipe'
import { must } from './model'
import type { Schedule } from './schedule'
import type { Story } from './story'

/** What the server has to do with: the sockets, and whoever is there to tap while the disk hangs. */
export interface Boat {
  frame(conn: number, text: string): void
  closed(conn: number): void
  /** The server is gone, and with it all sockets. silently: nobody says so to the pages. */
  down(silently: boolean): void
  diskHangs(): void
}

const CLOCK_2026_MS = 1_780_000_000_000
/** server/limit.h: what may be seen and not yet saved. */
const LIMIT_UNSAVED_ROWS = 8192
const HOUR_MS = 3_600_000

type End = 'kill' | 'power' | 'stop'

export class Server {
  up = false
  /** How many servers have run. */
  run = 0
  last: Reply | null = null
  faults = true
  readonly alarms = new Alarms()
  readonly counts = { kills: 0, power_cuts: 0, failures: 0, refused_starts: 0 }
  /** Boot clock minus the simulation's time. */
  private boot_ms = 5000
  private boot: string
  /** The time of day as this computer has it, minus the right one; null: not known. */
  private utc_off_ms: number | null
  private tick_ms = 0
  private writing = false
  private failed = false
  private full_until_ms = 0
  /** The most that any server has told as saved. */
  private told_saved = 0
  private since_checkpoint = 0

  constructor(
    private hub: HubPipe, private folder: string, private schedule: Schedule, private story: Story, private boat: Boat,
    private trace: (what: string) => void,
  ) {
    const chances = story.at('boot')
    this.boot = chances.hex()
    this.utc_off_ms = chances.chance(800) ? 0 : null
    hub.call(`clear ${chances.bits() + 1}`)
    this.troubleLater()
  }

  // ---- commands ----

  private time(): string {
    const utc_ms = this.utc_off_ms === null ? 0 : CLOCK_2026_MS + this.schedule.now_ms + this.utc_off_ms
    return `${this.schedule.now_ms + this.boot_ms} ${utc_ms}`
  }

  /** A command with a time. from and text: of a message. */
  call(word: string, args: string, from = -1, text?: string): Reply {
    return this.take(this.hub.call(`${word} ${this.time()} ${args}`, text), from, text ?? '')
  }

  slow(conn: number, slow: boolean): Reply {
    this.alarms.slow(conn, slow)
    return this.take(this.hub.call(`slow ${conn} ${slow ? 1 : 0}`), -1, '')
  }

  checkEvery(commands: number): void {
    this.hub.call(`check ${commands}`)
  }

  recv(conn: number, text: string): void {
    this.call('recv', `${conn}`, conn, text)
  }

  gone(conn: number): void {
    this.alarms.gone(conn)
    this.call('gone', `${conn}`)
  }

  /** Looks at what was said, passes it on, and sees to the server's clock and disk. */
  private take(reply: Reply, from: number, text: string): Reply {
    this.last = reply
    if (!this.up) return reply
    this.alarms.check(reply, from, text)
    must(reply.saved_up_to <= reply.last_seq, `saved up to ${reply.saved_up_to}, and the last is ${reply.last_seq}`)
    must(this.failed || reply.last_seq - reply.saved_up_to <= LIMIT_UNSAVED_ROWS, `promise 6: ${reply.last_seq - reply.saved_up_to} rows wait to be saved`)
    this.told_saved = Math.max(this.told_saved, reply.saved_up_to)
    for (const frame of reply.frames) this.boat.frame(frame.conn, frame.text)
    for (const { conn } of reply.closes) this.boat.closed(conn)
    const due_ms = Math.max(reply.next_ms - this.boot_ms, this.schedule.now_ms + 1)
    if (due_ms < this.tick_ms || this.tick_ms <= this.schedule.now_ms) this.tickAt(due_ms)
    if (reply.to_save > 0 && !this.writing && !this.failed) this.write()
    return reply
  }

  private tickAt(due_ms: number): void {
    const { run } = this
    this.tick_ms = due_ms
    this.schedule.at(due_ms, () => {
      if (this.up && this.run === run && this.tick_ms === due_ms) this.call('tick', '')
    })
  }

  // ---- the disk ----

  /** What goes wrong with a piece of work on the disk; stops: it is cut off in the middle, and so ends the server. */
  private fateOf(work: string, fates: readonly (readonly [number, string])[]): { fault: string; end: End } {
    const chances = this.story.at(work)
    const what = this.faults ? chances.weighted(fates) : 'well'
    const end = chances.chance(500) ? 'power' : 'kill'
    if (this.schedule.now_ms < this.full_until_ms) return { fault: 'full 1', end }
    if (what === 'well' || !this.story.may(`${work}: ${what}`, 1000)) return { fault: 'well 0', end }
    return { fault: `${what} ${chances.int(1, what === 'sync' ? 2 : 8)}`, end }
  }

  /** The writer thread: a commit, and some time later its being told; the end may come before, in, between and after. */
  private write(): void {
    const { run, story } = this
    const chances = story.at('write')
    const same = (): boolean => this.up && this.run === run
    const stall = this.faults && story.may('stall', 25)
    const before_ms = stall ? chances.int(500, 5000) : chances.delay(4, 60)
    this.writing = true
    if (stall) this.stall(before_ms, same)
    this.schedule.after(before_ms, () => {
      if (!same()) return
      const { fault, end } = this.fateOf('commit', [[952, 'well'], [6, 'write'], [7, 'sync'], [5, 'full'], [30, 'stops']])
      const { good } = this.take(this.hub.call(`append ${fault}`), -1, '')
      if (fault.startsWith('stops')) return this.end(end)
      if (!good) return this.fail()
      this.schedule.after(chances.delay(3, 40), () => same() && this.tell())
    })
  }

  private stall(for_ms: number, same: () => boolean): void {
    this.schedule.after(for_ms / 2, () => {
      if (!same()) return
      this.call('saved', 'slow')
      this.boat.diskHangs()
    })
  }

  /** A commit is done, and the hub is told, unless the server ends just before. */
  private tell(): void {
    if (this.faults && this.story.may('ends before it tells', 20)) return this.end(this.story.at('end').chance(500) ? 'power' : 'kill')
    this.writing = false
    const order = ++this.since_checkpoint
    this.call('saved', 'ok')
    this.schedule.after(this.story.at('quiet').int(300, 3000), () => {
      if (this.up && !this.writing && !this.failed && order === this.since_checkpoint) this.checkpoint()
    })
  }

  private checkpoint(): void {
    const { fault, end } = this.fateOf('checkpoint', [[800, 'well'], [20, 'write'], [30, 'sync'], [150, 'stops']])
    const { good } = this.take(this.hub.call(`checkpoint ${fault}`), -1, '')
    if (fault.startsWith('stops')) this.end(end)
    else if (!good) this.fail()
  }

  /** Nothing more is saved. Sooner or later somebody starts the server again. */
  private fail(): void {
    const { run } = this
    this.trace('the disk fails')
    this.counts.failures++
    this.failed = true
    this.writing = false
    this.call('saved', 'failed')
    this.boat.diskHangs()
    this.schedule.after(this.story.at('failed').int(500, 5000), () => this.up && this.run === run && this.end('kill'))
  }

  // ---- the end, and the next start ----

  private troubleLater(): void {
    this.schedule.after(this.story.at('trouble').int(100, 14_000), () => {
      if (!this.faults) return
      const chances = this.story.at('trouble comes')
      const what = chances.weighted([[50, 'kill'], [25, 'power'], [10, 'stop'], [10, 'clock'], [6, 'disk full']] as const)
      if (this.story.may(what, 1000)) this.trouble(what)
      this.troubleLater()
    })
  }

  private trouble(what: End | 'clock' | 'disk full'): void {
    if (what === 'clock') this.setClock()
    else if (what === 'disk full') this.full_until_ms = this.schedule.now_ms + this.story.at('full').int(500, 6000)
    else if (this.up) this.end(what)
  }

  /** Somebody, or a network, sets the time of day: right, or wrong, or it is lost. */
  private setClock(): void {
    const chances = this.story.at('clock')
    this.utc_off_ms = chances.weighted([[5, 0], [2, chances.int(-HOUR_MS, 0)], [2, chances.int(0, 30 * HOUR_MS)], [1, null]] as const)
    this.trace(`the time of day is off by ${this.utc_off_ms ?? 'nobody knows what'}`)
  }

  /** stop: as it is told to end: the log is closed. kill: at once. power: and the computer with it. */
  end(how: End): void {
    const chances = this.story.at('end')
    this.trace(`the server ends: ${how}`)
    this.up = false
    this.alarms.reset()
    if (how === 'power') this.hub.call(`power ${chances.pick([512, 4096])}`)
    else if (how === 'kill') this.hub.call(`kill ${chances.chance(300) ? 1 : 0}`)
    else this.hub.call('stop')
    this.counts[how === 'power' ? 'power_cuts' : 'kills']++
    this.boat.down(how === 'power')
    if (how === 'power' || chances.chance(50)) this.reboot()
    this.schedule.after(how === 'power' ? chances.int(300, 8000) : chances.delay(300, 4000), () => this.start())
  }

  private reboot(): void {
    const chances = this.story.at('reboot')
    this.boot = chances.hex()
    this.boot_ms = chances.int(1000, 30_000) - this.schedule.now_ms
    this.setClock()
  }

  start(): void {
    const chances = this.story.at('start')
    const run = chances.hex()
    const { fault, end } = this.fateOf('start', [[900, 'well'], [60, 'stops'], [10, 'read'], [10, 'write'], [20, 'sync']])
    this.trace(`the server starts as ${run}`)
    this.run++
    this.up = true
    this.writing = this.failed = false
    this.tick_ms = 0
    const reply = this.hub.call(`start ${this.folder} ${run} ${this.boot} ${chances.bits() + 1} ${this.time()} ${fault}`)
    if (reply.words) return this.notStarted(reply.words, fault, fault.startsWith('stops') ? end : 'kill')
    must(reply.opened >= this.told_saved, `promise 2: ${this.told_saved} rows were told saved, and a start found ${reply.opened}`)
    if (fault.startsWith('stops')) return this.end(end)
    this.take(reply, -1, '')
    this.checkFile()
  }

  private notStarted(words: string, fault: string, end: End): void {
    this.trace(`the server cannot start: ${words}`)
    must(fault !== 'well 0', `promise 5: on a disk that is well the server does not start: ${words}`)
    this.counts.refused_starts++
    this.end(end)
  }

  /** Whatever happened to the disk, the file is whole. */
  private checkFile(): void {
    const { rows, findings, words } = this.hub.call('verify')
    must(findings === 0 && words === '', `promise 2: after a start verify finds: ${rows.join('; ')}${words}`)
  }

  /** The disk damages what it holds. That is found when the log is opened or looked through, or it was nowhere that counts. */
  rot(): void {
    const before = this.hub.call('dump').rows
    this.up = false
    this.hub.call('stop')
    this.hub.call('rot')
    const { rows, findings, words } = this.hub.call('verify')
    if (findings > 0 || words !== '') this.trace(`verify finds: ${rows.join('; ')}${words}`)
    else must(this.hub.call('dump').rows.join() === before.join(), 'promise 5: the log is damaged and verify finds nothing')
    const run = this.story.at('rot start').hex()
    const reply = this.hub.call(`start ${this.folder} ${run} ${this.boot} 1 ${this.time()} well 0`)
    if (reply.words) this.trace(`the server cannot start: ${reply.words}`)
  }

  // ---- the calm ----

  heal(): void {
    this.faults = false
    this.full_until_ms = 0
    if (this.failed && this.up) this.end('kill')
  }

  get saving(): boolean {
    return this.up && !this.failed
  }

  get all_saved(): boolean {
    return this.saving && !!this.last && this.last.saved_up_to === this.last.last_seq
  }
}
