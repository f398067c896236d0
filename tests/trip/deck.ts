// What the crew of the long trip does again and again: the spread out, lines in, calls, lists, emergencies, who is awake.

import {
  BAIT_RESULT_VALUES, type BoardCheck, type BoardClearing, type BoardFight, type BoardLine, type BoardList, type CallWhat, type EntryId,
} from 'proto'
import type { Prng } from '../sim/prng'
import type { Boat, Phone } from './boat'
import { LONGS } from './plan'

const SECOND = 1000
export const MINUTE = 60 * SECOND
export const HOUR = 60 * MINUTE

export class Deck {
  readonly rng: Prng
  readonly helm: Phone
  readonly station: Phone
  readonly phones: Phone[] = []

  constructor(readonly boat: Boat) {
    this.rng = boat.rng
    this.helm = boat.add('helm', 'helm', 1)
    this.station = boat.add('station', 'station', 0)
    boat.takeHelm(this.helm, '1234')
    for (const hand of [2, 3, 4, 6, 7, 8]) this.phones.push(boat.add(`phone ${hand}`, 'phone', hand))
  }

  /** The phone of a hand who has one. */
  phone(hand: number): Phone {
    return this.phones.find((phone) => phone.hand === hand) ?? this.station
  }

  /** Somebody in the cockpit whose page is awake. */
  anyone(): Phone {
    return this.rng.pick([this.station, ...this.phones.filter((phone) => phone.conn >= 0)])
  }

  /** Who taps: a page of a hand's own, or the cockpit's with the hand named. */
  by(phone: Phone): { by?: number } {
    return phone.hand ? {} : { by: this.rng.pick([2, 4, 5, 6]) }
  }

  wait(least_s: number, most_s: number): void {
    this.boat.pass(this.rng.int(least_s * SECOND, most_s * SECOND))
  }

  private turns = new Map<string, number>()

  /** How often this was asked before: what is to happen every so often does so in every trip. */
  turn(what: string): number {
    const count = this.turns.get(what) ?? 0
    this.turns.set(what, count + 1)
    return count
  }

  // ---- looking ----

  one<T>(name: string): T | undefined {
    return this.boat.parts.get(name) as T | undefined
  }

  all<T>(name: string): T[] {
    return [...this.boat.parts].filter(([id]) => id.startsWith(`${name}/`)).map(([, value]) => value as T)
  }

  lines(state?: BoardLine['state']): BoardLine[] {
    return this.all<BoardLine>('lines').filter((line) => state === undefined || (line.state ?? 'in') === state)
  }

  /** Baits in the water that a fish may take. */
  baits(gear: BoardLine['gear'] = 'line'): number[] {
    return this.lines('out').filter((line) => (line.gear ?? 'line') === gear).map((line) => line.id)
  }

  fights(): BoardFight[] {
    return this.all<BoardFight>('fights')
  }

  // ---- the spread ----

  /** Every place of these that is not out goes out, longest first, or all at once by eye. */
  set(gears: readonly string[]): void {
    const clearing = this.one<BoardClearing>('clearing')
    if (clearing?.id && clearing.state === 'open') this.boat.tap(this.helm, 'clear_over', { clearing: clearing.id })
    const due = this.lines().filter((line) => gears.includes(line.gear ?? 'line') && !['out', 'on', 'strike'].includes(line.state ?? 'in'))
    if (due.length > 8 && this.rng.chance(250)) {
      this.boat.tap(this.helm, 'lines_seen', { scope: 'all', state: 'out' })
      return this.wait(60, 300)
    }
    for (const { id } of due) {
      const phone = this.anyone()
      if (this.rng.chance(400)) this.boat.tap(phone, 'line_is', { line: id, state: 'setting' }, this.by(phone))
      this.wait(8, 40)
      this.boat.tap(phone, 'line_is', { line: id, state: 'out' }, this.by(phone))
      if (this.rng.chance(150)) this.boat.tap(phone, 'line_bait', { line: id, bait: this.rng.pick(['fresh ballyhoo', 'mackerel', 'jet head']) }, this.by(phone))
    }
    for (const { id, check } of this.lines()) if (check) this.look(id)
  }

  /** A bait that is wanted to be looked at, or is merely old. */
  look(line: number): void {
    const phone = this.anyone()
    this.wait(5, 30)
    this.boat.tap(phone, 'bait_checked', { line, result: this.rng.pick(BAIT_RESULT_VALUES.slice(1)) }, this.by(phone))
  }

  /** The call to clear, answered by voice, and the lines it asks for brought in: taken by hands, told, or seen from the helm. */
  clear(how: { scope: 'all' | 'port' | 'starboard' | 'rest'; kept?: number[]; preset?: string }): void {
    const id = this.boat.tap(this.helm, 'clear_called', { reason: 'fish', ...how })
    this.boat.tap(this.station, 'shown', { call: id })
    this.wait(2, 6)
    this.boat.tap(this.station, 'call_got', { call: id, hand: 5, voice: true })
    const asked = this.lines().filter((one) => one.asked && (one.state ?? 'in') !== 'in')
    const turn = this.turn('clear') % 8
    if (turn === 2) return this.mineAreIn(asked.map((line) => line.id))
    const most = turn === 5 ? 2 : asked.length // the fish is gone: the rest may stay where it is
    for (const { id: line } of asked.slice(0, most)) {
      const phone = this.anyone()
      const by = this.by(phone)
      if (this.rng.chance(500)) this.boat.tap(phone, 'line_taken', { line }, by)
      this.wait(10, 45)
      this.boat.tap(phone, 'line_is', { line, state: 'in', ...(this.rng.chance(200) ? { eye: true } : {}) }, by)
    }
  }

