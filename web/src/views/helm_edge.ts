// What stands on the stern edge's tiles for a moment in the place of teasers and dredges: the further presets of a clearing,
// the lights of a float, how a fish swam off, two more posts of a name. By night, with all of the stern gear in, the night's own acts stand there.

import type { EntryId } from 'proto'
import { HANDS_ASKED } from '../ui/crew'
import type { EdgeTile } from '../ui/lanes'
import { allLines, butName, handName, isStern, parted } from '../ui/board'
import { baitSince, baitsByAge, isNight, standBy, wakeWanted } from '../ui/night'
import { raises } from '../ui/say_deck'
import { age } from '../ui/time'
import { words } from '../words'
import { handAct } from './helm_hand'
import { type HelmHands, clearing, doing, lit, presetPlaces, swam } from './helm_bar'

export function edgeTiles(hands: HelmHands): EdgeTile[] | undefined {
  const { menu } = hands
  switch (menu.at) {
    case 'clear': return presetTiles(hands)
    case 'light': return lightTiles(hands, menu.line)
    case 'hand': return postTiles(hands, menu.hand)
    case 'rest': return nightTiles(hands)
    case 'who': return nameTiles(hands) ?? nightTiles(hands)
    case 'fight': return nameTiles(hands)
    case 'swam': return swamTiles(hands, menu.fight)
    case 'eye': case 'leader': case 'line': return undefined
  }
}

function presetTiles(hands: HelmHands): EdgeTile[] | undefined {
  const { edge } = presetPlaces(hands)
  return edge.length
    ? edge.map((preset) => ({ place: `preset-${preset.id}`, label: preset.name, of: 'preset', ...parted(butName(preset.name)), act: clearing(hands, 'all', preset) }))
    : undefined
}

function lightTiles(hands: HelmHands, line: number): EdgeTile[] {
  return (['orange', 'purple', 'none'] as const).map((light) => {
    const name = words.bait.light[light]
    return { place: `light-${light}`, label: name, ...(name.includes(' ') ? parted(name) : { top: name }), act: lit(hands, line, light) }
  })
}

/** Three answers of five; the others stand at the ends. */
function swamTiles(hands: HelmHands, fight: EntryId): EdgeTile[] {
  return (['strong', 'revived', 'sank'] as const).map((how) => {
    const label = words.deck.swam[how]
    return { place: `swam-${how}`, label, top: label, act: swam(hands, fight, how) }
  })
}

function postTiles(hands: HelmHands, hand: number): EdgeTile[] {
  const { state, store } = hands
  const { orders } = state.board
  const name = handName(state.board, hand)
  const heard = (orders.heard ?? []).includes(hand)
  return [
    { place: 'hand-heard', label: `${words.helm.heardBrief}: ${name}`, top: words.helm.heardBrief, of: heard ? 'chosen' : '',
      act: orders.id && !heard ? doing(hands, () => store.act('orders_heard', { hand })) : undefined },
    { place: 'hand-stand-by', label: `${words.helm.standBy}: ${name}`, top: words.helm.standBy, below: name,
      act: doing(hands, () => store.act('stand_by', { hand })) },
  ]
}

/** Names are asked for, and those that the crew's places have no room for stand here. */
export function namesOnEdge({ state, menu, panel }: HelmHands): boolean {
  return (menu.at === 'who' || menu.at === 'fight') && panel === '' && !state.board.overboard.id && state.board.hands.size > HANDS_ASKED
}

function nameTiles(hands: HelmHands): EdgeTile[] | undefined {
  if (!namesOnEdge(hands)) return undefined
  return [...hands.state.board.hands.values()].slice(HANDS_ASKED).map((hand) => ({ place: `hand-${hand.id}`, label: hand.name, top: hand.name, act: handAct(hands, hand, () => undefined) }))
}

/** The night's acts. While anything of the stern gear is not in, or a fish is up, the tiles are the gear's. */
function nightTiles(hands: HelmHands): EdgeTile[] | undefined {
  const { board } = hands.state
  if (!isNight(board) || raises(board).length || allLines(board).some((line) => isStern(line) && (line.state !== 'in' || line.unsure))) return undefined
  return [baitsTile(hands), wakeTile(hands) ?? standByTile(hands), slickTile(hands)]
}

function baitsTile({ state, panel, show, now }: HelmHands): EdgeTile {
  const [oldest] = baitsByAge(state.board)
  return { place: 'baits', label: words.helm.baits, top: words.helm.baits, below: oldest ? age(now - baitSince(oldest)) : '',
    act: () => show(panel === 'baits' ? '' : 'baits') }
}

export function standByTile({ state, go }: HelmHands): EdgeTile {
  const name = standBy(state.board) || words.nobody
  return { place: 'stand-by', label: `${words.helm.standBy}: ${name}`, top: words.helm.standBy, below: name, act: () => go({ at: 'who', what: 'stand_by' }) }
}

/** A fish in the dark, and nobody called for it yet. */
function wakeTile({ state, store, now }: HelmHands): EdgeTile | undefined {
  const { board } = state
  if (!wakeWanted(board, now)) return undefined
  const hand = board.deck.stand_by ?? 0
  const name = hand ? standBy(board) : words.helm.all
  return { place: 'wake', label: `${words.helm.wake} ${name}`, of: 'strong', top: words.helm.wake, below: name,
    act: () => store.act('call', hand ? { what: 'wake', to: 'below', hand } : { what: 'wake', to: 'all' }) }
}

export function slickTile({ state, store }: HelmHands): EdgeTile {
  const on = state.board.deck.slick ?? false
  return { place: 'slick', label: on ? words.deck.slickOff : words.deck.slickOn, of: on ? 'out' : '', top: words.helm.slick, below: on ? words.helm.end : words.helm.start,
    act: () => store.act('slick', { on: !on }) }
}
