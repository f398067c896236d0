// The websocket's frames, cut, joined, too long and wrong in every way that RFC 6455 knows (the sections stand at each test).

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { endAll, hello, sleep, startServer } from './server.mjs'
import { BINARY, CLOSE, CONTINUATION, frameBytes, open, PING, PONG, TEXT } from './ws.mjs'

let server

before(async () => (server = await startServer()))
after(async () => assert.equal(await server.stop(), 0))
after(endAll)

/** A page of the crew that has been welcomed. */
async function crew(options) {
  const socket = await open(server.port, options)
  socket.line.socket.setNoDelay(true)
  socket.json(hello({ key: server.keys().crew }))
  await socket.message('welcome')
  await socket.message('fresh_end')
  return socket
}

/** A message that the server answers with `told`, and only if it came whole. The letters are two bytes each: no cut may harm them. */
const strange = JSON.stringify({ t: 'strange_é_ü' })

async function told(socket) {
  const { code, words } = await socket.message('told')
  assert.equal(code, 'message_unknown')
  assert.ok(words.length > 5)
}

test('a message in two frames is whole wherever it is cut (5.4)', async () => {
  const socket = await crew()
  const bytes = Buffer.from(strange)
  for (let at = 0; at <= bytes.length; at++) {
    socket.frame({ opcode: TEXT, fin: false, data: bytes.subarray(0, at) })
    socket.frame({ opcode: CONTINUATION, fin: true, data: bytes.subarray(at) })
    await told(socket)
  }
  socket.end()
})

test('a frame in two packets is whole wherever the network cuts it', async () => {
  const socket = await crew()
  const bytes = frameBytes({ data: strange })
  for (let at = 1; at < bytes.length; at++) {
    socket.line.write(bytes.subarray(0, at))
    await sleep(4)
    socket.line.write(bytes.subarray(at))
    await told(socket)
  }
  socket.end()
})

test('a message of single bytes, with pings between them, is whole (5.4, 5.5)', async () => {
  const socket = await crew()
  const bytes = Buffer.from(strange)
  for (let at = 0; at < bytes.length; at++) {
    socket.frame({ opcode: at === 0 ? TEXT : CONTINUATION, fin: at === bytes.length - 1, data: bytes.subarray(at, at + 1) })
    if (at % 5 === 2) socket.frame({ opcode: PING, data: `ping ${at}` })
  }
  await told(socket)
  socket.end()
})

test('many messages in one packet are many messages', async () => {
  const socket = await crew()
  socket.line.write(Buffer.concat(Array.from({ length: 40 }, () => frameBytes({ data: strange }))))
  for (let i = 0; i < 40; i++) await told(socket)
  socket.end()
})

test('a message that ends where the receive buffer ends is whole', async () => {
  const socket = await crew()
  for (let length = 4080; length <= 4112; length++) {
    socket.json({ t: 's'.repeat(length - 8) })
    await told(socket)
  }
  socket.end()
})

test('a ping is answered with its own words (5.5.3)', async () => {
  const socket = await crew()
  socket.frame({ opcode: PING, data: 'are you there' })
  for (;;) {
    const { opcode, data } = await socket.next()
    if (opcode !== PONG) continue
    assert.equal(data.toString(), 'are you there')
    break
  }
  socket.end()
})

test('the server masks nothing, and sends whole text frames (5.1)', async () => {
  const socket = await crew()
  socket.json({ t: 'fresh' })
  for (let i = 0; i < 10; i++) {
    const frame = await socket.next()
    assert.deepEqual([frame.opcode, frame.fin, frame.masked], [TEXT, true, false])
    for (const line of frame.data.toString().split('\n')) assert.equal(typeof JSON.parse(line).t, 'string')
  }
  socket.end()
})

/** What the server closes a connection with that sends these frames. */
async function closedBy(...frames) {
  const socket = await crew()
  for (const frame of frames) socket.frame(frame)
  return (await socket.closed()).code
}

test('the longest message is taken, one byte more is 1009 (7.4.1)', async () => {
  const longest = JSON.stringify({ t: 'x'.repeat(32 * 1024 - 8) })
  assert.equal(longest.length, 32 * 1024)
  const socket = await crew()
  socket.text(longest)
  const { code } = await socket.message('told')
  assert.ok(code.length > 3)
  socket.end()
  assert.equal(await closedBy({ data: 'x'.repeat(32 * 1024 + 1) }), 1009)
  assert.equal(await closedBy({ claims: 0x7fffffff, data: 'x'.repeat(100) }), 1009)
})

