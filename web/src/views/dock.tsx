// At the dock, when the trip is over: what nobody knew is settled with one tap each; the fish in the box are counted against the
// log by two; near misses are told, the skipper's own first; three jobs get a name, and stand at the next start; gear faults.

import type { DebriefFishAnswer } from 'debrief'
import { NEAR_KIND_VALUES, TEXT_BYTES } from 'proto'
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { handName, lineName } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { words } from '../words'
import { BoxPanel } from './box'
import { unsettled } from './dock_settle'
import { TextField } from './text_field'

const TABS = ['settle', 'fish', 'count', 'near', 'jobs', 'faults'] as const
type Tab = (typeof TABS)[number]

/** `named`: the hands tapped last in the crew's panel, at most two; who counted fish is not meant by what is asked next. */
export function DockPanel({ state, now, answer, named, forget }: { state: ViewState; now: number; answer: DebriefFishAnswer | null; named: readonly number[]; forget: () => void }) {
  const [tab, setTab] = useState<Tab>('settle')
  const { board } = state
  const store = useStore()
  const left = unsettled(state, store).length
  const told: Record<Tab, string> = {
    settle: left ? words.dock.left(left) : '', fish: answer?.reports.length ? words.fish.reportsOf(answer.reports.filter((one) => !one.confirmed).length) : '', count: board.dock.counted ? `${board.dock.boated ?? 0}` : '',
    near: board.counts.near_misses ? `${board.counts.near_misses}` : '', jobs: board.jobs.size ? `${board.jobs.size}` : '',
    faults: board.counts.gear_faults ? `${board.counts.gear_faults}` : '',
  }
  return (
    <section class="panel dock">
      <nav class="tabs" aria-label={words.phase.dock}>
        {TABS.map((one) => <Press key={one} label={`${words.dock[one]} ${told[one]}`} of={`choice ${tab === one ? 'strong' : ''}`} place={`dock-${one}`} pressed={tab === one}
          act={() => {
            forget()
            setTab(one)
          }} fit={2}><b>{words.dock[one]}</b>{told[one] && <small>{told[one]}</small>}</Press>)}
      </nav>
      {tab === 'fish' ? <BoxPanel state={state} store={store} now={now} answer={answer} close={() => setTab('settle')} /> : bodyOf(tab, state, named)}
    </section>
  )
}

function bodyOf(tab: Exclude<Tab, 'fish'>, state: ViewState, named: readonly number[]): ComponentChildren {
  switch (tab) {
    case 'settle': return <Settle state={state} />
    case 'count': return <FishBox state={state} named={named} />
    case 'near': return <NearMisses state={state} named={named} />
    case 'jobs': return <Jobs state={state} />
    case 'faults': return <Faults state={state} />
  }
}

/** The same words under another question are other buttons: a second touch of the one before must not answer it. */
function Settle({ state }: { state: ViewState }) {
  const store = useStore()
  const [later, setLater] = useState(0)
  const open = unsettled(state, store)
  const one = open[later % Math.max(1, open.length)]
  if (!one) return <p class="asks">{words.dock.allSettled}</p>
  return (
    <>
      <p class="asks">{one.ask}</p>
      <div class="choices three">
        {one.ends.map((end) => <Press key={`${one.ask} ${end.label}`} label={end.label} of="choice" place={`end-${end.label}`} act={end.act} fit={1} />)}
        <Press label={words.button.later} of="choice" place="later" act={open.length > 1 ? () => setLater(later + 1) : undefined} />
      </div>
    </>
  )
}

function FishBox({ state, named }: { state: ViewState; named: readonly number[] }) {
  const store = useStore()
  const { board } = state
  const logged = board.counts.boated ?? 0
  const [n, setN] = useState(board.dock.boated ?? logged)
  const [hand, second] = named
  const { dock } = board
  const by = [handName(board, dock.hand), handName(board, dock.second)] as const
  const alone = board.hands.size < 2
  const said = alone && !dock.counted ? words.dock.addHand : second || !dock.counted ? words.dock.two(named.map((one) => handName(board, one)).join(', ')) : (dock.boated ?? 0) === logged ? words.dock.agrees(...by) : words.dock.differs(...by, dock.boated ?? 0)
  return (
    <>
      <p class="asks">{words.dock.logSays(logged)}. {said}</p>
      <div class="choices four">
        <Press label="-" of="choice large" place="fewer" act={n > 0 ? () => setN(n - 1) : undefined} />
        <p class="amount">{words.dock.inBox(n)}</p>
        <Press label="+" of="choice large" place="more-fish" act={() => setN(n + 1)} />
        <Press label={words.button.counted} of={`choice ${second ? 'strong' : ''}`} place="counted" act={hand && second ? () => store.act('fish_counted', { boated: n, hand, second }) : undefined} fit={1} />
      </div>
    </>
  )
}

