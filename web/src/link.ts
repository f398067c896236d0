// The link: this page's side of the wire, as a pure machine. Inputs in (messages, times, storage results, acts), effects out
// (sockets, messages, writes, rings). link_types.ts says what they are.
//
//            start, retry           opened: hello          welcome             fresh board
//   closed ───────────────▶ opening ─────────────▶ open ───────────▶ greeted ─────────────▶ live
//     ▲                        │                    │                   │                    │
//     └── retry after 0.2-2 s ─┴──── closed, too long, silent after a probe, refused ────────┘
//
// Every socket has a number; what an older one still says is ignored. Nothing here believes that a socket is open because it
// says so: silence is what counts. The link's word (ok, no link, not known, down) is worked out from the time since something
// was last heard, and is not ok again before the whole board is here.
//
// Parts: link_taps.ts waiting taps, link_kept.ts the second copy, link_board.ts the board, link_rings.ts what sounds,
// link_hand.ts whom the page speaks for, link_time.ts log time.

import {
  PROTO, type BoardHelm, type Disk, type Down, type EntryId, type Kind, type LogMark, type MsgPatch,
  type MsgPreviewIs, type MsgPulse, type MsgWelcome, type Source, type SpareCopy, type U64, type Up, type View,
} from 'proto'
import { BoardCopy } from './link_board'
import { Hand } from './link_hand'
import { Kept } from './link_kept'
import { Rings } from './link_rings'
import { kindInfo, Taps } from './link_taps'
import { LogTime } from './link_time'
import { LINK_MS, type Effect, type Input, type KeptValues, type LinkConfig, type Now, type Row } from './link_types'
import type { ActOptions, LastAct, LinkWord, Ring, Said } from './store_shape'

const AGO_MOST_MS = 999_999_999_999_999
const RINGS_KEPT = 64
const ACTIVE_VIEWS: readonly View[] = ['helm', 'station', 'phone']

/** The connection as it stands. */
interface Connection {
  gen: number
  is: 'closed' | 'opening' | 'open' | 'greeted'
  since_ms: number
  heard_ms: number
  /** Something must be heard by then; Infinity: no probe is out. */
  probe_ms: number
  beat_ms: number
  retry_ms: number
  tries: number
  /** A fresh board was asked for then; -Infinity: none. */
  asked_ms: number
  /** The revision of the last pulse that was ahead of this page's. */
  ahead_of: number
}

export class Link {
  readonly board = new BoardCopy()
  readonly taps = new Taps()
  readonly time = new LogTime()
  readonly page: U64
  view: View
  source: Source = 'anyone'
  device = 0
  greeted_once = false
  word: LinkWord = 'no_link'
  heard_ms = -Infinity
  disk: Disk = 'ok'
  spare: SpareCopy = 'none'
  unsaved = 0
  saved_up_to = 0
  log_back = false
  no: Said | undefined
  told: Said | undefined
  previewed: MsgPreviewIs | undefined
  last_act: LastAct | undefined
  rings: readonly Ring[] = []
  mismatches = 0
  token: string

  private readonly kept = new Kept()
  private readonly ringer = new Rings()
  private readonly who: Hand
  private conn: Connection = {
    gen: 0, is: 'closed', since_ms: 0, heard_ms: 0, probe_ms: Infinity, beat_ms: Infinity, retry_ms: Infinity, tries: 0,
    asked_ms: -Infinity, ahead_of: 0,
  }
  private key: string
  private visible = true
  private numbers = { o: 0, e: 0 }
  private acted_id: EntryId = ''
  private called_id: EntryId = ''
  private called_ms = -Infinity
  private run: U64 = ''
  private mark: LogMark | undefined
  private mark_due_ms = Infinity
  private said = 0
  private reloaded: string
  private other_build = ''
  private wake_ms = Infinity
  private out: Effect[] = []
  private changed = false

