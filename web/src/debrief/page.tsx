// The debrief: what the log teaches, read after the trip by the crew around one glass. Head, timeline and replay stay; below them one
// of four parts. The page only draws: every number comes from the program that has the log.

import { useEffect, useMemo, useState } from 'preact/hooks'
import { said } from '../words_debrief'
import { BoardThen } from './board_then'
import { Cards, type Live } from './cards'
import { type Place, places } from './known'
import type { Debrief, Filter, Trip } from './numbers'
import { type Player, SPEEDS, usePlayer } from './player'
import { BaitAge, Calls, Checks, Clearings, Effort, FishEnds, Trend } from './plots'
import { printNow, usePrint } from './print'
import { eventBeside } from './replay'
import { type When, at, heading, whenOf } from './say'
import type { Source, Without } from './source'
import { Tables } from './tables'
import { Legend, Timeline } from './timeline'

export interface PageProps {
  source: Source
  /** The board's page, where jobs are entered and the log is corrected; a file has none. */
  live?: Live
  /** Goes to another page of the board. */
  leave?: () => void
}

const TABS = ['cards', 'replay', 'plots', 'tables'] as const
type Tab = (typeof TABS)[number]

const WINDOWS = { whole: 0, h6: 6 * 3600000, h1: 3600000, m10: 600000 } as const
type Window = keyof typeof WINDOWS

export const WITH_ALL: Without = { names: false, places: false }

interface Read {
  debrief: Debrief | null
  /** Of all trips of the log, for the choice among them; those of this debrief where more is not known. */
  trouble: string
}

function useDebrief(source: Source, filter: Filter, anew: number): Read {
  const [read, setRead] = useState<Read>({ debrief: null, trouble: '' })
  useEffect(() => {
    let ended = false
    source.debrief(filter, WITH_ALL).then(
      (debrief) => !ended && setRead({ debrief, trouble: '' }),
      (error: Error) => !ended && setRead((before) => ({ ...before, trouble: error.message })),
    )
    return () => {
      ended = true
    }
  }, [source, filter, anew])
  return read
}

export function DebriefPage({ source, live, leave }: PageProps) {
  const [filter, setFilter] = useState<Filter>({})
  const [anew, setAnew] = useState(0)
  const { debrief, trouble } = useDebrief(source, filter, anew)
  const again = () => setAnew(anew + 1)
  return (
    <main class="debrief" data-view="debrief">
      {debrief && debrief.trips.length > 0
        ? <Whole key={debrief.trips.map((trip) => trip.from_seq).join()} debrief={debrief} source={source} live={live} leave={leave} filter={filter} setFilter={setFilter} again={again} trouble={trouble} />
        : (
          <>
            <header class="head"><h1>{said.title}</h1>{leave && <button type="button" class="pick" data-place="another" onClick={leave}>{said.another}</button>}</header>
            <p class="loading" role="status">{trouble ? said.failed(trouble) : debrief ? said.nothing : said.loading}</p>
            {(trouble || debrief) && <p class="sheet"><button type="button" class="pick strong" data-place="again" onClick={again}>{said.anew}</button></p>}
          </>
        )}
    </main>
  )
}

interface WholeProps extends PageProps {
  debrief: Debrief
  filter: Filter
  setFilter: (filter: Filter) => void
  again: () => void
  trouble: string
}