/** Whose it is starts with the skipper: who tells his own first makes it easy for the others. */
function NearMisses({ state, named }: { state: ViewState; named: readonly number[] }) {
  const store = useStore()
  const hand = named[named.length - 1] ?? state.board.helm.hand ?? 0
  const told = state.board.counts.near_misses ?? 0
  return (
    <>
      <p class="asks">{told ? words.dock.nearTold(told) : words.dock.own}. {words.dock.whose} {handName(state.board, hand) || words.tapName}</p>
      <div class="choices four">
        {NEAR_KIND_VALUES.filter((what) => what !== 'none').map((what) => (
          <Press key={what} label={words.dock.nearIs[what]} of="choice" place={`near-${what}`} act={() => store.act('near_miss', { what, hand })} fit={1} />
        ))}
      </div>
    </>
  )
}

function Jobs({ state }: { state: ViewState }) {
  return <div class="rows">{[1, 2, 3].map((no) => <Job key={no} state={state} no={no} />)}</div>
}

/** One job: its words, its name turned on by each tap, and whether it is done. */
function Job({ state, no }: { state: ViewState; no: number }) {
  const store = useStore()
  const { board } = state
  const job = board.jobs.get(no)
  const [typed, setTyped] = useState<string | null>(null)
  const [named, setNamed] = useState<number | null>(null)
  const [dated, setDated] = useState<string | null>(null)
  const text = typed ?? job?.text ?? ''
  const hand = named ?? job?.hand ?? 0
  const hands = [0, ...board.hands.keys()]
  const day = dated ?? job?.by_day ?? ''
  const changed = text.trim() !== (job?.text ?? '') || hand !== (job?.hand ?? 0) || day !== (job?.by_day ?? '')
  const save = () => {
    setTyped(null)
    setNamed(null)
    setDated(null)
    store.act('job', { no, text: text.trim(), hand, ...(day ? { by_day: day } : {}) })
  }
  return (
    <div class="job">
      <TextField label={words.dock.job(no)} text={text} most={TEXT_BYTES.body_job.text} change={setTyped} place={`job-${no}`} />
      <Press label={handName(board, hand) || (named === null && job?.name) || words.nobody} of="choice" place={`job-hand-${no}`} act={() => setNamed(hands[(hands.indexOf(hand) + 1) % hands.length] ?? 0)} fit={1} />
      <input class="field" type="date" aria-label={words.dock.byDay} value={day} data-place={`job-day-${no}`} onInput={(event) => setDated(event.currentTarget.value)} />
      {changed || !job
        ? <Press label={words.button.save} of={`choice ${changed ? 'strong' : ''}`} place={`job-save-${no}`} act={changed ? save : undefined} />
        : <Press label={words.button.done} of={`choice ${job.done ? 'chosen' : ''}`} place={`job-done-${no}`} act={job.done ? undefined : () => store.act('job_done', { no })} />}
    </div>
  )
}

function Faults({ state }: { state: ViewState }) {
  const store = useStore()
  const [text, setText] = useState('')
  const [line, setLine] = useState(0)
  const lines = [0, ...state.board.lines.keys()]
  const told = state.board.counts.gear_faults ?? 0
  const save = () => {
    setText('')
    store.act('gear_fault', { line, text: text.trim() })
  }
  return (
    <>
      <p class="asks">{words.dock.fault} {told ? words.dock.faultsTold(told) : ''}</p>
      <div class="job">
        <TextField label={words.dock.faultWhat} text={text} most={TEXT_BYTES.body_gear_fault.text} change={setText} place="fault" />
        <Press label={lineName(state.board, line) || words.dock.noLine} of="choice" place="fault-line" act={() => setLine(lines[(lines.indexOf(line) + 1) % lines.length] ?? 0)} fit={1} />
        <Press label={words.button.save} of={`choice ${text.trim() ? 'strong' : ''}`} place="fault-save" act={text.trim() ? save : undefined} />
      </div>
    </>
  )
}