  constructor(config: LinkConfig) {
    this.page = config.page
    this.view = config.view
    this.key = config.key
    this.token = config.kept.token ?? ''
    this.reloaded = config.kept.reloaded ?? ''
    this.mark = parsed<LogMark>(config.kept.mark)
    this.who = new Hand(parsed(config.kept.hand))
  }

  /** The only door: one input, and what follows from it. */
  step(input: Input, now: Now): Effect[] {
    this.out = []
    this.changed = false
    this.take(input, now)
    this.settle(now)
    return this.out
  }

  /** An act; returns its identity with what follows from it. */
  act(kind: Kind, body: object, options: ActOptions, now: Now): { id: EntryId; effects: Effect[] } {
    const effects = this.step({ is: 'act', kind, body, options }, now)
    return { id: this.acted_id, effects }
  }

  /** The hand that this page speaks for; 0: nobody named. */
  get hand(): number {
    return this.who.id
  }

  /** This page has neither a token nor a key that the server took. */
  keyless(): boolean {
    return this.conn.is === 'greeted' ? this.source === 'anyone' : this.token === '' && this.key === ''
  }

  private take(input: Input, now: Now): void {
    switch (input.is) {
      case 'start':
        this.heard_ms = now.mono_ms
        return this.open(now)
      case 'opened':
        return this.opened(input.gen, now)
      case 'message':
        return this.message(input.gen, input.text, now)
      case 'closed':
        if (input.gen === this.conn.gen && this.conn.is !== 'closed') this.lost(now)
        return
      case 'rows':
        this.taps.load(input.rows)
        this.changed = true
        return
      case 'written':
        this.taps.written(input.id)
        this.changed = true
        return
      case 'storage_failed':
        this.taps.storageFailed()
        this.changed = true
        return
      case 'tick':
        // The timer has gone off, perhaps a little early: the next one is asked for anew.
        this.wake_ms = Infinity
        return
      case 'visible':
        return this.seen(input.visible, now)
      case 'act':
        this.acted_id = this.acted(input.kind, input.body, input.options ?? {}, now)
        return
      case 'take_helm':
        return this.send({ t: 'take_helm', ...(input.number ? { number: input.number } : {}), ...this.handField() })
      case 'preview':
        this.previewed = undefined
        return this.send({ t: 'preview', target: input.target })
      case 'view':
        return input.view === this.view ? undefined : this.again(now, () => (this.view = input.view))
      case 'join':
        return this.again(now, () => {
          this.key = input.key
          this.token = ''
          this.no = undefined
        })
    }
  }

  // ---- connection ----

  private open(now: Now): void {
    const tries = this.conn.tries
    const gen = this.conn.gen + 1
    this.conn = {
      gen, is: 'opening', since_ms: now.mono_ms, heard_ms: now.mono_ms, probe_ms: Infinity, beat_ms: Infinity,
      retry_ms: Infinity, tries, asked_ms: -Infinity, ahead_of: 0,
    }
    this.out.push({ do: 'open', gen })
  }

  private opened(gen: number, now: Now): void {
    if (gen !== this.conn.gen || this.conn.is !== 'opening') return
    this.conn.is = 'open'
    this.conn.probe_ms = now.mono_ms + LINK_MS.opening
    this.transmit({
      t: 'hello', proto: PROTO, page: this.page, view: this.view, ...this.handField(),
      ...(this.key ? { key: this.key } : {}),
      ...(this.token ? { token: this.token } : {}),
      ...(this.mark ? { log: this.mark } : {}),
      waiting: this.taps.waiting(),
    })
  }

  /** The connection is gone, or given up. A new one is tried soon, later after each vain try. */
  private lost(now: Now): void {
    const { tries } = this.conn
    const spread_ms = (parseInt(this.page.slice(0, 2), 16) * 100) / 256
    const wait_ms = Math.min(LINK_MS.retry_first * 2 ** Math.min(tries, 10), LINK_MS.retry_most) + spread_ms
    this.conn = {
      ...this.conn, is: 'closed', retry_ms: now.mono_ms + wait_ms, tries: tries + 1, probe_ms: Infinity, beat_ms: Infinity,
    }
    this.board.cut()
    this.taps.cut()
    this.kept.cut()
    this.changed = true
  }

