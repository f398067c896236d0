// Person overboard, at the helm: the time since the call is the largest thing; who called, who sees, who it is; and the list to
// be read and done. The ends stand at the top left, far from the place of the call itself, and are held for 1.5 s.

import type { BoardView, ViewState } from '../store'
import { Hold, Press } from '../ui/button'
import { handName } from '../ui/board'
import { useStore } from '../ui/hooks'
import { Mark } from '../ui/marks'
import { age, clock, stopwatch } from '../ui/time'
import { FALSE_ALARM_HOLD_MS } from '../ui/touch'
import { words } from '../words'

/** Who called first, in words: a name, a page without a name, a page without a key. */
export function calledBy(board: BoardView): string {
  const first = (board.overboard.calls ?? []).find((call) => !call.withdrawn) ?? board.overboard.calls?.[0]
  if (!first) return ''
  if (first.from === 'anyone' || first.from === undefined) return words.overboard.by(words.overboard.noKey)
  return words.overboard.by(handName(board, first.by) || words.overboard.page)
}

export function sightWords(board: BoardView, nobody: string): string {
  const { spotter, sight_lost } = board.overboard
  if (!spotter) return nobody
  const name = handName(board, spotter)
  return sight_lost ? words.overboard.lost(name) : words.overboard.sees(name)
}

export function OverboardPanel({ state, now }: { state: ViewState; now: number }) {
  const store = useStore()
  const { board } = state
  const { overboard } = board
  const id = overboard.id ?? ''
  const since = overboard.since_ms ?? now
  const when = clock(since, state.utc_offset_ms, true)
  const ring = state.rings.find((one) => one.what === 'overboard' && one.id === id)
  const late = ring && ring.came_ms - ring.at_ms > 5000 ? words.overboard.ago(age(ring.came_ms - ring.at_ms)) : ''
  return (
    <section class="panel man" aria-live="off">
      <div class="ends">
        <Hold label={words.button.backAboard} of="end-button" place="aboard" hold_ms={FALSE_ALARM_HOLD_MS} fit={2}
          act={() => store.act('overboard_ended', { call: id, how: 'aboard' })}><span class="label">{words.button.backAboard}</span><small>{words.hold}</small></Hold>
        <Hold label={words.button.falseAlarm} of="end-button" place="false-alarm" hold_ms={FALSE_ALARM_HOLD_MS} fit={2}
          act={() => store.act('overboard_ended', { call: id, how: 'false_alarm' })}><span class="label">{words.button.falseAlarm}</span><small>{words.hold}</small></Hold>
        {overboard.spotter && !overboard.sight_lost
          ? <Press label={words.button.lostSight} of="end-button low" place="lost-sight"
              act={() => store.act('overboard_sighted', { call: id, hand: overboard.spotter ?? 1, lost: true })} />
          : null}
      </div>
      <div class="told">
        <p class="digits" role="timer">{stopwatch(now - since)}</p>
        <p class="person">{overboard.person ? words.overboard.person(handName(board, overboard.person)) : ''}</p>
        <p class="who">{calledBy(board)} {when && words.overboard.at(when)} {late}</p>
        <p class={`sight ${overboard.spotter && !overboard.sight_lost ? '' : 'wanted'}`}><Mark is={overboard.spotter ? 'sees' : 'not_heard'} />{sightWords(board, words.overboard.nobodySees)}</p>
      </div>
      <Steps state={state} />
    </section>
  )
}

/** The first read-do list: what to do, in order, the next one framed. */
function Steps({ state }: { state: ViewState }) {
  const list = [...state.board.lists.values()].find((one) => one.kind === 'read_do')
  if (!list) return null
  const check = state.board.checks.get(list.id)
  const done = new Set((check?.marks ?? []).filter((mark) => mark.answer === 'done').map((mark) => mark.item))
  return (
    <ol class="steps">
      {(list.items ?? []).map((item, index) => (
        <li key={item.ask} class={`${done.has(index + 1) ? 'done' : ''} ${check?.state === 'open' && check.next === index + 1 ? 'next' : ''}`}>
          <Mark is={done.has(index + 1) ? 'done' : 'open'} /><span>{item.ask}</span>
        </li>
      ))}
    </ol>
  )
}
