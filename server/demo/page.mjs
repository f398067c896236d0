// page - one page of the demo's crew: says hello, keeps the board as it is sent, taps. It goes through the same websocket as a
// phone's page and by the same rules; it only draws nothing, and rings for nobody.
//
//   const page = await Page.open({ port, address, proto, view: 'phone', hand: 3, key })
//   const { id, answer } = await page.tap(kind, body, { v, lane, by, acted_ms, instead_of })   // answer.is: seen, refused or error
//   page.part('fights/...')  page.moved  page.saved
//   page.close()
//
// A tap is numbered when it is made, one count for each lane and without holes. Told to wait, or not now, the same tap goes again
// under its number until it is answered for good.

import { randomBytes } from 'node:crypto'
import { open, TEXT } from './ws.mjs'

const BEAT_MS = 1000
/** The board pulses more than twice a second: after so much silence it is gone. */
const SILENCE_MS = 10000

const sleep = (ms) => new Promise((done) => setTimeout(done, ms))

export class Page {
  static async open({ port, address, proto, view, hand = 0, key }) {
    const page = new Page(await open(port, { address }), hand)
    page.send({ t: 'hello', proto, page: page.id, view, hand, key })
    void page.listen()
    await page.until(() => page.known)
    page.beating = setInterval(() => page.beat(), BEAT_MS)
    return page
  }

  constructor(socket, hand) {
    this.socket = socket
    this.id = randomBytes(8).toString('hex')
    this.hand = hand
    this.last = { o: 0, e: 0 }
    this.visible = true
    this.rev = 0
    this.known = false
    /** The board by the names of its parts, and which of them a patch has changed. */
    this.parts = new Map()
    this.moved = new Set()
    /** How far the log is saved; the highest seq of this page's own taps. */
    this.saved = 0
    this.tapped = 0
    /** The last thing that was told in words and was no answer to a tap. */
    this.said = null
    this.answers = new Map()
    this.waiting = new Set()
    this.over = null
  }

  part(name) {
    return this.parts.get(name)
  }

  send(message) {
    this.socket.json(message)
  }

  beat() {
    this.send({ t: 'beat', rev: this.rev, visible: this.visible })
  }

  /** The phone goes into a pocket, or comes out. */
  shows(visible) {
    this.visible = visible
    this.beat()
  }

  async tap(kind, body, { v, lane, by = this.hand, acted_ms = performance.now(), instead_of }) {
    const letter = lane === 'emergency' ? 'e' : 'o'
    const id = `${this.id}.${letter}.${++this.last[letter]}`
    for (;;) {
      const ago_ms = Math.floor(performance.now() - acted_ms)
      this.send({ t: 'tap', id, kind, v, ago_ms, body, ...(by ? { by } : {}), ...(instead_of ? { instead_of } : {}) })
      const answer = await this.until(() => this.answers.get(id))
      this.answers.delete(id)
      if (answer.is === 'seen' && kind === 'page_hand') this.hand = body.hand
      if (answer.is !== 'wait' && answer.is !== 'not_now') return { id, answer }
      await sleep(answer.retry_ms)
    }
  }

  /** null, or the words of the no. */
  async takeHelm(number) {
    this.said = null
    this.send({ t: 'take_helm', number, hand: this.hand })
    await this.until(() => this.said !== null || this.part('helm')?.page === this.id)
    return this.said
  }

  /** Resolves to what `look` finds, tried again after every message; throws when the board is gone. */
  until(look) {
    return new Promise((done, fail) => {
      const again = () => {
        const found = look()
        if (!found && !this.over) return
        this.waiting.delete(again)
        if (found) done(found)
        else fail(this.over)
      }
      this.waiting.add(again)
      again()
    })
  }

  close() {
    clearInterval(this.beating)
    this.over ??= new Error('the page was closed')
    this.socket.end()
  }

  async listen() {
    try {
      for (;;) {
        const { opcode, data } = await this.socket.next(SILENCE_MS)
        if (this.socket.closeCode !== null) throw new Error(`the board closed the connection (${this.socket.closeCode})`)
        if (opcode === TEXT) for (const line of data.toString().split('\n')) this.take(JSON.parse(line))
        for (const again of [...this.waiting]) again()
      }
    } catch (error) {
      clearInterval(this.beating)
      this.over ??= error
      for (const again of [...this.waiting]) again()
    }
  }

  take(message) {
    switch (message.t) {
      case 'no':
        throw new Error(message.words)
      case 'fresh_start':
        this.parts.clear()
        break
      case 'part':
        this.parts.set(message.part, message.value)
        break
      case 'fresh_end':
        this.rev = message.rev
        this.known = true
        break
      case 'patch':
        this.patch(message)
        break
      case 'answer':
        this.answers.set(message.id, message)
        this.tapped = Math.max(this.tapped, message.seq ?? 0)
        break
      case 'saved':
        this.saved = message.up_to
        break
      case 'pulse':
        this.saved = message.saved_up_to
        break
      case 'told':
        this.said = message.words
        break
    }
  }

  /** One that does not follow on the last means that the page lost count: it asks for the whole board. */
  patch({ rev, parts }) {
    if (rev !== this.rev + 1) {
      this.send({ t: 'fresh' })
      return
    }
    this.rev = rev
    for (const [name, value] of Object.entries(parts)) {
      this.moved.add(name.split('/')[0])
      if (value === null) this.parts.delete(name)
      else this.parts.set(name, value)
    }
  }
}