test('a message that grows over the longest in pieces is 1009', async () => {
  const piece = 'x'.repeat(5000)
  const pieces = Array.from({ length: 7 }, (_, i) => ({ opcode: i ? CONTINUATION : TEXT, fin: false, data: piece }))
  assert.equal(await closedBy(...pieces), 1009)
})

test('bytes that are no UTF-8 are 1007, also when cut (8.1)', async () => {
  for (const bytes of [[0xff], [0xc0, 0x80], [0xed, 0xa0, 0x80], [0xf4, 0x90, 0x80, 0x80], [0xe2, 0x82]]) {
    assert.equal(await closedBy({ data: Buffer.from(bytes) }), 1007, JSON.stringify(bytes))
  }
  assert.equal(await closedBy({ fin: false, data: Buffer.from([0xe2, 0x82]) },
    { opcode: CONTINUATION, data: Buffer.from([0x28]) }), 1007)
})

test('a binary message is 1003: the board speaks text (7.4.1)', async () => {
  assert.equal(await closedBy({ opcode: BINARY, data: '{}' }), 1003)
})

// One rule of 5.1 is not kept: libwebsockets takes an unmasked frame where it should close. Masking guards proxies against
// clients, not this server.
test('frames that break the protocol end the connection and nothing else (5.2, 5.4, 5.5)', async () => {
  const cases = [
    [{ reserved: 4, data: 'x' }], [{ opcode: 3, data: 'x' }], [{ opcode: 11, data: 'x' }],
    [{ opcode: CONTINUATION, data: 'x' }], [{ opcode: PING, data: 'x'.repeat(126) }], [{ opcode: PING, fin: false, data: 'x' }],
    [{ opcode: CLOSE, data: Buffer.from([1]) }],
  ]
  for (const frames of cases) {
    const code = await closedBy(...frames)
    assert.ok([1002, 1003, 1005, 1006].includes(code), `${JSON.stringify(frames)}: ${code}`)
  }
  const socket = await crew()
  socket.end()
})

test('a goodbye is answered with the same code (5.5.1)', async () => {
  assert.equal(await closedBy({ opcode: CLOSE, data: Buffer.from([0x03, 0xe8]) }), 1000)
  assert.equal(await closedBy({ opcode: CLOSE, data: Buffer.from([0x03, 0xe9]) }), 1001)
})

test('an empty message and words that are no JSON are answered in words, and the connection stays', async () => {
  const socket = await crew()
  for (const data of ['', ' ', '{', 'null', '[]', '{"t":1}', '{"t":"tap"}', '{"t":"beat","t":"beat"}', '"\\u0000"']) {
    socket.text(data)
    const { code, words } = await socket.message('told')
    assert.match(code, /^[a-z_]{3,24}$/, data)
    assert.match(words, /^[A-Z].*\.$/, data)
  }
  assert.equal(socket.line.over, false)
  socket.end()
})

test('a screen that stops reading is let go, though it keeps saying that it lives; the others notice nothing', async () => {
  const watcher = await crew()
  const stuck = await crew({ mute: true })
  stuck.line.socket.pause()
  // Unasked pongs look alive to the websocket (5.5.3); only its unread frames give this screen away.
  const chatter = setInterval(() => stuck.line.socket.destroyed || stuck.frame({ opcode: PONG }), 400)
  const askers = setInterval(() => {
    for (let i = 0; i < 20; i++) stuck.line.socket.destroyed || stuck.json({ t: 'fresh' })
  }, 50)
  let pulses = 0
  const gone = new Promise((done) => stuck.line.socket.once('error', done).once('close', done))
  const reader = (async () => {
    for (const until = Date.now() + 30000; Date.now() < until && !stuck.line.socket.destroyed;) {
      await watcher.message('pulse', 2000)
      pulses++
    }
  })()
  await Promise.race([gone, sleep(30000)])
  clearInterval(chatter)
  clearInterval(askers)
  await reader
  assert.ok(stuck.line.socket.destroyed, 'the stuck screen was let go')
  assert.ok(pulses >= 10, `${pulses} pulses`)
  watcher.end()
})
