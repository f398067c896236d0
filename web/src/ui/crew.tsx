// The crew, by name: who is reached how, who has what, and who has heard. Below them the wheel and the look-out, each
// somebody's at all times. A tap on a name says that this hand answered by voice, or whatever is being asked for.

import type { ViewState } from '../store'
import type { BoardHand } from 'proto'
import { words } from '../words'
import { allLines, callState, fights, handName, openCalls, tinyName, tripRuns } from './board'
import { Press } from './button'
import type { Act } from './earlier'
import { Mark, type MarkName } from './marks'
import { atLeader, reachNow } from './night'

const MOST_HANDS = 5
/** While names are asked for, the places of the calls, the wheel and the look-out are names' too. */
export const HANDS_ASKED = 8

export interface HandLook {
  mark: MarkName
  word: string
}

/** What is worth knowing of a hand now, the most pressing first. */
export function handLook(state: ViewState, hand: BoardHand): HandLook {
  const { board } = state
  const overboard = board.overboard
  if (overboard.id) {
    if (overboard.spotter === hand.id) return { mark: overboard.sight_lost ? 'not_heard' : 'sees', word: overboard.sight_lost ? words.hand.lost : words.hand.sees }
    const heard = (overboard.heard ?? []).some((answer) => answer.hand === hand.id)
    if (!heard && atLeader(board, hand.id)) return { mark: 'here', word: words.hand.leader }
    return heard ? { mark: 'got', word: words.hand.heard } : { mark: 'not_heard', word: words.hand.notHeard }
  }
  const call = openCalls(board).find((one) => one.hand === hand.id || (one.got ?? []).some((got) => got.hand === hand.id))
  if (call) {
    const got = (call.got ?? []).some((answer) => answer.hand === hand.id)
    const state_ = got ? 'got' : callState(call)
    return { mark: state_, word: words.hand[state_ === 'not_heard' ? 'notHeard' : state_ === 'got' ? 'got' : 'called'] }
  }
  const taken = allLines(board).find((line) => line.taken_by === hand.id)
  if (taken) return { mark: 'clearing', word: tinyName(taken.name) }
  if (fights(board).some((fight) => fight.angler === hand.id)) return { mark: 'on', word: words.hand.angler }
  const reach = reachNow(board, hand.id).state
  if (reach === 'voice') return { mark: 'voice', word: words.voice }
  return { mark: reach === 'here' ? 'here' : reach === 'asleep' ? 'asleep' : 'gone', word: words.reach[reach] }
}

/** Breaks between words only, never at a hyphen. */
const unbroken = (text: string) => text.split(' ').map((word) => <span key={word} class="whole">{word}</span>)

export interface CrewProps {
  state: ViewState
  page: number
  /** Names are asked for: they look like buttons to be tapped. */
  asked: boolean
  /** The names that have no room here stand on the stern edge. */
  elsewhere: boolean
  hand: (hand: BoardHand) => Act | undefined
  /** Whether what the names were asked for has just lapsed. */
  lapsed: () => boolean
  more: () => void
  calls: () => void
  openCount: number
  wheel: () => void
  lookOut: () => void
}

export function Crew(props: CrewProps) {
  const { state, page, asked, elsewhere } = props
  const all = [...state.board.hands.values()]
  const names = asked && all.length > MOST_HANDS
  const places = names ? HANDS_ASKED : MOST_HANDS
  const more = all.length > places && !elsewhere
  const room = more ? places - 1 : places
  const from = more ? (page * room) % all.length : 0
  const { duty } = state.board
  return (
    <section class={`crew ${asked ? 'asked' : ''}`} aria-label={words.crew}>
      {all.slice(from, from + room).map((hand) => {
        const look = handLook(state, hand)
        return (
          <Press key={hand.id} of="hand" label={`${hand.name}: ${look.word}`} place={`hand-${hand.id}`} act={props.hand(hand)} lapsed={props.lapsed}>
            <b>{hand.name}</b><span><Mark is={look.mark} />{look.word}</span>
          </Press>
        )
      })}
      {more && <Press of="hand" label={words.button.more} place="hands-more" act={props.more}><b>{words.button.more}</b></Press>}
      {!tripRuns(state.board) || names ? null : <>
      <Press of={`calls ${props.openCount ? 'strong' : ''}`} label={words.button.calls} place="calls" act={props.calls} fit={1}>
        <b>{words.button.calls}</b><span>{props.openCount ? words.openCount(props.openCount) : ''}</span>
      </Press>
      <Press of="duty wheel" label={`${words.button.wheel}: ${handName(state.board, duty.wheel) || words.nobody}`} place="wheel" act={props.wheel}>
        <span>{unbroken(words.button.wheel)}</span><b>{handName(state.board, duty.wheel) || words.nobody}</b>
      </Press>
      <Press of="duty look-out" label={`${words.button.lookOut}: ${handName(state.board, duty.look_out) || words.nobody}`} place="look-out" act={props.lookOut}>
        <span>{unbroken(words.button.lookOut)}</span><b>{handName(state.board, duty.look_out) || words.nobody}</b>
      </Press>
      </>}
    </section>
  )
}
