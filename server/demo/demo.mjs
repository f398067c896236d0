// demo - the board with a crew on it: starts the program on a folder of its own, plays the story on it, and ends both.
//
//   node demo.mjs PROGRAM --demo [--speed 1..60] [--port N] [--address ADDR] [--name NAME] [--quiet]
//
// It is what `sh server/start --demo` becomes. The folder is new each time and goes with the demo, so the boat's real log is never
// touched. When the story is over the board goes on, to be tapped into; Enter plays it again, Ctrl-C ends all. Exit code: the
// board's own; 64 for a command line that makes no sense.

import { spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { connect } from 'node:net'
import { networkInterfaces, tmpdir } from 'node:os'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { Player } from './play.mjs'
import { hostOf } from './ws.mjs'

const USAGE = 64
const PORT = 8470
const SPEED_MAX = 60
const WITH_VALUE = ['--speed', '--port', '--address', '--name']
/** Listening on all addresses, the board is reached by the demo itself on the machine's own. */
const ANY = ['0.0.0.0', '::']
const HERE = '127.0.0.1'
/** So much time has a newcomer to join, unless he says earlier that he is there. */
const JOIN_MS = 20000
const START_MS = 15000

const sleep = (ms) => new Promise((done) => setTimeout(done, ms))
const say = (words) => console.log(words)

class UsageError extends Error {}

/** The options of the demo, and in `board` those that are the program's. */
function readOptions(words) {
  const options = { speed: 1, port: PORT, address: '', board: [] }
  const rest = words.flatMap((word) => (/^--\w+=/.test(word) ? [word.slice(0, word.indexOf('=')), word.slice(word.indexOf('=') + 1)] : [word]))
  while (rest.length) {
    const name = rest.shift()
    if (name === '--demo') continue
    if (name === '--data') throw new UsageError('The demo keeps a log of its own: leave out --data.')
    if (![...WITH_VALUE, '--quiet'].includes(name)) throw new UsageError(`${name} is not known to the demo: it takes ${WITH_VALUE.join(', ')} and --quiet.`)
    const value = WITH_VALUE.includes(name) ? [rest.shift()] : []
    if (value.includes(undefined)) throw new UsageError(`${name} wants a value.`)
    if (name !== '--speed') options.board.push(name, ...value)
    if (name === '--speed') options.speed = Number(value)
    if (name === '--port') options.port = Number(value)
    if (name === '--address' && !ANY.includes(value[0])) [options.address] = value
  }
  if (!(options.speed >= 1 && options.speed <= SPEED_MAX)) throw new UsageError(`A speed is a number from 1 to ${SPEED_MAX}.`)
  return options
}

function answers({ port, address }) {
  return new Promise((done) => {
    const socket = connect(port, address || HERE)
    socket.on('connect', () => (socket.destroy(), done(true))).on('error', () => done(false))
  })
}

/** Where to join, one a line: at the machine's addresses on its networks, which a phone can open, or else at its own. */
function joinLinks({ port, address }, key) {
  const outside = Object.values(networkInterfaces()).flat().filter(({ internal, family }) => !internal && family === 'IPv4')
  const addresses = address || outside.length === 0 ? [address || HERE] : outside.map((one) => one.address)
  return addresses.map((one) => `  http://${hostOf(one, port)}/#k=${key}`).join('\n')
}

function seconds(count) {
  const whole = Math.max(1, Math.round(count))
  return `${whole} second${whole === 1 ? '' : 's'}`
}

/** The program, in a process group of its own: Ctrl-C at the terminal reaches this process alone, and the board is told once. */
function startBoard(program, options, data) {
  const child = spawn(program, [...options.board, '--data', data], { stdio: ['ignore', 'inherit', 'inherit'], detached: true })
  const board = { child, over: false }
  board.ended = new Promise((done) => {
    child.on('error', (error) => (console.error(`sternboard: ${error.message}`), done(1)))
    child.on('exit', (code) => done(code ?? 1))
  }).finally(() => (board.over = true))
  return board
}

/** false: the board gave up, and has said why. */
async function listens(board, options) {
  for (const until = Date.now() + START_MS; Date.now() < until; await sleep(50)) {
    if (board.over) return false
    if (await answers(options)) return !board.over
  }
  throw new Error('the board does not listen')
}

/** The keys of the demo's own board, out of the file that it made. */
function readKeys(data) {
  const text = readFileSync(join(data, 'keys'), 'utf8')
  const word = (name) => new RegExp(`^${name} (\\w+)$`, 'm').exec(text)[1]
  return { key: word('crew'), number: word('helm') }
}

/** Resolves at the next Enter, or after a while if one is given; without a terminal there is no Enter. */
function enter(ms) {
  return new Promise((done) => {
    const lines = process.stdin.isTTY ? createInterface({ input: process.stdin }) : null
    const over = () => (lines?.close(), done())
    lines?.once('line', over)
    if (ms !== undefined) setTimeout(over, ms)
  })
}

async function play(options, data) {
  const { port, speed } = options
  const { key, number } = readKeys(data)
  const links = joinLinks(options, key)
  const terminal = process.stdin.isTTY
  say(`\nThis is the demo: an invented crew, played through the same websocket as a phone's. Look on, and tap, by the code above or at\n${links}`)
  say(`\nThe story begins in ${seconds(JOIN_MS / 1000 / speed)}${terminal ? ', or with Enter' : ''}.`)
  await enter(JOIN_MS / speed)
  const player = await Player.join({ port, address: options.address || HERE, key, number, speed, say })
  for (;;) {
    await player.clear_up()
    const acts = await player.play()
    await player.saved()
    say(`\nThat was the story: ${acts.length} taps, all answered, all saved. The board goes on, at\n${links}`)
    say(`A new trip is running: take its helm with one tap, and go on with it. ${terminal ? 'Enter plays the story again, ' : ''}Ctrl-C ends the demo.`)
    await enter()
  }
}

async function main([program, ...words]) {
  const options = readOptions(words)
  const data = mkdtempSync(join(tmpdir(), 'sternboard-demo-'))
  const board = startBoard(program, options, data)
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => board.child.kill('SIGTERM'))
  if (await listens(board, options)) {
    play(options, data).catch((error) => {
      if (!board.over) console.error(`sternboard: the story stopped: ${error.message}. The board goes on; Ctrl-C ends it.`)
    })
  }
  const code = await board.ended
  rmSync(data, { recursive: true, force: true })
  process.exit(code)
}

main(process.argv.slice(2)).catch((error) => {
  console.error(`sternboard: ${error.message}`)
  process.exit(error instanceof UsageError ? USAGE : 1)
})
