// flows_box - a fish comes aboard, is told of, and stands in the box at the helm before the next one is gaffed.

import assert from 'node:assert/strict'
import { FLAT_PORT, FLAT_STARBOARD, TOBIAS, fishing, looked, partsOf } from './flows.mjs'

const UM_PER_INCH = 25400
/** 20 and 5 and twice 1, less two tenths. */
const STEPS = ['step-more-20', 'step-more-5', 'step-more-1', 'step-more-1', 'step-less-0.1', 'step-less-0.1']
const INCHES = 26.8

/** BOATED, and what it is: asked at once where it was told. */
async function comesAboard(boat) {
  const { helm, phone } = boat
  await phone.press(`line-${FLAT_PORT}`, /ON/)
  await boat.press(phone, 'end-boated', /BOATED/, 'fight_ended', { fight: boat.fish, end: 'boated' })
  await boat.press(phone, 'species-YFT', /yellowfin/i, 'fish_told', { fish: boat.fish, code: 'YFT' })
  await boat.everywhere('one aboard', (parts) => parts.counts.boated === 1 && !partsOf(parts, 'fights').length)
  await helm.band(/out/i)
  await boat.agree()
}

/** When there is time: how long it is, on a phone, by steps that a wet finger hits; then that it is on ice. */
async function isMeasured(boat) {
  const { phone } = boat
  await phone.press('menu')
  await phone.press('tiles-more')
  await phone.press('menu-fish')
  await phone.press(`fish-${boat.fish}`, /yellowfin/i)
  await phone.press('fish-length')
  await phone.band(/Length \(in\), curved.*fork/i)
  for (const step of STEPS) await phone.press(step)
  await phone.band(new RegExp(`: ${INCHES}$`))
  await boat.press(phone, 'primary', /SAVE/, 'fish_told',
    { fish: boat.fish, length_um: Math.round(INCHES * UM_PER_INCH), measure: 'curved_fork', measured_by: TOBIAS }, { ashore: true })
  await phone.reads('[data-place=fish-length]', /26\.8 in/)
  await boat.press(phone, 'fish-ice', /ON ICE/, 'fish_iced', { fish: boat.fish })
  await boat.agree()
}

/** The helm reads it where the fish are, and what the rule says of it. What is logged is under the size: it says so, and no more. */
async function standsAtTheHelm(boat) {
  const { helm } = boat
  await helm.press('more')
  await helm.press('box')
  await helm.reads('[data-place=row-0]', /yellowfin.*14 left.*27 in/i)
  await helm.press('row-0')
  await helm.reads('.box-rows', /yellowfin: 1 logged, 14 of 15 left.*27 in.*3 a person, 5 aboard.*50 CFR 635\.22.*Check the current rule/i)
  await helm.press('box-fish')
  await helm.press(`fish-${boat.fish}`, /yellowfin/i)
  await helm.reads('.box-panel .rules-line', /shorter than 27 in.*50 CFR 635\.22.*about \d+\.\d kg, estimate.*coefficients from memory/i)
  await helm.press('close')
  looked(helm)
  await boat.agree()
}

/** The next one is at the leader: what is logged, what is left, the size and the rule's day, before a gaff goes in. With a
 * STOP the names of what is out are wanted again. */
async function beforeTheGaff(boat) {
  const { helm, station, phone } = boat
  const strike = await boat.press(station, `line-${FLAT_STARBOARD}`, /OUT/, 'strike', { line: FLAT_STARBOARD })
  await boat.press(helm, `line-${FLAT_STARBOARD}`, /STRIKE/, 'strike_ended', { strike, end: 'on' })
  await boat.press(helm, 'c', /LEADER/, 'leader', { fight: strike, on: true })
  await helm.strip(/STILL OUT FLAT S ON 8 MORE yellowfin 1, 14 left, 27 in curved, \d{4}-\d\d-\d\d$/i)
  assert.equal(await helm.page.locator('.strip .box').evaluate((box) => box.scrollWidth > box.clientWidth), false, 'none of it is cut')
  const stop = await boat.press(phone, 'stop', /^STOP/, 'stop', {})
  await helm.strip(/STILL OUT DREDGE P TEASER DREDGE S 5 LINES FLAT S ON$/i)
  await boat.press(helm, 'c', /STOPPED/, 'stop_over', { stop })
  await helm.strip(/yellowfin/i)
  await boat.agree()
}

export const theBox = {
  before: async (told) => {
    await told.tap('aboard', { persons: 5, use: 'private' })
    await fishing(told)
    told.boat.fish = await told.tap('strike', { line: FLAT_PORT })
    await told.tap('strike_ended', { strike: told.boat.fish, end: 'on' })
  },
  steps: [['a fish comes aboard', comesAboard], ['it is measured', isMeasured], ['it stands at the helm', standsAtTheHelm], ['before the gaff', beforeTheGaff]],
}
