// A full house, and those who hold a connection without using it: none of them keeps the crew out. The limits are the board's own
// (server/limit.h); the patterns are common practice, no source (slow header, slow body, slow read).

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { endAll, hello, startServer } from './server.mjs'
import { Line, open, request } from './ws.mjs'

let server

before(async () => (server = await startServer()))
after(async () => assert.equal(await server.stop(), 0))
after(endAll)

const key = () => server.keys().crew

/** Says hello from an address; the first word of the answer: welcome or no. The socket goes on answering pings. */
async function join(number, says, options = {}) {
  const socket = await open(server.port, { localAddress: `127.0.0.${number}`, ...options })
  socket.json(hello(says))
  for (;;) {
    const message = await socket.message()
    if (message.t === 'welcome' || message.t === 'no') {
      socket.reading = socket.closed(120000).catch(() => {})
      return { socket, message }
    }
  }
}

test('when the house is full, a device that was here before still gets in, and a stranger can still call', async () => {
  const known = await join(39, { key: key() })
  const { token } = known.message
  known.socket.end()
  await known.socket.reading
  const inside = []
  let refused
  for (let i = 0; i < 230 && !refused; i++) {
    const { socket, message } = await join(40 + Math.floor(i / 50), { key: key() })
    if (message.t === 'no') refused = message
    inside.push(socket)
  }
  assert.equal(refused?.code, 'full')
  assert.match(refused.words, /no room/)
  assert.ok(inside.length > 190 && inside.length < 215, `${inside.length} were let in`)
  const again = await join(46, { token })
  assert.equal(again.message.t, 'welcome')
  assert.equal(again.message.from, 'crew')
  const caller = await open(server.port, { localAddress: '127.0.0.47' })
  const first = hello({ view: 'none' })
  caller.json(first)
  await caller.message('welcome')
  caller.json({ t: 'tap', id: `${first.page}.e.1`, kind: 'overboard', v: 1, ago_ms: 0, body: {} })
  assert.equal((await caller.message('answer')).is, 'seen')
  const other = await join(48, { key: key() })
  assert.equal(other.message.code, 'full')
  assert.equal((await request(server.port, 'GET / HTTP/1.1')).status, 200)
  for (const socket of [...inside, again.socket, caller, other.socket]) socket.end()
})

test('a request with a body is answered before it, and closed however slowly the body comes', async () => {
  for (const method of ['POST', 'PUT']) {
    const line = await Line.open(server.port)
    line.write(`${method} / HTTP/1.1\r\nhost: ${server.host}\r\ncontent-length: 1000000\r\n\r\n`)
    const drip = setInterval(() => line.over || line.write('x'), 100)
    const ms = await line.hungUp(12000)
    clearInterval(drip)
    assert.ok(ms < 2000, `${method}: closed after ${ms} ms`)
    assert.match(line.bytes.toString(), /^HTTP\/1\.1 405 /)
  }
  for (const header of ['content-length: 1000000', 'transfer-encoding: chunked']) {
    const line = await Line.open(server.port)
    line.write(`GET /helm HTTP/1.1\r\nhost: ${server.host}\r\n${header}\r\n\r\n`)
    const drip = setInterval(() => line.over || line.write('x'), 100)
    const ms = await line.hungUp(12000)
    clearInterval(drip)
    assert.ok(ms < 2000, `${header}: closed after ${ms} ms`)
    assert.match(line.bytes.toString(), /^HTTP\/1\.1 400 [^]*without a body\.\n$/)
  }
  assert.equal((await request(server.port, 'GET /helm HTTP/1.1', { 'content-length': '0' })).status, 200)
})

test('who asks for pages and does not read them is let go, and holds one piece of one page in memory', async () => {
  const line = await Line.open(server.port)
  line.socket.pause()
  const ask = `GET / HTTP/1.1\r\nhost: ${server.host}\r\n\r\n`
  for (let i = 0; i < 40; i++) line.socket.write(ask.repeat(50))
  const gone = new Promise((done) => line.socket.once('error', done).once('close', done))
  const began = Date.now()
  const timer = setInterval(() => line.socket.destroyed || line.socket.write(ask), 500)
  await Promise.race([gone, new Promise((done) => setTimeout(done, 40000))])
  clearInterval(timer)
  assert.ok(line.socket.destroyed, 'the reader that does not read was let go')
  assert.ok(Date.now() - began < 39000)
  assert.equal((await request(server.port, 'GET / HTTP/1.1')).status, 200)
})
