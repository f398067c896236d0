// Trips made up by lot: as long as wanted, with all that a day holds, tapped by six pages. Same seed, same trip.
//
//   const log = new LogMaker(); madeUpTrip(log, { seed: 7, no: 3, start_ms: 0, entries: 5000 })
//
// What is tapped makes sense most of the time, for the trip follows which lines are out and which fish are on; now and then it does
// not, as at sea. Receipts and pages that come and go take the share that they have in a real log.

import { MIN, SEC } from './logs.mjs'

const SIDES = ['port', 'starboard', 'centre']
const BAITS = ['ballyhoo', 'mullet', 'squid', 'blue lure', 'purple plug', 'mackerel']
const CALLS = ['ahead', 'neutral', 'back_easy', 'turn_port', 'turn_starboard', 'spin', 'colour', 'leader']

/** mulberry32: a small generator of 32 bits, good enough for tests. */
export function lot(seed) {
  let state = seed >>> 0
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = Math.imul(state ^ (state >>> 15), state | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const below = (n) => Math.floor(next() * n)
  return { next, below, of: (list) => list[below(list.length)], chance: (p) => next() < p }
}

const spread = Array.from({ length: 10 }, (_, index) => ({
  id: index + 1, name: `Place ${index + 1}`, side: SIDES[index % 3], gear: index < 8 ? 'line' : index === 8 ? 'teaser' : 'dredge',
  distance_m: 10 * index, bait: BAITS[index % BAITS.length],
}))
const crew = ['Ines', 'Tobias', 'Ruth', 'Amparo', 'Dov'].map((name, index) => ({ id: index + 1, name, station: 'cockpit' }))
const lists = [{ id: 1, name: 'Before dark', kind: 'do_confirm', items: ['Deck lights', 'Door', 'Beacon'].map((ask) => ({ ask, state: 'SEEN' })) }]

class Trip {
  constructor(log, { seed, no = 1, start_ms = 0, entries = 1000 }) {
    Object.assign(this, { log, no, now: start_ms, most: log.entries.length + entries, chance: lot(seed) })
    this.pages = Array.from({ length: 6 }, (_, index) => (0xa000 * no + index + 1).toString(16).padStart(16, '0'))
    Object.assign(this, { out: new Set(), strikes: [], fights: [], calls: [], raises: [], clearing: null })
  }

  say(kind, body, head = {}) {
    const late = this.chance.chance(0.02) ? this.chance.below(90) * SEC : this.chance.below(300)
    const page = this.chance.of(this.pages)
    return this.log.add(this.now, kind, body, { by: 1 + this.chance.below(5), page, ago: late, ...head })
  }

  /** What the server says comes when it happens. */
  note(kind, body) {
    this.log.add(this.now, kind, body)
  }

  wait(most_ms) {
    this.now += 50 + this.chance.below(most_ms)
  }

  begin() {
    this.say('trip_started', { name: 'Grey Petrel', no: this.no, spread, crew, lists }, { ago: 0, by: 1 })
    this.note('run', { run: '1'.repeat(16), boot: '2'.repeat(16), base_ms: 0 })
    this.note('clock', { utc_offset_ms: Date.UTC(2026, 3, 1, 9), source: 'gps' })
    this.pages.forEach((page) => this.note('page_joined', { page, view: 'phone' }))
    this.say('duty', { post: 'wheel', hand: 1 })
    this.wait(10 * MIN)
    this.say('trip_phase', { phase: 'fishing' })
    this.set()
  }

  set() {
    for (const { id } of spread) this.out.add(id)
    this.say('lines_are', { out: [...this.out] })
    this.clearing = null
  }

  receipts(call) {
    for (const page of this.pages.slice(0, 2 + this.chance.below(4))) this.say('shown', { call }, { page, ago: 40, by: 0 })
  }

  strike() {
    const line = this.chance.of([...this.out, 0])
    const strike = this.say('strike', { line })
    this.out.delete(line)
    this.wait(20 * SEC)
    const end = this.chance.of(['on', 'on', 'knockdown', 'gone'])
    if (this.chance.chance(0.05)) {
      this.now += 60 * SEC
      this.note('strike_lapsed', { strike })
    } else {
      this.say('strike_ended', { strike, end })
      if (end === 'on') this.fights.push({ strike, line })
      else if (line) this.out.add(line)
    }
  }

  raise() {
    const episode = this.say('raised', { line: this.chance.of([0, 1, 2, 3]) })
    for (let touches = this.chance.below(4); touches > 0; touches--) {
      this.wait(15 * SEC)
      this.say('raise_touched', { episode, line: 1 + this.chance.below(8) })
    }
    if (this.chance.chance(0.5)) this.strike()
    this.wait(30 * SEC)
    this.say('raise_ended', { episode, end: this.chance.of(['bit', 'left']) })
  }

  endFight() {
    const { strike, line } = this.fights.shift()
    this.say('leader', { fight: strike, on: true })
    this.wait(2 * MIN)
    const end = this.chance.of(['boated', 'released', 'pulled', 'broke_off', 'not_known'])
    this.say('fight_ended', { fight: strike, end })
    if (line && (end === 'pulled' || end === 'broke_off')) this.out.add(line)
  }

  clear() {
    const clearing = this.say('clear_called', { scope: 'all', reason: 'fish' })
    this.receipts(clearing)
    for (const line of [...this.out]) {
      this.wait(12 * SEC)
      if (this.chance.chance(0.3)) this.say('line_taken', { line })
      this.wait(8 * SEC)
      this.say('line_is', { line, state: 'in', eye: this.chance.chance(0.3) })
      this.out.delete(line)
    }
    this.wait(5 * MIN)
    this.set()
  }

  call() {
    const call = this.say('call', { what: this.chance.of(CALLS), to: this.chance.of(['helm', 'cockpit', 'port']) })
    this.receipts(call)
    this.wait(9 * SEC)
    if (this.chance.chance(0.9)) this.say('call_got', { call, voice: this.chance.chance(0.6) })
    else this.note('call_unheard', { call })
    this.wait(20 * SEC)
    if (this.chance.chance(0.7)) this.say('call_done', { call })
  }

  page() {
    const page = this.chance.of(this.pages)
    this.note('page_state', { page, state: this.chance.of(['asleep', 'lost', 'here', 'here']) })
  }

  check() {
    const run = this.say('check_opened', { list: 1 })
    for (let item = 1; item <= 3; item++) {
      this.wait(4 * SEC)
      this.say('check_answered', { run, item, answer: 'done' })
    }
  }

  slip() {
    const target = this.say('line_is', { line: 1 + this.chance.below(8), state: 'fouled' }, { ago: 0 })
    this.now += SEC
    this.say('voided', { target, undo: true }, { ago: 0 })
  }

  step() {
    this.wait(3 * MIN)
    const p = this.chance.next()
    if (p < 0.12) this.strike()
    else if (p < 0.2) this.raise()
    else if (p < 0.28 && this.fights.length) this.endFight()
    else if (p < 0.34) this.clear()
    else if (p < 0.5) this.call()
    else if (p < 0.66) this.page()
    else if (p < 0.74) this.say('bait_checked', { line: 1 + this.chance.below(8), result: this.chance.of(['clean', 'chewed', 'weed']) })
    else if (p < 0.8) this.say('line_bait', { line: 1 + this.chance.below(8), bait: this.chance.of(BAITS) })
    else if (p < 0.86) this.say('duty', { post: this.chance.of(['wheel', 'look_out']), hand: this.chance.below(6) })
    else if (p < 0.9) this.check()
    else if (p < 0.93) this.slip()
    else if (p < 0.95) this.say('trip_phase', { phase: this.chance.of(['fishing', 'night']) })
    else if (p < 0.97) this.say('near_miss', { what: 'hook', text: 'near' })
    else this.say('stamped', {})
  }

  play() {
    this.begin()
    while (this.log.entries.length < this.most - 3) this.step()
    this.wait(10 * MIN)
    this.now += 5 * MIN
    this.say('trip_ended', {}, { ago: 0 })
    return this.now
  }
}

/** Adds a trip to the log; returns when it ended. */
export const madeUpTrip = (log, options) => new Trip(log, options).play()
