// The helm's tablet: band, standing strip, the spread, the crew, the bar. Panels for checks, calls, join codes and set-up take
// the place of the spread and leave all else where it is; overboard covers whatever was open and gives it back.

import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { useBoard, useLapsing, useNow, useStore } from '../ui/hooks'
import { Band, Strip } from '../ui/band'
import { Bar } from '../ui/bar'
import { heldWords } from '../ui/act_words'
import { handName, isHelm, isOld, lineName, myCall, openCalls, phaseOf, tripRuns } from '../ui/board'
import { Crew } from '../ui/crew'
import { boxLine, useFish } from '../ui/fish'
import { EarlierContext, useEarlier } from '../ui/earlier'
import { Spread } from '../ui/lanes'
import { bandSentence, type Sentence } from '../ui/say'
import { leaderFight } from '../ui/say_deck'
import { words } from '../words'
import { AsternPanel } from './astern'
import { BaitsPanel } from './helm_baits'
import { BoxPanel } from './box'
import { BriefPanel } from './brief'
import { CallsPanel } from './calls'
import { ChecksPanel } from './checks'
import { CodesPanel } from './codes'
import { type HelmHands, type Menu, type Panel, REST, helmPlaces } from './helm_bar'
import { DockPanel } from './dock'
import { spreadActs } from './helm_lanes'
import { MorePanel } from './helm_more'
import { HelmNumber } from './helm_number'
import { HurtPanel } from './hurt'
import { OverboardPanel } from './overboard'
import { SetupPanel } from './setup'
import { namesOnEdge } from './helm_edge'
import { handAct } from './helm_hand'
import { CrewPanel, SpreadPanel } from './setup_live'
import { NotePanel, StampsPanel } from './stamps'
import { useLearned, withLearned } from './learned'
import { StartPanel, useTripDraft } from './start'

const MENU_MS = 20000
/** What the menu for a name is about. */
const POSTS = { wheel: words.button.wheel, look_out: words.button.lookOut, stand_by: words.helm.standBy, person: words.button.whoIsIt }

export function Helm() {
  const state = useBoard()
  const store = useStore()
  const now = useNow()
  const [menu, go, lapsedFrom] = useLapsing<Menu>(REST, MENU_MS)
  const [panel, show] = useState<Panel>('')
  const [lanesPage, setLanesPage] = useState(0)
  const [handsPage, setHandsPage] = useState(0)
  const [named, setNamed] = useState<number[]>([])
  const draft = useTripDraft(state)
  const learned = useLearned(store, state.me.greeted && isHelm(state) && phaseOf(state.board) === 'ended')
  const fish = useFish(state, store, isHelm(state))
  const { earlier, store: told } = useEarlier(store, () => 0)
  if (!isHelm(state) && state.me.greeted) return <HelmNumber state={state} />

  // How a fish swam off is asked on the stern edge alone: the bar and the lanes meant the same all along.
  const lapsed = () => (lapsedFrom() ?? { at: 'swam' }).at !== 'swam'
  const hands: HelmHands = {
    state, store: told, fish, menu, go, lapsed, panel, show, now, named, forget: () => setNamed([]), earlier,
    startTrip: () => {
      show('')
      store.act('trip_started', withLearned(draft.body(), learned))
    },
  }
  const places = helmPlaces(hands)
  const band = bandSentence(state, 'helm', now)
  const say = (band.look === 'stop' ? null : menuSentence(hands)) ?? band
  return (
    <EarlierContext.Provider value={earlier}><main class={`helm ${state.board.overboard.id ? 'emergency' : ''} ${isOld(state) ? 'old' : ''}`} data-view="helm">
      <Band state={state} now={now} say={say} onMore={() => show(panel ? '' : tripRuns(state.board) ? 'more' : 'setup')} />
      <Strip state={state} box={aboutToGaff(state) ? boxLine(fish) : ''} />
      <Field hands={hands} draft={draft} page={lanesPage} turn={() => setLanesPage((lanesPage + 1) % 4)} />
      <Crew state={state} page={handsPage} elsewhere={namesOnEdge(hands)} asked={menu.at === 'who' || menu.at === 'fight' || phaseOf(state.board) === 'ended' || (Boolean(state.board.overboard.id) && !state.board.overboard.spotter)}
        hand={(hand) => handAct(hands, hand, () => setNamed(named.includes(hand.id) ? named.filter((one) => one !== hand.id) : [...named, hand.id].slice(-2)))} lapsed={lapsed} more={() => setHandsPage(handsPage + 1)} openCount={openCalls(state.board).length}
        calls={() => show(panel === 'calls' ? '' : 'calls')} wheel={() => go({ at: 'who', what: 'wheel' })}
        lookOut={() => go({ at: 'who', what: 'look_out' })} />
      <Bar places={places} lapsed={lapsed} called={Boolean(myCall(state))} onOverboard={() => store.act('overboard', {})} />
    </main></EarlierContext.Provider>
  )
}

