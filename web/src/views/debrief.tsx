// The debrief: the log in words, a timeline row for each line, and the board as it was after any entry. Entries that were
// refused, taken back, late or brought back after a crash are drawn as such, never hidden. No ranking of people, no blame.

import type { Kind } from 'proto'
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import type { BoardView, ViewState } from '../store'
import { entryWords } from '../ui/act_words'
import { allLines, fights, handName, isStern } from '../ui/board'
import { Press } from '../ui/button'
import { useBoard, useStore } from '../ui/hooks'
import { laneLook } from '../ui/lanes'
import { Mark } from '../ui/marks'
import { bandSentence } from '../ui/say'
import { age, clock, zone } from '../ui/time'
import { words } from '../words'
import { LogReader, type LogRow, rowStanding, turningPoints } from './debrief_log'
import { Timeline } from './timeline'

const SHOWN = 200
const POLL_MS = 5000

interface Log {
  rows: LogRow[]
  last: number
  is: 'loading' | 'read' | 'failed'
}

/** The log, read once and then followed while the page is open. */
function useLog(reader: LogReader, allowed: boolean): Log {
  const [log, setLog] = useState<Log>({ rows: [], last: 0, is: 'loading' })
  const rows = useRef<LogRow[]>([])
  useEffect(() => {
    if (!allowed) return undefined
    let ended = false
    let busy = false
    const read = async () => {
      if (busy) return
      busy = true
      try {
        await reader.rows((rows.current[rows.current.length - 1]?.entry.seq ?? 0) + 1, (more, last) => {
          rows.current = [...rows.current, ...more]
          if (!ended) setLog({ rows: rows.current, last, is: 'read' })
        })
      } catch {
        if (!ended) setLog({ rows: rows.current, last: 0, is: rows.current.length ? 'read' : 'failed' })
      }
      busy = false
    }
    void read()
    const timer = setInterval(() => void read(), POLL_MS)
    return () => {
      ended = true
      clearInterval(timer)
    }
  }, [reader, allowed])
  return log
}

interface Boards {
  boards: BoardView[]
  /** When the entry was after which each board stood. */
  ends_ms: number[]
}

/** The boards that the timeline is drawn from, as they come. */
function useBoards(reader: LogReader, rows: readonly LogRow[]): Boards {
  const [boards, setBoards] = useState<Boards>({ boards: [], ends_ms: [] })
  useEffect(() => {
    let ended = false
    const read = async () => {
      const got: Boards = { boards: [], ends_ms: [] }
      const at = new Map(rows.map((row) => [row.entry.seq, row.entry.at_ms]))
      for (const seq of turningPoints(rows)) {
        got.boards.push(await reader.board(seq))
        got.ends_ms.push(at.get(seq) ?? 0)
        if (ended) return
      }
      setBoards(got)
    }
    read().catch(() => undefined)
    return () => {
      ended = true
    }
  }, [rows.length])
  return boards
}

export function Debrief() {
  const state = useBoard()
  const store = useStore()
  const reader = useMemo(() => new LogReader(() => store.token()), [store])
  const log = useLog(reader, !state.me.keyless && state.me.greeted)
  const boards = useBoards(reader, log.rows)
  const [seq, setSeq] = useState(0)
  const chosen = log.rows.find((row) => row.entry.seq === seq) ?? log.rows[log.rows.length - 1]
  const [then, setThen] = useState<BoardView | null>(null)
  useEffect(() => {
    if (!chosen) return
    reader.board(chosen.entry.seq).then(setThen, () => setThen(null))
  }, [chosen?.entry.seq])
  const first = log.rows[0]?.entry.at_ms ?? 0
  const end = Math.max(first + 60000, ...log.rows.slice(-50).map((row) => row.entry.at_ms))
  const offset = state.utc_offset_ms
  return (
    <main class="debrief" data-view="debrief">
      <header>
        <h1>{words.debrief.title}</h1>
        <p>{[state.board.trip.name, state.board.trip.no ? words.setup.trip(state.board.trip.no) : '', offset ? words.debrief.zone(zone(end, offset)) : words.debrief.noClock,
          state.board.clock.estimated ? words.debrief.clockEstimated : '', words.debrief.entries(log.rows.length, log.last)].filter(Boolean).join(' · ')}</p>
        <Press label={words.setup.another} of="choice" place="another" act={() => store.setView('none')} />
      </header>
      {log.is !== 'read'
        ? <p class="loading" role="status">{state.me.keyless ? words.debrief.noLog : log.is === 'failed' ? words.debrief.failed : words.debrief.loading}</p>
        : <>
            <section class="times" aria-label={words.debrief.timeline}><Timeline {...boards} from_ms={first} to_ms={end} at_ms={chosen?.entry.at_ms ?? null} offset_ms={offset} /></section>
            <Entries log={log} names={state.board} offset={offset} chosen={chosen?.entry.seq ?? 0} choose={setSeq} />
            <Then state={state} board={then} row={chosen} rows={log.rows} choose={setSeq} />
          </>}
    </main>
  )
}

