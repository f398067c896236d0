// The band: the one sentence, and at its right the time and who can be reached, or what this device has to say of its own
// taps. The standing strip under it says what is still out.

import type { Gear } from 'proto'
import type { TapView, ViewState } from '../store'
import { words } from '../words'
import { actWords } from './act_words'
import { handName, shortName, tinyName } from './board'
import { useFit } from './hooks'
import { Mark, type MarkName } from './marks'
import { reachNow } from './night'
import { Press } from './button'
import { type Sentence, linkWords, stillOut } from './say'
import { age, clock } from './time'

const TAP_MARKS: Record<TapView['state'], MarkName> = {
  here: 'only_here', sent: 'sent', seen: 'seen', saved: 'saved', refused: 'refused', moot: 'off', late: 'off',
}

const SHOWN_FOR_MS = 8000
/** Long enough for every screen to be looked at. */
const LOG_BACK_FOR_MS = 600_000

export interface News {
  look: 'warn' | 'plain'
  text: string
}

/** What is worth saying of this device's own taps now: a refusal, a link trouble's waiting taps, trouble with keeping. */
export function ownNews(state: ViewState, now: number): News | null {
  if (state.disk === 'failed') return { look: 'warn', text: words.diskFailed }
  const no = [...state.taps].reverse().find((tap) => tap.words && (tap.state === 'refused' || tap.moot) && now - tap.told_ms < SHOWN_FOR_MS)
  if (no) return { look: 'warn', text: `${no.state === 'refused' ? words.tap.refused : words.tap.moot}: ${no.words}` }
  if (isLogBack(state, now)) return { look: 'warn', text: words.logBack }
  const held = state.taps.find((tap) => tap.waiting && tap.words)
  if (held) return { look: 'plain', text: `${words.tapWaiting}: ${held.words}` }
  if (state.storage === 'memory' && state.waiting) return { look: 'warn', text: words.memoryOnly }
  if (state.disk === 'slow') return { look: 'plain', text: words.diskSlow }
  if (state.waiting && state.link.state !== 'ok') return { look: 'warn', text: words.tapsHere(state.waiting) }
  return releaseNews(state) ?? lateNews(state, now) ?? (state.me.view === 'helm' ? spareNews(state) : null)
}

export function isLogBack(state: ViewState, now: number): boolean {
  return state.log_back_ms !== undefined && now - state.log_back_ms < LOG_BACK_FOR_MS
}

function releaseNews(state: ViewState): News | null {
  if (state.release === 'same') return null
  return { look: 'plain', text: state.release === 'waits' ? words.releaseWaits : words.releaseStays }
}

/** What others told of some time ago: when it was, and whether the board shows it. */
function lateNews({ late, board }: ViewState, now: number): News | null {
  if (!late || now - late.came_ms > SHOWN_FOR_MS) return null
  const { entry, moot } = late
  const [ago, what] = [age(entry.got_ms - entry.at_ms), actWords(board, entry.kind, entry.body)]
  return { look: 'plain', text: moot ? words.lateMoot(ago, what) : words.lateTold(ago, handName(board, entry.by), what) }
}

/** The helm alone can do something about the stick; the log itself is saved as before, so it is said last and plainly. */
function spareNews(state: ViewState): News | null {
  if (state.spare === 'stopped') return { look: 'plain', text: words.spareStopped }
  return state.spare === 'behind' ? { look: 'plain', text: words.spareBehind } : null
}

/** The mark and the words of the last act, for the place of UNDO. */
export function lastTap(state: ViewState): { mark: MarkName; text: string; act: string } | null {
  const tap = state.taps[state.taps.length - 1]
  if (!tap) return null
  return { mark: TAP_MARKS[tap.state], text: tap.waiting ? words.tapWaiting : words.tap[tap.state], act: actWords(state.board, tap.kind, tap.body) }
}

export function reachWords(state: ViewState): string {
  const hands = [...state.board.hands.values()]
  const here = hands.filter((hand) => reachNow(state.board, hand.id).state === 'here').length
  return hands.length ? words.reachable(here, hands.length) : ''
}

/** The sentence, as large as its place lets it be. */
export function Say({ text, more, fit = 4 }: { text: string; more: string; fit?: number }) {
  const box = useFit<HTMLParagraphElement>(text + more, fit)
  return <p ref={box} class={`say ${more ? 'two' : ''}`}><span>{text}</span>{more && <small>{more}</small>}</p>
}

