// The websocket by the categories of the known conformance suites (framing, pings, reserved bits, opcodes, fragmentation, UTF-8, close,
// limits), each rule from RFC 6455; the sections stand at each test. What every message of these tests shares stands in
// frames.test.mjs: whole messages wherever they are cut, binary, what is too long, screens that do not read.
//
// Five rules are not kept. The frames are libwebsockets' to read (4.1.6), and no callback shows what is asked here; none lets anybody do
// more than a right frame would. They are asserted as they are, so that a release that mends them is noticed:
//   5.1    an unmasked frame is taken; masks guard proxies against clients, not a server
//   5.2    a length that is written in more bytes than it needs is taken
//   5.5.1  a goodbye of one byte is answered without a code, where 1002 would be right
//   5.5.3  of several pings that come together the first is answered, where the last would be right
//   7.4.2  a goodbye with a code from 5000 on is answered with the same, where 1002 would be right

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { endAll, hello, sleep, startServer } from './server.mjs'
import { CLOSE, CONTINUATION, frameBytes, open, PING, PONG, TEXT } from './ws.mjs'

let server

before(async () => (server = await startServer()))
after(async () => assert.equal(await server.stop(), 0))
after(endAll)

async function crew() {
  const socket = await open(server.port)
  socket.line.socket.setNoDelay(true)
  socket.json(hello({ key: server.keys().crew }))
  await socket.message('welcome')
  await socket.message('fresh_end')
  return socket
}

const STRANGE = '{"t":"strange"}'

async function told(socket, code = 'message_unknown') {
  assert.equal((await socket.message('told')).code, code)
}

/** Whatever was sent, the connection lives: the next message is answered. */
async function lives(socket) {
  socket.text(STRANGE)
  await told(socket)
  socket.end()
}

/** The code that ends a connection which sends these bytes; 1006 for a cut without one. */
async function ends(...frames) {
  const socket = await crew()
  socket.line.write(Buffer.concat(frames))
  const { code } = await socket.closed(3000)
  socket.end()
  return code
}

/** A masked text frame whose head is written by hand. */
function frameWith(head, text) {
  const mask = [1, 2, 3, 4]
  return Buffer.concat([Buffer.from(head), Buffer.from(mask), Buffer.from(text).map((byte, i) => byte ^ mask[i % 4])])
}

const goodbye = (code, reason = '') =>
  frameBytes({ opcode: CLOSE, data: Buffer.concat([Buffer.from([code >> 8, code & 255]), Buffer.from(reason)]) })

// ---- framing (5.2) ---------------------------------------------------------------------------------------------------------

test('framing: lengths around each step of the head are read whole, at once and byte by byte', async () => {
  const socket = await crew()
  for (const length of [11, 125, 126, 127, 128, 255, 256, 4095, 4096, 4097, 16384, 32767, 32768]) {
    socket.json({ t: 's'.repeat(length - 8) })
    await told(socket)
  }
  for (const length of [125, 126, 200]) {
    for (const byte of frameBytes({ data: JSON.stringify({ t: 's'.repeat(length - 8) }) })) socket.line.write(Buffer.from([byte]))
    await told(socket)
  }
  socket.end()
})

test('framing: a length of 2^63 or more ends the connection, one that is only too long is 1009', async () => {
  assert.equal(await ends(frameWith([0x81, 0xff, 0x80, 0, 0, 0, 0, 0, 0, 15], STRANGE)), 1006)
  assert.equal(await ends(frameWith([0x81, 0xff, 0x7f, 255, 255, 255, 255, 255, 255, 255], STRANGE)), 1009)
  assert.equal(await ends(frameWith([0x81, 0xff, 0, 0, 1, 0, 0, 0, 0, 15], STRANGE)), 1009)
})

