// What a tap on a name means at the helm.

import type { BoardHand } from 'proto'
import { callState, openCalls, phaseOf, tripRuns } from '../ui/board'
import { type Act, tell } from '../ui/earlier'
import { type HelmHands, doing } from './helm_bar'

/** The hand that was asked for. */
function named({ state, store }: HelmHands, what: 'wheel' | 'look_out' | 'stand_by' | 'person', hand: number): Act {
  switch (what) {
    case 'person': return tell(store, 'overboard_person', { call: state.board.overboard.id ?? '', hand })
    case 'stand_by': return tell(store, 'stand_by', { hand })
    case 'wheel': case 'look_out': return tell(store, 'duty', { post: what, hand })
  }
}

/** A name tapped: what is asked for, else who sees, who has the rod of a fish that was tapped, at the dock who is meant, else that this hand answered by voice; and when nothing is asked, the posts of that hand. */
export function handAct(hands: HelmHands, hand: BoardHand, name: () => void): Act | undefined {
  const { state, store, menu, go } = hands
  const { board } = state
  const overboard = board.overboard
  if (menu.at === 'who') return doing(hands, named(hands, menu.what, hand.id))
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

