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
// Parts: link_conn.ts the connection and its silence, link_acts.ts this page's acts, link_taps.ts waiting taps, link_kept.ts the second
// copy, link_board.ts the board, link_rings.ts what sounds, link_hand.ts whom the page speaks for, link_time.ts log time,
// link_release.ts a board of another release.

import {
  PROTO, type BoardHelm, type Disk, type Down, type EntryId, type Kind, type LogMark, type MsgPatch,
  type MsgPreviewIs, type MsgPulse, type MsgWelcome, type Source, type SpareCopy, type U64, type Up, type View,
} from 'proto'
import { Acts } from './link_acts'
import { BoardCopy } from './link_board'
import { connection, connectionDue, linkWord, parsed, slept, wordDue } from './link_conn'
import { Hand } from './link_hand'
import { Kept } from './link_kept'
import { Release } from './link_release'
import { Rings } from './link_rings'
import { kindInfo, Taps } from './link_taps'
import { LogTime } from './link_time'
import { LINK_MS, type Effect, type Input, type KeptValues, type LinkConfig, type Now, type Row } from './link_types'
import type { ActOptions, LastAct, LateEntry, LinkWord, Ring, Said } from './store_shape'

const AGO_MOST_MS = 999_999_999_999_999
const RINGS_KEPT = 64
const ACTIVE_VIEWS: readonly View[] = ['helm', 'station', 'phone']

export class Link {
  readonly board = new BoardCopy()
  readonly taps: Taps
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
  /** Log time when it was said that the log went backwards; undefined: it was not. */
  log_back_ms: number | undefined
  late: LateEntry | undefined
  no: Said | undefined
  told: Said | undefined
  previewed: MsgPreviewIs | undefined
  rings: readonly Ring[] = []
  mismatches = 0
  token: string

  private readonly kept = new Kept()
  private readonly ringer = new Rings()
  private readonly who: Hand
  private readonly own: Acts
  private conn = connection('closed', 0, 0, 0)
  private key: string
  /** The key that the token was given for: a server killed a moment later knows the key alone. */
  private shown = ''
  private visible = true
  private acted_id: EntryId = ''
  private run: U64 = ''
  private boat: U64 = ''
  private mark: LogMark | undefined
  private mark_due_ms = Infinity
  private said = 0
  readonly release: Release
  /** What earlier page loads left is known. */
  private looked = false
  private read_ms = Infinity
  private wake_ms = Infinity
  private last: Now | undefined
  private out: Effect[] = []
  private changed = false

  constructor(config: LinkConfig) {
    this.page = config.page
    this.view = config.view
    this.key = config.key
    this.token = config.kept.token ?? ''
    this.release = new Release(config.kept.reloaded ?? '')
    this.taps = new Taps(config.page)
    this.mark = parsed<LogMark>(config.kept.mark)
    this.own = new Acts(config.page)
    this.who = new Hand(parsed(config.kept.hand))
  }

  /** The only door: one input, and what follows from it. */
  step(input: Input, now: Now): Effect[] {
    this.out = []
    this.changed = false
    if (slept(this.conn, this.last, now)) this.woke(now)
    this.last = now
    this.take(input, now)
    this.settle(now)
    return this.out
  }

  /** An act; returns its identity with what follows from it. */
  act(kind: Kind, body: object, options: ActOptions, now: Now): { id: EntryId; effects: Effect[] } {
    const effects = this.step({ is: 'act', kind, body, options }, now)
    return { id: this.acted_id, effects }
  }

  get last_act(): LastAct | undefined {
    return this.own.last
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
        this.out.push({ do: 'read' })
        return this.open(now)
      case 'opened':
        return this.opened(input.gen, now)
      case 'message':
        return this.messages(input.gen, input.text, now)
      case 'closed':
        if (input.gen === this.conn.gen && this.conn.is !== 'closed') this.lost(now)
        return
      case 'rows':
        this.taps.load(input.rows, now)
        this.looked = this.changed = true
        return
      case 'claimed':
        this.taps.claimed(input.run, input.rows)
        this.changed = true
        return
      case 'outrun':
        this.taps.outrun(input.id)
        this.changed = true
        return
      case 'written':
        this.taps.written(input.id)
        this.changed = true
        return
      case 'storage_failed':
        this.taps.storageFailed()
        this.looked = this.changed = true
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
        return this.send({ t: 'take_helm', ...(input.number ? { number: input.number } : {}), ...this.who.field() })
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
    this.conn = connection('opening', this.conn.gen + 1, this.conn.tries, now.mono_ms)
    this.out.push({ do: 'open', gen: this.conn.gen })
  }

