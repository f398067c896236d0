// Before a trip: what it will start with. The boat's name is asked here, at the dock; once a trip runs nothing is typed.

import type { BodyTripStarted, CrewHand } from 'proto'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import { firstTrip } from '../defaults'
import type { ViewState } from '../store'
import { isStern, whole } from '../ui/board'
import { words } from '../words'
import { cutToBytes } from './text_field'

export interface TripDraft {
  name: string
  setName: (name: string) => void
  no: number
  body: () => BodyTripStarted
}

/** The trip that START TRIP would start: the spread, crew, lists and presets of the last one, or what a new boat starts with. */
export function useTripDraft(state: ViewState): TripDraft {
  const { board } = state
  const [typed, setTyped] = useState<string | null>(null)
  const no = (board.trip.no ?? 0) + 1
  const name = typed ?? board.trip.name ?? ''
  const crew: CrewHand[] = [...board.hands.values()].map((hand) =>
    ({ id: hand.id, name: hand.name, station: hand.station ?? 'none', ...(hand.voice ? { voice: true } : {}) }))
  const body = (): BodyTripStarted => {
    const made = firstTrip(name.trim() || words.board, no, crew)
    const spread = [...board.lines.values()].map(whole)
      .map(({ id, name: place, side, gear, distance_m }) => ({ id, name: place, side, gear, distance_m }))
    const lists = [...board.lists.values()].map((list) => ({ id: list.id, name: list.name, kind: list.kind ?? 'do_confirm', items: list.items ?? [] }))
    const presets = [...board.presets.values()].map((preset) => ({ id: preset.id, name: preset.name, kept: preset.kept ?? [] }))
    return spread.length ? { ...made, spread, lists, presets } : made
  }
  return { name, setName: (text) => setTyped(cutToBytes(text, TEXT_BYTES.body_trip_started.name)), no, body }
}

export function StartPanel({ state, draft }: { state: ViewState; draft: TripDraft }) {
  const { spread, crew } = draft.body()
  const stern = spread.filter((line) => isStern(whole(line))).length
  return (
    <section class="panel start">
      <label><span>{words.setup.boat}</span>
        <input class="field" value={draft.name} autocomplete="off" onInput={(event) => draft.setName(event.currentTarget.value)} />
      </label>
      <p>{words.setup.trip(draft.no)} · {words.setup.spread(spread.length - stern, stern)}</p>
      <p>{crew.length ? crew.map((hand) => hand.name).join(', ') : words.nobody}</p>
      <ul class="cautions">{words.join.cautions.map((caution) => <li key={caution}>{caution}</li>)}</ul>
      {state.no && <p class="no">{state.no.words}</p>}
    </section>
  )
}
