// The plots: dots with intervals and the counts beside them. No ranking of people, no score; a rate is never shown for fewer than five
// events, and a place that was tried without a bite is data.

import { useState } from 'preact/hooks'
import { said } from '../words_debrief'
import { words } from '../words'
import type { Call, Debrief, EffortGroup, Fight } from './numbers'
import { Choices, Figure, type Option, type Row } from './figure'
import { at, date, labelOf, lasted, lineHours, number, seconds, whenOf } from './say'
import { steps } from './scale'
import { Glyph } from './timeline'

export interface PlotProps {
  debrief: Debrief
  chosen: number
  /** Not there on paper. */
  choose?: (seq: number) => void
}

const WIDTH = 660
const LABEL = 215
/** Where a plot ends that has words at the right of its rows. */
const WORDS = 470
const ROW = 28
/** A row with two lines of words. */
const TALL = 48
const AXIS = 34
/** A time scale ends here: what is longer is told in words at its end. */
const MOST_S = 120

interface Axis {
  x: (value: number) => number
  marks: number[]
}

function axisOf(most: number, left: number, right: number): Axis {
  const top = most > 0 ? most : 1
  return { x: (value) => left + ((right - left) * Math.min(value, top)) / top, marks: steps(top) }
}

function Grid({ axis, height, unit }: { axis: Axis; height: number; unit: string }) {
  return (
    <>
      {axis.marks.map((mark) => <g key={mark}><path class="grid" d={`M${axis.x(mark)} 0V${height - AXIS}`} /><text x={axis.x(mark)} y={height - 12} text-anchor="middle">{number(mark)}</text></g>)}
      <text class="unit" x={LABEL - 10} y={height - 12} text-anchor="end">{unit}</text>
    </>
  )
}

const Empty = ({ say }: { say: string }) => <p class="nothing">{say}</p>

const whenIn = (debrief: Debrief, trip: number) => whenOf(debrief.trips[trip])
const time = (debrief: Debrief, trip: number, ms: number) => `${debrief.trips.length > 1 ? `${debrief.trips[trip]?.no}: ` : ''}${at(whenIn(debrief, trip), ms)}`
const callName = (debrief: Debrief, call: Call) => `${time(debrief, call.trip, call.called_ms)} ${words.call[call.what]}`

export function Calls({ debrief, chosen, choose }: PlotProps) {
  const { calls } = debrief
  const took = (ms: number | undefined, call: Call) => (ms === undefined ? undefined : Math.max(0, ms - call.called_ms) / 1000)
  const longest = Math.max(5, ...calls.flatMap((call) => [took(call.got_ms, call) ?? 0, took(call.done_ms, call) ?? 0]))
  const axis = axisOf(Math.min(MOST_S, longest), LABEL + 40, WIDTH - 60)
  const height = calls.length * ROW + AXIS
  const options: Option[] = calls.map((call, i) => {
    const y = i * ROW + ROW / 2
    const [got, done] = [took(call.got_ms, call), took(call.done_ms, call)]
    const last = Math.max(got ?? 0, done ?? 0)
    const told = [callName(debrief, call), words.callState[call.end], got === undefined ? '' : `${said.head.got} ${number(got)} s`, done === undefined ? '' : `${said.head.done} ${number(done)} s`, call.voice ? said.voice : ''].filter(Boolean).join(', ')
    return {
      seq: call.seq, words: told, draw: (
        <>
          <rect class="hit" x="0" y={y - ROW / 2} width={WIDTH} height={ROW} />
          <text x={LABEL + 12} y={y + 6} text-anchor="end">{callName(debrief, call)}</text>
          <path class="thin" d={`M${axis.x(0)} ${y}H${axis.x(last)}`} />
          <Glyph is={call.end === 'not_heard' ? 'not_heard' : call.end === 'off' ? 'off' : 'called'} x={axis.x(0)} y={y} of="" size={18} />
          {got !== undefined && <Glyph is="got" x={axis.x(got)} y={y} of="" size={18} />}
          {done !== undefined && <Glyph is="done" x={axis.x(done) + (got === done ? 6 : 0)} y={y} of="" size={18} />}
          {last > MOST_S && <text x={WIDTH} y={y + 6} text-anchor="end">{said.beyond(number(last))}</text>}
        </>
      ),
    }
  })
  const rows: Row[] = calls.map((call) => ({
    seq: call.seq, cells: [callName(debrief, call), words.station[call.to], ...[call.shown_ms, call.got_ms, call.done_ms].map((ms) => (ms === undefined ? '' : `${seconds(ms - call.called_ms)} s`)),
       `${words.callState[call.end]}${call.voice ? `, ${said.voice}` : ''}`],
  }))
  return (
    <Figure title={said.plots.calls} id="calls" heads={[said.head.called, said.head.to, said.head.shown, said.head.got, said.head.done, said.head.end]} rows={rows} chosen={chosen} choose={choose ?? (() => undefined)}>
      {calls.length ? <div class="scroll"><Choices id="o-calls" label={said.plots.calls} width={WIDTH} height={height} options={options} chosen={chosen} choose={choose}><Grid axis={axis} height={height} unit={said.seconds} /></Choices></div> : <Empty say={said.noCalls} />}
    </Figure>
  )
}

