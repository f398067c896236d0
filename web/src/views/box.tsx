// The box at the helm: what is logged and what is left by the rule set that this trip took along, how each is measured, and where the
// rule stands; the fish, to be told of; the reports that are due. It says what is logged and decides nothing.

import type { DebriefFishAnswer, DebriefReport, DebriefRuleSetHead, DebriefStanding } from 'debrief'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import type { Store, ViewState } from '../store'
import { Press } from '../ui/button'
import { countWords, inOrder, shortWords } from '../ui/fish'
import { clock } from '../ui/time'
import { words } from '../words'
import { type FishAt, type FishHands, type Step, fishStep } from './fish_steps'
import { TextField } from './text_field'

const ROWS = 6
const REPORTS = 2
const TILES = 11
const HOUR_MS = 3_600_000

type Tab = 'standing' | 'fish' | 'reports'
const TABS: readonly Tab[] = ['standing', 'fish', 'reports']

/** `answer` null: not read yet. A tab that is open, tapped again, goes back to its beginning. */
export function BoxPanel({ state, store, now, answer, close }: { state: ViewState; store: Store; now: number; answer: DebriefFishAnswer | null; close: () => void }) {
  const [tab, setTab] = useState<Tab>('standing')
  const [page, setPage] = useState(0)
  const [row, setRow] = useState('')
  const [at, go] = useState<FishAt>({ at: 'which' })
  const due = answer?.reports.filter((report) => !report.confirmed).length ?? 0
  const told: Record<Tab, string> = { standing: '', fish: answer?.untold ? words.fish.untoldOf(answer.untold) : '', reports: words.fish.reportsOf(due) }
  const open = (one: Tab) => () => {
    setTab(one)
    setPage(0)
    setRow('')
    go({ at: 'which' })
  }
  const hands: FishHands = { state, store, answer, by: 'digits', done: () => go({ at: 'which' }), go: (to) => {
    setPage(0)
    go(to)
  } }
  const step = fishStep(hands, at)
  const of = { standing: row ? 1 : pagesOf(answer?.standing.length ?? 0, ROWS), fish: step.keys ? 1 : pagesOf(step.tiles.length, TILES), reports: pagesOf(answer?.reports.length ?? 0, REPORTS) }[tab]
  const shown = page % of
  return (
    <section class="panel box-panel">
      <nav class="tabs">
        {TABS.map((one) => <Press key={one} label={`${words.fish.tab[one]} ${told[one]}`} of={`choice ${tab === one ? 'strong' : ''}`} place={`box-${one}`} pressed={tab === one} act={open(one)} fit={2}>
          <b>{words.fish.tab[one]}</b>{told[one] && <small>{told[one]}</small>}</Press>)}
        {tab === 'fish' && step.save
          ? <Press label={step.save.label} of={`choice ${step.save.act ? 'strong' : ''}`} place="fish-save" act={step.save.act} />
          : <Press label={words.button.more} of="choice" place="box-more" act={of > 1 ? () => setPage(shown + 1) : undefined} fit={2}><b>{words.button.more}</b>{of > 1 && <small>{words.fish.page(shown + 1, of)}</small>}</Press>}
        <Press label={words.button.close} of="choice" place="close" act={close} />
      </nav>
      {tab === 'standing' ? <Standing answer={answer} page={shown} row={row} open={setRow} />
        : tab === 'fish' ? <Telling answer={answer} at={at} step={step} page={shown} />
          : <Reports state={state} store={store} now={now} answer={answer} page={shown} />}
    </section>
  )
}

const pagesOf = (count: number, room: number) => Math.max(1, Math.ceil(count / room))

/** Whose rules, of which day; and always: check the current rule. */
export function RulesLine({ head }: { head: DebriefRuleSetHead | undefined }) {
  return <p class="rules-line">{head ? `${words.fish.dated(head.name, head.dated)}. ${head.caution}` : words.fish.noRules}</p>
}

const rowKey = (row: DebriefStanding) => `${row.name} ${row.citation}`

