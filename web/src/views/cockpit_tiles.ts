// The tiles of the cockpit now: the spread, or the sheet that stands in its place for a moment. Every sheet's answer is one tap,
// so that nothing at sea is more than two.

import { LIGHT_VALUES } from 'proto'
import { handlingCalls } from '../defaults'
import { allLines, fightOn, isStern, phaseOf, shortName, strikeOn, strikes, tripRuns, type Line } from '../ui/board'
import { isFloat, isNight } from '../ui/night'
import { LIGHTS, setPrefs } from '../ui/prefs'
import { raises } from '../ui/say_deck'
import { sounds } from '../ui/sounds'
import { words } from '../words'
import { answers, openList, standing } from './checks'
import { AGOS, type Ago, type CockpitHands, SPREAD, type Sheet } from './cockpit_places'
import { type Tile, spreadTiles } from './cockpit_sheets'

export interface TileSet {
  tiles: Tile[]
  columns: 2 | 3 | 4
}

export interface TileModes {
  aft: boolean
  startSetting: () => void
  startAgo: (ago: Ago) => void
}

const FIGHT_ENDS = ['boated', 'released', 'pulled', 'broke_off', 'bitten_off', 'not_known'] as const
const RESULTS = ['clean', 'chewed', 'gone', 'weed', 'changed'] as const
const STAMPS = ['strike', 'raise', 'fish', 'hurt', 'gear', 'other'] as const

/** Each sheet gives the place back by itself after a while, or by the strip on top. */
export function sheetTiles(hands: CockpitHands, modes: TileModes): TileSet {
  const { state, store, sheet, go } = hands
  const { board } = state
  const tile = closing(hands)
  switch (sheet.at) {
    case 'spread': return tripRuns(board) ? { columns: 4, tiles: spread(hands, modes.aft) } : { columns: 4, tiles: [] }
    case 'strike': return { columns: 2, tiles: (['on', 'knockdown', 'gone'] as const).map((end) => tile(`end-${end}`, words.strikeEnd[end], () => store.act('strike_ended', { strike: sheet.strike, end }))) }
    case 'fight': return { columns: 3, tiles: FIGHT_ENDS.map((end) => ({ ...tile(`end-${end}`, words.fightEnd[end], () => undefined), act: () => {
      go(end === 'released' ? { at: 'swam', fight: sheet.fight } : SPREAD)
      store.act('fight_ended', { fight: sheet.fight, end })
    } })) }
    case 'swam': return { columns: 3, tiles: (['strong', 'revived', 'sank', 'bleeding', 'not_seen'] as const).map((condition) => tile(`swam-${condition}`, words.deck.swam[condition], () => store.act('fight_condition', { fight: sheet.fight, condition }))) }
    case 'line': return { columns: 2, tiles: (['out', 'in', 'fouled', 'not_known'] as const).map((to) => tile(`line-is-${to}`, words.line[to], () => store.act('line_is', { line: sheet.line, state: to }))) }
    case 'bait': return baitTiles(hands, sheet.line)
    case 'float_light': return { columns: 4, tiles: LIGHT_VALUES.map((light) => tile(`float-light-${light}`, words.bait.light[light], () => store.act('float_light', { line: sheet.line, light }), board.lines.get(sheet.line)?.light === light ? 'strong' : '')) }
    case 'eye': return { columns: 2, tiles: (['port', 'starboard', 'teasers'] as const).map((scope) => tile(`seen-${scope}`, words.button[`${scope}In`], () => store.act('lines_seen', { scope, state: 'in' }))) }
    case 'stamp': return { columns: 4, tiles: [...STAMPS.map((what) => tile(`stamp-${what}`, words.stamp.is[what], () => store.act('stamp_told', { stamp: sheet.stamp, what }))), { key: 'stamp-menu', label: words.deck.menu, name: words.deck.menu, act: () => go({ at: 'menu' }) }, callsTile(hands)] }
    case 'hurt': return { columns: 3, tiles: [callsTile(hands), ...[...board.hands.values()].map((hand) => tile(`hurt-${hand.id}`, hand.name, () => store.act('hurt_told', { hurt: sheet.hurt, hand: hand.id })))] }
    case 'ago': return { columns: 2, tiles: AGOS.map((ago) => tile(`ago-${ago}`, words.ago[ago], () => modes.startAgo(ago))) }
    case 'stand_by': return { columns: 3, tiles: [...board.hands.values()].map((hand) => tile(`stand-by-${hand.id}`, hand.name, () => store.act('stand_by', { hand: hand.id }), hand.id === board.deck.stand_by ? 'strong' : '')) }
    case 'calls': return { columns: 3, tiles: handlingCalls.filter((call) => call.from === 'cockpit').map((call) => tile(`call-${call.what}`, words.call[call.what], () => store.act('call', { what: call.what, to: call.to }))) }
    case 'light': return { columns: 2, tiles: LIGHTS.map((light) => tile(`light-${light}`, words.setup[light], () => setPrefs({ light }))) }
    case 'who': return { columns: 3, tiles: [...board.hands.values()].map((hand) => tile(`hand-${hand.id}`, hand.name, () => store.act('page_hand', { hand: hand.id }), hand.id === state.me.hand ? 'strong' : '')) }
    case 'facing': return { columns: 2, tiles: (['aft', 'forward'] as const).map((facing) => tile(`facing-${facing}`, words.join[facing], () => setPrefs({ facing }))) }
    case 'lists': return { columns: 2, tiles: [...board.lists.values()].map((list) => tile(`list-${list.id}`, `${list.name}: ${standing(state, list)}`, () => store.act('check_opened', { list: list.id }))) }
    case 'why': return { columns: 2, tiles: (['no_time', 'no_gear', 'not_needed', 'broken'] as const).map((why) => tile(`why-${why}`, words.why[why], () => openAnswers(hands)?.notDone(why))) }
    case 'menu': return { columns: 3, tiles: menuTiles(hands, modes) }
  }
}