  /** Drops the socket, which may not know that it is dead, and opens another at once. */
  private reopen(now: Now): void {
    this.out.push({ do: 'close', gen: this.conn.gen })
    this.lost(now)
    this.open(now)
  }

  /** Says hello again under changed terms. */
  private again(now: Now, change: () => void): void {
    change()
    this.conn.tries = 0
    this.changed = true
    if (this.conn.is === 'closed') this.open(now)
    else this.reopen(now)
  }

  private seen(visible: boolean, now: Now): void {
    this.visible = visible
    if (visible && this.conn.is === 'closed') {
      this.conn.tries = 0
      this.open(now)
    } else if (this.conn.is === 'greeted') {
      this.beat(now)
      if (visible) this.conn.probe_ms = Math.min(this.conn.probe_ms, now.mono_ms + LINK_MS.probe)
    }
    this.showNew(now)
  }

  private beat(now: Now): void {
    this.conn.beat_ms = now.mono_ms + LINK_MS.beat
    this.transmit({ t: 'beat', rev: this.board.rev, visible: this.visible, waiting: this.taps.waiting() })
  }

  private send(message: Up): void {
    if (this.conn.is === 'greeted') this.transmit(message)
  }

  private transmit(message: Up): void {
    this.out.push({ do: 'send', gen: this.conn.gen, text: JSON.stringify(message) })
  }

  private askFresh(now: Now): void {
    if (now.mono_ms - this.conn.asked_ms < LINK_MS.fresh_again) return
    this.conn.asked_ms = now.mono_ms
    this.send({ t: 'fresh' })
  }

  // ---- messages ----

  private message(gen: number, text: string, now: Now): void {
    if (gen !== this.conn.gen || this.conn.is === 'closed' || this.conn.is === 'opening') return
    const message = parsed<Down>(text)
    if (!message) return this.reopen(now)
    if (this.conn.is === 'open' && message.t !== 'welcome' && message.t !== 'no') return
    this.conn.probe_ms = Infinity
    this.conn.heard_ms = now.mono_ms
    this.hear(message, now)
    if (this.conn.is === 'greeted' && (this.board.live || this.source === 'anyone')) this.heard_ms = now.mono_ms
  }

  private hear(message: Down, now: Now): void {
    switch (message.t) {
      case 'welcome':
        return this.welcome(message, now)
      case 'no':
        return this.refused(message.code, message.words, now)
      case 'fresh_start':
        return this.freshStart()
      case 'part':
        return this.board.part(message.part, message.value)
      case 'fresh_end':
        return this.fresh(message.rev, message.digest, message.saved_up_to, now)
      case 'patch':
        return this.patch(message, now)
      case 'alarm':
        this.keep(message.entry, now)
        return this.ring(this.ringer.entry(message.entry, this.time.at(now.mono_ms)))
      case 'answer':
        this.changed = true
        if (!this.kept.answer(this.run, message, now.mono_ms)) this.taps.answer(message, now)
        return
      case 'saved':
        this.setMark({ log_id: this.mark?.log_id ?? '', seq: message.up_to, chain: message.chain }, now)
        return this.saved(message.up_to, now)
      case 'pulse':
        return this.pulse(message, now)
      case 'told':
        this.told = this.words(message.code, message.words)
        return
      case 'preview_is':
        this.previewed = message
        this.changed = true
    }
  }

