// The picture of the spread as the helm sees it, bow up: the stern edge on top with port at the left, teasers and dredges
// along it, and below it a lane for each line with its mark as far down as the bait swims astern. A glance reads the spread;
// a tap on a lane does what its state asks for.

import type { ViewState } from '../store'
import { words } from '../words'
import { type Line, fightOn, handName, lanes, shortName, sternGear, strikeOn, strikes } from './board'
import { Press } from './button'
import { Mark, type MarkName } from './marks'
import { age } from './time'

export const MOST_LANES = 9
const MOST_STERN = 3
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
  if (line.state === 'strike') return { of: 'strike', mark: 'strike', word: words.line.strike, more: age(now - (strikeOn(board, line.id)?.at_ms ?? now)) }
  if (line.unsure) return { of: 'unsure', mark: 'not_known', word: `${words.line[line.state]}?`, more: '' }
  if (line.state === 'clearing') return { of: 'coming', mark: 'clearing', word: words.line.clearing, more: handName(board, line.taken_by) }
  if (line.kept) return { of: 'kept', mark: 'out', word: words.kept, more: age(now - line.kept_ms) }
  if (line.asked && line.state !== 'in') return { of: 'coming', mark: 'out', word: words.button.clear, more: age(now - (board.clearing.since_ms ?? now)) }
  const mark: MarkName = line.state
  const aged = line.state === 'in' ? (line.eye ? words.byEye : '') : line.check ? words.bait.due : age(now - line.since_ms)
  return { of: line.state, mark, word: words.line[line.state], more: aged }
}

/** What a lane says beside its age. The age is left out: as it steps it would hold off a finger that meant the lane. */
export function laneWords(state: ViewState, line: Line, look: LaneLook): string {
  return `${line.name}: ${look.word} ${handName(state.board, line.taken_by)}`.trim()
}

function Lane({ state, line, now, deepest, asked, act }: {
  state: ViewState; line: Line; now: number; deepest: number; asked: boolean; act?: (() => void) | undefined
}) {
  const look = laneLook(state, line, now)
  const down = line.state === 'in' ? 0 : DEEPEST * (line.distance_m / deepest)
  return (
    <Press of={`lane ${look.of} ${asked ? 'asked' : ''}`} label={laneWords(state, line, look)} place={`line-${line.id}`} act={act}>
      <span class="aloud">{line.name}</span>
      <span class="name" aria-hidden="true">{shortName(line.name)}</span>
      <span class="water" style={{ '--down': String(down) }}>
        {line.state !== 'in' && <i class="wire" />}
        <Mark is={look.mark} />
      </span>
      <span class="word">{look.word}</span>
      <span class="age">{look.more}</span>
    </Press>
  )
}

function SternTile({ line, look, act }: { line: Line; look: LaneLook; act?: (() => void) | undefined }) {
  return (
    <Press of={`stern-tile ${look.of}`} label={`${line.name}: ${look.word}`} place={`line-${line.id}`} act={act}>
      <span class="aloud">{line.name}: {look.word}</span>
      <span class="face" aria-hidden="true"><Mark is={look.mark} />{words.gearShort(line.gear)}</span>
    </Press>
  )
}

/** What an end of the stern edge does now; both together have room for 13 letters. */
export interface EndAct {
  label: string
  /** The label in short, where it is too long. */
  face?: string
  /** Not filled: it tells of something that is not so now. */
  off?: boolean
  act: () => void
}

export interface SpreadActs {
  line: (line: Line) => (() => void) | undefined
  /** What the ends of the stern edge do now, when they do something. */
  port?: EndAct | undefined
  starboard?: EndAct | undefined
  allStern?: (() => void) | undefined
  more: () => void
}

function End({ side, does }: { side: 'port' | 'starboard'; does?: EndAct | undefined }) {
  if (!does) return <div class={`end ${side}`}><span class="face">{words.side[side]}</span></div>
  return <Press of={`end ${does.off ? 'off' : 'strong'} ${side}`} label={does.label} place={`end-${side}`} act={does.act}>
    <span class="face" aria-hidden={Boolean(does.face)}>{does.face ?? does.label}</span>{does.face && <span class="aloud">{does.label}</span>}</Press>
}

export function Spread({ state, now, acts, page }: { state: ViewState; now: number; acts: SpreadActs; page: number }) {
  const all = lanes(state.board)
  const stern = sternGear(state.board)
  const deepest = Math.max(1, ...all.map((line) => line.distance_m))
  const shown = all.length <= MOST_LANES ? all : all.slice(page * (MOST_LANES - 1), (page + 1) * (MOST_LANES - 1))
  const asked = strikes(state.board).some((strike) => !strike.line)
  const wet = stern.filter((line) => line.state !== 'in').length
  return (
    <section class="spread" aria-label={words.board} aria-live="off">
      <div class="stern">
        <End side="port" does={acts.port} />
        {stern.length <= MOST_STERN
          ? stern.map((line) => <SternTile key={line.id} line={line} look={laneLook(state, line, now)} act={acts.line(line)} />)
          : <Press of="stern-tile" label={words.say.sternTold(wet, stern.length)} place="stern" act={acts.allStern}>
              <span class="face"><Mark is={wet ? 'out' : 'in'} />{words.sternCount(wet, stern.length)}</span>
            </Press>}
        <End side="starboard" does={acts.starboard} />
      </div>
      <div class={`lanes n${shown.length + (shown.length < all.length ? 1 : 0)}`}>
        {shown.map((line) => <Lane key={line.id} state={state} line={line} now={now} deepest={deepest} asked={asked} act={acts.line(line)} />)}
        {shown.length < all.length && <Press of="lane" label={words.button.more} place="lanes-more" act={acts.more}><span class="name">{words.button.more}</span></Press>}
      </div>
    </section>
  )
}
