// bench - the board beside its rivals, in one run: prints Markdown and writes bench.json. Started by tests/bench.
//
//   node tests/load/bench.mjs BUILD OBVIOUS PART...     parts: taps flood start memory page; all of them unless named
//
// OBVIOUS: the folder with the packages of the obvious build (obvious.mjs). Every program runs alone, one after another, on loopback,
// with its load from the same machine: figures of one run are for comparison with one another, and not to be promised.

import { execFile, spawn } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { connect } from 'node:net'
import { cpus, totalmem } from 'node:os'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { pages } from './pages.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
const ROWS = join(HERE, '../logs/0.1.0-trip.jsonl')
const [build, obvious, ...named] = process.argv.slice(2).map((word, i) => (i < 2 ? resolve(word) : word))
const PARTS = named.length ? named : ['taps', 'flood', 'start', 'memory', 'page']
const SIZES = [2, 16, 64, 200]
const FLOODS = [[2, 1], [2, 32], [16, 1], [16, 4], [64, 1], [200, 1]] // pages, and the taps that each has under way
const TAPS = 300
const PERIOD_US = 30000 // a page may send 40 taps in a second
const run = promisify(execFile)
const pause = (ms) => new Promise((done) => setTimeout(done, ms))
const SERVER = join(build, 'server/sternboard')
const load = (name) => join(build, 'tests/load', name)
const scratch = mkdtempSync(join(build, 'data.'))
const falls = []
const results = {}
let port = 20000 + (process.pid % 9000)

// ---- programs ------------------------------------------------------------------------------------------------------------

function answers(at) {
  return new Promise((done) => {
    const socket = connect(at, '127.0.0.1', () => socket.destroy() && done(true)).on('error', () => done(false))
  })
}

/** A program that listens, until `stop`. */
async function start(command, args, { cwd, stderr = 'inherit' } = {}) {
  const child = spawn(command, args, { cwd, stdio: ['ignore', 'ignore', stderr] })
  const gone = new Promise((done) => child.on('exit', done))
  const end = () => child.kill('SIGKILL')
  process.on('exit', end)
  gone.then(() => process.off('exit', end))
  const began = performance.now()
  while (!(await answers(port))) {
    if (child.exitCode !== null || performance.now() - began > 60000) throw new Error(`${command} does not listen`)
    await pause(2)
  }
  return { pid: child.pid, ready_ms: performance.now() - began, stop: () => child.kill('SIGINT') && gone }
}

/** The board, with its keys. */
async function startBoard(data) {
  const server = await start(SERVER, ['--data', data, '--port', String(++port), '--quiet'])
  const keys = readFileSync(join(data, 'keys'), 'utf8')
  const key = (name) => new RegExp(`^${name} (\\S+)`, 'm').exec(keys)[1]
  return { ...server, crew: key('crew'), helm: key('helm') }
}

async function figures(program, ...args) {
  const { stdout } = await run(load(program), args.map(String), { maxBuffer: 1 << 20 })
  return stdout.trim().split(' ').map(Number)
}

/** A trip of so many entries; made once and kept, for the longest takes a while. */
async function tripOf(entries) {
  const data = join(build, 'trips', String(entries))
  if (!existsSync(join(data, 'keys'))) {
    rmSync(data, { recursive: true, force: true })
    mkdirSync(data, { recursive: true })
    await run(load('trip'), [ROWS, data, String(entries), '1'])
  }
  return data
}

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)]
const ms = (us) => (us / 1000).toFixed(2)
const pair = ([p50, p99]) => `${ms(p50)} / ${ms(p99)}`

function table(title, head, rows) {
  console.log(`\n## ${title}\n\n| ${head.join(' | ')} |\n| ${head.map(() => '---').join(' | ')} |`)
  for (const row of rows) console.log(`| ${row.join(' | ')} |`)
}

function ask(good, what) {
  if (!good) falls.push(what)
}

