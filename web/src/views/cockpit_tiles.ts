// The tiles of the cockpit now: the spread, or the sheet that stands in its place for a moment. Every sheet's answer is one tap,
// so that nothing at sea is more than two.

import { LIGHT_VALUES, type EntryId, type FightEnd, type HurtHow } from 'proto'
import { handlingCalls } from '../defaults'
import { allLines, eyeLeft, fightOn, handName, inEyeScope, isStern, mayBeStruck, phaseOf, shortName, strikeOn, tripRuns, unnamedStrike, type Line } from '../ui/board'
import { type Act, after, lineOf, tell } from '../ui/earlier'
import { isFloat, isNight } from '../ui/night'
import { LIGHTS, setPrefs } from '../ui/prefs'
import { raiseNow } from '../ui/say_deck'
import { sounds } from '../ui/sounds'
import { clock } from '../ui/time'
import { words } from '../words'
import { answers, openList, standing } from './checks'
import { AGOS, type Ago, type CockpitHands, SPREAD, type Sheet, fishAsked, stripOffer } from './cockpit_places'
import { type Tile, spreadTiles } from './cockpit_sheets'
import type { FishAt } from './fish_steps'

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
const HOW_HURT: readonly HurtHow[] = ['first_aid', 'beyond_first_aid', 'missing', 'dead']
const STAMPS = ['strike', 'raise', 'fish', 'hurt', 'gear', 'other'] as const

/** Each sheet gives the place back by itself after a while, or by the strip on top. */
export function sheetTiles(hands: CockpitHands, modes: TileModes): TileSet {
  const { state, store, sheet, go } = hands
  const { board } = state
  const tile = closing(hands)
  const named = (key: string, act: (hand: number) => Act, now = 0) =>
    [...board.hands.values()].map((hand) => tile(`${key}-${hand.id}`, hand.name, act(hand.id), hand.id === now ? 'strong' : ''))
  switch (sheet.at) {
    case 'spread': return tripRuns(board) ? { columns: 4, tiles: spread(hands, modes) } : { columns: 4, tiles: [] }
    case 'strike': return { columns: 2, tiles: (['on', 'knockdown', 'gone'] as const).map((end) => tile(`end-${end}`, words.strikeEnd[end], tell(store, 'strike_ended', { strike: sheet.strike, end }))) }
    case 'fight': return { columns: 3, tiles: FIGHT_ENDS.map((end) => ({
      ...tile(`end-${end}`, words.fightEnd[end], () => undefined),
      act: after(() => go(afterEnd(hands, end, sheet.fight)), tell(store, 'fight_ended', { fight: sheet.fight, end })),
    })) }
    case 'swam': return { columns: 3, tiles: (['strong', 'revived', 'sank', 'bleeding', 'not_seen'] as const).map((condition) => tile(`swam-${condition}`, words.deck.swam[condition], () => store.act('fight_condition', { fight: sheet.fight, condition }))) }
    case 'line': return { columns: 2, tiles: (['out', 'in', 'fouled', 'not_known'] as const).map((to) => tile(`line-is-${to}`, words.line[to], tell(store, 'line_is', { line: sheet.line, state: to }))) }
    case 'bait': return baitTiles(hands, sheet.line)
    case 'float_light': return { columns: 4, tiles: LIGHT_VALUES.map((light) => tile(`float-light-${light}`, words.bait.light[light], () => store.act('float_light', { line: sheet.line, light }), board.lines.get(sheet.line)?.light === light ? 'strong' : '')) }
    case 'eye': return { columns: 2, tiles: eyeTiles(hands) }
    case 'stamp': return { columns: 3, tiles: STAMPS.map((what) => tile(`stamp-${what}`, words.stamp.is[what], () => store.act('stamp_told', { stamp: sheet.stamp, what }))) }
    case 'hurt': return { columns: 3, tiles: [...board.hands.values()].map((hand) => ({ ...tile(`hurt-${hand.id}`, hand.name, () => undefined), act: () => {
      go({ at: 'hurt_how', hurt: sheet.hurt, hand: hand.id })
      store.act('hurt_told', { hurt: sheet.hurt, hand: hand.id })
    } })) }
    case 'hurt_how': return { columns: 2, tiles: HOW_HURT.map((how) => tile(`hurt-${how}`, words.hurt.is[how], () => store.act('hurt_told', { hurt: sheet.hurt, hand: sheet.hand, how }))) }
    case 'ago': return { columns: 2, tiles: AGOS.map((ago) => tile(`ago-${ago}`, words.ago[ago], () => modes.startAgo(ago))) }
    case 'earlier': return earlierTiles(hands)
    case 'stand_by': return { columns: 3, tiles: named('stand-by', (hand) => tell(store, 'stand_by', { hand }), board.deck.stand_by) }
    case 'duty': return { columns: 3, tiles: named(sheet.post.replace('_', '-'), (hand) => tell(store, 'duty', { post: sheet.post, hand }), board.duty[sheet.post]) }
    case 'calls': return { columns: 4, tiles: handlingCalls.filter((call) => call.from === 'cockpit').map((call) => tile(`call-${call.what}`, words.call[call.what], () => store.act('call', { what: call.what, to: call.to }))) }
    case 'light': return { columns: 2, tiles: LIGHTS.map((light) => tile(`light-${light}`, words.setup[light], () => setPrefs({ light }))) }
    case 'who': return { columns: 3, tiles: named('hand', (hand) => tell(store, 'page_hand', { hand }), state.me.hand) }
    case 'facing': return { columns: 2, tiles: (['aft', 'forward'] as const).map((facing) => tile(`facing-${facing}`, words.join[facing], () => setPrefs({ facing }))) }
    case 'lists': return { columns: 2, tiles: listTiles(hands) }
    case 'why': return { columns: 2, tiles: (['no_time', 'no_gear', 'not_needed', 'broken'] as const).map((why) => tile(`why-${why}`, words.why[why], () => openAnswers(hands)?.notDone(why))) }
    case 'fish': return fishTiles(hands, sheet.to)
    case 'menu': return { columns: 3, tiles: menuTiles(hands, modes) }
  }
}

