// flows_day - the day's flows: the first set, a knockdown, a long raise, a hook-up with lines kept out, at the leader.

import assert from 'node:assert/strict'
import {
  AMPARO, DOV, FLAT_PORT, FLAT_STARBOARD, INES, LONG_PORT, LONG_STARBOARD, RUTH, SHORT_PORT, SHORT_STARBOARD, TOBIAS, WAY_BACK,
  fishing, isOut, line, looked, partsOf, silent, since, sounds, tonesOf,
} from './flows.mjs'
import { until } from './screen.mjs'

const CLEAR_HZ = 650, STRIKE_HZ = 850, STOP_HZ = 1000
const LAPSE_MS = 60000

// ---- the first set ----

/** The brief is read aloud at the dock; the helm taps it, and who answers by voice. */
async function briefIsRead(boat) {
  const { helm } = boat
  await boat.press(helm, 'a', /LEAVE DOCK/, 'trip_phase', { phase: 'running' })
  await helm.press('calls')
  await helm.press('brief')
  for (const [post, hand] of [['wheel', INES], ['wire', TOBIAS], ['gaff', RUTH], ['door', AMPARO]]) {
    await helm.press(`brief-${post}`)
    await helm.press(`brief-hand-${hand}`)
  }
  await helm.press('brief-rods')
  await helm.press(`brief-hand-${DOV}`)
  await helm.press(`brief-hand-${AMPARO}`)
  for (const seconds of [10, 15, 20, 25]) {
    await helm.press('brief-ahead')
    await helm.reads('[data-place=brief-ahead]', new RegExp(`${seconds} s`))
  }
  await boat.press(helm, 'brief-give', /GIVE BRIEF/, 'orders', { wheel: INES, wire: TOBIAS, gaff: RUTH, door: AMPARO, keep_ahead_s: 25, anglers: [DOV, AMPARO] }, { ashore: true })
  for (const hand of [INES, TOBIAS, RUTH, AMPARO, DOV]) await boat.press(helm, `brief-hand-${hand}`, /./, 'orders_heard', { hand })
  await helm.reads('[data-place=brief-heard]', /HEARD BY 5 of 5/)
  await helm.press('close')
  await boat.everywhere('the brief', ({ orders }) => orders.heard.length === 5 && orders.wire === TOBIAS && orders.keep_ahead_s === 25)
  looked(helm)
  await boat.agree()
}

/** The baits of the trip before are assumed, and marked so. */
async function spreadGoesIn(boat) {
  const { helm } = boat
  await boat.press(helm, 'a', /GO FISHING/, 'trip_phase', { phase: 'fishing' })
  await boat.everywhere('the assumed bait', (parts) => line(parts, FLAT_PORT).bait === 'ballyhoo' && line(parts, FLAT_PORT).assumed)
  await helm.band(/All lines in/i)
  await boat.agree()
}

/** Said too early, and taken back. */
async function allOutByEye(boat) {
  const { helm, station, phone } = boat
  const seen = await boat.press(helm, 'b', /ALL OUT/, 'lines_seen', { scope: 'all', state: 'out' })
  for (const screen of boat.screens) await screen.band(/^7 of 7 out, dredges out/i)
  const { parts } = await station.state()
  assert.ok([1, 2, 3, 4, 5, 6, 7, 8, 9, 10].every((id) => isOut(parts, id) && line(parts, id).eye), 'all by eye')
  await boat.press(helm, 'd', /UNDO/, 'voided', { target: seen, undo: true })
  await phone.band(/All lines in/i)
  await boat.agree()
}

async function lineByLine(boat) {
  const { helm, station, phone } = boat
  await boat.press(station, 'stern', /./, 'lines_seen', { scope: 'teasers', state: 'out' })
  for (const id of [LONG_PORT, LONG_STARBOARD, WAY_BACK]) await boat.press(station, `line-${id}`, /IN/, 'line_is', { line: id, state: 'out' })
  for (const id of [SHORT_PORT, SHORT_STARBOARD]) await boat.press(phone, `line-${id}`, /IN/, 'line_is', { line: id, state: 'out' })
  for (const screen of [helm, phone, station]) await screen.band(/^5 of 7 out, dredges out/i)
  await boat.agree()
}

