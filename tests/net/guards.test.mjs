// The guards at the door: who is let in at all, for how long without a word, and how many.
// Sources: RFC 6455 (4.2.2 and 10.2 on Origin), RFC 9113 (3.2, h2c), RFC 9110 (9.3.6, CONNECT); the hosts and times are the
// board's own.

import assert from 'node:assert/strict'
import { spawnSync } from 'node:child_process'
import { after, before, test } from 'node:test'
import { endAll, hello, sleep, startServer } from './server.mjs'
import { Line, open, request, upgradeText } from './ws.mjs'

let server

before(async () => (server = await startServer({ args: ['--name', 'board.test', '--name', 'proxy.test:9000'] })))
after(async () => assert.equal(await server.stop(), 0))
after(endAll)

const refusedAs = async (options) => {
  try {
    const socket = await open(server.port, options)
    socket.end()
    return 101
  } catch (error) {
    return error.refused?.status ?? error.message
  }
}

test('a websocket is opened by a page of one of the board\'s own hosts', async () => {
  for (const host of [server.host, `localhost:${server.port}`, `board.test:${server.port}`, `BOARD.test:${server.port}`, 'proxy.test:9000']) {
    assert.equal(await refusedAs({ headers: { Host: host, Origin: `http://${host}` } }), 101, host)
  }
})

test('a foreign host, a foreign origin or none is refused', async () => {
  const own = `http://${server.host}`
  const cases = [
    { Host: 'evil.test' }, { Host: `evil.test:${server.port}`, Origin: `http://evil.test:${server.port}` }, { Host: '127.0.0.1' },
    { Host: `board.test:${server.port + 1}` }, { Host: 'board.test', Origin: 'http://board.test' }, { Host: null },
    { Host: `${server.host}.evil.test` }, { Host: 'b' },
    { Origin: null }, { Origin: 'null' }, { Origin: 'http://evil.test' }, { Origin: `https://${server.host}` }, { Origin: `${own}/` },
    { Origin: `${own}.evil.test` }, { Origin: `http://localhost:${server.port}` }, { Origin: `${own}, http://evil.test` },
  ]
  for (const headers of cases) assert.equal(await refusedAs({ headers }), 403, JSON.stringify(headers))
})

test('an address that the machine is given later is one of its own from then on', async (t) => {
  const address = '10.213.87.11'
  const host = `${address}:${server.port}`
  const status = async () => (await request(server.port, 'GET / HTTP/1.1', { host })).status
  assert.equal(await status(), 403)
  const ip = (act) => spawnSync('ip', ['address', act, `${address}/32`, 'dev', 'lo']).status === 0
  if (!ip('add')) return t.skip('no right to give this machine another address')
  await sleep(1100)
  const later = await status()
  ip('del')
  assert.equal(later, 200)
})

test('the websocket has one path and one subprotocol', async () => {
  for (const path of ['/', '/ws/', '/wss', '/helm', '/WS']) assert.equal(await refusedAs({ path }), 403, path)
  for (const name of [null, 'chat', 'door', 'http', 'sternboard2', 'Sternboard', 'chat, sternboard']) {
    assert.equal(await refusedAs({ headers: { 'Sec-WebSocket-Protocol': name } }), 403, String(name))
  }
  const socket = await open(server.port)
  assert.equal(socket.headers['sec-websocket-protocol'], 'sternboard')
  assert.equal(socket.headers['sec-websocket-extensions'], undefined)
  socket.end()
})

test('compression is not taken up', async () => {
  const socket = await open(server.port, { headers: { 'Sec-WebSocket-Extensions': 'permessage-deflate; client_max_window_bits' } })
  assert.equal(socket.headers['sec-websocket-extensions'], undefined)
  socket.end()
})

test('an upgrade to anything else is not taken up', async () => {
  const h2c = { Connection: 'Upgrade, HTTP2-Settings', Upgrade: 'h2c', 'HTTP2-Settings': 'AAMAAABkAAQAoAAAAAIAAAAA' }
  const cases = [h2c, { ...h2c, Upgrade: 'H2C' }, { ...h2c, Upgrade: 'websocket, h2c' }, { ...h2c, Upgrade: 'h2c, websocket' },
    { Upgrade: 'TLS/1.0' }, { Upgrade: 'x'.repeat(500) }]
  for (const headers of cases) {
    const line = await Line.open(server.port)
    line.write(upgradeText(server.port, { headers }))
    assert.ok((await line.hungUp()) < 2000, headers.Upgrade)
    assert.doesNotMatch(line.bytes.toString('latin1'), /^HTTP\/1\.1 [12]/, headers.Upgrade)
  }
  const line = await Line.open(server.port)
  line.write('PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\0\0\0\x04\0\0\0\0\0')
  assert.ok((await line.hungUp()) < 12000)
  assert.doesNotMatch(line.bytes.toString('latin1'), /^HTTP\/1\.1 [12]/)
})

