// The cockpit: the mounted station that shows all lines, and a hand's own phone. OVERBOARD at mid height where either thumb
// finds it and no palm rests; under it the one large place, STOP and UNDO. Nothing that can be touched moves.

import { useState } from 'preact/hooks'
import { handlingCalls } from '../defaults'
import type { ViewState } from '../store'
import { Say, lastTap, ownNews } from '../ui/band'
import { Overboard, PlaceButton } from '../ui/bar'
import { handName, helmIsGone, isOld, lineName, myCall, shortName, tripRuns } from '../ui/board'
import { Hold, Press } from '../ui/button'
import { useBoard, useLapsing, useNow, usePrefs, useStore } from '../ui/hooks'
import { Mark } from '../ui/marks'
import { LIGHTS, setPrefs } from '../ui/prefs'
import { bandSentence, clearingWhat } from '../ui/say'
import { sounds } from '../ui/sounds'
import { clock, stopwatch } from '../ui/time'
import { FALSE_ALARM_HOLD_MS } from '../ui/touch'
import { words } from '../words'
import { answers, openList, standing } from './checks'
import { type CockpitHands, SPREAD, type Sheet, primary, stopPlace, tileAct, undoPlace } from './cockpit_places'
import { type Tile, Tiles, spreadTiles } from './cockpit_sheets'
import { calledBy, sightWords } from './overboard'

const SHEET_MS = 15000
const SETTING_MS = 20000

export function Cockpit({ view }: { view: 'station' | 'phone' }) {
  const state = useBoard()
  const store = useStore()
  const now = useNow()
  const prefs = usePrefs()
  const [sheet, go] = useLapsing<Sheet>(SPREAD, SHEET_MS)
  const [setting, setSetting] = useLapsing(false, SETTING_MS)
  const [page, setPage] = useState(0)
  const aft = prefs.facing === 'aft'
  const hands: CockpitHands = { state, store, view, now, sheet: view === 'station' && !prefs.facing ? { at: 'facing' } : sheet, go, setting }
  const turn = () => setPage(page + 1)
  const tiles = sheetTiles(hands, aft, () => setSetting(true))
  return (
    <main class={`cockpit ${state.board.overboard.id ? 'emergency' : ''} ${isOld(state) ? 'old' : ''}`} data-view={view}>
      <Who hands={hands} aft={aft} />
      <CockpitBand hands={hands} />
      {state.board.overboard.id ? <Emergency hands={hands} /> : <Tiles tiles={tiles.tiles} columns={tiles.columns} page={page} turn={turn} />}
      <Overboard called={Boolean(myCall(state))} act={() => store.act('overboard', {})} />
      <PlaceButton is={primary(hands)} at="primary" of="primary" />
      <PlaceButton is={stopPlace(hands)} at="stop" of="pair left" />
      <PlaceButton is={undoPlace(hands)} at="undo" of="pair right" />
    </main>
  )
}

/** The strip on top: who this page speaks for, and what became of its last tap. It opens the menu. */
function Who({ hands, aft }: { hands: CockpitHands; aft: boolean }) {
  const { state, store, view, now, sheet, go } = hands
  const name = view === 'station' ? words.cockpitName(sheet.at === 'facing' ? '' : (aft ? words.join.aft : words.join.forward).toLowerCase())
    : handName(state.board, state.me.hand) || words.join.noName
  const news = ownNews(state, now)
  const tap = lastTap(state)
  if (view === 'station' && helmIsGone(state.board) && tripRuns(state.board)) {
    // The helm's tablet went dark: the mounted station offers the helm's buttons, in one tap.
    const take = () => {
      store.takeHelm()
      store.setView('helm')
    }
    return <Press of="who warn" label={`${words.say.helmGone}: ${words.button.takeHelm}`} place="who" act={take}>
      <span class="news"><Mark is="warning" />{words.say.helmGone} - {words.button.takeHelm}</span></Press>
  }
  return (
    <Press of={`who ${news?.look ?? ''}`} label={`${words.button.more}: ${name}`} place="who" fit={1} act={() => go(sheet.at === 'spread' ? { at: 'menu' } : SPREAD)}>
      {news
        ? <span class="news">{news.look === 'warn' && <Mark is="warning" />}{news.text}</span>
        : <><span class="name"><b>{name}</b>{tap && <small><Mark is={tap.mark} />{tap.text.toLowerCase()}</small>}</span>
            <span class="clock">{clock(now, state.utc_offset_ms)}</span></>}
    </Press>
  )
}

function CockpitBand({ hands }: { hands: CockpitHands }) {
  const { state, view, now, setting, sheet } = hands
  const say = bandSentence(state, view, now)
  const asks = sheetSentence(state, sheet)
  if (say.look === 'clear') {
    const { lines_in = 0, total = 0 } = state.board.clearing
    return <header class={`band clear tall ${say.pulse ? 'pulse' : ''}`} data-look="clear">
      <Say text={words.button.clear} more={words.say.share(clearingWhat(state.board), lines_in, total)} /></header>
  }
  if (say.look === 'man') {
    return <header class={`band man tall ${say.pulse ? 'pulse' : ''}`} data-look="man"><Say text={say.text} more={say.more} /></header>
  }
  const text = ['stop', 'link'].includes(say.look) ? say.text : (asks ?? (setting ? words.say.tapLine : say.text))
  return (
    <header class={`band ${say.look} ${say.pulse ? 'pulse' : ''}`} data-look={say.look}>
      <Say text={text} more={say.more} />
    </header>
  )
}