/** The box is read then, but where the names of what is out matter more: with a person in the water, a STOP, the wish to go astern. */
function aboutToGaff({ board }: ViewState): boolean {
  if (board.overboard.id || board.stop.id || board.astern.state === 'asked') return false
  return Boolean(leaderFight(board) || board.deck.gaff)
}

/** What fills the middle: overboard before all, then what was opened, then the spread. */
function Field({ hands, draft, page, turn }: { hands: HelmHands; draft: ReturnType<typeof useTripDraft>; page: number; turn: () => void }) {
  const { state, now, panel, show } = hands
  const close = () => show('')
  if (state.board.overboard.id) return <OverboardPanel state={state} now={now} />
  switch (panel) {
    case 'checks': return <ChecksPanel state={state} now={now} close={close} />
    case 'calls': return <CallsPanel state={state} now={now} from="helm" close={close} open={show} />
    case 'baits': return <BaitsPanel state={state} store={hands.store} now={now} close={close} />
    case 'spread': return <SpreadPanel state={state} close={close} />
    case 'crew': return <CrewPanel state={state} close={close} />
    case 'codes': return <CodesPanel close={close} />
    case 'more': return <MorePanel hands={hands} />
    case 'astern': return <AsternPanel state={state} now={now} close={close} />
    case 'hurt': return <HurtPanel state={state} now={now} close={close} />
    case 'stamps': return <StampsPanel state={state} now={now} close={close} />
    case 'note': return <NotePanel state={state} close={close} />
    case 'box': return <BoxPanel state={state} store={hands.store} now={now} answer={hands.fish} close={close} />
    case 'brief': return <BriefPanel state={state} close={close} />
    case 'start': return <StartPanel state={state} now={now} draft={draft} answer={hands.fish} />
    case 'setup': return <SetupPanel state={state} open={show} close={close} />
    case '': return tripRuns(state.board)
      ? <Spread state={state} now={now} acts={spreadActs(hands, turn)} page={page} />
      : phaseOf(state.board) === 'ended' ? <DockPanel state={state} now={now} answer={hands.fish} named={hands.named} forget={hands.forget} /> : <StartPanel state={state} now={now} draft={draft} answer={hands.fish} />
  }
}

/** The band's sentence while a menu asks for something. Emergencies and calls to the helm are never hidden by a menu. */
function menuSentence({ state, menu, panel, earlier }: HelmHands): Sentence | null {
  const { board } = state
  if (board.overboard.id || board.stop.id || state.link.state !== 'ok') return null
  const asks = (text: string): Sentence => ({ look: 'plain', text, more: '', pulse: false, alert: '' })
  if (earlier.holding) return asks(words.deck.keepOn(earlier.holding))
  if (earlier.asked) return { ...asks(words.deck.agoAsk), more: heldWords(board, earlier.asked.act) }
  switch (menu.at) {
    case 'rest': return null
    case 'clear': return asks(words.say.whichClear)
    case 'eye': return asks(words.say.whichSeen)
    case 'leader': return asks(words.say.whichLeader)
    case 'fight': return asks(words.say.howEnded(lineName(board, board.fights.get(menu.fight)?.line)))
    case 'line': return asks(words.say.lineIs(lineName(board, menu.line)))
    case 'hand': return asks(words.helm.which(handName(board, menu.hand)))
    case 'swam': return panel ? null : asks(words.deck.condition)
    case 'light': return asks(words.bait.which(lineName(board, menu.line)))
    case 'who': return asks(words.say.tapOne(POSTS[menu.what]))
  }
}