test('CONNECT is hung up on at once', async () => {
  for (const host of ['evil.test:80', server.host]) {
    const line = await Line.open(server.port)
    line.write(`CONNECT ${host} HTTP/1.1\r\nHost: ${host}\r\n\r\n`)
    assert.ok((await line.hungUp()) < 1000, host)
    assert.equal(line.bytes.length, 0)
  }
})

test('a connection that says nothing, or says it slowly, is closed after ten seconds', async () => {
  const silent = Line.open(server.port)
  const half = Line.open(server.port)
  const slow = Line.open(server.port)
  const [a, b, c] = await Promise.all([silent, half, slow])
  b.write(`GET / HTTP/1.1\r\nHost: ${server.host}\r\nX-`)
  c.write('GET / HTTP/1.1\r\n')
  const drip = setInterval(() => !c.over && c.write('X-Slow: 1\r\n'), 1000)
  const times = await Promise.all([a.hungUp(), b.hungUp(), c.hungUp()])
  clearInterval(drip)
  for (const ms of times) assert.ok(ms > 8000 && ms < 13000, `closed after ${ms} ms`)
})

test('a websocket that does not say hello is closed after five seconds', async () => {
  const quiet = await open(server.port)
  const began = Date.now()
  const { code } = await quiet.closed()
  const ms = Date.now() - began
  assert.ok(code >= 4000 && code <= 4999, `close code ${code}`)
  assert.ok(ms > 4000 && ms < 6500, `closed after ${ms} ms`)
})

test('a screen that answers no ping is let go within nine seconds, however much it talks', async () => {
  const mute = await open(server.port, { mute: true })
  const alive = await open(server.port)
  mute.json(hello({ key: server.keys().crew }))
  alive.json(hello({ key: server.keys().crew }))
  const beats = setInterval(() => [mute, alive].forEach((one) => !one.line.over && one.json({ t: 'beat', rev: 0, visible: true })), 500)
  const reading = alive.closed(12000).then((end) => `ended with ${end.code}`, () => 'still there')
  const began = Date.now()
  await mute.closed(12000)
  const ms = Date.now() - began
  clearInterval(beats)
  assert.ok(ms > 4500 && ms < 10500, `let go after ${ms} ms`)
  assert.equal(alive.line.over, false)
  alive.end()
  await reading
})

test('pages over the room there is are told so, and the others go on', async () => {
  const sockets = []
  const refusals = []
  for (let i = 0; i < 70 && refusals.length === 0; i++) {
    const socket = await open(server.port, { localAddress: '127.0.0.9' })
    sockets.push(socket)
    socket.json(hello({ key: server.keys().crew }))
    for (let t; t !== 'welcome' && t !== 'no';) {
      const message = await socket.message()
      t = message.t
      if (t === 'no') refusals.push([message, await socket.closed(), i])
    }
  }
  assert.equal(refusals.length, 1)
  const [no, end, count] = refusals[0]
  assert.equal(no.code, 'full')
  assert.match(no.words, /no room/)
  assert.equal(end.code, 4004)
  assert.equal(count, 64)
  const other = await open(server.port, { localAddress: '127.0.0.10' })
  other.json(hello({ key: server.keys().crew }))
  assert.equal((await other.message('welcome')).from, 'crew')
  assert.equal((await request(server.port, 'GET / HTTP/1.1')).status, 200)
  for (const socket of [...sockets, other]) socket.end()
})

test('websockets that say nothing keep no page of the crew out', async () => {
  const silent = []
  for (let i = 0; i < 240; i++) silent.push(await open(server.port, { localAddress: `127.0.0.${20 + Math.floor(i / 60)}` }))
  const crew = await open(server.port, { localAddress: '127.0.0.24' })
  crew.json(hello({ key: server.keys().crew }))
  assert.equal((await crew.message('welcome')).from, 'crew')
  const first = await silent[0].closed()
  assert.equal(first.code, 4002)
  assert.deepEqual(first.frames, [])
  const open_still = () => silent.filter((socket) => !socket.line.over && socket.line.bytes.length === 0).length
  assert.ok(open_still() <= 40, `${open_still()} are still open`)
  for (const socket of [...silent, crew]) socket.end()
})

test('one address cannot take all connections; over its share it is answered 503', async () => {
  const lines = []
  for (let i = 0; i < 110; i++) lines.push(await Line.open(server.port, { localAddress: '127.0.0.11' }))
  const refused = () => lines.filter((line) => line.over)
  for (const until = Date.now() + 5000; refused().length < 14 && Date.now() < until;) await sleep(50)
  assert.equal(refused().length, 110 - 96)
  for (const line of refused()) {
    assert.match(line.bytes.toString(), /^HTTP\/1\.1 503 [^]*The board has no room for another connection just now\.\n$/)
  }
  assert.equal((await request(server.port, 'GET / HTTP/1.1', {}, { localAddress: '127.0.0.12' })).status, 200)
  for (const line of lines) line.end()
  await sleep(200)
  assert.equal((await request(server.port, 'GET / HTTP/1.1', {}, { localAddress: '127.0.0.11' })).status, 200)
})
