// The cockpit: the mounted station that shows all lines, and a hand's own phone. OVERBOARD at mid height where either thumb
// finds it and no palm rests; under it the one large place, STOP and UNDO. Nothing that can be touched moves.

import { useState } from 'preact/hooks'
import { Say, lastTap, ownNews } from '../ui/band'
import { Overboard, PlaceButton } from '../ui/bar'
import { eyeLeft, handName, helmIsGone, isOld, lineName, myCall, phaseOf, tripRuns } from '../ui/board'
import { Hold, Press } from '../ui/button'
import { EarlierContext, mayBeOld, useEarlier } from '../ui/earlier'
import { useBoard, useLapsing, useNow, usePrefs, useStore } from '../ui/hooks'
import { useFish } from '../ui/fish'
import { Mark } from '../ui/marks'
import { quietFight } from '../ui/night'
import { bandSentence, clearingWhat } from '../ui/say'
import { sideWords } from '../ui/say_night'
import { clock, stopwatch } from '../ui/time'
import { FALSE_ALARM_HOLD_MS } from '../ui/touch'
import { words } from '../words'
import { type Ago, type CockpitHands, SPREAD, type Sheet, fishAsked, primary, sheetSentence, stopPlace, stripOffer, undoPlace } from './cockpit_places'
import { Tiles } from './cockpit_sheets'
import { sheetTiles } from './cockpit_tiles'
import { DockSeen } from './dock_seen'
import { calledBy, sightWords } from './overboard'

const SHEET_MS = 15000
const SETTING_MS = 20000

export function Cockpit({ view }: { view: 'station' | 'phone' }) {
  const state = useBoard()
  const store = useStore()
  const now = useNow()
  const prefs = usePrefs()
  const [asked, go] = useLapsing<Sheet>(SPREAD, SHEET_MS)
  // What is in is asked until nothing is left to be seen.
  const sheet = asked.at === 'eye' && !eyeLeft(state.board, 'all') ? SPREAD : asked
  const [setting, setSetting, settingLapsed] = useLapsing(false, SETTING_MS)
  const [ago, setAgo, agoLapsed] = useLapsing<Ago>('', SETTING_MS)
  const [page, setPage] = useState(0)
  const usual = () => {
    if (ago) setAgo('')
    return Number(ago)
  }
  const { earlier, store: told } = useEarlier(store, usual)
  const fish = useFish(state, store)
  const aft = prefs.facing === 'aft'
  const { overboard } = state.board
  const hands: CockpitHands = {
    state, store: told, view, now, setting, earlier, fish,
    sheet: view === 'station' && !prefs.facing ? { at: 'facing' } : earlier.asked ? { at: 'earlier' } : sheet,
    go: (to) => {
      setPage(0)
      go(to)
    },
  }
  const dark = quietFight(state.board) && !overboard.id && hands.sheet.at === 'spread'
  const docked = phaseOf(state.board) === 'ended' && hands.sheet.at === 'spread'
  const tiles = sheetTiles(hands, { aft, startSetting: () => setSetting(true), startAgo: setAgo })
  const asks = earlier.holding ? words.deck.keepOn(earlier.holding) : ago ? words.deck.asOf(words.ago[ago]) : setting ? words.say.tapLine : null
  return (
    <EarlierContext.Provider value={earlier}>
      <main class={`cockpit ${overboard.id ? 'emergency' : ''} ${dark ? 'quiet' : ''} ${isOld(state) ? 'old' : ''}`} data-view={view}>
        <Who hands={hands} aft={aft} dark={Boolean(dark)} />
        <Menu hands={hands} dark={Boolean(dark)} />
        <CockpitBand hands={hands} told={asks} first={Boolean(earlier.holding)} />
        {overboard.id ? <Emergency hands={hands} /> : dark ? <FishSide hands={hands} /> : docked ? <DockSeen state={state} /> : <Tiles tiles={tiles.tiles} columns={tiles.columns} page={page} turn={() => setPage(page + 1)} lapsed={() => Boolean(settingLapsed() || agoLapsed())} />}
        <Overboard called={Boolean(myCall(state))} act={() => store.act('overboard', {})} />
        <PlaceButton is={primary(hands)} at="primary" of="primary" />
        <PlaceButton is={stopPlace(hands)} at="stop" of="pair left" />
        <PlaceButton is={undoPlace(hands)} at="undo" of="pair right" />
      </main>
    </EarlierContext.Provider>
  )
}

/** At the leader: where the fish is, and nothing else. A tap on it says how it ended. */
function FishSide({ hands: { state, go } }: { hands: CockpitHands }) {
  const fight = quietFight(state.board)
  if (!fight) return null
  const line = fight.line ?? 0
  const side = sideWords(state.board, fight)
  return (
    <section class="tiles c1" aria-live="off">
      <Press of="tile fish-side" label={side} place={`line-${line}`} fit={2} act={() => go({ at: 'fight', fight: fight.id, line })}>
        <b>{side}</b><span>{lineName(state.board, line).toLowerCase()}</span>
      </Press>
    </section>
  )
}

/** The strip's left cell: a warning, the way back from a sheet, what waits to be told; else who this page speaks for, and the calls,
 * which an offer leaves to a touch that is held. */
