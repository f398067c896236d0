// The checklists at the helm. One item at a time is answered, by the state that was seen; an item not done asks why. An
// interrupted list keeps its place: the next item is framed, and the band says where it was left.

import type { BoardCheck, BoardList, CheckWhy } from 'proto'
import { CHECK_WHY_VALUES } from 'proto'
import { useState } from 'preact/hooks'
import type { Store, ViewState } from '../store'
import { handName } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { Mark, type MarkName } from '../ui/marks'
import { clock } from '../ui/time'
import { words } from '../words'

export function answerMark(check: BoardCheck | undefined, item: number): MarkName {
  const answer = check?.marks?.find((mark) => mark.item === item)?.answer ?? 'open'
  return ({ open: 'open', done: 'done', not_done: 'refused', not_here: 'off' } as const)[answer]
}

/** How a list stands, in words. */
export function standing(state: ViewState, list: BoardList): string {
  const check = state.board.checks.get(list.id)
  const items = (list.items ?? []).length
  switch (check?.state ?? 'none') {
    case 'none': return words.checks[list.kind === 'read_do' ? 'readDo' : 'doConfirm']
    case 'open': return words.checks.next(check?.next ?? items, items)
    case 'done': return words.checks.done(clock(check?.done_ms ?? 0, state.utc_offset_ms), handName(state.board, check?.done_by))
    case 'left': return words.checks.left
  }
}

export function openList(state: ViewState): BoardList | undefined {
  const open = [...state.board.checks.values()].find((check) => check.state === 'open')
  return open && state.board.lists.get(open.list)
}

export interface Answers {
  seen: () => void
  notHere: () => void
  notDone: (why: CheckWhy) => void
  leave: () => void
}

export function answers(store: Store, check: BoardCheck): Answers {
  const run = check.run ?? ''
  const item = check.next ?? 0
  return {
    seen: () => store.act('check_answered', { run, item, answer: 'done' }),
    notHere: () => store.act('check_answered', { run, item, answer: 'not_here' }),
    notDone: (why) => store.act('check_answered', { run, item, answer: 'not_done', why }),
    leave: () => store.act('check_left', { run }),
  }
}

export function ChecksPanel({ state, close }: { state: ViewState; now: number; close: () => void }) {
  const store = useStore()
  const list = openList(state)
  if (list) return <OpenList state={state} list={list} />
  const lists = [...state.board.lists.values()]
  return (
    <section class="panel checks">
      <header><h2>{words.checks.title}</h2><Press label={words.button.close} of="close" place="close" act={close} /></header>
      {lists.length === 0 && <p>{words.checks.none}</p>}
      <div class="choices">
        {lists.map((one) => (
          <Press key={one.id} of="choice" label={`${one.name}: ${standing(state, one)}`} place={`list-${one.id}`} act={() => store.act('check_opened', { list: one.id })}>
            <b>{one.name}</b><small>{standing(state, one)}</small>
          </Press>
        ))}
      </div>
    </section>
  )
}

function OpenList({ state, list }: { state: ViewState; list: BoardList }) {
  const store = useStore()
  const [asking, setAsking] = useState(false)
  const check = state.board.checks.get(list.id)
  const items = list.items ?? []
  const item = items[(check?.next ?? 0) - 1]
  if (!check || !item) return null
  const does = answers(store, check)
  const then = (act: () => void) => () => {
    setAsking(false)
    act()
  }
  return (
    <section class="panel checks open">
      <div class="items">
        <h2>{list.name}</h2>
        <ol>
          {items.map((one, index) => (
            <li key={one.ask} class={index + 1 === check.next ? 'next' : ''}><Mark is={answerMark(check, index + 1)} /><span>{one.ask}</span></li>
          ))}
        </ol>
      </div>
      {asking
        ? <div class="answers">{CHECK_WHY_VALUES.filter((why) => why !== 'none').map((why) =>
            <Press key={why} label={words.why[why]} of="answer" place={`why-${why}`} act={then(() => does.notDone(why))} />)}</div>
        : <div class="answers">
            <Press label={item.state} of="answer strong seen" place="seen" act={does.seen} />
            <Press label={words.button.notDone} of="answer" place="not-done" act={() => setAsking(true)} />
            <Press label={words.button.notHere} of="answer" place="not-here" act={does.notHere} />
            <Press label={words.button.leaveList} of="answer" place="leave" act={does.leave} />
          </div>}
    </section>
  )
}
