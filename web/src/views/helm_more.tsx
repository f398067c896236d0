// What the helm needs now and then: astern, the door, the gaff, HURT; something that happened, as of now or of a while ago; the
// phase, the light, set-up. One tap on the clock opens it, one more does it; the place that opened it closes it.

import { handName, phaseOf } from '../ui/board'
import { Press } from '../ui/button'
import { usePrefs } from '../ui/hooks'
import { setPrefs } from '../ui/prefs'
import { openHurts } from '../ui/say_deck'
import { words } from '../words'
import type { HelmHands, Panel } from './helm_bar'
import { doorAct, gaffAct } from './helm_lanes'

interface Choice {
  place: string
  label: string
  sub?: string
  strong?: boolean
  act: (() => void) | undefined
}

export const AGO_MS = [30000, 60000, 120000, 300000] as const

export function MorePanel({ hands }: { hands: HelmHands }) {
  const { light } = usePrefs()
  return (
    <section class="panel more-panel">
      <div class="choices four">
        {[...deck(hands), ...happened(hands), ...ago(hands), ...trip(hands, light === 'red' || light === 'amber')].map((one) => (
          <Press key={one.place} of={`choice ${one.strong ? 'strong' : ''}`} label={one.sub ? `${one.label}: ${one.sub}` : one.label} place={one.place} act={one.act} fit={1}>
            <b>{one.label}</b>{one.sub && <small>{one.sub}</small>}
          </Press>
        ))}
      </div>
    </section>
  )
}

function deck(hands: HelmHands): Choice[] {
  const { state, store, show } = hands
  const { deck: is, orders } = state.board
  const hurt = openHurts(state.board)[0]
  const closing = (act: () => void) => () => {
    show('')
    act()
  }
  const door = doorAct(hands)
  const gaff = gaffAct(hands)
  return [
    { place: 'astern', label: words.button.astern, act: () => {
      store.act('astern', {})
      show('astern')
    } },
    { place: 'door', label: door.label, sub: handName(state.board, orders.door), strong: is.door ?? false, act: closing(door.act) },
    { place: 'gaff', label: gaff.label, sub: handName(state.board, is.gaff ? is.gaff_by : orders.gaff), strong: is.gaff ?? false, act: closing(gaff.act) },
    { place: 'hurt', label: words.button.hurt, sub: hurt ? handName(state.board, hurt.hand) : '', strong: Boolean(hurt), act: () => {
      if (!hurt) store.act('hurt', {})
      show('hurt')
    } },
  ]
}

function happened({ state, store, show }: HelmHands): Choice[] {
  const stamps = state.board.stamps.size
  const opens = (place: Panel, label: string, sub = ''): Choice => ({ place, label, sub, act: () => show(place) })
  return [
    { place: 'stamp', label: words.button.happened, sub: words.justNow, act: () => {
      store.act('stamped', {})
      show('stamps')
    } },
    { place: 'stamps', label: words.button.tell, sub: stamps ? words.stamp.more(stamps) : '', act: stamps ? () => show('stamps') : undefined },
    opens('note', words.button.note),
    opens('checks', words.button.checks),
  ]
}

function ago(hands: HelmHands): Choice[] {
  return AGO_MS.map((ms) => ({ place: `ago-${ms}`, label: words.ago[ms], act: () => {
    hands.show('')
    hands.ago(ms)
  } }))
}

function trip({ state, store, show }: HelmHands, night: boolean): Choice[] {
  const phase = phaseOf(state.board)
  const other = phase === 'fishing' ? 'night' : 'fishing'
  const goes = (to: 'night' | 'fishing' | 'home'): Choice => ({ place: `to-${to}`, label: words.phase[to], act: phase === to ? undefined : () => {
    show('')
    store.act('trip_phase', { phase: to })
  } })
  return [goes(other), goes('home'),
    { place: 'light', label: night ? words.setup.day : words.setup.red, sub: words.setup.light.toLowerCase(), act: () => setPrefs({ light: night ? 'day' : 'red' }) },
    { place: 'setup', label: words.button.setUp, act: () => show('setup') }]
}
