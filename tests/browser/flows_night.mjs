// flows_night - the night's flows: the change to the night, a bite at two in the morning with one hand awake, the change to the day.

import assert from 'node:assert/strict'
import {
  DOV, FLOATS, INES, RUTH, TOBIAS,
  atNight, isIn, isOut, line, looked, silent, since, sounds, tonesOf,
} from './flows.mjs'
import { until } from './screen.mjs'

const CALL_HZ = 650
const WAKE_ALL_MS = 60000
const [ONE, TWO, THREE, FOUR] = FLOATS
const DAY_LINES = [1, 2, 3, 4, 5, 6, 7], STERN = [8, 9, 10]

// ---- change to the night ----

/** What is still out of the day's spread stands on the strip, and comes in before anything else. */
async function theNightBegins(boat) {
  const { helm, station, phone } = boat
  await helm.press('more')
  await boat.press(helm, 'to-night', /NIGHT/, 'trip_phase', { phase: 'night' })
  await helm.strip(/STILL OUT.*DREDGE P.*TEASER.*DREDGE S.*7 LINES/i)
  for (const screen of boat.screens) await screen.band(/^7 of 7 baits out/i)
  await helm.press('b', /CLEAR/)
  await boat.press(helm, 'a', /^ALL/, 'clear_called', { scope: 'all', reason: 'other' })
  await boat.press(station, 'primary', /GOT IT/, 'call_got', {})
  await phone.band(/^CLEAR all/i)
  await helm.press('b', /BY EYE/)
  await boat.hold(helm, 'a', /ALL IN/, 'lines_seen', { scope: 'all', state: 'in' })
  await boat.everywhere('the day spread in', (parts) => parts.clear.is_clear && [...DAY_LINES, ...STERN].every((id) => isIn(parts, id)))
  await helm.strip(/nothing logged as out/i)
  await boat.agree()
}

/** The list before dark, by voice: the helm opens it, the cockpit answers by what is seen. */
async function theListBeforeDark(boat) {
  const { helm, station } = boat
  await helm.press('c', /CHECKS/)
  const run = await boat.press(helm, 'list-3', /Before dark/, 'check_opened', { list: 3 })
  for (const [item, seen] of ['ON', 'ON', 'CLEAR', 'RED', 'BY NAME', 'SET'].entries()) {
    await boat.press(station, 'primary', new RegExp(`^${seen}$`), 'check_answered', { run, item: item + 1, answer: 'done' })
  }
  await boat.everywhere('the list done', (parts) => parts['checks/3'].state === 'done')
  await helm.press('close')
  looked(helm)
  await boat.agree()
}

/** One tap a bait as it is set; the slick starts. */
async function theFloatsAreSet(boat) {
  const { helm, station } = boat
  for (const id of FLOATS.slice(0, 4)) await boat.press(station, `line-${id}`, /FLOAT/, 'line_is', { line: id, state: 'out' })
  await boat.press(helm, 'slick', /SLICK START/, 'slick', { on: true })
  for (const screen of boat.screens) await screen.band(/^4 of 5 baits out/i)
  await helm.strip(/STILL OUT.*FLOAT 1.*FLOAT 4/i)
  await boat.everywhere('what hangs', (parts) => parts.deck.slick && FLOATS.slice(0, 4).every((id) => isOut(parts, id)))
  await boat.agree()
}

/** Who is on, who has the wheel, and who is stand-by: by name at both ends. */
async function theWatch(boat) {
  const { helm, station, phone } = boat
  await helm.press('look-out')
  await boat.press(helm, `hand-${TOBIAS}`, /Tobias/, 'duty', { post: 'look_out', hand: TOBIAS })
  await helm.press('wheel')
  await boat.press(helm, `hand-${INES}`, /Ines/, 'duty', { post: 'wheel', hand: INES })
  await station.press('stand-by', /STAND/)
  await boat.press(station, `stand-by-${RUTH}`, /Ruth/, 'stand_by', { hand: RUTH })
  await helm.band(/Ruth stands by/i)
  for (const screen of [station, phone]) await screen.reads('[data-place=stand-by]', /Ruth/)
  await helm.reads('.look-out', /Tobias/)
  await phone.band(/4 of 5 baits out/i)
  const log = await boat.agree()
  assert.equal(log.entries.filter((entry) => entry.kind === 'trip_phase').pop().body.phase, 'night')
}