async function wheelAndLookOut(boat) {
  const { helm, phone } = boat
  await helm.press('wheel')
  await boat.press(helm, `hand-${INES}`, /Ines/, 'duty', { post: 'wheel', hand: INES })
  await helm.press('look-out')
  await boat.press(helm, `hand-${RUTH}`, /Ruth/, 'duty', { post: 'look_out', hand: RUTH })
  await helm.reads('.wheel', /Ines/)
  await helm.reads('.look-out', /Ruth/)
  await boat.everywhere('who has the look-out', ({ duty }) => duty.wheel === INES && duty.look_out === RUTH, [phone])
  const log = await boat.agree()
  assert.match(log.shown, /out/)
}

export const firstSet = {
  before: async () => undefined,
  steps: [
    ['the brief is read', briefIsRead], ['the spread goes in', spreadGoesIn], ['all out by eye', allOutByEye],
    ['line by line', lineByLine], ['wheel and look-out', wheelAndLookOut],
  ],
}

// ---- a knockdown ----

/** The shout first; one tap fixes time and line. A second line within fifteen seconds is the same event. */
async function twoLinesAreHit(boat) {
  const { helm, station, phone } = boat
  const heard = await tonesOf(boat)
  boat.first = await boat.press(station, `line-${SHORT_PORT}`, /OUT/, 'strike', { line: SHORT_PORT })
  for (const screen of boat.screens) await screen.band(/^Strike: Short port/i)
  boat.second = await boat.press(phone, `line-${FLAT_STARBOARD}`, /OUT/, 'strike', { line: FLAT_STARBOARD })
  for (const screen of boat.screens) await screen.band(/^Strike: Flat starboard/i)
  await boat.everywhere('one event', (parts) => parts[`strikes/${boat.second}`].event === boat.first && line(parts, SHORT_PORT).state === 'strike')
  await sounds(heard, helm, STRIKE_HZ)
  await boat.agree()
}

/** The mate drops back and taps nothing; the helm says what came of the one, and nobody of the other. */
async function oneIsAKnockdown(boat) {
  const { helm } = boat
  await boat.press(helm, 'b', /KNOCKDOWN FLAT STBD/, 'strike_ended', { strike: boat.second, end: 'knockdown' })
  await boat.everywhere('the bait to be looked at', (parts) => isOut(parts, FLAT_STARBOARD) && line(parts, FLAT_STARBOARD).check)
  await boat.agree()
}

/** Nor is it known whether its line still swims: it is, until somebody looks. */
async function theOtherIsNotKnown(boat) {
  const { helm, station, phone } = boat
  await until('the strike to lapse', async () => (await helm.state()).parts[`open_ends/${boat.first}`], 2 * LAPSE_MS)
  await boat.everywhere('an end not known', (parts) => !parts[`strikes/${boat.first}`] && parts.counts.ends_not_known === 1 && line(parts, SHORT_PORT).unsure)
  const log = await boat.agree()
  const [strike, lapsed] = ['strike', 'strike_lapsed'].map((kind) => log.entries.find((entry) => entry.kind === kind))
  assert.equal(lapsed.body.strike, strike.id)
  assert.ok(lapsed.at_ms - strike.at_ms >= LAPSE_MS, `after ${lapsed.at_ms - strike.at_ms} ms`)
  for (const screen of boat.screens) await screen.band(/^1 not known: look/i)
  await boat.press(station, `line-${SHORT_PORT}`, /OUT\?|SHORT/, 'line_is', { line: SHORT_PORT, state: 'out' })
  await phone.band(/^7 of 7 out/i)
  await phone.reads('.who', /CHECK BAIT: flat starboard/i)
}

