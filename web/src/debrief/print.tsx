// On paper, A4 or Letter: one page that sums the trip up, the timeline cut at equal times, the table of events. Black on white, patterns
// instead of hues. It is drawn when the browser is about to print, into a place of its own, and taken away after.

import { render } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { said } from '../words_debrief'
import { Cards } from './cards'
import { Table } from './figure'
import type { Debrief, Trip } from './numbers'
import { Effort, FishEnds } from './plots'
import { at, date, heading, whenOf } from './say'
import { eventsTable, tables } from './tables'
import { Legend, Timeline } from './timeline'

const HOUR_MS = 3600000
/** Equal times that the timeline is cut at: the shortest that gives no more strips than fit on two pages, of all trips together. */
const CUTS_MS = [HOUR_MS / 2, HOUR_MS, 2 * HOUR_MS, 3 * HOUR_MS, 4 * HOUR_MS, 6 * HOUR_MS, 12 * HOUR_MS, 24 * HOUR_MS, 48 * HOUR_MS]
const MOST_STRIPS = 9

let handed: Debrief | null = null

function place(): HTMLElement {
  const found = document.getElementById('paper')
  if (found) return found
  const made = document.createElement('div')
  made.id = 'paper'
  document.body.append(made)
  return made
}

/** Keeps the paper ready for the browser's own PRINT as for the page's. */
export function usePrint(debrief: Debrief): void {
  const now = useRef(debrief)
  now.current = debrief
  useEffect(() => {
    const before = () => render(<Paper debrief={handed ?? now.current} />, place())
    const after = () => {
      handed = null
      render(null, place())
    }
    addEventListener('beforeprint', before)
    addEventListener('afterprint', after)
    return () => {
      removeEventListener('beforeprint', before)
      removeEventListener('afterprint', after)
    }
  }, [])
}

/** Prints this debrief, which may be another than the page's: without names, say. */
export function printNow(debrief: Debrief): void {
  handed = debrief
  print()
}

/** The same head on each page: a table's head is what browsers repeat. */
function Paper({ debrief }: { debrief: Debrief }) {
  const last = debrief.trips[debrief.trips.length - 1] as Trip
  const when = whenOf(last)
  const ratios = tables(debrief).filter((table) => [said.tables.ratios, said.tables.standing, said.tables.reports].includes(table.name))
  const fish = tables(debrief).find((table) => table.name === said.tables.fish)
  const events = eventsTable(debrief)
  return (
    <table class="paper">
      <thead><tr><th><p class="running"><b>{said.trip(last.no, last.name)}</b><span>{date(when, last.started_ms)}</span><span>{heading(last).find((part) => part.startsWith(said.zone(''))) ?? said.noClock}</span><span>{said.by(debrief.made_by)}</span></p></th></tr></thead>
      <tbody>
        <tr><td class="first-page">
          <h1>{said.counts(debrief.counts.raises, debrief.counts.bites, debrief.counts.hooked, debrief.counts.caught)}</h1>
          <p>{heading(last).join(' · ')} · {said.entries(last.entries)}{debrief.trips.length > 1 && ` · ${said.tripsOf(debrief.trips.length)}`}</p>
          <Cards debrief={debrief} />
          <div class="two"><Effort debrief={debrief} chosen={0} by="position" /><FishEnds debrief={debrief} chosen={0} /></div>
          {ratios.map((table) => <div key={table.name} class="small"><h2>{table.name}</h2>{table.note && <p>{table.note}</p>}<Table name={table.name} heads={table.heads} rows={table.rows} chosen={0} /></div>)}
          <p class="caution">{said.caution}</p>
        </td></tr>
        {debrief.trips.map((trip, i) => <Strips key={trip.from_seq} debrief={debrief} trip={trip} index={i} />)}
        {fish && <tr><td><h2>{fish.name}</h2><Table name={fish.name} heads={fish.heads} rows={fish.rows} chosen={0} /></td></tr>}
        <tr><td class="events"><h2>{events.name}</h2><Table name={events.name} heads={events.heads} rows={events.rows} chosen={0} /></td></tr>
      </tbody>
    </table>
  )
}

function Strips({ debrief, trip, index }: { debrief: Debrief; trip: Trip; index: number }) {
  const when = whenOf(trip)
  const most = Math.max(1, Math.floor(MOST_STRIPS / debrief.trips.length))
  const span = Math.max(60000, trip.ended_ms - trip.started_ms)
  const cut = CUTS_MS.find((one) => span / one <= most) ?? span / most
  const strips = Array.from({ length: Math.max(1, Math.ceil(span / cut)) }, (_, i) => trip.started_ms + i * cut)
  return (
    <tr><td class="strips">
      <h2>{said.timeline}: {said.trip(trip.no, trip.name)}</h2>
      <Legend />
      {strips.map((from) => (
        <div key={from} class="cut">
          <h3>{said.slice(at(when, from), at(when, from + cut))}</h3>
          <Timeline debrief={debrief} trip={index} when={when} from_ms={from} to_ms={from + cut} now_ms={null} then={false} corrected={new Map()} chosen={0} name={`p${index}-${from}`} />
        </div>
      ))}
    </td></tr>
  )
}
