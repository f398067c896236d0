// What a crew taps: every kind of entry, mostly fitting what the page shows, now and then not.

import {
  BAIT_RESULT_VALUES, CALL_WHAT_VALUES, CHECK_ANSWER_VALUES, CLEAR_REASON_VALUES, CONDITION_VALUES, FISH_FATE_VALUES, GEAR_VALUES, HURT_HOW_VALUES,
  LIGHT_VALUES, MEASURE_VALUES, NEAR_KIND_VALUES, PHASE_VALUES, RAISE_END_VALUES, RAISE_GEAR_VALUES, SCOPE_VALUES, STAMP_WHAT_VALUES,
  STATION_VALUES, TRIP_USE_VALUES, type BoardAstern, type BoardCall, type BoardCheck, type BoardClearing, type BoardFight, type BoardHand,
  type BoardHurt, type BoardLine, type BoardOpenEnd, type BoardOverboard, type BoardRaise, type BoardStamp, type BoardStop,
  type BoardStrike, type BodyTripStarted, type EntryId, type FishFate, type Kind,
} from 'proto'
import type { ActOptions } from '../../web/src/store_shape'
import type { Page } from './page'
import type { Prng } from './prng'

export interface Act {
  kind: Kind
  body: object
  options?: ActOptions
  mark?: string
}

const NOBODY = '00000000deadbeef.o.1'

/** What a page shows, as a tapper sees it. */
class Seen {
  constructor(private parts: ReadonlyMap<string, unknown>) {}

  one<T>(name: string): T | undefined {
    return this.parts.get(name) as T | undefined
  }

  all<T>(name: string): T[] {
    return [...this.parts].filter(([id]) => id.startsWith(`${name}/`)).map(([, value]) => value as T)
  }
}

const NAMES = ['Ines', 'Tobias', 'Ruth', 'Amparo', 'Dov', 'Ottilie', 'Yusuf', 'Selma', 'Bronagh', 'Iker', 'Wanda', 'Per']

export function trip(rng: Prng, no: number): BodyTripStarted {
  const sides = ['port', 'starboard', 'centre'] as const
  const gears = ['line', 'line', 'line', 'line', 'line', 'line', 'teaser', 'dredge'] as const
  const spread = Array.from({ length: rng.chance(100) ? rng.int(9, 18) : rng.int(3, 8) }, (_, i) => ({
    id: i + 1, name: `P${i + 1}`, side: sides[i % 3] ?? 'centre', gear: gears[i % 8] ?? ('line' as const),
  }))
  const names = NAMES.slice(0, rng.chance(100) ? rng.int(6, 12) : rng.int(2, 5))
  return {
    name: `Trip ${no}`, no, spread, crew: names.map((name, i) => ({ id: i + 1, name, station: 'cockpit' as const })),
    lists: [{ id: 1, name: 'Before lines', kind: 'do_confirm', items: [{ ask: 'Door', state: 'pinned' }, { ask: 'Gaffs', state: 'guarded' }] }],
    presets: [{ id: 1, name: 'all but one', kept: [1] }],
    ...(rng.chance(300) ? { jobs: ['new clip', 'gaff guard'], job_names: ['Ruth', 'Dov'] } : {}),
  }
}

type Maker = (rng: Prng, seen: Seen, page: Page) => Act | null

const lineOf = (rng: Prng, seen: Seen): number => {
  const lines = seen.all<BoardLine>('lines')
  return lines.length === 0 || rng.chance(20) ? rng.int(1, 24) : rng.pick(lines).id
}
const floatOf = (rng: Prng, seen: Seen): number => {
  const floats = seen.all<BoardLine>('lines').filter((line) => line.gear === 'float')
  return floats.length > 0 ? rng.pick(floats).id : lineOf(rng, seen)
}
const handOf = (rng: Prng, seen: Seen): number => {
  const hands = seen.all<BoardHand>('hands')
  return hands.length === 0 || rng.chance(20) ? rng.int(1, 12) : rng.pick(hands).id
}
/** One of the things shown; now and then, and where there is none, seldom one that never was. */
const idOf = (rng: Prng, ids: readonly (EntryId | undefined)[]): EntryId | null => {
  const shown = ids.filter((id): id is EntryId => !!id)
  if (rng.chance(3)) return NOBODY
  return shown.length > 0 ? rng.pick(shown) : null
}
const naming = (id: EntryId | null, make: (id: EntryId) => Act): Act | null => (id ? make(id) : null)