// ---- parts ---------------------------------------------------------------------------------------------------------------

async function rival(command, args, program, mode, size, options) {
  const server = await start(command, args(String(++port)), options)
  const got = await figures(program, ...mode, port, size, TAPS, PERIOD_US)
  await server.stop()
  return got
}

async function tapsAt(size) {
  const relay = await rival(load('relay'), (at) => [at], 'crowd', ['relay'], size)
  const commit = await figures('commit', join(scratch, `commit-${size}.db`), TAPS, PERIOD_US)
  const server = await startBoard(join(scratch, `board-${size}`))
  const board = await figures('crowd', 'board', port, size, TAPS, PERIOD_US, server.crew, server.helm)
  await server.stop()
  const node = await rival('node', (at) => [join(HERE, 'obvious.mjs'), at, join(scratch, `obvious-${size}.db`)], 'crowd', ['obvious'], size,
    { cwd: obvious })
  const mqtt = await rival('mosquitto', (at) => ['-p', at], 'mqtt', [], size, { stderr: 'ignore' }) // it tells of each connection
  return { size, relay, commit, board, node, mqtt }
}

/** From a tap to the other screens, and to "saved" at its sender. */
async function taps() {
  const rows = []
  for (const size of SIZES) {
    const row = await tapsAt(size)
    rows.push(row)
    const { relay, commit, board, node } = row
    ask(board[0] - relay[0] <= 150, `${size} screens: the board adds ${Math.round(board[0] - relay[0])} us to the relay at p50, not 150`)
    ask(board[1] - relay[1] <= 5000, `${size} screens: the board adds ${ms(board[1] - relay[1])} ms to the relay at p99, not 5`)
    const floor = relay[0] + commit[0]
    ask(board[2] <= 1.5 * floor, `${size} screens: saved takes ${(board[2] / floor).toFixed(2)} of relay and one commit, not 1.5`)
    ask(board[0] < node[0] && board[2] < node[2], `${size} screens: not ahead of the obvious build`)
  }
  results.taps = rows
  table('A tap, in milliseconds, p50 / p99',
    ['screens', 'relay to screens', 'board to screens', 'obvious to screens', 'mosquitto to screens', 'one commit', 'board to saved', 'obvious to saved'],
    rows.map(({ size, relay, commit, board, node, mqtt }) => [size, pair(relay), pair(board), pair(node), pair(mqtt), pair(commit),
      pair(board.slice(2)), pair(node.slice(2))]))
}

/** Entries a second, when every page taps again as soon as a tap of its own is saved. */
async function flood() {
  const rows = []
  for (const [size, under_way] of FLOODS) {
    const name = `${size}-${under_way}`
    const server = await startBoard(join(scratch, `flood-${name}`))
    const board = await figures('flood', 'board', port, size, 5, under_way, server.crew, server.helm)
    await server.stop()
    const other = await start('node', [join(HERE, 'obvious.mjs'), String(++port), join(scratch, `flood-${name}.db`)], { cwd: obvious })
    const node = await figures('flood', 'obvious', port, size, 5, under_way)
    await other.stop()
    rows.push({ size, under_way, board, node })
    const times = (board[0] / node[0]).toFixed(1)
    ask(board[0] >= 5 * node[0], `${size} pages with ${under_way} under way each: ${times} times the obvious build's entries a second, not 5`)
  }
  results.flood = rows
  table('Entries a second, every page tapping again as soon as a tap of its own is saved',
    ['pages', 'taps of each under way', 'board', 'obvious build', 'board saved p50 / p99 ms', 'obvious saved p50 / p99 ms'],
    rows.map(({ size, under_way, board, node }) => [size, under_way, board[0], node[0], pair(board.slice(1)), pair(node.slice(1))]))
}