function sheetSentence(state: ViewState, sheet: Sheet): string | null {
  switch (sheet.at) {
    case 'fight': return words.say.howEnded(lineName(state.board, sheet.line))
    case 'strike': return words.say.strike(lineName(state.board, sheet.line))
    case 'line': return words.say.lineIs(lineName(state.board, sheet.line))
    case 'who': return words.join.who
    case 'calls': return words.calls.say
    case 'facing': return words.join.facing
    case 'lists': return words.checks.title
    case 'why': return words.checks.why
    case 'light': return words.setup.light
    case 'menu': case 'spread': {
      const list = openList(state)
      const next = list && state.board.checks.get(list.id)?.next
      return sheet.at === 'spread' && list && next ? (list.items?.[next - 1]?.ask ?? null) : null
    }
  }
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

/** What the tiles are now. Each sheet gives the place back by itself after a while, or by the strip on top. */
function sheetTiles(hands: CockpitHands, aft: boolean, startSetting: () => void): { tiles: Tile[]; columns: 2 | 3 | 4 } {
  const { state, store, now, sheet, go } = hands
  const { board } = state
  const tile = (key: string, label: string, act: () => void, of = ''): Tile => ({
    key, label, name: shortName(label), of, act: () => {
      go(SPREAD)
      act()
    },
  })
  switch (sheet.at) {
    case 'spread': {
      if (!tripRuns(board)) return { tiles: [], columns: 4 }
      const tiles = spreadTiles(state, now, aft, (line) => tileAct(hands, line),
        () => store.act('lines_seen', { scope: 'teasers', state: [...board.lines.values()].some((line) => (line.gear === 'teaser' || line.gear === 'dredge') && (line.state ?? 'in') !== 'in') ? 'in' : 'out' }))
      return { tiles, columns: 4 }
    }
    case 'strike': return { columns: 2, tiles: (['on', 'knockdown', 'gone'] as const).map((end) => tile(`end-${end}`, words.strikeEnd[end], () => store.act('strike_ended', { strike: sheet.strike, end }))) }
    case 'fight': return { columns: 3, tiles: (['boated', 'released', 'pulled', 'broke_off', 'bitten_off', 'not_known'] as const).map((end) => tile(`end-${end}`, words.fightEnd[end], () => store.act('fight_ended', { fight: sheet.fight, end }))) }
    case 'line': return { columns: 2, tiles: (['out', 'in', 'fouled', 'not_known'] as const).map((to) => tile(`line-is-${to}`, words.line[to], () => store.act('line_is', { line: sheet.line, state: to }))) }
    case 'calls': return { columns: 3, tiles: handlingCalls.filter((call) => call.from === 'cockpit').map((call) => tile(`call-${call.what}`, words.call[call.what], () => store.act('call', { what: call.what, to: call.to }))) }
    case 'light': return { columns: 2, tiles: LIGHTS.map((light) => tile(`light-${light}`, words.setup[light], () => setPrefs({ light }))) }
    case 'who': return { columns: 3, tiles: [...board.hands.values()].map((hand) => tile(`hand-${hand.id}`, hand.name, () => store.act('page_hand', { hand: hand.id }), hand.id === state.me.hand ? 'strong' : '')) }
    case 'facing': return { columns: 2, tiles: (['aft', 'forward'] as const).map((facing) => tile(`facing-${facing}`, words.join[facing], () => setPrefs({ facing }))) }
    case 'lists': return { columns: 2, tiles: [...board.lists.values()].map((list) => tile(`list-${list.id}`, `${list.name}: ${standing(state, list)}`, () => store.act('check_opened', { list: list.id }))) }
    case 'why': return { columns: 2, tiles: (['no_time', 'no_gear', 'not_needed', 'broken'] as const).map((why) => tile(`why-${why}`, words.why[why], () => openAnswers(hands)?.notDone(why))) }
    case 'menu': return { columns: 3, tiles: menuTiles(hands, tile, startSetting) }
  }
}

function openAnswers({ state, store }: CockpitHands) {
  const list = openList(state)
  const check = list && state.board.checks.get(list.id)
  return check && answers(store, check)
}

function menuTiles(hands: CockpitHands, tile: (key: string, label: string, act: () => void, of?: string) => Tile, startSetting: () => void): Tile[] {
  const { state, store, go, view } = hands
  const me = state.me.hand
  const opens = (key: string, label: string, to: Sheet): Tile => ({ key, label, name: label, act: () => go(to) })
  const checking = openAnswers(hands)
  return [
    ...(checking ? [opens('not-done', words.button.notDone, { at: 'why' }), tile('not-here', words.button.notHere, checking.notHere), tile('leave', words.button.leaveList, checking.leave)] : []),
    opens('menu-calls', words.button.calls, { at: 'calls' }),
    tile('set-lines', words.button.setLines, startSetting),
    ...(checking ? [] : [opens('menu-checks', words.button.checks, { at: 'lists' })]),
    opens('menu-light', words.setup.light.toUpperCase(), { at: 'light' }),
    tile('sound', sounds.armed() ? words.setup.armed : words.setup.notArmed, () => sounds.test()),
    ...(me ? [tile('wheel-me', words.button.haveWheel, () => store.act('duty', { post: 'wheel', hand: me })), tile('look-out-me', words.button.haveLookOut, () => store.act('duty', { post: 'look_out', hand: me }))] : []),
    ...(view === 'phone' ? [opens('menu-who', words.setup.who.toUpperCase(), { at: 'who' })] : [opens('menu-facing', words.setup.facing.toUpperCase(), { at: 'facing' })]),
    tile('another', words.setup.another, () => store.setView('none')),
  ]
}
