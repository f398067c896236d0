// server - starts and ends the real program for a test, on a port and in a data folder of its own.
//
//   const server = await startServer({ args: ['--name', 'board.test'] })
//   ... server.port, server.data, server.host, server.output() ...
//   await server.stop()          // SIGTERM; resolves to the exit code
//   await server.kill()          // SIGKILL, as a power cut would
//   await startServer({ data: server.data, port: server.port })
//
// The program is named by the environment variable STERNBOARD; without it, it is the one that server/start has built.
// Whatever a test leaves running or lying about is ended and removed when the test process ends.

import { execFileSync, spawn } from 'node:child_process'
import { randomBytes } from 'node:crypto'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { connect, createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { basename, dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

const TOP = resolve(dirname(fileURLToPath(import.meta.url)), '../..')
export const PROGRAM = process.env.STERNBOARD ?? join(TOP, '.build/start/server/sternboard')

const running = new Set()
const folders = new Set()

/** Ends and removes all that is left: for the `after` of a test file, where a failed test may have left a server running. */
export function endAll() {
  for (const child of running) child.kill('SIGKILL')
  for (const folder of folders) rmSync(folder, { recursive: true, force: true })
}

process.on('exit', endAll)

export const sleep = (ms) => new Promise((done) => setTimeout(done, ms))

/** A new empty folder that goes when the tests have ended. */
export function scratch() {
  const folder = mkdtempSync(join(tmpdir(), 'sternboard-'))
  folders.add(folder)
  return folder
}

/** Compiles C files of tests/ and gives the path of what came out. */
export function compile(files, options = []) {
  const out = join(scratch(), basename(files[0], '.c'))
  const flags = ['-std=c17', '-D_GNU_SOURCE', '-Wall', '-Wextra', '-Werror', '-O1']
  execFileSync('cc', [...flags, ...options, '-o', out, ...files.map((file) => join(TOP, 'tests', file))])
  return out
}

let made

/** The protocol's build id, as a page built from these schemas says it in its hello. */
export function protoId() {
  if (!made) {
    const proto = join(TOP, 'shared-proto')
    const out = scratch()
    execFileSync(process.execPath, [join(proto, 'generate.mjs'), '--schema', join(proto, 'schema'),
      '--refusals', join(proto, 'refusals.json'), '--out', out])
    made = /PROTO_ID "([0-9a-f]{16})"/.exec(readFileSync(join(out, 'proto.h'), 'utf8'))[1]
  }
  return made
}

/** A page's first message. */
export function hello(extra = {}) {
  return { t: 'hello', proto: protoId(), page: randomBytes(8).toString('hex'), view: 'phone', ...extra }
}

/** A port that nobody has right now. */
export async function freePort() {
  for (;;) {
    const port = 20000 + Math.floor(Math.random() * 12000)
    const free = await new Promise((done) => {
      const probe = createServer().on('error', () => done(false)).listen(port, () => probe.close(() => done(true)))
    })
    if (free) return port
  }
}

/** Does somebody listen there? */
function answers(port) {
  return new Promise((done) => {
    const socket = connect(port, '127.0.0.1')
    socket.on('connect', () => (socket.destroy(), done(true))).on('error', () => done(false))
  })
}

/** Runs the program to its end; resolves to { code, signal, out, err }. `command` may put another in front, such as setpriv; `at` is where
 * the program lies. */
export function run(args, { command = [], env = {}, timeout_ms = 20000, at = PROGRAM } = {}) {
  const [program, ...rest] = [...command, at, ...args]
  const child = spawn(program, rest, { env: { ...process.env, ...env }, stdio: ['ignore', 'pipe', 'pipe'] })
  running.add(child)
  const text = { out: '', err: '' }
  child.stdout.on('data', (data) => (text.out += data))
  child.stderr.on('data', (data) => (text.err += data))
  const timer = setTimeout(() => child.kill('SIGKILL'), timeout_ms)
  return new Promise((done, fail) => {
    child.on('error', fail)
    child.on('close', (code, signal) => {
      clearTimeout(timer)
      running.delete(child)
      done({ code, signal, ...text })
    })
  })
}

/** Starts a server and waits until it takes connections and has said its say. */
export async function startServer({ data = scratch(), port, args = [], env = {}, command = [], at = PROGRAM, wait_ms = 15000 } = {}) {
  port ??= await freePort()
  const [program, ...rest] = [...command, at, '--data', data, '--port', String(port), ...args]
  const child = spawn(program, rest, { env: { ...process.env, ...env }, stdio: ['ignore', 'pipe', 'pipe'] })
  running.add(child)
  let output = ''
  child.stdout.on('data', (text) => (output += text))
  child.stderr.on('data', (text) => (output += text))
  const ended = new Promise((done) => {
    child.on('close', (code, signal) => (running.delete(child), done({ code, signal })))
    child.on('error', (error) => (running.delete(child), done({ code: error.message })))
  })
  let over = null
  void ended.then((end) => (over = end))
  const said = () => args.includes('--quiet') || output.includes('Shout first')
  for (const until = Date.now() + wait_ms; !(await answers(port)) || !said(); await sleep(20)) {
    if (over) throw new Error(`the server ended with ${over.code ?? over.signal}: ${output}`)
    if (Date.now() > until) throw new Error(`the server does not listen: ${output}`)
  }
  return {
    port, data, pid: child.pid, host: `127.0.0.1:${port}`, ended,
    output: () => output,
    /** The crew's key out of the join link, and the helm's number, as a person would read them off the screen. */
    keys: () => ({ crew: /#k=([\w-]+)/.exec(output)?.[1], helm: /number\D*(\d{4,8})/i.exec(output)?.[1] }),
    signal: (name) => child.kill(name),
    async stop() {
      child.kill('SIGTERM')
      return (await ended).code
    },
    async kill() {
      child.kill('SIGKILL')
      await ended
    },
  }
}