let marks = 0
const mark = (): string => `m${++marks}`
/** Marks begin anew with each simulation, or a seed would not repeat itself. */
export function resetMarks(): void {
  marks = 0
}

const checkOf = (rng: Prng, seen: Seen): EntryId | null =>
  idOf(rng, seen.all<BoardCheck>('checks').filter((check) => check.state === 'open').map((check) => check.run))
const callOf = (rng: Prng, seen: Seen): EntryId | null => idOf(rng, seen.all<BoardCall>('calls').map((call) => call.id))
const overboardOf = (rng: Prng, seen: Seen): EntryId | null => idOf(rng, [seen.one<BoardOverboard>('overboard')?.id])

/** An act of this page put right: another line, or another word, in the place of the first. */
function amendment(rng: Prng, seen: Seen, page: Page): Act | null {
  const first = rng.pick([...page.recent, null])
  if (!first || !['line_is', 'strike', 'call', 'duty'].includes(first.kind)) return null
  const body = 'line' in first.body ? { ...first.body, line: lineOf(rng, seen) } : first.body
  return { kind: first.kind, body, options: { instead_of: first.id } }
}

/** A correction of something longer ago: first the page asks what it would make moot, then it agrees. */
export function correction(rng: Prng, page: Page): Act | null {
  const asked = page.link.previewed
  const first = page.recent[0]
  if (!asked) {
    if (first) page.input({ is: 'preview', target: first.id })
    return null
  }
  page.link.previewed = undefined
  const agreed = rng.chance(900) ? asked.count : asked.count + 1
  return { kind: 'voided', body: { target: asked.target, ...(agreed > 0 ? { agreed } : {}) } }
}

/** Most fish that are told of are kept: a fish that counts for a later trip is rare enough among so many other acts. */
const KEPT_OFTEN: readonly FishFate[] = ['kept', 'kept', 'kept', 'kept', ...FISH_FATE_VALUES]