function Whole({ debrief, source, live, leave, filter, setFilter, again, trouble }: WholeProps) {
  const [index, setIndex] = useState(debrief.trips.length - 1)
  const [tab, setTab] = useState<Tab>('cards')
  const [chosen, setChosen] = useState(0)
  const trip = debrief.trips[Math.min(index, debrief.trips.length - 1)] as Trip
  const when = whenOf(trip)
  const player = usePlayer(source, trip.from_seq)
  const corrected = useMemo(() => new Map((player.replay?.head.corrections ?? []).map((one) => [one.target, one.got_ms])), [player.replay])
  usePrint(debrief)
  /** To when this entry was received: of another trip, that trip comes first. */
  const choose = (seq: number) => {
    setChosen(seq)
    const own = debrief.trips.findIndex((one) => seq >= one.from_seq && seq <= one.to_seq)
    if (own >= 0 && own !== index) return setIndex(own)
    player.goTo(seq)
  }
  const plot = { debrief, chosen, choose }
  return (
    <>
      <Head debrief={debrief} trip={trip} source={source} filter={filter} setFilter={setFilter} leave={leave} again={live && again} trouble={trouble} index={index} setIndex={setIndex} />
      <Replayed debrief={debrief} trip={trip} index={index} when={when} player={player} corrected={corrected} chosen={chosen} choose={choose} />
      <nav class="tabs" aria-label={said.parts}>{TABS.map((one) => <button key={one} type="button" class="pick" aria-pressed={tab === one} data-place={`tab-${one}`} onClick={() => setTab(one)}>{said.tabs[one]}</button>)}</nav>
      <section class={`part part-${tab}`} aria-label={said.tabs[tab]}>
        {tab === 'cards' && <Cards debrief={debrief} choose={choose} live={live} />}
        {tab === 'replay' && <BoardThen player={player} when={when} corrected={corrected} choose={choose} live={live} />}
        {tab === 'plots' && (
          <div class="plots">
            <Calls {...plot} /><Effort {...plot} /><FishEnds {...plot} /><Checks {...plot} /><Clearings {...plot} /><BaitAge {...plot} />
            {debrief.trips.length > 1 && <Trend {...plot} />}
            <p class="caution">{said.caution}</p>
          </div>
        )}
        {tab === 'tables' && <Tables debrief={debrief} chosen={chosen} choose={choose} />}
      </section>
    </>
  )
}

interface HeadProps {
  debrief: Debrief
  trip: Trip
  source: Source
  filter: Filter
  setFilter: (filter: Filter) => void
  leave: (() => void) | undefined
  again: (() => void) | undefined
  trouble: string
  index: number
  setIndex: (index: number) => void
}

function Head({ debrief, trip, source, filter, setFilter, leave, again, trouble, index, setIndex }: HeadProps) {
  const [open, setOpen] = useState<'' | 'filters' | 'share'>('')
  const toggle = (what: 'filters' | 'share') => setOpen(open === what ? '' : what)
  const { counts } = debrief
  return (
    <>
      <header class="head">
        <h1>{said.trip(trip.no, trip.name)}</h1>
        <p>
          <b>{said.counts(counts.raises, counts.bites, counts.hooked, counts.caught)}</b>{debrief.trips.length > 1 && ` · ${said.tripsOf(debrief.trips.length)}`} · {heading(trip).join(' · ')} · {said.entries(trip.entries)}
          {said.apart(trip.late, trip.voided, trip.moot) && ` (${said.apart(trip.late, trip.voided, trip.moot)})`}
        </p>
        <button type="button" class="pick" aria-expanded={open === 'filters'} data-place="filters" onClick={() => toggle('filters')}>{said.filters.toUpperCase()}</button>
        <button type="button" class="pick" aria-expanded={open === 'share'} data-place="share" onClick={() => toggle('share')}>{said.share.toUpperCase()}</button>
        {leave && <button type="button" class="pick" data-place="another" onClick={leave}>{said.another}</button>}
      </header>
      {trouble && <p class="sheet" role="status">{said.failed(trouble)}</p>}
      {open === 'filters' && <Filters debrief={debrief} source={source} filter={filter} setFilter={setFilter} index={index} setIndex={setIndex} />}
      {open === 'share' && <Share debrief={debrief} source={source} filter={filter} again={again} />}
    </>
  )
}

const whole = (text: string) => Math.max(0, Math.floor(Number(text)) || 0)
const distinct = (list: readonly string[]) => [...new Set(list.filter(Boolean))].sort()