test('framing, not kept: a length in more bytes than it needs is taken (5.2)', async () => {
  for (const head of [[0x81, 0xfe, 0, 15], [0x81, 0xff, 0, 0, 0, 0, 0, 0, 0, 15]]) {
    const socket = await crew()
    socket.line.write(frameWith(head, STRANGE))
    await told(socket)
    socket.end()
  }
})

test('framing, not kept: an unmasked frame is taken (5.1)', async () => {
  const socket = await crew()
  socket.frame({ masked: false, data: STRANGE })
  await told(socket)
  socket.end()
})

// ---- pings and pongs (5.5.2, 5.5.3) ----------------------------------------------------------------------------------------

async function pong(socket) {
  for (const until = Date.now() + 5000; Date.now() < until;) {
    const { opcode, data } = await socket.next()
    if (opcode === PONG) return data
  }
  throw new Error('no pong in five seconds')
}

test('pings: empty, of 125 bytes of any sort, and cut into single bytes are answered with their own', async () => {
  const socket = await crew()
  for (const data of [Buffer.alloc(0), Buffer.alloc(125, 0xfe), Buffer.from([0, 255, 0xc3])]) {
    socket.frame({ opcode: PING, data })
    assert.deepEqual(await pong(socket), data)
  }
  for (const byte of frameBytes({ opcode: PING, data: 'in pieces' })) socket.line.write(Buffer.from([byte]))
  assert.equal((await pong(socket)).toString(), 'in pieces')
  socket.end()
})

test('pings, not kept: of many at once the first alone is answered; one that comes later is again (5.5.3)', async () => {
  const socket = await crew()
  socket.line.write(Buffer.concat(Array.from({ length: 10 }, (_, i) => frameBytes({ opcode: PING, data: `ping ${i}` }))))
  assert.equal((await pong(socket)).toString(), 'ping 0')
  await sleep(100)
  socket.frame({ opcode: PING, data: 'later' })
  assert.equal((await pong(socket)).toString(), 'later')
  await lives(socket)
})

test('pongs that nobody asked for are passed over', async () => {
  const socket = await crew()
  socket.frame({ opcode: PONG })
  socket.frame({ opcode: PONG, data: 'x'.repeat(125) })
  await lives(socket)
})

test('pings and pongs of more than 125 bytes, or with a long length, end the connection (5.5)', async () => {
  for (const opcode of [PING, PONG]) assert.equal(await ends(frameBytes({ opcode, data: 'x'.repeat(126) })), 1006)
  assert.equal(await ends(frameWith([0x89, 0xfe, 0, 5], 'hello')), 1006)
})

// ---- reserved bits (5.2) and opcodes (5.2, 11.8) ---------------------------------------------------------------------------

test('reserved bits: any of them is 1002, in a message, a ping and a goodbye, also after a good message', async () => {
  for (let reserved = 1; reserved < 8; reserved++) {
    assert.equal(await ends(frameBytes({ data: STRANGE }), frameBytes({ reserved, data: 'x' })), 1002, `text ${reserved}`)
  }
  for (const reserved of [1, 4, 7]) {
    assert.equal(await ends(frameBytes({ reserved, opcode: PING, data: 'x' })), 1002, `ping ${reserved}`)
    assert.equal(await ends(frameBytes({ reserved, opcode: CLOSE, data: Buffer.from([3, 232]) })), 1002, `goodbye ${reserved}`)
  }
})

test('opcodes: one that is not given a meaning is 1002, with and without words', async () => {
  for (const opcode of [3, 4, 5, 6, 7, 11, 12, 13, 14, 15]) {
    assert.equal(await ends(frameBytes({ opcode, data: 'x' })), 1002, `opcode ${opcode}`)
    assert.equal(await ends(frameBytes({ data: STRANGE }), frameBytes({ opcode })), 1002, `opcode ${opcode}, empty`)
  }
})

// ---- fragmentation (5.4) ---------------------------------------------------------------------------------------------------