/** A list by its name, and how it stands: the one for overboard must not be taken for the button. Who has done it has no room. */
function listTiles(hands: CockpitHands): Tile[] {
  const { state, store } = hands
  return [...state.board.lists.values()].map((list) => {
    const stands = standing(state, list)
    const check = state.board.checks.get(list.id)
    return { ...closing(hands)(`list-${list.id}`, `${list.name}: ${stands}`, () => store.act('check_opened', { list: list.id }), 'list'), name: shortName(list.name), told: [check?.state === 'done' ? words.checks.done(clock(check.done_ms ?? 0, state.utc_offset_ms), '') : stands] }
  })
}

/** A fish that came aboard: what it is. One that was let go: how it swam off. */
function afterEnd({ fish }: CockpitHands, end: FightEnd, fight: EntryId): Sheet {
  if (end === 'released') return { at: 'swam', fight }
  return end === 'boated' && fish?.species.length ? { at: 'fish', to: { at: 'species', fish: fight } } : SPREAD
}

function fishTiles(hands: CockpitHands, to: FishAt): TileSet {
  const step = fishAsked(hands, to)
  return { columns: step.columns, tiles: step.tiles.map((tile) => ({
    key: tile.key, label: [tile.label, tile.told].filter(Boolean).join(': '), name: tile.label, ...(tile.told ? { told: [tile.told] } : {}), of: tile.strong ? 'strong' : '', act: tile.act,
  })) }
}

type MakeTile = (key: string, label: string, act: Act, of?: string) => Tile

/** A tile that does its act and gives the place back to the spread. */
function closing({ go }: CockpitHands): MakeTile {
  return (key, label, act, of = '') => ({ key, label, name: shortName(label), of, act: after(() => go(SPREAD), act) })
}

/** What is in, part by part. The sheet stays while anything is left: what was answered stands there as done, so that the touch
 * after it lands on no line's tile. */
