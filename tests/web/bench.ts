// A link on a bench: virtual clocks, a storage and a socket made of lists, and the server's messages typed by hand.

import type { Down, Entry, EntryId, Kind, MsgAnswer, MsgHello, MsgTap, MsgWelcome, Up } from 'proto'
import { PROTO } from 'proto'
import { boardDigest, canonical } from '../../web/src/digest'
import { Link } from '../../web/src/link'
import type { Effect, Input, KeptValues, Row } from '../../web/src/link_types'
import type { ActOptions, Ring } from '../../web/src/store_shape'

export const PAGE = '00000000000000a1'
export const OTHER = '00000000000000b2'
export const LOG = '1111111111111111'
export const CHAIN = 'c'.repeat(32)

export class Bench {
  readonly link: Link
  mono_ms = 1000
  wall_ms = 1_700_000_000_000
  gen = 0
  sent: Up[] = []
  rows = new Map<EntryId, Row>()
  kept: Partial<KeptValues> = {}
  rings: Ring[] = []
  effects: Effect[] = []
  /** Set to hold storage results back: then they must be handed in. */
  slow_storage = false
  private wake_ms = Infinity

  constructor(options: { page?: string; kept?: Partial<KeptValues>; key?: string; view?: Link['view'] } = {}) {
    this.link = new Link({
      page: options.page ?? PAGE, view: options.view ?? 'phone', key: options.key ?? 'crew', kept: options.kept ?? {},
    })
  }

  input(input: Input): Effect[] {
    const effects = this.link.step(input, { mono_ms: this.mono_ms, wall_ms: this.wall_ms })
    this.carry(effects)
    return effects
  }

  act(kind: Kind, body: object = {}, options: ActOptions = {}): EntryId {
    const { id, effects } = this.link.act(kind, body, options, { mono_ms: this.mono_ms, wall_ms: this.wall_ms })
    this.carry(effects)
    return id
  }

  private carry(effects: Effect[]): void {
    this.effects.push(...effects)
    const results: Input[] = []
    for (const effect of effects) {
      if (effect.do === 'open') this.gen = effect.gen
      else if (effect.do === 'send' && effect.gen === this.gen) this.sent.push(JSON.parse(effect.text) as Up)
      else if (effect.do === 'write') {
        const run = this.rows.get(effect.row.id)?.run
        const outrun = run !== undefined && run !== effect.row.run
        if (!outrun) this.rows.set(effect.row.id, effect.row)
        results.push({ is: outrun ? 'outrun' : 'written', id: effect.row.id })
      } else if (effect.do === 'claim') results.push({ is: 'claimed', run: effect.run, rows: effect.rows.map((row) => this.claim(row, effect)) })
      else if (effect.do === 'erase') this.rows.delete(effect.id)
      else if (effect.do === 'keep') this.kept[effect.name] = effect.text
      else if (effect.do === 'ring') this.rings.push(effect.ring)
      else if (effect.do === 'wake') this.wake_ms = effect.at_ms
    }
    if (!this.slow_storage) for (const result of results) this.input(result)
  }

  private claim(row: Row, { run, boat }: { run: string; boat: string }): Row {
    const claimed = { ...(this.rows.get(row.id) ?? row), run, boat }
    this.rows.set(row.id, claimed)
    return claimed
  }

  /** Lets time pass, with a tick whenever the link asked for one. */
  pass(ms: number): void {
    const end = this.mono_ms + ms
    while (this.wake_ms <= end) {
      this.jump(Math.max(this.wake_ms - this.mono_ms, 0))
      this.wake_ms = Infinity
      this.input({ is: 'tick' })
    }
    this.jump(end - this.mono_ms)
  }

  private jump(ms: number): void {
    this.mono_ms += ms
    this.wall_ms += ms
  }

  say(message: Down): void {
    this.input({ is: 'message', gen: this.gen, text: JSON.stringify(message) })
  }

  opened(): MsgHello {
    this.sent = []
    this.input({ is: 'opened', gen: this.gen })
    return this.sent[0] as MsgHello
  }

  welcome(more: Partial<MsgWelcome> = {}): void {
    this.say({
      t: 'welcome', proto: PROTO, log_id: LOG, run: 'aaaaaaaaaaaaaaaa', from: 'crew', device: 7, now_ms: 50_000,
      saved: { log_id: LOG, seq: 0, chain: CHAIN }, ...more,
    })
  }

  fresh(parts: Record<string, unknown>, rev = 1, digest = digestOf(parts)): void {
    this.say({ t: 'fresh_start', rev, parts: Object.keys(parts).length })
    for (const [part, value] of Object.entries(parts)) this.say({ t: 'part', part, value })
    this.say({ t: 'fresh_end', rev, digest, saved_up_to: this.link.saved_up_to })
  }

  /** Started, connected, and with a board. */
  live(parts: Record<string, unknown> = { trip: {} }, more: Partial<MsgWelcome> = {}): this {
    this.input({ is: 'start' })
    this.opened()
    this.welcome(more)
    this.fresh(parts)
    this.sent = []
    return this
  }

  /** Cut and connected again, to this run. */
  again(more: Partial<MsgWelcome> = {}): MsgHello {
    this.input({ is: 'closed', gen: this.gen })
    this.pass(400)
    const hello = this.opened()
    this.sent = []
    this.welcome(more)
    return hello
  }

  pulse(more: Partial<Extract<Down, { t: 'pulse' }>> = {}): void {
    const { board, saved_up_to } = this.link
    this.say({
      t: 'pulse', rev: board.rev, digest: board.digest(), now_ms: 50_000 + this.mono_ms, saved_up_to, disk: 'ok', ...more,
    })
  }

  saved(up_to: number): void {
    this.say({ t: 'saved', up_to, chain: CHAIN })
  }

  answer(id: EntryId, is: MsgAnswer['is'], more: Partial<MsgAnswer> = {}): void {
    this.say({ t: 'answer', id, is, ...more })
  }

  taps(): MsgTap[] {
    return this.sent.filter((message): message is MsgTap => message.t === 'tap')
  }

  tapIds(): EntryId[] {
    return this.taps().map((tap) => tap.id)
  }

  state(id: EntryId): string {
    const now = { mono_ms: this.mono_ms, wall_ms: this.wall_ms }
    return this.link.taps.views(now, 0).find((tap) => tap.id === id)?.state ?? 'gone'
  }

  words(id: EntryId): string {
    const now = { mono_ms: this.mono_ms, wall_ms: this.wall_ms }
    return this.link.taps.views(now, 0).find((tap) => tap.id === id)?.words ?? ''
  }
}

export function digestOf(parts: Record<string, unknown>): string {
  return boardDigest(new Map(Object.entries(parts).map(([id, value]) => [id, canonical(value)])))
}

/** An entry as a patch carries it. */
export function entry(seq: number, kind: Kind, body: object, more: Partial<Entry> = {}): Entry {
  return { seq, id: `${OTHER}.o.${seq}`, kind, v: 1, at_ms: 50_000, got_ms: 50_000, from: 'crew', body, ...more } as Entry
}
