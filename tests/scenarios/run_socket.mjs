// Runs scenario files over real websockets, against the real program, in real time. The sentences are described in README.md
// beside this file; run_hub.c runs the same files straight into the hub.
//
//   node --test tests/scenarios/run_socket.mjs      all files but those that begin with `# only: hub`, several at a time
//
// Each file has a server of its own. After each sentence every page that has a board must hold the server's, by the digest of
// a pulse; at the end the log must verify, and fold to what the pages hold.

import assert from 'node:assert/strict'
import { randomBytes } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { test } from 'node:test'
import { fileURLToPath } from 'node:url'
import { boardDigest, readLog } from '../browser/log_book.mjs'
import { hello, sleep, startServer } from '../net/server.mjs'
import { open, request } from '../net/ws.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
const KINDS = JSON.parse(readFileSync(join(HERE, '../../shared-proto/schema/entries.json'), 'utf8')).$defs
const TRIP = JSON.parse(readFileSync(join(HERE, 'trip.json'), 'utf8'))
const SOON_MS = 5000
const BEAT_MS = 1000
/** What a board does not say has its zero value: these words also stand for a member that is absent. */
const ZERO = ['0', 'false', ...['', 'in', 'centre', 'line', 'none', 'open', 'called', 'here', 'ahead', 'all', 'anyone', 'strike', 'not_said'].map((word) => JSON.stringify(word))]

// ---- a page ----

/** A page as the wire sees it: says hello, holds the board it is sent, keeps every answer and alarm. */
class Page {
  constructor(name, server, view, hand) {
    Object.assign(this, { name, server, view, hand, id: randomBytes(8).toString('hex'), tops: { o: 0, e: 0 }, answers: [], alarms: [], heard: 0 })
    Object.assign(this, { parts: null, rev: 0, seq: 0, agreed: -1, pulses: 0, token: '', listeners: new Set(), preview: null, told: null })
  }

  async connect(key) {
    this.socket = await open(this.server.port)
    this.parts = null
    this.socket.json(hello({ page: this.id, view: this.view, ...(this.hand ? { hand: this.hand } : {}), ...(key ? { key } : {}), ...(this.token ? { token: this.token } : {}) }))
    const welcome = await this.socket.message('welcome', SOON_MS)
    this.token = welcome.token ?? this.token
    this.from = welcome.from
    this.reading = this.read(this.socket)
    this.beats = setInterval(() => this.socket.json({ t: 'beat', rev: this.rev, visible: true }), BEAT_MS)
    if (this.from !== 'anyone') await this.until('a whole board', () => this.parts)
  }

  cut() {
    clearInterval(this.beats)
    this.socket.end()
    this.parts = null
  }

  /** Takes all messages in until the connection ends. */
  async read(socket) {
    try {
      for (;;) {
        this.take(await socket.message(undefined, 60000))
        for (const again of this.listeners) again()
      }
    } catch (error) {
      if (!socket.line.over) this.trouble = error
    }
  }

  take(message) {
    switch (message.t) {
      case 'fresh_start':
        this.fresh = new Map()
        break
      case 'part':
        this.fresh.set(message.part, message.value)
        break
      case 'fresh_end':
        this.parts = this.fresh
        this.rev = message.rev
        this.compare(message)
        break
      case 'patch':
        assert.equal(message.rev, this.rev + 1, `${this.name} missed a patch`)
        this.rev = message.rev
        this.seq = Math.max(this.seq, message.entry.seq)
        for (const [id, value] of Object.entries(message.parts)) if (value === null) this.parts.delete(id); else this.parts.set(id, value)
        break
      case 'pulse':
        this.pulses++
        if (this.parts) this.compare(message)
        break
      case 'alarm':
        this.alarms.push(message.entry)
        break
      case 'answer':
        this.answers.push(message)
        break
      case 'preview_is':
        this.preview = message
        break
      case 'told':
        this.told = message
        break
    }
  }

  compare({ rev, digest }) {
    if (rev !== this.rev) return
    assert.equal(boardDigest(Object.fromEntries(this.parts)), digest, `${this.name} holds another board than the server at revision ${rev}`)
    this.agreed = rev
  }

