// The boat of the long trip: the real hub and log behind a pipe, the time, and pages that say no more than they must.
//
// Time is virtual. Between two acts it passes in steps: at each, the server's tick and a beat of every page that is awake. Finer
// ones would only be more pulses. After each command that wrote entries, what the log is to hold is committed, and a guest who
// was here before joins anew and is sent the whole board: that is what is measured, message by message.

import { KINDS, type Content, type EntryId, type Kind, type MsgAnswer, type View } from 'proto'
import type { HubPipe, Reply } from '../sim/hub_pipe'
import type { Prng } from '../sim/prng'

const START_UTC_MS = 1_780_000_000_000
const STEP_MS = 4000
/** The invariants are looked at after every so many commands: each look is a whole fold of the trip. */
const CHECK_EVERY = 500
/** What a websocket puts before a message from the server (RFC 6455, 5.2), of up to 125 bytes and of more. */
const HEADER_SHORT = 2
const HEADER_LONG = 4

/** What the trip found wrong. */
export class Wrong extends Error {}

/** A page on a device. conn -1: asleep and off the Wi-Fi. */
export interface Phone {
  name: string
  hand: number
  view: View
  key: 'crew' | 'guest' | ''
  id: string
  token: string
  conn: number
  top: { o: number; e: number }
  answer: MsgAnswer | null
}

export interface Options {
  ago_ms?: number
  by?: number
  instead_of?: EntryId
  /** It is to be refused with this code. */
  no?: string
}

/** The body that belongs to a kind. */
export type BodyOf<K extends Kind> = Extract<Content, { kind: K }>['body']

/** Fresh boards as they went over the wire. */
export interface Sizes {
  boards: number
  sum: number
  most: number
  /** The last entry on the greatest board, how many messages it came in, and what their headers add. */
  most_seq: number
  most_messages: number
  most_headers: number
}

export class Boat {
  /** The machine's boot clock, which is log time here: this is the first run of a new log. */
  now_ms = 60_000
  /** The board as the helm's tablet has it, from what it was sent. */
  readonly parts = new Map<string, unknown>()
  readonly phones: Phone[] = []
  readonly sizes: Sizes = { boards: 0, sum: 0, most: 0, most_seq: 0, most_messages: 0, most_headers: 0 }
  private guest: Phone
  private seq = 0
  private moot = -1

  constructor(private hub: HubPipe, folder: string, readonly rng: Prng) {
    this.guest = this.page('guest', 'guest', 0, 'guest')
    hub.call(`start ${folder} ${rng.hex()} ${rng.hex()} ${rng.bits() + 1} ${this.time()} well 0`)
    hub.call(`check ${CHECK_EVERY}`)
  }

  // ---- pages ----

  private page(name: string, view: View, hand: number, key: Phone['key']): Phone {
    return { name, hand, view, key, id: this.rng.hex(), token: '', conn: -1, top: { o: 0, e: 0 }, answer: null }
  }

  /** A page of the crew; without a key it can only call overboard. */
  add(name: string, view: View, hand: number, key: Phone['key'] = 'crew'): Phone {
    const phone = this.page(name, view, hand, key)
    this.phones.push(phone)
    this.wake(phone)
    return phone
  }

  wake(phone: Phone): void {
    if (phone.conn < 0) this.join(phone)
  }

  private join(phone: Phone): Reply {
    phone.conn = this.say('join', '7').joined
    const { id, view, hand, key, token } = phone
    const proof = token ? { token } : key ? { key } : {}
    return this.recv(phone, { t: 'hello', proto: '0'.repeat(16), page: id, view, ...(hand ? { hand } : {}), ...proof })
  }

  /** Into a pocket: the screen goes dark, and some seconds later the Wi-Fi lets it go. */
  sleep(phone: Phone): void {
    if (phone.conn < 0) return
    this.recv(phone, { t: 'beat', rev: 0, visible: false })
    this.pass(this.rng.int(1000, 5000))
    this.leave(phone)
  }

  leave(phone: Phone): void {
    const { conn } = phone
    phone.conn = -1
    this.say('gone', `${conn}`)
  }

  /** Loaded anew, it is another page to the server. */
  reload(phone: Phone): void {
    if (phone.conn >= 0) this.leave(phone)
    phone.id = this.rng.hex()
    phone.top = { o: 0, e: 0 }
    this.wake(phone)
  }

  takeHelm(phone: Phone, number: string): void {
    this.recv(phone, { t: 'take_helm', number, hand: phone.hand })
  }

  // ---- taps ----

  /** One tap; throws unless it was seen, or refused as it is to be. */
  tap<K extends Kind>(phone: Phone, kind: K, body: BodyOf<K>, options: Options = {}): EntryId {
    this.wake(phone)
    const lane = KINDS[kind].lane === 'emergency' ? 'e' : 'o'
    const { ago_ms = 0, by = phone.hand, no, instead_of } = options
    const id = `${phone.id}.${lane}.${++phone.top[lane]}`
    phone.answer = null
    this.recv(phone, { t: 'tap', id, kind, v: KINDS[kind].v, ago_ms, body, ...(by ? { by } : {}), ...(instead_of ? { instead_of } : {}) })
    const told = phone.answer as MsgAnswer | null
    const right = no === undefined ? told?.is === 'seen' && !told.moot : told?.is === 'refused' && told.code === no
    if (!right) throw new Wrong(`${this.clock()}: ${phone.name} taps ${kind} ${JSON.stringify(body)} and is told ${JSON.stringify(told)}`)
    return id
  }