  private opened(gen: number, now: Now): void {
    if (gen !== this.conn.gen || this.conn.is !== 'opening') return
    this.conn.is = 'open'
    this.conn.probe_ms = now.mono_ms + LINK_MS.opening
    this.transmit({
      t: 'hello', proto: PROTO, page: this.page, view: this.view, ...this.who.field(),
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

  /** What the old socket still has to say is from before the sleep, and would look like news. Nothing is known until a new one has
   * brought the whole board. */
  private woke(now: Now): void {
    this.heard_ms = Math.min(this.heard_ms, now.mono_ms - LINK_MS.not_known)
    this.time.doubt()
    this.conn.tries = 0
    this.reopen(now)
  }

  private seen(visible: boolean, now: Now): void {
    this.visible = visible
    if (visible) this.read_ms = now.mono_ms
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

  /** Messages that waited for one another come together, a line each. */
  private messages(gen: number, text: string, now: Now): void {
    for (const line of text.split('\n')) this.message(gen, line, now)
  }

  private message(gen: number, text: string, now: Now): void {
    if (gen !== this.conn.gen || this.conn.is === 'closed' || this.conn.is === 'opening') return
    const message = parsed<Down>(text)
    if (!message) return this.reopen(now)
    if (this.conn.is === 'open' && message.t !== 'welcome' && message.t !== 'no') return
    // A pulse that was long under way tells how the boat was then: the link is as silent as if it had not come.
    if (message.t === 'pulse' && this.time.behind(message.now_ms, now.mono_ms) >= LINK_MS.not_known) return
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
    const { log_id, run, from, device, token, now_ms, saved, log_back, proto, boat = log_id } = message
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
      this.shown = this.key
      this.key = ''
      this.out.push({ do: 'key_used' })
    }
    if (this.mark && this.run !== '' && this.mark.log_id !== log_id) this.kept.clear()
    if (this.run !== run) this.time.reset()
    this.taps.welcomed(boat, run)
    this.run = run
    this.boat = boat
    this.read_ms = now.mono_ms
    this.time.heard(now_ms, now.mono_ms)
    if (log_back) this.log_back_ms = now_ms
    this.setMark(saved, now)
    this.saved(saved.seq, now)
    if (from === 'crew' || from === 'helm') this.kept.begin(run, (id) => this.taps.has(id) || id.startsWith(this.page))
    const reloaded = this.release.heard(proto)
    if (reloaded !== undefined) this.keepValue('reloaded', reloaded)
    this.beat(now)
  }

  /** The server won't have this page: as it stands, or for now. */
  private refused(code: string, words: string, now: Now): void {
    this.no = this.words(code, words)
    if (code === 'wrong_key') [this.key, this.token, this.shown] = [this.key ? '' : this.shown, '', '']
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
    this.noteLate(message)
    if (done === 'done') this.boardChanged(now)
  }

  private pulse(message: MsgPulse, now: Now): void {
    const { rev, digest, now_ms, saved_up_to, chain, disk, unsaved, spare } = message
    this.time.heard(now_ms, now.mono_ms)
    if (this.disk !== disk || this.unsaved !== (unsaved ?? 0) || this.spare !== (spare ?? 'none')) this.changed = true
    this.disk = disk
    this.spare = spare ?? 'none'
    this.unsaved = unsaved ?? 0
    this.taps.last(saved_up_to + this.unsaved)
    this.kept.last(this.run, saved_up_to + this.unsaved)
    if (chain) this.setMark({ log_id: this.mark?.log_id ?? '', seq: saved_up_to, chain }, now)
    this.saved(saved_up_to, now)
    this.compare(rev, digest, now)
  }

  /** What another page tells of some time ago is said as that: the board may have moved on since. */
  private noteLate({ entry, moot }: MsgPatch): void {
    const { id, kind, at_ms, got_ms, refused } = entry
    if (refused || entry.offered || id.startsWith(this.page) || !kindInfo(kind).act || got_ms - at_ms < LINK_MS.late) return
    this.late = { entry, moot: moot ?? false, came_ms: got_ms }
    this.changed = true
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
    const news = mark.seq !== this.mark?.seq || mark.chain !== this.mark.chain || mark.log_id !== this.mark.log_id
    if (!news) return
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
    const standing = this.own.standing(kind, now)
    if (standing) return standing
    const id = this.own.next(kind)
    const ago_ms = Math.min(Math.max(0, Math.round(options.ago_ms ?? 0)), AGO_MOST_MS)
    const by = options.by ?? this.who.id
    if (kind === 'page_hand') {
      this.who.choose((body as { hand: number }).hand, this.board.parts)
      this.keepValue('hand', this.who.text())
    }
    const row: Row = {
      id, kind, v: kindInfo(kind).v, body, wall_ms: now.wall_ms - ago_ms,
      ...(this.boat ? { boat: this.boat, run: this.run } : {}),
      ...(by ? { by } : {}),
      ...(options.instead_of ? { instead_of: options.instead_of } : {}),
    }
    this.taps.add(row, now.mono_ms - ago_ms, now)
    this.own.done(id, kind, body, this.time.at(now.mono_ms), now)
    this.changed = true
    if (id[17] === 'e' && this.conn.is === 'closed') this.open(now)
    return id
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
      this.askStorage(now)
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

  private askStorage(now: Now): void {
    const rows = this.taps.takeClaims(now.mono_ms)
    if (rows.length) this.out.push({ do: 'claim', run: this.run, boat: this.boat, rows })
    if (this.read_ms > now.mono_ms || this.taps.storage === 'memory') return
    this.read_ms = now.mono_ms + LINK_MS.read
    this.out.push({ do: 'read' })
  }

  private watchConnection(now: Now): void {
    const { conn } = this
    const at = now.mono_ms
    if (conn.is === 'closed' && conn.retry_ms <= at) this.open(now)
    else if (conn.is === 'opening' && conn.since_ms + LINK_MS.opening <= at) this.reopen(now)
    else if (conn.probe_ms <= at || (conn.is === 'greeted' && this.taps.leavesWay(at))) this.reopen(now)
    else if (conn.is === 'greeted') {
      if (conn.beat_ms <= at) this.beat(now)
      if (conn.probe_ms === Infinity && at - conn.heard_ms >= LINK_MS.silence) conn.probe_ms = at + LINK_MS.probe
    }
    const word = linkWord(at - this.heard_ms, this.greeted_once)
    if (word !== this.word) this.changed = true
    this.word = word
  }

  private forget(now: Now): void {
    if (this.taps.forget(now.mono_ms)) this.changed = true
    const { last } = this.own
    if (last && (last.until_ms <= this.time.at(now.mono_ms) || this.taps.failed(last.id))) {
      this.own.last = undefined
      this.changed = true
    }
  }

  private reload(): void {
    const here = this.looked && this.conn.is === 'greeted' && (this.board.live || this.source === 'anyone')
    const reloaded = this.release.reload(here && this.taps.waiting() === 0 && !this.kept.offering(), this.board.parts)
    if (reloaded === undefined) return
    this.keepValue('reloaded', reloaded)
    this.out.push({ do: 'reload' })
  }

  private wake(now: Now): void {
    const { conn } = this
    const at = now.mono_ms
    const due = Math.min(
      wordDue(this.heard_ms, at), connectionDue(conn),
      this.taps.due_ms(this.source, conn.is === 'greeted', at), conn.is === 'greeted' ? this.kept.due_ms(at) : Infinity,
      conn.is === 'greeted' && this.taps.storage === 'kept' ? this.read_ms : Infinity,
      this.mark_due_ms, this.last_act ? at + this.last_act.until_ms - this.time.at(at) : Infinity,
    )
    if (due === this.wake_ms || due === Infinity) return
    this.wake_ms = due
    this.out.push({ do: 'wake', at_ms: due })
  }
}
