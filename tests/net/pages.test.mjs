// The pages and reads over HTTP, as bytes: compression, caching, the security policy, and each way of being told no.
// Checked against RFC 9110 (HTTP) and the Content Security Policy Level 3 grammar; whatever else is common practice, no source.

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { gunzipSync } from 'node:zlib'
import { endAll, hello, startServer } from './server.mjs'
import { exchange, Line, open, request } from './ws.mjs'

let server

before(async () => (server = await startServer()))
after(async () => assert.equal(await server.stop(), 0))
after(endAll)

const get = (path, headers, options) => request(server.port, `GET ${path} HTTP/1.1`, headers, options)

test('every view is the same page, asked for anew each time', async () => {
  const first = await get('/')
  assert.equal(first.status, 200)
  assert.equal(first.headers['content-type'], 'text/html; charset=utf-8')
  assert.equal(first.headers['cache-control'], 'no-cache')
  assert.match(first.text, /^<!doctype html>/)
  for (const path of ['/helm', '/station', '/phone', '/debrief', '/guest', '/?x=1']) {
    const reply = await get(path)
    assert.equal(reply.status, 200, path)
    assert.equal(reply.text, first.text, path)
  }
})

test('what the page loads is there, and is kept for ever', async () => {
  const page = await get('/')
  const paths = [...page.text.matchAll(/(?:src|href)="(\/a\/[^"]+)"/g)].map((match) => match[1])
  assert.ok(paths.length >= 1)
  for (const path of paths) {
    const reply = await get(path)
    assert.equal(reply.status, 200, path)
    assert.equal(reply.headers['cache-control'], 'public, max-age=31536000, immutable', path)
  }
})

test('a page is compressed for those who take it, and the same page for those who don\'t', async () => {
  const plain = await get('/helm'), packed = await get('/helm', { 'accept-encoding': 'gzip, deflate' })
  assert.equal(plain.headers['content-encoding'], undefined)
  assert.equal(packed.headers['content-encoding'], 'gzip')
  assert.equal(Number(packed.headers['content-length']), packed.body.length)
  assert.ok(gunzipSync(packed.body).equals(plain.body))
  assert.equal(plain.headers.vary, 'accept-encoding')
  assert.equal(packed.headers.vary, 'accept-encoding')
  assert.notEqual(plain.headers.etag, packed.headers.etag)
  assert.equal((await get('/helm', { 'accept-encoding': 'gzip;q=0' })).headers['content-encoding'], undefined)
})

test('an unchanged page is not sent again', async () => {
  const headers = { 'accept-encoding': 'gzip' }
  const { etag } = (await get('/helm', headers)).headers
  assert.match(etag, /^"[0-9a-f]{16}-gzip"$/)
  const again = await get('/helm', { ...headers, 'if-none-match': etag })
  assert.equal(again.status, 304)
  assert.equal(again.body.length, 0)
  assert.equal(again.headers.etag, etag)
  assert.equal((await get('/helm', { ...headers, 'if-none-match': '"0000000000000000"' })).status, 200)
})

test('HEAD answers as GET would, without the page', async () => {
  const whole = await get('/helm')
  const head = await request(server.port, 'HEAD /helm HTTP/1.1')
  assert.equal(head.status, 200)
  assert.deepEqual(head.headers, whole.headers)
})

test('many requests go over one connection', async () => {
  const line = await Line.open(server.port)
  const text = `GET /phone HTTP/1.1\r\nhost: ${server.host}\r\n\r\n`
  for (let i = 0; i < 20; i++) assert.equal((await exchange(line, text)).status, 200)
  line.end()
})

test('each answer carries the exact policy of the host it was asked by', async () => {
  for (const host of [server.host, `localhost:${server.port}`]) {
    for (const path of ['/', '/nothing-here', '/log']) {
      const { headers } = await get(path, { host })
      assert.equal(headers['content-security-policy'],
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; " +
        `media-src 'self' data:; connect-src 'self' ws://${host}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'`)
      assert.equal(headers['x-content-type-options'], 'nosniff')
      assert.equal(headers['referrer-policy'], 'no-referrer')
      assert.equal(headers['cross-origin-opener-policy'], undefined, 'for https alone')
      assert.equal(headers['strict-transport-security'], undefined)
      assert.equal(headers.server, undefined)
    }
  }
})

test('what is not there, not allowed or not readable is told so in a plain sentence', async () => {
  const sentence = /^[A-Z][^<>]+\.\n$/
  const cases = [
    ['GET /nothing HTTP/1.1', {}, 404], ['GET /helm/ HTTP/1.1', {}, 404], ['GET /../etc/passwd HTTP/1.1', {}, 404],
    ['GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1', {}, 404], [`GET /${'z'.repeat(600)} HTTP/1.1`, {}, 404],
    ['POST / HTTP/1.1', { 'content-length': '0' }, 405], ['PUT /helm HTTP/1.1', { 'content-length': '0' }, 405],
    ['DELETE / HTTP/1.1', {}, 405], ['OPTIONS / HTTP/1.1', {}, 405],
    ['GET / HTTP/1.1', { authorization: 'x'.repeat(2000) }, 431],
    ['GET / HTTP/1.1', { host: 'evil.test' }, 403], ['GET / HTTP/1.1', { host: null }, 403],
  ]
  for (const [line, headers, status] of cases) {
    const reply = await request(server.port, line, headers)
    assert.equal(reply.status, status, line)
    assert.equal(reply.headers['content-type'], 'text/plain; charset=utf-8', line)
    assert.equal(reply.headers['cache-control'], 'no-store', line)
    assert.match(reply.text, sentence, line)
    if (status === 405) assert.equal(reply.headers.allow, 'GET, HEAD')
  }
})