/** The bait's clock starts anew at the look, not before. */
async function theBaitIsChecked(boat) {
  const { phone } = boat
  await phone.press('who', /CHECK BAIT/)
  await boat.press(phone, 'bait-chewed', /CHEWED/, 'bait_checked', { line: FLAT_STARBOARD, result: 'chewed' })
  await boat.everywhere('the look', (parts) => !line(parts, FLAT_STARBOARD).check && line(parts, FLAT_STARBOARD).result === 'chewed')
  await boat.agree()
}

async function itIsAskedAtTheDock(boat) {
  const { helm } = boat
  await tripEnds(boat)
  await theGearIsIn(boat)
  await helm.reads('.dock .asks', /Strike, Short port.*how did it end/i)
  await boat.press(helm, 'end-GONE', /GONE/, 'strike_ended', { strike: boat.first, end: 'gone' }, { ashore: true })
  await baitIsTold(boat)
  await helm.reads('.dock', /Everything is settled/)
  await boat.everywhere('nothing open', (parts) => !partsOf(parts, 'open_ends').length && parts.counts.gone === 1)
  await boat.agree()
}

/** What nobody tapped in on the way home is asked for before all else, one line after the other. */
async function theGearIsIn(boat) {
  const { helm } = boat
  const lines = partsOf((await helm.state()).parts, 'lines').filter(({ state }) => state === 'out').sort((a, b) => a.id - b.id)
  assert.ok(lines.length > 1)
  for (const { id, name } of lines) {
    await helm.reads('.dock .asks', new RegExp(`^${name}: how was it left`))
    await boat.press(helm, 'end-IN', /IN/, 'line_is', { line: id, state: 'in', eye: true }, { ashore: true })
  }
  await boat.everywhere('all gear in', (parts) => partsOf(parts, 'lines').every(({ state }) => !state || state === 'in'))
}

/** What was assumed of a bait is said at last. */
export async function baitIsTold(boat) {
  const { helm } = boat
  await helm.reads('.dock .asks', /Flat port: the bait was taken to be ballyhoo/)
  await boat.press(helm, 'end-AS TAKEN', /AS TAKEN/, 'line_bait', { line: FLAT_PORT, bait: 'ballyhoo' }, { ashore: true })
  await boat.everywhere('the bait', (parts) => !line(parts, FLAT_PORT).assumed)
}

export async function tripEnds(boat) {
  const { helm, station, phone } = boat
  await helm.press('more')
  await helm.press('setup')
  await boat.hold(helm, 'end-trip', /./, 'trip_ended', {}, { ashore: true })
  for (const screen of [station, phone]) await screen.band(/trip over/i)
}

export const knockdown = {
  before: fishing,
  steps: [
    ['two lines are hit', twoLinesAreHit], ['one is a knockdown', oneIsAKnockdown], ['of the other nobody says', theOtherIsNotKnown],
    ['the bait is looked at', theBaitIsChecked], ['it is asked at the dock', itIsAskedAtTheDock],
  ],
}

// ---- a long raise ----

/** RAISED, no line asked, no sound; then it is gone. */
async function oneLeaves(boat) {
  const { helm, station, phone } = boat
  boat.heard = await tonesOf(boat)
  const up = await boat.press(helm, 'c', /RAISED/, 'raised', {})
  for (const screen of boat.screens) await screen.band(/^Fish up/i)
  await boat.press(station, `line-${WAY_BACK}`, /OUT/, 'raise_touched', { episode: up, line: WAY_BACK })
  await phone.band(/touched way back/i)
  await boat.press(helm, 'c', /LEFT/, 'raise_ended', { episode: up, end: 'left' })
  await boat.everywhere('it left', (parts) => !partsOf(parts, 'raises').length && parts.counts.raises_left === 1)
  await silent(boat.heard, boat.screens)
  await boat.agree()
}

