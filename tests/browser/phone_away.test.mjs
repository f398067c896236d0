// A phone that was away: asleep, with taps of minutes ago, restored from a backup, on another boat; and a log that went backwards, said on
// every screen with the way on.

import assert from 'node:assert/strict'
import { join } from 'node:path'
import { after, before, test } from 'node:test'
import { endAll, run, scratch } from '../net/server.mjs'
import { story } from './boat.mjs'
import { fishing, isIn, setSail, silent, tonesOf } from './flows.mjs'
import { openBrowser, PHONE, until } from './screen.mjs'

const MIN = 60_000

let browser

before(async () => (browser = await openBrowser()))
after(async () => {
  await browser.close()
  endAll()
})

// ---- asleep ----

/** Runs in the page: notes each sentence of the band, with the state of the line at its side. */
function watchBand() {
  window.drawn = []
  const look = () => window.drawn.push([document.querySelector('.band .say')?.textContent ?? '', document.querySelector('[data-place=line-1]')?.textContent ?? ''])
  new MutationObserver(look).observe(document.body, { subtree: true, childList: true, characterData: true })
}

/** Runs in the page: nothing else does for so long, and what comes meanwhile waits in its socket, as when a phone sleeps in a pocket. */
function sleepInPocket(ms) {
  for (const until = performance.now() + ms; performance.now() < until;);
}

/** The page is asleep while the others work on. When it wakes nothing old looks like news. */
async function wakes(boat) {
  const { helm, phone } = boat
  await phone.page.evaluate(watchBand)
  const asleep = phone.page.evaluate(sleepInPocket, 4500)
  await boat.tap(helm, 'line_is', { line: 1, state: 'in' }, () => helm.act('line_is', { line: 1, state: 'in' }))
  await asleep
  const woke = Date.now()
  await until('the board as it is now', async () => isIn((await phone.state()).parts, 1) && (await phone.state()).link === 'ok', 4000)
  console.log(`the whole board is back ${Date.now() - woke} ms after the page woke`)
  const drawn = await phone.page.evaluate(() => window.drawn)
  assert.match(drawn[0][0], /NOT KNOWN|BOARD DOWN/, `it said at once that it does not know: ${JSON.stringify(drawn)}`)
  await boat.agree()
}

// ---- minutes late ----

/** The phone was out of reach for six minutes. What it tells then is said with its age on every screen, and where the line has moved on since,
 * that it is in the log alone. */
async function tellsLate(boat) {
  const { machine, helm, station, phone } = boat
  await boat.tap(helm, 'line_is', { line: 3, state: 'in' }, () => helm.act('line_is', { line: 3, state: 'in' }))
  await machine.kill()
  await phone.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
  const ids = [await phone.act('line_is', { line: 2, state: 'in' }), await phone.act('line_is', { line: 3, state: 'fouled' })]
  for (const id of ids) await phone.becomes(id, 'here')
  const rows = await phone.rows()
  await phone.rows(rows.map((row) => ({ ...row, wall_ms: row.wall_ms - 6 * MIN })))
  await phone.off()
  await machine.restart()
  for (const screen of [helm, station]) await screen.band(/^(?!.*(NO LINK|NOT KNOWN - SHOUT|BOARD DOWN))/)
  await phone.open(`${machine.address}/phone`)
  const told = { helm: '.now', station: '.who' }
  await Promise.all([helm, station].map((screen) => screen.reads(told[screen.name], /LOG ONLY, 6 min ago: .*Flat port FOULED/i)))
  await phone.becomes(ids[0], 'late')
  await phone.becomes(ids[1], 'moot')
  boat.taps.push({ id: ids[0], kind: 'line_is', body: { line: 2, state: 'in' } }, { id: ids[1], kind: 'line_is', body: { line: 3, state: 'fouled' } })
  await boat.agree()
  const { parts } = await helm.state()
  assert.ok(isIn({ ...parts, 'lines/3': { ...parts['lines/3'], unsure: false } }, 3), 'the live board was left alone')
  const { entries } = await boat.log()
  for (const id of ids) {
    const { at_ms, got_ms } = entries.find((entry) => entry.id === id)
    assert.ok(Math.abs(got_ms - at_ms - 6 * MIN) < MIN, `${got_ms - at_ms} ms`)
  }
}

// ---- a phone that was restored from a backup ----

