// The numbers of a debrief, as shared-proto/schema/debrief.json says them.

import type { CallState, CallWhat, CheckState, ClearReason, Condition, FightEnd, FishFate, Gear, LineState, Measure, NearKind, Phase, Post, RaiseEnd, Scope, Side, Station, StrikeEnd } from 'proto'

export interface Debrief {
  version: 1
  made_by: string
  log_id: string
  trips: Trip[]
  filter: Filter
  counts: Counts
  positions: Position[]
  hands: Hand[]
  effort: EffortGroup[]
  compared: Difference[]
  ratios: Ratio[]
  times: Times[]
  calls: Call[]
  clearings: Clearing[]
  strikes: Strike[]
  raises: Raise[]
  fights: Fight[]
  fish: Fish[]
  standing: Standing[]
  rule_set?: RuleSetHead
  reports: Report[]
  checks: Check[]
  baits: BaitClock[]
  duties: Duty[]
  near_misses: NearMiss[]
  events: Event[]
  lanes: Span[]
  gaps: Gap[]
  trend: Trend[]
  record?: Record
  learned: Learned
  cards: Cards
}
export interface Trip {
  no: number
  name: string
  from_seq: number
  to_seq: number
  started_ms: number
  ended_ms: number
  open: boolean
  utc_offset_ms: number
  clock_estimated: boolean
  entries: number
  voided: number
  moot: number
  refused: number
  late: number
  persons: number
  paying: number
  places_left_out: boolean
  names_left_out: boolean
}
export interface Filter {
  trip_from?: number
  trip_to?: number
  months?: number[]
  bait?: string
  position?: string
  zone_min?: number
}
export interface Counts {
  raises: number
  raises_bit: number
  touches: number
  bites: number
  bites_blind: number
  hooked: number
  caught: number
  boated: number
  released: number
  released_leader: number
  pulled: number
  broke_off: number
  bitten_off: number
  knockdowns: number
  gone: number
  ends_not_known: number
  fights_open: number
  fights_not_known: number
}
export interface Position {
  id: number
  trip: number
  name: string
  side: Side
  gear: Gear
  label: string
}
export interface Hand {
  id: number
  trip: number
  name: string
  station: Station
}
export interface Interval {
  lo: number
  hi: number
}
export interface Rate {
  per_10h: number
  half: Interval
  most: Interval
}
export type EffortBy = 'all' | 'position' | 'bait' | 'side' | 'phase' | 'hour' | 'day' | 'light'
export interface EffortGroup {
  by: EffortBy
  key: string
  line_ms: number
  not_known_ms: number
  raises: number
  bites: number
  bites_blind: number
  hooked: number
  caught: number
  rate?: Rate
  few: 'none' | 'dots' | 'few' | 'enough'
  at_most_per_10h?: number
}
export interface Difference {
  by: EffortBy
  a: string
  b: string
  per_10h: number
  most: Interval
  could_be_same: boolean
}
export interface Ratio {
  of: 'bites_of_raises' | 'hooked_of_bites' | 'caught_of_hooked' | 'caught_of_bites'
  k: number
  n: number
  part?: number
  most?: Interval
}
export interface Times {
  of: 'call_to_got' | 'got_to_done' | 'call_to_done' | 'strike_to_clear_called' | 'clear_called_to_side_clear' | 'clear_called_to_done' | 'clear_called_to_all_clear' | 'line_in' | 'strike_to_on' | 'strike_to_leader' | 'leader_to_end' | 'fight' | 'bait_age_at_bite' | 'boated_to_ice' | 'out_of_water' | 'check'
  group: string
  n: number
  min_s?: number
  q25_s?: number
  median_s?: number
  q75_s?: number
  max_s?: number
}
export interface Call {
  seq: number
  trip: number
  what: CallWhat
  to: Station
  called_ms: number
  shown_ms?: number
  got_ms?: number
  voice?: boolean
  done_ms?: number
  end: CallState
  late: boolean
}
export interface Clearing {
  seq: number
  trip: number
  called_ms: number
  scope: Scope
  preset: string
  reason: ClearReason
  strike_ms?: number
  port_clear_ms?: number
  starboard_clear_ms?: number
  all_clear_ms?: number
  done_ms?: number
  over_ms?: number
  a_line_ms?: number
  lines: ClearedLine[]
}
export interface ClearedLine {
  line: number
  taken_ms?: number
  in_ms?: number
  eye: boolean
  kept: boolean
}
export interface Strike {
  seq: number
  trip: number
  at_ms: number
  line: number
  bait: string
  bait_age_ms?: number
  blind: boolean
  end: StrikeEnd
  phase: Phase
}
export interface Raise {
  seq: number
  trip: number
  at_ms: number
  line: number
  touches: number
  bites: number
  ended_ms?: number
  end: RaiseEnd
}
export interface Fight {
  seq: number
  trip: number
  line: number
  angler: number
  on_ms?: number
  leader_ms?: number
  leader_total_ms: number
  ended_ms?: number
  end: FightEnd
  condition: Condition
}
export interface Fish {
  seq: number
  id: string
  trip: number
  at_ms: number
  code: string
  name: string
  fate: FishFate
  decided_by: number
  length_um?: number
  measure: Measure
  measured_by: number
  girth_um?: number
  weight_g?: number
  weighed: boolean
  estimate_g?: number
  estimate_by?: string
  condition: Condition
  out_of_water_ms?: number
  to_ice_ms?: number
  tag: string
  sayings: string[]
}
export interface RuleSetHead {
  name: string
  place: string
  dated: string
  valid_from: string
  valid_to?: string
  citation: string
  caution: string
}
export interface Standing {
  codes: string[]
  name: string
  logged: number
  limit?: number
  left?: number
  no_retention: boolean
  min_words: string
  basis: string
  citation: string
  sayings: string[]
}
export interface Report {
  of: string
  id: string
  from_ms: number
  due_ms: number
  confirmed: string
  note: string
  citation: string
}
export interface Check {
  seq: number
  trip: number
  name: string
  opened_ms: number
  ended_ms?: number
  state: CheckState
  items: number
  done: number
  not_done: number
  not_here: number
  open: number
  faster_than_reading: boolean
}
export interface BaitClock {
  line: number
  trip: number
  checks: number
  missed: number
  longest_ms: number
}
export interface Duty {
  trip: number
  post: Post
  named_ms: number
  unnamed_ms: number
  longest_unnamed_ms: number
  handed_over: number
}
export interface NearMiss {
  seq: number
  trip: number
  at_ms: number
  what: NearKind
  hand: number
  text: string
}
export interface Event {
  seq: number
  trip: number
  at_ms: number
  got_ms: number
  kind: string
  line: number
  hand: number
  words: string
  standing: 'plain' | 'late' | 'offered' | 'corrected' | 'moot'
  was?: string
}
export interface Span {
  trip: number
  line: number
  state: LineState
  unsure: boolean
  bait: string
  from_ms: number
  to_ms: number
}
export interface Gap {
  trip: number
  of: 'server' | 'helm' | 'page' | 'clock' | 'missing'
  from_ms: number
  to_ms: number
  page?: string
  estimated: boolean
}
export interface Trend {
  trip: number
  line_ms: number
  bites: number
  caught: number
  clear_median_s?: number
  clear_n: number
  got_median_s?: number
  got_n: number
  near_misses: number
}
export interface Record {
  trips: number
  line_ms: number
  bites: number
  caught: number
  rate?: Rate
  clear_median_s?: number
  clear_n: number
  got_median_s?: number
  got_n: number
  near_misses: number
}
export interface Learned {
  line_in_ms: number
  lines: number
}
export interface CardLine {
  words: string
  seqs: number[]
}
export interface Job {
  no: number
  text: string
  name: string
  by_day: string
  done: boolean
}
export interface Cards {
  planned: CardLine[]
  happened: CardLine[]
  why: CardLine[]
  next: Job[]
}
