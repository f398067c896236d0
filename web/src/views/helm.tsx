// The helm's tablet: band, standing strip, the spread, the crew, the bar. Panels for checks, calls, join codes and set-up take
// the place of the spread and leave all else where it is; overboard covers whatever was open and gives it back.

import type { BoardHand } from 'proto'
import { useState } from 'preact/hooks'
import { useBoard, useLapsing, useNow, useStore } from '../ui/hooks'
import { Band, Strip } from '../ui/band'
import { Bar } from '../ui/bar'
import {
  type Line, callState, fightOn, isHelm, isOld, lineName, myCall, openCalls, strikeOn, strikes, tripRuns,
} from '../ui/board'
import { Crew } from '../ui/crew'
import { type SpreadActs, Spread } from '../ui/lanes'
import { bandSentence, type Sentence } from '../ui/say'
import { words } from '../words'
import { CallsPanel } from './calls'
import { ChecksPanel } from './checks'
import { CodesPanel } from './codes'
import { type HelmHands, type Menu, type Panel, REST, helmPlaces } from './helm_bar'
import { HelmNumber } from './helm_number'
import { OverboardPanel } from './overboard'
import { SetupPanel } from './setup'
import { StartPanel, useTripDraft } from './start'

const MENU_MS = 10000

export function Helm() {
  const state = useBoard()
  const store = useStore()
  const now = useNow()
  const [menu, go] = useLapsing<Menu>(REST, MENU_MS)
  const [panel, show] = useState<Panel>('')
  const [lanesPage, setLanesPage] = useState(0)
  const [handsPage, setHandsPage] = useState(0)
  const draft = useTripDraft(state)
  if (!isHelm(state) && state.me.greeted) return <HelmNumber state={state} />

  const hands: HelmHands = {
    state, store, menu, go, panel, show, now,
    startTrip: () => {
      show('')
      store.act('trip_started', draft.body())
    },
  }
  const places = helmPlaces(hands)
  const say = menuSentence(hands) ?? bandSentence(state, 'helm', now)
  return (
    <main class={`helm ${state.board.overboard.id ? 'emergency' : ''} ${isOld(state) ? 'old' : ''}`} data-view="helm">
      <Band state={state} now={now} say={say} onMore={() => show(panel === 'setup' ? '' : 'setup')} />
      <Strip state={state} />
      <Field hands={hands} draft={draft} page={lanesPage} turn={() => setLanesPage((lanesPage + 1) % 4)} />
      <Crew state={state} page={handsPage} asked={menu.at === 'who' || (Boolean(state.board.overboard.id) && !state.board.overboard.spotter)}
        hand={(hand) => handAct(hands, hand)} more={() => setHandsPage(handsPage + 1)} openCount={openCalls(state.board).length}
        calls={() => show(panel === 'calls' ? '' : 'calls')} wheel={() => go({ at: 'who', what: 'wheel' })}
        lookOut={() => go({ at: 'who', what: 'look_out' })} />
      <Bar places={places} called={Boolean(myCall(state))} onOverboard={() => store.act('overboard', {})} />
    </main>
  )
}

/** What fills the middle: overboard before all, then what was opened, then the spread. */
function Field({ hands, draft, page, turn }: { hands: HelmHands; draft: ReturnType<typeof useTripDraft>; page: number; turn: () => void }) {
  const { state, now, panel, show } = hands
  const close = () => show('')
  if (state.board.overboard.id) return <OverboardPanel state={state} now={now} />
  switch (panel) {
    case 'checks': return <ChecksPanel state={state} now={now} close={close} />
    case 'calls': return <CallsPanel state={state} now={now} from="helm" close={close} />
    case 'codes': return <CodesPanel close={close} />
    case 'setup': return <SetupPanel state={state} codes={() => show('codes')} />
    case '': return tripRuns(state.board)
      ? <Spread state={state} now={now} acts={spreadActs(hands, turn)} page={page} />
      : <StartPanel state={state} draft={draft} />
  }
}

