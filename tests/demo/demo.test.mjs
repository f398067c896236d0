// The demo: the whole story at top speed on the real program, and all that it promises a newcomer: everything is answered as
// the story says, every kind of entry and every part of the board comes up, a stranger may tap into it, and nothing is left
// behind.

import assert from 'node:assert/strict'
import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { test } from 'node:test'
import { fileURLToPath } from 'node:url'
import { Player } from '../../server/demo/play.mjs'
import { readStory } from '../../server/demo/story.mjs'
import { loadModel } from '../../shared-proto/generator/load.mjs'
import { freePort, hello, PROGRAM, run, sleep, startServer } from '../net/server.mjs'
import { open } from '../net/ws.mjs'

const TOP = resolve(dirname(fileURLToPath(import.meta.url)), '../..')
const DEMO = join(TOP, 'server/demo/demo.mjs')
const { kinds, board } = loadModel(join(TOP, 'shared-proto/schema'), join(TOP, 'shared-proto/refusals.json'))

/** A server with the demo's crew on it; both are gone when the test has ended, however it ended. */
async function crewed(t, say) {
  const server = await startServer()
  t.after(() => server.kill())
  const { crew, helm } = server.keys()
  const player = await Player.join({ port: server.port, address: '127.0.0.1', key: crew, number: helm, speed: Infinity, say })
  t.after(() => player.leave())
  return { server, player }
}

const odd = (acts) => acts.filter((act) => !act.as_wanted).map(({ step, kind, answer }) => `line ${step.line}: ${kind}: ${JSON.stringify(answer)}`)

/** What the log holds, refused entries left out. */
async function taken(data) {
  const { code, out } = await run(['dump', '--data', data])
  assert.equal(code, 0)
  return out.trim().split('\n').map((line) => JSON.parse(line)).filter((entry) => !entry.refused)
}

async function verified(data) {
  const verify = await run(['verify', '--data', data])
  assert.equal(verify.code, 0, verify.out + verify.err)
  return verify.out.match(/^trip from row \d+ to \d+: digest [0-9a-f]{16}$/gm)
}

test('the whole story: answered as it says, every kind of entry, every part of the board, a clean log', async (t) => {
  const told = []
  const { server, player } = await crewed(t, (words) => told.push(words))
  const acts = await player.play()
  await player.saved()
  assert.deepEqual(odd(acts), [])
  assert.ok(acts.length > 150, `${acts.length} acts`)
  const pages = [...player.pages.values()]
  const moved = new Set(pages.flatMap((page) => [...page.moved]))
  assert.deepEqual(board.parts.map((part) => part.name).filter((name) => !moved.has(name)), [], 'parts that stood still')
  for (const until = Date.now() + 5000; new Set(pages.map((page) => page.rev)).size > 1 && Date.now() < until;) await sleep(10)
  const seen = pages.map((page) => page.parts)
  for (const parts of seen) assert.deepEqual([...parts].sort(), [...seen[0]].sort(), 'all pages have one board')
  player.leave()
  assert.equal(await server.stop(), 0)

  const entries = await taken(server.data)
  const tapped = new Set(entries.map((entry) => entry.kind))
  const sendable = kinds.filter((kind) => kind.from !== 'server').map((kind) => kind.name)
  assert.ok(sendable.length > 50)
  assert.deepEqual(sendable.filter((kind) => !tapped.has(kind)), [], 'kinds that nobody taps')
  assert.equal(entries.filter((entry) => entry.from !== 'server').length, acts.filter((act) => act.answer.is === 'seen').length)
  assert.equal((await verified(server.data)).length, 2, 'two trips')
  assert.equal(told.filter((words) => /^\d\d:\d\d /.test(words)).length, player.steps.filter((step) => step.is === 'told').length)
})

test('a stranger joins, takes the helm and taps into it: a no is told, and the story goes on', async (t) => {
  const told = []
  const { server, player } = await crewed(t, (words) => {
    told.push(words)
    if (words.includes('Two at once')) meddle()
  })
  const stranger = await open(server.port)
  t.after(() => stranger.end())
  const first = hello({ key: server.keys().crew })
  stranger.json(first)
  await stranger.message('fresh_end')
  let e = 0
  const tap = (id, kind, body) => stranger.json({ t: 'tap', id: `${first.page}.${id}`, kind, v: 1, ago_ms: 0, body })
  let meddle = () => {
    stranger.json({ t: 'take_helm' })
    for (const kind of ['stop', 'hurt', 'overboard']) tap(`e.${++e}`, kind, {})
    tap('o.1', 'strike', { line: 3 })
    meddle = () => {}
  }
  const acts = await player.play()
  assert.equal(acts.length, player.steps.filter((step) => step.is === 'tap').length)
  const refused = acts.filter((act) => act.answer.is === 'refused')
  assert.ok(refused.some((act) => act.answer.code === 'not_helm'), 'the helm is the stranger\'s')
  for (const { answer } of refused) assert.ok(told.some((words) => words.endsWith(`the board: ${answer.words}`)), answer.words)

  await player.clear_up()
  const again = await player.play()
  assert.deepEqual(odd(again), [], 'played again, it is whole')
  stranger.end()
  player.leave()
  assert.equal(await server.stop(), 0)
  await verified(server.data)
})

