// The picture of the spread as the helm sees it, bow up: the stern edge on top with port at the left, teasers and dredges
// along it, and below it a lane for each line with its mark as far down as the bait swims astern. A glance reads the spread;
// a tap on a lane does what its state asks for. While something is asked, the tiles of the stern edge may stand for its answers.

import type { ViewState } from '../store'
import { words } from '../words'
import { type Line, fightOn, handName, lanes, parted, shortName, sternGear, strikeOn } from './board'
import { Press } from './button'
import type { Act } from './earlier'
import { useFit } from './hooks'
import { Mark, type MarkName } from './marks'
import { baitSince, isFloat, isNight } from './night'
import { age } from './time'

export const MOST_LANES = 9
/** So many have room for their gear's whole word; so many for a tile of their own, of 15 mm. */
const WIDE_STERN = 3
const MOST_STERN = 6
/** So many lanes have room for a light's whole word. */
const NARROW_LANES = 6
const LIGHT_LETTERS = 3
/** How far down the farthest bait of this spread is drawn, of the room there is. */
const DEEPEST = 0.98

export interface LaneLook {
  /** The class: what fills the lane. */
  of: string
  mark: MarkName
  word: string
  more: string
}

/** How a line looks: word, shape and fill say the same. */
export function laneLook(state: ViewState, line: Line, now: number): LaneLook {
  const { board } = state
  if (line.state === 'on') return { of: 'on', mark: 'on', word: words.line.on, more: age(now - (fightOn(board, line.id)?.since_ms ?? line.since_ms)) }
  if (line.state === 'strike') return { of: 'strike', mark: 'strike', word: isNight(board) && isFloat(line) ? words.deck.bite : words.line.strike, more: age(now - (strikeOn(board, line.id)?.at_ms ?? now)) }
  if (line.unsure) return { of: 'unsure', mark: 'not_known', word: `${words.line[line.state]}?`, more: '' }
  if (line.state === 'clearing') return { of: 'coming', mark: 'clearing', word: words.line.clearing, more: handName(board, line.taken_by) }
  if (line.kept) return { of: 'kept', mark: 'out', word: words.kept, more: age(now - line.kept_ms) }
  if (line.asked && line.state !== 'in') return { of: 'coming', mark: 'out', word: words.button.clear, more: age(now - (board.clearing.since_ms ?? now)) }
  const mark: MarkName = line.state
  const since = isNight(board) && line.state === 'out' ? baitSince(line) : line.since_ms
  const aged = line.state === 'in' ? (line.eye ? words.byEye : '') : line.check ? words.bait.due : age(now - since)
  return { of: line.state, mark, word: words.line[line.state], more: aged }
}

/** What a lane says beside its age. The age is left out: as it steps it would hold off a finger that meant the lane. */
export function laneWords(state: ViewState, line: Line, look: LaneLook): string {
  return `${line.name}: ${look.word} ${handName(state.board, line.taken_by)}`.trim()
}

/** The light of a float that is not in, by night; in three letters where the lanes are narrow. */
function lightWord(state: ViewState, line: Line, narrow: boolean): string {
  if (!isNight(state.board) || !isFloat(line) || line.state === 'in' || line.light === 'none') return ''
  return narrow ? words.bait.light[line.light].slice(0, LIGHT_LETTERS) : words.bait.light[line.light]
}

function Lane({ state, line, now, deepest, asked, narrow, act, lapsed }: {
  state: ViewState; line: Line; now: number; deepest: number; asked: boolean; narrow: boolean; act?: Act | undefined; lapsed: () => boolean
}) {
  const look = laneLook(state, line, now)
  const down = line.state === 'in' ? 0 : DEEPEST * (line.distance_m / deepest)
  const light = lightWord(state, line, narrow)
  return (
    <Press of={`lane ${look.of} ${asked ? 'asked' : ''}`} label={laneWords(state, line, look)} place={`line-${line.id}`} act={act} lapsed={lapsed}>
      <span class="aloud">{line.name}</span>
      <span class="name" aria-hidden="true">{shortName(line.name)}</span>
      <span class="water" style={{ '--down': String(down) }}>
        {line.state !== 'in' && <i class="wire" />}
        <Mark is={look.mark} />
      </span>
      <span class="word">{look.word}</span>
      {light && <span class="light">{light}</span>}
      <span class="age">{look.more}</span>
    </Press>
  )
}

/** What a tile of the stern edge says and does. */
export interface EdgeTile {
  place: string
  /** All of its words: what is read aloud, and what the guard watches. */
  label: string
  of?: string
  mark?: MarkName
  /** The first line of two, or the only one. */
  top: string
  below?: string
  act?: Act | undefined
}

/** The tiles keep their keys by their place, so that the guard holds when one comes to mean something else. */
function Tile({ is }: { is: EdgeTile }) {
  const said = useFit<HTMLSpanElement>(is.label, 3)
  return (
    <Press of={`stern-tile ${is.below === undefined ? '' : 'two'} ${is.of ?? ''}`} label={is.label} place={is.place} act={is.act}>
      <span class="aloud">{is.label}</span>
      <span class="face" aria-hidden="true">
        <span ref={said} class="fits"><span class="top">{is.mark && <Mark is={is.mark} />}<b>{is.top}</b></span>{is.below && <span class="below">{is.below}</span>}</span>
      </span>
    </Press>
  )
}