const CREW: readonly (readonly [number, Maker])[] = [
  [60, (rng, seen) => ({ kind: 'line_is', body: { line: lineOf(rng, seen), state: rng.pick(['in', 'out', 'out', 'setting', 'fouled', 'not_known', 'on']) } })],
  [12, (rng, seen) => ({ kind: 'lines_are', body: { ...(rng.chance(700) ? { in: [lineOf(rng, seen), lineOf(rng, seen)] } : {}), ...(rng.chance(400) ? { out: [lineOf(rng, seen)] } : {}), ...(rng.chance(300) ? { eye: true } : {}) } })],
  [20, (rng, seen) => { const bait = mark(); return { kind: 'line_bait', body: { line: lineOf(rng, seen), bait }, mark: bait } }],
  [10, (rng) => ({ kind: 'lines_seen', body: { scope: rng.pick(SCOPE_VALUES), state: rng.pick(['in', 'out']) } })],
  [40, (rng, seen) => ({ kind: 'strike', body: rng.chance(700) ? { line: lineOf(rng, seen) } : {} })],
  [15, (rng, seen) => naming(idOf(rng, seen.all<BoardStrike>('strikes').map((strike) => strike.id)), (strike) => ({ kind: 'strike_named', body: { strike, line: lineOf(rng, seen) } }))],
  [40, (rng, seen) => naming(idOf(rng, seen.all<BoardStrike>('strikes').map((strike) => strike.id)), (strike) => ({ kind: 'strike_ended', body: { strike, end: rng.pick(['on', 'on', 'knockdown', 'gone', 'open']) } }))],
  [10, (rng, seen) => naming(idOf(rng, seen.all<BoardFight>('fights').map((fight) => fight.id)), (fight) => ({ kind: 'fight_angler', body: { fight, hand: handOf(rng, seen) } }))],
  [25, (rng, seen) => naming(idOf(rng, seen.all<BoardFight>('fights').map((fight) => fight.id)), (fight) => ({ kind: 'fight_ended', body: { fight, end: rng.pick(['boated', 'released', 'pulled', 'broke_off', 'open']) } }))],
  [20, (rng, seen) => ({ kind: 'clear_called', body: { scope: rng.pick(SCOPE_VALUES), reason: rng.pick(CLEAR_REASON_VALUES.slice(1)), ...(rng.chance(300) ? { kept: [lineOf(rng, seen)] } : {}) } })],
  [25, (rng, seen) => ({ kind: 'line_taken', body: { line: lineOf(rng, seen) } })],
  [8, (rng, seen) => ({ kind: 'line_kept', body: { line: lineOf(rng, seen), kept: rng.chance(500) } })],
  [8, (rng, seen) => naming(idOf(rng, [seen.one<BoardClearing>('clearing')?.id]), (clearing) => ({ kind: 'clear_over', body: { clearing } }))],
  [8, (rng) => ({ kind: 'check_opened', body: { list: rng.chance(900) ? 1 : 2 } })],
  [20, (rng, seen) => naming(checkOf(rng, seen), (run) => ({ kind: 'check_answered', body: { run, item: rng.int(1, 3), answer: rng.pick(CHECK_ANSWER_VALUES), ...(rng.chance(300) ? { why: 'no_time' } : {}) } }))],
  [3, (rng, seen) => naming(checkOf(rng, seen), (run) => ({ kind: 'check_left', body: { run } }))],
  [25, (rng, seen) => ({ kind: 'call', body: { what: rng.pick(CALL_WHAT_VALUES), to: rng.pick(STATION_VALUES), ...(rng.chance(300) ? { hand: handOf(rng, seen) } : {}) } })],
  [25, (rng, seen) => naming(callOf(rng, seen), (call) => ({ kind: 'call_got', body: { call, ...(rng.chance(300) ? { hand: handOf(rng, seen), voice: true } : {}) } }))],
  [15, (rng, seen) => naming(callOf(rng, seen), (call) => ({ kind: 'call_done', body: { call } }))],
  [6, (rng, seen) => naming(callOf(rng, seen), (call) => ({ kind: 'call_off', body: { call } }))],
  [12, () => { const name = mark(); return { kind: 'hand_added', body: { name }, mark: name } }],
  [6, (rng, seen) => ({ kind: 'hand_station', body: { hand: handOf(rng, seen), station: rng.pick(STATION_VALUES) } })],
  [10, (rng, seen) => ({ kind: 'page_hand', body: { hand: handOf(rng, seen) } })],
  [10, (rng, seen) => ({ kind: 'duty', body: { post: rng.pick(['wheel', 'look_out']), ...(rng.chance(800) ? { hand: handOf(rng, seen) } : {}) } })],
  [8, () => ({ kind: 'stop', body: {} })],
  [15, (rng, seen) => naming(overboardOf(rng, seen), (call) => ({ kind: 'overboard_heard', body: { call } }))],
  [4, (rng, seen) => naming(overboardOf(rng, seen), (call) => ({ kind: 'overboard_sighted', body: { call, hand: handOf(rng, seen), ...(rng.chance(300) ? { lost: true } : {}) } }))],
  [20, (_rng, _seen, page) => naming(page.link.last_act?.id ?? null, (target) => ({ kind: 'voided', body: { target, undo: true } }))],
  [10, (rng, seen, page) => amendment(rng, seen, page)],
  [3, (rng) => ({ kind: 'trip_phase', body: { phase: rng.pick(PHASE_VALUES) } })],
]

const raiseOf = (rng: Prng, seen: Seen): EntryId | null => idOf(rng, seen.all<BoardRaise>('raises').map((raise) => raise.id))
const fightOf = (rng: Prng, seen: Seen): EntryId | null => idOf(rng, seen.all<BoardFight>('fights').map((fight) => fight.id))
const hurtOf = (rng: Prng, seen: Seen): EntryId | null => idOf(rng, seen.all<BoardHurt>('hurts').map((hurt) => hurt.id))
const endOf = (rng: Prng, seen: Seen, of: string): EntryId | null =>
  idOf(rng, seen.all<BoardOpenEnd>('open_ends').filter((end) => (end.of ?? 'strike') === of).map((end) => end.id))