/** Starts the command and collects what it says. */
function startDemo(...words) {
  const child = spawn(process.execPath, [DEMO, PROGRAM, '--demo', ...words], { stdio: ['ignore', 'pipe', 'pipe'] })
  process.on('exit', () => child.kill('SIGTERM'))
  const demo = { child, text: '' }
  child.stdout.on('data', (data) => (demo.text += data))
  child.stderr.on('data', (data) => (demo.text += data))
  demo.ended = new Promise((done) => child.on('close', (code) => done(code)))
  demo.says = async (words, timeout_ms = 20000) => {
    for (const until = Date.now() + timeout_ms; !words.test(demo.text); await sleep(50)) {
      assert.ok(Date.now() < until && child.exitCode === null, `${words} was not said: ${demo.text}`)
    }
  }
  return demo
}

test('the command: a board and its crew, joined by the link it prints, and both end with Ctrl-C', async () => {
  const port = await freePort()
  const demo = startDemo('--speed=60', '--port', String(port))
  await demo.says(/That was the story: \d+ taps, all answered, all saved/)
  assert.match(demo.text, /The story begins in 1 second\./)
  const [, address, key] = /The board goes on, at\n {2}http:\/\/([\d.]+):\d+\/#k=(\w+)/.exec(demo.text)
  assert.ok(demo.text.indexOf(`http://${address}:${port}/#k=${key}`) < demo.text.indexOf('This is the demo'), 'an address that the board names too')
  const data = /Log and keys lie in (\S+)/.exec(demo.text)[1]
  const page = await open(port)
  page.json(hello({ key }))
  assert.equal((await page.message('welcome')).from, 'crew')
  await page.message('fresh_end')
  assert.ok(existsSync(join(data, 'board.db')))
  demo.child.kill('SIGINT')
  assert.equal((await page.closed()).code, 1001, 'the screens are told')
  assert.equal(await demo.ended, 0)
  assert.ok(!existsSync(data), 'its log goes with it')
  await assert.rejects(open(port), /ECONNREFUSED/)
})

test('the command: what it cannot do is said, with the exit code', async () => {
  const port = await freePort()
  const ends = async (code, words, ...options) => {
    const demo = startDemo(...options)
    assert.equal(await demo.ended, code, demo.text)
    assert.match(demo.text, words)
  }
  await ends(64, /keeps a log of its own: leave out --data/, '--data', 'here')
  await ends(64, /from 1 to 60/, '--speed', '0')
  await ends(64, /from 1 to 60/, '--speed', 'fast')
  await ends(64, /--speed wants a value/, '--speed')
  await ends(64, /verify is not known to the demo/, 'verify')
  const server = await startServer({ port })
  await ends(69, /in use/, '--port', String(port))
  assert.equal(await server.stop(), 0)
})

test('a story that makes no sense is told by its line', () => {
  const bad = (text, words) => assert.throws(() => readStory(text), words)
  bad('05:10 All aboard.\nnonsense', /line 2: a line begins with a time/)
  bad('05:10 All aboard.\n    helm waves', /line 2: "waves" is not known/)
  bad('05:10 All aboard.\n    helm taps stop loud', /line 2: "loud" is no name=value/)
  bad('    helm is told refused taken', /line 1: helm has tapped nothing/)
  bad('    ruth taps stop\n    ruth is told perhaps', /line 2: a tap is told/)
  const [tap] = readStory('    ruth taps clear_called scope=all kept=["Way back",3] by=Ruth ago=@a for=@b as clear')
  assert.deepEqual(tap, {
    is: 'tap', page: 'ruth', kind: 'clear_called', fields: { scope: 'all', kept: ['Way back', 3] }, by: 'Ruth',
    ago: { label: 'a' }, instead_of: { label: 'b' }, label: 'clear', wants: { is: 'seen' }, line: 1,
  })
})

test('a story that names what is not there is found before it begins', () => {
  const player = (story) => new Player(story, { number: '', speed: 1, say: () => {} })
  assert.throws(() => player('    cook taps stop'), /line 1: there is no page "cook"/)
  assert.throws(() => player('    helm taps supper'), /line 1: there is no entry "supper"/)
  assert.throws(() => player('    helm taps orders with supper'), /line 1: the boat's file has no "supper"/)
  assert.throws(() => player('    helm taps strike line=1 fish=2'), /line 1: strike has no "fish"/)
})