const EFFORT_BY: readonly EffortGroup['by'][] = ['position', 'bait', 'side', 'phase', 'hour', 'day', 'light']

export const effortName = (group: EffortGroup) => group.key || said.noEffort

const rateWords = (group: EffortGroup) => {
  if (group.rate) return said.rate(number(group.rate.per_10h), number(group.rate.most.lo), number(group.rate.most.hi))
  if (group.few === 'none') return group.at_most_per_10h === undefined ? '' : said.atMost(number(group.at_most_per_10h))
  return said.noRate
}

/** The right end of the scale: all of the intervals, as long as one does not dwarf the others. */
function mostOf(groups: readonly EffortGroup[]): number {
  const rates = groups.flatMap((group) => (group.rate ? [group.rate.most.hi] : []))
  const none = groups.flatMap((group) => (group.at_most_per_10h === undefined ? [] : [group.at_most_per_10h]))
  const high = Math.max(0, ...rates)
  return Math.max(high, Math.min(Math.max(1, ...none), high ? high * 1.5 : Infinity)) || 1
}

export function Effort({ debrief, chosen, choose, by: fixed }: PlotProps & { by?: EffortGroup['by'] }) {
  const [picked, setPicked] = useState<EffortGroup['by']>('position')
  const by = fixed ?? picked
  const groups = debrief.effort.filter((group) => group.by === by)
  const axis = axisOf(mostOf(groups), LABEL + 20, WORDS - 10)
  const tall = groups.some((group) => group.few === 'few') ? TALL + 18 : TALL
  const height = groups.length * tall + AXIS
  const draw = (group: EffortGroup, i: number) => {
    const y = i * tall + TALL / 2
    return (
      <g key={group.key}>
        <text x={LABEL} y={y + 6} text-anchor="end">{effortName(group)}</text>
        {group.rate && <>
          <path class="thin" d={`M${axis.x(group.rate.most.lo)} ${y}H${axis.x(group.rate.most.hi)}`} />
          <path class="thick" d={`M${axis.x(group.rate.half.lo)} ${y}H${axis.x(group.rate.half.hi)}`} />
          <circle class="dot" cx={axis.x(group.rate.per_10h)} cy={y} r="7" />
        </>}
        {group.few === 'dots' && Array.from({ length: group.bites }, (_, n) => <rect key={n} class="event-dot" x={LABEL + 20 + n * 18} y={y - 6} width="12" height="12" />)}
        {group.few === 'none' && group.at_most_per_10h !== undefined && <>
          <path class="none" d={`M${axis.x(0)} ${y}H${axis.x(group.at_most_per_10h)}`} /><circle class="ring" cx={axis.x(0)} cy={y} r="6" />
        </>}
        <text x={WORDS} y={y - 4}>{said.perhour(group.bites, lineHours(group.line_ms))}</text>
        <text x={WORDS} y={y + 17} class="few">{rateWords(group)}</text>
        {group.few === 'few' && <text x={WORDS} y={y + 38}>{said.fewEvents}</text>}
      </g>
    )
  }
  const compared = debrief.compared.filter((pair) => pair.by === by)
  const differ = compared.filter((pair) => !pair.could_be_same)
  const same = compared.filter((pair) => pair.could_be_same)
  const note = (
    <>
      {compared.length > 0 && same.length === compared.length && <p>{compared.length > 1 ? said.sameAll : `${said.same}: ${same[0]?.a}, ${same[0]?.b}.`}</p>}
      {differ.map((pair) => <p key={pair.a + pair.b}>{said.differ(pair.a, pair.b, number(pair.most.lo), number(pair.most.hi))}</p>)}
      {differ.length > 0 && same.length > 0 && <p>{said.same}: {same.map((pair) => `${pair.a}, ${pair.b}`).join('; ')}.</p>}
      {groups.length > 1 && compared.length === 0 && <p>{said.notCompared}</p>}
    </>
  )
  const rows: Row[] = groups.map((group) => ({
    seq: 0, cells: [effortName(group), group.bites, lineHours(group.line_ms), rateWords(group), group.rate ? `${number(group.rate.half.lo)} - ${number(group.rate.half.hi)}` : '', group.few === 'few' ? said.fewEvents : '',
      group.raises, group.hooked, group.caught, group.not_known_ms ? lineHours(group.not_known_ms) : ''],
  }))
  return (
    <Figure title={`${said.plots.effort}, ${said.by10}`} id="effort" note={note} rows={rows} chosen={chosen} choose={choose ?? (() => undefined)}
      heads={[said.effortBy[by], said.head.bites, said.head.hours, said.head.rate, said.head.half, said.head.note, said.head.raises, said.head.hooked, said.head.caught, said.head.notKnown]}>
      {!fixed && <div class="by" role="group" aria-label={said.head.of}>{EFFORT_BY.filter((one) => debrief.effort.some((group) => group.by === one)).map((one) => (
        <button key={one} type="button" class="pick" aria-pressed={one === by} data-place={`by-${one}`} onClick={() => setPicked(one)}>{said.effortBy[one]}</button>
      ))}</div>}
      {groups.length
        ? <div class="scroll" tabIndex={0} role="group" aria-label={said.plots.effort}><svg class="plot" width={WIDTH} height={height} viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={`${said.plots.effort}: ${groups.map((group) => `${effortName(group)} ${said.perhour(group.bites, lineHours(group.line_ms))} ${rateWords(group)}`).join('; ')}`}><Grid axis={axis} height={height} unit="" />{groups.map(draw)}</svg></div>
        : <Empty say={said.noBites} />}
    </Figure>
  )
}