  private welcome(message: MsgWelcome, now: Now): void {
    const { log_id, run, from, device, token, now_ms, saved, log_back, proto } = message
    this.conn.is = 'greeted'
    this.conn.tries = 0
    this.source = from
    this.device = device ?? 0
    this.greeted_once = this.changed = true
    if (from !== 'anyone') this.no = undefined
    if (token) {
      this.token = token
      this.keepValue('token', token)
    }
    if (this.token && this.key) {
      this.key = ''
      this.out.push({ do: 'key_used' })
    }
    if (log_back) this.log_back = true
    if (this.mark && this.run !== '' && this.mark.log_id !== log_id) this.kept.clear()
    if (this.run !== run) {
      this.taps.newRun()
      this.time.reset()
    }
    this.run = run
    this.time.heard(now_ms, now.mono_ms)
    this.setMark(saved, now)
    this.saved(saved.seq, now)
    if (from === 'crew' || from === 'helm') this.kept.begin(run, (id) => this.taps.has(id) || id.startsWith(this.page))
    this.other_build = proto === PROTO ? '' : proto
    if (this.other_build === '' && this.reloaded !== '') this.keepValue('reloaded', (this.reloaded = ''))
    this.beat(now)
  }

  /** The server won't have this page: as it stands, or for now. */
  private refused(code: string, words: string, now: Now): void {
    this.no = this.words(code, words)
    if (code === 'wrong_key') this.key = this.token = ''
    if (code === 'other_build') this.other_build = code
    this.out.push({ do: 'close', gen: this.conn.gen })
    this.lost(now)
  }

  /** A further board on the same connection: this page was too slow and its queue was dropped, perhaps with answers in it. */
  private freshStart(): void {
    if (this.board.live) {
      this.taps.cut()
      this.kept.again()
    }
    this.board.freshStart()
  }

  private fresh(rev: number, digest: string, saved_up_to: number, now: Now): void {
    if (!this.board.freshEnd(rev)) return
    this.conn.asked_ms = -Infinity
    this.compare(rev, digest, now)
    this.saved(saved_up_to, now)
    this.ring(this.ringer.board(this.board.parts, this.page, this.time.at(now.mono_ms)))
    this.boardChanged(now)
  }

  private patch(message: MsgPatch, now: Now): void {
    this.keep(message.entry, now)
    const done = this.board.patch(message)
    if (done === 'gap') this.askFresh(now)
    if (!message.moot) this.ring(this.ringer.entry(message.entry, this.time.at(now.mono_ms)))
    if (done === 'done') this.boardChanged(now)
  }

  private pulse(message: MsgPulse, now: Now): void {
    const { rev, digest, now_ms, saved_up_to, disk, unsaved, spare } = message
    this.time.heard(now_ms, now.mono_ms)
    if (this.disk !== disk || this.unsaved !== (unsaved ?? 0) || this.spare !== (spare ?? 'none')) this.changed = true
    this.disk = disk
    this.spare = spare ?? 'none'
    this.unsaved = unsaved ?? 0
    this.taps.last(saved_up_to + this.unsaved)
    this.kept.last(this.run, saved_up_to + this.unsaved)
    this.saved(saved_up_to, now)
    this.compare(rev, digest, now)
  }

  /** The server's revision and digest beside this page's. A pulse may be ahead of a patch once, not twice. */
  private compare(rev: number, digest: string, now: Now): void {
    if (!this.board.live) return
    if (rev === this.board.rev) {
      this.conn.ahead_of = 0
      if (digest === this.board.digest()) return
      this.mismatches++
      this.changed = true
      return this.askFresh(now)
    }
    if (rev > this.board.rev) {
      if (this.conn.ahead_of === this.board.rev + 1) this.askFresh(now)
      this.conn.ahead_of = this.board.rev + 1
    }
  }

  private saved(up_to: number, now: Now): void {
    const news = this.taps.saved(up_to, now.mono_ms)
    if (news || up_to !== this.saved_up_to) this.changed = true
    this.saved_up_to = up_to
    this.kept.saved(this.run, up_to)
  }

  private keep(entry: MsgPatch['entry'], now: Now): void {
    if (entry.seq > this.saved_up_to) this.kept.note(this.run, entry, now.mono_ms)
  }

