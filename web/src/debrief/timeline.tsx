// The timeline: a row for each place of the spread, a bar while it was out, marks for what happened there, a row for calls and one for
// all else. Late entries have dashes to when they were entered, corrected ones a pencil, moot ones a hollow mark; times of which
// less is known are hatched. With a moment, only what was there then is drawn.

import type { LineState } from 'proto'
import { type MarkName, SHAPES } from '../ui/marks'
import { said } from '../words_debrief'
import type { Debrief, Event, Position } from './numbers'
import { type When, at } from './say'
import { ticks } from './scale'

const WIDTH = 1400
const LEFT = 230
const RIGHT = 10
const ROW = 24
const TALL = 28
const AXIS = 40
const MARK = 20
/** Marks of one row nearer than this are drawn as one: the rest are found by zooming in, or in the log. */
const NEAR = 5
const EDGE = 50

const LOOKS: Partial<Record<LineState, string>> = { out: 'out', strike: 'out', setting: 'out', clearing: 'coming', on: 'on', fouled: 'unsure', not_known: 'unsure' }

/** What is drawn of an event: its mark, and how much it matters where marks lie over each other. Others are in the log alone. */
const MARKS: Record<string, { mark: MarkName; weight: number; row?: 'calls' | 'others' }> = {
  overboard: { mark: 'overboard', weight: 9, row: 'others' }, hurt: { mark: 'warning', weight: 9, row: 'others' }, stop: { mark: 'off', weight: 8, row: 'others' },
  overboard_ended: { mark: 'done', weight: 7, row: 'others' }, near_miss: { mark: 'warning', weight: 6, row: 'others' }, stamped: { mark: 'open', weight: 4, row: 'others' },
  noted: { mark: 'sent', weight: 3, row: 'others' }, astern: { mark: 'warning', weight: 5, row: 'others' }, gear_fault: { mark: 'warning', weight: 4, row: 'others' },
  run: { mark: 'gone', weight: 5, row: 'others' }, call: { mark: 'called', weight: 4, row: 'calls' }, clear_called: { mark: 'clearing', weight: 6, row: 'calls' },
  call_unheard: { mark: 'not_heard', weight: 5, row: 'calls' }, strike: { mark: 'strike', weight: 6 }, raised: { mark: 'warning', weight: 4 }, raise_touched: { mark: 'warning', weight: 3 },
}

const POSITION_ORDER = { port: 0, centre: 1, starboard: 2 }
const isStern = (one: Position) => one.gear === 'teaser' || one.gear === 'dredge'

/** The places of a trip, across the stern from port; teasers and dredges last. */
export function rowsOf(debrief: Debrief, trip: number): Position[] {
  return debrief.positions.filter((one) => one.trip === trip)
    .sort((a, b) => Number(isStern(a)) - Number(isStern(b)) || POSITION_ORDER[a.side] - POSITION_ORDER[b.side] || a.id - b.id)
}

export interface TimelineProps {
  debrief: Debrief
  /** Its index in the debrief. */
  trip: number
  when: When
  from_ms: number
  to_ms: number
  /** The moment of the replay; null: none, as on paper. */
  now_ms: number | null
  /** Only what was there at the moment. */
  then: boolean
  /** When each corrected entry was corrected. */
  corrected: ReadonlyMap<number, number>
  chosen: number
  choose?: (seq: number) => void
  /** Apart from other timelines of the same page. */
  name: string
}

interface Drawn {
  event: Event
  mark: MarkName
  weight: number
  x: number
  row: number
}

/** Of marks that would lie over each other, the one that matters most. */
function thinned(marks: Drawn[], chosen: number): Drawn[] {
  const kept: Drawn[] = []
  const last = new Map<number, Drawn>()
  for (const mark of marks.sort((a, b) => a.x - b.x)) {
    const before = last.get(mark.row)
    if (before && mark.x - before.x < NEAR && mark.event.seq !== chosen) {
      if (before.weight >= mark.weight || before.event.seq === chosen) continue
      kept.splice(kept.indexOf(before), 1)
    }
    kept.push(mark)
    last.set(mark.row, mark)
  }
  return kept
}