/** The band's sentence while a menu asks for something. Emergencies are never hidden by a menu. */
function menuSentence({ state, menu }: HelmHands): Sentence | null {
  const { board } = state
  if (board.overboard.id || board.stop.id || state.link.state !== 'ok') return null
  const asks = (text: string): Sentence => ({ look: 'plain', text, more: '', pulse: false, alert: '' })
  switch (menu.at) {
    case 'rest': return null
    case 'clear': return asks(words.say.whichClear)
    case 'eye': return asks(words.say.whichSeen)
    case 'fight': return asks(words.say.howEnded(lineName(board, board.fights.get(menu.fight)?.line)))
    case 'line': return asks(words.say.lineIs(lineName(board, menu.line)))
    case 'who': return asks(words.say.tapOne(menu.what === 'wheel' ? words.button.wheel : words.button.lookOut))
  }
}

function spreadActs(hands: HelmHands, turn: () => void): SpreadActs {
  const { state, store, menu, go } = hands
  const side = (scope: 'port' | 'starboard') => {
    const done = (act: () => void) => () => {
      go(REST)
      act()
    }
    if (menu.at === 'clear') return { label: words.side[scope], act: done(() => store.act('clear_called', { scope, reason: state.board.fights.size ? 'fish' : 'other' })) }
    if (menu.at !== 'eye') return undefined
    return { label: words.side[scope], act: done(() => store.act('lines_seen', { scope, state: 'in' })) }
  }
  return {
    line: (line) => laneAct(hands, line),
    port: side('port'),
    starboard: side('starboard'),
    allStern: () => store.act('lines_seen', { scope: 'teasers', state: state.board.clearing.state === 'open' ? 'in' : 'out' }),
    more: turn,
  }
}

/** What a tap on a lane or a tile says: at the helm it is told by eye. */
function laneAct({ state, store, menu, go }: HelmHands, line: Line): (() => void) | undefined {
  const { board } = state
  const told = (to: 'in' | 'out') => () => {
    go(REST)
    store.act('line_is', { line: line.id, state: to, eye: true })
  }
  const unnamed = strikes(board).find((strike) => !strike.line)
  if (line.state === 'strike') {
    const strike = strikeOn(board, line.id)
    return strike && (() => store.act('strike_ended', { strike: strike.id, end: 'on' }))
  }
  if (line.state === 'on') {
    const fight = fightOn(board, line.id)
    return fight && (() => go({ at: 'fight', fight: fight.id, off: false }))
  }
  if (line.state === 'fouled' || line.state === 'not_known') return () => go({ at: 'line', line: line.id })
  if (line.unsure) return line.state === 'in' || line.state === 'out' ? told(line.state) : () => go({ at: 'line', line: line.id })
  if (line.state === 'in') return told('out')
  if (line.state === 'setting') return told('out')
  const bare = line.gear === 'teaser' || line.gear === 'dredge'
  if (line.asked || line.state === 'clearing' || bare || menu.at === 'clear' || menu.at === 'eye') return told('in')
  if (unnamed) return () => store.act('strike_named', { strike: unnamed.id, line: line.id })
  return () => store.act('strike', { line: line.id })
}

/** A name tapped: what is asked for, else who sees, else that this hand answered by voice. */
function handAct({ state, store, menu, go }: HelmHands, hand: BoardHand): (() => void) | undefined {
  const { board } = state
  const overboard = board.overboard
  if (menu.at === 'who') {
    const { what } = menu
    return () => {
      go(REST)
      if (what === 'person') store.act('overboard_person', { call: overboard.id ?? '', hand: hand.id })
      else store.act('duty', { post: what, hand: hand.id })
    }
  }
  if (overboard.id) {
    const call = overboard.id
    return () => store.act('overboard_sighted', { call, hand: hand.id })
  }
  const call = openCalls(board).find((one) => one.to !== 'helm' && callState(one) !== 'got' && (!one.hand || one.hand === hand.id))
  if (call) return () => store.act('call_got', { call: call.id, hand: hand.id, voice: true })
  const { clearing } = board
  if (clearing.state === 'open' && !clearing.heard && clearing.id) {
    const id = clearing.id
    return () => store.act('call_got', { call: id, hand: hand.id, voice: true })
  }
  return undefined
}