  /** Resolves to what `look` finds, asked again with each message. */
  until(what, look) {
    return new Promise((done, fail) => {
      const settle = (act, value) => {
        clearTimeout(timer)
        this.listeners.delete(again)
        act(value)
      }
      const again = () => {
        if (this.trouble) return settle(fail, this.trouble)
        const found = look()
        if (found) settle(done, found)
      }
      const timer = setTimeout(() => settle(fail, new Error(`${this.name}: ${what} did not come in ${SOON_MS} ms`)), SOON_MS)
      this.listeners.add(again)
      again()
    })
  }
}

// ---- sentences ----

/** Words at spaces outside of double quotes; quotes stay, to tell text from numbers. # begins a comment at a word's start. */
function split(text) {
  const words = text.match(/#.*|(?:"[^"]*"|[^ "])+/g) ?? []
  const comment = words.findIndex((word) => word.startsWith('#'))
  return comment < 0 ? words : words.slice(0, comment)
}

const unquoted = (word) => word.replace(/^"(.*)"$/, '$1')
const seconds = (word) => (word.endsWith('s') ? 1000 : 1) * parseInt(word, 10)

class Scenario {
  constructor(file) {
    this.file = file
    this.pages = new Map()
    this.labels = new Map()
    this.last = new Map()
    this.untold = null
    this.sentences = 0
  }

  async run(lines) {
    this.server = await startServer()
    const printed = () => this.server.output()
    for (const until = Date.now() + SOON_MS; !/helm with the number \d+/.test(printed());) {
      assert.ok(Date.now() < until, printed())
      await sleep(10)
    }
    const [, crew, guest] = /#k=(\S+)[^]*\/guest#k=(\S+)/.exec(printed())
    this.keys = { crew, guest, keyless: '' }
    this.helmNumber = /helm with the number (\d+)/.exec(printed())[1]
    for (const [i, line] of lines.entries()) {
      const words = split(line)
      if (!words.length) continue
      try {
        await this.sentence(words)
      } catch (error) {
        error.message = `${this.file}:${i + 1}: ${line.trim()}: ${error.message}`
        throw error
      }
    }
    await this.seen([])
    await this.end()
  }

  async sentence(words) {
    const [who, does, what] = words
    this.sentences++
    await this.seen(words)
    if (does === 'joins') return this.joins(words)
    if (who === 'log') return this.logHolds(words)
    if (who === 'time') await sleep(seconds(words[2]))
    else if (does === 'shows') return this.shows(words)
    else {
      const page = this.page(who)
      if (does === 'leaves') page.cut()
      else if (does === 'returns') await page.connect('')
      else if (does === 'takes' && what === 'helm') await this.takesHelm(page)
      else if (does === 'starts') await this.tap(page, 'trip_started', TRIP, [])
      else if (does === 'taps' && what === 'again') await this.send(page, this.last.get(page))
      else if (does === 'taps') await this.tap(page, what, this.body(words.slice(3)), words.slice(3))
      else if (does === 'is' && what === 'told') return this.isTold(page, words.slice(3))
      else if (does === 'is' && what === 'shown') return assert.equal((await page.until('a preview', () => page.preview)).count, Number(words[3]))
      else if (does === 'hears') return this.hears(page, what)
      else if (does === 'asks') return this.asks(page, this.label(words[3]))
      else throw new Error('this sentence has no meaning')
    }
    await this.settle()
  }

  page(name) {
    const page = this.pages.get(name)
    assert.ok(page, `there is no page ${name}`)
    return page
  }

  label(word) {
    const id = this.labels.get(word.slice(1))
    assert.ok(word.startsWith('@') && id, `no tap was called ${word}`)
    return id
  }

  /** A word as JSON. */
  value(word) {
    if (word.startsWith('@')) return JSON.stringify(this.label(word))
    return /^[-0-9[]|^(true|false)$/.test(word) ? word : JSON.stringify(unquoted(word))
  }

  async joins([name, , key, ...rest]) {
    const view = rest[0] === 'as' ? rest[1] : 'none'
    const hand = Number(rest.find((word) => word.startsWith('hand='))?.slice(5) ?? 0)
    const page = new Page(name, this.server, view, hand)
    await page.connect(this.keys[key])
    assert.equal(page.from, key === 'keyless' ? 'anyone' : key)
    this.pages.set(name, page)
    await this.settle()
  }

  async takesHelm(page) {
    page.told = null
    page.socket.json({ t: 'take_helm', number: this.helmNumber, ...(page.hand ? { hand: page.hand } : {}) })
    await page.until('the helm', () => page.told || page.parts.get('helm')?.page === page.id)
    assert.equal(page.told, null)
  }

  // ---- taps ----

  body(words) {
    const members = words.slice(0, words.indexOf('as') < 0 ? words.length : words.indexOf('as'))
    const body = {}
    for (const word of members.filter((one) => !/^(ago|by|for)=/.test(one))) {
      const [, path, value] = /^([\w.]+)=(.*)$/.exec(word) ?? assert.fail(`${word} is no name=value`)
      const steps = path.split('.'), name = steps.pop()
      const within = steps.reduce((at, step) => (at[step] ??= {}), body)
      within[name] = JSON.parse(this.value(value))
    }
    return body
  }

  async tap(page, kind, body, words) {
    const option = (name) => words.find((word) => word.startsWith(`${name}=`))?.slice(name.length + 1)
    assert.ok(KINDS[kind]?.['x-kind'], `there is no kind ${kind}`)
    const lane = KINDS[kind]['x-kind'].lane === 'emergency' ? 'e' : 'o'
    const by = option('by') ? Number(option('by')) : page.hand
    const id = `${page.id}.${lane}.${++page.tops[lane]}`
    const tap = {
      t: 'tap', id, kind, v: KINDS[kind]['x-kind'].v, ago_ms: option('ago') ? seconds(option('ago')) : 0, body,
      ...(by ? { by } : {}), ...(option('for') ? { instead_of: this.label(option('for')) } : {}),
    }
    this.last.set(page, tap)
    await this.send(page, tap)
    if (words[words.length - 2] === 'as') this.labels.set(words[words.length - 1], id)
  }

  async send(page, tap) {
    const before = page.answers.length
    page.socket.json(tap)
    await page.until(`an answer to ${tap.kind}`, () => page.answers.length > before)
    this.answer = page.answers[before]
    assert.equal(this.answer.id, tap.id)
    this.untold = page
  }

  /** Unless the story says otherwise, a tap is seen. */
  async seen(words) {
    if (this.untold && !(words[1] === 'is' && words[2] === 'told')) assert.equal(this.answer.is, 'seen', `the tap before this was told ${JSON.stringify(this.answer)}`)
    if (words[2] !== 'told') this.untold = null
  }

  isTold(page, [is, ...rest]) {
    assert.equal(this.untold ?? page, page, 'the last tap was another page\'s')
    const found = JSON.stringify(page.answers[page.answers.length - 1])
    const answer = page.answers[page.answers.length - 1]
    assert.equal(answer.is, is, found)
    if (['refused', 'not_now', 'error'].includes(is)) assert.equal(answer.code, rest.shift(), found)
    for (const word of rest) assert.ok(['moot', 'late'].includes(word) ? answer[word] : answer.words === unquoted(word), found)
    this.untold = null
  }

  // ---- what is shown ----

  withBoard() {
    return [...this.pages.values()].filter((page) => page.parts)
  }

  /** Every page that has a board has every entry, and the server's board: as the pulse after it says. */
  async settle() {
    const pages = this.withBoard()
    for (const page of pages) {
      await page.until('the last entry', () => page.seq >= (this.answer?.seq ?? 0) || page.seq === 0)
      await page.until('a pulse of the same board', () => page.agreed === page.rev)
    }
    if (pages.every((page) => page.rev === pages[0].rev)) return
    await sleep(5) // a turn of the loop, or nothing more would ever be heard
    await this.settle()
  }

  /** CHECKs the words name=value against the members of a value. */
  members(of, value, words) {
    for (const word of words) {
      const [, path, text] = /^([\w.]+)=(.*)$/.exec(word) ?? assert.fail(`${word} is no name=value`)
      const found = path.split('.').reduce((at, step) => at?.[step], value)
      const wanted = this.value(text)
      if (found === undefined && ZERO.includes(wanted)) continue
      assert.equal(JSON.stringify(found), wanted, `${of}: ${path} of ${JSON.stringify(value)}`)
    }
  }

  shows([who, , ...rest]) {
    const gone = rest[0] === 'no'
    const part = rest[gone ? 1 : 0].replace(/@\w+/, (word) => this.label(word))
    for (const page of who === 'everyone' ? this.withBoard() : [this.page(who)]) {
      const value = page.parts.get(part)
      const single = !part.includes('/') // one that is not there has nothing but zero values
      assert.ok((value === undefined) === gone || (single && !gone), `${page.name} shows ${part} as ${JSON.stringify(value)}`)
      if (!gone) this.members(`${page.name} ${part}`, value ?? {}, rest.slice(1))
    }
  }

  /** An alarm overtakes all that is queued: what has not come before the next pulse does not come. */
  async hears(page, what) {
    if (what === 'nothing') {
      const { pulses } = page
      await page.until('a pulse', () => page.pulses > pulses)
      assert.equal(page.alarms.length, page.heard)
    } else {
      await page.until(`the alarm of ${what}`, () => page.alarms.length > page.heard)
      assert.equal(page.alarms[page.alarms.length - 1].kind, what)
    }
    page.heard = page.alarms.length
  }

  asks(page, target) {
    page.preview = null
    page.socket.json({ t: 'preview', target })
  }

  // ---- the log ----

  async rows() {
    const { token } = [...this.pages.values()].find((page) => page.token && page.from === 'crew')
    const reply = await request(this.server.port, 'GET /log?from=1&max=1000 HTTP/1.1', { authorization: `Bearer ${token}` })
    assert.equal(reply.status, 200, reply.text)
    return JSON.parse(reply.text).rows
  }

  async logHolds([, , what, ...rest]) {
    if (!what.startsWith('@')) return this.logCounts(rest[0], Number(what))
    const rows = await this.rows()
    const row = rows.find(({ entry }) => entry.id === this.label(what))
    assert.ok(row, `the log holds no ${what}`)
    this.members(what, { ...row.entry, outcome: row.outcome, voided: row.voided }, rest)
  }

  /** In the whole log, earlier trips and all, as it is on the disk: what was seen a moment ago may not be there yet. */
  async logCounts(kind, wanted) {
    for (const until = Date.now() + SOON_MS; ;) {
      const found = (await readLog(this.server.data)).entries.filter((entry) => entry.kind === kind && !entry.refused).length
      if (found === wanted) return
      assert.ok(Date.now() < until, `${found} entries of ${kind}`)
    }
  }

  async end() {
    await this.settle()
    const [page] = this.withBoard()
    const until = Date.now() + SOON_MS
    for (;;) {
      const log = await readLog(this.server.data)
      if (log.digest === boardDigest(Object.fromEntries(page.parts))) break
      assert.ok(Date.now() < until, `the log folds to another board than ${page.name} holds:\n${log.shown}`)
    }
    for (const one of this.pages.values()) assert.equal(one.trouble, undefined)
    assert.equal(await this.close(), 0)
  }

  /** Whether it went well or not, nothing of it goes on. */
  close() {
    for (const one of this.pages.values()) if (one.socket) one.cut()
    const { server } = this
    this.server = undefined
    return server?.stop()
  }
}

test('scenarios over a real websocket', { concurrency: 4 }, async (t) => {
  const files = readdirSync(HERE).filter((name) => name.endsWith('.txt')).sort()
  assert.ok(files.length >= 6)
  const stories = files.map((file) => ({ file, lines: readFileSync(join(HERE, file), 'utf8').split('\n') }))
  await Promise.all(stories.filter(({ lines }) => !lines.some((line) => /^# only: hub/.test(line))).map(({ file, lines }) => t.test(file, async () => {
    const scenario = new Scenario(file)
    try {
      await scenario.run(lines)
    } finally {
      await scenario.close()
    }
    console.log(`${file}: ${scenario.sentences} sentences hold`)
  })))
})