/** Each row's number and size at a glance; what it rests on at a touch. */
function Standing({ answer, page, row, open }: { answer: DebriefFishAnswer | null; page: number; row: string; open: (row: string) => void }) {
  const all = inOrder(answer?.standing ?? [])
  const one = all.find((is) => rowKey(is) === row)
  if (one) return <Row row={one} />
  return (
    <>
      <RulesLine head={answer?.rule_set} />
      {all.length === 0 && <p class="asks">{answer ? words.fish.noRows : words.fish.reading}</p>}
      <div class="choices three">
        {all.slice(page * ROWS, (page + 1) * ROWS).map((is, n) => <Press key={rowKey(is)} label={`${is.name}: ${countWords(is)}`} of={`choice ${is.logged ? 'chosen' : ''}`} place={`row-${n}`} act={() => open(rowKey(is))} fit={2}>
          <b>{is.name}</b><small>{shortWords(is)}</small></Press>)}
      </div>
    </>
  )
}

function Row({ row }: { row: DebriefStanding }) {
  return (
    <ul class="box-rows">
      <li><b>{row.name}: {countWords(row)}</b></li>
      <li>{row.min_words || words.fish.noSize}</li>
      <li>{row.basis}</li>
      {row.sayings.map((saying) => <li key={saying}>{saying}</li>)}
      <li>{row.citation}. {words.fish.check}</li>
    </ul>
  )
}

/** The fish one by one, and what is told of them. */
function Telling({ answer, at, step, page }: { answer: DebriefFishAnswer | null; at: FishAt; step: Step; page: number }) {
  const pad = step.keys
  const is = 'fish' in at && at.at === 'one' ? answer?.fish.find((one) => one.id === at.fish) : undefined
  const said = is ? [...is.sayings, is.estimate_g ? `${words.fish.about(is.estimate_g)}, ${is.estimate_by ?? ''}` : ''].filter(Boolean).join(' · ') : ''
  const tiles = pad ? step.tiles : step.tiles.slice(page * TILES, (page + 1) * TILES)
  return (
    <>
      <p class="rules-line"><b>{step.ask}</b> {said}</p>
      <div class={`choices ${pad ? 'six' : 'four'}`}>
        {tiles.map((tile) => <Press key={tile.key} label={[tile.label, tile.told].filter(Boolean).join(': ')} of={`choice ${tile.strong ? 'strong' : ''}`} place={tile.key} act={tile.act} fit={2}>
          <b>{tile.label}</b>{tile.told && <small>{tile.told}</small>}</Press>)}
      </div>
    </>
  )
}

/** Time left, in whole hours, rounded down: never more than there is. */
export function dueWords(report: DebriefReport, now: number, utc_offset_ms: number): string {
  if (report.due_ms === undefined) return words.fish.dueAfter(report.hours)
  const left_ms = report.due_ms - now
  return left_ms > 0 ? words.fish.dueIn(clock(report.due_ms, utc_offset_ms), Math.floor(left_ms / HOUR_MS)) : words.fish.overdue(clock(report.due_ms, utc_offset_ms))
}

function Reports({ state, store, now, answer, page }: { state: ViewState; store: Store; now: number; answer: DebriefFishAnswer | null; page: number }) {
  const all = [...(answer?.reports ?? [])].sort((a, b) => Number(Boolean(a.confirmed)) - Number(Boolean(b.confirmed)))
  return (
    <>
      <p class="rules-line">{all.length ? words.fish.reportLaw : answer ? words.fish.noReports : words.fish.reading}</p>
      {all.slice(page * REPORTS, (page + 1) * REPORTS).map((one) => <Report key={`${one.id} ${one.of}`} report={one} state={state} store={store} now={now} />)}
    </>
  )
}

function Report({ report, state, store, now }: { report: DebriefReport; state: ViewState; store: Store; now: number }) {
  const [typed, setTyped] = useState('')
  const number = typed.trim()
  const save = () => {
    setTyped('')
    store.act('report_told', { of: report.id, number })
  }
  return (
    <div class="report-row">
      <p><b>{report.of}</b>, {report.confirmed ? words.fish.confirmed(report.confirmed) : dueWords(report, now, state.utc_offset_ms)}. {report.citation}</p>
      {!report.confirmed && <>
        <TextField label={words.fish.number} text={typed} most={TEXT_BYTES.body_report_told.number} change={setTyped} place={`number-${report.id}`} />
        <Press label={words.button.save} of={`choice ${number ? 'strong' : ''}`} place={`number-save-${report.id}`} act={number ? save : undefined} />
      </>}
    </div>
  )
}