function Who({ hands, aft, dark }: { hands: CockpitHands; aft: boolean; dark: boolean }) {
  const { state, store, view, now, sheet, go } = hands
  const runs = tripRuns(state.board)
  if (view === 'station' && helmIsGone(state.board) && runs) {
    // The helm's tablet went dark: the mounted station offers the helm's buttons, in one tap.
    const take = () => {
      store.takeHelm()
      store.setView('helm')
    }
    return <Press of="who warn" label={`${words.say.helmGone}: ${words.button.takeHelm}`} place="who" act={take} fit={2}>
      <span class="news"><Mark is="warning" />{words.say.helmGone} - {words.button.takeHelm}</span></Press>
  }
  if (dark) return <div class="who" />
  const news = ownNews(state, now)
  const opens = (to: Sheet) => () => go(to)
  const rests = sheet.at === 'spread' || sheet.at === 'earlier'
  if (!rests && sheet.at !== 'facing' && news?.look !== 'warn') {
    return <Press of="who offer back" label={words.button.back} place="who" act={opens(SPREAD)}><span class="news">{words.button.back}</span></Press>
  }
  const offer = rests && news?.look !== 'warn' ? stripOffer(hands) : null
  if (offer) return <Press of={`who offer ${offer.look}`} label={offer.text} place="who" fit={2} act={offer.act} held={mayBeOld(offer.act) ? undefined : { word: words.button.calls, act: opens({ at: 'calls' }) }}><span class="news">{offer.look === 'warn' && <Mark is="warning" />}{offer.text}</span></Press>
  const name = view === 'station' ? words.cockpit : handName(state.board, state.me.hand) || words.join.noName
  const faces = view === 'station' && sheet.at !== 'facing' ? words.faces((aft ? words.join.aft : words.join.forward).toLowerCase()) : ''
  const tap = lastTap(state)
  return (
    <Press of={`who ${news?.look ?? ''}`} label={runs ? `${words.button.calls}: ${name} ${faces}` : name} place="who" fit={2} act={runs ? opens(rests ? { at: 'calls' } : SPREAD) : undefined}>
      {news
        ? <span class="news">{news.look === 'warn' && <Mark is="warning" />}{news.text}</span>
        : <><span class="name"><b>{name}</b><small class={tap ? '' : 'faces'}>{tap ? <><Mark is={tap.mark} />{tap.text.toLowerCase()}</> : faces}</small></span>
            {runs && <span class="calls">{words.button.calls}</span>}</>}
    </Press>
  )
}

/** The strip's right cell: the clock, always there, which opens the menu and shuts it. Held, it asks who has the wheel. */
function Menu({ hands, dark }: { hands: CockpitHands; dark: boolean }) {
  const { state, now, sheet, go } = hands
  const wheel = tripRuns(state.board) ? { word: words.button.wheel, act: () => go({ at: 'duty', post: 'wheel' }) } : undefined
  return (
    <Press of={`menu ${dark ? 'dim' : ''}`} label={words.deck.menu} place="menu" held={wheel} fit={1} act={() => go(sheet.at === 'menu' ? SPREAD : { at: 'menu' })}>
      {!dark && <span class="clock">{clock(now, state.utc_offset_ms) || '--:--'}</span>}<b>{words.deck.menu}</b>
    </Press>
  )
}

/** `told`: what a mode of the page asks for, such as LINES IN/OUT; `first`: before what the sheet asks. */
function CockpitBand({ hands, told, first }: { hands: CockpitHands; told: string | null; first: boolean }) {
  const { state, view, now, sheet } = hands
  const say = bandSentence(state, view, now)
  const asks = (first ? told : null) ?? (sheet.at === 'fish' ? fishAsked(hands, sheet.to).ask : sheetSentence(state, sheet, now)) ?? told
  if (say.look === 'clear' && !asks) {
    const { lines_in = 0, total = 0 } = state.board.clearing
    return <header class={`band clear tall ${say.pulse ? 'pulse' : ''}`} data-look="clear">
      <Say text={words.button.clear} more={words.say.share(clearingWhat(state.board), lines_in, total)} /></header>
  }
  if (say.look === 'man') {
    return <header class={`band man tall ${say.pulse ? 'pulse' : ''}`} data-look="man"><Say text={say.text} more={say.more} /></header>
  }
  const shown = asks && !['stop', 'link'].includes(say.look) ? { text: asks, more: '' } : say
  return (
    <header class={`band ${say.look} ${say.pulse ? 'pulse' : ''}`} data-look={say.look}>
      <Say text={shown.text} more={shown.more} />
    </header>
  )
}

function Emergency({ hands: { state, store, now } }: { hands: CockpitHands }) {
  const { board } = state
  const mine = myCall(state)
  return (
    <section class="tiles alarm" aria-live="off">
      <p class="digits" role="timer">{stopwatch(now - (board.overboard.since_ms ?? now))}</p>
      <p class="told">{calledBy(board)}<br />{sightWords(board, words.overboard.whoSees)}</p>
      {mine && <Hold label={words.button.falseAlarm} of="tile false-alarm" place="false-alarm" hold_ms={FALSE_ALARM_HOLD_MS}
        act={() => store.act('overboard_withdrawn', { call: mine })}><span class="name">{words.button.falseAlarm}</span><small>{words.hold}</small></Hold>}
    </section>
  )
}