/** Its old outbox comes back, with taps that were long since saved and refused: nothing is taken twice, and a no stays a no. */
async function comesOutOfABackup(boat) {
  const { machine, phone } = boat
  await machine.kill()
  await phone.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
  const taken = await phone.act('line_is', { line: 4, state: 'fouled' })
  const refused = await phone.act('line_is', { line: 23, state: 'out' })
  await phone.becomes(refused, 'here')
  const backup = await phone.context.storageState({ indexedDB: true })
  await machine.restart()
  await phone.becomes(taken, 'saved')
  await phone.becomes(refused, 'refused')
  boat.taps.push({ id: taken, kind: 'line_is', body: { line: 4, state: 'fouled' } }, { id: refused, kind: 'line_is', body: { line: 23, state: 'out' }, refused: 'line_unknown' })
  await boat.agree()
  const was = (await boat.log()).entries
  const restored = await browser.screen('restored', { ...PHONE, storageState: backup })
  try {
    await restored.open(`${machine.address}/phone`)
    assert.equal((await restored.rows()).length, 2, 'the old outbox is back')
    await restored.becomes(taken, 'saved')
    await restored.becomes(refused, 'refused')
    await until('an empty storage', async () => (await restored.rows()).length === 0)
    await boat.agree([...boat.screens, restored])
    const now = (await boat.log()).entries
    for (const id of [taken, refused]) assert.deepEqual(now.filter((entry) => entry.id === id), was.filter((entry) => entry.id === id))
  } finally {
    await restored.context.close()
  }
}

// ---- a log that went backwards ----

/** A backup of some taps ago is restored: said on every screen, aloud as well; what is missing is tapped again, and all is one board. */
async function theLogGoesBack(boat) {
  const { machine, helm, station, phone } = boat
  const backup = join(scratch(), 'backup.db')
  assert.equal((await run(['backup', backup, '--data', machine.data])).code, 0)
  const before = boat.taps.length
  await boat.tap(station, 'line_is', { line: 5, state: 'in' }, () => station.act('line_is', { line: 5, state: 'in' }))
  await boat.agree()
  const guest = await browser.screen('guest', PHONE)
  const debrief = helm.tab('debrief')
  try {
    await guest.open(`${machine.address}/guest#k=${machine.server.keys().crew}`)
    await debrief.open(`${machine.address}/debrief`)
    await until('both', async () => (await guest.state()).known && (await debrief.state()).known)
    assert.equal(await machine.server.stop(), 0)
    const restore = await run(['restore', backup, '--data', machine.data])
    assert.equal(restore.code, 0, restore.err)
    await machine.restart()
    const words = /LOG WENT BACK: tap what is missing/
    for (const [screen, at] of [[helm, '.now'], [station, '.who'], [phone, '.who'], [guest, '.who'], [debrief, '[data-view=debrief], .log-back']]) {
      await screen.reads(at, words)
      await screen.reads('[role=alert]', words)
    }
    await boat.picture('the-log-went-backwards', [helm, station, phone, guest, debrief])
  } finally {
    await guest.context.close()
    await debrief.off()
  }
  boat.taps.length = before
  // The page's number before this one is gone from the log: the board waits half a minute for it, then says that it never came,
  // and takes this one, half a minute late.
  const id = await station.act('line_is', { line: 5, state: 'in' })
  let last
  await until(() => `the tap in the log: ${JSON.stringify(last)}`, async () => (last = (await station.state()).taps.find((tap) => tap.id === id))?.state === 'late', 45_000)
  boat.taps.push({ id, kind: 'line_is', body: { line: 5, state: 'in' } })
  await boat.agree()
  await phone.reload()
  await until('the board', async () => (await phone.state()).known)
  await phone.reads('.who', /Tobias/)
}

// ---- another boat ----

/** The phone had called overboard, and it never got out. Months later it joins another boat, whose board has the same address. */
async function joinsAnotherBoat(boat) {
  const { machine, phone } = boat
  await machine.kill()
  await phone.band(/NO LINK|NOT KNOWN|BOARD DOWN/)
  await phone.act('overboard', {})
  const tap = await phone.act('line_is', { line: 1, state: 'fouled' })
  await phone.becomes(tap, 'here')
  assert.equal((await phone.rows()).length, 2)
  await phone.off()
  const first = machine.data
  machine.data = scratch()
  await machine.restart()
  const heard = await tonesOf(boat, [boat.helm, boat.station])
  await phone.open(`${machine.address}/phone#k=${machine.server.keys().crew}`)
  await until('the other boat', async () => (await phone.state()).source === 'crew' && (await phone.state()).known)
  const ours = await phone.act('strike', {})
  await phone.becomes(ours, 'refused')
  const { entries } = await boat.log()
  assert.deepEqual(entries.filter((entry) => entry.from !== 'server').map((entry) => entry.id), [ours], 'no trip runs there; nothing else has come')
  assert.equal((await phone.state()).parts.overboard.id, undefined)
  await silent(heard, [boat.helm, boat.station])
  assert.equal((await phone.state()).waiting, 0)
  await until('its own row to go', async () => !(await phone.rows()).some((row) => row.id === ours))
  assert.equal((await phone.rows()).length, 2, 'the others stay on the phone')
  machine.data = first
}

test('a phone that was away', async (t) => {
  const boat = await setSail('away', { browser, before: fishing })
  const step = story(t, boat)
  try {
    await step('a page wakes', wakes)
    await step('a tap of six minutes ago', tellsLate)
    await step('a phone out of a backup', comesOutOfABackup)
    await step('the log goes backwards', theLogGoesBack)
    await step('another boat', joinsAnotherBoat)
  } finally {
    assert.equal(await boat.close(), 0)
  }
})
