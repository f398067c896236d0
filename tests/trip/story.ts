// The long trip, from one dock to the other: a day, a night and a day.

import { NEAR_KIND_VALUES, type BoardOpenEnd } from 'proto'
import { HOUR, MINUTE, type Deck } from './deck'
import { hookUp, knockdown, late, nightBite, raise, untold } from './fish'
import { DAY, NIGHT, NINTH, ORDERS, TRIP } from './plan'

const DAY_GEAR = ['line', 'teaser', 'dredge']
/** At which part of the whole the first day, the night and the second day end. */
const FIRST_DAY = 0.375
const NIGHT_END = 0.667
const SECOND_DAY = 0.958

/** A trip of so many hours. */
export function tell(deck: Deck, hours: number): void {
  const began_ms = deck.boat.now_ms
  const end_ms = began_ms + hours * HOUR
  const until = (part: number): boolean => deck.boat.now_ms < began_ms + part * hours * HOUR
  leave(deck)
  firstHours(deck)
  while (until(FIRST_DAY)) fishing(deck)
  toNight(deck)
  night(deck, () => until(NIGHT_END))
  toDay(deck)
  while (until(SECOND_DAY)) fishing(deck)
  home(deck)
  deck.boat.pass(Math.max(0, end_ms - deck.boat.now_ms))
  dock(deck)
}

// ---- the way out ----

function leave(deck: Deck): void {
  const { boat, helm } = deck
  boat.tap(helm, 'trip_started', TRIP)
  deck.list(1)
  boat.tap(helm, 'trip_phase', { phase: 'running' })
  boat.tap(helm, 'duty', { post: 'wheel', hand: 1 })
  boat.tap(helm, 'duty', { post: 'look_out', hand: 7 })
  boat.tap(helm, 'orders', ORDERS)
  for (const phone of deck.phones) boat.tap(phone, 'orders_heard', {})
  boat.tap(deck.station, 'orders_heard', { hand: 5 }, { by: 4 })
  deck.wait(40 * 60, 70 * 60)
}

/** Before the first line: the list by voice, the spread, and each kind of call, slip and alarm once, as a crew tries its board. */
function firstHours(deck: Deck): void {
  const { boat, helm, station } = deck
  boat.tap(helm, 'trip_phase', { phase: 'fishing' })
  deck.list(2)
  deck.set(DAY_GEAR)
  boat.tap(station, 'hand_added', { name: NINTH, station: 'below' }, { by: 4 })
  boat.tap(deck.phone(8), 'hand_station', { hand: 9, station: 'cockpit' })
  boat.tap(deck.phone(6), 'page_hand', { hand: 9 })
  boat.tap(deck.phone(6), 'page_hand', { hand: 6 })
  boat.tap(helm, 'angler_next', { hand: 5 })
  deck.falseAlarm()
  deck.wait(60, 200)
  deck.stop()
}

// ---- a day ----

/** Something happens, and then for a while nothing does. */
function fishing(deck: Deck): void {
  deck.set(DAY_GEAR)
  HAPPENINGS[deck.rng.weighted(HAPPENING_WEIGHTS)](deck)
  deck.pockets()
  deck.wait(15, 80)
}

const HAPPENINGS = {
  knockdown, raise, untold, late, work,
  one: (deck: Deck): void => hookUp(deck, 1),
  two: (deck: Deck): void => hookUp(deck, 2),
  three: (deck: Deck): void => hookUp(deck, 3),
}
const HAPPENING_WEIGHTS = [
  [38, 'knockdown'], [14, 'one'], [9, 'two'], [2, 'three'], [16, 'raise'], [5, 'untold'], [5, 'late'], [16, 'work'],
] as const

/** What else there is to do on a day at sea. */
function work(deck: Deck): void {
  const { boat, rng, helm, station } = deck
  const line = rng.pick(DAY).id
  switch (deck.turn('work') % 11) {
    case 1: return deck.list(rng.int(1, 4))
    case 2: return deck.look(rng.pick(deck.baits()))
    case 3: return void boat.tap(helm, 'duty', { post: rng.pick(['wheel', 'look_out']), hand: rng.int(1, 8) })
    case 4: return void boat.tap(station, 'noted', { text: 'birds to the north-east, half a mile, working hard' }, { by: 2 })
    case 5: return slips(deck, line)
    case 6: return void boat.tap(station, 'gear_fault', { line, text: 'reel slips under load' }, { by: 4 })
    case 7: return void boat.tap(helm, 'near_miss', { what: rng.pick(NEAR_KIND_VALUES.slice(1)), hand: rng.int(1, 8), text: 'seen in time' })
    case 8: return void deck.hurt(rng.int(2, 8))
    case 9: return deck.overboard()
    case 10: return jobs(deck)
    default: return kept(deck)
  }
}

/** A wrong line, put right; a slip, undone; a note that was not so, taken out of the log's sum with what hung on it. */
function slips(deck: Deck, line: number): void {
  const { boat, rng } = deck
  const phone = rng.pick(deck.phones)
  const wrong = boat.tap(phone, 'line_bait', { line, bait: 'mackerel' })
  boat.tap(phone, 'line_bait', { line: rng.pick(DAY).id, bait: 'mackerel' }, { instead_of: wrong })
  const slip = boat.tap(phone, 'stamped', {})
  boat.tap(phone, 'voided', { target: slip, undo: true })
  const note = boat.tap(phone, 'noted', { text: 'a weed line all along the edge' })
  deck.wait(60, 120)
  const agreed = boat.preview(deck.helm, note)
  boat.tap(deck.helm, 'voided', { target: note, ...(agreed > 0 ? { agreed } : {}) })
}