/** On each sheet that the strip offers in the menu's place: the calls stay two taps away. */
function callsTile({ go }: CockpitHands): Tile {
  return { key: 'menu-calls', label: words.button.calls, name: words.button.calls, act: () => go({ at: 'calls' }) }
}

type MakeTile = (key: string, label: string, act: () => void, of?: string) => Tile

/** A tile that does its act and gives the place back to the spread. */
function closing({ go }: CockpitHands): MakeTile {
  return (key, label, act, of = '') => ({
    key, label, name: shortName(label), of, act: () => {
      go(SPREAD)
      act()
    },
  })
}

function spread(hands: CockpitHands, aft: boolean): Tile[] {
  const { state, store, now } = hands
  const { board } = state
  const up = board.fights.size ? undefined : raises(board)[0]
  const wet = allLines(board).some((line) => isStern(line) && line.state !== 'in')
  const stern = up && wet && !up.teaser_in
    ? () => store.act('raise_gear_moved', { episode: up.id, gear: 'teaser_in' })
    : () => store.act('lines_seen', { scope: 'teasers', state: wet ? 'in' : 'out' })
  return spreadTiles(state, now, aft, (line) => tileAct(hands, line), stern)
}

/** A bait's tile: what was found, or that it is in or out; BITE is the large place. By night a float has its light too. */
function baitTiles(hands: CockpitHands, id: number): TileSet {
  const { state, store, go } = hands
  const tile = closing(hands)
  const line = state.board.lines.get(id)
  const out = line?.state === 'out'
  const found = RESULTS.map((result) => tile(`bait-${result}`, words.bait.is[result], () => store.act('bait_checked', { line: id, result })))
  const to = out ? 'in' : 'out'
  return { columns: 4, tiles: [
    ...found, tile(`line-is-${to}`, words.line[to], () => store.act('line_is', { line: id, state: to })),
    tile('line-is-fouled', words.line.fouled, () => store.act('line_is', { line: id, state: 'fouled' })),
    ...(!isNight(state.board) ? [callsTile(hands)] : line?.gear === 'float' ? [{ key: 'bait-light', label: words.bait.lightOf, name: words.bait.lightOf, act: () => go({ at: 'float_light', line: id }) }] : []),
  ] }
}

