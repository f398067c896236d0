// A device with a page: the real link, with a storage and a timer that the simulation can make fail, stall and cut short.
//
// The device outlives its pages: what its storage holds and the small kept values go over to the next page load. A page that is
// asleep gets nothing, not even its timer, until it wakes.

import { REFUSALS, type EntryId, type Kind, type View } from 'proto'
import { Link } from '../../web/src/link'
import type { Effect, Input, KeptValues, Now, Row } from '../../web/src/link_types'
import type { ActOptions } from '../../web/src/store_shape'
import { must, type Model } from './model'
import type { Prng } from './prng'
import type { Timetable } from './schedule'

/** What a page asks of the network. */
export interface Network {
  open(page: Page, gen: number): void
  close(page: Page, gen: number): void
  send(page: Page, gen: number, text: string): void
}

export type StorageFate = 'works' | 'fails' | 'hangs'

/** One phone or tablet. */
export interface Device {
  name: string
  view: View
  key: string
  address: number
  rows: Map<EntryId, Row>
  kept: Partial<KeptValues>
  storage: StorageFate
  /** The wall clock minus the simulation's time. */
  wall_ms: number
}

export class Page {
  readonly link: Link
  asleep = false
  /** The last acts, for corrections of them. */
  recent: { id: EntryId; kind: Kind; body: object }[] = []
  private gone = false
  private waiting: Input[] = []
  private rang = new Set<EntryId>()
  private tapped = new Set<EntryId>()
  private pending: (() => void)[] = []
  private written_ms = 0
  private wake_order = 0
  private readonly loaded_ms: number

  constructor(
    readonly device: Device, private schedule: Timetable, private rng: Prng, private model: Model, private network: Network,
    private trace: (what: string) => void,
  ) {
    this.loaded_ms = schedule.now_ms
    const kept = device.storage === 'works' ? { ...device.kept } : {}
    this.link = new Link({ page: rng.hex(), view: device.view, key: kept.token ? '' : device.key, kept })
    this.input({ is: 'start' })
  }

  /** The page is closed without a warning: each write under way has happened, or not; later ones only if it has. */
  close(): void {
    this.gone = true
    for (const write of this.pending) {
      if (this.rng.chance(500)) break
      write()
    }
    this.pending = []
  }

  input(input: Input): void {
    if (this.gone) return
    if (this.asleep) {
      this.waiting.push(input)
      return
    }
    this.carry(this.link.step(input, this.now()))
  }

  act(kind: Kind, body: object, options: ActOptions, mark: string): EntryId {
    const { id, effects } = this.link.act(kind, body, options, this.now())
    this.trace(`${this.device.name} taps ${id} ${kind} ${JSON.stringify(body)}`)
    if (!this.tapped.has(id)) this.model.tap(id, kind, body, mark)
    this.tapped.add(id)
    this.recent = [...this.recent, { id, kind, body }].slice(-10)
    this.carry(effects)
    return id
  }

  sleep(): void {
    this.input({ is: 'visible', visible: false })
    this.asleep = true
  }

  wake(): void {
    if (!this.asleep) return
    this.asleep = false
    for (const input of this.waiting.splice(0)) this.input(input)
    this.input({ is: 'visible', visible: true })
  }

  hasRung(id: EntryId): boolean {
    return this.rang.has(id)
  }

  private now(): Now {
    return { mono_ms: this.schedule.now_ms - this.loaded_ms, wall_ms: this.schedule.now_ms + this.device.wall_ms }
  }

  private later(ms: number, input: Input): void {
    this.schedule.after(ms, () => this.input(input))
  }

  private carry(effects: readonly Effect[]): void {
    for (const effect of effects) this.carryOne(effect)
    if (effects.some((effect) => effect.do === 'changed')) this.listen()
  }

  private carryOne(effect: Effect): void {
    switch (effect.do) {
      case 'open':
        return this.network.open(this, effect.gen)
      case 'close':
        return this.network.close(this, effect.gen)
      case 'send':
        this.check(effect.text)
        return this.network.send(this, effect.gen, effect.text)
      case 'write':
        return this.write(() => {
          const run = this.rows.get(effect.row.id)?.run
          if (run !== undefined && run !== effect.row.run) return { is: 'outrun', id: effect.row.id }
          this.rows.set(effect.row.id, effect.row)
          return { is: 'written', id: effect.row.id }
        })
      case 'erase':
        return this.write(() => {
          this.rows.delete(effect.id)
          return null
        })
      case 'claim':
        return this.write(() => {
          const rows = effect.rows.map((row) => ({ ...(this.rows.get(row.id) ?? row), run: effect.run, boat: effect.boat }))
          for (const row of rows) this.rows.set(row.id, row)
          return { is: 'claimed', run: effect.run, rows }
        })
      case 'read':
        return this.write(() => ({ is: 'rows', rows: [...this.rows.values()] }))
      case 'keep':
        if (this.device.storage === 'works') this.device.kept[effect.name] = effect.text
        return
      case 'wake':
        return this.setTimer(effect.at_ms)
      case 'ring':
        must(!this.rang.has(effect.ring.id), `${effect.ring.id} rang twice on one page`)
        this.rang.add(effect.ring.id)
        return
      case 'key_used':
      case 'reload':
      case 'changed':
        return
    }
  }

  /** Nothing goes out under an identity that was used for something else. */
  private check(text: string): void {
    const message = JSON.parse(text) as { t: string; id: EntryId; kind: Kind; body: object }
    if (message.t === 'tap') this.model.sent(message.id, message.kind, message.body)
  }

  private get rows(): Map<EntryId, Row> {
    return this.device.rows
  }

  /** A transaction with the storage: they are done in their order, and each tells what came of it. */
  private write(change: () => Input | null): void {
    if (this.device.storage === 'hangs') return
    if (this.device.storage === 'fails') return this.later(2, { is: 'storage_failed' })
    this.pending.push(change)
    this.written_ms = Math.max(this.written_ms, this.schedule.now_ms + this.rng.delay(5, 80))
    this.schedule.at(this.written_ms, () => {
      if (this.gone || this.pending[0] !== change) return
      this.pending.shift()
      const done = change()
      if (done) this.input(done)
    })
  }

  private setTimer(at_ms: number): void {
    const order = ++this.wake_order
    this.schedule.at(this.loaded_ms + at_ms, () => {
      if (order === this.wake_order) this.input({ is: 'tick' })
    })
  }

  /** What the owner of the phone is told by now. */
  private listen(): void {
    for (const { id, state, words } of this.link.taps.views(this.now(), 0)) {
      if (state === 'saved' && words === REFUSALS.long_ago) this.model.told(id, 'logged')
      else if (state === 'saved' || state === 'moot' || state === 'late') this.model.told(id, 'saved')
      if (state === 'refused') this.model.told(id, 'refused')
    }
  }
}
