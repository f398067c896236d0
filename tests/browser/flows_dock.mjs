// flows_dock - STOP and HURT, full hands, and what is settled at the dock.

import assert from 'node:assert/strict'
import {
  AMPARO, DOV, FLAT_STARBOARD, INES, LONG_PORT, RUTH, SHORT_PORT, SHORT_STARBOARD, TOBIAS, WAY_BACK,
  fishing, looked, partsOf, sounds, tonesOf,
} from './flows.mjs'
import { baitIsTold, tripEnds } from './flows_day.mjs'

const STOP_HZ = 1000
const TWO_MINUTES_MS = 120000

// ---- STOP and HURT ----

/** Any hand, at any time, no reason asked; somebody is hurt: that is one touch more. */
async function stopAndHurt(boat) {
  const { helm, station, phone } = boat
  const heard = await tonesOf(boat)
  boat.stop = await boat.press(phone, 'stop', /^STOP/, 'stop', {})
  for (const screen of boat.screens) await screen.band(/^STOP: neutral now Tobias/i)
  for (const screen of boat.screens) await sounds(heard, screen, STOP_HZ)
  boat.hurt = await boat.press(phone, 'primary', /^HURT/, 'hurt', {})
  await boat.everywhere('both', (parts) => parts.stop.id === boat.stop && parts[`hurts/${boat.hurt}`]?.by === TOBIAS)
  await boat.press(helm, 'c', /STOPPED/, 'stop_over', { stop: boat.stop })
  for (const screen of [helm, station, phone]) await screen.band(/^HURT \d+:\d\d/i)
  await boat.agree()
}

/** Who, and how badly; the clock of an accident report starts where a doctor is needed. */
async function theReport(boat) {
  const { helm, station } = boat
  await helm.press('c', /^HURT/)
  await helm.reads('.report', /If a doctor is needed: US report, about 48 h left.*33 CFR 173\.55/i)
  await boat.press(helm, `who-${RUTH}`, /Ruth/, 'hurt_told', { hurt: boat.hurt, hand: RUTH })
  for (const screen of boat.screens) await screen.band(/^HURT: Ruth/i)
  await boat.press(helm, 'how-first_aid', /FIRST AID/, 'hurt_told', { hurt: boat.hurt, hand: RUTH, how: 'first_aid' })
  await helm.reads('.report', /First aid alone is not named/i)
  await boat.press(helm, 'how-beyond_first_aid', /DOCTOR NEEDED/, 'hurt_told', { hurt: boat.hurt, hand: RUTH, how: 'beyond_first_aid' })
  await helm.reads('.report', /called \d+:\d\d ago by Tobias.*Accident report, US: about 48 h left/i)
  await station.band(/^HURT: Ruth/i)
  await boat.agree()
}

/** Looked after: the call comes off the screens. Another is hurt, told from the menu and named at the station. */
async function lookedAfter(boat) {
  const { helm, station, phone } = boat
  await boat.hold(helm, 'hurt-over', /LOOKED AFTER/, 'hurt_over', { hurt: boat.hurt })
  await phone.band(/^7 of 7 out/i)
  await phone.press('menu')
  const hurt = await boat.press(phone, 'hurt', /HURT/, 'hurt', {})
  await station.reads('.who', /HURT.*who\?/i)
  await station.press('who', /HURT/)
  await boat.press(station, `hurt-${AMPARO}`, /Amparo/, 'hurt_told', { hurt, hand: AMPARO })
  for (const screen of [helm, phone]) await screen.band(/^HURT: Amparo/i)
  await helm.press('c', /^HURT/)
  await boat.hold(helm, 'hurt-over', /LOOKED AFTER/, 'hurt_over', { hurt })
  await boat.everywhere('both looked after', (parts) => partsOf(parts, 'hurts').every((one) => one.over) && parts.counts.hurts === 2 && parts.counts.stops === 1)
  await boat.agree()
}

export const stopHurt = {
  before: fishing,
  steps: [['STOP, and somebody is hurt', stopAndHurt], ['the report', theReport], ['looked after', lookedAfter]],
}

// ---- full hands ----