/** Another, for minutes: the baits it goes for, in order; the teaser in, the pitch bait in. Nothing sounds. */
async function oneStays(boat) {
  const { helm, station, phone } = boat
  boat.up = await boat.press(helm, 'c', /RAISED/, 'raised', {})
  await station.band(/^Fish up/i)
  for (const [screen, id] of [[station, LONG_STARBOARD], [phone, SHORT_STARBOARD], [helm, FLAT_STARBOARD], [helm, FLAT_STARBOARD]]) {
    await boat.press(screen, `line-${id}`, /OUT/, 'raise_touched', { episode: boat.up, line: id })
  }
  await boat.everywhere('its path', (parts) => {
    const { path, touches } = parts[`raises/${boat.up}`]
    return touches === 4 && path.map((touch) => touch.line).join() === [LONG_STARBOARD, SHORT_STARBOARD, FLAT_STARBOARD].join()
  })
  await boat.press(station, 'stern', /./, 'raise_gear_moved', { episode: boat.up, gear: 'teaser_in' })
  await boat.press(phone, 'who', /PITCH BAIT IN/, 'raise_gear_moved', { episode: boat.up, gear: 'pitch_in' })
  for (const screen of boat.screens) await screen.band(/^Fish up.*touched long starboard, short starboard, flat starboard.*teaser in.*pitch in water/i)
  await silent(boat.heard, boat.screens)
  await boat.agree()
}

/** It bites, and is on: the bite is counted apart from the touches. */
async function itIsOn(boat) {
  const { helm, station } = boat
  const strike = await boat.press(station, `line-${FLAT_STARBOARD}`, /OUT/, 'strike', { line: FLAT_STARBOARD })
  await boat.press(helm, `line-${FLAT_STARBOARD}`, /STRIKE/, 'strike_ended', { strike, end: 'on' })
  await boat.everywhere('the fight', (parts) => !parts[`raises/${boat.up}`] && parts[`fights/${strike}`]?.line === FLAT_STARBOARD)
  const { counts } = (await helm.state()).parts
  assert.deepEqual([counts.raises, counts.raises_bit, counts.raises_left, counts.touches, counts.strikes, counts.hooked], [2, 1, 1, 5, 1, 1])
  await boat.agree()
}

export const longRaise = {
  before: fishing,
  steps: [['one leaves', oneLeaves], ['one stays, and goes from bait to bait', oneStays], ['it is on', itIsOn]],
}

// ---- a hook-up with lines kept out ----

async function hookedUp(boat) {
  const { helm, station, phone } = boat
  boat.first = await boat.press(station, `line-${FLAT_PORT}`, /OUT/, 'strike', { line: FLAT_PORT })
  await boat.press(phone, 'primary', /^ON/, 'strike_ended', { strike: boat.first, end: 'on' })
  await helm.band(/^KEEP AHEAD 0:\d\d.*next: Amparo/i)
  await helm.strip(/STILL OUT.*FLAT P(ORT)? ON/i)
  await boat.agree()
}

/** All but the longs: two taps. One sound and one repeat at the cockpit; the answer is a voice, and the helm taps the name. */
async function allButLongs(boat) {
  const { helm, station, phone } = boat
  boat.heard = await tonesOf(boat)
  await helm.press('b', /CLEAR/)
  boat.clearing = await boat.press(helm, 'b', /ALL BUT LONGS/, 'clear_called', { scope: 'all', preset: 'all but longs', kept: [LONG_PORT, LONG_STARBOARD], reason: 'fish' })
  for (const screen of [station, phone]) await screen.band(/^CLEAR all but longs: 0 of 7/i)
  for (const screen of [station, phone]) await until(`both calls at ${screen.name}`, async () => (await clears(boat, screen)) >= 6)
  await boat.press(helm, `hand-${DOV}`, /Dov/, 'call_got', { call: boat.clearing, hand: DOV, voice: true })
  await boat.everywhere('heard', ({ clearing }) => clearing.heard)
  await boat.agree()
}

