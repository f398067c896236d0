// ws - a websocket client (RFC 6455) over a plain socket, for what speaks to the board without a browser: the demo's player, and
// the tests, which also send with it what no browser would.
//
//   const socket = await open(port)                      // the upgrade as a page of this board does it; throws on a refusal
//   socket.text('{"t":"beat"}'); socket.frame({ opcode: TEXT, fin: false, data: '...' })
//   const { opcode, data } = await socket.next()         // the next frame; throws when none comes
//   const { code } = await socket.closed()               // the close code, 1006 for a cut

import { randomBytes } from 'node:crypto'
import { connect } from 'node:net'
import { connect as connectTls } from 'node:tls'

export const CONTINUATION = 0, TEXT = 1, BINARY = 2, CLOSE = 8, PING = 9, PONG = 10

/** The bytes of one masked frame. `claims` says another length than the data has. */
export function frameBytes({ opcode = TEXT, fin = true, data = '', claims, reserved = 0, masked = true } = {}) {
  const payload = Buffer.from(data)
  const length = claims ?? payload.length
  const head = [(fin ? 0x80 : 0) | (reserved << 4) | opcode]
  const mask = masked ? 0x80 : 0
  if (length < 126) head.push(mask | length)
  else if (length < 65536) head.push(mask | 126, length >> 8, length & 255)
  else head.push(mask | 127, 0, 0, 0, 0, (length >>> 24) & 255, (length >> 16) & 255, (length >> 8) & 255, length & 255)
  if (!masked) return Buffer.concat([Buffer.from(head), payload])
  const key = randomBytes(4)
  return Buffer.concat([Buffer.from(head), key, payload.map((byte, i) => byte ^ key[i % 4])])
}

/** A TCP connection that keeps what it gets. */
export class Line {
  constructor(socket) {
    this.socket = socket
    this.bytes = Buffer.alloc(0)
    this.over = false
    this.waiting = new Set()
    const wake = () => this.waiting.forEach((again) => again())
    socket.on('data', (data) => ((this.bytes = Buffer.concat([this.bytes, data])), wake()))
    socket.on('error', () => {})
    socket.on('close', () => ((this.over = true), wake()))
  }

  /** tls: the options of node:tls, such as { ca }; then the line is encrypted. */
  static open(port, { address = '127.0.0.1', localAddress, receiveBuffer, tls } = {}) {
    return new Promise((done, fail) => {
      const where = { port, host: address, localAddress, highWaterMark: receiveBuffer }
      const socket = tls ? connectTls({ ...where, ...tls }) : connect(where)
      socket.once(tls ? 'secureConnect' : 'connect', () => done(new Line(socket))).once('error', fail)
    })
  }

  write(bytes) {
    this.socket.write(bytes)
  }

  end() {
    this.socket.destroy()
  }

  /** Resolves to what `look` finds, tried again with all that comes in; throws after a while. */
  until(look, { timeout_ms = 15000, what = 'anything' } = {}) {
    return new Promise((done, fail) => {
      const settle = (act, value) => {
        clearTimeout(timer)
        this.waiting.delete(again)
        act(value)
      }
      const again = () => {
        const found = look()
        if (found !== undefined && found !== null) settle(done, found)
        else if (this.over) settle(fail, new Error(`the connection ended before ${what} came`))
      }
      const timer = setTimeout(() => settle(fail, new Error(`${what} did not come in ${Math.round(timeout_ms)} ms`)), timeout_ms)
      this.waiting.add(again)
      again()
    })
  }

  /** Resolves to how many ms it took the other side to hang up. */
  async hungUp(timeout_ms = 15000) {
    const began = Date.now()
    if (!this.over) await new Promise((done, fail) => {
      const timer = setTimeout(() => fail(new Error(`still connected after ${timeout_ms} ms`)), timeout_ms)
      this.socket.once('close', () => (clearTimeout(timer), done()))
    })
    return Date.now() - began
  }

  take(length) {
    const taken = this.bytes.subarray(0, length)
    this.bytes = this.bytes.subarray(length)
    return taken
  }
}

/** Reads a response's head off a line: { status, headers }. */
export async function readHead(line) {
  const end = await line.until(() => {
    const at = line.bytes.indexOf('\r\n\r\n')
    return at < 0 ? null : at
  }, { what: 'a response' })
  const [first, ...rest] = line.take(end + 4).toString('latin1').trimEnd().split('\r\n')
  const headers = {}
  for (const header of rest) {
    const at = header.indexOf(':')
    const name = header.slice(0, at).toLowerCase()
    headers[name] = name in headers ? `${headers[name]}, ${header.slice(at + 1).trim()}` : header.slice(at + 1).trim()
  }
  return { status: Number(first.split(' ')[1]), headers }
}