  /** How many entries a correction would make moot. */
  preview(phone: Phone, target: EntryId): number {
    this.moot = -1
    this.recv(phone, { t: 'preview', target })
    if (this.moot < 0) throw new Wrong(`${phone.name} was shown no preview of ${target}`)
    return this.moot
  }

  // ---- time ----

  /** Hours and minutes on the machine's clock, for messages. */
  clock(): string {
    const minutes = Math.floor(this.now_ms / 60_000)
    return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}`
  }

  pass(ms: number): void {
    const end_ms = this.now_ms + ms
    const beat = JSON.stringify({ t: 'beat', rev: 0, visible: true })
    while (this.now_ms < end_ms) {
      this.now_ms = Math.min(this.now_ms + STEP_MS, end_ms)
      const awake = this.phones.filter((phone) => phone.conn >= 0)
      const beats = awake.map((phone) => [`recv ${this.time()} ${phone.conn}`, beat] as const)
      for (const reply of this.hub.callAll([[`tick ${this.time()}`], ...beats])) this.hear(reply)
      this.settle()
    }
  }

  private time(): string {
    return `${this.now_ms} ${START_UTC_MS + this.now_ms}`
  }

  // ---- the wire ----

  private recv(phone: Phone, message: object): Reply {
    return this.say('recv', `${phone.conn}`, JSON.stringify(message))
  }

  private say(word: string, args: string, text?: string): Reply {
    const reply = this.hub.call(`${word} ${this.time()} ${args}`, text)
    this.hear(reply)
    this.settle()
    return reply
  }

  private hear(reply: Reply): void {
    for (const { conn, text } of reply.messages) {
      const phone = [...this.phones, this.guest].find((one) => one.conn === conn)
      if (phone && !text.includes('"t":"pulse"')) this.hearOne(phone, text)
    }
    for (const { conn, code } of reply.closes) {
      const phone = this.phones.find((one) => one.conn === conn)
      if (phone) throw new Wrong(`${this.clock()}: ${phone.name} is closed with ${code}`)
    }
    this.seq = Math.max(this.seq, reply.last_seq)
  }

  /** Every page hears its answers; the board is kept for the helm's tablet alone, the first page of all. */
  private hearOne(phone: Phone, text: string): void {
    const told = /"t":"(answer|welcome|preview_is|told|no)"/.test(text)
    if (!told && phone !== this.phones[0]) return
    const message = JSON.parse(text)
    switch (message.t) {
      case 'welcome': phone.token = message.token ?? phone.token; break
      case 'answer': phone.answer = message; break
      case 'preview_is': this.moot = message.count ?? 0; break
      case 'told':
      case 'no': throw new Wrong(`${this.clock()}: ${phone.name} is told ${text}`)
      case 'fresh_start': this.parts.clear(); break
      case 'part': this.parts.set(message.part, message.value); break
      case 'patch':
        for (const [id, value] of Object.entries(message.parts)) {
          if (value === null) this.parts.delete(id)
          else this.parts.set(id, value)
        }
    }
  }

  // ---- the log and the measure ----

  private measured_seq = 0

  /** Entries that were written go to the disk; then the whole board is asked for. */
  private settle(): void {
    if (this.seq === this.measured_seq || this.guest.conn >= 0) return
    this.measured_seq = this.seq
    this.hub.call('append well 0')
    this.hear(this.hub.call(`saved ${this.time()} ok`))
    this.measure(this.join(this.guest))
    this.leave(this.guest)
  }

  /** All messages from the welcome to the end of the fresh board. */
  private measure({ frames }: Reply): void {
    const texts = frames.filter(({ conn }) => conn === this.guest.conn).map(({ text }) => text)
    const whole = texts[0]?.includes('"t":"welcome"') && texts[texts.length - 1]?.includes('"t":"fresh_end"')
    if (!whole) throw new Wrong(`${this.clock()}: a guest is not sent a whole board`)
    const lengths = texts.map((text) => Buffer.byteLength(text))
    const bytes = lengths.reduce((sum, length) => sum + length, 0)
    this.sizes.boards++
    this.sizes.sum += bytes
    if (bytes <= this.sizes.most) return
    const most_headers = lengths.reduce((sum, length) => sum + (length > 125 ? HEADER_LONG : HEADER_SHORT), 0)
    Object.assign(this.sizes, { most: bytes, most_seq: this.seq, most_messages: texts.length, most_headers })
  }

  /** The live board at the end: its digest, its text, the last entry's number. The server ends with it. */
  end(): { digest: string; text: string; seq: number } {
    const { digest, last_seq, saved_up_to } = this.hub.call('digest')
    if (saved_up_to !== last_seq) throw new Wrong(`saved up to ${saved_up_to} of ${last_seq}`)
    const text = this.hub.call('board').rows[0] ?? ''
    this.hub.call('stop')
    return { digest, text, seq: last_seq }
  }
}
