// chaos_proxy - a TCP proxy that does to a connection what a boat's Wi-Fi does, decided by a seed.
//
//   const proxy = new ChaosProxy(server.port, chances)   // chances: a Prng of tests/sim/prng.ts
//   const port = await proxy.listen()
//   proxy.storm()                                         // from now on each new connection has a fate of its own
//   proxy.calm()                                          // no more of it: what was troubled is reset, what is new passes
//   const wire = proxy.wires.at(-1); wire.silence('up')   // by hand: one way of one connection goes silent, and nobody is told
//
// A connection has two ways, up to the board and down to the page, each with a manner, and together they have an end:
//   manner   clear; late (each piece waits, in order); trickle (byte by byte); stalled (nothing is read for a while, so the sender's queue grows)
//   end      whole; cut (closed after so many bytes of one way); reset (the same with RST); half-open (one way, or both, swallows all that
//            comes after so many bytes; neither side is told when the other goes)
// Bytes never change and never change their order: this is TCP.

import { once } from 'node:events'
import { connect, createServer } from 'node:net'
import { setTimeout as sleep } from 'node:timers/promises'

const TRICKLE_BYTES = [200, 3000]
const LATE_MS = [1, 250]
const STALL_MS = [500, 4000]
const QUEUE_BYTES = 64 * 1024

const WHOLE = { sort: 'whole', way: 'none', at: Infinity }

class Way {
  bytes = 0
  silent = false

  constructor(wire, name, from, to, manner) {
    Object.assign(this, { wire, name, from, to, manner })
    this.trickles = manner === 'trickle' ? wire.chances.int(...TRICKLE_BYTES) : 0
  }

  /** Everything that comes, until it ends. A silent way still reads, so that its sender believes that it is heard. */
  async carry() {
    try {
      if (this.manner === 'stalled') await sleep(this.wire.chances.int(...STALL_MS))
      for await (const piece of this.from) await this.pass(piece)
    } catch {} // reset by its sender
    this.wire.ended(this)
  }

  async pass(piece) {
    if (this.manner === 'late' && !this.wire.calm) await sleep(this.wire.chances.int(...LATE_MS))
    let at = 0
    for (; at < piece.length && this.trickles > 0 && !this.wire.calm; at++, this.trickles--) {
      await this.write(piece.subarray(at, at + 1))
      await sleep(1)
    }
    await this.write(piece.subarray(at))
  }

  async write(piece) {
    const { end } = this.wire
    const left = end.way === this.name || end.way === 'both' ? Math.max(end.at - this.bytes, 0) : Infinity
    const part = piece.subarray(0, left)
    this.bytes += part.length
    if (!this.silent && part.length > 0 && !this.to.destroyed) {
      this.to.write(part)
      if (this.to.writableLength > QUEUE_BYTES) await Promise.race([once(this.to, 'drain'), once(this.to, 'close')])
    }
    if (piece.length >= left && left !== Infinity) this.wire.come_to_end()
  }
}

class Wire {
  calm = false
  over = false
  /** When the board's side closed it, on performance.now(); 0: it has not. */
  board_closed_ms = 0

  constructor(page, board, fate, chances) {
    Object.assign(this, { page, board, chances, end: fate.end, sort: `${fate.up}/${fate.down} ${fate.end.sort}` })
    for (const socket of [page, board]) socket.setNoDelay(true).on('error', () => {})
    board.on('close', () => (this.board_closed_ms ||= performance.now()))
    this.up = new Way(this, 'up', page, board, fate.up)
    this.down = new Way(this, 'down', board, page, fate.down)
    void this.up.carry()
    void this.down.carry()
  }

  silence(way) {
    if (way !== 'down') this.up.silent = true
    if (way !== 'up') this.down.silent = true
  }

  come_to_end() {
    const { end } = this
    this.end = WHOLE
    if (end.sort === 'half-open') this.silence(end.way)
    if (end.sort === 'cut') this.close()
    if (end.sort === 'reset') this.reset()
  }

  /** One side has ended. Of a half-open connection the other is not told. */
  ended(way) {
    if (!this.up.silent && !this.down.silent) way.to.end()
  }

  close() {
    this.over = true
    this.page.destroy()
    this.board.destroy()
  }

  reset() {
    this.over = true
    this.page.resetAndDestroy()
    this.board.resetAndDestroy()
  }
}

export class ChaosProxy {
  /** Every connection there was, in order. */
  wires = []
  storms = false

  constructor(port, chances) {
    this.port = port
    this.chances = chances
    this.server = createServer({ allowHalfOpen: true, pauseOnConnect: true }, (page) => this.accept(page))
  }

  async listen() {
    this.server.listen(0, '127.0.0.1')
    await once(this.server, 'listening')
    return this.server.address().port
  }

  accept(page) {
    const board = connect({ port: this.port, host: '127.0.0.1', allowHalfOpen: true })
    this.wires.push(new Wire(page, board, this.storms ? this.fate() : { up: 'clear', down: 'clear', end: WHOLE }, this.chances))
  }

  fate() {
    const { chances } = this
    const manner = () => chances.weighted([[40, 'clear'], [30, 'late'], [15, 'trickle'], [15, 'stalled']])
    const sort = chances.weighted([[30, 'whole'], [20, 'cut'], [20, 'reset'], [30, 'half-open']])
    // As often in the handshake as in the first board and after it.
    const at = Math.floor(10 ** (chances.int(0, 450) / 100))
    const way = chances.pick(sort === 'half-open' ? ['up', 'down', 'both'] : ['up', 'down'])
    return { up: manner(), down: manner(), end: sort === 'whole' ? WHOLE : { sort, way, at } }
  }

  storm() {
    this.storms = true
  }

  calm() {
    this.storms = false
    for (const wire of this.wires) {
      wire.calm = true
      if (wire.up.silent || wire.down.silent) wire.reset()
      wire.end = WHOLE
    }
  }

  close() {
    for (const wire of this.wires) wire.close()
    this.server.close()
  }

  /** How many connections came to which end: { cut: 3, ... }. */
  sums() {
    const sums = {}
    for (const { sort } of this.wires) for (const word of sort.split(/[ /]/)) sums[word] = (sums[word] ?? 0) + 1
    return sums
  }
}