function Filters({ debrief, source, filter, setFilter, index, setIndex }: Pick<HeadProps, 'debrief' | 'source' | 'filter' | 'setFilter' | 'index' | 'setIndex'>) {
  const [now, setNow] = useState<Filter>(filter)
  const last = debrief.trips[debrief.trips.length - 1]?.no ?? 0
  const pick = (part: Partial<Filter>) => setNow({ ...now, ...part })
  const months = now.months ?? []
  const select = (label: string, value: string, all: readonly string[], set: (text: string) => void) => (
    <label>{label} <select class="field" value={value} onChange={(event) => set(event.currentTarget.value)}><option value="">{said.all}</option>{distinct([...all, value]).map((one) => <option key={one}>{one}</option>)}</select></label>
  )
  return (
    <div class="sheet">
      {debrief.trips.length > 1 && (
        <label>{said.shownTrip} <select class="field" value={index} data-place="trip" onChange={(event) => setIndex(Number(event.currentTarget.value))}>{debrief.trips.map((trip, i) => <option key={trip.from_seq} value={i}>{said.trip(trip.no, trip.name)}</option>)}</select></label>
      )}
      {source.file ? (
        <>
          <label>{said.from} <input class="field" type="number" min="0" value={now.trip_from ?? last} data-place="trip-from" onInput={(event) => pick({ trip_from: whole(event.currentTarget.value) })} /></label>
          <label>{said.to} <input class="field" type="number" min="0" value={now.trip_to ?? last} data-place="trip-to" onInput={(event) => pick({ trip_to: whole(event.currentTarget.value) })} /></label>
          {select(said.bait, now.bait ?? '', debrief.effort.filter((one) => one.by === 'bait').map((one) => one.key), (bait) => pick({ bait }))}
          {select(said.position, now.position ?? '', debrief.positions.map((one) => one.label), (position) => pick({ position }))}
          <fieldset><legend>{said.months}</legend>{said.monthNames.map((name, i) => (
            <button key={name} type="button" class="pick" aria-pressed={months.includes(i + 1)} onClick={() => pick({ months: months.includes(i + 1) ? months.filter((one) => one !== i + 1) : [...months, i + 1].sort((a, b) => a - b) })}>{name}</button>
          ))}</fieldset>
          <button type="button" class="pick strong" data-place="filter-show" onClick={() => setFilter({ ...now, trip_from: now.trip_from ?? last, trip_to: now.trip_to ?? last })}>{said.show}</button>
        </>
      ) : <p>{said.inFile}</p>}
    </div>
  )
}

function Share({ debrief, source, filter, again }: Pick<HeadProps, 'debrief' | 'source' | 'filter' | 'again'>) {
  const [without, setWithout] = useState<Without>(WITH_ALL)
  const [is, setIs] = useState('')
  const save = async () => {
    if (!source.file) return
    setIs(said.saving)
    try {
      const link = document.createElement('a')
      link.href = URL.createObjectURL(await source.file(filter, without))
      link.download = 'sternboard-debrief.html'
      link.click()
      setTimeout(() => URL.revokeObjectURL(link.href), 60000)
      setIs('')
    } catch (error) {
      setIs(said.saveFailed((error as Error).message))
    }
  }
  const print = async () => printNow(without.names || without.places ? await source.debrief(filter, without) : debrief)
  const toggle = (what: keyof Without) => setWithout({ ...without, [what]: !without[what] })
  return (
    <div class="sheet">
      {source.file && <button type="button" class="pick" aria-pressed={without.names} data-place="no-names" onClick={() => toggle('names')}>{said.noNames}</button>}
      {source.file && <button type="button" class="pick" aria-pressed={without.places} data-place="no-places" onClick={() => toggle('places')}>{said.noPlaces}</button>}
      <button type="button" class="pick" data-place="print" onClick={() => void print().catch((error: Error) => setIs(said.failed(error.message)))}>{said.print}</button>
      {source.file && <button type="button" class="pick" data-place="save" onClick={() => void save()}>{said.save}</button>}
      {again && <button type="button" class="pick" data-place="again" onClick={again}>{said.anew}</button>}
      {is && <p role="status">{is}</p>}
      <p>{said.by(debrief.made_by)}</p>
    </div>
  )
}

interface ReplayedProps {
  debrief: Debrief
  trip: Trip
  index: number
  when: When
  player: Player
  corrected: ReadonlyMap<number, number>
  chosen: number
  choose: (seq: number) => void
}

