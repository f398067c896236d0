// What three real screens say of a link that is gone, and what becomes of taps made meanwhile: the server is killed under them,
// and started again on the same data.
//
// The times are those of the promise: NO LINK within a second, NOT KNOWN at two, BOARD DOWN within
// five. They are taken inside the pages, from the moment of the last message that a page got to the moment the words are drawn.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { Boat, story } from './boat.mjs'
import { until } from './screen.mjs'

/** A screen redraws when its link's word changes; how late a busy machine may be with it. */
const DRAWN_MS = 400
const STAGES = [['NO LINK', 1000], ['NOT KNOWN', 2000], ['BOARD DOWN', 4500]]

/** Runs in the page: notes when each of the link's words was first drawn in the band. */
function watchWords(stages) {
  window.seen = {}
  const look = () => {
    const text = document.querySelector('.band')?.textContent ?? ''
    for (const stage of stages) if (text.includes(stage)) window.seen[stage] ??= Date.now()
  }
  look()
  window.looking?.disconnect()
  window.looking = new MutationObserver(look)
  window.looking.observe(document.body, { subtree: true, childList: true, characterData: true })
}

async function joinAll(boat) {
  const { machine, helm, station, phone } = boat
  const output = await until('the number of the helm', () => /helm with the number/.test(machine.server.output()) && machine.server.output())
  const link = `${machine.address}/#k=${/#k=(\S+)/.exec(output)[1]}`
  // The helm comes by the link of its own, which is printed with the key: no choice of a screen, and no key to be typed.
  await helm.open(`${machine.address}${/http:\S+(\/helm#k=\S+)/.exec(output)[1]}`)
  for (const digit of /number (\d{4})/.exec(output)[1]) await helm.press(`key-${digit}`)
  await helm.press('key-TAKE HELM')
  await helm.write('.start .field', 'Grey Petrel')
  await boat.press(helm, 'a', /START TRIP/, 'trip_started', { name: 'Grey Petrel' })
  await station.open(link)
  await station.press('screen-station')
  await station.press('facing-aft')
  await phone.open(link)
  await phone.press('screen-phone')
  await boat.press(helm, 'a', /LEAVE DOCK/, 'trip_phase', { phase: 'running' })
  await boat.press(helm, 'a', /GO FISHING/, 'trip_phase', { phase: 'fishing' })
  await boat.press(phone, 'line-1', /IN/, 'line_is', { line: 1, state: 'out' })
  await boat.agree()
}

async function wordsOfTheLink(boat) {
  const names = STAGES.map(([name]) => name)
  for (const screen of boat.screens) await screen.page.evaluate(watchWords, names)
  const killed = Date.now()
  await boat.machine.kill()
  for (const screen of boat.screens) {
    await screen.band(/BOARD DOWN - USE VOICE/)
    const seen = await screen.page.evaluate(() => window.seen)
    // A pulse comes every 0.4 s: that much may have gone by when the server dies.
    for (const [name, after_ms] of STAGES) {
      const took = seen[name] - killed
      assert.ok(took > after_ms - 400 - DRAWN_MS, `${screen.name} says ${name} only when it is so: after ${took} ms`)
      assert.ok(took < after_ms + DRAWN_MS, `${screen.name} says ${name} after ${took} ms`)
    }
    assert.ok(seen['BOARD DOWN'] - killed < 5000)
    console.log(`${screen.name}: ${STAGES.map(([name]) => `${name} ${seen[name] - killed} ms`).join(', ')}`)
  }
  await boat.helm.strip(/NOT KNOWN/)
}

/** Taps while the board is down stay on their phones, over a reload too. */
async function tapsWait(boat) {
  const { station, phone, helm } = boat
  await boat.press(station, 'line-2', /./, 'line_is', { line: 2, state: 'out' }, { becomes: 'here' })
  await boat.press(phone, 'line-3', /./, 'line_is', { line: 3, state: 'out' }, { becomes: 'here' })
  await boat.press(phone, 'line-4', /./, 'line_is', { line: 4, state: 'out' }, { becomes: 'here' })
  await phone.reads('.who', /2 taps not yet saved/i)
  await station.reads('.who', /1 tap not yet saved/i)
  assert.equal((await helm.state()).waiting, 0)
}

/** The page is loaded again while its taps wait: from the server that is back by then, since without one there is no page. */
async function theyArriveOnce(boat) {
  const { machine, phone } = boat
  await phone.off()
  await machine.restart()
  await phone.open(`${machine.address}/phone`)
  for (const screen of boat.screens) await screen.band(/^(?!.*(NO LINK|NOT KNOWN - SHOUT|BOARD DOWN))/)
  await boat.everywhere('the taps', (parts) => [2, 3, 4].every((id) => parts[`lines/${id}`].state === 'out'))
  await boat.orderAsLogged()
  await boat.agree()
  for (const screen of boat.screens) assert.equal((await screen.state()).waiting, 0)
}

/** One phone alone loses its link; the others go on, and the helm is told who is lost. */
async function onePhoneIsLost(boat) {
  const { helm, station, phone } = boat
  const { page } = await phone.state()
  await phone.context.setOffline(true)
  await phone.off()
  await boat.everywhere('the phone lost or left', (parts) => ['lost', 'left'].includes(parts[`pages/${page}`]?.state ?? (parts[`pages/${page}`] ? 'here' : 'left')), [helm, station])
  await boat.press(station, 'line-5', /IN\?/, 'line_is', { line: 5, state: 'in' })
  await boat.agree([helm, station])
}

test('a link that is gone, on three screens', async (t) => {
  const boat = await Boat.launch('link')
  const step = story(t, boat)
  try {
    await step('all join', joinAll)
    await step('the server is killed', wordsOfTheLink)
    await step('taps wait on their phones', tapsWait)
    await step('they arrive once', theyArriveOnce)
    await step('one phone is lost', onePhoneIsLost)
  } finally {
    assert.equal(await boat.close(), 0)
  }
})