/** The rest of a day and a night: raises, the leader, the deck, baits, stamps, orders heard, the dock. */
const TRADE: readonly (readonly [number, Maker])[] = [
  [12, (rng, seen) => ({ kind: 'raised', body: rng.chance(500) ? { line: lineOf(rng, seen) } : {} })],
  [10, (rng, seen) => naming(raiseOf(rng, seen), (episode) => ({ kind: 'raise_touched', body: { episode, line: lineOf(rng, seen) } }))],
  [6, (rng, seen) => naming(raiseOf(rng, seen), (episode) => ({ kind: 'raise_gear_moved', body: { episode, gear: rng.pick(RAISE_GEAR_VALUES), ...(rng.chance(300) ? { line: lineOf(rng, seen), eye: true } : {}) } }))],
  [6, (rng, seen) => naming(raiseOf(rng, seen), (episode) => ({ kind: 'raise_ended', body: { episode, end: rng.pick(RAISE_END_VALUES) } }))],
  [8, (rng, seen) => naming(endOf(rng, seen, 'strike'), (strike) => ({ kind: 'strike_ended', body: { strike, end: rng.pick(['on', 'knockdown', 'gone']) } }))],
  [8, (rng, seen) => naming(endOf(rng, seen, 'fight'), (fight) => ({ kind: 'fight_ended', body: { fight, end: rng.pick(['boated', 'pulled', 'not_known']) } }))],
  [4, (rng, seen) => naming(endOf(rng, seen, 'raise'), (episode) => ({ kind: 'raise_ended', body: { episode, end: rng.pick(['bit', 'left']) } }))],
  [12, (rng, seen) => naming(fightOf(rng, seen), (fight) => ({ kind: 'leader', body: { fight, on: rng.chance(600), ...(rng.chance(400) ? { hand: handOf(rng, seen) } : {}) } }))],
  [4, (rng, seen) => naming(fightOf(rng, seen), (fight) => ({ kind: 'fight_ended', body: { fight, end: 'not_known' } }))],
  [4, (rng, seen) => naming(fightOf(rng, seen), (fight) => ({ kind: 'fight_condition', body: { fight, condition: rng.pick(CONDITION_VALUES) } }))],
  [5, (rng) => ({ kind: 'door', body: { open: rng.chance(500) } })],
  [6, (rng, seen) => ({ kind: 'gaff', body: { up: rng.chance(700), hand: handOf(rng, seen) } })],
  [8, () => ({ kind: 'astern', body: {} })],
  [8, (rng, seen) => naming(idOf(rng, [seen.one<BoardAstern>('astern')?.id]), (asked) => ({ kind: 'astern_decided', body: { asked, went: rng.chance(500) } }))],
  [8, () => ({ kind: 'hurt', body: {} })],
  [4, (rng, seen) => naming(hurtOf(rng, seen), (hurt) => ({ kind: 'hurt_told', body: { hurt, hand: handOf(rng, seen), how: rng.pick(HURT_HOW_VALUES.slice(1)) } }))],
  [6, () => ({ kind: 'stamped', body: {} })],
  [6, (rng, seen) => naming(idOf(rng, seen.all<BoardStamp>('stamps').map((stamp) => stamp.id)), (stamp) => ({ kind: 'stamp_told', body: { stamp, what: rng.pick(STAMP_WHAT_VALUES) } }))],
  [3, () => { const text = mark(); return { kind: 'noted', body: { text }, mark: text } }],
  [8, (rng, seen) => ({ kind: 'bait_checked', body: { line: lineOf(rng, seen), result: rng.pick(BAIT_RESULT_VALUES) } })],
  [8, (rng, seen) => ({ kind: 'float_light', body: { line: floatOf(rng, seen), light: rng.pick(LIGHT_VALUES) } })],
  [3, (rng) => ({ kind: 'slick', body: { on: rng.chance(500) } })],
  [3, (rng, seen) => ({ kind: 'stand_by', body: { hand: handOf(rng, seen) } })],
  [4, (rng, seen) => ({ kind: 'orders_heard', body: rng.chance(500) ? { hand: handOf(rng, seen) } : {} })],
  [4, (rng, seen) => ({ kind: 'angler_next', body: { hand: handOf(rng, seen) } })],
  [6, (rng) => { const name = mark(); return { kind: 'place_set', body: { place: { id: rng.int(1, 9), name, side: 'port', gear: rng.pick(GEAR_VALUES) }, ...(rng.chance(300) ? { gone: true } : {}) }, mark: name } }],
  [2, (rng, seen) => ({ kind: 'fish_counted', body: { boated: rng.int(0, 9), hand: handOf(rng, seen), second: handOf(rng, seen) } })],
  [2, (rng) => ({ kind: 'near_miss', body: { what: rng.pick(NEAR_KIND_VALUES) } })],
  [3, (rng) => { const text = mark(); return { kind: 'job', body: { no: rng.int(1, 3), text }, mark: text } }],
  [5, (rng) => ({ kind: 'job_done', body: { no: rng.int(1, 3) } })],
  [2, () => { const text = mark(); return { kind: 'gear_fault', body: { text }, mark: text } }],
  [40, (rng, seen) => naming(fightOf(rng, seen), (fish) => ({ kind: 'fish_told', body: { fish, code: rng.pick(['YFT', 'DOL', 'SWO']), fate: rng.pick(KEPT_OFTEN), length_um: rng.int(0, 2000000), measure: rng.pick(MEASURE_VALUES), measured_by: handOf(rng, seen) } }))],
  [2, (rng, seen) => naming(fightOf(rng, seen), (fish) => ({ kind: 'fish_iced', body: { fish } }))],
  [1, (rng, seen) => naming(fightOf(rng, seen), (of) => { const number = mark(); return { kind: 'report_told', body: { of, number }, mark: number } })],
]