const COLUMNS = ['boated', 'released', 'off', 'not_known', 'open'] as const
const columnOf = (fight: Fight): (typeof COLUMNS)[number] => (['pulled', 'broke_off', 'bitten_off'].includes(fight.end) ? 'off' : (fight.end as 'boated' | 'released' | 'not_known' | 'open'))
const HIGH = 8

export function FishEnds({ debrief, chosen, choose }: PlotProps) {
  const { fights } = debrief
  const columns = COLUMNS.filter((column) => column !== 'open' || fights.some((fight) => columnOf(fight) === column))
  const wide = WIDTH / columns.length
  const stacked = columns.map((column) => fights.filter((fight) => columnOf(fight) === column))
  const tallest = Math.max(1, ...stacked.map((fish) => Math.min(HIGH, fish.length)))
  const height = tallest * 24 + AXIS + 26
  const told = (fight: Fight) => [fight.on_ms === undefined ? '' : time(debrief, fight.trip, fight.on_ms), labelOf(debrief, fight.trip, fight.line), words.fightEnd[fight.end], fight.ended_ms === undefined || fight.on_ms === undefined ? '' : lasted(fight.ended_ms - fight.on_ms)]
  const options: Option[] = stacked.flatMap((fish, c) => fish.map((fight, i) => {
    const per = Math.max(1, Math.ceil(fish.length / HIGH))
    const gap = Math.min(24, (wide - 20) / per)
    return {
      seq: fight.seq, words: told(fight).filter(Boolean).join(', '),
      draw: <circle class="dot" cx={c * wide + wide / 2 + ((i % per) - (per - 1) / 2) * gap} cy={height - AXIS - 14 - Math.floor(i / per) * 24} r={Math.min(9, gap / 2 - 1)} />,
    }
  }))
  return (
    <Figure title={said.plots.fish} id="fish" heads={[said.head.when, said.head.line, said.head.end, said.time.fight ?? '']} rows={fights.map((fight) => ({ seq: fight.seq, cells: told(fight) }))} chosen={chosen} choose={choose ?? (() => undefined)}>
      {fights.length ? (
        <Choices id="o-fish" label={said.plots.fish} width={WIDTH} height={height} options={options} chosen={chosen} choose={choose}>
          {columns.map((column, c) => (
            <g key={column}><path class="ground" d={`M${c * wide + 10} ${height - AXIS}H${(c + 1) * wide - 10}`} /><text x={c * wide + wide / 2} y={height - 12} text-anchor="middle">{said.ended[column]}</text>
              <text x={c * wide + wide / 2} y="18" text-anchor="middle">{stacked[c]?.length}</text></g>
          ))}
        </Choices>
      ) : <Empty say={said.noFish} />}
    </Figure>
  )
}