/** A name for 15 mm: its side; of several alike on one side each with its number from port. */
function sternSide(line: Line, stern: readonly Line[]): string {
  const alike = stern.filter((one) => one.gear === line.gear && one.side === line.side)
  return alike.length > 1 ? `${words.side[line.side].charAt(0)} ${alike.indexOf(line) + 1}` : words.sideShort[line.side]
}

/** The teasers and dredges: each its own tile, or all in one where there is no room for that. */
function gearTiles(state: ViewState, stern: readonly Line[], now: number, acts: SpreadActs): EdgeTile[] {
  if (stern.length > MOST_STERN) {
    const wet = stern.filter((line) => line.state !== 'in').length
    return [{ place: 'stern', label: words.say.sternTold(wet, stern.length), mark: wet ? 'out' : 'in', top: words.sternCount(wet, stern.length), act: acts.allStern }]
  }
  return stern.map((line) => {
    const look = laneLook(state, line, now)
    const tile = { place: `line-${line.id}`, label: `${line.name}: ${look.word}`, of: look.of, mark: look.mark, act: acts.line(line) }
    return stern.length <= WIDE_STERN ? { ...tile, top: words.gearShort(line.gear) } : { ...tile, top: words.helm.gearTiny[line.gear], below: sternSide(line, stern) }
  })
}

/** What an end of the stern edge does now: room for two words of six letters. */
export interface EndAct {
  label: string
  /** The label in short, where it has no room even in two lines. */
  face?: string
  /** Not filled: it tells of something that is not so now. */
  off?: boolean
  act: Act
}

export interface SpreadActs {
  line: (line: Line) => Act | undefined
  /** Whether it is one of those of which the answer is awaited: its lane is framed. */
  asked: (line: Line) => boolean
  /** What the ends of the stern edge do now, when they do something. */
  port?: EndAct | undefined
  starboard?: EndAct | undefined
  /** What stands on the tiles for the moment, in the place of the teasers and dredges. */
  edge?: readonly EdgeTile[] | undefined
  allStern?: Act | undefined
  /** Whether a menu for which a lane meant something else has just lapsed. */
  lapsed: () => boolean
  more: () => void
}

function End({ side, does, short }: { side: 'port' | 'starboard'; does?: EndAct | undefined; short: boolean }) {
  const said = useFit<HTMLSpanElement>(does?.label ?? '', 3)
  const name = short ? words.sideShort[side] : words.side[side]
  if (!does) return <div class={`end ${side}`}><span class="face">{name}</span></div>
  const face = (does.label === words.side[side] ? name : short || side === 'port' ? does.face : undefined) ?? does.label
  const { top, below } = parted(face)
  return <Press of={`end ${below ? 'two' : ''} ${does.off ? 'off' : 'strong'} ${side}`} label={does.label} place={`end-${side}`} act={does.act}>
    <span class="aloud">{does.label}</span>
    <span class="face" aria-hidden="true"><span ref={said} class="fits"><span class="top">{top}</span>{below && <span class="below">{below}</span>}</span></span>
  </Press>
}

/** By night the floats, and what else is not in, come before the lines of the day where not all have room. */
function inOrder(state: ViewState): Line[] {
  const all = lanes(state.board)
  const first = (line: Line) => isFloat(line) || line.state !== 'in'
  return all.length > MOST_LANES && isNight(state.board) ? [...all.filter(first), ...all.filter((line) => !first(line))] : all
}

export function Spread({ state, now, acts, page }: { state: ViewState; now: number; acts: SpreadActs; page: number }) {
  const all = inOrder(state)
  const stern = sternGear(state.board)
  const deepest = Math.max(1, ...all.map((line) => line.distance_m))
  const shown = all.length <= MOST_LANES ? all : all.slice(page * (MOST_LANES - 1), (page + 1) * (MOST_LANES - 1))
  const more = shown.length < all.length
  const columns = shown.length + (more ? 1 : 0)
  const tiles = acts.edge ?? gearTiles(state, stern, now, acts)
  const many = stern.length > WIDE_STERN && stern.length <= MOST_STERN
  return (
    <section class="spread" aria-label={words.board} aria-live="off">
      <div class={`stern ${many ? 'many' : ''}`} style={{ '--tiles': String(Math.max(1, tiles.length)) }}>
        <End side="port" does={acts.port} short={many} />
        {tiles.length ? tiles.map((is, slot) => <Tile key={`tile-${slot}`} is={is} />) : <div />}
        <End side="starboard" does={acts.starboard} short={many} />
      </div>
      <div class={`lanes n${columns}`}>
        {shown.map((line) => <Lane key={line.id} state={state} line={line} now={now} deepest={deepest} asked={acts.asked(line)} narrow={columns > NARROW_LANES} act={acts.line(line)} lapsed={acts.lapsed} />)}
        {more && <Press of="lane" label={words.button.more} place="lanes-more" act={acts.more}><span class="name">{words.button.more}</span></Press>}
      </div>
    </section>
  )
}
