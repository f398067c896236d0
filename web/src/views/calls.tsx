// The boat-handling calls, both ways: what stands open with its marks, and what can be called. The shout comes first; the call
// here only keeps it in sight until it is heard and done. What can be called stands at the foot and never moves; the second
// open call takes the place of the panel's head, which the place that opened the panel closes as well.

import type { BoardCall } from 'proto'
import { useState } from 'preact/hooks'
import { handlingCalls } from '../defaults'
import type { ViewState } from '../store'
import { callState, handName, openCalls } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { Mark } from '../ui/marks'
import { age } from '../ui/time'
import { words } from '../words'

const OPEN_SHOWN = 2
const CHOICES = 8

/** Who heard it, and who called; whom, while nobody has heard it: there is room for no more. */
export function callWho(state: ViewState, call: BoardCall): string {
  const to = call.hand ? handName(state.board, call.hand) : words.station[call.to ?? 'all']
  const got = (call.got ?? []).map((answer) => `${handName(state.board, answer.hand)}${answer.voice ? ` (${words.voice})` : ''}`).filter(Boolean)
  const by = handName(state.board, call.by)
  return (got.length ? [...got, by && words.calls.from(by)] : [by, words.calls.to(to)]).filter(Boolean).join(' · ')
}

function OpenCall({ state, call, now }: { state: ViewState; call: BoardCall; now: number }) {
  const store = useStore()
  const is = callState(call)
  // Its own call, to everybody, is answered by the others: what the helm enters of it was heard by voice.
  const toHelm = (call.to === 'helm' || call.to === 'all') && !call.id.startsWith(state.me.page)
  const next = is === 'got'
    ? { label: words.button.done, act: () => store.act('call_done', { call: call.id, ...(toHelm ? {} : { voice: true }) }) }
    : { label: toHelm ? words.button.gotIt : words.button.heard, act: () => store.act('call_got', { call: call.id, ...(toHelm ? {} : { voice: true }) }) }
  return (
    <li class={`open-call ${is}`}>
      <Mark is={is} />
      <p><b>{words.call[call.what ?? 'ahead']}</b><small>{words.callState[is]} {age(now - (call.at_ms ?? now))} · {callWho(state, call)}</small></p>
      <Press label={next.label} of="act" place={`call-next-${call.id}`} act={next.act} />
      <Press label={words.button.callOff} of="act" place={`call-off-${call.id}`} act={() => store.act('call_off', { call: call.id })} />
    </li>
  )
}

export function CallsPanel({ state, now, from, close, open: opens }: {
  state: ViewState; now: number; from: 'helm' | 'cockpit'; close: () => void; open: (panel: 'checks' | 'brief') => void
}) {
  const store = useStore()
  const [page, setPage] = useState(0)
  const open = openCalls(state.board).slice(0, OPEN_SHOWN)
  const all = handlingCalls.filter((call) => call.from === from)
  const pages = Math.ceil(all.length / CHOICES)
  const shown = all.slice((page % pages) * CHOICES, (page % pages) * CHOICES + CHOICES)
  return (
    <section class="panel calls-panel">
      <ul>{open.map((call) => <OpenCall key={call.id} state={state} call={call} now={now} />)}</ul>
      {open.length < OPEN_SHOWN && (
        <header><h2>{words.calls.say}</h2>
          <Press label={words.button.checks} of="close" place="calls-checks" act={() => opens('checks')} />
          <Press label={words.button.brief} of="close" place="brief" act={() => opens('brief')} />
          {pages > 1 && <Press label={words.button.more} of="close" place="calls-more" act={() => setPage(page + 1)} />}
          <Press label={words.button.close} of="close" place="close" act={close} />
        </header>
      )}
      <div class="choices four">
        {shown.map((call) => (
          <Press key={call.what} of="choice" label={words.call[call.what]} place={`call-${call.what}`} act={() => store.act('call', { what: call.what, to: call.to })} />
        ))}
      </div>
    </section>
  )
}