export const changeToNight = {
  withFloats: true,
  before: async (told) => {
    await told.tap('trip_phase', { phase: 'fishing' })
    for (const id of DAY_LINES) await told.tap('line_is', { line: id, state: 'out' })
    await told.tap('lines_seen', { scope: 'teasers', state: 'out' })
  },
  steps: [['the night begins', theNightBegins], ['the list before dark', theListBeforeDark], ['the floats are set', theFloatsAreSet], ['the watch', theWatch]],
}

// ---- a bite at two ----

/** A bite in the dark makes no sound: one hand may be awake. */
async function aBite(boat) {
  const { helm, station } = boat
  boat.heard = await tonesOf(boat)
  boat.strike = await bites(boat, TWO)
  for (const screen of boat.screens) await screen.band(/^Bite: float 2.*3 more out: float 1, 3, 4/i)
  await helm.strip(/STILL OUT.*FLOAT 1/i)
  await station.button('primary', /WAKE DOV/)
  await boat.agree()
}

async function bites(boat, id) {
  await boat.station.press(`line-${id}`, /FLOAT/)
  return boat.press(boat.station, 'primary', /BITE/, 'strike', { line: id })
}

/** Only the stand-by's device rings; its answer shows at the station. */
async function theStandByIsWoken(boat) {
  const { helm, station, phone } = boat
  const wake = await boat.press(station, 'primary', /WAKE DOV/, 'call', { what: 'wake', to: 'below', hand: DOV })
  await phone.band(/^Bite float 2, come up/i)
  await sounds(boat.heard, phone, CALL_HZ)
  await boat.press(phone, 'primary', /GOT IT/, 'call_got', { call: wake })
  await boat.everywhere('the answer', (parts) => parts[`calls/${wake}`].state === 'got')
  await station.band(/Dov is coming/i)
  await silent(boat.heard, [helm, station])
  assert.deepEqual([...new Set(await since(boat.heard, phone))], [CALL_HZ])
  await boat.agree()
}

/** It was nothing that stayed: the bait is looked at, and Dov lies down again. */
async function aKnockdown(boat) {
  const { station, phone } = boat
  await station.press(`line-${TWO}`, /FLOAT/)
  await boat.press(station, 'end-knockdown', /KNOCKDOWN/, 'strike_ended', { strike: boat.strike, end: 'knockdown' })
  await station.press(`line-${TWO}`, /FLOAT/)
  await boat.press(station, 'bait-gone', /GONE/, 'bait_checked', { line: TWO, result: 'gone' })
  await boat.press(phone, 'primary', /DONE/, 'call_done', {})
  await boat.everywhere('the bait', (parts) => isOut(parts, TWO) && line(parts, TWO).result === 'gone' && !line(parts, TWO).check)
  await boat.agree()
}

/** The next time he does not answer: after a minute every device rings but the one that called. The bite itself has lapsed by
 * then, and is named all the same. */
async function nobodyAnswers(boat) {
  const { helm, station, phone } = boat
  const heard = await tonesOf(boat)
  await bites(boat, THREE)
  const wake = await boat.press(station, 'primary', /WAKE DOV/, 'call', { what: 'wake', to: 'below', hand: DOV })
  await sounds(heard, phone, CALL_HZ)
  await sounds(heard, helm, CALL_HZ, 2 * WAKE_ALL_MS)
  const called = (await helm.state()).parts[`calls/${wake}`].at_ms
  const began = (await helm.tones()).slice(heard.get(helm)).find((tone) => tone.hz === CALL_HZ).at_ms
  const { entries } = await boat.agree()
  const clock = entries.find((entry) => entry.kind === 'clock').body.utc_offset_ms
  assert.ok(began - (called + clock) > WAKE_ALL_MS - 1000, `all were called ${began - (called + clock)} ms after`)
  await helm.band(/^Bite float 3, come up/i)
  await station.band(/Dov not heard: all are called/i)
  await boat.press(phone, 'primary', /GOT IT/, 'call_got', { call: wake })
  await boat.everywhere('the answer', (parts) => parts[`calls/${wake}`].state === 'got')
  await boat.agree()
}

