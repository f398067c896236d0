// What the cockpit says and offers in the quiet at the leader, by night, and with full hands: read off fixtures' boards, with a
// store that keeps what was tapped.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { View } from 'proto'
import type { Store, ViewState } from '../../web/src/store'
import { type Act, type Asked, type Earlier, asOf, mayBeOld } from '../../web/src/ui/earlier'
import { boardFromFlat } from '../../web/src/ui/flat'
import { reachNow } from '../../web/src/ui/night'
import { bandSentence } from '../../web/src/ui/say'
import { type CockpitHands, primary, type Sheet, SPREAD, sheetSentence, stopPlace, stripOffer, undoPlace } from '../../web/src/views/cockpit_places'
import { allLines, reachOf } from '../../web/src/ui/board'
import { sheetTiles, tileAct } from '../../web/src/views/cockpit_tiles'
import { NOW, flatOf, pageOf } from './fixtures/boards'
import { FIXTURES } from './fixtures/fixtures'

interface Tapped {
  kind: string
  body: object
  ago_ms?: number | undefined
}

/** The fixture's page with a store that only remembers. */
function hands(name: string, sheet: Sheet = SPREAD): { at: CockpitHands; tapped: Tapped[] } {
  const fixture = FIXTURES[name]
  assert.ok(fixture, name)
  const view = fixture.view as 'station' | 'phone'
  const tapped: Tapped[] = []
  const state: ViewState = {
    board: boardFromFlat(flatOf(fixture)), known: true, rev: 7, link: { state: 'ok', since: NOW },
    me: { source: 'crew', device: 1, page: pageOf(view), hand: view === 'phone' ? 2 : 0, view, greeted: true, keyless: false },
    taps: [], waiting: 0, rings: [], disk: 'ok', unsaved: 0, utc_offset_ms: 0, release: 'same', storage: 'kept', mismatches: 0, ...fixture.state,
  }
  const store = {
    state: () => state, undo: () => tapped.push({ kind: 'undo', body: {} }),
    act: (kind: string, body: object, options?: { ago_ms?: number }) => {
      tapped.push({ kind, body, ...(options?.ago_ms ? { ago_ms: options.ago_ms } : {}) })
      return ''
    },
  } as unknown as Store
  return { at: { state, store, view, now: NOW, sheet, go: (to) => tapped.push({ kind: `sheet ${to.at}`, body: to }), setting: false, earlier: null, fish: null }, tapped }
}

const says = (name: string, view?: View) => {
  const { at } = hands(name)
  const { text, more, alert } = bandSentence(at.state, view ?? at.view, NOW)
  return [text, more, alert]
}

test('at the leader the cockpit says that and no more, and reads nothing aloud; the helm has the rest', () => {
  assert.deepEqual(says('station-leader'), ['LEADER 0:12', '', ''])
  assert.match(says('station-leader', 'helm')[1] ?? '', /Ruth wires/)
  assert.match(says('station-leader-stop')[0] ?? '', /^STOP/)
  assert.match(says('station-leader-hurt')[0] ?? '', /^HURT/)
})

test('at the leader the places are HURT and STOP; neither asks anything', () => {
  const { at, tapped } = hands('station-leader')
  primary(at).act?.()
  stopPlace(at).act?.()
  assert.deepEqual(tapped.map((one) => one.kind), ['hurt', 'stop'])
  assert.equal(undoPlace(at).label, '')
})

test('a hand at the leader is never shown as absent', () => {
  const { board } = hands('station-leader').at.state
  assert.deepEqual([3, 4, 5].map((hand) => reachNow(board, hand).state), ['here', 'here', 'asleep'])
})

test('STOP is one tap, and with it HURT is the next', () => {
  const { at, tapped } = hands('station-stop-hurt')
  primary(at).act?.()
  assert.deepEqual(tapped.map((one) => one.kind), ['hurt'])
})

test('while a fish is up a lane is touched, the lane it is at is struck, the strip has the pitch bait', () => {
  const { at, tapped } = hands('station-raise')
  const lane = (id: number) => allLines(at.state.board).find((line) => line.id === id)
  for (const id of [6, 2]) tileAct(at, lane(id) as NonNullable<ReturnType<typeof lane>>)?.()
  stripOffer(at)?.act()
  primary(at).act?.()
  assert.deepEqual(tapped.map((one) => one.kind), ['raise_touched', 'strike', 'raise_gear_moved', 'raise_ended'])
  assert.deepEqual(tapped[0]?.body, { episode: 'bbbbbbbbbbbbbbbb.o.11', line: 6 })
})

