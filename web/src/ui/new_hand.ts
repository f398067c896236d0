// Who has written a new name on the join page is that hand: as soon as the board has the name, the page speaks for it. Where it
// works follows from the screen that was chosen. A page that speaks for somebody already has added a hand without a phone.

import { useEffect } from 'preact/hooks'
import type { BodyOf, Store, ViewState } from '../store'

/** The hand that this page has added and does not speak for yet; 0 = there is none. */
export function newHand(state: ViewState): number {
  if (state.me.hand) return 0
  const taps = [...state.taps].reverse()
  const at = taps.findIndex((tap) => tap.kind === 'hand_added' && tap.state !== 'refused' && !(tap.body as BodyOf<'hand_added'>).voice)
  const added = taps[at]
  if (!added || taps.slice(0, at).some((tap) => tap.kind === 'page_hand')) return 0
  const { name } = added.body as BodyOf<'hand_added'>
  const hand = [...state.board.hands.values()].find((one) => one.name === name)
  return hand ? hand.id : 0
}

export function worksAtHelm(state: ViewState, store: Store, hand: number): void {
  const known = state.board.hands.get(hand)
  if (known && known.station !== 'helm') store.act('hand_station', { hand, station: 'helm' })
}

export function useNewHand(state: ViewState, store: Store): void {
  const hand = newHand(state)
  useEffect(() => {
    if (!hand) return
    store.act('page_hand', { hand })
    if (state.me.view === 'helm') worksAtHelm(state, store, hand)
  }, [hand])
}
