// What a tap on a name means at the helm.

import type { BoardHand } from 'proto'
import { callState, openCalls, phaseOf, tripRuns } from '../ui/board'
import { type HelmHands, REST, doing } from './helm_bar'

/** A name tapped: what is asked for, else who sees, who has the rod of a fish that was tapped, at the dock who is meant, else that this hand answered by voice; and when nothing is asked, the posts of that hand. */
export function handAct(hands: HelmHands, hand: BoardHand, name: () => void): (() => void) | undefined {
  const { state, store, menu, go } = hands
  const { board } = state
  const overboard = board.overboard
  if (menu.at === 'who') {
    const { what } = menu
    return () => {
      go(REST)
      if (what === 'person') store.act('overboard_person', { call: overboard.id ?? '', hand: hand.id })
      else if (what === 'stand_by') store.act('stand_by', { hand: hand.id })
      else store.act('duty', { post: what, hand: hand.id })
    }
  }
  if (overboard.id) {
    const call = overboard.id
    return () => store.act('overboard_sighted', { call, hand: hand.id })
  }
  if (menu.at === 'fight') {
    const { fight } = menu
    return doing(hands, () => store.act('fight_angler', { fight, hand: hand.id }))
  }
  if (phaseOf(board) === 'ended') return name
  const call = openCalls(board).find((one) => one.to !== 'helm' && callState(one) !== 'got' && (!one.hand || one.hand === hand.id))
  if (call) return () => store.act('call_got', { call: call.id, hand: hand.id, voice: true })
  const { clearing } = board
  if (clearing.state === 'open' && !clearing.heard && clearing.id) {
    const id = clearing.id
    return () => store.act('call_got', { call: id, hand: hand.id, voice: true })
  }
  return tripRuns(board) ? () => go({ at: 'hand', hand: hand.id }) : undefined
}