/** From exec to the port answering with the folded board: the port listens only then. */
async function starts() {
  const rows = []
  for (const entries of [1000, 10000, 100000, 1000000]) {
    const data = await tripOf(entries)
    const took = []
    for (let i = 0; i < 3; i++) {
      const server = await startBoard(data)
      took.push(server.ready_ms)
      if (i === 2) rows.push({ entries, ms: median(took), rss_kb: status(server.pid, 'VmRSS') })
      await server.stop()
    }
  }
  results.start = rows
  ask(rows[2].ms < 500, `a trip of 100,000 entries opens in ${Math.round(rows[2].ms)} ms, not 500`)
  ask(rows[3].ms < 15 * rows[2].ms, `1,000,000 entries take ${(rows[3].ms / rows[2].ms).toFixed(1)} times 100,000`)
  table('Start, from exec to the answering port', ['entries in the trip', 'ms', 'RSS MB'],
    rows.map((row) => [row.entries, row.ms.toFixed(0), (row.rss_kb / 1024).toFixed(1)]))
}

function status(pid, name) {
  return Number(new RegExp(`^${name}:\\s+(\\d+)`, 'm').exec(readFileSync(`/proc/${pid}/status`, 'utf8'))[1])
}

/** Ticks of 10 ms that a process had of the processors. */
function ticks(pid) {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ')
  return Number(fields[11]) + Number(fields[12])
}

/** Idle: nobody taps; the pulse goes out and its answers come. */
async function memory() {
  const data = await tripOf(5000)
  const rows = []
  for (const size of [0, 16, 64, 200]) {
    const server = await startBoard(data)
    const crowd = size ? run(load('crowd'), ['watch', port, size, '8', server.crew].map(String)) : pause(8000)
    await pause(3000)
    const before = ticks(server.pid)
    await pause(4000)
    rows.push({ size, rss_kb: status(server.pid, 'VmRSS'), cpu_percent: (ticks(server.pid) - before) / 4 })
    await crowd
    await server.stop()
  }
  results.memory = rows
  ask(rows[2].rss_kb < 24 * 1024, `64 clients on a trip of 5,000 entries: ${(rows[2].rss_kb / 1024).toFixed(1)} MB, not 24`)
  table('At rest, on a trip of 5,000 entries', ['clients', 'RSS MB', 'KB a client', 'CPU %'],
    rows.map(({ size, rss_kb, cpu_percent }) => [size, (rss_kb / 1024).toFixed(1), size ? ((rss_kb - rows[0].rss_kb) / size).toFixed(1) : '',
      cpu_percent.toFixed(2)]))
}

/** What a page brings along, and how long until it shows the board on a slow phone. */
async function page() {
  const server = await startBoard(await tripOf(1000))
  results.page = await pages(port, server.crew)
  await server.stop()
  table('Pages', ['view', 'KB over the air', 'KB unpacked', 'requests', 'first board at 4x slower CPU, ms'],
    results.page.map((row) => [row.view, (row.packed / 1024).toFixed(1), (row.unpacked / 1024).toFixed(1), row.requests, row.board_ms.toFixed(0)]))
}

for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => process.exit(130))

const PART = { taps, flood, start: starts, memory, page }
const unknown = PARTS.filter((name) => !(name in PART))
if (unknown.length) throw new Error(`no such part: ${unknown.join(', ')}; there are ${Object.keys(PART).join(', ')}`)
try {
  results.machine = `${cpus().length} x ${cpus()[0].model}, ${(totalmem() / 2 ** 30).toFixed(1)} GB, load ${readFileSync('/proc/loadavg', 'utf8').split(' ')[0]}`
  console.log(`# Bench\n\n${results.machine}`)
  for (const name of PARTS) await PART[name]()
  results.falls = falls
  console.log(falls.length ? `\n## What falls short\n\n${falls.map((what) => `- ${what}`).join('\n')}` : '\nNothing falls short.')
  writeFileSync(join(build, 'bench.json'), `${JSON.stringify(results, null, 2)}\n`)
} finally {
  rmSync(scratch, { recursive: true, force: true })
}
