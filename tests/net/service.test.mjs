// The unit for systemd: that systemd takes it and how open it finds it, and that the board works within its limits.
//
// No systemd runs here. Tried as they are: the file (systemd-analyze verify), the figure (systemd-analyze security), a user without rights and
// no new ones, a file system that is read-only but for the data folder, the limit of open files. Tried by what the program does: each system
// call and each family of sockets it uses is among those allowed; no memory is both written and run; what it tells the service manager,
// to a socket of the test's. Not tried: the namespaces of users, IPC
// and devices, ProtectProc, and the filter of IP addresses.

import assert from 'node:assert/strict'
import { execFileSync, spawn, spawnSync } from 'node:child_process'
import { chmodSync, chownSync, copyFileSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { after, before, test } from 'node:test'
import { compile, endAll, hello, PROGRAM, scratch, sleep, startServer } from './server.mjs'
import { slowDisk } from './slow_disk.mjs'
import { open, request } from './ws.mjs'

const UNIT = join(dirname(fileURLToPath(import.meta.url)), '../../server/sternboard.service.in')
const EXPOSURE_MAX = 1.0 // systemd 252; 0 is shut, 10 open

after(endAll)

const has = (command) => spawnSync('sh', ['-c', `command -v ${command}`]).status === 0
const unit = readFileSync(UNIT, 'utf8')
const values = (name) => [...unit.matchAll(new RegExp(`^${name}=(.*)$`, 'gm'))].flatMap((match) => match[1].split(' '))
const skip = !has('systemd-analyze') && 'no systemd-analyze here'

let path

before(() => {
  const folder = scratch()
  symlinkSync(resolve(PROGRAM), join(folder, 'sternboard'))
  path = join(folder, 'sternboard.service')
  writeFileSync(path, unit.replaceAll('@bindir@', folder))
})

test('systemd takes the unit as it is', { skip }, () => {
  const end = spawnSync('systemd-analyze', ['verify', path], { encoding: 'utf8' })
  assert.equal(end.stderr + end.stdout, '')
  assert.equal(end.status, 0)
})

test(`systemd finds it no more open than ${EXPOSURE_MAX} of 10`, { skip }, (t) => {
  const text = execFileSync('systemd-analyze', ['security', '--offline=true', '--no-pager', path], { encoding: 'utf8' })
  const [, exposure] = /Overall exposure level for \S+: ([\d.]+)/.exec(text)
  t.diagnostic(`systemd-analyze security: ${exposure}`)
  assert.ok(Number(exposure) <= EXPOSURE_MAX, exposure)
})

/** The names of a filter's system calls, groups opened. */
function calls(group, all) {
  const start = all.indexOf(`\n${group}\n`)
  assert.ok(start >= 0, group)
  const body = all.slice(start + group.length + 2).split(/\n(?=@)/)[0]
  return body.split('\n').map((line) => line.trim()).filter((line) => line && !line.startsWith('#'))
    .flatMap((name) => (name.startsWith('@') ? calls(name, all) : [name]))
}

/** A crew page joins and calls; the page is fetched. */
async function use(server) {
  assert.equal((await request(server.port, 'GET / HTTP/1.1')).status, 200)
  const socket = await open(server.port)
  const first = hello({ key: server.keys().crew })
  socket.json(first)
  await socket.message('fresh_end')
  socket.json({ t: 'tap', id: `${first.page}.e.1`, kind: 'overboard', v: 1, ago_ms: 0, body: {} })
  const { seq } = await socket.message('answer')
  for (let up_to = 0; up_to < seq;) ({ up_to } = await socket.message('saved'))
  socket.end()
}

test('every system call and family of sockets that the board uses is allowed', { skip: skip || (!has('strace') && 'no strace here') }, async () => {
  const trace = join(scratch(), 'trace')
  const boss = await manager()
  const server = await startServer({ command: ['strace', '-f', '-qq', '-o', trace], args: ['--tls'], env: watched(boss) })
  const plain = await startServer({ command: ['strace', '-f', '-qq', '-A', '-o', trace] })
  await use(plain)
  for (const one of [server, plain]) {
    execFileSync('pkill', ['-TERM', '-P', String(one.pid)])
    assert.equal((await one.ended).code, 0)
  }
  boss.end()
  const text = readFileSync(trace, 'utf8')
  const used = new Set([...text.matchAll(/^\d+ +(\w+)\(/gm)].map((match) => match[1]))
  assert.ok(used.has('accept4') && used.has('fdatasync') && used.has('sendto'), [...used].join(' '))
  const all = '\n' + execFileSync('systemd-analyze', ['syscall-filter', '--no-pager'], { encoding: 'utf8' })
  const filters = values('SystemCallFilter')
  const allowed = new Set([...calls('@default', all), ...calls('@system-service', all)])
  const denied = filters.slice(filters.findIndex((word) => word.startsWith('~'))).map((word) => word.replace('~', ''))
  assert.deepEqual([filters[0], ...denied], ['@system-service', '@privileged', '@resources'])
  for (const group of denied) for (const name of calls(group, all)) allowed.delete(name)
  // The thread that works out debriefs makes itself nice where it may; the service refuses it that, and it does without.
  allowed.add('setpriority')
  // SQLite gives its files' owner to those beside them when it is root, which the service never is (os_unix.c, robustFchown).
  if (process.getuid() === 0) allowed.add('fchown')
  assert.deepEqual([...used].filter((name) => !allowed.has(name)), [])
  const families = new Set([...text.matchAll(/ socket\((AF_\w+)/g)].map((match) => match[1]))
  assert.deepEqual([...families].filter((name) => !values('RestrictAddressFamilies').includes(name)), [])
})

test('no memory of the board is both written and run', async () => {
  const server = await startServer()
  await use(server)
  const maps = readFileSync(`/proc/${server.pid}/maps`, 'utf8')
  assert.ok(maps.includes('libwebsockets'))
  assert.doesNotMatch(maps, /^\S+ .wx/m)
  assert.equal(await server.stop(), 0)
})

test('it works as nobody, without rights, on a machine that is read-only but for its data', async (t) => {
  if (process.getuid() !== 0 || spawnSync('unshare', ['-m', 'true']).status !== 0) return t.skip('no right to mount here')
  const folder = scratch()
  const data = scratch()
  const program = join(folder, 'sternboard')
  copyFileSync(PROGRAM, program)
  chmodSync(program, 0o755)
  chmodSync(folder, 0o755)
  chownSync(data, 65534, 65534)
  const inside = 'mount --bind "$1" "$1" && mount -o remount,bind,ro / && ! touch /sternboard-was-here 2>/dev/null && shift && exec "$@"'
  const command = ['unshare', '-m', 'sh', '-c', inside, 'sh', data, 'prlimit', '--nofile=1024:1024', 'setpriv', '--reuid=65534', '--regid=65534',
    '--clear-groups', '--no-new-privs', '--bounding-set=-all', '--inh-caps=-all']
  const server = await startServer({ data, command, at: program })
  await use(server)
  const status = readFileSync(`/proc/${server.pid}/status`, 'utf8')
  assert.match(status, /^NoNewPrivs:\t1$/m)
  assert.match(status, /^CapEff:\t0+$/m)
  assert.match(status, /^CapBnd:\t0+$/m)
  assert.equal(await server.stop(), 0)
})

/** A service manager's socket, and all that was told to it: [word, ms]. */
async function manager() {
  const path = join(scratch(), 'notify')
  const child = spawn(compile(['net/datagrams.c']), [path], { stdio: ['ignore', 'pipe', 'inherit'] })
  const told = []
  await new Promise((done) => child.stdout.on('data', (text) => {
    for (const word of String(text).trim().split('\n')) if (word === 'listening') done()
    else told.push([word, performance.now()])
  }))
  return { path, told, words: () => told.map(([word]) => word), end: () => child.kill('SIGKILL') }
}

const WATCHDOG_MS = 1000
const watched = ({ path }, more = {}) => ({ NOTIFY_SOCKET: path, WATCHDOG_USEC: String(WATCHDOG_MS * 1000), ...more })

test('the unit asks for what the board tells', () => {
  assert.deepEqual([values('Type'), values('NotifyAccess')], [['notify'], ['main']])
  assert.ok(Number(values('WatchdogSec')[0]) >= 5, 'a stall of the loop that ends by itself is no reason to start again')
})

test('the service manager is told READY once, a live loop twice in its time though the disk hangs, STOPPING, and nothing by a loop that hangs', async () => {
  const boss = await manager()
  const disk = slowDisk()
  const server = await startServer({ env: { ...disk.env, ...watched(boss) } })
  await sleep(WATCHDOG_MS)
  assert.equal(boss.words()[0], 'READY=1')
  disk.stall()
  await sleep(3 * WATCHDOG_MS)
  disk.go()
  const times = boss.told.slice(1).map(([, at]) => at)
  assert.ok(times.length >= 6, `${times.length} in four times its time`)
  for (const [i, at] of times.slice(1).entries()) assert.ok(at - times[i] < WATCHDOG_MS, `${at - times[i]} ms between two`)
  server.signal('SIGSTOP')
  await sleep(100)
  const before = boss.told.length
  await sleep(WATCHDOG_MS)
  assert.equal(boss.told.length, before)
  server.signal('SIGCONT')
  assert.equal(await server.stop(), 0)
  const words = boss.words()
  assert.equal(words.filter((word) => word === 'READY=1').length, 1)
  assert.equal(words.filter((word) => word === 'STOPPING=1').length, 1)
  assert.deepEqual(words.filter((word) => !['READY=1', 'STOPPING=1', 'WATCHDOG=1'].includes(word)), [])
  boss.end()
})

test('a watchdog that is another process\'s is not fed; a socket that is none is said, and the board goes on', async () => {
  const boss = await manager()
  const server = await startServer({ env: watched(boss, { WATCHDOG_PID: '1' }) })
  await sleep(WATCHDOG_MS)
  assert.deepEqual(boss.words(), ['READY=1'])
  assert.equal(await server.stop(), 0)
  boss.end()
  for (const [path, words] of [['nowhere', /NOTIFY_SOCKET is no path of a socket/], [join(scratch(), 'none'), /could not be told that the board is ready: No such file/]]) {
    const alone = await startServer({ env: watched({ path }) })
    await use(alone)
    assert.match(alone.output(), words)
    assert.equal(await alone.stop(), 0)
  }
})