/** What a tap on a line's tile says: told by whoever handles it. */
export function tileAct(at: CockpitHands, line: Line): (() => void) | undefined {
  const { state, store, go, view, setting } = at
  const { board } = state
  const is = (to: 'in' | 'out') => () => store.act('line_is', { line: line.id, state: to })
  const strike = strikeOn(board, line.id)
  if (line.state === 'strike' && strike) return () => go({ at: 'strike', strike: strike.id, line: line.id })
  const fight = fightOn(board, line.id)
  if (line.state === 'on' && fight) return () => go({ at: 'fight', fight: fight.id, line: line.id })
  const unnamed = strikes(board).find((one) => !one.line)
  if (unnamed && line.state !== 'in') return () => store.act('strike_named', { strike: unnamed.id, line: line.id })
  if (line.state === 'fouled' || line.state === 'not_known') return () => go({ at: 'line', line: line.id })
  if (line.unsure && (line.state === 'in' || line.state === 'out')) return is(line.state)
  if (line.state === 'in' || line.state === 'setting') return is('out')
  if (line.state === 'clearing' || setting) return is('in')
  if (line.asked) return view === 'phone' && state.me.hand ? () => store.act('line_taken', { line: line.id }) : is('in')
  const up = board.fights.size ? undefined : raises(board)[0]
  if (up && up.line !== line.id) return () => store.act('raise_touched', { episode: up.id, line: line.id })
  if (isNight(board) && (isFloat(line) || line.check)) return () => go({ at: 'bait', line: line.id })
  return () => store.act('strike', { line: line.id })
}

function openAnswers({ state, store }: CockpitHands) {
  const list = openList(state)
  const check = list && state.board.checks.get(list.id)
  return check && answers(store, check)
}

/** What the work may want now; the first five are one tap from the strip. */
function workTiles({ state, store }: CockpitHands, modes: TileModes, tile: MakeTile, opens: (key: string, label: string, to: Sheet) => Tile): Tile[] {
  const { board } = state
  const me = state.me.hand
  const { door = false, gaff = false, slick = false } = board.deck
  const doorTile = tile('door', door ? words.button.shutDoor : words.button.openDoor, () => store.act('door', { open: !door }))
  const ago = opens('menu-ago', words.deck.ago, { at: 'ago' })
  const setLines = tile('set-lines', words.button.setLines, modes.startSetting)
  const first = [tile('hurt', words.button.hurt, () => store.act('hurt', {})), opens('menu-calls', words.button.calls, { at: 'calls' })]
  if (board.fights.size) {
    return [...first, doorTile, tile('gaff', gaff ? words.button.gaffAway : words.button.gaff, () => store.act('gaff', { up: !gaff, ...(me ? { hand: me } : {}) })), ago, setLines]
  }
  const night = [tile('slick', slick ? words.deck.slickOff : words.deck.slickOn, () => store.act('slick', { on: !slick })), opens('menu-stand-by', words.deck.standBy, { at: 'stand_by' })]
  if (isNight(board)) return [...first, ago, ...night, setLines, doorTile]
  return [...first, ...(phaseOf(board) === 'fishing' ? [tile('raised', words.button.raised, () => store.act('raised', {}))] : []), ago, setLines, doorTile]
}

/** First what may be wanted with a hand free for a moment, then what is set once. */
function menuTiles(hands: CockpitHands, modes: TileModes): Tile[] {
  const { state, store, go, view } = hands
  const { board } = state
  const me = state.me.hand
  const tile = closing(hands)
  const opens = (key: string, label: string, to: Sheet): Tile => ({ key, label, name: label, act: () => go(to) })
  const checking = openAnswers(hands)
  const runs = tripRuns(board)
  return [
    ...(checking ? [opens('not-done', words.button.notDone, { at: 'why' }), tile('not-here', words.button.notHere, checking.notHere), tile('leave', words.button.leaveList, checking.leave)] : []),
    ...(runs ? workTiles(hands, modes, tile, opens) : [opens('menu-calls', words.button.calls, { at: 'calls' })]),
    ...(checking ? [] : [opens('menu-checks', words.button.checks, { at: 'lists' })]),
    opens('menu-light', words.setup.light.toUpperCase(), { at: 'light' }),
    tile('sound', sounds.armed() ? words.setup.armed : words.setup.notArmed, () => sounds.test()),
    ...(me ? [tile('wheel-me', words.button.haveWheel, () => store.act('duty', { post: 'wheel', hand: me })), tile('look-out-me', words.button.haveLookOut, () => store.act('duty', { post: 'look_out', hand: me }))] : []),
    ...(view === 'phone' ? [opens('menu-who', words.setup.who.toUpperCase(), { at: 'who' })] : [opens('menu-facing', words.setup.facing.toUpperCase(), { at: 'facing' })]),
    tile('another', words.setup.another, () => store.setView('none')),
  ]
}
