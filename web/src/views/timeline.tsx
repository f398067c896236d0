// The timeline: a row for each place of the spread, a bar while it was out, hatched while it was not known, a square where a
// fish was on, a triangle at each bait that a fish came up behind, a thick line while a hand had the leader. The chosen entry is a line through all rows.

import type { LineState } from 'proto'
import type { BoardView } from '../store'
import { allLines } from '../ui/board'
import { clock, stopwatch } from '../ui/time'
import { words } from '../words'
import { fish, leaders, raised, segments, ticks } from './debrief_log'

const WIDTH = 1400
const LEFT = 230
const ROW = 24
const AXIS = 40
const SQUARE = 14
/** A tick so near the right edge has its words to its left. */
const EDGE = 50

const LOOKS: Partial<Record<LineState, string>> = { out: 'out', strike: 'out', setting: 'out', clearing: 'out', on: 'on', fouled: 'unsure', not_known: 'unsure' }

export function Timeline({ boards, ends_ms, from_ms, to_ms, at_ms, offset_ms }: {
  boards: readonly BoardView[]; ends_ms: readonly number[]; from_ms: number; to_ms: number; at_ms: number | null; offset_ms: number
}) {
  const lines = boards.length ? allLines(boards[boards.length - 1] as BoardView) : []
  const span = Math.max(1, to_ms - from_ms)
  const x = (ms: number) => LEFT + ((WIDTH - LEFT - 10) * Math.min(Math.max(ms - from_ms, 0), span)) / span
  const y = (line: number) => lines.findIndex((one) => one.id === line) * ROW
  /** A raise that named no bait stands on the axis. */
  const top = (line: number) => (line ? y(line) : lines.length * ROW) + (ROW - SQUARE) / 2
  const height = lines.length * ROW + AXIS
  const parts = segments(boards, to_ms).filter((part) => LOOKS[part.state])
  const axis = ticks(from_ms, to_ms, offset_ms)
  const label = (ms: number) => clock(ms, offset_ms, axis.seconds) || (axis.seconds ? stopwatch(ms - from_ms) : `${Math.round((ms - from_ms) / 60000)} min`)
  return (
    <>
    <svg class="timeline" viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={words.debrief.timeline}>
      <defs>
        <pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch" d="M0 0V6" /></pattern>
      </defs>
      {lines.map((line) => (
        <g key={line.id}>
          <text x={LEFT - 12} y={y(line.id) + 18} text-anchor="end">{line.name}</text>
          <path class="ground" d={`M${LEFT} ${y(line.id) + ROW / 2}H${WIDTH - 10}`} />
        </g>
      ))}
      {parts.map((part) => (
        <rect key={`${part.line} ${part.from_ms} ${part.state}`} class={`bar ${part.unsure ? 'unsure' : LOOKS[part.state]}`} x={x(part.from_ms)} y={y(part.line) + 5}
          width={Math.max(1, x(part.to_ms) - x(part.from_ms))} height={ROW - 10} />
      ))}
      {leaders(boards, ends_ms, to_ms).map((one) => <path key={one.key} class="leader" d={`M${x(one.from_ms)} ${y(one.line) + ROW - 3}H${Math.max(x(one.to_ms), x(one.from_ms) + 4)}`} />)}
      {raised(boards).map((one) => <path key={one.key} class="raise" d={`M${x(one.at_ms)} ${top(one.line)}l${SQUARE / 2} ${SQUARE}h${-SQUARE}z`} />)}
      {fish(boards).map((one) => <rect key={one.id} class="fish" x={x(one.at_ms) - SQUARE / 2} y={y(one.line) + (ROW - SQUARE) / 2} width={SQUARE} height={SQUARE} />)}
      {axis.at_ms.map((ms) => (
        <g key={ms}><path class="tick" d={`M${x(ms)} ${height - AXIS}v8`} /><text x={x(ms)} y={height - 12} text-anchor={x(ms) > WIDTH - EDGE ? 'end' : 'middle'}>{label(ms)}</text></g>
      ))}
      {at_ms !== null && <path class="chosen" d={`M${x(at_ms)} 0V${height - AXIS + 8}`} />}
    </svg>
    <p class="legend">{[words.debrief.bar, words.debrief.unknown, words.debrief.fish, words.debrief.raise, words.debrief.leader].join(' · ')}</p>
    </>
  )
}