const ANYONE: readonly (readonly [number, Maker])[] = [
  [30, () => null],
  [2, () => ({ kind: 'overboard', body: {} })],
  [4, (rng, seen) => naming(overboardOf(rng, seen), (call) => ({ kind: 'overboard_withdrawn', body: { call } }))],
]

const HELM: readonly (readonly [number, Maker])[] = [
  [10, (rng) => ({ kind: 'trip_phase', body: { phase: rng.pick(PHASE_VALUES) } })],
  [2, () => ({ kind: 'trip_ended', body: {} })],
  [2, (rng) => ({ kind: 'aboard', body: { persons: rng.int(0, 8), paying: rng.int(0, 6), use: rng.pick(TRIP_USE_VALUES) } })],
  [1, (rng) => ({ kind: 'trip_started', body: trip(rng, rng.int(2, 99)) })],
  [10, (rng, seen) => naming(idOf(rng, [seen.one<BoardStop>('stop')?.id]), (stop) => ({ kind: 'stop_over', body: { stop } }))],
  [80, (rng, seen) => naming(hurtOf(rng, seen), (hurt) => ({ kind: 'hurt_over', body: { hurt } }))],
  [120, (_rng, seen) => (seen.all<BoardHurt>('hurts').some((hurt) => hurt.over) ? { kind: 'trip_ended', body: {} } : null)],
  [400, (_rng, _seen, { recent }) => (recent.some(({ kind }) => kind === 'fish_told' || kind === 'report_told') ? { kind: 'trip_ended', body: {} } : null)],
  [10, (rng, seen) => ({ kind: 'orders', body: { wire: handOf(rng, seen), keep_ahead_s: rng.int(1, 60), anglers: [handOf(rng, seen), handOf(rng, seen)] } })],
  [15, (rng, seen) => naming(overboardOf(rng, seen), (call) => ({ kind: 'overboard_person', body: { call, hand: handOf(rng, seen) } }))],
  [20, (rng, seen) => naming(overboardOf(rng, seen), (call) => ({ kind: 'overboard_ended', body: { call, how: rng.pick(['aboard', 'false_alarm', 'none']) } }))],
]

/** What this page taps next; null: nothing that would fit what it shows. */
export function nextAct(rng: Prng, page: Page): Act | null {
  const seen = new Seen(page.link.board.parts)
  const { source } = page.link
  const makers = source === 'crew' ? [...CREW, ...TRADE, ...ANYONE] : source === 'helm' ? [...CREW, ...TRADE, ...ANYONE, ...HELM] : ANYONE
  const made = rng.weighted(makers)(rng, seen, page)
  if (!made) return null
  const options: ActOptions = {}
  if (rng.chance(60)) options.ago_ms = rng.pick([5000, 30_000, 60_000, 300_000])
  if (rng.chance(20)) options.by = rng.int(1, 12)
  return { ...made, options: { ...options, ...made.options } }
}