/** Timeline and replay. The keys work while the focus is within: nowhere else is a letter taken. */
function Replayed({ debrief, trip, index, when, player, corrected, chosen, choose }: ReplayedProps) {
  const [window, setWindow] = useState<Window>('whole')
  const [from_ms, to_ms] = windowAt(trip, player.now_ms, WINDOWS[window])
  const events = useMemo(() => debrief.events.filter((event) => event.trip === index), [debrief, index])
  const step = (by: 1 | -1) => {
    player.play(false)
    const next = eventBeside(events, player.now_ms, player.now_seq, by)
    if (next) choose(next.seq)
  }
  const keys = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target instanceof HTMLSelectElement) return
    const speed = SPEEDS[Number(event.key) - 1]
    const onButton = event.target instanceof HTMLButtonElement && event.key === ' '
    if (event.key === 'k' || (event.key === ' ' && !onButton)) player.play(!player.playing)
    else if (event.key === 'j') step(-1)
    else if (event.key === 'l') step(1)
    else if (speed) player.setSpeed(speed)
    else return
    event.preventDefault()
  }
  return (
    <section class="times" aria-label={said.replay} onKeyDown={keys}>
      <Timeline debrief={debrief} trip={index} when={when} from_ms={from_ms} to_ms={to_ms} now_ms={player.is === 'ready' ? player.now_ms : null} then={player.then} corrected={corrected} chosen={chosen} choose={choose} name="page" />
      {player.is === 'ready' ? <Controls player={player} when={when} step={step} window={window} setWindow={setWindow} /> : <p class="controls" role="status">{player.is === 'loading' ? said.readingReplay : said.noReplay}</p>}
    </section>
  )
}

function windowAt(trip: Trip, now_ms: number, width: number): [number, number] {
  const [first, last] = [trip.started_ms, Math.max(trip.ended_ms, trip.started_ms + 60000)]
  if (!width || last - first <= width) return [first, last]
  const from = Math.min(Math.max(first, now_ms - width / 2), last - width)
  return [from, from + width]
}

const sameplace = (a: Place, b: Place) => a.of === b.of && a.hand === b.hand

function Controls({ player, when, step, window, setWindow }: { player: Player; when: When; step: (by: 1 | -1) => void; window: Window; setWindow: (to: Window) => void }) {
  const { replay, now_ms, playing, speed, place } = player
  const [marks, setMarks] = useState(false)
  if (!replay) return null
  const options: Place[] = [{ of: 'log', hand: 0 }, ...places(player.stays)]
  const name = (one: Place) => (one.of === 'phone' ? said.phoneOf(player.shown.board.hands.get(one.hand)?.name ?? `${one.hand}`) : said.place[one.of])
  return (
    <div class="controls">
      <button type="button" class="pick strong" data-place="play" aria-keyshortcuts="k" onClick={() => player.play(!playing)}>{playing ? said.pause : said.play}</button>
      <button type="button" class="pick" data-place="step-back" aria-keyshortcuts="j" onClick={() => step(-1)}>{said.back}</button>
      <button type="button" class="pick" data-place="step" aria-keyshortcuts="l" onClick={() => step(1)}>{said.on}</button>
      <select class="field" aria-label={said.speed} value={speed} data-place="speed" onChange={(event) => player.setSpeed(SPEEDS.find((one) => one === Number(event.currentTarget.value)) ?? 1)}>{SPEEDS.map((one) => <option key={one} value={one}>{said.times(one)}</option>)}</select>
      <output class="clock" aria-live="off">{at(when, now_ms, true)}</output>
      <input type="range" class="slider" min={replay.first_ms} max={replay.head.last_ms} step="1000" value={now_ms} aria-label={said.at} aria-valuetext={at(when, now_ms, true)} data-place="slider"
        onInput={(event) => { player.play(false); player.go(Number(event.currentTarget.value)) }} />
      <select class="field" aria-label={said.windowOf} value={window} data-place="window" onChange={(event) => setWindow(event.currentTarget.value as Window)}>{(Object.keys(WINDOWS) as Window[]).map((one) => <option key={one} value={one}>{said.window[one]}</option>)}</select>
      <select class="field" aria-label={said.known} value={options.findIndex((one) => sameplace(one, place))} data-place="known" onChange={(event) => player.setPlace(options[Number(event.currentTarget.value)] ?? place)}>{options.map((one, i) => <option key={`${one.of}${one.hand}`} value={i}>{said.knownTo(name(one))}</option>)}</select>
      <button type="button" class="pick" aria-pressed={player.then} title={said.noHindsightIs} data-place="then" onClick={() => player.setThen(!player.then)}>{said.noHindsight}</button>
      <button type="button" class="pick" aria-expanded={marks} data-place="marks" onClick={() => setMarks(!marks)}>{said.marks}</button>
      {marks && <div class="hint"><Legend /><p>{said.keys}</p></div>}
    </div>
  )
}