  /** Two hands bring in all there is, and one of them says so in one tap. */
  private mineAreIn(lines: number[]): void {
    this.wait(40, 120)
    if (lines.length > 0) this.boat.tap(this.station, 'lines_are', { in: lines }, { by: 2 })
  }

  /** As the standing orders have it for this fish. */
  clearSome(): void {
    const kept = (lines: number[]): number[] => lines.filter((line) => this.baits().includes(line))
    const how = this.rng.weighted([[3, 'all'], [4, 'longs'], [2, 'back'], [2, 'port'], [2, 'starboard']] as const)
    const wanted = this.lines().filter((line) => !['in', 'on'].includes(line.state ?? 'in') && !line.kept).map((line) => line.id)
    const sides = this.lines().filter((line) => wanted.includes(line.id)).map((line) => line.side ?? 'centre')
    if ((how === 'port' || how === 'starboard') && sides.includes(how)) return this.clear({ scope: how })
    const out = how === 'longs' ? kept(LONGS) : how === 'back' ? kept([4]) : []
    if (!wanted.some((line) => !out.includes(line))) return
    this.clear(out.length > 0 ? { scope: 'all', kept: out, preset: how === 'longs' ? 'all but longs' : 'all but way back' } : { scope: 'all' })
  }

  // ---- calls and lists ----

  /** A call to the helm or from it: shown, repeated back, done; now and then nobody hears it. */
  call(what: CallWhat, to: 'helm' | 'cockpit'): void {
    const [from, heard] = to === 'helm' ? [this.anyone(), this.helm] : [this.helm, this.station]
    const call = this.boat.tap(from, 'call', { what, to }, this.by(from))
    this.boat.tap(heard, 'shown', { call })
    if (this.rng.chance(100)) {
      this.wait(12, 20)
      this.boat.tap(from, 'call_off', { call }, this.by(from))
      return
    }
    this.wait(1, 6)
    this.boat.tap(heard, 'call_got', { call, ...(heard.hand ? {} : { hand: 5, voice: true }) })
    this.wait(2, 20)
    this.boat.tap(heard, 'call_done', { call, ...(heard.hand ? {} : { hand: 5 }) })
  }

  /** A list by voice between two: one asks from the helm, one answers in the cockpit. */
  list(list: number): void {
    const items = this.one<BoardList>(`lists/${list}`)?.items ?? []
    if (this.one<BoardCheck>(`checks/${list}`)?.state === 'open') return
    const most = this.turn('list') % 3 === 2 ? 3 : items.length
    const run = this.boat.tap(this.helm, 'check_opened', { list })
    for (let item = 1; item <= most; item++) {
      this.wait(2, 12)
      const phone = this.rng.pick([this.helm, this.station])
      const answer = this.rng.weighted([[12, 'done'], [1, 'not_here'], [1, 'not_done']] as const)
      this.boat.tap(phone, 'check_answered', { run, item, answer, ...(answer === 'not_done' ? { why: 'no_time' } : {}) }, this.by(phone))
    }
    if (most < items.length) this.boat.tap(this.helm, 'check_left', { run })
  }

  // ---- emergencies ----

  overboard(): void {
    const caller = this.rng.pick(this.phones)
    const call = this.boat.tap(caller, 'overboard', {})
    for (const phone of [this.helm, this.station, ...this.phones.slice(0, 3)]) {
      this.wait(1, 3)
      this.boat.tap(phone, 'overboard_heard', { call })
    }
    this.boat.tap(this.helm, 'shown', { call })
    this.boat.tap(this.phone(7), 'overboard_sighted', { call, hand: 7 })
    this.boat.tap(this.helm, 'overboard_person', { call, hand: 8 })
    this.wait(20, 60)
    this.boat.tap(this.phone(7), 'overboard_sighted', { call, hand: 7, lost: true })
    this.wait(120, 420)
    this.boat.tap(this.helm, 'overboard_ended', { call, how: 'aboard' })
  }

  /** A page without a key, on the pier or aboard: called, and taken back by the one who called. */
  falseAlarm(): void {
    const stranger = this.boat.add('stranger', 'none', 0, '')
    const call = this.boat.tap(stranger, 'overboard', {})
    this.wait(5, 20)
    this.boat.tap(stranger, 'overboard_withdrawn', { call })
    this.boat.leave(stranger)
    this.boat.phones.splice(this.boat.phones.indexOf(stranger), 1)
  }

  stop(): void {
    const stop = this.boat.tap(this.anyone(), 'stop', {})
    this.wait(20, 120)
    this.boat.tap(this.helm, 'stop_over', { stop })
  }

  hurt(hand: number): EntryId {
    const hurt = this.boat.tap(this.anyone(), 'hurt', {})
    this.wait(10, 40)
    this.boat.tap(this.station, 'hurt_told', { hurt, hand, how: 'first_aid' }, { by: 4 })
    this.wait(300, 900)
    this.boat.tap(this.helm, 'hurt_over', { hurt })
    return hurt
  }

  // ---- who is awake ----

  /** Phones go into pockets and come out of them; now and then one loads its page anew. */
  pockets(): void {
    for (const phone of this.phones) {
      const what = this.rng.weighted([[60, ''], [20, 'turn'], [3, 'reload']] as const)
      if (what === 'reload') this.boat.reload(phone)
      else if (what === 'turn' && phone.conn >= 0) this.boat.sleep(phone)
      else if (what === 'turn') this.boat.wake(phone)
    }
  }
}