/** Three pulses are one call. */
const clears = async (boat, screen) => (await since(boat.heard, screen)).filter((hz) => hz === CLEAR_HZ).length

/** By eye from the helm, by hand from the phone, by who stands at the station. */
async function theTally(boat) {
  const { helm, station, phone } = boat
  await helm.press('b', /BY EYE/)
  await boat.press(helm, 'b', /TEASERS IN/, 'lines_seen', { scope: 'teasers', state: 'in' })
  await boat.press(phone, `line-${FLAT_STARBOARD}`, /CLEAR/, 'line_taken', { line: FLAT_STARBOARD })
  await helm.reads(`[data-place=hand-${TOBIAS}]`, /FLAT/i)
  await boat.press(phone, 'primary', /MINE ARE IN/, 'lines_are', { in: [FLAT_STARBOARD] })
  await boat.press(station, `line-${SHORT_STARBOARD}`, /CLEAR/, 'line_is', { line: SHORT_STARBOARD, state: 'in' })
  await helm.press('b', /BY EYE/)
  await boat.press(helm, 'end-port', /PORT/, 'lines_seen', { scope: 'port', state: 'in' })
  await boat.press(station, `line-${WAY_BACK}`, /CLEAR/, 'line_is', { line: WAY_BACK, state: 'in' })
  await boat.everywhere('it is done', ({ clearing, clear }) => clearing.state === 'done' && !clear.is_clear)
  for (const id of [LONG_PORT, LONG_STARBOARD]) await helm.reads(`[data-place=line-${id}]`, /KEPT/)
  await helm.strip(/LONG P.*LONG S/i)
  for (const screen of [station, phone]) assert.equal(await clears(boat, screen), 6, `${screen.name}: one sound and one repeat`)
  assert.equal(await clears(boat, helm), 0, 'who called it hears nothing')
  await boat.agree()
}

/** A strike on a kept line is a second fight with its own clock. */
async function aKeptLineIsHit(boat) {
  const { helm, station } = boat
  const strike = await boat.press(station, `line-${LONG_STARBOARD}`, /KEPT/, 'strike', { line: LONG_STARBOARD })
  await boat.press(helm, 'a', /^ON LONG STBD/, 'strike_ended', { strike, end: 'on' })
  await boat.everywhere('two fights', (parts) => partsOf(parts, 'fights').length === 2)
  const { parts } = await helm.state()
  assert.ok(parts[`fights/${strike}`].since_ms > parts[`fights/${boat.first}`].since_ms)
  for (const screen of boat.screens) await screen.band(/^(2 fish on|KEEP AHEAD)/i)
  await boat.agree()
}

async function thenTheRest(boat) {
  const { helm, station, phone } = boat
  await helm.press('b', /CLEAR/)
  await boat.press(helm, 'c', /CLEAR REST/, 'clear_called', { scope: 'rest', reason: 'fish' })
  await station.band(/^CLEAR/i)
  await boat.press(phone, 'primary', /GOT IT/, 'call_got', {})
  await boat.press(station, `line-${LONG_PORT}`, /CLEAR/, 'line_is', { line: LONG_PORT, state: 'in' })
  await boat.everywhere('all clear', ({ clear }) => clear.is_clear)
  await station.band(/2 fish on.*ALL CLEAR/i)
  const log = await boat.agree()
  assert.match(log.shown, /all clear since/)
}

export const hookUp = {
  before: async (told) => {
    await told.tap('orders', { wheel: INES, wire: TOBIAS, keep_ahead_s: 25, anglers: [DOV, AMPARO] })
    await fishing(told)
  },
  steps: [
    ['hooked up', hookedUp], ['all but the longs', allButLongs], ['the tally', theTally], ['a kept line is hit', aKeptLineIsHit], ['then the rest', thenTheRest],
  ],
}

