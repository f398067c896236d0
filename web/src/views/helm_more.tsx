// What the helm needs now and then: astern, the door, the gaff, HURT; something that happened; baits, slick, the checklists; the
// phase, the light, set-up. One tap on the clock opens it, one more does it; the place that opened it closes it.

import type { BoardList, Phase } from 'proto'
import { handName, phaseOf } from '../ui/board'
import { Press } from '../ui/button'
import { type Act, after, tell } from '../ui/earlier'
import { usePrefs } from '../ui/hooks'
import { setPrefs } from '../ui/prefs'
import { hurtNow } from '../ui/say_deck'
import { words } from '../words'
import { openList, standing } from './checks'
import type { HelmHands } from './helm_bar'
import { slickTile } from './helm_edge'
import { doorAct, gaffAct } from './helm_lanes'

interface Choice {
  place: string
  label: string
  sub?: string
  strong?: boolean
  act: Act | undefined
}

const LISTS = 4
const AT_SEA: readonly Phase[] = ['running', 'fishing', 'night', 'home']

export function MorePanel({ hands }: { hands: HelmHands }) {
  const { light } = usePrefs()
  const dark = light === 'red' || light === 'amber'
  return (
    <section class="panel more-panel">
      <Row of="five" choices={[...deck(hands), now(hands)]} />
      <Row of="six" choices={happened(hands)} />
      <Row of="four" choices={lists(hands)} />
      <Row of="five" choices={trip(hands, dark)} />
    </section>
  )
}

function Row({ of, choices }: { of: 'four' | 'five' | 'six'; choices: readonly Choice[] }) {
  return (
    <div class={`choices ${of}`}>
      {choices.map((one) => (
        <Press key={one.place} of={`choice ${one.strong ? 'strong' : ''}`} label={one.sub ? `${one.label}: ${one.sub}` : one.label} place={one.place} act={one.act} fit={2}>
          <b>{one.label}</b>{one.sub && <small>{one.sub}</small>}
        </Press>
      ))}
    </div>
  )
}

/** Closes the panel, and does it. */
function closing({ show }: HelmHands, act: Act | undefined): Act | undefined {
  return act && after(() => show(''), act)
}

function deck(hands: HelmHands): Choice[] {
  const { state, store, show } = hands
  const { deck: is, orders } = state.board
  const hurt = hurtNow(state.board)
  const door = doorAct(hands)
  const gaff = gaffAct(hands)
  return [
    { place: 'astern', label: words.button.astern, act: () => {
      store.act('astern', {})
      show('astern')
    } },
    { place: 'door', label: door.label, sub: handName(state.board, orders.door), strong: is.door ?? false, act: closing(hands, door.act) },
    { place: 'gaff', label: gaff.label, sub: handName(state.board, is.gaff ? is.gaff_by : orders.gaff), strong: is.gaff ?? false, act: closing(hands, gaff.act) },
    { place: 'hurt', label: words.button.hurt, sub: hurt ? handName(state.board, hurt.hand) : '', strong: Boolean(hurt), act: () => {
      if (!hurt) store.act('hurt', {})
      show('hurt')
    } },
  ]
}

/** Something happened: now, or held, a while ago. */
function now({ store, show }: HelmHands): Choice {
  return { place: 'stamp', label: words.button.happened, sub: words.justNow, act: after(() => show('stamps'), tell(store, 'stamped', {})) }
}

function happened(hands: HelmHands): Choice[] {
  const { state, show } = hands
  const stamps = state.board.stamps.size
  const slick = slickTile(hands)
  return [
    { place: 'box', label: words.fish.box, act: () => show('box') },
    { place: 'stamps', label: words.button.tell, sub: stamps ? words.stamp.more(stamps) : '', act: stamps ? () => show('stamps') : undefined },
    { place: 'note', label: words.button.note, act: () => show('note') },
    { place: 'brief', label: words.button.brief, act: () => show('brief') },
    { place: 'baits', label: words.helm.baits, act: () => show('baits') },
    { place: 'slick', label: slick.label, strong: state.board.deck.slick ?? false, act: closing(hands, slick.act) },
  ]
}

/** The lists by name, so that opening one, or going on with it, is two touches. What is read while a person is in the water stands
 * on the helm's places then. Where the boat has more lists than places the last place leads to all of them. */
function lists({ state, store, show }: HelmHands): Choice[] {
  const all = [...state.board.lists.values()].filter((list) => list.kind !== 'read_do')
  const opens = (list: BoardList): Choice => ({ place: `list-${list.id}`, label: list.name, sub: standing(state, list), act: () => {
    if (!openList(state)) store.act('check_opened', { list: list.id })
    show('checks')
  } })
  if (all.length <= LISTS) return all.map(opens)
  return [...all.slice(0, LISTS - 1).map(opens), { place: 'checks', label: words.button.checks, act: () => show('checks') }]
}

/** The phases that a trip goes through at sea, without the one that it is in. */
function trip(hands: HelmHands, dark: boolean): Choice[] {
  const { state, store, show } = hands
  const phase = phaseOf(state.board)
  const goes = (to: Phase): Choice => ({ place: `to-${to}`, label: words.phase[to], act: closing(hands, () => store.act('trip_phase', { phase: to })) })
  return [...AT_SEA.filter((one) => one !== phase).slice(0, AT_SEA.length - 1).map(goes),
    { place: 'light', label: dark ? words.setup.day : words.setup.red, sub: words.setup.light.toLowerCase(), act: () => setPrefs({ light: dark ? 'day' : 'red' }) },
    { place: 'setup', label: words.button.setUp, act: () => show('setup') }]
}