function eyeTiles({ state, store, go }: CockpitHands): Tile[] {
  const { board } = state
  return (['port', 'starboard', 'teasers'] as const).filter((scope) => inEyeScope(board, scope).length).map((scope): Tile => {
    const label = words.button[`${scope}In`]
    const is = { key: `seen-${scope}`, name: shortName(label) }
    return eyeLeft(board, scope)
      ? { ...is, label, act: after(() => go({ at: 'eye' }), tell(store, 'lines_seen', { scope, state: 'in' })) }
      : { ...is, label: `${label}: ${words.callState.done}`, mark: 'done', of: 'answered' }
  })
}

/** How long ago what was held was. Where a line's tile was held, what else may be said of that line stands beside it. */
function earlierTiles(hands: CockpitHands): TileSet {
  const { state, earlier } = hands
  const asked = earlier?.asked
  if (!earlier || !asked) return { columns: 2, tiles: [] }
  const ages = AGOS.map((ago): Tile => ({ key: `ago-${ago}`, label: words.ago[ago], name: words.ago[ago], of: 'age', act: () => earlier.answer(Number(ago)) }))
  const line = asked.place === `line-${lineOf(asked.act)}` ? allLines(state.board).find((one) => one.id === lineOf(asked.act)) : undefined
  const others = line ? otherwise(hands, line, asked.act) : []
  // A line that is struck meanwhile takes the others away; the ages stay where a finger set out for them.
  const stays = line !== undefined && asked.act.tells?.kind !== 'line_is'
  return others.length || stays ? { columns: 4, tiles: [...ages, ...others] } : { columns: 2, tiles: ages }
}

/** What a line in the water may be said to be, beside what its tile says by a short touch: at most four. */
function otherwise(hands: CockpitHands, line: Line, first: Act): Tile[] {
  const { store, earlier } = hands
  if (line.state === 'in' || line.state === 'strike' || line.state === 'on') return []
  const tile = closing(hands)
  const says = (key: string, label: string, act: Act) => ({ ...tile(key, label, act), act: after(() => earlier?.drop(), after(() => hands.go(SPREAD), act)) })
  const is = first.tells?.kind === 'line_is' ? (first.tells.body as { state: string }).state : ''
  const out = line.state === 'out'
  return [
    ...(out && first.tells?.kind !== 'strike' ? [says('other-strike', words.button.strike, tell(store, 'strike', { line: line.id }))] : []),
    ...(is === 'in' ? [] : [says('other-in', words.line.in, tell(store, 'line_is', { line: line.id, state: 'in' }))]),
    ...(line.asked && !line.kept ? [says('other-kept', words.button.keepOut, () => store.act('line_kept', { line: line.id, kept: true }))] : []),
    says('other-fouled', words.line.fouled, tell(store, 'line_is', { line: line.id, state: 'fouled' })),
    ...(out ? (['weed', 'changed'] as const).map((result) => says(`other-${result}`, words.bait.is[result], tell(store, 'bait_checked', { line: line.id, result }))) : []),
  ].slice(0, 4)
}

function spread(hands: CockpitHands, { aft, startSetting }: TileModes): Tile[] {
  const { state, store, now, go } = hands
  const { board } = state
  const up = raiseNow(board)
  const wet = allLines(board).filter((line) => isStern(line) && line.state !== 'in')
  const [teaser, another] = wet.filter((line) => line.gear === 'teaser')
  // One teaser alone is in by the same act; which of several it was, the tile of all of them cannot say.
  const stern = up && wet.length && !up.teaser_in
    ? tell(store, 'raise_gear_moved', { episode: up.id, gear: 'teaser_in', ...(teaser && !another ? { line: teaser.id } : {}) })
    : tell(store, 'lines_seen', { scope: 'teasers', state: wet.length ? 'in' : 'out' })
  // LINES IN/OUT goes on while tiles are tapped: it must not lapse between one line and the next.
  const kept = (act: Act | undefined) => (hands.setting && act ? after(startSetting, act) : act)
  const tiles = spreadTiles(state, now, aft, (line) => ({ act: kept(tileAct(hands, line)), ...lightHeld(hands, line) }), stern)
  return isNight(board) ? byNight(tiles, watchTiles(state, store, go)) : tiles
}

