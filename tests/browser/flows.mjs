// flows - a boat at sea for one flow of the day's work: a crew of five, a trip that runs, and what happened before the flow
// begins, told over the websocket of a page that then leaves. How a crew joins by touch is the spine's test.

import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Page } from '../../server/demo/page.mjs'
import { protoId } from '../net/server.mjs'
import { Boat, story } from './boat.mjs'
import { until } from './screen.mjs'

const PROTO = join(dirname(fileURLToPath(import.meta.url)), '../../shared-proto')
const read = (name) => JSON.parse(readFileSync(join(PROTO, name), 'utf8'))
const KINDS = read('schema/entries.json').$defs
const { spread } = read('defaults/spread.json')
const { lists } = read('defaults/lists.json')
const { presets } = read('defaults/presets.json')

export const INES = 1, TOBIAS = 2, RUTH = 3, AMPARO = 4, DOV = 5
const NAMES = ['', 'Ines', 'Tobias', 'Ruth', 'Amparo', 'Dov']

export const LONG_PORT = 1, SHORT_PORT = 2, FLAT_PORT = 3, WAY_BACK = 4, FLAT_STARBOARD = 5, SHORT_STARBOARD = 6, LONG_STARBOARD = 7
export const DREDGE_PORT = 8, TEASER = 9, DREDGE_STARBOARD = 10
export const FLOATS = [11, 12, 13, 14, 15]

const floats = FLOATS.map((id, i) => ({ id, name: `Float ${i + 1}`, side: i < 2 ? 'port' : i === 2 ? 'centre' : 'starboard', gear: 'float', distance_m: 30 + 20 * i }))

/** Dov has no phone, but where it is his. */
const crew = (phone) => NAMES.slice(1).map((name, i) =>
  ({ id: i + 1, name, station: name === 'Ines' ? 'helm' : 'cockpit', ...(name === 'Dov' && phone !== DOV ? { voice: true } : {}) }))

/** What a trip starts with; some places have the bait of the trip before. */
function trip(withFloats, phone) {
  const places = spread.map((place) => ({ ...place, ...(place.id === FLAT_PORT ? { bait: 'ballyhoo' } : {}) }))
  return { name: 'Grey Petrel', no: 1, spread: [...places, ...(withFloats ? floats : [])], crew: crew(phone), lists, presets }
}

/** A page over the websocket that tells what happened before a flow. Its taps are the log's first. */
class Before {
  constructor(boat, page) {
    this.boat = boat
    this.page = page
  }

  /** Resolves to the entry's identity. `ago_ms`: it happened that long ago. */
  async tap(kind, body = {}, ago_ms = 0) {
    const { v, lane } = KINDS[kind]['x-kind']
    const { id, answer } = await this.page.tap(kind, body, { v, lane, acted_ms: performance.now() - ago_ms })
    assert.equal(answer.is, 'seen', `${kind}: ${JSON.stringify(answer)}`)
    this.boat.taps.push({ id, kind, body })
    return id
  }
}

const ALREADY_STARTED_MS = 20 * 60 * 1000
export const OUT_SINCE_MS = 10 * 60 * 1000

async function tellBefore(boat, started, before) {
  const { server } = boat.machine
  await until('the number of the helm', () => server.keys().helm)
  const page = await Page.open({ port: server.port, proto: protoId(), view: 'helm', hand: INES, key: server.keys().crew })
  try {
    assert.equal(await page.takeHelm(server.keys().helm), null)
    const told = new Before(boat, page)
    await told.tap('trip_started', started, ALREADY_STARTED_MS)
    await before(told)
  } finally {
    page.close()
  }
}

/** The day's spread is fished: all of it out. */
export async function fishing(told) {
  await told.tap('trip_phase', { phase: 'fishing' }, OUT_SINCE_MS)
  await told.tap('lines_seen', { scope: 'all', state: 'out' }, OUT_SINCE_MS)
}

/** The night's floats hang, but for the last; Tobias is on deck and has the look-out. */
export async function atNight(told) {
  await told.tap('trip_phase', { phase: 'night' }, OUT_SINCE_MS)
  for (const line of FLOATS.slice(0, 4)) await told.tap('line_is', { line, state: 'out' }, OUT_SINCE_MS)
  await told.tap('slick', { on: true }, OUT_SINCE_MS)
  await told.tap('duty', { post: 'look_out', hand: TOBIAS }, OUT_SINCE_MS)
}

/** `phone`: whose the phone is. `stalls`: with a disk that can be made to; `spare`: with a copy of its log. */
export async function setSail(name, { browser, ledger, withFloats = false, phone = TOBIAS, stalls = false, spare = false, before }) {
  const hand = (id) => ({ 'sternboard.hand': JSON.stringify({ hand: id, name: NAMES[id] }) })
  const kept = { helm: hand(INES), station: { 'sternboard.device': JSON.stringify({ facing: 'aft' }) }, phone: hand(phone) }
  const boat = await Boat.launch(name, { stalls, spare, browser, kept, ledger })
  try {
    await tellBefore(boat, trip(withFloats, phone), before)
    const join = `#k=${boat.machine.server.keys().crew}`
    await Promise.all(boat.screens.map((screen) => screen.open(`${boat.machine.address}/${screen.name}${join}`)))
    await boat.helm.press('take-helm')
    for (const screen of boat.screens) await screen.armed()
    boat.helm.touchesTaken()
    await boat.agree()
    return boat
  } catch (error) {
    await boat.picture('start-FAILED').catch(() => undefined)
    await boat.close()
    throw error
  }
}

/** One flow: its steps, on a boat of its own. */
export async function sail(t, name, { steps, ...options }) {
  const boat = await setSail(name, options)
  const step = story(t, boat)
  try {
    for (const [what, does] of steps) await step(what, does)
  } finally {
    assert.equal(await boat.close(), 0)
  }
}

/** What was touched for a look at something belongs to no act. */
export function looked(screen) {
  screen.touchesTaken()
}

// ---- what is read off the boards ----

export const line = (parts, id) => parts[`lines/${id}`] ?? {}
export const isOut = (parts, id) => line(parts, id).state === 'out' && !line(parts, id).unsure
/** A line's zero word is left out. */
export const isIn = (parts, id) => (line(parts, id).state ?? 'in') === 'in' && !line(parts, id).unsure
export const partsOf = (parts, name) => Object.entries(parts).filter(([id]) => id.startsWith(`${name}/`)).map(([, part]) => part)
export const every = (name) => (parts) => partsOf(parts, name)

// ---- what is heard ----

/** A level of the tones of each screen, to be compared with a later one. */
export async function tonesOf(boat, screens = boat.screens) {
  const heard = new Map()
  for (const screen of screens) heard.set(screen, (await screen.tones()).length)
  return heard
}

/** The tones that a screen has started since. */
export async function since(heard, screen) {
  return (await screen.tones()).slice(heard.get(screen)).map((tone) => tone.hz)
}

/** Nothing has sounded at these screens since. */
export async function silent(heard, screens) {
  for (const screen of screens) assert.deepEqual(await since(heard, screen), [], `${screen.name} was to be silent`)
}

/** Waits until a screen has started a tone as high since. */
export async function sounds(heard, screen, hz, within_ms) {
  await until(`${hz} Hz at ${screen.name}`, async () => (await since(heard, screen)).includes(hz), within_ms)
}