export function Timeline(props: TimelineProps) {
  const { debrief, trip, when, from_ms, to_ms, now_ms, then, corrected, chosen, choose, name } = props
  const lines = rowsOf(debrief, trip)
  const index = new Map(lines.map((line, i) => [line.id, i]))
  const limit = then && now_ms !== null ? now_ms : Infinity
  const span = Math.max(1, to_ms - from_ms)
  const x = (ms: number) => LEFT + ((WIDTH - LEFT - RIGHT) * Math.min(Math.max(ms - from_ms, 0), span)) / span
  const within = (a: number, b: number) => b >= from_ms && a <= to_ms && a <= limit
  const height = lines.length * ROW + 2 * TALL + AXIS
  const middle = (row: number) => (row < lines.length ? row * ROW + ROW / 2 : lines.length * ROW + (row - lines.length) * TALL + TALL / 2)
  const rowOf = (event: Event) => {
    const kind = MARKS[event.kind]
    if (kind?.row) return lines.length + (kind.row === 'calls' ? 0 : 1)
    return index.get(event.line) ?? lines.length + 1
  }
  const fights = debrief.fights.flatMap(({ on_ms, ...one }) => (one.trip === trip && on_ms !== undefined && within(on_ms, one.ended_ms ?? to_ms) ? [{ ...one, on_ms }] : []))
  const events = debrief.events.filter((event) => event.trip === trip && MARKS[event.kind] && within(event.at_ms, event.at_ms) && event.got_ms <= limit)
  const marks = thinned(events.map((event) => ({ event, ...(MARKS[event.kind] as { mark: MarkName; weight: number }), x: x(event.at_ms), row: rowOf(event) })), chosen)
  const axis = ticks(from_ms, to_ms, when.offset_ms)
  const label = (ms: number) => at(when, ms, axis.seconds)
  const chosenEvent = debrief.events.find((event) => event.seq === chosen)
  return (
    <svg class="timeline" viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={said.timeline}>
      <defs>
        <pattern id={`hatch-${name}`} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch" d="M0 0V6" /></pattern>
        <pattern id={`gap-${name}`} width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><path class="gaphatch" d="M0 0V9" /></pattern>
        <pattern id={`coming-${name}`} width="8" height="8" patternUnits="userSpaceOnUse"><path class="hatch" d="M0 0V8" /></pattern>
      </defs>
      {debrief.gaps.filter((gap) => gap.trip === trip && within(gap.from_ms, gap.to_ms)).map((gap) => (
        <rect key={`${gap.of}${gap.page ?? ''}${gap.from_ms}`} class="gap" fill={`url(#gap-${name})`} x={x(gap.from_ms)} y={gap.of === 'page' || gap.of === 'helm' ? lines.length * ROW : 0}
          width={Math.max(2, x(Math.min(gap.to_ms, limit)) - x(gap.from_ms))} height={gap.of === 'page' || gap.of === 'helm' ? TALL * 2 : height - AXIS}><title>{said.gap[gap.of]}</title></rect>
      ))}
      {lines.map((line, i) => (
        <g key={line.id}><text x={LEFT - 12} y={middle(i) + 6} text-anchor="end">{line.label}</text><path class="ground" d={`M${LEFT} ${middle(i)}H${WIDTH - RIGHT}`} /></g>
      ))}
      {[said.calls, said.others].map((text, i) => <text key={text} x={LEFT - 12} y={middle(lines.length + i) + 6} text-anchor="end">{text}</text>)}
      {debrief.lanes.filter((part) => part.trip === trip && LOOKS[part.state] && index.has(part.line) && within(part.from_ms, part.to_ms)).map((part) => {
        const look = part.unsure ? 'unsure' : (LOOKS[part.state] as string)
        const fill = look === 'unsure' ? `url(#hatch-${name})` : look === 'coming' ? `url(#coming-${name})` : undefined
        return <rect key={`${part.line} ${part.from_ms} ${part.state}`} class={`bar ${look}`} fill={fill} x={x(part.from_ms)} y={middle(index.get(part.line) as number) - 7} width={Math.max(1, x(Math.min(part.to_ms, limit)) - x(part.from_ms))} height={14} />
      })}
      {fights.filter((one) => one.leader_ms && one.leader_ms <= limit && index.has(one.line)).map((one) => {
        const row = middle(index.get(one.line) as number) + 9
        const d = `M${x(one.leader_ms as number)} ${row}H${Math.max(x((one.leader_ms as number) + one.leader_total_ms), x(one.leader_ms as number) + 4)}`
        return <g key={one.seq}><path class="leader under" d={d} /><path class="leader" d={d} /></g>
      })}
      {fights.filter((one) => index.has(one.line)).flatMap((one) => {
        const row = middle(index.get(one.line) as number)
        const ended = one.ended_ms !== undefined && one.ended_ms <= limit && one.ended_ms >= from_ms && one.ended_ms <= to_ms
        return [
          one.on_ms >= from_ms && <Apart key={`on${one.seq}`} is="on" x={x(one.on_ms)} y={row} of="fish" />,
          ended && <Apart key={`end${one.seq}`} is={one.end === 'boated' ? 'boated' : one.end === 'released' ? 'released' : one.end === 'not_known' ? 'not_known' : 'fish_off'} x={x(one.ended_ms as number)} y={row} of="end" />,
        ]
      })}
      {marks.map(({ event, mark, x: left, row }) => {
        const mended = event.standing === 'corrected' && (corrected.get(event.seq) ?? 0) <= limit
        const note = [said.standing[event.standing === 'corrected' && !mended ? 'plain' : event.standing], mended && event.was ? said.was(event.was) : ''].filter(Boolean).join(', ')
        return (
          <g key={event.seq} class={`event ${event.standing} ${event.seq === chosen ? 'is-chosen' : ''}`} data-seq={event.seq} onClick={choose && (() => choose(event.seq))}>
            <title>{`${at(when, event.at_ms)} ${event.words}${note && `: ${note}`}`}</title>
            {event.standing === 'late' && <path class="latedash" d={`M${left} ${middle(row)}H${x(event.got_ms)}`} />}
            <Apart is={mark} x={left} y={middle(row)} of="" size={18} />
            {mended && <path class="pencil" d={`M${left + 5} ${middle(row) - 4}l7 -7 3 3 -7 7 -4 1z`} />}
          </g>
        )
      })}
      {axis.at_ms.map((ms) => (
        <g key={ms}><path class="tick" d={`M${x(ms)} ${height - AXIS}v8`} /><text x={x(ms)} y={height - 12} text-anchor={x(ms) > WIDTH - EDGE ? 'end' : 'middle'}>{label(ms)}</text></g>
      ))}
      {chosenEvent && chosenEvent.at_ms >= from_ms && chosenEvent.at_ms <= to_ms && <path class="mark-line" d={`M${x(chosenEvent.at_ms)} 0V${height - AXIS}`} />}
      {now_ms !== null && now_ms >= from_ms && now_ms <= to_ms && <path class="chosen" d={`M${x(now_ms)} 0V${height - AXIS + 8}`} />}
    </svg>
  )
}

interface GlyphProps {
  is: MarkName
  x: number
  y: number
  of: string
  size?: number
}

/** On a ground of its own: at night bars and marks have the same red. */
function Apart(props: GlyphProps) {
  const { x, y, size = MARK } = props
  return <><rect class="under" x={x - size / 2 - 2} y={y - size / 2 - 2} width={size + 4} height={size + 4} /><Glyph {...props} /></>
}

export function Glyph({ is, x, y, of, size = MARK }: GlyphProps) {
  return <svg class={`glyph ${of}`} x={x - size / 2} y={y - size / 2} width={size} height={size} viewBox="0 0 24 24">{SHAPES[is]}</svg>
}

export function Legend() {
  return <p class="legend">{Object.values(said.legend).join(' · ')}</p>
}
