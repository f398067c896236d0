// The spread and the crew while a trip runs. A place is changed, or taken off, only while it is in: what swims does not change
// its side under the crew's hands. Nothing is told until it is saved, so that no half-typed name goes to the other screens.

import type { SpreadLine, Station } from 'proto'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { type Line, whole } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { words } from '../words'
import { HANDS_MOST, STATIONS } from './setup_crew'
import { ItemBar, freeId, useItems } from './setup_items'
import { PLACES_MOST, PlaceFields, newPlace } from './setup_spread'
import { TextField } from './text_field'

/** A place as the board has it. Its bait is left out: given anew it would count as not yet said. */
function placeOf({ id, name, side, gear, distance_m }: Line): SpreadLine {
  return { id, name, side, gear, distance_m }
}

const isIn = (line: Line) => line.state === 'in' && !line.unsure

export function SpreadPanel({ state, close }: { state: ViewState; close: () => void }) {
  const store = useStore()
  const [edited, edit] = useState<SpreadLine | null>(null)
  const lines = [...state.board.lines.values()].map(whole)
  const known = lines.map(placeOf)
  const isNew = edited !== null && !known.some((place) => place.id === edited.id)
  const places = isNew ? [...known, edited] : known
  const { at, one: there, step, goTo } = useItems(places)
  const one = edited && edited.id === there?.id ? edited : there
  const line = lines.find((is) => is.id === one?.id)
  const free = !line || isIn(line)
  const id = freeId(known, PLACES_MOST)
  const taken = known.some((place) => place.id !== one?.id && place.name === one?.name.trim())
  const turn = (by: number) => {
    edit(null)
    step(by)
  }
  const add = () => {
    edit(newPlace(id))
    goTo(known.length)
  }
  const save = () => {
    if (edited) store.act('place_set', { place: { ...edited, name: edited.name.trim() } })
    edit(null)
  }
  const takeOff = () => {
    if (one && line) store.act('place_set', { place: placeOf(line), gone: true })
    turn(0)
  }
  return (
    <section class="panel live">
      <ItemBar of={places.length} at={at} step={turn} add={id && !isNew ? add : undefined} off={one && free && known.length > 1 ? takeOff : undefined}>
        {one && <PlaceFields one={one} put={free ? (change) => edit({ ...one, ...change }) : undefined}>
          <p class="amount">{line ? words.line[line.state] : ''}</p>
        </PlaceFields>}
        <p class="asks wide">{one && (!free ? words.helm.notIn(one.name) : taken ? words.helm.nameTaken : edited ? words.helm.notSaved(one.name) : words.helm.isIn(one.name))}</p>
        <Press label={words.button.save} of={`choice ${edited ? 'strong' : ''}`} place="place-save" act={edited && free && edited.name.trim() && !taken ? save : undefined} />
        <Press label={words.button.close} of="choice" place="close" act={close} />
      </ItemBar>
    </section>
  )
}

interface NewHand {
  name: string
  station: Station
  voice: boolean
}

export function CrewPanel({ state, close }: { state: ViewState; close: () => void }) {
  const store = useStore()
  const [made, make] = useState<NewHand | null>(null)
  const hands = [...state.board.hands.values()]
  const { at, one, step, goTo } = useItems(hands)
  const name = made?.name.trim() ?? ''
  const taken = hands.some((hand) => hand.name === name)
  const station = made ? made.station : (one?.station ?? 'none')
  const turn = (by: number) => {
    make(null)
    step(by)
  }
  const save = () => {
    if (made) store.act('hand_added', { name, station: made.station, ...(made.voice ? { voice: true } : {}) })
    make(null)
    goTo(hands.length)
  }
  const works = (to: Station) => (made ? () => make({ ...made, station: to }) : one && one.station !== to ? () => store.act('hand_station', { hand: one.id, station: to }) : undefined)
  return (
    <section class="panel live">
      <ItemBar of={hands.length} at={at} step={turn} add={hands.length < HANDS_MOST && !made ? () => make({ name: '', station: 'cockpit', voice: false }) : undefined}>
        {made
          ? <TextField label={words.setup.name} text={made.name} most={TEXT_BYTES.crew_hand.name} change={(text) => make({ ...made, name: text })} place="hand-name" />
          : <p class="amount">{one?.name ?? words.nobody}</p>}
        {made
          ? <Press label={made.voice ? words.setup.voiceOnly : words.setup.hasPhone} of="choice" place="hand-voice" act={() => make({ ...made, voice: !made.voice })} fit={1} />
          : <p class="amount">{one?.voice ? words.setup.voiceOnly : ''}</p>}
        <Press label={words.button.save} of={`choice ${made ? 'strong' : ''}`} place="hand-save" act={name && !taken ? save : undefined} />
        <Press label={words.button.close} of="choice" place="close" act={close} />
        {(made || one) && STATIONS.map((to) => (
          <Press key={to} label={words.station[to].toUpperCase()} of={`choice ${station === to ? 'chosen' : ''}`} place={`works-${to}`} pressed={station === to} act={works(to)} fit={1} />
        ))}
        <p class="asks">{made && taken ? words.helm.nameTaken : ''}</p>
      </ItemBar>
    </section>
  )
}
