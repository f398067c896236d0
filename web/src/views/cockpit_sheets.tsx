// The tiles of the cockpit's pages: the spread in small, and whatever takes its place for a moment. One grid, two rows; what
// does not fit comes after MORE.

import type { ViewState } from '../store'
import { type Line, lanes, mayBeStruck, shortName, sternGear, unnamedStrike } from '../ui/board'
import { type Held, Press } from '../ui/button'
import type { Act } from '../ui/earlier'
import { useShort } from '../ui/hooks'
import { laneLook, laneWords } from '../ui/lanes'
import { Mark, type MarkName } from '../ui/marks'
import { baitSince, isFloat, isNight } from '../ui/night'
import { age } from '../ui/time'
import { words } from '../words'

export interface Tile {
  key: string
  label: string
  name: string
  mark?: MarkName
  /** Words in the mark's place: a float's light and the age of its bait. */
  told?: string[]
  of?: string
  act?: Act | undefined
  held?: Held | undefined
  float?: boolean
  /** It begins a page of its own, with the others that are so. */
  later?: boolean
}

/** The tiles page by page: all on one where they fit, else with a place left for MORE. */
function paged(tiles: readonly Tile[], room: number): (readonly Tile[])[] {
  const groups = [tiles.filter((tile) => !tile.later), tiles.filter((tile) => tile.later)].filter((group) => group.length)
  const [first] = groups
  if (groups.length < 2 && tiles.length <= room) return [first ?? []]
  return groups.flatMap((group) => Array.from({ length: Math.ceil(group.length / (room - 1)) }, (_, n) => group.slice(n * (room - 1), (n + 1) * (room - 1))))
}

/** Two rows of so many columns, one on a short glass; what is over comes page by page. */
export function Tiles({ tiles, columns, page, turn, lapsed }: { tiles: readonly Tile[]; columns: 2 | 3 | 4; page: number; turn: () => void; lapsed?: () => boolean }) {
  const room = columns * (useShort() ? 1 : 2)
  const sheets = paged(tiles, room)
  const shown = sheets[page % sheets.length] ?? []
  return (
    <section class={`tiles c${columns}`} aria-live="off">
      {shown.map((tile) => (
        <Press key={tile.key} of={`tile ${tile.of ?? ''}`} label={tile.label} place={tile.key} act={tile.act} held={tile.held} lapsed={lapsed} fit={2}>
          {tile.label !== tile.name && <span class="aloud">{tile.label}</span>}
          <span class="name" aria-hidden={tile.label !== tile.name}>{tile.name}</span>{tile.told ? tile.told.map((word) => <span key={word} class="told">{word}</span>) : tile.mark && <Mark is={tile.mark} />}
        </Press>
      ))}
      {sheets.length > 1 && <Press of="tile" label={words.button.more} place="tiles-more" act={turn}><span class="name">{words.button.more}</span></Press>}
    </section>
  )
}

/** A bait in the dark: its light, by which the crew calls it, and how long ago it was looked at. */
function baitTold(line: Line, now: number): string[] {
  return [...(line.light === 'none' ? [] : [words.bait.light[line.light]]), age(now - baitSince(line))]
}

/** The spread as its reader sees it: facing aft the picture is turned, starboard first, never mirrored. */
export function spreadTiles(state: ViewState, now: number, facingAft: boolean, does: (line: Line) => Pick<Tile, 'act' | 'held'>, stern: Act | undefined): Tile[] {
  const across = facingAft ? lanes(state.board).reverse() : lanes(state.board)
  // By night the floats are what is fished: they come first, as far as there is room.
  const lines = isNight(state.board) ? [...across.filter(isFloat), ...across.filter((line) => !isFloat(line))] : across
  const which = unnamedStrike(state.board) !== undefined
  const tiles = lines.map((line): Tile => {
    const look = laneLook(state, line, now)
    const told = look.of === 'out' && isNight(state.board) ? baitTold(line, now) : null
    return { key: `line-${line.id}`, label: laneWords(state, line, look), name: shortName(line.name), mark: look.mark, ...(told ? { told } : {}), of: which && mayBeStruck(line) ? `${look.of} asked` : look.of, float: isFloat(line), ...does(line) }
  })
  const gear = sternGear(state.board)
  if (!gear.length) return tiles
  const wet = gear.filter((line) => line.state !== 'in')
  const coming = wet.some((line) => line.asked)
  return [...tiles, {
    key: 'stern', label: words.say.sternTold(wet.length, gear.length), name: `${words.sternTile} ${wet.length}/${gear.length}`, mark: wet.length ? 'out' : 'in',
    of: coming ? 'coming' : wet.length ? 'out' : 'in', act: stern,
  }]
}