test('while a strike names no line, the lines that it may mean are framed and a touch names one; one that is in is dead', () => {
  const { at, tapped } = hands('station-which')
  const tiles = () => sheetTiles(at, MODES).tiles.filter((tile) => tile.key.startsWith('line-'))
  assert.deepEqual(tiles().filter((tile) => tile.of?.includes('asked')).map((tile) => tile.key), ['line-1', 'line-2', 'line-3', 'line-4', 'line-6', 'line-7'])
  assert.equal(tiles().find((tile) => tile.key === 'line-5')?.act, undefined)
  touch(at, 'line-4')
  sheetTiles({ ...at, setting: true }, MODES).tiles.find((tile) => tile.key === 'line-5')?.act?.()
  assert.deepEqual(tapped, [
    { kind: 'strike_named', body: { strike: 'aaaaaaaaaaaaaaaa.o.4', line: 4 } }, { kind: 'line_is', body: { line: 5, state: 'out' } },
  ])
})

test('BY EYE stays open from answer to answer, and shows what was answered as done', () => {
  const { at, tapped } = hands('station-by-eye', { at: 'eye' })
  const tiles = sheetTiles(at, MODES).tiles
  assert.deepEqual(tiles.map((tile) => [tile.key, tile.mark ?? '', tile.act !== undefined]), [['seen-port', '', true], ['seen-starboard', 'done', false], ['seen-teasers', '', true]])
  touch(at, 'seen-port')
  assert.deepEqual(tapped, [{ kind: 'sheet eye', body: { at: 'eye' } }, { kind: 'lines_seen', body: { scope: 'port', state: 'in' } }])
})

test('CHECKS with no trip says where the lists come from', () => {
  const { state } = hands('station-fishing').at
  const none = { ...state, board: { ...state.board, lists: new Map() } }
  assert.deepEqual([sheetSentence(state, { at: 'lists' }, NOW), sheetSentence(none, { at: 'lists' }, NOW)], ['Checks', 'Lists come with a trip'])
})

test('a list stands by its name, with how it stands in a line of its own', () => {
  const tiles = sheetTiles(hands('station-lists', { at: 'lists' }).at, MODES).tiles
  assert.deepEqual(tiles.slice(1).map(({ name, told }) => [name, told]), [
    ['BEFORE LINES GO IN', ['do, then confirm']], ['BEFORE DARK', ['do, then confirm']], ['OVERBOARD', ['read, then do']],
  ])
})

test('a hand is reached by a page that shows the board, and by none that shows the way in or the debrief', () => {
  const { board } = hands('station-fishing').at.state
  const shows = (view: View, state: 'here' | 'asleep' = 'here') => ({ page: `${view}`.padEnd(16, '0'), view, hand: 4, state })
  const reach = (...pages: ReturnType<typeof shows>[]) => reachOf({ ...board, pages: new Map(pages.map((page) => [page.page, page])) }, 4).state
  assert.deepEqual([reach(shows('none')), reach(shows('debrief')), reach(shows('guest')), reach(shows('debrief'), shows('phone', 'asleep')), reach(shows('phone'))], ['voice', 'voice', 'voice', 'asleep', 'here'])
})

test('a bite by night: the other baits stand beside it, one tap wakes the stand-by, his answer shows', () => {
  const { at, tapped } = hands('station-night-bite')
  assert.deepEqual(says('station-night-bite').slice(0, 2), ['Bite: float 2', '3 more out: float 1, 3, 4'])
  assert.equal(primary(at).label, 'WAKE DOV')
  primary(at).act?.()
  assert.deepEqual(tapped, [{ kind: 'call', body: { what: 'wake', to: 'below', hand: 5 } }])
  assert.equal(says('station-night-coming')[1], 'Dov is coming')
  assert.equal(says('station-night-all-called')[1], 'Dov not heard: all are called')
})

test('the woken hand reads what bit and answers; another hand only after a minute', () => {
  assert.equal(says('phone-night-wake')[0], 'Bite float 2, come up')
  const { at, tapped } = hands('phone-night-wake')
  primary(at).act?.()
  assert.deepEqual(tapped.map((one) => one.kind), ['call_got'])
  assert.equal(says('phone-night-all-called')[0], 'Bite float 2, come up')
})

test('a hand that is called up at the leader answers first, and HURT is back after it; at the fish HURT stays', () => {
  const fight = { id: 'bbbbbbbbbbbbbbbb.o.31', line: 12, since_ms: NOW - 60_000, leader: true, leader_ms: NOW - 2000, wire: 3 }
  const woken = (of: object) => {
    const { at } = hands('phone-night-wake')
    const fights = new Map([[fight.id, { ...fight, ...of }]])
    return { ...at, state: { ...at.state, board: { ...at.state.board, fights } } }
  }
  const answered = (at: CockpitHands) => new Map([...at.state.board.calls].map(([id, call]) => [id, { ...call, state: 'got' as const }]))
  const at = woken({})
  assert.deepEqual([primary(at).label, primary(at).sub], ['GOT IT', 'COME UP'])
  assert.equal(primary({ ...at, state: { ...at.state, board: { ...at.state.board, calls: answered(at) } } }).label, 'HURT')
  assert.equal(primary({ ...at, view: 'station' }).label, 'HURT')
  assert.equal(primary({ ...at, state: { ...at.state, board: { ...at.state.board, stop: { id: 'bbbbbbbbbbbbbbbb.e.32' } } } }).label, 'HURT')
  assert.equal(primary(woken({ wire: 5 })).label, 'HURT')
})

