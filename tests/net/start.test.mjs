// The program from its start to its end: what it says, what it refuses to start on and with which exit code, how it stops, and
// that a disk which stalls stops nothing. The codes are those of sysexits(3), as server/err.h lists them.

import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { chmodSync, copyFileSync, existsSync, mkdirSync, openSync, readdirSync, readFileSync, statSync, writeFileSync, writeSync } from 'node:fs'
import { createServer } from 'node:net'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { after, test } from 'node:test'
import { endAll, freePort, hello, PROGRAM, run, scratch, sleep, startServer } from './server.mjs'
import { slowDisk } from './slow_disk.mjs'
import { open, request } from './ws.mjs'

after(endAll)

const HERE = dirname(fileURLToPath(import.meta.url))

/** Starts a program that is expected to give up: checks its code, and that it says one sentence which names what to do. */
async function givesUp(code, words, args, options) {
  const end = await run(args, options)
  assert.equal(end.code, code, `${JSON.stringify(end)}`)
  assert.match(end.err, /^sternboard: [^\n]+[.]\n$/)
  assert.match(end.err, words)
  assert.equal(end.out, '')
}

/** A data folder in which a board has been and gone. */
async function used() {
  const server = await startServer()
  assert.equal(await server.stop(), 0)
  return server.data
}

async function join_(server, extra = {}) {
  const socket = await open(server.port)
  const first = hello({ key: server.keys().crew, ...extra })
  socket.json(first)
  socket.page = first.page
  socket.welcome = await socket.message('welcome')
  await socket.message('fresh_end')
  return socket
}

const overboard = (socket, n = 1) => ({ t: 'tap', id: `${socket.page}.e.${n}`, kind: 'overboard', v: 1, ago_ms: 0, body: {} })