function Entries({ log, names, offset, chosen, choose }: { log: Log; names: BoardView; offset: number; chosen: number; choose: (seq: number) => void }) {
  const [end, setEnd] = useState(0)
  const to = end || log.rows.length
  const shown = log.rows.slice(Math.max(0, to - SHOWN), to).reverse()
  const step = (by: number) => {
    const at = log.rows.findIndex((row) => row.entry.seq === chosen) + by
    const row = log.rows[at]
    if (row) choose(row.entry.seq)
  }
  return (
    <section class="log" aria-label={words.debrief.log} onKeyDown={(event) => {
      if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return
      event.preventDefault()
      step(event.key === 'ArrowDown' ? -1 : 1)
    }}>
      <h2>{words.debrief.log}</h2>
      {log.rows.length === 0 && <p>{words.debrief.nothing}</p>}
      {to < log.rows.length && <Press label={words.debrief.more(log.rows.length - to)} of="choice" act={() => setEnd(Math.min(log.rows.length, to + SHOWN))} />}
      <ol>{shown.map((row) => <Row key={row.entry.seq} row={row} names={names} offset={offset} chosen={row.entry.seq === chosen} choose={choose} />)}</ol>
      {to > SHOWN && <Press label={words.debrief.more(to - SHOWN)} of="choice" act={() => setEnd(to - SHOWN)} />}
    </section>
  )
}

function Row({ row, names, offset, chosen, choose }: { row: LogRow; names: BoardView; offset: number; chosen: boolean; choose: (seq: number) => void }) {
  const { entry } = row
  const is = rowStanding(row)
  const said = {
    refused: words.debrief.refused, voided: words.debrief.voided, replaced: words.debrief.replaced, moot: words.debrief.moot,
    offered: words.debrief.offered, late: words.debrief.late(age(entry.got_ms - entry.at_ms)), plain: '',
  }[is]
  return (
    <li class={is}>
      <button type="button" aria-pressed={chosen} data-place={`entry-${entry.seq}`} onClick={() => choose(entry.seq)}>
        <span class="seq">{entry.seq}</span>
        <span class="when">{clock(entry.at_ms, offset, true) || age(entry.at_ms)}</span>
        <span class="by">{handName(names, entry.by) || (entry.from === 'server' ? words.board : entry.from)}</span>
        <span class="what">{entryWords(names, entry)}</span>
        {said && <span class="is">{said}</span>}
      </button>
    </li>
  )
}

/** The board as it was after the chosen entry, in the same words and marks as it had then. */
function Then({ state, board, row, rows, choose }: {
  state: ViewState; board: BoardView | null; row: LogRow | undefined; rows: readonly LogRow[]; choose: (seq: number) => void
}) {
  if (!board || !row) return <section class="then" aria-label={words.debrief.board} />
  const then: ViewState = { ...state, board, known: true, link: { state: 'ok', since: row.entry.at_ms } }
  const at = row.entry.at_ms
  const line = (one: ReturnType<typeof allLines>[number]) => {
    const look = laneLook(then, one, at)
    return <li key={one.id} class={look.of}><Mark is={look.mark} /><b>{one.name}</b><span>{look.word} {look.more}</span></li>
  }
  const lines = allLines(board)
  const c = board.counts
  return (
    <section class="then" aria-label={words.debrief.board}>
      <h2>{words.debrief.board}</h2>
      <p class="say">{bandSentence(then, 'debrief', at).text}</p>
      <ul class="hung">{lines.filter((one) => !isStern(one)).map(line)}{lines.filter(isStern).map(line)}</ul>
      <p>{words.button.wheel}: {handName(board, board.duty.wheel) || words.nobody} · {words.button.lookOut}: {handName(board, board.duty.look_out) || words.nobody}</p>
      <p>{words.counts(c.strikes ?? 0, c.hooked ?? 0, fights(board).length, c.boated ?? 0, c.released ?? 0)}</p>
      <Correct row={row} state={state} />
      <Told rows={rows} names={state.board} offset={state.utc_offset_ms} choose={choose} />
    </section>
  )
}

const TOLD: readonly Kind[] = ['stamped', 'stamp_told', 'noted', 'near_miss', 'gear_fault']

/** What the crew wrote down, and the moments it kept, newest first. */
function Told({ rows, names, offset, choose }: { rows: readonly LogRow[]; names: BoardView; offset: number; choose: (seq: number) => void }) {
  const told = rows.filter((row) => TOLD.includes(row.entry.kind) && !row.entry.refused && !row.voided).reverse()
  if (!told.length) return null
  return (
    <div class="told">
      <h2>{words.debrief.told}</h2>
      <ul>{told.map((row) => (
        <li key={row.entry.seq}><Press label={`${clock(row.entry.at_ms, offset) || age(row.entry.at_ms)} ${entryWords(names, row.entry)}`} of="choice" place={`told-${row.entry.seq}`} act={() => choose(row.entry.seq)} /></li>
      ))}</ul>
    </div>
  )
}

/** Taking an entry back after its time for undo: what it would make moot is shown first, and agreed to. */
function Correct({ row, state }: { row: LogRow; state: ViewState }) {
  const store = useStore()
  const { id, refused } = row.entry
  if (refused || row.voided) return null
  const preview = state.preview?.target === id ? state.preview : null
  if (!preview) return <Press label={words.debrief.correct} of="choice" place="correct" act={() => store.preview(id)} />
  return (
    <div class="correct">
      <p role="status">{words.debrief.agree(preview.count)}: {preview.rows.map((one) => words.kind[one.kind as keyof typeof words.kind] ?? one.kind).join(', ')}</p>
      <Press label={words.debrief.take} of="choice strong" place="take-back" act={() => store.act('voided', { target: id, agreed: preview.count })} />
    </div>
  )
}
