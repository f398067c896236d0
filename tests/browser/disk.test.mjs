// A disk that fails, is full or can only be read, and a spare copy that stops, as the crew sees it: the words on every screen and in the
// terminal, what still goes round, what stays on its phone, and that all of it is saved once when the disk works again.

import assert from 'node:assert/strict'
import { renameSync } from 'node:fs'
import { join } from 'node:path'
import { after, before, test } from 'node:test'
import { endAll } from '../net/server.mjs'
import { SHOTS, story } from './boat.mjs'
import { fishing, setSail } from './flows.mjs'
import { openBrowser, until } from './screen.mjs'

const FAILS = [
  { how: 'sync', name: 'a sync that fails', words: /The disk failed at .*board\.db \(.*\)\. Check the disk\./ },
  { how: 'full', name: 'a full disk', words: /The disk with .*board\.db is full\. Make room on it\./ },
  { how: 'read', name: 'a disk that can only be read', words: /The disk with .*board\.db can only be read now: .*\. Check the disk\./ },
]

const TOLD_AT = { helm: '.now', station: '.who', phone: '.who' }

let browser

before(async () => (browser = await openBrowser()))
after(async () => {
  await browser.close()
  endAll()
})

/** By day and in red. */
async function pictures(boat, what) {
  for (const light of ['day', 'red']) {
    for (const screen of boat.screens) {
      await screen.page.evaluate((now) => (document.documentElement.dataset.light = now), light)
      await screen.picture(join(SHOTS, `disk-${what}-${screen.name}-${light}.png`))
    }
  }
  for (const screen of boat.screens) await screen.page.evaluate(() => (document.documentElement.dataset.light = 'day'))
}

async function diskFails(boat, { how, words }, line) {
  const { machine, helm, station, phone } = boat
  const said = machine.server.output().length
  machine.failDisk(how)
  const first = await station.act('line_is', { line, state: 'in' })
  boat.taps.push({ id: first, kind: 'line_is', body: { line, state: 'in' } })
  await station.becomes(first, 'seen')
  for (const screen of boat.screens) await screen.reads(TOLD_AT[screen.name], /NOT SAVING - the log cannot be written/)
  await until('the words in the terminal', () => words.test(machine.server.output().slice(said)))
  assert.match(machine.server.output().slice(said), /Nothing more is saved for now\. The board goes on from memory; emergencies go round, other taps wait/)
  const waits = await phone.act('line_is', { line, state: 'out' })
  await until('a tap that is held back', async () => (await phone.state()).taps.find((tap) => tap.id === waits)?.waiting)
  await phone.becomes(waits, 'here')
  const stop = await phone.act('stop', {})
  for (const screen of [helm, station]) await screen.band(/STOP/)
  await phone.becomes(stop, 'seen')
  await pictures(boat, how)
  await until('what is not saved, on the helm', async () => (await helm.state()).unsaved >= 2)
  const kept = (await boat.log()).entries
  for (const id of [first, waits, stop]) assert.equal(kept.some((entry) => entry.id === id), false, 'none of it is said to be saved, and none is')
  machine.diskGoesOn()
  await until('the way on in the terminal', () => /The disk works again: saving goes on\./.test(machine.server.output().slice(said)))
  const over = await helm.act('stop_over', { stop })
  boat.taps.push({ id: waits, kind: 'line_is', body: { line, state: 'out' } }, { id: stop, kind: 'stop', body: {} }, { id: over, kind: 'stop_over', body: { stop } })
  for (const screen of boat.screens) await until(`${screen.name} says no more that nothing is saved`, async () => !/NOT SAVING/.test(await screen.text(TOLD_AT[screen.name])))
  await boat.orderAsLogged()
  await boat.agree()
}

/** Only the helm is told of the stick: it alone can do something about it, and the log itself is saved as before. */
async function spareStops(boat) {
  const { machine, helm, phone } = boat
  await until('a copy that is current', async () => (await helm.state()).spare === 'current')
  renameSync(machine.spare, `${machine.spare}-out`)
  await boat.tap(phone, 'line_is', { line: 1, state: 'fouled' }, () => phone.act('line_is', { line: 1, state: 'fouled' }))
  await helm.reads('.now', /Spare copy stopped: look at the stick/)
  await phone.reads('.who', /Tobias/)
  await pictures(boat, 'spare-stopped')
  renameSync(`${machine.spare}-out`, machine.spare)
  await until('a copy that is current again', async () => (await helm.state()).spare === 'current', 60_000)
  await until('the helm is told no more', async () => !/Spare copy/.test(await helm.text('.now')))
  await boat.agree()
}

test('a disk that fails, on three screens', async (t) => {
  const boat = await setSail('disk', { browser, stalls: true, spare: true, before: fishing })
  const step = story(t, boat)
  try {
    await step('the spare copy stops, and goes on', spareStops)
    for (const [i, fail] of FAILS.entries()) await step(fail.name, () => diskFails(boat, fail, 2 + i))
  } finally {
    assert.equal(await boat.close(), 0)
  }
})