test('fragments: control frames come whole or the connection ends', async () => {
  for (const opcode of [PING, PONG, CLOSE]) assert.equal(await ends(frameBytes({ opcode, fin: false, data: Buffer.from([3, 232]) })), 1002)
})

test('fragments: one that continues nothing, or a new message inside another, is 1002', async () => {
  const whole = frameBytes({ data: STRANGE })
  for (const fin of [true, false]) {
    assert.equal(await ends(frameBytes({ opcode: CONTINUATION, fin, data: 'x' })), 1002)
    assert.equal(await ends(whole, frameBytes({ opcode: CONTINUATION, fin, data: 'x' })), 1002)
    assert.equal(await ends(frameBytes({ fin: false, data: 'x' }), frameBytes({ opcode: TEXT, fin, data: 'x' })), 1002)
  }
})

test('fragments: empty ones count for nothing, and pings between them are answered', async () => {
  const socket = await crew()
  socket.frame({ fin: false })
  for (let i = 0; i < 5; i++) socket.frame({ opcode: CONTINUATION, fin: false })
  socket.frame({ opcode: PING, data: 'between' })
  assert.equal((await pong(socket)).toString(), 'between')
  socket.frame({ opcode: CONTINUATION, fin: false, data: STRANGE })
  socket.frame({ opcode: CONTINUATION })
  await told(socket)
  socket.end()
})

// ---- UTF-8 (8.1, RFC 3629) -------------------------------------------------------------------------------------------------

const REPLACED = '\ufffd'

test('UTF-8: the first and last of each length and what is no character are taken', async () => {
  const socket = await crew()
  for (const point of [0x7f, 0x80, 0x7ff, 0x800, 0xd7ff, 0xe000, 0xfffd, 0xfffe, 0xffff, 0x10000, 0x1fffe, 0x10ffff]) {
    const text = JSON.stringify({ t: `a${String.fromCodePoint(point)}z` })
    socket.text(text)
    await told(socket)
    const bytes = Buffer.from(text)
    for (let at = 6; at < 12 && at < bytes.length; at++) {
      socket.frame({ fin: false, data: bytes.subarray(0, at) })
      socket.frame({ opcode: CONTINUATION, data: bytes.subarray(at) })
      await told(socket)
    }
  }
  socket.end()
})

test('UTF-8: what is not well-formed is 1007, in the middle, at the end, and cut over frames', async () => {
  const wrong = [
    [0x80], [0xbf], [0xc0, 0x20], [0xf8, 0x88, 0x80, 0x80, 0x80], [0xfc, 0x84, 0x80, 0x80, 0x80, 0x80], [0xfe], [0xff], // no such bytes
    [0xc0, 0xaf], [0xc1, 0xbf], [0xe0, 0x9f, 0xbf], [0xf0, 0x8f, 0xbf, 0xbf], [0xe0, 0x80, 0x80], // in more bytes than it needs
    [0xed, 0xa0, 0x80], [0xed, 0xbf, 0xbf], [0xf4, 0x90, 0x80, 0x80], // surrogates, and beyond the last
    [0xc3], [0xe2, 0x82], [0xf0, 0x9f, 0x98], [0xe2, 0x82, 0x22], // cut short
  ]
  for (const bytes of wrong) {
    const label = Buffer.from(bytes).toString('hex')
    assert.ok(Buffer.from(bytes).toString().includes(REPLACED), label)
    assert.equal(await ends(frameBytes({ data: Buffer.from([...Buffer.from('{"t":"'), ...bytes, ...Buffer.from('"}')]) })), 1007, label)
    assert.equal(await ends(frameBytes({ data: Buffer.from([0x61, ...bytes]) })), 1007, `${label} at the end`)
    assert.equal(await ends(frameBytes({ fin: false, data: Buffer.from([0x61, ...bytes.slice(0, 1)]) }),
      frameBytes({ opcode: CONTINUATION, data: Buffer.from([...bytes.slice(1), 0x61]) })), 1007, `${label}, cut`)
  }
})