  private setMark(mark: LogMark, now: Now): void {
    this.mark = mark
    if (this.mark_due_ms === Infinity) this.mark_due_ms = now.mono_ms + LINK_MS.mark_write
  }

  private ring(rings: Ring[]): void {
    for (const ring of rings) this.out.push({ do: 'ring', ring })
    if (rings.length === 0) return
    this.rings = [...this.rings, ...rings].slice(-RINGS_KEPT)
    this.changed = true
  }

  private boardChanged(now: Now): void {
    this.changed = true
    const helm = this.board.parts.get('helm') as BoardHelm | undefined
    if (this.source === 'crew' || this.source === 'helm') {
      this.source = this.device > 0 && helm?.device === this.device ? 'helm' : 'crew'
    }
    this.followHand(now)
    this.showNew(now)
  }

  private followHand(now: Now): void {
    if (!this.who.follow(this.board.parts)) return
    this.keepValue('hand', this.who.text())
    if (this.who.id > 0 && this.source !== 'guest') this.acted('page_hand', { hand: this.who.id }, {}, now)
  }

  private showNew(now: Now): void {
    if (!this.visible || !this.board.live || !ACTIVE_VIEWS.includes(this.view)) return
    if (this.source !== 'crew' && this.source !== 'helm') return
    for (const call of this.ringer.newlyShown(this.board.parts, this.page)) this.acted('shown', { call }, {}, now)
  }

  // ---- acts ----

  private acted(kind: Kind, body: object, options: ActOptions, now: Now): EntryId {
    if (kind === 'overboard' && now.mono_ms - this.called_ms < LINK_MS.overboard) return this.called_id
    const info = kindInfo(kind)
    const lane = info.lane === 'emergency' ? 'e' : 'o'
    const id = `${this.page}.${lane}.${++this.numbers[lane]}`
    const ago_ms = Math.min(Math.max(0, Math.round(options.ago_ms ?? 0)), AGO_MOST_MS)
    const by = options.by ?? this.who.id
    if (kind === 'page_hand') {
      this.who.choose((body as { hand: number }).hand, this.board.parts)
      this.keepValue('hand', this.who.text())
    }
    const row: Row = {
      id, kind, v: info.v, body, wall_ms: now.wall_ms - ago_ms,
      ...(by ? { by } : {}),
      ...(options.instead_of ? { instead_of: options.instead_of } : {}),
    }
    this.taps.add(row, now.mono_ms - ago_ms, now)
    this.noteCall(id, kind, now)
    if (info.act) this.noteLast(id, kind, body, now)
    this.changed = true
    if (lane === 'e' && this.conn.is === 'closed') this.open(now)
    return id
  }

  /** OVERBOARD pressed twice within 10 s is one call, unless it was withdrawn in between. */
  private noteCall(id: EntryId, kind: Kind, now: Now): void {
    if (kind === 'overboard') {
      this.called_id = id
      this.called_ms = now.mono_ms
    } else if (kind === 'overboard_withdrawn') this.called_ms = -Infinity
  }

  /** An undo, and what the hub would not undo (a call that may have been heard), leave nothing to undo. */
  private noteLast(id: EntryId, kind: Kind, body: object, now: Now): void {
    const at_ms = this.time.at(now.mono_ms)
    const undoable = kindInfo(kind).undoable
    this.last_act = undoable ? { id, kind, body, at_ms, until_ms: at_ms + LINK_MS.undo } : undefined
  }

  private handField(): { hand?: number } {
    return this.who.id > 0 ? { hand: this.who.id } : {}
  }

  private keepValue(name: keyof KeptValues, text: string): void {
    this.out.push({ do: 'keep', name, text })
  }

  private words(code: string, words: string): Said {
    this.changed = true
    return { code, words, n: ++this.said }
  }

  // ---- after every input ----

