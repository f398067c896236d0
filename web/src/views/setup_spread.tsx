// The spread, at the dock: each place with its name, side, gear, distance, bait and its order across the stern.

import type { BodyTripStarted, Gear, Side, SpreadLine } from 'proto'
import { TEXT_BYTES } from 'proto'
import type { ComponentChildren } from 'preact'
import { Press } from '../ui/button'
import { words } from '../words'
import { ItemBar, after, freeId, useItems } from './setup_items'
import type { TripDraft } from './start'
import { TextField } from './text_field'

const SIDES: readonly Side[] = ['port', 'centre', 'starboard']
const GEAR: readonly Gear[] = ['line', 'teaser', 'dredge', 'float']
export const PLACES_MOST = 24
const STEP_M = 2
const FARTHEST_M = 400

export const newPlace = (id: number): SpreadLine => ({ id, name: words.setup.newPlace(id), side: 'centre', gear: 'line', distance_m: 30 })

/** Two places change their order across the stern: it is that of their numbers, so each takes the other's, in the presets too. */
function swapped({ spread, presets }: Pick<BodyTripStarted, 'spread' | 'presets'>, one: number, other: number): Pick<BodyTripStarted, 'spread' | 'presets'> {
  const to = (id: number) => (id === one ? other : id === other ? one : id)
  return {
    spread: spread.map((line) => ({ ...line, id: to(line.id) })).sort((a, b) => a.id - b.id),
    presets: (presets ?? []).map((preset) => ({ ...preset, kept: preset.kept.map(to) })),
  }
}

/** What is said of one place. Without `put` it is only read. The eighth field is the caller's. */
export function PlaceFields({ one, put, children }: { one: SpreadLine; put: ((change: Partial<SpreadLine>) => void) | undefined; children: ComponentChildren }) {
  const does = (change: () => Partial<SpreadLine>) => put && (() => put(change()))
  const by = (metres: number) => does(() => ({ distance_m: Math.max(0, Math.min(FARTHEST_M, (one.distance_m ?? 0) + metres)) }))
  return (
    <>
      {put ? <TextField label={words.setup.name} text={one.name} most={TEXT_BYTES.spread_line.name} change={(name) => put({ name })} place="place-name" /> : <p class="amount">{one.name}</p>}
      <Press label={words.side[one.side]} of="choice" place="place-side" act={does(() => ({ side: after(SIDES, one.side) }))} fit={1} />
      <Press label={words.gearShort(one.gear)} of="choice" place="place-gear" act={does(() => ({ gear: after(GEAR, one.gear) }))} fit={1} />
      {children}
      {put ? <TextField label={words.setup.bait} text={one.bait ?? ''} most={TEXT_BYTES.spread_line.bait} change={(bait) => put({ bait })} place="place-bait" /> : <p class="amount">{one.bait}</p>}
      <Press label="-" of="choice large" place="place-nearer" act={by(-STEP_M)} />
      <p class="amount">{words.setup.metres(one.distance_m ?? 0)}</p>
      <Press label="+" of="choice large" place="place-farther" act={by(STEP_M)} />
    </>
  )
}

export function SpreadSetup({ draft }: { draft: TripDraft }) {
  const { spread, presets } = draft.body()
  const { at, one, step, goTo } = useItems(spread)
  const before = spread[at - 1]
  const id = freeId(spread, PLACES_MOST)
  const put = (change: Partial<SpreadLine>) => draft.edit({ spread: spread.map((line) => (line === one ? { ...line, ...change } : line)) })
  const add = () => {
    const made = newPlace(id)
    const more = [...spread, made].sort((a, b) => a.id - b.id)
    draft.edit({ spread: more })
    goTo(more.indexOf(made))
  }
  const off = () => draft.edit({ spread: spread.filter((line) => line !== one),
    presets: (presets ?? []).map((preset) => ({ ...preset, kept: preset.kept.filter((line) => line !== one?.id) })) })
  const move = () => {
    if (one && before) draft.edit(swapped({ spread, presets }, one.id, before.id))
    step(-1)
  }
  return (
    <ItemBar of={spread.length} at={at} step={step} add={id ? add : undefined} off={one && off}>
      {one && <PlaceFields one={one} put={put}>
        <Press label={words.setup.earlier} of="choice" place="place-earlier" act={before && move} fit={1} />
      </PlaceFields>}
    </ItemBar>
  )
}