function jobs(deck: Deck): void {
  const no = deck.rng.int(1, 3)
  deck.boat.tap(deck.helm, 'job', { no, text: 'spare hooks for the flats, sharpened and crimped', hand: 4 })
  if (deck.rng.chance(500)) deck.boat.tap(deck.helm, 'job_done', { no })
}

function kept(deck: Deck): void {
  const line = deck.rng.pick(deck.baits())
  deck.boat.tap(deck.helm, 'line_kept', { line, kept: true })
  deck.wait(30, 90)
  deck.boat.tap(deck.helm, 'line_kept', { line, kept: false })
}

// ---- the night ----

function toNight(deck: Deck): void {
  const { boat, helm, station, rng } = deck
  boat.tap(helm, 'trip_phase', { phase: 'night' })
  deck.list(3)
  inByEye(deck)
  const lights = ['green', 'red', 'white', 'blue', 'orange'] as const
  for (const [i, place] of NIGHT.entries()) {
    boat.tap(station, 'place_set', { place }, { by: 2 })
    boat.tap(station, 'float_light', { line: place.id, light: lights[i] ?? 'white' }, { by: 2 })
    deck.wait(60, 240)
    boat.tap(station, 'line_is', { line: place.id, state: 'out' }, { by: 2 })
  }
  boat.tap(station, 'slick', { on: true }, { by: 2 })
  boat.tap(helm, 'stand_by', { hand: 8 })
  for (const phone of deck.phones) if (rng.chance(800)) boat.sleep(phone)
}

/** Watches of two hours, a look at every bait each half hour, and six or seven bites. */
function night(deck: Deck, goes_on: () => boolean): void {
  const { boat, rng } = deck
  for (let half = 0; goes_on(); half++) {
    if (half % 4 === 0) boat.tap(deck.helm, 'duty', { post: 'look_out', hand: rng.pick([2, 3, 4, 7]) })
    for (const line of deck.baits('float')) deck.look(line)
    if (rng.chance(350)) nightBite(deck, rng.chance(400))
    for (const { id, state } of deck.lines()) {
      const float = NIGHT.some((place) => place.id === id)
      if (float && state !== 'out') boat.tap(deck.station, 'line_is', { line: id, state: 'out' }, { by: 4 })
    }
    boat.pass(rng.int(22, 28) * MINUTE)
  }
}

function toDay(deck: Deck): void {
  const { boat, helm, station } = deck
  for (const { id } of deck.lines().filter((line) => (line.state ?? 'in') !== 'in')) {
    deck.wait(30, 120)
    boat.tap(station, 'line_is', { line: id, state: 'in' }, { by: 4 })
  }
  boat.tap(station, 'slick', { on: false }, { by: 4 })
  for (const place of NIGHT) boat.tap(station, 'place_set', { place, gone: true }, { by: 4 })
  boat.tap(helm, 'trip_phase', { phase: 'fishing' })
  boat.tap(helm, 'stand_by', { hand: 0 })
  boat.tap(helm, 'duty', { post: 'wheel', hand: 1 })
  boat.tap(helm, 'duty', { post: 'look_out', hand: 7 })
  for (const phone of deck.phones) boat.wake(phone)
}

// ---- the way home ----

function home(deck: Deck): void {
  deck.boat.tap(deck.helm, 'trip_phase', { phase: 'home' })
  inByEye(deck)
}

/** What was kept out on purpose is not brought in by a look at all lines; it is named apart. */
function inByEye(deck: Deck): void {
  deck.boat.tap(deck.helm, 'lines_seen', { scope: 'all', state: 'in' })
  if (deck.lines().some((line) => line.kept)) deck.boat.tap(deck.helm, 'lines_seen', { scope: 'rest', state: 'in' })
}

/** What nobody knew is settled with one tap each; two count the fish; the jobs for the next trip have names. */
function dock(deck: Deck): void {
  const { boat, helm, station } = deck
  boat.tap(helm, 'trip_ended', {})
  for (const { id, of } of deck.all<BoardOpenEnd>('open_ends')) {
    deck.wait(3, 15)
    if (of === 'fight') boat.tap(helm, 'fight_ended', { fight: id, end: 'pulled' })
    else if (of === 'raise') boat.tap(helm, 'raise_ended', { episode: id, end: 'left' })
    else boat.tap(helm, 'strike_ended', { strike: id, end: 'gone' })
  }
  const { boated = 0 } = deck.one<{ boated?: number }>('counts') ?? {}
  boat.tap(helm, 'fish_counted', { boated, second: 2 })
  boat.tap(helm, 'aboard', { persons: 8, use: 'private' })
  const fish = boat.tap(station, 'fish_told', { code: 'WAH', fate: 'kept', length_um: 1_371_600, measure: 'fork', measured_by: 3 }, { by: 3 })
  boat.tap(station, 'fish_iced', { fish }, { by: 3 })
  boat.tap(helm, 'report_told', { of: fish, number: 'N 774411' })
  boat.tap(helm, 'near_miss', { what: 'wrapped_hand', hand: 1, text: 'let go in time' })
  boat.tap(helm, 'job', { no: 1, text: 'new clip on the port rigger', hand: 2 })
  boat.tap(helm, 'job_done', { no: 1 })
  boat.tap(station, 'gear_fault', { line: 2, text: 'guide cracked' }, { by: 2 })
  deck.wait(60, 120)
}
