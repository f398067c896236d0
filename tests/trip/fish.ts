// Fish, as they come to the long trip: knockdowns, strikes of which nobody tells the end, raises, hook-ups of one or two with
// lines cleared or kept out, the fights and the leader.

import { CONDITION_VALUES, type BoardFight, type BoardLine, type BoardRaise, type CallWhat, type EntryId } from 'proto'
import type { Phone } from './boat'
import type { Deck } from './deck'

const TO_HELM: readonly CallWhat[] = [
  'ahead', 'ahead_easy', 'neutral', 'back_easy', 'back_hard', 'turn_port', 'turn_starboard', 'spin', 'fish_port', 'fish_starboard',
  'fish_deep', 'fish_up', 'colour', 'leader', 'stay_with_him', 'line_in_wheels', 'cut_him_off', 'come_up',
]
const TO_COCKPIT: readonly CallWhat[] = ['coming_ahead', 'backing', 'turning_port', 'turning_starboard', 'hold_on', 'come_to_helm']

/** A strike on one of these lines; sometimes the shout comes before anybody knows which. */
function struck(deck: Deck, lines: readonly number[]): EntryId {
  const line = deck.rng.pick(lines)
  const phone = deck.anyone()
  if (deck.rng.chance(850)) return deck.boat.tap(phone, 'strike', { line }, deck.by(phone))
  const strike = deck.boat.tap(phone, 'strike', {}, deck.by(phone))
  deck.wait(1, 5)
  deck.boat.tap(deck.station, 'strike_named', { strike, line }, { by: 4 })
  return strike
}

function ended(deck: Deck, strike: EntryId, end: 'on' | 'knockdown' | 'gone'): void {
  const phone = deck.anyone()
  deck.boat.tap(phone, 'strike_ended', { strike, end }, deck.by(phone))
}

/** A clip lets go without a hook, and perhaps a second line within seconds. */
export function knockdown(deck: Deck): void {
  const strikes = [struck(deck, deck.baits())]
  deck.wait(2, 8)
  if (deck.rng.chance(600) && deck.baits().length > 0) strikes.push(struck(deck, deck.baits()))
  for (const strike of strikes) {
    deck.wait(3, 15)
    ended(deck, strike, deck.rng.pick(['knockdown', 'gone']))
  }
  for (const { id, check } of deck.lines()) if (check && deck.rng.chance(800)) deck.look(id)
}

/** Hands were full: nobody tells how it ended. It is asked at the dock. */
export function untold(deck: Deck): void {
  struck(deck, deck.baits())
  deck.wait(65, 120)
}

/** Tapped when hands were free again, as of a little ago. */
export function late(deck: Deck): void {
  const phone = deck.anyone()
  const stamp = deck.boat.tap(phone, 'stamped', {}, deck.by(phone))
  deck.wait(20, 50)
  const strike = deck.boat.tap(phone, 'strike', {}, { ...deck.by(phone), ago_ms: 15_000 })
  deck.boat.tap(phone, 'strike_ended', { strike, end: 'knockdown' }, { ...deck.by(phone), ago_ms: 12_000 })
  deck.boat.tap(phone, 'stamp_told', { stamp, what: 'strike', text: 'dropped it at the clip' }, deck.by(phone))
}

/** Up in the spread for a while, from bait to bait. It bites, leaves, or nobody says. */
export function raise(deck: Deck): void {
  const phone = deck.anyone()
  const near = deck.lines('out').map((line) => line.id)
  const episode = deck.boat.tap(phone, 'raised', deck.rng.chance(500) ? { line: deck.rng.pick(near) } : {}, deck.by(phone))
  for (let touches = deck.rng.int(0, 10); touches > 0; touches--) {
    deck.wait(2, 25)
    deck.boat.tap(deck.station, 'raise_touched', { episode, line: deck.rng.pick(near) }, { by: 6 })
  }
  const [teaser] = deck.baits('teaser')
  if (teaser !== undefined && deck.rng.chance(500)) deck.boat.tap(deck.station, 'raise_gear_moved', { episode, gear: 'teaser_in', line: teaser }, { by: 6 })
  if (deck.rng.chance(400)) deck.boat.tap(deck.station, 'raise_gear_moved', { episode, gear: 'pitch_in' }, { by: 2 })
  deck.wait(5, 30)
  if (deck.turn('raise') % 7 === 3) return deck.wait(310, 330) // nobody says how it ended
  const end = deck.rng.weighted([[5, 'bit'], [4, 'left']] as const)
  if (end === 'bit' && deck.baits().length > 0) return bite(deck)
  deck.boat.tap(phone, 'raise_ended', { episode, end: 'left' }, deck.by(phone))
}

/** The fish that is up takes a bait. Unhooked, it swims away. */
function bite(deck: Deck): void {
  const strike = struck(deck, deck.baits())
  deck.wait(3, 10)
  if (deck.rng.chance(600)) {
    ended(deck, strike, 'on')
    return fight(deck)
  }
  ended(deck, strike, 'gone')
  for (const { id } of deck.all<BoardRaise>('raises')) deck.boat.tap(deck.station, 'raise_ended', { episode: id, end: 'bit' }, { by: 6 })
}