export function Checks({ debrief, chosen, choose }: PlotProps) {
  const { checks } = debrief
  const took = (ms: number | undefined, from: number) => (ms === undefined ? undefined : (ms - from) / 1000)
  const axis = axisOf(Math.max(30, ...checks.map((check) => took(check.ended_ms, check.opened_ms) ?? 0)), LABEL + 20, WORDS - 20)
  const height = checks.length * TALL + AXIS
  const name = (one: Debrief['checks'][number]) => `${time(debrief, one.trip, one.opened_ms)} ${one.name}`
  const note = (one: Debrief['checks'][number]) => [said.items(one.open, one.items), one.faster_than_reading ? said.fast : ''].filter(Boolean).join(', ')
  const options: Option[] = checks.map((check, i) => {
    const y = i * TALL + TALL / 2
    const s = took(check.ended_ms, check.opened_ms)
    return {
      seq: check.seq, words: [name(check), s === undefined ? '' : `${number(s)} s`, note(check)].filter(Boolean).join(', '), draw: (
        <>
          <rect class="hit" x="0" y={y - TALL / 2} width={WIDTH} height={TALL} />
          {s !== undefined && <><path class="thin" d={`M${axis.x(0)} ${y}H${axis.x(s)}`} /><circle class={check.open ? 'ring' : 'dot'} cx={axis.x(s)} cy={y} r="7" /></>}
        </>
      ),
    }
  })
  return (
    <Figure title={said.plots.checks} id="checks" heads={[said.head.name, said.head.time, said.head.open, said.head.note]} chosen={chosen} choose={choose ?? (() => undefined)}
      rows={checks.map((check) => ({ seq: check.seq, cells: [name(check), lasted(check.ended_ms === undefined ? undefined : check.ended_ms - check.opened_ms), `${check.open} / ${check.items}`, check.faster_than_reading ? said.fast : ''] }))}>
      {checks.length ? <div class="scroll"><Choices id="o-checks" label={said.plots.checks} width={WIDTH} height={height} options={options} chosen={chosen} choose={choose}>
        <Grid axis={axis} height={height} unit={said.seconds} />
        {checks.map((check, i) => (
          <g key={check.seq}>
            <text x={LABEL} y={i * TALL + TALL / 2 - 4} text-anchor="end">{time(debrief, check.trip, check.opened_ms)}</text><text x={LABEL} y={i * TALL + TALL / 2 + 17} text-anchor="end">{check.name}</text>
            <text x={WORDS} y={i * TALL + TALL / 2 - 4}>{said.items(check.open, check.items)}</text>{check.faster_than_reading && <text x={WORDS} y={i * TALL + TALL / 2 + 17}>{said.fast}</text>}
          </g>
        ))}
      </Choices></div> : <Empty say={said.noChecks} />}
    </Figure>
  )
}