  /** Does what time and the input have made due: one order for all, whatever came in. */
  private settle(now: Now): void {
    this.watchConnection(now)
    if (this.taps.storageHangs(now.mono_ms)) this.taps.storageFailed()
    if (this.conn.is === 'greeted') {
      for (const tap of this.taps.take(this.source, now)) this.transmit(tap)
      for (const { entry, at_mono_ms } of this.kept.take(now.mono_ms)) {
        this.transmit({ t: 'offer', entry, ago_ms: Math.max(0, Math.round(now.mono_ms - at_mono_ms)) })
      }
    }
    for (const row of this.taps.takeWrites()) this.out.push({ do: 'write', row })
    for (const id of this.taps.takeErases()) this.out.push({ do: 'erase', id })
    if (this.mark_due_ms <= now.mono_ms && this.mark) {
      this.keepValue('mark', JSON.stringify(this.mark))
      this.mark_due_ms = Infinity
    }
    this.forget(now)
    this.reload()
    if (this.changed) this.out.push({ do: 'changed' })
    this.wake(now)
  }

  private watchConnection(now: Now): void {
    const { conn } = this
    const at = now.mono_ms
    if (conn.is === 'closed' && conn.retry_ms <= at) this.open(now)
    else if (conn.is === 'opening' && conn.since_ms + LINK_MS.opening <= at) this.reopen(now)
    else if (conn.probe_ms <= at) this.reopen(now)
    else if (conn.is === 'greeted') {
      if (conn.beat_ms <= at) this.beat(now)
      if (conn.probe_ms === Infinity && at - conn.heard_ms >= LINK_MS.silence) conn.probe_ms = at + LINK_MS.probe
    }
    const word = this.wordAt(at)
    if (word !== this.word) this.changed = true
    this.word = word
  }

  private wordAt(at_ms: number): LinkWord {
    const silent_ms = at_ms - this.heard_ms
    if (silent_ms >= LINK_MS.down) return 'down'
    if (silent_ms >= LINK_MS.not_known) return 'not_known'
    return silent_ms >= LINK_MS.no_link || !this.greeted_once ? 'no_link' : 'ok'
  }

  private forget(now: Now): void {
    if (this.taps.forget(now.mono_ms)) this.changed = true
    const last = this.last_act
    if (last && (last.until_ms <= this.time.at(now.mono_ms) || this.taps.failed(last.id))) {
      this.last_act = undefined
      this.changed = true
    }
  }

  /** A page of another release loads itself again, once for each, and only when it holds nothing. */
  private reload(): void {
    if (this.other_build === '' || this.other_build === this.reloaded || this.taps.waiting() > 0) return
    this.reloaded = this.other_build
    this.keepValue('reloaded', this.other_build)
    this.out.push({ do: 'reload' })
  }

  private wake(now: Now): void {
    const { conn } = this
    const at = now.mono_ms
    const words = [LINK_MS.no_link, LINK_MS.not_known, LINK_MS.down].map((after) => this.heard_ms + after).filter((due) => due > at)
    const due = Math.min(
      ...words, conn.probe_ms, conn.beat_ms, conn.is === 'closed' ? conn.retry_ms : Infinity,
      conn.is === 'opening' ? conn.since_ms + LINK_MS.opening : Infinity,
      conn.is === 'greeted' && conn.probe_ms === Infinity ? conn.heard_ms + LINK_MS.silence : Infinity,
      this.taps.due_ms(this.source, conn.is === 'greeted', at), conn.is === 'greeted' ? this.kept.due_ms(at) : Infinity,
      this.mark_due_ms, this.last_act ? at + this.last_act.until_ms - this.time.at(at) : Infinity,
    )
    if (due === this.wake_ms || due === Infinity) return
    this.wake_ms = due
    this.out.push({ do: 'wake', at_ms: due })
  }
}

/** JSON, or undefined for what is none. */
function parsed<T>(text: string | undefined): T | undefined {
  try {
    return text ? (JSON.parse(text) as T) : undefined
  } catch {
    return undefined
  }
}
