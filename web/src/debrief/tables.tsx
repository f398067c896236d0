// The tables: what was logged, row for row, and the numbers with what they are of.

import { words } from '../words'
import { said } from '../words_debrief'
import { Table, type Row } from './figure'
import type { Debrief, Event, Fish, Times } from './numbers'
import { type When, at, date, labelOf, lasted, lineHours, number, whenOf } from './say'

export interface TableOf {
  name: string
  heads: readonly string[]
  rows: Row[]
  note?: string
}

const { head } = said
const when = (debrief: Debrief, trip: number, ms: number) => at(whenOf(debrief.trips[trip]), ms)
const tripNo = (debrief: Debrief, trip: number) => (debrief.trips.length > 1 ? `${debrief.trips[trip]?.no ?? ''} ` : '')
const handIn = (debrief: Debrief, trip: number, hand: number) => debrief.hands.find((one) => one.trip === trip && one.id === hand)?.name ?? ''

export const eventNote = (event: Event) => [said.standing[event.standing], event.standing === 'late' ? lasted(event.got_ms - event.at_ms) : '', event.was ? said.was(event.was) : ''].filter(Boolean).join(', ')

export function eventsTable(debrief: Debrief): TableOf {
  return {
    name: said.tables.events, heads: [head.when, head.line, head.what, head.note],
    rows: debrief.events.map((event) => ({ seq: event.seq, cells: [tripNo(debrief, event.trip) + when(debrief, event.trip, event.at_ms), labelOf(debrief, event.trip, event.line), event.words, eventNote(event)] })),
  }
}

/** A tenth of a centimetre, as the board measures. */
const cm = (um: number | undefined) => (um === undefined ? '' : `${(um / 10000).toFixed(1)} cm`)
const kg = (g: number | undefined) => (g === undefined ? '' : `${number(g / 1000)} kg`)

function weight(fish: Fish): string {
  if (fish.weight_g !== undefined) return `${kg(fish.weight_g)}${fish.weighed ? `, ${said.weighed}` : ''}`
  return fish.estimate_g === undefined ? '' : `${kg(fish.estimate_g)}, ${said.estimate}: ${fish.estimate_by ?? ''}`
}

function fishTable(debrief: Debrief): TableOf {
  return {
    name: said.tables.fish, heads: [head.when, head.fish, head.length, head.girth, head.weight, head.kept, head.said],
    rows: debrief.fish.map((fish) => ({
      seq: fish.seq, cells: [tripNo(debrief, fish.trip) + when(debrief, fish.trip, fish.at_ms), fish.name || fish.code, `${cm(fish.length_um)} ${fish.length_um ? fish.measure.replaceAll('_', ' ') : ''}`.trim(), cm(fish.girth_um), weight(fish),
        [said.fate[fish.fate], handIn(debrief, fish.trip, fish.decided_by)].filter(Boolean).join(', '), fish.sayings.join('; ')],
    })),
  }
}

function standingTable(debrief: Debrief): TableOf {
  const rule = debrief.rule_set
  return {
    name: said.tables.standing, heads: [head.fish, head.logged, head.limit, head.left, head.least, head.basis, head.said],
    ...(rule ? { note: `${said.ruleOf(rule.name, rule.dated)} ${rule.citation}. ${rule.caution}` } : {}),
    rows: debrief.standing.map((one) => ({
      seq: 0, cells: [one.name || one.codes.join(', '), one.logged, one.no_retention ? said.noRetention : (one.limit ?? said.noLimit), one.left ?? '', one.min_words, `${one.basis} ${one.citation}`.trim(), one.sayings.join('; ')],
    })),
  }
}

const dated = (day: When, ms: number | undefined) => (ms === undefined ? '' : `${date(day, ms)} ${at(day, ms)}`.trim())
const s = (value: number | undefined) => (value === undefined ? '' : `${number(value)} s`)
const timesName = (one: Times) => `${said.time[one.of] ?? one.of.replaceAll('_', ' ')}${one.group && `: ${one.group}`}`

