// The band: the one sentence, and at its right the time and who can be reached, or what this device has to say of its own
// taps. The standing strip under it says what is still out.

import type { TapView, ViewState } from '../store'
import { words } from '../words'
import { actWords } from './act_words'
import { reachOf, shortName } from './board'
import { fit } from './fit'
import { Mark, type MarkName } from './marks'
import { Press } from './button'
import { type Sentence, linkWords, stillOut } from './say'
import { clock } from './time'

const TAP_MARKS: Record<TapView['state'], MarkName> = {
  here: 'only_here', sent: 'sent', seen: 'seen', saved: 'saved', refused: 'refused', moot: 'off', late: 'off',
}

const SHOWN_FOR_MS = 8000

/** What is worth saying of this device's own taps now: a refusal, a link trouble's waiting taps, trouble with keeping. */
export function ownNews(state: ViewState, now: number): { look: 'warn' | 'plain'; text: string } | null {
  if (state.log_back) return { look: 'warn', text: words.logBack }
  if (state.disk === 'failed') return { look: 'warn', text: words.diskFailed }
  const no = [...state.taps].reverse().find((tap) => tap.words && (tap.state === 'refused' || tap.moot) && now - tap.at_ms < SHOWN_FOR_MS)
  if (no) return { look: 'warn', text: `${no.state === 'refused' ? words.tap.refused : words.tap.moot}: ${no.words}` }
  const held = state.taps.find((tap) => tap.waiting && tap.words)
  if (held) return { look: 'plain', text: `${words.tapWaiting}: ${held.words}` }
  if (state.disk === 'slow') return { look: 'plain', text: words.diskSlow }
  return state.waiting && state.link.state !== 'ok' ? { look: 'warn', text: words.tapsHere(state.waiting) } : null
}

/** The mark and the words of the last act, for the place of UNDO. */
export function lastTap(state: ViewState): { mark: MarkName; text: string; act: string } | null {
  const tap = state.taps[state.taps.length - 1]
  if (!tap) return null
  return { mark: TAP_MARKS[tap.state], text: tap.waiting ? words.tapWaiting : words.tap[tap.state], act: actWords(state.board, tap.kind, tap.body) }
}

export function reachWords(state: ViewState): string {
  const hands = [...state.board.hands.values()]
  const here = hands.filter((hand) => reachOf(state.board, hand.id).state === 'here').length
  return hands.length ? words.reachable(here, hands.length) : ''
}

export function Band({ state, now, say, onMore }: { state: ViewState; now: number; say: Sentence; onMore: () => void }) {
  const news = ownNews(state, now)
  return (
    <header class={`band ${say.look} ${say.pulse ? 'pulse' : ''}`} data-look={say.look}>
      <p class={`say ${fit(say.text + say.more, [[26, 'f64'], [44, 'f44']], 'f36')}`}>
        <span>{say.text}</span>{say.more && <small>{say.more}</small>}
      </p>
      <Press label={words.button.setUp} of="now" place="more" act={onMore}>
        {news
          ? <span class={`news ${news.look}`}>{news.look === 'warn' && <Mark is="warning" />}<span>{news.text}</span></span>
          : <span class="clock"><b>{clock(now, state.utc_offset_ms) || '--:--'}</b><span>{reachWords(state) || words.setup.another}</span></span>}
      </Press>
    </header>
  )
}

/** Characters of the strip's words that fit beside its title. */
const STRIP_ROOM = 46

function chipsThatFit(chips: { name: string; kept: boolean }[], lines: number): { name: string; kept: boolean }[] {
  const short = chips.map((chip) => ({ ...chip, name: shortName(chip.name) }))
  const room = short.reduce((sum, chip) => sum + chip.name.length + 3, 0)
  if (room <= STRIP_ROOM) return short
  const kept = short.slice(-lines).filter((chip) => chip.kept).length
  const told = [{ name: words.countLines(lines - kept).toUpperCase(), kept: false }]
  return [...short.slice(0, short.length - lines), ...told, ...(kept ? [{ name: `${kept} ${words.kept}`, kept: true }] : [])]
}

export function Strip({ state }: { state: ViewState }) {
  const { stands, known, chips } = stillOut(state)
  const stern = [...state.board.lines.values()].filter((line) => line.gear === 'teaser' || line.gear === 'dredge')
  const names = new Set(stern.map((line) => line.name))
  const ordered = [...chips].sort((a, b) => Number(names.has(b.name)) - Number(names.has(a.name)))
  const lines = ordered.filter((chip) => !names.has(chip.name)).length
  const fitting = chipsThatFit(ordered, lines)
  return (
    <div class={`strip ${stands ? 'still' : ''}`} aria-live="off">
      <b>{words.stillOut}</b>
      {!known && <i class="unknown">{words.stillNotKnown}</i>}
      {known && chips.length === 0 && <span>{words.nothingOut}</span>}
      {fitting.map((chip) => <i key={chip.name} class={chip.kept ? 'kept' : ''}>{chip.name}</i>)}
      {state.link.state !== 'ok' && state.board.overboard.id && <i class="unknown">{linkWords(state)}</i>}
    </div>
  )
}