test('a phone\'s probe for the internet gets an honest no: this boat has none', async () => {
  // What Android, Apple and Windows ask for, and at which hosts. A 204 or the awaited words would make the phone take the boat's
  // Wi-Fi for the internet: its mobile data, which may be its only way to call for help, would then lie still. A page with a
  // sign-in (RFC 8910) would open in a window that keeps no taps. So: no redirect, nothing that looks like a success.
  const probes = [
    ['/generate_204', 'connectivitycheck.gstatic.com'], ['/gen_204', 'www.google.com'], ['/hotspot-detect.html', 'captive.apple.com'],
    ['/connecttest.txt', 'www.msftconnecttest.com'], ['/success.txt', 'detectportal.firefox.com'],
  ]
  for (const [path, host] of probes) {
    for (const [as, status] of [[host, 403], [`127.0.0.1:${server.port}`, 404]]) {
      const reply = await get(path, { host: as })
      assert.equal(reply.status, status, `${path} at ${as}`)
      assert.equal(reply.headers.location, undefined)
      assert.match(reply.text, /^(This board answers to its own addresses only|There is no such page on this board)/)
    }
  }
})

test('a request that nobody can read costs its own connection and nothing else', async () => {
  for (const text of ['BREW / HTTP/1.1\r\n\r\n', `GET / HTTP/1.1\r\nx: ${'y'.repeat(20000)}\r\n\r\n`, '\0\0\0\0\r\n\r\n', '\r\n'.repeat(50),
    `GET /${'z'.repeat(20000)} HTTP/1.1\r\n\r\n`, 'GET\r\n\r\n', 'PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n']) {
    const line = await Line.open(server.port)
    line.write(text)
    assert.ok((await line.hungUp()) < 14000, JSON.stringify(text.slice(0, 20)))
    assert.doesNotMatch(line.bytes.toString('latin1'), /^HTTP\/1\.1 2/)
  }
  assert.equal((await get('/')).status, 200)
})

test('the log and the board are read with a token in a header, and refused in words without', async () => {
  for (const authorization of [null, 'Bearer ', 'Bearer nonsense', `Basic ${server.keys().crew}`, `Bearer ${server.keys().crew}`]) {
    for (const path of ['/log?from=1&max=10', '/board?at=1', '/debrief.json']) {
      const reply = await get(path, { authorization })
      assert.equal(reply.status, 401, `${path} ${authorization}`)
      assert.equal(reply.headers['www-authenticate'], 'Bearer')
      assert.match(reply.text, /join the board first/)
    }
  }
  const socket = await open(server.port)
  socket.json(hello({ key: server.keys().crew }))
  const { token } = await socket.message('welcome')
  assert.match(token, /^\S{16,64}$/)
  const authorization = `Bearer ${token}`
  const log = await get('/log?from=1&max=10', { authorization })
  assert.equal(log.status, 200)
  assert.equal(log.headers['content-type'], 'application/json')
  assert.equal(log.headers['cache-control'], 'no-store')
  const { rows, last } = JSON.parse(log.text)
  assert.ok(rows.length >= 1 && last >= rows.length)
  assert.equal(rows[0].entry.seq, 1)
  const board = await get('/board?at=1', { authorization })
  assert.equal(board.status, 200)
  assert.ok('clock' in JSON.parse(board.text), 'the run that seq 1 tells of')
  assert.equal((await get('/board?at=99999', { authorization })).status, 404)
  for (const path of ['/log?from=0', '/log?from=x', '/log?max=0', '/log?max=1001', '/log?from=-1', '/log?from=1e3', '/board', '/board?at=',
    '/board?at=x', '/board?at=9999999999999999']) {
    const reply = await get(path, { authorization })
    assert.equal(reply.status, 400, path)
    assert.match(reply.text, /^Ask for /)
  }
  socket.end()
})

test('the debrief is worked out beside the loop: numbers, a sentence where there are none, and no argument that is not meant', async () => {
  const socket = await open(server.port)
  socket.json(hello({ key: server.keys().crew }))
  const authorization = `Bearer ${(await socket.message('welcome')).token}`
  const none = await get('/debrief.json', { authorization })
  assert.equal(none.status, 404)
  assert.match(none.text, /^No trip has been started in this log yet/)
  for (const query of ['trips=x', 'trips=3-1', 'trips=0', 'months=13', 'zone=900', 'zone=1e3']) {
    const reply = await get(`/debrief.json?${query}`, { authorization })
    assert.equal(reply.status, 400, query)
    assert.match(reply.text, /^Ask for trips=/)
  }
  assert.equal((await get(`/debrief.json?bait=${'x'.repeat(64)}`, { authorization })).status, 400)
  const many = await Promise.all(Array.from({ length: 12 }, () => get('/debrief.json', { authorization })))
  assert.ok(many.every(({ status }) => status === 404 || status === 503), many.map(({ status }) => status).join())
  assert.ok(many.some(({ status }) => status === 404))
  assert.equal((await get('/debrief.json', { authorization })).status, 404, 'and there is room again')
  socket.end()
})