/** All of them, those of which nothing was logged left out. */
export function tables(debrief: Debrief): TableOf[] {
  const day = whenOf(debrief.trips[debrief.trips.length - 1])
  const all: TableOf[] = [
    eventsTable(debrief),
    fishTable(debrief),
    standingTable(debrief),
    {
      name: said.tables.reports, heads: [head.of, head.from, head.due, head.number, head.basis],
      rows: debrief.reports.map((one) => ({ seq: 0, cells: [one.of, dated(day, one.from_ms), dated(day, one.due_ms), one.confirmed || said.noNumber, [one.note, one.citation].filter(Boolean).join('. ')] })),
    },
    {
      name: said.tables.ratios, heads: [head.of, head.k, head.part, head.most],
      rows: debrief.ratios.map((one) => ({ seq: 0, cells: [said.ratio[one.of] ?? one.of, said.ratioOf(one.k, one.n), one.part === undefined ? '' : number(one.part), one.most ? `${number(one.most.lo)} - ${number(one.most.hi)}` : ''] })),
    },
    {
      name: said.tables.times, heads: [head.of, head.n, head.min, head.q25, head.median, head.q75, head.max],
      rows: debrief.times.filter((one) => one.n > 0).map((one) => ({ seq: 0, cells: [timesName(one), one.n, s(one.min_s), s(one.q25_s), s(one.median_s), s(one.q75_s), s(one.max_s)] })),
    },
    {
      name: said.tables.baits, heads: [head.line, head.looks, head.missed, head.longest],
      rows: debrief.baits.map((one) => ({ seq: 0, cells: [tripNo(debrief, one.trip) + labelOf(debrief, one.trip, one.line), one.checks, one.missed, lasted(one.longest_ms)] })),
    },
    {
      name: said.tables.duties, heads: [head.post, head.named, head.unnamed, head.longest, head.over],
      rows: debrief.duties.map((one) => ({ seq: 0, cells: [tripNo(debrief, one.trip) + said.post[one.post], lasted(one.named_ms), lasted(one.unnamed_ms), lasted(one.longest_unnamed_ms), one.handed_over] })),
    },
    {
      name: said.tables.near, heads: [head.when, head.what, head.note],
      rows: debrief.near_misses.map((one) => ({ seq: one.seq, cells: [tripNo(debrief, one.trip) + when(debrief, one.trip, one.at_ms), words.dock.nearIs[one.what], one.text] })),
    },
    {
      name: said.tables.gaps, heads: [head.from, head.to, head.what],
      rows: debrief.gaps.map((one) => ({ seq: 0, cells: [tripNo(debrief, one.trip) + when(debrief, one.trip, one.from_ms), when(debrief, one.trip, one.to_ms), said.gap[one.of]] })),
    },
    {
      name: said.tables.effort, heads: [head.of, head.bites, head.hours, head.raises, head.hooked, head.caught],
      rows: debrief.effort.map((one) => ({ seq: 0, cells: [`${said.effortBy[one.by]}: ${one.key || said.noEffort}`, one.bites, lineHours(one.line_ms), one.raises, one.hooked, one.caught] })),
    },
  ]
  return all.filter((table) => table.rows.length > 0)
}

const MOST_ROWS = 300

export function Tables({ debrief, chosen, choose }: { debrief: Debrief; chosen: number; choose: (seq: number) => void }) {
  return (
    <div class="all-tables">
      {tables(debrief).map((table) => (
        <section key={table.name}>
          <h2>{table.name}</h2>
          {table.note && <p>{table.note}</p>}
          <Table name={table.name} heads={table.heads} rows={around(table.rows, chosen)} chosen={chosen} choose={choose} />
          {table.rows.length > MOST_ROWS && <p class="hint">{said.more(table.rows.length - MOST_ROWS)}</p>}
        </section>
      ))}
    </div>
  )
}

/** Of a long table the part around what was chosen. */
function around(rows: Row[], chosen: number): Row[] {
  const found = rows.findIndex((row) => row.seq === chosen)
  const from = Math.max(0, Math.min(rows.length - MOST_ROWS, (found < 0 ? 0 : found) - MOST_ROWS / 2))
  return rows.slice(from, from + MOST_ROWS)
}
