// The bar: five places that never move. Only words and fills change, and a touch within half a second of such a change means
// nothing; nor does one just after a menu has gone by itself. The fifth is OVERBOARD, whatever else goes on.

import { words } from '../words'
import { Hold, Press } from './button'
import type { Act } from './earlier'
import { Mark, type MarkName } from './marks'

/** What one place does now. Without act it is dead, and shows so. */
export interface Place {
  label: string
  sub?: string
  mark?: MarkName
  act?: Act | undefined
  /** Filled: what is wanted next. */
  strong?: boolean
  /** To be held that long. */
  hold_ms?: number
}

export interface Places {
  a: Place
  b: Place
  c: Place
  d: Place
}

export function PlaceButton({ is, at, of = '', lapsed }: { is: Place; at: string; of?: string; lapsed?: () => boolean }) {
  if (!is.label) return <div class={`place dead ${of}`} data-place={at} />
  const label = is.sub ? `${is.label} ${is.sub}` : is.label
  const look = `place ${of} ${is.strong ? 'strong' : ''} ${is.act ? '' : 'dead'}`
  const inside = (
    <>
      {is.mark && <Mark is={is.mark} />}
      <span class="label">{is.label}</span>
      {is.hold_ms && <small class="how">{words.hold}</small>}
      {is.sub && <small>{is.sub}</small>}
    </>
  )
  return is.hold_ms
    ? <Hold of={look} label={label} place={at} act={is.act} hold_ms={is.hold_ms} lapsed={lapsed} fit={3}>{inside}</Hold>
    : <Press of={look} label={label} place={at} act={is.act} lapsed={lapsed} fit={3}>{inside}</Press>
}

/** OVERBOARD: one hold of 0.6 s or two taps, no question asked. Once this page has called, it says CALLED and does nothing. */
export function Overboard({ called, act, of = '' }: { called: boolean; act: () => void; of?: string }) {
  return (
    <Hold of={`overboard ${of} ${called ? 'called' : ''}`} label={called ? words.button.called : words.button.overboard} place="overboard"
      act={called ? undefined : act} taps>
      <Mark is="overboard" />
      <b>{called ? words.button.called : words.button.overboard}</b>
    </Hold>
  )
}

export function Bar({ places, lapsed, called, onOverboard }: { places: Places; lapsed: () => boolean; called: boolean; onOverboard: () => void }) {
  return (
    <nav class="bar" aria-label={words.buttons}>
      <PlaceButton is={places.a} at="a" of="a" lapsed={lapsed} />
      <PlaceButton is={places.b} at="b" of="b" lapsed={lapsed} />
      <PlaceButton is={places.c} at="c" of="c" lapsed={lapsed} />
      <PlaceButton is={places.d} at="d" of="d" lapsed={lapsed} />
      <Overboard called={called} act={onOverboard} of="e" />
    </nav>
  )
}