/** It is on: nobody wires alone, and the other baits stand beside it. */
async function itIsOn(boat) {
  const { helm, station } = boat
  const strike = await bites(boat, FOUR)
  await station.press(`line-${FOUR}`, /FLOAT/)
  await boat.press(station, 'end-on', /^ON/, 'strike_ended', { strike, end: 'on' })
  for (const screen of boat.screens) await screen.band(/^On: float 4.*3 more out: float 1, 2, 3/i)
  await helm.strip(/STILL OUT.*FLOAT 4 ON/i)
  await boat.agree()
}

export const biteAtTwo = {
  withFloats: true,
  phone: DOV,
  before: async (told) => {
    await atNight(told)
    await told.tap('stand_by', { hand: DOV })
  },
  steps: [
    ['a bite', aBite], ['the stand-by is woken', theStandByIsWoken], ['a knockdown', aKnockdown], ['nobody answers', nobodyAnswers], ['it is on', itIsOn],
  ],
}

// ---- change to the day ----

/** Each float in, then the slick's end; before the engines go ahead the board says that none is out. */
async function theFloatsComeIn(boat) {
  const { helm, station } = boat
  for (const id of [ONE, TWO, THREE, FOUR]) {
    await station.press(`line-${id}`, /FLOAT/)
    await boat.press(station, 'line-is-in', /IN/, 'line_is', { line: id, state: 'in' })
  }
  await boat.press(station, 'slick', /SLICK END/, 'slick', { on: false })
  for (const screen of boat.screens) await screen.band(/^0 of 5 baits out/i)
  await helm.strip(/nothing logged as out/i)
  await boat.everywhere('nothing out', (parts) => parts.clear.is_clear && !parts.deck.slick)
  await boat.agree()
}

async function aRoundOfTheBoat(boat) {
  const { helm, station } = boat
  await helm.press('c', /CHECKS/)
  const run = await boat.press(helm, 'list-1', /Before leaving/, 'check_opened', { list: 1 })
  for (const [item, seen] of ['COUNTED', 'LOOKED AT', 'IN PLACE', 'IN DATE', 'PINNED', 'HEARD', 'TOLD'].entries()) {
    await boat.press(station, 'primary', new RegExp(seen), 'check_answered', { run, item: item + 1, answer: 'done' })
  }
  await boat.everywhere('the round done', (parts) => parts['checks/1'].state === 'done')
  await helm.press('close')
  looked(helm)
  await boat.agree()
}

async function theDayBegins(boat) {
  const { helm, phone } = boat
  await helm.press('more')
  await boat.press(helm, 'to-fishing', /FISHING/, 'trip_phase', { phase: 'fishing' })
  await helm.press('wheel')
  await boat.press(helm, `hand-${INES}`, /Ines/, 'duty', { post: 'wheel', hand: INES })
  await helm.press('look-out')
  await boat.press(helm, `hand-${RUTH}`, /Ruth/, 'duty', { post: 'look_out', hand: RUTH })
  await phone.band(/All lines in/i)
  await boat.everywhere('the day', (parts) => parts.trip.phase === 'fishing' && parts.duty.wheel === INES && parts.duty.look_out === RUTH)
  await boat.agree()
}

export const changeToDay = {
  withFloats: true,
  before: atNight,
  steps: [['the floats come in', theFloatsComeIn], ['a round of the boat', aRoundOfTheBoat], ['the day begins', theDayBegins]],
}