/** By night a float's tile that is held opens its light: it is the light by which the crew calls it. */
function lightHeld({ state, go }: CockpitHands, line: Line): Pick<Tile, 'held'> {
  const is = isNight(state.board) && isFloat(line) && !['strike', 'on'].includes(line.state)
  return is ? { held: { word: words.bait.lightOf, act: () => go({ at: 'float_light', line: line.id }) } } : {}
}

/** What is fished by night comes first, then the slick and the watch; lines that are in wait behind MORE. */
function byNight(tiles: readonly Tile[], watch: readonly Tile[]): Tile[] {
  const wet = tiles.filter((tile) => tile.of !== 'in' || tile.float)
  return [...wet, ...watch, ...tiles.filter((tile) => !wet.includes(tile)).map((tile) => ({ ...tile, later: true }))]
}

function watchTiles({ board }: CockpitHands['state'], store: CockpitHands['store'], go: CockpitHands['go']): Tile[] {
  const { slick = false, stand_by } = board.deck
  const named = (key: string, label: string, hand: number | undefined, to: Sheet): Tile =>
    ({ key, label: `${label}: ${handName(board, hand) || words.nobody}`, name: label, told: [handName(board, hand) || words.nobody], of: 'watch', act: () => go(to) })
  const slickName = slick ? words.deck.slickOff : words.deck.slickOn
  return [
    { key: 'slick', label: slickName, name: slickName, of: 'watch', act: tell(store, 'slick', { on: !slick }) },
    named('stand-by', words.deck.standByTile, stand_by, { at: 'stand_by' }),
    named('look-out', words.button.lookOut, board.duty.look_out, { at: 'duty', post: 'look_out' }),
  ]
}

/** A bait's tile: what was found, or that it is in or out; BITE is the large place. A float has its light too. */
function baitTiles(hands: CockpitHands, id: number): TileSet {
  const { state, store, go } = hands
  const tile = closing(hands)
  const line = state.board.lines.get(id)
  const out = line?.state === 'out'
  const found = RESULTS.map((result) => tile(`bait-${result}`, words.bait.is[result], tell(store, 'bait_checked', { line: id, result })))
  const to = out ? 'in' : 'out'
  return { columns: 4, tiles: [
    ...found, tile(`line-is-${to}`, words.line[to], tell(store, 'line_is', { line: id, state: to })),
    tile('line-is-fouled', words.line.fouled, tell(store, 'line_is', { line: id, state: 'fouled' })),
    ...(line?.gear === 'float' ? [{ key: 'bait-light', label: words.bait.lightOf, name: words.bait.lightOf, act: () => go({ at: 'float_light', line: id }) }] : []),
  ] }
}

/** What a tap on a line's tile says: told by whoever handles it. */
export function tileAct(at: CockpitHands, line: Line): Act | undefined {
  const { state, store, go, view, setting } = at
  const { board } = state
  const is = (to: 'in' | 'out') => tell(store, 'line_is', { line: line.id, state: to })
  const strike = strikeOn(board, line.id)
  if (line.state === 'strike' && strike) return () => go({ at: 'strike', strike: strike.id, line: line.id })
  const fight = fightOn(board, line.id)
  if (line.state === 'on' && fight) return () => go({ at: 'fight', fight: fight.id, line: line.id })
  const unnamed = unnamedStrike(board)
  if (unnamed && mayBeStruck(line)) return tell(store, 'strike_named', { strike: unnamed.id, line: line.id })
  // Which line it was is what the page asks: a touch on one that is in would answer something else.
  if (unnamed && !setting) return undefined
  if (line.state === 'fouled' || line.state === 'not_known') return () => go({ at: 'line', line: line.id })
  if (line.unsure && (line.state === 'in' || line.state === 'out')) return is(line.state)
  if (line.state === 'in' || line.state === 'setting') return is('out')
  if (line.state === 'clearing' || setting) return is('in')
  if (line.asked) return view === 'phone' && state.me.hand ? () => store.act('line_taken', { line: line.id }) : is('in')
  const up = raiseNow(board)
  if (up && up.line !== line.id) return tell(store, 'raise_touched', { episode: up.id, line: line.id })
  if (isNight(board) && (isFloat(line) || line.check)) return () => go({ at: 'bait', line: line.id })
  return tell(store, 'strike', { line: line.id })
}