export function Clearings({ debrief, chosen, choose }: PlotProps) {
  const { clearings } = debrief
  type One = Debrief['clearings'][number]
  const s = (one: One, ms: number | undefined) => (ms === undefined ? undefined : (ms - one.called_ms) / 1000)
  const ends = (one: One) => ({ port: s(one, one.port_clear_ms), starboard: s(one, one.starboard_clear_ms), all: s(one, one.all_clear_ms) })
  const axis = axisOf(Math.max(30, ...clearings.flatMap((one) => Object.values(ends(one)).map((value) => value ?? 0))), LABEL + 60, WIDTH - 20)
  const name = (one: One) => `${time(debrief, one.trip, one.called_ms)} ${one.preset || words.scope[one.scope]}`
  const height = clearings.length * ROW + AXIS
  const options: Option[] = clearings.map((one, i) => {
    const y = i * ROW + ROW / 2
    const { port, starboard, all } = ends(one)
    return {
      seq: one.seq, words: [name(one), ...Object.entries(ends(one)).filter(([, value]) => value !== undefined).map(([side, value]) => `${said.clearMarks[side as 'all']} ${number(value as number)} s`)].join(', '), draw: (
        <>
          <rect class="hit" x="0" y={y - ROW / 2} width={WIDTH} height={ROW} />
          <text x={LABEL + 40} y={y + 6} text-anchor="end">{name(one)}</text>
          {one.lines.filter((line) => line.in_ms !== undefined).map((line) => <path key={line.line} class="tick" d={`M${axis.x(s(one, line.in_ms) as number)} ${y - 6}v12`} />)}
          <path class="thin" d={`M${axis.x(0)} ${y}H${axis.x(Math.max(port ?? 0, starboard ?? 0, all ?? 0))}`} />
          {port !== undefined && <path class="event-dot" d={`M${axis.x(port) - 6} ${y}l12 -7v14z`} />}
          {starboard !== undefined && <path class="event-dot" d={`M${axis.x(starboard) + 6} ${y}l-12 -7v14z`} />}
          {all !== undefined && <circle class="dot" cx={axis.x(all)} cy={y} r="7" />}
        </>
      ),
    }
  })
  return (
    <Figure title={said.plots.clearing} id="clearing" heads={[said.head.reason, said.head.port, said.head.starboard, said.head.all]} chosen={chosen} choose={choose ?? (() => undefined)}
      rows={clearings.map((one) => ({ seq: one.seq, cells: [name(one), ...(['port', 'starboard', 'all'] as const).map((side) => { const value = ends(one)[side]; return value === undefined ? '' : `${number(value)} s` })] }))}>
      {clearings.length ? <div class="scroll"><Choices id="o-clearing" label={said.plots.clearing} width={WIDTH} height={height} options={options} chosen={chosen} choose={choose}><Grid axis={axis} height={height} unit={said.seconds} /></Choices></div> : <Empty say={said.noClearing} />}
    </Figure>
  )
}