/** One touch now, told when a hand is free: at the phone, and at the helm. */
async function aStamp(boat) {
  const { helm, phone } = boat
  const stamp = await boat.press(phone, 'undo', /HAPPENED/, 'stamped', {})
  await phone.reads('.who', /Happened .*what was it/i)
  await phone.press('who', /Happened/)
  await boat.press(phone, 'stamp-fish', /FISH/, 'stamp_told', { stamp, what: 'fish' })
  await helm.press('more')
  const second = await boat.press(helm, 'stamp', /HAPPENED/, 'stamped', {})
  await boat.press(helm, 'was-gear', /GEAR/, 'stamp_told', { stamp: second, what: 'gear' })
  await boat.everywhere('nothing left to tell', (parts) => !partsOf(parts, 'stamps').length)
  await helm.press('close')
  looked(helm)
  await boat.agree()
}

/** An act that is held was earlier: it is told so, and both times stand in the log. */
async function twoMinutesAgo(boat) {
  const { helm, station } = boat
  const strike = await heldAs(boat, station, `line-${SHORT_PORT}`, 'strike', { line: SHORT_PORT })
  // Told late, its end is asked for all the same, for a minute from then on.
  await boat.everywhere('a bite, its end asked for', (parts) => parts[`strikes/${strike}`]?.line === SHORT_PORT && parts.counts.strikes === 1)
  await bothTimes(boat, strike)
  await boat.press(helm, 'c', /GONE SHORT PORT/, 'strike_ended', { strike, end: 'gone' })
  for (const screen of boat.screens) await screen.band(/^7 of 7 out/i)
}

/** The same at the helm, of a line that came in. */
async function theHelmToo(boat) {
  await bothTimes(boat, await heldAs(boat, boat.helm, 'line-9', 'line_is', { line: 9, state: 'in' }))
}

/** Held, and then one of four ages: at the helm they stand on the bar. */
async function heldAs(boat, screen, place, kind, body) {
  const age = screen === boat.helm ? 'c' : 'ago-120000'
  await screen.hold(place, async () => /2 MIN AGO/.test(await screen.text(`[data-place="${age}"]`)))
  return boat.press(screen, age, /2 MIN AGO/, kind, body, { becomes: 'late' })
}

async function bothTimes(boat, id) {
  const log = await boat.agree()
  const { at_ms, got_ms } = log.entries.find((entry) => entry.id === id)
  assert.ok(got_ms - at_ms >= TWO_MINUTES_MS, `told ${got_ms - at_ms} ms after it happened`)
  assert.ok(got_ms - at_ms < TWO_MINUTES_MS + 60000)
}

export const fullHands = {
  before: fishing,
  steps: [['a stamp, told later', aStamp], ['as of two minutes ago', twoMinutesAgo], ['the helm too', theHelmToo]],
}

// ---- at the dock ----

/** What nobody knew, one tap each; all see it. */
async function whatNobodyKnew(boat) {
  const { helm } = boat
  await tripEnds(boat)
  const ends = [[LONG_PORT, /long port/i, 'released'], [SHORT_PORT, /short port/i, 'pulled'], [WAY_BACK, /way back/i, 'boated']]
  for (const [i, [, name, end]] of ends.entries()) {
    await helm.reads('.dock .asks', name)
    await boat.press(helm, `end-${end.toUpperCase()}`, /./, 'fight_ended', { fight: boat.unknown[i], end }, { ashore: true })
  }
  await baitIsTold(boat)
  await helm.reads('.dock', /Everything is settled/)
  await boat.everywhere('all settled', ({ counts, ...parts }) => !partsOf(parts, 'open_ends').length && counts.boated === 3 && counts.released === 1 && counts.pulled === 1)
  await boat.agree()
}

/** By two, against the log: at first they differ. */
async function theBoxIsCounted(boat) {
  const { helm } = boat
  await helm.press('dock-count')
  await helm.reads('.dock .asks', /The log says 3 boated\. Tap two names/i)
  await helm.press(`hand-${TOBIAS}`)
  await helm.press(`hand-${RUTH}`)
  await helm.reads('.dock .asks', /Counting: Tobias, Ruth/i)
  await helm.press('fewer')
  await boat.press(helm, 'counted', /COUNTED/, 'fish_counted', { boated: 2, hand: TOBIAS, second: RUTH }, { ashore: true })
  await boat.everywhere('the count', ({ dock }) => dock.counted && dock.boated === 2 && dock.second === RUTH)
  await helm.press('more-fish')
  await boat.press(helm, 'counted', /COUNTED/, 'fish_counted', { boated: 3, hand: TOBIAS, second: RUTH }, { ashore: true })
  await boat.everywhere('the count put right', ({ dock }) => dock.boated === 3)
  await boat.agree()
}