test('by night the oldest bait is asked for; its look is two taps', () => {
  const { at, tapped } = hands('station-night')
  assert.match(says('station-night').join(' '), /^4 of 4 baits out oldest: float 2 34 min $/)
  assert.match(says('station-night', 'helm').join(' '), /4 of 4 baits out oldest: float 2 34 min · Dov stands by/)
  primary(at).act?.()
  assert.deepEqual(tapped, [{ kind: 'sheet bait', body: { at: 'bait', line: 12 } }])
  assert.equal(says('station-night-none-out')[0], '0 of 4 baits out')
})

test('told as of a minute ago, once; an emergency is always now', () => {
  const { at, tapped } = hands('station-fishing')
  let ago = 60000
  const store = asOf(at.store, () => {
    const was = ago
    ago = 0
    return was
  })
  store.act('strike', { line: 2 })
  store.act('stop', {})
  store.act('strike', { line: 3 })
  store.undo()
  assert.deepEqual(tapped, [{ kind: 'strike', body: { line: 2 }, ago_ms: 60000 }, { kind: 'stop', body: {} }, { kind: 'strike', body: { line: 3 } }, { kind: 'undo', body: {} }])
})

const MODES = { aft: false, startSetting: () => undefined, startAgo: () => undefined }
const keys = (at: CockpitHands) => sheetTiles(at, MODES).tiles.map((tile) => tile.key)
const touch = (at: CockpitHands, key: string) => sheetTiles(at, MODES).tiles.find((tile) => tile.key === key)?.act?.()

test('LINES IN/OUT goes on from each tile that is tapped', () => {
  const { at, tapped } = hands('station-fishing')
  const touched = (setting: boolean) => {
    let again = 0
    sheetTiles({ ...at, setting }, { ...MODES, startSetting: () => again++ }).tiles.find((tile) => tile.key === 'line-6')?.act?.()
    return again
  }
  assert.deepEqual([touched(true), touched(false)], [1, 0])
  assert.deepEqual(tapped.map((one) => one.kind), ['line_is', 'strike'])
})

/** The page while the act of this tile, that was held, waits for its age; what was answered is kept in `answers`. */
function holding(name: string, place: string): ReturnType<typeof hands> & { answers: string[] } {
  const is = hands(name)
  const act = sheetTiles(is.at, MODES).tiles.find((tile) => tile.key === place)?.act as Act
  const answers: string[] = []
  const asked: Asked = { act, label: '', place, pressed_ms: 0 }
  const earlier: Earlier = { asked, holding: '', showHolding: () => undefined, ask: () => undefined, answer: (ago) => answers.push(`${ago}`), drop: () => answers.push('drop') }
  return { ...is, at: { ...is.at, sheet: { at: 'earlier' }, earlier }, answers }
}

test('what was held is asked for its age; the large place says now, UNDO drops it', () => {
  const { at, tapped, answers } = holding('station-fishing', 'line-6')
  assert.deepEqual(keys(at).slice(0, 4), ['ago-30000', 'ago-60000', 'ago-120000', 'ago-300000'])
  touch(at, 'ago-60000')
  assert.deepEqual([primary(at).label, primary(at).sub], ['NOW', 'Strike: Short starboard'])
  primary(at).act?.()
  undoPlace(at).act?.()
  assert.deepEqual(answers, ['60000', '0', 'drop'])
  assert.deepEqual(tapped, [])
})

test('beside the ages stands what else may be said of the line that was held', () => {
  const swims = holding('station-fishing', 'line-6')
  assert.deepEqual(keys(swims.at).slice(4), ['other-in', 'other-fouled', 'other-weed', 'other-changed'])
  touch(swims.at, 'other-fouled')
  assert.deepEqual([swims.answers, swims.tapped.slice(-1)], [['drop'], [{ kind: 'line_is', body: { line: 6, state: 'fouled' } }]])
  const asked = holding('station-clearing', 'line-4')
  assert.deepEqual(keys(asked.at).slice(4), ['other-strike', 'other-kept', 'other-fouled', 'other-weed'])
  touch(asked.at, 'other-kept')
  assert.deepEqual(asked.tapped.slice(-1), [{ kind: 'line_kept', body: { line: 4, kept: true } }])
  const up = holding('station-raise', 'line-7')
  touch(up.at, 'other-strike')
  assert.deepEqual(up.tapped.slice(-1), [{ kind: 'strike', body: { line: 7 } }])
  assert.deepEqual(keys(holding('station-held-in', 'line-2').at).length, 4)
})

