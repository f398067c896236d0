// Before a trip: what it will start with. The boat's name, its crew, its spread and its lists are asked here, at the dock; once
// a trip runs nothing of it is typed. What the last trip left to do stands beside it.

import type { DebriefFishAnswer } from 'debrief'
import type { BodyTripStarted, CheckList, CrewHand, SpreadLine } from 'proto'
import { TEXT_BYTES } from 'proto'
import type { ComponentChildren } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { firstTrip } from '../defaults'
import type { BoardView, ViewState } from '../store'
import { isStern, whoName, whole } from '../ui/board'
import { Press } from '../ui/button'
import { reportsDue } from '../ui/say_deck'
import { words } from '../words'
import { forgetDraft, noDraft, readDraft, writeDraft } from './draft_kept'
import { reportWords } from './hurt'
import { AboardSetup } from './setup_aboard'
import { CrewSetup } from './setup_crew'
import { ListSetup, PresetSetup } from './setup_lists'
import { SpreadSetup } from './setup_spread'
import { TextField } from './text_field'

export interface TripDraft {
  /** As typed, perhaps empty. */
  name: string
  body: () => BodyTripStarted
  edit: (change: Partial<BodyTripStarted>) => void
}

/** The lists of the last trip, with the sources of those items that a new boat starts with: the board does not carry them. */
function listsOf(board: BoardView, made: BodyTripStarted): CheckList[] {
  const source = new Map((made.lists ?? []).flatMap((list) => (list.items ?? []).map((item) => [item.ask, item.source] as const)))
  return [...board.lists.values()].map((list) => ({ id: list.id, name: list.name, kind: list.kind ?? 'do_confirm',
    items: (list.items ?? []).map((item) => ({ ...item, ...(source.get(item.ask) ? { source: source.get(item.ask) } : {}) })) }))
}

/** What is left to do, and whose each is: by name, for the next trip numbers its crew anew. */
function jobsOf(board: BoardView): Pick<BodyTripStarted, 'jobs' | 'job_names' | 'job_days'> {
  const left = [...board.jobs.values()].filter((job) => !job.done && job.text)
  return { jobs: left.map((job) => job.text ?? ''), job_names: left.map((job) => whoName(board, job)), ...(left.some((job) => job.by_day) ? { job_days: left.map((job) => job.by_day ?? '') } : {}) }
}

/** The trip as the last one would start it again, or as a new boat starts. */
export function fromLast(board: BoardView): BodyTripStarted {
  const crew: CrewHand[] = [...board.hands.values()].map((hand) =>
    ({ id: hand.id, name: hand.name, station: hand.station ?? 'none', ...(hand.voice ? { voice: true } : {}) }))
  const made = firstTrip(board.trip.name ?? '', (board.trip.no ?? 0) + 1, crew)
  const spread: SpreadLine[] = [...board.lines.values()].map((line) => {
    const { id, name, side, gear, distance_m } = whole(line)
    return { id, name, side, gear, distance_m, ...(line.bait && line.bait !== words.helm.baitNotKnown ? { bait: line.bait } : {}) }
  })
  if (!spread.length) return made
  const presets = [...board.presets.values()].map((preset) => ({ id: preset.id, name: preset.name, kept: preset.kept ?? [] }))
  const { rules, line_in_ms } = board.trip
  const { persons, paying, use } = board.box
  return { ...made, spread, presets, lists: listsOf(board, made), ...jobsOf(board), ...(rules ? { rules } : {}), ...(line_in_ms ? { line_in_ms } : {}), ...(persons ? { persons } : {}), ...(paying ? { paying } : {}), ...(use ? { use } : {}) }
}

/** Who has joined since the crew was changed belongs to it as well. */
function withNewcomers(crew: CrewHand[], last: CrewHand[], known: readonly number[]): CrewHand[] {
  const free = (hand: CrewHand) => !known.includes(hand.id) && !crew.some((one) => one.id === hand.id || one.name === hand.name)
  return [...crew, ...last.filter(free)]
}

/** The trip that START TRIP would start: the last one's, with what was changed at the dock. What was changed outlives the page. */
export function useTripDraft(state: ViewState): TripDraft {
  const [kept, setKept] = useState(readDraft)
  const after = state.board.trip.id ?? ''
  const stale = state.known && kept !== null && kept.after !== after
  useEffect(() => {
    if (!stale) return
    forgetDraft()
    setKept(null)
  }, [stale])
  const changed = kept && !stale ? kept : noDraft(after)
  const last = fromLast(state.board)
  const crew = changed.trip.crew ? withNewcomers(changed.trip.crew, last.crew, changed.known) : last.crew
  const now = { ...last, ...changed.trip, crew }
  const edit = (change: Partial<BodyTripStarted>) => {
    const next = { after, trip: { ...changed.trip, ...change }, known: change.crew ? last.crew.map((hand) => hand.id) : changed.known }
    setKept(next)
    writeDraft(next)
  }
  return { name: now.name, body: () => ({ ...now, name: now.name.trim() || words.board }), edit }
}

const TABS = ['boat', 'aboard', 'crew', 'spread', 'presets', 'lists'] as const
type Tab = (typeof TABS)[number]

export function StartPanel({ state, now, draft, answer }: { state: ViewState; now: number; draft: TripDraft; answer: DebriefFishAnswer | null }) {
  const [tab, setTab] = useState<Tab>('boat')
  return (
    <section class="panel dock start-panel">
      <nav class="tabs" aria-label={words.button.setUp}>
        {TABS.map((one) => <Press key={one} label={words.setup.tabs[one]} of={`choice ${tab === one ? 'strong' : ''}`} place={`set-${one}`} pressed={tab === one} act={() => setTab(one)} fit={1} />)}
      </nav>
      {bodyOf(tab, state, now, draft, answer)}
    </section>
  )
}

function bodyOf(tab: Tab, state: ViewState, now: number, draft: TripDraft, answer: DebriefFishAnswer | null): ComponentChildren {
  switch (tab) {
    case 'boat': return <Boat state={state} now={now} draft={draft} />
    case 'aboard': return <AboardSetup draft={draft} answer={answer} />
    case 'crew': return <CrewSetup draft={draft} />
    case 'spread': return <SpreadSetup draft={draft} />
    case 'presets': return <PresetSetup draft={draft} />
    case 'lists': return <ListSetup draft={draft} />
  }
}

function Boat({ state, now, draft }: { state: ViewState; now: number; draft: TripDraft }) {
  const { spread, no, jobs = [], job_names: names = [], job_days: days = [] } = draft.body()
  const stern = spread.filter((line) => isStern(whole(line))).length
  return (
    <div class="start">
      <TextField label={words.setup.boat} text={draft.name} most={TEXT_BYTES.body_trip_started.name} change={(name) => draft.edit({ name })} place="boat" />
      <p>{words.setup.trip(no)} · {words.setup.spread(spread.length - stern, stern)}</p>
      {jobs.length
        ? <ul class="cautions"><li><b>{words.dock.jobsOpen(jobs.length)}</b></li>{jobs.map((job, i) => <li key={i}>{words.dock.jobWhole(names[i] ?? '', days[i] ?? '', job)}</li>)}</ul>
        : <ul class="cautions">{words.join.cautions.map((caution) => <li key={caution}>{caution}</li>)}</ul>}
      {reportsDue(state.board).map((hurt) => <p key={hurt.id} class="report">{words.button.hurt} {whoName(state.board, hurt)}: {reportWords(hurt, now)}</p>)}
      {state.no && <p class="no">{state.no.words}</p>}
    </div>
  )
}