function openAnswers({ state, store }: CockpitHands) {
  const list = openList(state)
  const check = list && state.board.checks.get(list.id)
  return check && answers(store, check)
}

/** What the work may want now; the first five are one tap from the strip. */
function workTiles(hands: CockpitHands, modes: TileModes, tile: MakeTile, opens: (key: string, label: string, to: Sheet) => Tile): Tile[] {
  const { state, store } = hands
  const { board } = state
  const me = state.me.hand
  const { door = false, gaff = false } = board.deck
  const hurt = tile('hurt', words.button.hurt, () => store.act('hurt', {}))
  const happened = tile('happened', words.button.happened, tell(store, 'stamped', {}))
  const doorTile = tile('door', door ? words.button.shutDoor : words.button.openDoor, tell(store, 'door', { open: !door }))
  const raised = tile('raised', words.button.raised, tell(store, 'raised', {}))
  const ago = opens('menu-ago', words.deck.ago, { at: 'ago' })
  const setLines = tile('set-lines', words.button.setLines, modes.startSetting)
  // The strip has the calls; while it offers something else, they stand here.
  const calls = stripOffer({ ...hands, sheet: SPREAD }) ? [opens('menu-calls', words.button.calls, { at: 'calls' })] : []
  if (board.fights.size) {
    return [hurt, happened, doorTile, tile('gaff', gaff ? words.button.gaffAway : words.button.gaff, tell(store, 'gaff', { up: !gaff, ...(me ? { hand: me } : {}) })), ...calls, ago, setLines, raised]
  }
  const fishing = phaseOf(board) === 'fishing' ? [raised] : []
  return [hurt, happened, ...(door ? [doorTile] : []), ...calls, ...fishing, ago, setLines, ...(door ? [] : [doorTile])]
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
  const post = (post: 'wheel' | 'look_out', name: string) => opens(`menu-${post.replace('_', '-')}`, name, { at: 'duty', post })
  return [
    ...(checking ? [opens('not-done', words.button.notDone, { at: 'why' }), tile('not-here', words.button.notHere, checking.notHere), tile('leave', words.button.leaveList, checking.leave)] : []),
    ...(runs ? [...workTiles(hands, modes, tile, opens), post('wheel', words.button.wheel), post('look_out', words.button.lookOut)] : [opens('menu-calls', words.button.calls, { at: 'calls' })]),
    ...(phaseOf(board) === 'none' ? [] : [opens('menu-fish', words.fish.tab.fish, { at: 'fish', to: { at: 'which' } })]),
    ...(runs && isNight(board) ? [opens('menu-stand-by', words.deck.standBy, { at: 'stand_by' })] : []),
    ...(checking ? [] : [opens('menu-checks', words.button.checks, { at: 'lists' })]),
    ...(runs && me ? [tile('wheel-me', words.button.haveWheel, tell(store, 'duty', { post: 'wheel', hand: me })), tile('look-out-me', words.button.haveLookOut, tell(store, 'duty', { post: 'look_out', hand: me }))] : []),
    opens('menu-light', words.setup.light.toUpperCase(), { at: 'light' }),
    tile('sound', sounds.armed() ? words.setup.armed : words.setup.notArmed, () => sounds.test()),
    ...(view === 'phone' ? [opens('menu-who', words.setup.who.toUpperCase(), { at: 'who' })] : [opens('menu-facing', words.setup.facing.toUpperCase(), { at: 'facing' })]),
    tile('another', words.setup.another, () => store.setView('none')),
  ]
}