test('the ages stay in their places when the line that was held is struck meanwhile', () => {
  const { at } = holding('station-fishing', 'line-6')
  const lines = new Map([...at.state.board.lines].map(([id, line]) => [id, id === 6 ? { ...line, state: 'strike' as const } : line]))
  const struck = sheetTiles({ ...at, state: { ...at.state, board: { ...at.state.board, lines } } }, MODES)
  assert.deepEqual([struck.columns, struck.tiles.length], [sheetTiles(at, MODES).columns, 4])
})

test('what may be told late can be held, and an emergency, a call or a sheet cannot', () => {
  for (const name of ['station-fishing', 'station-strike', 'station-raise', 'phone-mine']) assert.ok(mayBeOld(primary(hands(name).at).act), name)
  for (const name of ['station-stop-hurt', 'station-call', 'station-overboard', 'station-night']) assert.ok(!mayBeOld(primary(hands(name).at).act), name)
  assert.ok(!mayBeOld(stopPlace(hands('station-fishing').at).act))
  const { at } = hands('station-fight')
  assert.ok(!mayBeOld(sheetTiles(at, MODES).tiles.find((tile) => tile.key === 'line-6')?.act))
})

test('while a fish is up the stern tile brings the teaser in, by one touch', () => {
  const { at, tapped } = hands('station-raise')
  touch(at, 'stern')
  assert.deepEqual(tapped, [{ kind: 'raise_gear_moved', body: { episode: 'bbbbbbbbbbbbbbbb.o.11', gear: 'teaser_in', line: 9 } }])
})

test('HURT asks who, then how badly, then gives the place back', () => {
  const { at, tapped } = hands('station-hurt')
  stripOffer(at)?.act()
  const hurt = 'cccccccccccccccc.e.3'
  touch({ ...at, sheet: { at: 'hurt', hurt } }, 'hurt-3')
  touch({ ...at, sheet: { at: 'hurt_how', hurt, hand: 3 } }, 'hurt-first_aid')
  assert.deepEqual(tapped.map((one) => one.kind), ['sheet hurt', 'sheet hurt_how', 'hurt_told', 'sheet spread', 'hurt_told'])
  assert.deepEqual(tapped[4]?.body, { hurt, hand: 3, how: 'first_aid' })
  assert.match(stripOffer(hands('station-hurt-how-offer').at)?.text ?? '', /Ruth, how badly/)
})

test('by night the floats come first, then what is out, the slick and the watch; what is in waits behind MORE', () => {
  const { at, tapped } = hands('station-night-lines-out')
  assert.deepEqual(keys(at).slice(0, 8), ['line-11', 'line-12', 'line-13', 'line-14', 'line-7', 'slick', 'stand-by', 'look-out'])
  assert.deepEqual(sheetTiles(at, MODES).tiles.filter((tile) => tile.later).map((tile) => tile.key), ['line-1', 'line-2', 'line-3', 'line-4'])
  touch(at, 'slick')
  touch(at, 'stand-by')
  sheetTiles(at, MODES).tiles[1]?.held?.act(0)
  assert.deepEqual(tapped.map((one) => one.kind), ['slick', 'sheet stand_by', 'sheet float_light'])
})

test('a wake that was called for an earlier fish does not stand for this one', () => {
  assert.equal(primary(hands('station-night-woken').at).label, 'ON')
  assert.notEqual(primary(hands('station-night-coming').at).label, 'WAKE DOV', 'he is called and comes')
  assert.notEqual(primary(hands('station-night-fight').at).label, 'WAKE DOV', 'who came for the bite is there for the fight')
  assert.equal(primary(hands('station-night-bite-again').at).label, 'WAKE DOV')
})

test('HAPPENED and HURT are on the first page of the menu, and the calls where the strip offers something else', () => {
  for (const name of ['station-fishing', 'station-night', 'station-fight', 'station-raise', 'station-leader']) {
    const { at } = hands(name, { at: 'menu' })
    assert.deepEqual(['hurt', 'happened'].filter((key) => !keys(at).slice(0, 5).includes(key)), [], name)
  }
  assert.ok(keys(hands('station-raise', { at: 'menu' }).at).slice(0, 5).includes('menu-calls'))
  assert.ok(['door', 'gaff'].every((key) => keys(hands('station-leader', { at: 'menu' }).at).slice(0, 5).includes(key)))
})