/** One fish on, or as many as there are baits for. */
export function hookUp(deck: Deck, count: number): void {
  for (let i = 0; i < count && deck.baits().length > 0; i++) {
    const strike = struck(deck, deck.baits())
    deck.wait(2, 7)
    ended(deck, strike, 'on')
  }
  fight(deck)
}

/** From the fish on to the last one off: keep ahead, clear or leave lines out, then each at the leader. */
function fight(deck: Deck): void {
  deck.wait(15, 30)
  if (deck.rng.chance(850)) deck.clearSome()
  if (deck.rng.chance(350)) keptLine(deck)
  for (const { id } of deck.fights()) {
    if (deck.rng.chance(300)) deck.boat.tap(deck.helm, 'fight_angler', { fight: id, hand: deck.rng.pick([2, 5, 7, 8]) })
    fought(deck, id)
  }
}

/** A strike on a line that was kept out: a second fight, and the rest has to come in. */
function keptLine(deck: Deck): void {
  const kept = deck.lines('out').filter((line) => line.kept).map((line) => line.id)
  if (kept.length === 0) return
  const strike = struck(deck, kept)
  deck.wait(2, 7)
  ended(deck, strike, 'on')
  if (deck.lines('out').some((line) => line.kept)) deck.clear({ scope: 'rest' })
}

function minutes(deck: Deck): number {
  return deck.rng.weighted([[12, deck.rng.int(1, 6)], [4, deck.rng.int(6, 16)], [1, deck.rng.int(25, 60)]] as const)
}

function fought(deck: Deck, id: EntryId): void {
  for (let left = minutes(deck); left > 0; left--) {
    if (deck.rng.chance(350)) deck.call(deck.rng.pick(TO_HELM), 'helm')
    if (deck.rng.chance(120)) deck.call(deck.rng.pick(TO_COCKPIT), 'cockpit')
    if (deck.rng.chance(60)) astern(deck)
    deck.wait(30, 60)
  }
  const end = deck.rng.weighted([[4, 'boated'], [5, 'released'], [2, 'pulled'], [1, 'broke_off'], [1, 'bitten_off']] as const)
  if (end === 'boated' || end === 'released') atLeader(deck, id, end)
  const told = deck.turn('fight') % 20 === 9 ? 'not_known' : end
  deck.boat.tap(deck.helm, 'fight_ended', { fight: id, end: told })
  if (deck.one<{ door?: boolean }>('deck')?.door) deck.boat.tap(deck.station, 'door', { open: false }, { by: 6 })
  if (end === 'released') deck.boat.tap(deck.station, 'fight_condition', { fight: id, condition: deck.rng.pick(CONDITION_VALUES.slice(1)) }, { by: 4 })
  if (deck.rng.chance(200)) deck.boat.tap(deck.station, 'noted', { about: id, text: 'long bill, tag on the port side, jumped twice' }, { by: 4 })
}

function astern(deck: Deck): void {
  const asked = deck.boat.tap(deck.helm, 'astern', {})
  deck.wait(2, 8)
  deck.boat.tap(deck.helm, 'astern_decided', { asked, went: deck.rng.chance(500) })
}

/** The captain taps it, never a hand at the rail. */
function atLeader(deck: Deck, fight: EntryId, end: 'boated' | 'released'): void {
  deck.boat.tap(deck.helm, 'leader', { fight, on: true })
  deck.wait(4, 40)
  if (deck.rng.chance(400)) {
    deck.boat.tap(deck.helm, 'leader', { fight, on: false })
    deck.wait(20, 120)
    deck.boat.tap(deck.helm, 'leader', { fight, on: true, hand: 3 })
  }
  if (end === 'released') return
  deck.boat.tap(deck.station, 'gaff', { up: true, hand: 4 }, { by: 4 })
  deck.boat.tap(deck.station, 'door', { open: true }, { by: 6 })
  deck.wait(10, 40)
}

/** At night a bait goes down on its float with one hand awake: the stand-by is called up, and nobody wires alone. */
export function nightBite(deck: Deck, on: boolean): void {
  const floats = deck.baits('float')
  if (floats.length === 0) return
  const strike = deck.boat.tap(deck.station, 'strike', { line: deck.rng.pick(floats) }, { by: 4 })
  const call = deck.boat.tap(deck.station, 'call', { what: 'wake', to: 'below', hand: 8 }, { by: 4 })
  const sleeper: Phone = deck.phone(8)
  deck.boat.wake(sleeper)
  deck.boat.tap(sleeper, 'shown', { call })
  deck.wait(5, 30)
  deck.boat.tap(sleeper, 'call_got', { call })
  deck.boat.tap(deck.station, 'strike_ended', { strike, end: on ? 'on' : 'knockdown' }, { by: 4 })
  deck.boat.tap(deck.station, 'call_done', { call, hand: 8 }, { by: 4 })
  for (const { id } of deck.fights() as BoardFight[]) fought(deck, id)
  for (const { id, check } of deck.lines() as BoardLine[]) if (check) deck.look(id)
  deck.boat.sleep(sleeper)
}
