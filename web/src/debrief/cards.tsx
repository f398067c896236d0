// The four questions. The first three are drafted from the log; the last is the crew's: at most three jobs, each with a name and a day.

import type { BoardView, Store, ViewState } from '../store'
import { useState } from 'preact/hooks'
import { handName } from '../ui/board'
import { said } from '../words_debrief'
import type { CardLine, Debrief, Job } from './numbers'

const MOST_TEXT = 80
const JOBS = [1, 2, 3] as const

export interface Live {
  state: ViewState
  store: Store
}

export function Cards({ debrief, choose, live }: { debrief: Debrief; choose?: (seq: number) => void; live?: Live | undefined }) {
  const { cards } = debrief
  return (
    <div class="cards">
      {(['planned', 'happened', 'why'] as const).map((name) => (
        <section key={name} class="card" aria-labelledby={`card-${name}`}>
          <h2 id={`card-${name}`}>{said.cards[name]}</h2>
          <ul>{cards[name].map((line, i) => <CardRow key={i} line={line} choose={choose} />)}</ul>
          {cards[name].length === 0 && <p class="nothing">{name === 'why' ? said.whyHint : said.none}</p>}
        </section>
      ))}
      <section class="card" aria-labelledby="card-next">
        <h2 id="card-next">{said.cards.next}</h2>
        {live ? <Jobs {...live} /> : <ul>{cards.next.map((job) => <li key={job.no}>{jobWords(job)}</li>)}{cards.next.length === 0 && <li class="nothing">{said.none}</li>}</ul>}
      </section>
    </div>
  )
}

const jobWords = (job: Job) => `${job.text}${[job.name, job.by_day].filter(Boolean).map((part) => `, ${part}`).join('')}${job.done ? `: ${said.isDone}` : ''}`

function CardRow({ line, choose }: { line: CardLine; choose?: ((seq: number) => void) | undefined }) {
  const [first] = line.seqs
  return <li>{first && choose ? <button type="button" onClick={() => choose(first)}>{line.words}</button> : line.words}</li>
}

/** The board's own jobs, so that what is entered here is what the helm and the next start show. */
function Jobs({ state, store }: Live) {
  return (
    <>
      {JOBS.map((no) => <JobRow key={no} no={no} board={state.board} store={store} />)}
      <p class="hint">{said.jobRule}</p>
    </>
  )
}

function JobRow({ no, board, store }: { no: number; board: BoardView; store: Store }) {
  const job = board.jobs.get(no)
  const [text, setText] = useState<string | null>(null)
  const [hand, setHand] = useState<number | null>(null)
  const [day, setDay] = useState<string | null>(null)
  const now = { text: text ?? job?.text ?? '', hand: hand ?? job?.hand ?? 0, by_day: day ?? job?.by_day ?? '' }
  const changed = now.text.trim() !== (job?.text ?? '') || now.hand !== (job?.hand ?? 0) || now.by_day !== (job?.by_day ?? '')
  const fits = new TextEncoder().encode(now.text.trim()).length <= MOST_TEXT
  const save = () => {
    store.act('job', { no, text: now.text.trim(), hand: now.hand, ...(now.by_day ? { by_day: now.by_day } : {}) })
    setText(null)
    setHand(null)
    setDay(null)
  }
  return (
    <div class="job-row">
      <input class="field" aria-label={said.job(no)} placeholder={said.job(no)} maxLength={MOST_TEXT} value={now.text} data-place={`debrief-job-${no}`} onInput={(event) => setText(event.currentTarget.value)} />
      <select class="field" aria-label={`${said.job(no)}: ${said.jobBy}`} value={now.hand} onChange={(event) => setHand(Number(event.currentTarget.value))}>
        <option value={0}>{job?.name && hand === null ? job.name : said.nobody}</option>
        {[...board.hands.keys()].map((id) => <option key={id} value={id}>{handName(board, id)}</option>)}
      </select>
      <input class="field" type="date" aria-label={`${said.job(no)}: ${said.jobDay}`} value={now.by_day} onInput={(event) => setDay(event.currentTarget.value)} />
      {changed || !job
        ? <button type="button" class="pick" disabled={!changed || !fits} data-place={`debrief-job-save-${no}`} onClick={save}>{said.keep}</button>
        : <button type="button" class="pick" aria-pressed={Boolean(job.done)} disabled={Boolean(job.done)} onClick={() => store.act('job_done', { no })}>{said.done}</button>}
    </div>
  )
}