test('a start says how to join, where the data lies, and what the board is not', async () => {
  const server = await startServer({ args: ['--name', 'board.test'] })
  const text = server.output()
  const { crew, helm } = server.keys()
  assert.match(crew, /^[0-9A-Z]{26}$/)
  assert.match(helm, /^\d{4}$/)
  assert.match(text, new RegExp(`http://\\d+\\.\\d+\\.\\d+\\.\\d+:${server.port}/#k=${crew}\n`))
  assert.match(text, /http:\/\/\S+\/guest#k=[0-9A-Z]{26}\n/)
  assert.match(text, new RegExp(`http://\\S+/helm#k=${crew}\nand takes the helm with the number ${helm}\n`))
  assert.match(text, /It also answers to the name board\.test\n/)
  assert.ok(text.includes(server.data))
  assert.match(text, /The board is no safety equipment and never the only alarm\. Shout first/)
  const rows = text.split('\n').filter((line) => /^[█▀▄ ]+$/.test(line))
  assert.ok(rows.length >= 18, 'a code to scan')
  assert.equal(new Set(rows.map((row) => row.length)).size, 1)
  assert.doesNotMatch(text, /\x1b/, 'no colours where no terminal is')
  assert.equal(statSync(server.data).mode & 0o777, 0o700)
  for (const name of readdirSync(server.data)) assert.equal(statSync(join(server.data, name)).mode & 0o077, 0, name)
  assert.equal(await server.stop(), 0)
})

test('the address on the screen leads in', async () => {
  const server = await startServer()
  const [, address, port, key] = /http:\/\/([\d.]+):(\d+)\/#k=(\S+)/.exec(server.output())
  assert.equal(Number(port), server.port)
  const page = await request(server.port, 'GET / HTTP/1.1', { host: `${address}:${port}` }, { address })
  assert.equal(page.status, 200)
  const socket = await open(server.port, { address, headers: { Host: `${address}:${port}`, Origin: `http://${address}:${port}` } })
  socket.json(hello({ key }))
  assert.equal((await socket.message('welcome')).from, 'crew')
  socket.end()
  assert.equal(await server.stop(), 0)
})

test('the key is the same at every start, and a device is known again', async () => {
  const server = await startServer()
  const socket = await join_(server)
  const { token, device, log_id } = socket.welcome
  const key = server.keys().crew
  await sleep(300)
  assert.equal(await server.stop(), 0)
  assert.doesNotMatch(readFileSync(join(server.data, 'keys'), 'utf8'), new RegExp(token), 'tokens are kept as hashes')
  const again = await startServer({ data: server.data })
  assert.equal(again.keys().crew, key)
  const back = await join_(again, { key: undefined, token })
  assert.deepEqual([back.welcome.from, back.welcome.device, back.welcome.log_id], ['crew', device, log_id])
  assert.notEqual(back.welcome.run, socket.welcome.run)
  back.end()
  assert.equal(await again.stop(), 0)
})

test('--quiet says nothing; --version and --help say it and end', async () => {
  const server = await startServer({ args: ['--quiet'] })
  assert.equal(await server.stop(), 0)
  assert.equal(server.output(), '')
  const version = await run(['--version'])
  assert.deepEqual([version.code, version.err], [0, ''])
  assert.match(version.out, /^sternboard \d+\.\d+\.\d+\n$/)
  const help = await run(['--help'])
  assert.equal(help.code, 0)
  for (const word of ['--data', '--port', '--address', '--name', '--quiet', 'verify', 'dump', 'show', 'backup', 'Exit codes']) {
    assert.ok(help.out.includes(word), word)
  }
})

test('sh server/start --help says how each command is called from there, and neither installs nor builds', () => {
  const copy = join(scratch(), 'server')
  mkdirSync(copy)
  for (const name of ['start', 'setup.sh', 'help.txt']) copyFileSync(join(HERE, '../../server', name), join(copy, name))
  const help = execFileSync('sh', [join(copy, 'start'), '--help'], { encoding: 'utf8' })
  for (const word of ['--demo', '--data DIR', ...['verify', 'dump', 'show', 'backup', 'restore'].map((name) => `sh server/start ${name} `)]) {
    assert.ok(help.includes(word), word)
  }
  assert.deepEqual(readdirSync(dirname(copy)), ['server'])
})

test('without --data the log lies in a folder of the user\'s own, made with all above it', async () => {
  const home = scratch()
  const port = await freePort()
  const server = run(['--port', String(port), '--quiet'], { env: { HOME: home, XDG_DATA_HOME: '' }, command: ['timeout', '-s', 'TERM', '2'] })
  await server
  assert.ok(existsSync(join(home, '.local/share/sternboard/board.db')))
  assert.ok(existsSync(join(home, '.local/share/sternboard/keys')))
})

test('--address listens there and nowhere else', async () => {
  const server = await startServer({ args: ['--address', '127.0.0.1'] })
  assert.match(server.output(), new RegExp(`http://127\\.0\\.0\\.1:${server.port}/#k=`))
  await assert.rejects(request(server.port, 'GET / HTTP/1.1', {}, { address: '127.0.0.2' }), /ECONNREFUSED/)
  assert.equal(await server.stop(), 0)
})

test('a command line that makes no sense: 64', async () => {
  await givesUp(64, /--colour is not known: try --help/, ['--colour'])
  await givesUp(64, /"sail" is no command/, ['sail'])
  await givesUp(64, /A port is a number/, ['--port', '70000'])
  await givesUp(64, /plain name/, ['--data', scratch(), '--name', 'a/b'])
  await givesUp(64, /no address 203\.0\.113\.7/, ['--data', scratch(), '--address', '203.0.113.7'])
  await givesUp(64, /no address here/, ['--data', scratch(), '--address', 'here'])
})

test('a file that is another program\'s, or damaged: 65', async () => {
  const foreign = scratch()
  writeFileSync(join(foreign, 'board.db'), 'This is a letter, not a log. '.repeat(400))
  await givesUp(65, /board\.db/, ['--data', foreign])
  assert.match(readFileSync(join(foreign, 'board.db'), 'utf8'), /^This is a letter/, 'what is not ours is not touched')

  const other = await used()
  patch(join(other, 'board.db'), 68, Buffer.from([0, 0, 0, 9])) // application_id: sqlite.org/fileformat.html, 1.3
  await givesUp(65, /board\.db/, ['--data', other])

  const damaged = await used()
  writeFileSync(join(damaged, 'keys'), 'sternboard keys 1\ncrew x\n')
  await givesUp(65, /keys/, ['--data', damaged])
})

test('a log of a newer release: 78', async () => {
  const data = await used()
  patch(join(data, 'board.db'), 60, Buffer.from([0, 0, 0, 200])) // user_version
  await givesUp(78, /newer/, ['--data', data])
})

test('a command on a log that is not there: 66', async () => {
  for (const command of ['verify', 'dump', 'show']) await givesUp(66, /./, [command, '--data', join(scratch(), 'none')])
})

test('a port in use: 69', async () => {
  const port = await freePort()
  const other = createServer()
  await new Promise((done) => other.listen(port, '127.0.0.1', done))
  await givesUp(69, new RegExp(`Port ${port} is in use: .*--port`), ['--data', scratch(), '--port', String(port)])
  const fresh = join(scratch(), 'board')
  await givesUp(69, /in use/, ['--data', fresh, '--port', String(port)])
  assert.ok(!existsSync(fresh), 'no folder is made for a board that cannot start')
  await givesUp(69, /in use/, ['--data', scratch(), '--port', String(port), '--address', '127.0.0.1'])
  other.close()
})

test('a second board on the same data: 75, and the first goes on', async () => {
  const server = await startServer()
  await givesUp(75, /another|already/i, ['--data', server.data, '--port', String(await freePort())])
  await givesUp(75, /another|already/i, ['--data', server.data, '--port', String(server.port)])
  assert.equal((await request(server.port, 'GET / HTTP/1.1')).status, 200)
  assert.equal(await server.stop(), 0)
})

const nobody = process.getuid() === 0 ? ['setpriv', '--reuid=65534', '--regid=65534', '--clear-groups'] : []

test('a folder that cannot be written: 73', async () => {
  const folder = scratch()
  const program = join(folder, 'sternboard') // somebody else may run it here; a checkout may lie where root alone may look
  copyFileSync(PROGRAM, program)
  chmodSync(folder, 0o755)
  chmodSync(program, 0o755)
  const locked = join(folder, 'locked')
  mkdirSync(locked, { mode: 0o555 })
  const nowhere = join(folder, 'file')
  writeFileSync(nowhere, '')
  for (const data of [locked, join(locked, 'below'), nowhere, join(nowhere, 'below')]) {
    const port = String(await freePort())
    await givesUp(73, /./, ['--data', data, '--port', port, '--quiet'], { command: nobody, at: program, timeout_ms: 5000 })
  }
})

for (const signal of ['SIGINT', 'SIGTERM']) {
  test(`${signal}: what was tapped is saved, every screen is told goodbye, exit code 0`, async () => {
    const server = await startServer()
    const sockets = [await join_(server), await join_(server)]
    sockets[0].json(overboard(sockets[0]))
    assert.equal((await sockets[1].message('alarm')).entry.kind, 'overboard')
    const { seq } = await sockets[0].message('answer')
    server.signal(signal)
    const ends = await Promise.all(sockets.map((socket) => socket.closed(5000)))
    const pulses = ends[1].frames.flatMap(({ data }) => data.toString().split('\n')).map((line) => JSON.parse(line)).filter(({ t }) => t === 'pulse')
    assert.ok(pulses.at(-1).saved_up_to >= seq, 'and how far it is saved, those too who did not tap')
    assert.deepEqual(ends.map((end) => end.code), [1001, 1001])
    assert.deepEqual(await server.ended, { code: 0, signal: null })
    const dump = await run(['dump', '--data', server.data])
    assert.equal(dump.code, 0)
    const entries = dump.out.trim().split('\n').map((line) => JSON.parse(line))
    assert.equal(entries.filter((entry) => entry.kind === 'overboard').length, 1)
    const verify = await run(['verify', '--data', server.data])
    assert.equal(verify.code, 0, verify.out + verify.err)
  })
}

test('a tap that was told saved is there after a kill', async () => {
  const server = await startServer()
  const socket = await join_(server)
  socket.json(overboard(socket))
  const { seq } = await socket.message('answer')
  for (let up_to = 0; up_to < seq;) ({ up_to } = await socket.message('saved'))
  await server.kill()
  const again = await startServer({ data: server.data, port: server.port })
  const dump = await run(['dump', '--data', server.data])
  assert.ok(dump.out.split('\n').some((line) => line.includes(`${socket.page}.e.1`)))
  assert.equal(await again.stop(), 0)
})

/** A server on a disk that can be made to stall. */
async function onSlowDisk() {
  const { env, stall, go } = slowDisk()
  return { server: await startServer({ env }), stall, go }
}

test('while the disk stalls an overboard call reaches every screen within 100 ms, and the pulse goes on', async () => {
  const { server, stall, go } = await onSlowDisk()
  const sockets = []
  for (let i = 0; i < 20; i++) sockets.push(await join_(server))
  await sleep(300)
  stall()
  sockets[0].json(overboard(sockets[0]))
  await Promise.all(sockets.map((socket) => socket.message('alarm')))
  await sleep(1500)
  // Once more with a batch stuck in the disk: from here on the writer waits, and only the writer.
  const caller = sockets[1]
  const began = process.hrtime.bigint()
  caller.json({ ...overboard(caller), ago_ms: 0 })
  await Promise.all(sockets.map(async (socket) => {
    for (;;) {
      const { entry } = await socket.message('alarm', 2000)
      if (entry.id === `${caller.page}.e.1`) return
    }
  }))
  const ms = Number(process.hrtime.bigint() - began) / 1e6
  assert.ok(ms < 100, `${ms} ms`)
  const until = Date.now() + 3500
  let pulses = 0
  let saved_up_to
  let disk
  while (Date.now() < until) {
    const pulse = await sockets[2].message('pulse', 1000)
    pulses++
    saved_up_to ??= pulse.saved_up_to
    assert.equal(pulse.saved_up_to, saved_up_to, 'nothing is told saved')
    disk = pulse.disk
  }
  assert.ok(pulses >= 7, `${pulses} pulses in 3.5 s`)
  assert.equal(disk, 'slow')
  assert.equal((await request(server.port, 'GET / HTTP/1.1')).status, 200)
  go()
  for (let up_to = 0; up_to <= saved_up_to;) ({ up_to } = await caller.message('saved', 3000))
  let told = 0
  for (let i = 0; i < 20 && told <= saved_up_to; i++) ({ saved_up_to: told } = await sockets[2].message('pulse', 3000))
  assert.ok(told > saved_up_to, 'and everybody else by a pulse')
  sockets.forEach((socket) => socket.end())
  assert.equal(await server.stop(), 0)
})

test('a stop on a stalled disk waits for it, and loses nothing', async () => {
  const { server, stall, go } = await onSlowDisk()
  const socket = await join_(server)
  await sleep(300)
  stall()
  socket.json(overboard(socket))
  await socket.message('alarm')
  server.signal('SIGTERM')
  await sleep(1000)
  assert.equal(socket.line.over, false, 'the screens are kept until all is saved')
  go()
  assert.equal((await socket.closed(5000)).code, 1001)
  assert.equal((await server.ended).code, 0)
  const dump = await run(['dump', '--data', server.data])
  assert.ok(dump.out.includes(`${socket.page}.e.1`))
})

function patch(path, offset, bytes) {
  const file = openSync(path, 'r+')
  writeSync(file, bytes, 0, bytes.length, offset)
}