/** The skipper's own first. */
async function nearMisses(boat) {
  const { helm } = boat
  await helm.press('dock-near')
  await helm.reads('.dock .asks', /The skipper’s own first.*Whose\? Ines/i)
  await boat.press(helm, 'near-wrapped_hand', /HAND WRAPPED/, 'near_miss', { what: 'wrapped_hand', hand: INES }, { ashore: true })
  await helm.reads('.dock .asks', /1 told/i)
  await helm.press(`hand-${AMPARO}`)
  await boat.press(helm, 'near-door', /DOOR/, 'near_miss', { what: 'door', hand: AMPARO }, { ashore: true })
  await boat.everywhere('two told', ({ counts }) => counts.near_misses === 2)
  await boat.agree()
}

const JOBS = [[1, 'new clip on the port rigger', TOBIAS], [2, 'guard for the second gaff', RUTH], [3, 'grease the port reel', DOV]]
const NAMES = { [TOBIAS]: 'Tobias', [RUTH]: 'Ruth', [DOV]: 'Dov' }

/** Three jobs, each with a name; what broke. */
async function jobsAndFaults(boat) {
  const { helm } = boat
  await helm.press('dock-jobs')
  for (const [no, text, hand] of JOBS) {
    await helm.write(`[data-place=job-${no}]`, text)
    for (let n = 0; n < hand; n++) await helm.press(`job-hand-${no}`)
    await helm.reads(`[data-place=job-hand-${no}]`, new RegExp(NAMES[hand]))
    await boat.press(helm, `job-save-${no}`, /SAVE/, 'job', { no, text, hand }, { ashore: true })
  }
  await helm.press('dock-faults')
  await helm.write('[data-place=fault]', 'reel slips under load')
  for (let n = 0; n < SHORT_PORT; n++) await helm.press('fault-line')
  await boat.press(helm, 'fault-save', /SAVE/, 'gear_fault', { line: SHORT_PORT, text: 'reel slips under load' }, { ashore: true })
  await boat.everywhere('three jobs and a fault', (parts) => partsOf(parts, 'jobs').length === 3 && parts.counts.gear_faults === 1)
  await boat.agree()
}

/** The next start shows them, with their names, and takes them along. */
async function theNextStart(boat) {
  const { helm, station, phone } = boat
  await helm.press('a', /NEXT TRIP/)
  for (const [, text, hand] of JOBS) await helm.reads('.start', new RegExp(`${NAMES[hand]}: ${text}`))
  await boat.press(helm, 'a', /START TRIP/, 'trip_started', { name: 'Grey Petrel', no: 2, jobs: JOBS.map(([, text]) => text), job_names: JOBS.map(([, , hand]) => NAMES[hand]) }, { ashore: true })
  await boat.everywhere('the second trip', (parts) => parts.trip.no === 2 && partsOf(parts, 'jobs').length === 3 && parts.trip.phase === 'dock')
  for (const screen of [station, phone]) await screen.band(/at the dock/i)
  await phone.reads('.who', /Tobias/)
  await boat.agree()
}

export const atTheDock = {
  before: async (told) => {
    await fishing(told)
    const fight = async (id, end) => {
      const strike = await told.tap('strike', { line: id })
      await told.tap('strike_ended', { strike, end: 'on' })
      await told.tap('fight_ended', { fight: strike, end })
      return strike
    }
    for (const id of [FLAT_STARBOARD, SHORT_STARBOARD]) await fight(id, 'boated')
    told.boat.unknown = []
    for (const id of [LONG_PORT, SHORT_PORT, WAY_BACK]) told.boat.unknown.push(await fight(id, 'not_known'))
    await told.tap('lines_seen', { scope: 'all', state: 'in' })
  },
  steps: [
    ['what nobody knew', whatNobodyKnew], ['the box is counted', theBoxIsCounted], ['near misses', nearMisses],
    ['jobs and faults', jobsAndFaults], ['the next start', theNextStart],
  ],
}
