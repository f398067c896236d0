// A phone with taps that wait: two pages of it, pages that are closed, killed or reloaded at the wrong time, a storage that is denied,
// full, cleared or wanted by a newer page, a board of another release. Whatever happens, the log has each tap once.

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { endAll, protoId } from '../net/server.mjs'
import { request } from '../net/ws.mjs'
import { story } from './boat.mjs'
import { fishing, setSail, SHORT_PORT } from './flows.mjs'
import { openBrowser, PHONE, until } from './screen.mjs'

let browser

before(async () => (browser = await openBrowser()))
after(async () => {
  await browser.close()
  endAll()
})

const lineIs = (line, state) => ['line_is', { line, state }]
const OUT = (line) => lineIs(line, 'out')
const IN = (line) => lineIs(line, 'in')

/** A tap that waits on this screen, told by its place in the log later. */
async function waits(boat, screen, [kind, body], becomes = 'here') {
  const id = await screen.act(kind, body)
  boat.taps.push({ id, kind, body })
  await screen.becomes(id, becomes)
  // It is drawn before it is written: a page that is closed at once would not leave it. This asks the storage after the write.
  if ((await screen.state()).storage === 'kept') await screen.rows()
  return id
}

const senders = async (screen) => new Set((await screen.state()).taps.map((tap) => tap.id.slice(0, 16)))

// ---- two pages of one phone ----

/** While both live, neither shows or sends what the other one has waiting. */
async function eachItsOwn(boat) {
  const { machine, phone } = boat
  boat.second = phone.tab('second')
  await boat.second.open(`${machine.address}/phone`)
  machine.stallDisk()
  await waits(boat, phone, IN(1), 'seen')
  await waits(boat, boat.second, IN(2), 'seen')
  for (const screen of [phone, boat.second]) await screen.page.evaluate(() => window.dispatchEvent(new Event('focus')))
  await new Promise((done) => setTimeout(done, 1000))
  for (const screen of [phone, boat.second]) assert.deepEqual([...(await senders(screen))], [(await screen.state()).page], `${screen.name} shows its own taps`)
  assert.equal((await phone.rows()).length, 2)
}

/** Both pages load anew at once, while the disk hangs: all that waits is sent again under its old sender, by either or both. */
async function bothReload(boat) {
  const { machine, phone, second } = boat
  await Promise.all([phone.reload(), second.reload()])
  await until('the old taps on a new page', async () => (await phone.state()).waiting + (await second.state()).waiting >= 2)
  machine.diskGoesOn()
  await boat.orderAsLogged()
  await boat.agree([...boat.screens, second])
  await until('an empty storage', async () => (await phone.rows()).length === 0)
}

/** The server is gone, both pages have taps waiting, and one is closed: the other one sends them. */
async function oneIsClosed(boat) {
  const { machine, phone, second } = boat
  await machine.kill()
  await phone.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
  await waits(boat, phone, OUT(1))
  await waits(boat, second, OUT(2))
  await waits(boat, second, OUT(3))
  await second.off()
  await machine.restart()
  await boat.orderAsLogged()
  await boat.agree()
  await until('an empty storage', async () => (await phone.rows()).length === 0)
}

/** The browser's own process of a page dies just after a touch: the tap is in the log once, or nowhere; what follows is not held up. */
async function oneIsKilled(boat) {
  const { machine, phone } = boat
  const second = phone.tab('second')
  await second.open(`${machine.address}/phone`)
  const { page } = await second.state()
  machine.stallDisk()
  const crashed = new Promise((done) => second.page.once('crash', done))
  void second.act(...IN(4)).catch(() => undefined)
  void second.glass.send('Page.crash').catch(() => undefined)
  await crashed
  machine.diskGoesOn()
  await waits(boat, phone, IN(5), 'saved')
  const third = phone.tab('third')
  await third.open(`${machine.address}/phone`)
  await waits(boat, third, IN(6), 'saved')
  await until('an empty storage', async () => (await third.rows()).length === 0)
  await third.off()
  const id = `${page}.o.1`
  const { entries } = await boat.log()
  const made = entries.filter((entry) => entry.id === id)
  assert.ok(made.length <= 1)
  if (made.length) boat.taps.push({ id, kind: 'line_is', body: { line: 4, state: 'in' } })
  assert.equal(entries.filter((entry) => entry.kind === 'gap_filled').length, 0)
  await boat.orderAsLogged()
  await boat.agree()
}

// ---- its storage ----

/** A page that wants another form of the database is let through at once, and this one says that it keeps nothing any more. */
async function aNewerPage(boat) {
  const { machine, phone } = boat
  const took = await phone.page.evaluate(() => new Promise((done, fail) => {
    const began = performance.now()
    const asked = indexedDB.open('sternboard', 7)
    asked.onerror = () => fail(asked.error)
    asked.onsuccess = () => {
      asked.result.close()
      done(performance.now() - began)
    }
  }))
  assert.ok(took < 5000, `the database was held back for ${took} ms`)
  await until('a page that keeps nothing', async () => (await phone.state()).storage === 'memory')
  await machine.kill()
  await phone.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
  await waits(boat, phone, OUT(4))
  await phone.reads('.who', /Keeps no taps: leave this page open/)
  await machine.restart()
  await boat.agree()
  // The next load, of this older release, finds a database of a newer form and uses it.
  await phone.reload()
  await until('the storage in use', async () => (await phone.state()).storage === 'kept')
  await machine.kill()
  await waits(boat, phone, OUT(5))
  assert.equal((await phone.rows()).length, 1)
  await phone.off()
  await machine.restart()
  await phone.open(`${machine.address}/phone`)
  await boat.orderAsLogged()
  await boat.agree()
}