test('UTF-8: bytes that no further ones could mend end the connection before the message does', async () => {
  assert.equal(await ends(frameBytes({ fin: false, data: Buffer.from([0xce, 0xba, 0xf4, 0x90]) })), 1007)
})

// ---- close (5.5.1, 7.4) ----------------------------------------------------------------------------------------------------

test('goodbye: an empty one and each code that may be sent is answered with the same', async () => {
  assert.equal(await ends(frameBytes({ opcode: CLOSE })), 1005)
  for (const code of [1000, 1001, 1002, 1003, 1007, 1008, 1009, 1010, 1011, 3000, 3999, 4000, 4999]) {
    assert.equal(await ends(goodbye(code)), code)
  }
  assert.equal(await ends(goodbye(1000, 'x'.repeat(123))), 1000)
})

test('goodbye: a code that must not be sent is 1002 (7.4.1, 7.4.2)', async () => {
  for (const code of [0, 1, 999, 1004, 1005, 1006, 1015, 1016, 1100, 2000, 2999]) assert.equal(await ends(goodbye(code)), 1002, `${code}`)
})

test('goodbye: a reason that is too long or no UTF-8 ends the connection', async () => {
  assert.equal(await ends(goodbye(1000, 'x'.repeat(124))), 1006)
  assert.equal(await ends(goodbye(1000, Buffer.from([0xce, 0xba, 0xed, 0xa0, 0x80]))), 1006)
})

test('goodbye, not kept: one byte, and codes from 5000 on (5.5.1, 7.4.2)', async () => {
  assert.equal(await ends(frameBytes({ opcode: CLOSE, data: Buffer.from([3]) })), 1005)
  for (const code of [5000, 65535]) assert.equal(await ends(goodbye(code)), code)
})

test('goodbye: what comes after it is not heard', async () => {
  const socket = await crew()
  socket.line.write(Buffer.concat([goodbye(1000), frameBytes({ opcode: PING, data: 'late' }), frameBytes({ data: STRANGE }), goodbye(1001)]))
  const { code, frames } = await socket.closed(3000)
  assert.equal(code, 1000)
  assert.deepEqual(frames.filter(({ opcode, data }) => opcode === PONG || data.includes('message_unknown')), [])
  socket.end()
})

// ---- limits ----------------------------------------------------------------------------------------------------------------

test('limits: the longest message in fragments of any size is whole', async () => {
  const socket = await crew()
  const bytes = Buffer.from(JSON.stringify({ t: 'x'.repeat(32 * 1024 - 8) }))
  for (const size of [64, 256, 1024, 4096, 8191]) {
    const frames = []
    for (let at = 0; at < bytes.length; at += size) {
      frames.push(frameBytes({ opcode: at ? CONTINUATION : TEXT, fin: at + size >= bytes.length, data: bytes.subarray(at, at + size) }))
    }
    socket.line.write(Buffer.concat(frames))
    await told(socket)
  }
  socket.end()
})

test('limits: one byte more is 1009, however small the fragments, and the others do not notice', async () => {
  const other = await crew()
  const piece = frameBytes({ opcode: CONTINUATION, fin: false, data: 'x'.repeat(64) })
  assert.equal(await ends(frameBytes({ fin: false, data: '{' }), ...Array.from({ length: 512 }, () => piece)), 1009)
  await lives(other)
})

test('limits: a message that never ends holds no more than one message of memory', async () => {
  const socket = await crew()
  socket.frame({ fin: false, data: '{' })
  const empty = Buffer.concat(Array.from({ length: 1000 }, () => frameBytes({ opcode: CONTINUATION, fin: false })))
  for (let i = 0; i < 10; i++) {
    socket.line.write(empty)
    await sleep(20)
  }
  const other = await crew()
  await lives(other)
  socket.end()
})
