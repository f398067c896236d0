// The program on disks that fail, fill up, turn read-only or come back damaged: what the terminal says, with which exit code,
// what the screens are told, what goes on, and the way on. Real files; where root and mounts are to be had, real small disks.

import assert from 'node:assert/strict'
import { execFileSync, spawnSync } from 'node:child_process'
import { closeSync, existsSync, mkdirSync, openSync, readdirSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import { after, test } from 'node:test'
import { endAll, hello, run, scratch, sleep, startServer } from './server.mjs'
import { slowDisk } from './slow_disk.mjs'
import { open } from './ws.mjs'

const mounted = new Set()

after(() => {
  for (const path of mounted) spawnSync('umount', ['-l', path])
  endAll()
})

/** A disk of its own of so many KB, as root can have one. */
function mount(path, kb) {
  execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${kb}k`, 'none', path], { stdio: 'pipe' })
  mounted.add(path)
}

function unmount(path) {
  execFileSync('umount', ['-l', path])
  mounted.delete(path)
}

function canMount() {
  const path = scratch()
  try {
    mount(path, 64)
    unmount(path)
    return true
  } catch {
    return false
  }
}

const NO_MOUNTS = canMount() ? false : 'no disk can be mounted here'

/** Writes until there is no more room. */
function fill(path) {
  const file = openSync(path, 'w')
  for (let size = 1 << 16; size >= 1; size >>= 1) {
    try {
      for (;;) writeSync(file, Buffer.alloc(size, 1))
    } catch {} // smaller pieces may still fit
  }
  closeSync(file)
}

async function join_(server, extra = {}) {
  const socket = await open(server.port)
  const first = hello({ key: server.keys().crew, ...extra })
  socket.json(first)
  socket.page = first.page
  socket.n = { o: 0, e: 0 }
  socket.welcome = await socket.message('welcome')
  return socket
}

/** Taps, and gives the answer. */
async function tap(socket, kind, lane = 'e', body = {}) {
  const id = `${socket.page}.${lane}.${++socket.n[lane]}`
  socket.json({ t: 'tap', id, kind, v: 1, ago_ms: 0, body })
  for (;;) {
    const answer = await socket.message('answer')
    if (answer.id === id) return answer
  }
}

async function pulseWith(socket, what, timeout_ms = 15000) {
  for (const until = Date.now() + timeout_ms; ;) {
    const pulse = await socket.message('pulse')
    if (what(pulse)) return pulse
    assert.ok(Date.now() < until, `the last pulse is ${JSON.stringify(pulse)}`)
  }
}

const savedUpTo = (socket, seq) => pulseWith(socket, (pulse) => pulse.saved_up_to >= seq)

async function says(server, words, timeout_ms = 15000) {
  for (const until = Date.now() + timeout_ms; !words.test(server.output()); await sleep(20)) {
    assert.ok(Date.now() < until, `not ${words} in: ${server.output()}`)
  }
}

async function entriesOf(data) {
  const verify = await run(['verify', '--data', data])
  assert.equal(verify.code, 0, verify.out + verify.err)
  const dump = await run(['dump', '--data', data])
  return dump.out.trim().split('\n').map((line) => JSON.parse(line))
}

/** A command that fails: its code, and one sentence. */
async function fails(code, words, args) {
  const end = await run(args)
  assert.equal(end.code, code, JSON.stringify(end))
  assert.match(end.err, /^sternboard: [^\n]+\n$/)
  assert.match(end.err, words)
  return end
}

const GOES_ON = /Nothing more is saved for now\. The board goes on from memory; emergencies go round, other taps wait/

/** A board on a failing disk: emergencies go round, other taps wait, nothing is told saved; then the disk works again. */
async function goesOn(server, sockets, { fail, words, mend }) {
  const before = await tap(sockets[0], 'stop')
  await savedUpTo(sockets[0], before.seq)
  fail()
  const during = await tap(sockets[0], 'overboard')
  assert.equal((await sockets[1].message('alarm')).t, 'alarm')
  const failed = await pulseWith(sockets[1], (pulse) => pulse.disk === 'failed')
  assert.ok(failed.saved_up_to < during.seq)
  await says(server, words)
  await says(server, GOES_ON)
  const kept = await tap(sockets[1], 'line_is', 'o', { line: 1, state: 'out' })
  assert.deepEqual([kept.is, kept.code], ['not_now', 'not_saving'])
  sockets[1].n.o--
  await mend()
  await savedUpTo(sockets[0], during.seq)
  assert.equal((await pulseWith(sockets[1], (pulse) => !pulse.unsaved)).disk ?? 'ok', 'ok')
  await says(server, /The disk works again: saving goes on\./)
  assert.equal((await tap(sockets[1], 'line_is', 'o', { line: 1, state: 'out' })).is, 'refused') // no trip: but it is taken
}

/** A server whose syncs fail while a test wants it. */
async function onBadDisk(options = {}) {
  const disk = slowDisk()
  return { server: await startServer({ env: disk.env, ...options }), fail: disk.fail, mend: disk.go }
}

test('a sync that fails: said everywhere, nothing told saved; when the disk works again all is saved, once', async () => {
  const { server, fail, mend } = await onBadDisk()
  const sockets = [await join_(server), await join_(server)]
  await goesOn(server, sockets, { fail, mend, words: /The disk failed at .*board\.db \(.*\)\. Check the disk\./ })
  assert.equal(await server.stop(), 0)
  const entries = await entriesOf(server.data)
  assert.equal(entries.filter((entry) => entry.id === `${sockets[0].page}.e.2`).length, 1)
  assert.deepEqual(readdirSync(server.data).filter((name) => /new|next|kept/.test(name)), [], 'the old file is gone')
})

test('a stop while syncs fail: 74, and how many entries the screens keep', async () => {
  const { server, fail } = await onBadDisk()
  const socket = await join_(server)
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  fail()
  await tap(socket, 'overboard')
  await pulseWith(socket, (pulse) => pulse.disk === 'failed')
  assert.equal(await server.stop(), 74)
  assert.match(server.output(), /\d+ entries were seen and are not saved: the screens keep them/)
})

test('a disk that turns read-only while the board runs: said everywhere; writable again, and all is saved, once', async () => {
  const disk = slowDisk()
  const server = await startServer({ env: disk.env })
  const sockets = [await join_(server), await join_(server)]
  await goesOn(server, sockets, { fail: () => disk.fail('read'), mend: disk.go, words: /The disk with .*board\.db can only be read now: its system has turned it read-only\. Check the disk\./ })
  assert.equal(await server.stop(), 0)
  const entries = await entriesOf(server.data)
  assert.equal(entries.filter((entry) => entry.id === `${sockets[0].page}.e.2`).length, 1)
})

test('a log truncated while the board runs: the board goes on; the next start says so and the way on', async () => {
  const server = await startServer()
  const socket = await join_(server)
  let seq = 0
  for (let i = 0; i < 120; i++) seq = (await tap(socket, 'line_is', 'o', { line: 1, state: 'out' })).seq
  await savedUpTo(socket, seq)
  await sleep(4000) // until the -wal is moved into the file
  truncateSync(board(server.data), Math.floor(statSync(board(server.data)).size / 8192) * 4096)
  for (let i = 0; i < 20; i++) assert.equal((await tap(socket, 'stop')).is === 'error', false)
  socket.end()
  await server.stop()
  await fails(65, /is damaged .* run `sternboard restore FILE` with the spare copy/, ['--data', server.data, '--quiet'])
  assert.ok([0, 65].includes((await run(['restore', '--data', server.data, board(server.data)])).code))
  assert.ok((await entriesOf(server.data)).length > 5)
})

test('a stop on a disk that hangs for good: 74 in a bounded time, and the last words are true', async () => {
  const disk = slowDisk()
  const server = await startServer({ env: disk.env })
  const socket = await join_(server)
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  disk.stall()
  const kept = await tap(socket, 'overboard')
  const began = Date.now()
  assert.equal(await server.stop(), 74)
  const took_ms = Date.now() - began
  assert.ok(took_ms > 9000 && took_ms < 17000, `${took_ms} ms`)
  const [answer, end] = server.output().trim().split('\n').slice(-2)
  assert.equal(answer, `sternboard: The disk with the log in ${server.data} does not answer, and is waited for no longer.`)
  assert.match(end, /^sternboard: \d+ entries were seen and are not saved: the screens keep them, and bring them back when/)
  disk.go()
  assert.equal((await entriesOf(server.data)).filter((entry) => entry.id === kept.id).length, 0, 'what was not told saved was not saved')
})

test('syncs that take two seconds each: told slow, then ok, and all is saved, once', async () => {
  const disk = slowDisk()
  const server = await startServer({ env: disk.env })
  const socket = await join_(server)
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  disk.late(2000)
  const ids = []
  let last
  for (let i = 0; i < 20; i++) ids.push((last = await tap(socket, 'line_is', 'o', { line: 1, state: 'out' })).id)
  const slow = await pulseWith(socket, (pulse) => pulse.disk === 'slow')
  assert.ok(slow.saved_up_to < last.seq)
  await savedUpTo(socket, last.seq)
  disk.go()
  await pulseWith(socket, (pulse) => (pulse.disk ?? 'ok') === 'ok')
  assert.equal(await server.stop(), 0)
  const entries = await entriesOf(server.data)
  for (const id of ids) assert.equal(entries.filter((entry) => entry.id === id).length, 1)
})

test('a full disk: said everywhere; room is made, and all is saved, once', { skip: NO_MOUNTS }, async () => {
  const data = scratch()
  mount(data, 4096)
  const server = await startServer({ data })
  const sockets = [await join_(server), await join_(server)]
  const filler = join(data, 'filler')
  await goesOn(server, sockets, { fail: () => fill(filler), mend: () => rmSync(filler), words: /The disk with .*board\.db is full\. Make room on it\./ })
  assert.equal(await server.stop(), 0)
  const entries = await entriesOf(data)
  assert.equal(entries.filter((entry) => entry.id === `${sockets[0].page}.e.2`).length, 1)
  fill(filler)
  await fails(74, /is full\. Make room on it\./, ['backup', '--data', data, join(data, 'copy.db')])
  assert.equal(existsSync(join(data, 'copy.db')), false)
})

test('a disk that can only be read: 73 at the start; verify, dump and backup still read it', { skip: NO_MOUNTS }, async () => {
  const data = scratch()
  mount(data, 8192)
  const server = await startServer({ data })
  await savedUpTo(await join_(server), 1)
  assert.equal(await server.stop(), 0)
  execFileSync('mount', ['-o', 'remount,ro', data])
  await fails(73, /cannot be (written|opened here)/, ['--data', data, '--quiet'])
  const copy = join(scratch(), 'copy.db')
  for (const args of [['verify'], ['dump'], ['backup', copy]]) {
    const end = await run([...args, '--data', data])
    assert.equal(end.code, 0, end.err)
  }
  assert.equal((await run(['restore', '--data', scratch(), data])).code, 0)
  execFileSync('mount', ['-o', 'remount,rw', data])
  const again = await startServer({ data })
  assert.equal(await again.stop(), 0)
})

/** A data folder with a few hundred rows, and what a screen remembers of it. */
async function used({ killed = false } = {}) {
  const server = await startServer()
  const socket = await join_(server)
  let seq = 0
  for (let i = 0; i < 120; i++) seq = (await tap(socket, 'line_is', 'o', { line: 1, state: 'out' })).seq
  const { up_to, chain } = await (async () => {
    for (;;) {
      const saved = await socket.message('saved')
      if (saved.up_to >= seq) return saved
    }
  })()
  const mark = { log_id: socket.welcome.log_id, seq: up_to, chain }
  socket.end()
  if (killed) await server.kill()
  else assert.equal(await server.stop(), 0)
  return { data: server.data, mark, key: server.keys().crew }
}

/** What a screen that remembers is told by a board that runs on this data. */
async function isToldBack(data, mark) {
  const server = await startServer({ data })
  const socket = await join_(server, { log: mark })
  socket.end()
  assert.equal(await server.stop(), 0)
  return Boolean(socket.welcome.log_back)
}

const board = (data) => join(data, 'board.db')

test('a whole log: no screen is told that it went backwards', async () => {
  const { data, mark } = await used({ killed: true })
  assert.equal(await isToldBack(data, mark), false)
})

test('a truncated log: 65 and the way on; restored as far as it goes, and the screens are told', async () => {
  const { data, mark } = await used()
  truncateSync(board(data), Math.floor(statSync(board(data)).size / 8192) * 4096)
  await fails(65, /is damaged .* run `sternboard restore FILE` with the spare copy, the newest backup, or the damaged file itself/, ['--data', data, '--quiet'])
  const restore = await fails(65, /is damaged: .*, so only rows 1 to \d+ are restored\. If another copy goes further, restore that one\./,
    ['restore', '--data', data, board(data)])
  assert.match(restore.out, /The log that was there is kept as .*board\.kept-1\.db\.\n/)
  const rows = await entriesOf(data)
  assert.ok(rows.length > 5 && rows.length < mark.seq)
  assert.equal(await isToldBack(data, mark), true)
})

test('bytes changed in a row: the board goes on, and says which row; restored up to it', async () => {
  const { data } = await used()
  const bytes = readFileSync(board(data))
  const at = bytes.indexOf('"n":30') < 0 ? bytes.indexOf('.o.30"') : bytes.indexOf('"n":30')
  assert.ok(at > 0)
  const got = bytes.indexOf('"got_ms":', at - 300)
  bytes[got + 9] = bytes[got + 9] === 0x31 ? 0x32 : 0x31
  writeFileSync(board(data), bytes)
  const server = await startServer({ data })
  await says(server, /The log .* is damaged: row \d+ is not as it was written\. After the trip: /)
  const socket = await join_(server)
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  assert.equal(await server.stop(), 0)
  const verify = await run(['verify', '--data', data])
  assert.equal(verify.code, 65)
  assert.match(verify.out, /row \d+: the chain breaks/)
  await fails(65, /row \d+ is not as it was written, so only rows 1 to \d+ are restored/, ['restore', '--data', data, board(data)])
  assert.ok((await entriesOf(data)).length > 20)
})

test('a page of noise: 65 at the start or in service, and a restore of whatever proves itself', async () => {
  const { data } = await used()
  const bytes = readFileSync(board(data))
  bytes.fill(0x5a, bytes.length - 8192, bytes.length - 4096)
  writeFileSync(board(data), bytes)
  await fails(65, /(damaged|cannot be read).* run `sternboard restore FILE` with the spare copy/, ['--data', data, '--quiet'])
  const restore = await run(['restore', '--data', data, board(data)])
  assert.ok([0, 65].includes(restore.code), restore.err)
  await entriesOf(data)
})

test('a lost -wal: the board starts with what the file holds, and the screens are told', async () => {
  const { data, mark } = await used({ killed: true })
  assert.ok(statSync(`${board(data)}-wal`).size > 0)
  rmSync(`${board(data)}-wal`)
  rmSync(`${board(data)}-shm`)
  assert.equal(await isToldBack(data, mark), true)
})

test('an empty file in the log\'s place: 65, and it is not begun anew in silence; restored from a backup', async () => {
  const { data, mark } = await used()
  const backup = join(data, 'backup.db')
  assert.equal((await run(['backup', '--data', data, backup])).code, 0)
  truncateSync(board(data), 0)
  await fails(65, /is empty, though this boat had one\. Run `sternboard restore FILE`/, ['--data', data, '--quiet'])
  const restore = await run(['restore', '--data', data, backup])
  assert.equal(restore.code, 0, restore.err)
  assert.match(restore.out, /is now [0-9a-f]{16}, restored from log [0-9a-f]{16} up to row \d+, and nothing is wrong with it\.\n/)
  const verify = await run(['verify', '--data', data])
  assert.match(verify.out, /\nrestored from log [0-9a-f]{16} up to row \d+; its chain begins from log [0-9a-f]{16}\n/)
  assert.equal(await isToldBack(data, mark), true, 'a restored log is another, even when no row is missing')
})

test('a restore beside a running board: 75, and nothing is changed', async () => {
  const { data } = await used()
  const backup = join(data, 'backup.db')
  assert.equal((await run(['backup', '--data', data, backup])).code, 0)
  const server = await startServer({ data })
  await fails(75, /Another server is running on the data/, ['restore', '--data', data, backup])
  assert.equal(await server.stop(), 0)
  await fails(66, /There is no log/, ['restore', '--data', data, join(data, 'none')])
  await fails(65, /is not a sternboard log|belongs to another program/, ['restore', '--data', data, join(data, 'keys')])
  await fails(64, /Say which file/, ['restore', '--data', data])
})

// ---- the spare copy ------------------------------------------------------------------------------------------------------

const spareOf = (socket, state) => pulseWith(socket, (pulse) => (pulse.spare ?? 'none') === state, 30000)

test('a spare copy on the same disk is kept, and said to be no help against its loss', async () => {
  const stick = scratch()
  const server = await startServer({ args: ['--spare', stick] })
  const socket = await join_(server)
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  await spareOf(socket, 'current')
  await says(server, /The spare copy in .* is whole, up to row \d+\./)
  assert.match(server.output(), /lies on the same disk as the log/)
  assert.equal(await server.stop(), 0)
  const [log, spare] = await Promise.all([run(['dump', '--data', server.data]), run(['dump', '--data', stick])])
  assert.equal(spare.out, log.out)
  assert.equal((await run(['verify', stick])).code, 0)
})

test('no stick at the start: the board starts all the same, says so, and begins the copy when it is there', async () => {
  const stick = join(scratch(), 'stick')
  const server = await startServer({ args: ['--spare', stick] })
  const socket = await join_(server)
  await spareOf(socket, 'stopped')
  await says(server, /The spare copy in .* has stopped\. There is no folder .*\. Put the stick in, or make the folder on it\./)
  mkdirSync(stick)
  await spareOf(socket, 'current')
  assert.equal(await server.stop(), 0)
  assert.equal((await run(['verify', stick])).code, 0)
})

test('a stick pulled out, put in again, and full: taps are saved as before, the copy stops in words and catches up', { skip: NO_MOUNTS }, async () => {
  const stick = scratch()
  mount(stick, 1024)
  const server = await startServer({ args: ['--spare', stick] })
  const socket = await join_(server)
  await spareOf(socket, 'current')
  unmount(stick)
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  mount(stick, 1024) // another stick: empty
  await savedUpTo(socket, (await tap(socket, 'stop')).seq)
  await sleep(500)
  const filler = join(stick, 'filler')
  fill(filler)
  let slowest_ms = 0
  for (let i = 0; i < 150; i++) {
    const began = Date.now()
    const { seq } = await tap(socket, 'line_is', 'o', { line: 1, state: 'out' })
    slowest_ms = Math.max(slowest_ms, Date.now() - began)
    if (i % 30 === 29) await savedUpTo(socket, seq)
  }
  assert.ok(slowest_ms < 1000, `${slowest_ms} ms`)
  await spareOf(socket, 'stopped')
  await says(server, /The spare copy in .* has stopped\. The disk with .* is full\. Make room on it\. The log itself is saved as before\./)
  rmSync(filler)
  await spareOf(socket, 'current')
  assert.equal(await server.stop(), 0)
  const [log, spare] = await Promise.all([run(['dump', '--data', server.data]), run(['dump', '--data', stick])])
  assert.equal(spare.out, log.out)
  const restored = scratch()
  const restore = await run(['restore', '--data', join(restored, 'boat'), stick])
  assert.equal(restore.code, 0, restore.err)
})

test('a spare copy in the log\'s own folder: 64', async () => {
  const data = scratch()
  await fails(64, /--spare names the folder of the log itself/, ['--data', data, '--spare', data])
})
