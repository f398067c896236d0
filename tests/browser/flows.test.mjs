// The flows of a day and a night at sea, each in real browsers at helm, cockpit station and one phone, tap by tap. After each step
// the screens agree with each other and with the log (boat.mjs), and no act at sea has taken more than two touches (touches.mjs).
//
//   node --test tests/browser/flows.test.mjs                       all flows, and the table of touches
//   FLOW=knockdown node --test tests/browser/flows.test.mjs        those whose name has the word in it

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { theBox } from './flows_box.mjs'
import { atTheLeader, firstSet, hookUp, knockdown, longRaise } from './flows_day.mjs'
import { atTheDock, fullHands, stopHurt } from './flows_dock.mjs'
import { biteAtTwo, changeToDay, changeToNight } from './flows_night.mjs'
import { sail } from './flows.mjs'
import { openBrowser } from './screen.mjs'
import { Ledger } from './touches.mjs'

/** Those that wait a minute first. */
const FLOWS = {
  knockdown, 'bite-at-two': biteAtTwo, 'first-set': firstSet, 'long-raise': longRaise, 'hook-up': hookUp, 'at-the-leader': atTheLeader,
  'change-to-night': changeToNight, 'change-to-day': changeToDay, 'at-the-dock': atTheDock, 'stop-and-hurt': stopHurt, 'full-hands': fullHands,
  'the-box': theBox,
}

test('the flows', { concurrency: 3 }, async (t) => {
  const ledger = new Ledger()
  const browser = await openBrowser()
  const wanted = Object.keys(FLOWS).filter((name) => name.includes(process.env.FLOW ?? ''))
  try {
    await Promise.all(wanted.map((name) => t.test(name, (flow) => sail(flow, name, { browser, ledger, ...FLOWS[name] }))))
  } finally {
    await browser.close()
    console.log(ledger.table())
  }
  assert.ok(ledger.greatest() <= 2)
})