/** Somebody clears the site's data while taps wait: nothing is lost while the page is open, and it says what it cannot do. */
async function storageCleared(boat) {
  const { machine, phone } = boat
  await machine.kill()
  await phone.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
  await waits(boat, phone, IN(1))
  await phone.glass.send('Storage.clearDataForOrigin', { origin: machine.address, storageTypes: 'all' })
  await waits(boat, phone, IN(2))
  await phone.reads('.who', /Keeps no taps: leave this page open/)
  await machine.restart()
  await boat.agree()
  assert.equal((await phone.state()).source, 'crew', 'its token is in its memory')
  // Its next load has to join again, and keeps taps again.
  await phone.off()
  await phone.open(`${machine.address}/phone#k=${machine.server.keys().crew}`)
  await until('the storage in use', async () => (await phone.state()).source === 'crew' && (await phone.state()).storage === 'kept')
}

/** Runs in the page before anything of it does. */
const DENIED = {
  'IndexedDB that does not open': () => (IDBFactory.prototype.open = () => { throw new DOMException('denied', 'SecurityError') }),
  'no localStorage': () => Object.defineProperty(window, 'localStorage', { get: () => { throw new DOMException('denied', 'SecurityError') } }),
  'IndexedDB that never answers': () => (IDBFactory.prototype.open = () => ({})),
}

const FULL = 'a phone that is full'

async function storageDenied(boat, what) {
  const { machine } = boat
  const screen = await browser.screen(what, PHONE)
  if (what !== FULL) await screen.context.addInitScript(DENIED[what])
  try {
    await screen.open(`${machine.address}/phone#k=${machine.server.keys().crew}`)
    await until('a board', async () => (await screen.state()).known)
    if (what === FULL) await screen.glass.send('Storage.overrideQuotaForOrigin', { origin: machine.address, quotaSize: 1 })
    await machine.kill()
    await screen.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
    const id = await screen.act(...OUT(SHORT_PORT))
    await screen.reads('.who', /Keeps no taps: leave this page open/)
    boat.taps.push({ id, kind: 'line_is', body: { line: SHORT_PORT, state: 'out' } })
    await machine.restart()
    await boat.agree([...boat.screens, screen])
    assert.equal((await screen.state()).storage, 'memory')
  } finally {
    await screen.context.close()
  }
}

// ---- a board of another release ----

const SCRIPT = /\/a\/.*\.js$/

/** The pages of this device are of another release while `old` says so: the same, built from other schemas. Resolves to which loads were. */
async function otherRelease({ machine, phone }, old) {
  const loads = []
  await phone.context.route(SCRIPT, async (route) => {
    const path = new URL(route.request().url()).pathname
    const { text } = await request(machine.port, `GET ${path} HTTP/1.1`)
    if (path.includes('/app-')) loads.push(old())
    await route.fulfill({ contentType: 'text/javascript', body: old() ? text.replaceAll(protoId(), '00000000000000aa') : text })
  })
  return loads
}

/** The phone gets the page of the release before, with a tap that waits. It sends that first, says so, then loads itself again. */
async function theBoardIsUpgraded(boat) {
  const { machine, phone } = boat
  let old = true
  const loads = await otherRelease(boat, () => old)
  await machine.kill()
  const id = await waits(boat, phone, IN(3))
  await phone.off()
  await machine.restart()
  machine.stallDisk()
  await phone.open(`${machine.address}/phone`)
  await phone.becomes(id, 'seen')
  assert.equal((await phone.state()).release, 'waits', 'it stays while a tap waits')
  assert.deepEqual(loads, [true])
  old = false
  machine.diskGoesOn()
  await until('the page of this release', async () => loads.length === 2 && (await phone.state().catch(() => null))?.release === 'same')
  await phone.context.unroute(SCRIPT)
  await boat.orderAsLogged()
  await boat.agree()
}

/** An older page is still handed out, by a cache: it says that it has to be loaded again, and works all the same. */
async function anOldPageStays(boat) {
  const { machine, phone } = boat
  const older = phone.tab('older')
  const loads = await otherRelease(boat, () => true)
  await older.open(`${machine.address}/phone`)
  await until('its one try', async () => loads.length === 2 && (await older.state().catch(() => null))?.release === 'stays')
  await older.reads('.who', /Other release: load this page again/)
  await waits(boat, older, OUT(3), 'saved')
  await phone.context.unroute(SCRIPT)
  await older.off()
  await boat.agree()
}

test('taps that wait on a phone', async (t) => {
  const boat = await setSail('phone', { browser, stalls: true, before: fishing })
  const asked = new Set()
  for (const { context } of boat.screens) context.on('request', (request) => asked.add(new URL(request.url()).origin))
  const step = story(t, boat)
  try {
    await step('two pages of one phone: each its own', eachItsOwn)
    await step('both load anew at once', bothReload)
    await step('one is closed with taps waiting', oneIsClosed)
    await step('a newer page wants the database', aNewerPage)
    await step('the storage is cleared under a live page', storageCleared)
    for (const what of [...Object.keys(DENIED), FULL]) await step(what, () => storageDenied(boat, what))
    await step('the board is upgraded', theBoardIsUpgraded)
    await step('an old page stays', anOldPageStays)
    // The last: a page that has crashed stays in its browser, which takes no more rules for its requests.
    await step('one is killed amid a write', oneIsKilled)
    await step('no page has asked for anything outside the boat', () => assert.deepEqual([...asked], [boat.machine.address]))
  } finally {
    assert.equal(await boat.close(), 0)
  }
})
