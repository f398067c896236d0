// TLS: what is spoken on the port, and to whom. Sources: RFC 8446 and 8996 (which versions), RFC 6125 (whose name), RFC 5280 (whom to
// trust); what browsers ask for in a secure page is tried in tests/browser/tls.test.mjs.

import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { X509Certificate } from 'node:crypto'
import { readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { after, before, test } from 'node:test'
import { connect } from 'node:tls'
import { endAll, freePort, hello, run, scratch, startServer } from './server.mjs'
import { Line, open, request, upgradeText } from './ws.mjs'

let server, ca

before(async () => {
  server = await startServer({ args: ['--tls', '--name', 'board.test'] })
  ca = String(new X509Certificate(readFileSync(join(server.data, 'tls-authority.pem'))))
})
after(async () => assert.equal(await server.stop(), 0))
after(endAll)

const get = (path, headers, tls = { ca }) => request(server.port, `GET ${path} HTTP/1.1`, headers, { tls })

/** How a handshake ends: the version that was spoken, or the error's code. */
function shake(options) {
  return new Promise((done) => {
    const socket = connect({ port: server.port, host: '127.0.0.1', ca, ...options })
    socket.on('secureConnect', () => (done(socket.getProtocol()), socket.destroy())).on('error', (error) => done(error.code))
  })
}

test('the join links say https, with the address and the key', () => {
  const text = server.output()
  assert.match(text, new RegExp(`https://[\\d.]+:${server.port}/#k=${server.keys().crew}\n`))
  assert.match(text, /https:\/\/\S+\/guest#k=/)
  assert.match(text, new RegExp(`https://\\S+/helm#k=${server.keys().crew}\n`))
  assert.doesNotMatch(text, /http:\/\//)
  assert.match(text, new RegExp(`SHA-256 is ${new X509Certificate(ca).fingerprint256}`))
})

test('pages and the websocket come over TLS to whoever trusts the authority', async () => {
  const page = await get('/')
  assert.equal(page.status, 200)
  assert.match(page.headers['content-security-policy'], new RegExp(`connect-src 'self' wss://127.0.0.1:${server.port};`))
  assert.equal(page.headers['cross-origin-opener-policy'], 'same-origin')
  assert.equal(page.headers['strict-transport-security'], undefined)
  const socket = await open(server.port, { tls: { ca } })
  socket.json(hello({ key: server.keys().crew }))
  assert.equal((await socket.message('welcome')).from, 'crew')
  await socket.message('fresh_end')
  socket.json({ t: 's'.repeat(20000) })
  assert.equal((await socket.message('told')).code, 'message_unknown')
  socket.end()
})

test('TLS 1.2 and 1.3 are spoken, the older ones refused (RFC 8996)', async () => {
  assert.equal(await shake({}), 'TLSv1.3')
  assert.equal(await shake({ maxVersion: 'TLSv1.2' }), 'TLSv1.2')
  for (const version of ['TLSv1', 'TLSv1.1']) {
    const end = await shake({ minVersion: version, maxVersion: version, ciphers: 'ALL:@SECLEVEL=0' })
    assert.match(end, /PROTOCOL_VERSION|ECONNRESET|UNSUPPORTED_PROTOCOL/, version)
  }
})

test('HTTP/2 is not offered', async () => {
  const socket = connect({ port: server.port, host: '127.0.0.1', ca, ALPNProtocols: ['h2', 'http/1.1'] })
  await new Promise((done, fail) => socket.once('secureConnect', done).once('error', fail))
  assert.equal(socket.alpnProtocol, 'http/1.1')
  socket.destroy()
})

test('the certificate stands for the board\'s own names and addresses, and for no other', async () => {
  for (const servername of ['localhost', 'board.test']) assert.equal(await shake({ servername }), 'TLSv1.3', servername)
  assert.equal(await shake({ servername: 'evil.test' }), 'ERR_TLS_CERT_ALTNAME_INVALID')
  assert.equal(await shake({ ca: undefined }), 'UNABLE_TO_VERIFY_LEAF_SIGNATURE')
})

test('a foreign host or origin is refused over TLS as without, a page that came by http among them', async () => {
  assert.equal((await get('/', { host: 'evil.test' })).status, 403)
  for (const origin of [`http://${server.host}`, 'https://evil.test', 'null']) {
    await assert.rejects(open(server.port, { tls: { ca }, headers: { Origin: origin } }), /403/, origin)
  }
})

test('who speaks plain HTTP to the port is told to write https, whatever was asked for', async () => {
  for (const path of ['/', '/helm', '/log', '/authority.crt']) {
    const reply = await request(server.port, `GET ${path} HTTP/1.1`)
    assert.equal(reply.status, 403, path)
    assert.equal(reply.text, 'This board speaks https: write https:// before its address.\n')
  }
  for (const scheme of ['http', 'https']) {
    await assert.rejects(open(server.port, { headers: { Origin: `${scheme}://${server.host}` } }), /403/)
  }
  const line = await Line.open(server.port)
  line.write(upgradeText(server.port, { headers: { Upgrade: 'h2c' } }))
  assert.ok((await line.hungUp()) < 2000)
  assert.doesNotMatch(line.bytes.toString('latin1'), /^HTTP\/1\.1 [12]/)
})

test('the authority\'s certificate is there for phones to install, its key is not', async () => {
  const reply = await get('/authority.crt')
  assert.equal(reply.headers['content-type'], 'application/x-x509-ca-cert')
  assert.equal(new X509Certificate(reply.body).fingerprint256, new X509Certificate(ca).fingerprint256)
  assert.doesNotMatch(reply.text, /PRIVATE/)
  for (const name of ['tls-authority.pem', 'tls-board.pem']) assert.equal(statSync(join(server.data, name)).mode & 0o777, 0o600, name)
})

test('handshakes that say nothing, or nonsense, are let go and take nobody\'s place', async () => {
  const silent = await Line.open(server.port, { localAddress: '127.0.0.13' })
  for (let i = 0; i < 120; i++) {
    const line = await Line.open(server.port, { localAddress: '127.0.0.14' })
    line.write(Buffer.from([0x16, 3, 1, 0, 5, 1, 2, 3, 4, 5]))
    await line.hungUp(3000)
  }
  assert.equal((await request(server.port, 'GET / HTTP/1.1', {}, { tls: { ca }, localAddress: '127.0.0.14' })).status, 200)
  const ms = await silent.hungUp(14000)
  assert.ok(ms > 2000 && ms < 13000, `closed after ${ms} ms`)
})

test('the authority stays the same over a start, and a phone that trusts it trusts on', async () => {
  const first = await startServer({ args: ['--tls'] })
  const pem = (name) => readFileSync(join(first.data, name), 'utf8')
  const before = [pem('tls-authority.pem'), pem('tls-board.pem')]
  assert.match(first.output(), /authority was made just now/)
  assert.equal(await first.stop(), 0)
  const again = await startServer({ data: first.data, args: ['--tls'] })
  assert.deepEqual([pem('tls-authority.pem'), pem('tls-board.pem')], before)
  assert.doesNotMatch(again.output(), /made just now/)
  assert.equal(await again.stop(), 0)
})

test('--tls-cert and --tls-key: the owner\'s own, and the first name in the join code', async () => {
  const folder = scratch()
  const [cert, key, weak] = ['cert.pem', 'key.pem', 'weak.pem'].map((name) => join(folder, name))
  const make = (...how) => execFileSync('openssl', ['req', '-x509', '-nodes', '-subj', '/CN=petrel.test', '-days', '30',
    '-addext', 'subjectAltName=DNS:petrel.test', ...how], { stdio: 'ignore' })
  make('-newkey', 'rsa:2048', '-keyout', key, '-out', cert)
  const own = await startServer({ args: ['--tls-cert', cert, '--tls-key', key, '--name', 'petrel.test'] })
  assert.match(own.output(), new RegExp(`https://petrel\\.test:${own.port}/#k=`))
  assert.doesNotMatch(own.output(), /authority/)
  const host = `petrel.test:${own.port}`
  const tls = { ca: readFileSync(cert), servername: 'petrel.test' }
  assert.equal((await request(own.port, 'GET / HTTP/1.1', { host }, { tls })).status, 200)
  assert.equal((await request(own.port, 'GET /authority.crt HTTP/1.1', { host }, { tls })).status, 404)
  assert.equal(await own.stop(), 0)

  const port = String(await freePort())
  const givesUp = async (code, words, ...args) => {
    const end = await run(['--data', scratch(), '--port', port, ...args])
    assert.equal(end.code, code, JSON.stringify(end))
    assert.match(end.err, words)
  }
  await givesUp(64, /go together/, '--tls-cert', cert)
  await givesUp(66, /no certificate in .*none\.pem/, '--tls-cert', join(folder, 'none.pem'), '--tls-key', key)
  await givesUp(65, /private key/, '--tls-cert', cert, '--tls-key', cert)
  make('-newkey', 'rsa:1024', '-keyout', weak, '-out', join(folder, 'weak-cert.pem'))
  await givesUp(65, /belong together/, '--tls-cert', cert, '--tls-key', weak)
  await givesUp(65, /TLS does not take the certificate/, '--tls-cert', join(folder, 'weak-cert.pem'), '--tls-key', weak)
  writeFileSync(cert, 'no certificate')
  await givesUp(65, /no certificate/, '--tls-cert', cert, '--tls-key', key)
})