export function Band({ state, now, say, onMore }: { state: ViewState; now: number; say: Sentence; onMore: () => void }) {
  const news = ownNews(state, now)
  return (
    <header class={`band ${say.look} ${say.pulse ? 'pulse' : ''}`} data-look={say.look}>
      <Say text={say.text} more={say.more} fit={5} />
      <Press label={words.button.more} of="now" place="more" act={onMore} fit={2}>
        <span class={news ? 'aloud' : 'face'}>{words.button.more}</span>
        {news
          ? <span class={`news ${news.look}`}>{news.look === 'warn' && <Mark is="warning" />}<span>{news.text}</span></span>
          : <span class="clock"><b>{clock(now, state.utc_offset_ms) || '--:--'}</b><span>{reachWords(state) || words.setup.another}</span></span>}
      </Press>
    </header>
  )
}

/** What the strip holds beside its title, and what a chip takes, in tenths of a rem at its size of words. */
const STRIP_ROOM = 1030
const LETTER = 20
const CHIP = 34
/** A letter of what the box says, and the gap before it. */
const BOX_LETTER = 13
const BOX = 20

interface Chip {
  name: string
  gear: Gear
  kept: boolean
  hooked: boolean
  on: boolean
}

const room = (chips: readonly { name: string }[]) => chips.reduce((sum, chip) => sum + chip.name.length * LETTER + CHIP, 0)

/** How many there are of each gear. */
function counted(chips: readonly Chip[]): Chip[] {
  const gear = [...new Set(chips.map((chip) => chip.gear))]
  return gear.map((one) => ({ name: words.gearCount(one, chips.filter((chip) => chip.gear === one).length), gear: one, kept: false, hooked: false, on: false }))
}

/** The first way of saying it that fits: by name, by shorter names, the kept as a count, all lines as a count. Teasers and
 * dredges, the first to reach the wheels, keep their names as long as there is room. */
function fitting(chips: readonly Chip[], most: number): readonly Chip[] {
  const named = (to: (name: string) => string) => chips.map((chip) => ({ ...chip, name: to(chip.name) }))
  const stern = named(tinyName).filter((chip) => !chip.hooked)
  const loose = named(tinyName).filter((chip) => chip.hooked && !chip.kept)
  const on = loose.filter((chip) => chip.on)
  const kept = chips.filter((chip) => chip.hooked && chip.kept).length
  const keptChip = kept ? [{ name: `${kept} ${words.kept}`, gear: 'line' as const, kept: true, hooked: true, on: false }] : []
  const rest = { name: words.countLines(loose.length - on.length).toUpperCase(), gear: 'line' as const, kept: false, hooked: true, on: false }
  const whole = named(shortName).filter((chip) => !chip.hooked)
  const ways = [named(shortName), named(tinyName), [...stern, ...loose, ...keptChip], [...whole, rest, ...on, ...keptChip], [...stern, rest, ...on, ...keptChip], [...counted(stern), rest, ...on, ...keptChip]]
  const all = { ...rest, name: words.countLines(loose.length).toUpperCase() }
  return ways.find((way) => room(way) <= most) ?? [...counted(stern), all, ...keptChip]
}

/** The first way of saying it beside what the box says: the names give way, first to a count of all but what is on, then of all. Where
 * even that is too long, the end of the box's words is cut. */
function besideBox(chips: readonly Chip[], most: number): readonly Chip[] {
  const count = (name: string): Chip => ({ name, gear: 'line', kept: false, hooked: true, on: false })
  if (!chips.length) return chips
  const whole = fitting(chips, most)
  if (room(whole) <= most) return whole
  const on = chips.filter((chip) => chip.on).map((chip) => ({ ...chip, name: tinyName(chip.name) }))
  const few = [...on, count(words.moreOut(chips.length - on.length))]
  return on.length && on.length < chips.length && room(few) <= most ? few : [count(words.allOut(chips.length))]
}

/** `box`: what the box says in the moment before the gaff. It is read then or never, so it comes before the names. */
export function Strip({ state, box }: { state: ViewState; box: string }) {
  const { stands, known, chips } = stillOut(state)
  const away = state.link.state !== 'ok' && state.board.overboard.id
  const notes = away ? [{ name: linkWords(state) }] : known ? [] : [{ name: words.stillNotKnown }]
  const most = STRIP_ROOM - room(notes)
  return (
    <div class={`strip ${stands ? 'still' : ''}`} aria-live="off">
      <b>{words.stillOut}</b>
      {notes.map((note) => <i key={note.name} class="unknown">{note.name}</i>)}
      {known && chips.length === 0 && <span>{words.nothingOut}</span>}
      {(box ? besideBox(chips, most - BOX - box.length * BOX_LETTER) : fitting(chips, most)).map((chip) => <i key={chip.name} class={chip.kept ? 'kept' : ''}>{chip.name}</i>)}
      {box && <em class="box">{box}</em>}
    </div>
  )
}