/** An address and a port as they stand in a link. */
export function hostOf(address, port) {
  return address.includes(':') ? `[${address}]:${port}` : `${address}:${port}`
}

/** The upgrade's request as a page of this board sends it; `headers` replaces any of it, null leaves one out. */
export function upgradeText(port, { path = '/ws', headers = {}, address = '127.0.0.1', tls } = {}) {
  const host = hostOf(address, port)
  const all = {
    Host: host, Origin: `http${tls ? 's' : ''}://${host}`, Connection: 'Upgrade', Upgrade: 'websocket',
    'Sec-WebSocket-Version': '13', 'Sec-WebSocket-Key': randomBytes(16).toString('base64'),
    'Sec-WebSocket-Protocol': 'sternboard', ...headers,
  }
  const lines = Object.entries(all).filter(([, value]) => value !== null).map(([name, value]) => `${name}: ${value}\r\n`)
  return `GET ${path} HTTP/1.1\r\n${lines.join('')}\r\n`
}

/** A websocket after its upgrade. Pings are answered unless `mute`. */
export class Socket {
  constructor(line, { mute = false } = {}) {
    this.line = line
    this.mute = mute
    this.closeCode = null
    this.lines = [] // of the last text frame, a message each; not yet given out
  }

  frame(options) {
    this.line.write(frameBytes(options))
  }

  text(data) {
    this.frame({ data })
  }

  json(message) {
    this.text(JSON.stringify(message))
  }

  /** The first whole frame of what has come in, taken off; null when there is none yet. */
  takeFrame() {
    const bytes = this.line.bytes
    if (bytes.length < 2) return null
    const short = bytes[1] & 127
    const head = short === 126 ? 4 : short === 127 ? 10 : 2
    if (bytes.length < head) return null
    const length = short === 126 ? bytes.readUInt16BE(2) : short === 127 ? Number(bytes.readBigUInt64BE(2)) : short
    if (bytes.length < head + length) return null
    const frame = { opcode: bytes[0] & 15, fin: bytes[0] >= 128, masked: bytes[1] >= 128 }
    this.line.take(head)
    return { ...frame, data: Buffer.from(this.line.take(length)) }
  }

  /** The next frame that is not a ping. */
  async next(timeout_ms = 5000) {
    for (;;) {
      const frame = await this.line.until(() => this.takeFrame(), { timeout_ms, what: 'a frame' })
      if (frame.opcode === CLOSE) this.closeCode = frame.data.length >= 2 ? frame.data.readUInt16BE(0) : 1005
      if (frame.opcode !== PING) return frame
      if (!this.mute) this.frame({ opcode: PONG, data: frame.data })
    }
  }

  /** The next message as JSON, of the type `t` when one is named; others are passed over, but not for ever. */
  async message(t, timeout_ms = 5000) {
    const until = performance.now() + timeout_ms
    for (;;) {
      while (this.lines.length > 0) {
        const message = JSON.parse(this.lines.shift())
        if (t === undefined || message.t === t) return message
      }
      const { opcode, data } = await this.next(Math.max(1, until - performance.now()))
      if (opcode === CLOSE) throw new Error(`closed with ${this.closeCode} while waiting for ${t ?? 'a message'}`)
      if (opcode === TEXT) this.lines = data.toString().split('\n')
    }
  }

  /** Waits for the end; resolves to { code, frames } with the frames that came before it. */
  async closed(timeout_ms = 15000) {
    const frames = []
    const until = Date.now() + timeout_ms
    while (this.closeCode === null) {
      try {
        const frame = await this.next(Math.max(1, until - Date.now()))
        if (frame.opcode !== CLOSE) frames.push(frame)
      } catch (error) {
        if (!this.line.over) throw error
        this.closeCode = 1006
      }
    }
    return { code: this.closeCode, frames }
  }

  end() {
    this.line.end()
  }
}

/** Opens a websocket; `refused` on the thrown error is the response when the server says no. */
export async function open(port, options = {}) {
  const line = await Line.open(port, options)
  line.write(upgradeText(port, options))
  const { status, headers } = await readHead(line)
  if (status !== 101) {
    line.end()
    throw Object.assign(new Error(`the upgrade was answered ${status}`), { refused: { status, headers } })
  }
  return Object.assign(new Socket(line, options), { headers })
}