/** One dot a bite, those of the same minute above each other. */
export function BaitAge({ debrief, chosen, choose }: PlotProps) {
  const bites = debrief.strikes.filter((strike) => strike.bait_age_ms !== undefined)
  const axis = axisOf(Math.max(10, ...bites.map((bite) => (bite.bait_age_ms as number) / 60000)), LABEL, WIDTH - 20)
  const seen = new Map<number, number>()
  const placed = bites.map((bite) => {
    const x = axis.x((bite.bait_age_ms as number) / 60000)
    const cell = Math.round(x / 16)
    seen.set(cell, (seen.get(cell) ?? 0) + 1)
    return { bite, x, level: (seen.get(cell) as number) - 1 }
  })
  const height = (Math.max(1, ...seen.values()) + 1) * 18 + AXIS
  const told = (bite: (typeof bites)[number]) => [time(debrief, bite.trip, bite.at_ms), labelOf(debrief, bite.trip, bite.line), bite.bait, lasted(bite.bait_age_ms), said.strikeEnd[bite.end]]
  return (
    <Figure title={said.plots.bait} id="bait" heads={[said.head.when, said.head.line, said.head.bait, said.head.age, said.head.end]} rows={bites.map((bite) => ({ seq: bite.seq, cells: told(bite) }))} chosen={chosen} choose={choose ?? (() => undefined)}>
      {bites.length ? (
        <Choices id="o-bait" label={said.plots.bait} width={WIDTH} height={height} chosen={chosen} choose={choose} options={placed.map(({ bite, x, level }) => ({
          seq: bite.seq, words: told(bite).filter(Boolean).join(', '), draw: <circle class={bite.end === 'on' ? 'dot' : 'ring'} cx={x} cy={height - AXIS - 10 - level * 18} r="7" />,
        }))}><Grid axis={axis} height={height} unit={said.minutes} /></Choices>
      ) : <Empty say={said.noBait} />}
    </Figure>
  )
}

/** Answers and clearing from trip to trip, each with what it is the middle of. */
export function Trend({ debrief, chosen, choose }: PlotProps) {
  const rows = debrief.trend
  const axis = axisOf(Math.max(10, ...rows.flatMap((one) => [one.clear_median_s ?? 0, one.got_median_s ?? 0])), LABEL + 20, WORDS - 20)
  const height = rows.length * ROW + AXIS
  const name = (one: Debrief['trend'][number]) => { const trip = debrief.trips[one.trip]; return `${trip?.no ?? ''} ${trip ? date(whenOf(trip), trip.started_ms) : ''}` }
  return (
    <Figure title={said.plots.trend} id="trend" chosen={chosen} choose={choose ?? (() => undefined)} heads={[said.head.trip, said.head.hours, said.head.bites, said.head.caught, said.got, 'n', said.clear, 'n', said.tables.near]}
      rows={rows.map((one) => ({ seq: 0, cells: [name(one), lineHours(one.line_ms), one.bites, one.caught, one.got_median_s === undefined ? '' : `${number(one.got_median_s)} s`, one.got_n, one.clear_median_s === undefined ? '' : `${number(one.clear_median_s)} s`, one.clear_n, one.near_misses] }))}>
      <div class="scroll"><svg class="plot" width={WIDTH} height={height} viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={said.plots.trend}>
        <Grid axis={axis} height={height} unit={said.seconds} />
        {rows.map((one, i) => {
          const y = i * ROW + ROW / 2
          return (
            <g key={one.trip}>
              <text x={LABEL} y={y + 6} text-anchor="end">{name(one)}</text>
              {one.got_median_s !== undefined && <Glyph is="got" x={axis.x(one.got_median_s)} y={y} of="" size={18} />}
              {one.clear_median_s !== undefined && <circle class="dot" cx={axis.x(one.clear_median_s)} cy={y} r="7" />}
              <text x={WORDS} y={y + 6}>{`${said.got} ${one.got_n}, ${said.clear} ${one.clear_n}`}</text>
            </g>
          )
        })}
      </svg></div>
    </Figure>
  )
}