// ---- at the leader ----

/** The captain taps it. The cockpit goes dark but for the fish's side, STOP, HURT and OVERBOARD. */
async function darkAtTheLeader(boat) {
  const { helm, station, phone } = boat
  const { parts } = await helm.state()
  const [{ id: fight }] = partsOf(parts, 'fights')
  boat.fight = fight
  await boat.press(helm, 'c', /LEADER/, 'leader', { fight, on: true })
  await helm.band(/^LEADER 0:\d\d.*Tobias wires.*door shut.*look-out: Ruth/i)
  await helm.strip(/STILL OUT.*LONG P/i)
  for (const screen of [station, phone]) {
    await screen.page.locator('main.quiet').waitFor()
    await screen.reads('.tiles', /^PORT flat port$/i)
    await screen.reads('.who', /^$/)
    await screen.reads('[data-place=primary]', /^HURT$/)
    await screen.reads('[data-place=stop]', /^STOP$/)
    await screen.reads('[data-place=overboard]', /OVERBOARD/)
  }
  await boat.agree()
}

/** A call in the quiet is words; STOP sounds. What a screen had to play before STOP it would have played by then. */
async function onlyEmergenciesSound(boat) {
  const { helm, station, phone } = boat
  const heard = await tonesOf(boat)
  await helm.press('calls')
  const call = await boat.press(helm, 'call-hold_on', /HOLD ON/, 'call', { what: 'hold_on', to: 'cockpit' })
  await boat.everywhere('the call', (parts) => parts[`calls/${call}`])
  await boat.press(station, 'stop', /STOP/, 'stop', {})
  for (const screen of boat.screens) {
    await sounds(heard, screen, STOP_HZ)
    assert.deepEqual([...new Set(await since(heard, screen))], [STOP_HZ], `${screen.name} sounds for STOP alone`)
  }
  await boat.press(helm, `call-off-${call}`, /CALL OFF/, 'call_off', { call })
  await boat.press(helm, 'c', /STOPPED/, 'stop_over', {})
  await helm.press('close')
  looked(helm)
  await phone.page.locator('main.quiet').waitFor()
  await boat.agree()
}

/** Who has the leader is not away, however long its phone is silent. */
async function theDoor(boat) {
  const { helm } = boat
  await boat.press(helm, 'end-port', /OPEN DOOR/, 'door', { open: true })
  await helm.band(/DOOR OPEN/)
  await boat.press(helm, 'end-port', /SHUT DOOR/, 'door', { open: false })
  await helm.band(/door shut/)
  await boat.agree()
}

/** The fight is over, and how it swam off is one touch more. */
async function released(boat) {
  const { helm, station, phone } = boat
  await helm.press('c', /FIGHT OVER/)
  await boat.press(helm, 'b', /RELEASED/, 'fight_ended', { fight: boat.fight, end: 'released' })
  await boat.press(helm, 'swam-revived', /REVIVED/, 'fight_condition', { fight: boat.fight, condition: 'revived' })
  await boat.everywhere('no fight', (parts) => !partsOf(parts, 'fights').length && parts.counts.released === 1)
  for (const screen of [station, phone]) await screen.page.locator('main:not(.quiet)').waitFor()
  await boat.agree()
}

export const atTheLeader = {
  before: async (told) => {
    await told.tap('orders', { wheel: INES, wire: TOBIAS })
    await fishing(told)
    await told.tap('duty', { post: 'look_out', hand: RUTH })
    const strike = await told.tap('strike', { line: FLAT_PORT })
    await told.tap('strike_ended', { strike, end: 'on' })
    for (const scope of ['teasers', 'starboard']) await told.tap('lines_seen', { scope, state: 'in' })
  },
  steps: [['dark at the leader', darkAtTheLeader], ['only emergencies sound', onlyEmergenciesSound], ['the door', theDoor], ['released', released]],
}

