// What a tap on the picture of the spread says at the helm, and what the ends of the stern edge do beside it. What is told of a
// line here is told by eye.

import type { BoardRaise, BoardStrike, Light } from 'proto'
import { type Line, fightOn, isStern, strikeOn, strikes } from '../ui/board'
import type { EndAct, SpreadActs } from '../ui/lanes'
import { type Act, after, tell } from '../ui/earlier'
import { isFloat, isNight } from '../ui/night'
import { leaderFight, raiseNow } from '../ui/say_deck'
import { words } from '../words'
import { type HelmHands, REST, ageLeft, doing, lit, swam } from './helm_bar'
import { edgeTiles } from './helm_edge'

export function spreadActs(hands: HelmHands, turn: () => void): SpreadActs {
  const { state, store } = hands
  return {
    line: (line) => laneAct(hands, line),
    asked: (line) => line.state === 'out' && unnamedFor(hands, line) !== undefined,
    ...endActs(hands),
    edge: edgeTiles(hands),
    allStern: tell(store, 'lines_seen', { scope: 'teasers', state: state.board.clearing.state === 'open' ? 'in' : 'out' }),
    more: turn,
    lapsed: hands.lapsed,
  }
}

/** The ends of the stern edge: a side while something is asked of the spread, the door and the gaff at the leader, the pitch bait
 * while a fish is up. */
function endActs(hands: HelmHands): Pick<SpreadActs, 'port' | 'starboard'> {
  const { state, store, menu, earlier } = hands
  const age = ageLeft(earlier)
  if (age) return { port: { label: words.ago[age], face: words.agoShort[age], act: () => earlier.answer(Number(age)) } }
  const reason = state.board.fights.size ? 'fish' : 'other'
  const side = (scope: 'port' | 'starboard') => ({ label: words.side[scope], act: doing(hands, menu.at === 'clear'
    ? tell(store, 'clear_called', { scope, reason }) : tell(store, 'lines_seen', { scope, state: 'in' })) })
  if (menu.at === 'clear' || menu.at === 'eye') return { port: side('port'), starboard: side('starboard') }
  if (menu.at === 'fight') {
    const { fight } = menu
    const end = (how: 'broke_off' | 'bitten_off'): EndAct => ({ label: words.fightEnd[how], act: doing(hands, tell(store, 'fight_ended', { fight, end: how })) })
    return { port: end('broke_off'), starboard: end('bitten_off') }
  }
  if (menu.at === 'swam') {
    const { fight } = menu
    const how = (condition: 'bleeding' | 'not_seen'): EndAct => ({ label: words.deck.swam[condition], ...(condition === 'bleeding' ? { face: words.helm.bled } : {}), off: true, act: swam(hands, fight, condition) })
    return { port: how('not_seen'), starboard: how('bleeding') }
  }
  if (menu.at === 'light') {
    const { line } = menu
    const is = (light: Light): EndAct => ({ label: words.bait.light[light], ...(light === 'yellow' ? { face: words.bait.light[light].slice(0, 3) } : {}), off: true, act: lit(hands, line, light) })
    return { port: is('red'), starboard: is('yellow') }
  }
  if (menu.at !== 'rest') return {}
  if (leaderFight(state.board)) return { port: doorAct(hands), starboard: gaffAct(hands) }
  const raise = raiseNow(state.board)
  return raise ? { port: pitchAct(hands, raise) } : {}
}

export function doorAct({ state, store }: HelmHands): EndAct {
  const open = state.board.deck.door ?? false
  return { label: open ? words.button.shutDoor : words.button.openDoor, off: !open, act: tell(store, 'door', { open: !open }) }
}

/** The gaff is the hand's whom the orders name. */
export function gaffAct({ state, store }: HelmHands): EndAct {
  const { deck, orders } = state.board
  return deck.gaff
    ? { label: words.button.gaffAway, act: tell(store, 'gaff', { up: false }) }
    : { label: words.button.gaff, off: true, act: tell(store, 'gaff', { up: true, hand: orders.gaff ?? 0 }) }
}

function pitchAct({ store }: HelmHands, raise: BoardRaise): EndAct {
  return { label: raise.pitch ? words.button.pitchBack : words.button.pitch, off: !raise.pitch,
    act: tell(store, 'raise_gear_moved', { episode: raise.id, gear: raise.pitch ? 'pitch_out' : 'pitch_in' }) }
}

/** The strike without a line that a touch on this one would name, be it logged as in: the log may be behind. A line that a
 * clearing asks for is tallied, and one that was left fouled or not known asks how it was left. */
function unnamedFor({ state, menu }: HelmHands, line: Line): BoardStrike | undefined {
  const named = line.state === 'in' || line.state === 'setting' || line.state === 'out'
  if (!named || line.asked || isStern(line) || menu.at === 'clear' || menu.at === 'eye') return undefined
  return strikes(state.board).find((strike) => !strike.line)
}

/** What a tap on a lane or a tile says. */
function laneAct(hands: HelmHands, line: Line): Act | undefined {
  const { state, store, menu, go } = hands
  const { board } = state
  const told = (to: 'in' | 'out') => after(() => go(to === 'out' && isNight(board) && isFloat(line) && line.state !== 'out' ? { at: 'light', line: line.id } : REST),
    tell(store, 'line_is', { line: line.id, state: to, eye: true }))
  if (line.state === 'strike') {
    const strike = strikeOn(board, line.id)
    return strike && tell(store, 'strike_ended', { strike: strike.id, end: 'on' })
  }
  if (line.state === 'on') {
    const fight = fightOn(board, line.id)
    if (fight && menu.at === 'leader') return doing(hands, tell(store, 'leader', { fight: fight.id, on: true }))
    return fight && (() => go({ at: 'fight', fight: fight.id }))
  }
  const unnamed = unnamedFor(hands, line)
  if (unnamed) return tell(store, 'strike_named', { strike: unnamed.id, line: line.id })
  if (line.state === 'fouled' || line.state === 'not_known') return () => go({ at: 'line', line: line.id })
  if (line.unsure) return line.state === 'in' || line.state === 'out' ? told(line.state) : () => go({ at: 'line', line: line.id })
  if (line.state === 'in' || line.state === 'setting') return told('out')
  if (line.asked || line.state === 'clearing' || menu.at === 'clear' || menu.at === 'eye') return told('in')
  return swimming(hands, line, told('in'))
}

/** A line that swims and of which nothing is asked: the raised fish went for it, or it was struck; a teaser comes in. */
function swimming(hands: HelmHands, line: Line, comesIn: Act): Act {
  const { state, store } = hands
  const raise = raiseNow(state.board)
  if (line.gear === 'teaser' && raise) {
    return doing(hands, tell(store, 'raise_gear_moved', { episode: raise.id, gear: 'teaser_in', line: line.id, eye: true }))
  }
  if (line.gear === 'teaser' || line.gear === 'dredge') return comesIn
  return raise ? tell(store, 'raise_touched', { episode: raise.id, line: line.id }) : tell(store, 'strike', { line: line.id })
}
