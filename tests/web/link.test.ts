// The connection: opening, silence, retries, the fresh board, patches, the log's mark.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { PROTO } from 'proto'
import { LINK_MS } from '../../web/src/link_types'
import type { LateEntry } from '../../web/src/store_shape'
import { Bench, CHAIN, digestOf, entry, LOG, OTHER, PAGE } from './bench'

test('hello carries the page, the key, the hand and how many taps wait', () => {
  const bench = new Bench({ kept: { hand: '{"hand":3,"name":"Ines"}' } })
  bench.input({ is: 'start' })
  bench.act('strike')
  assert.deepEqual(bench.opened(), { t: 'hello', proto: PROTO, page: PAGE, view: 'phone', hand: 3, key: 'crew', waiting: 1 })
})

test('a token is kept, takes the key out of the address, and is sent from then on', () => {
  const bench = new Bench()
  bench.input({ is: 'start' })
  bench.opened()
  bench.welcome({ token: 'secret' })
  assert.equal(bench.kept.token, 'secret')
  assert.ok(bench.effects.some((effect) => effect.do === 'key_used'))
  const hello = bench.again()
  assert.equal(hello.token, 'secret')
  assert.equal(hello.key, undefined)
})

test('a wrong key leaves a page that may still call overboard, and says why', () => {
  const bench = new Bench({ key: 'wrong' })
  bench.input({ is: 'start' })
  bench.opened()
  bench.say({ t: 'no', code: 'wrong_key', words: 'That key is not ours.' })
  bench.pass(400)
  const hello = bench.opened()
  assert.equal(hello.key, undefined)
  bench.welcome({ from: 'anyone', device: 0 })
  assert.equal(bench.link.no?.words, 'That key is not ours.')
  assert.equal(bench.link.keyless(), true)
  bench.act('overboard')
  assert.deepEqual(bench.tapIds(), [`${PAGE}.e.1`])
  bench.input({ is: 'join', key: 'right' })
  assert.equal(bench.opened().key, 'right')
  bench.welcome()
  assert.equal(bench.link.no, undefined)
})

test('a token that died with its server is replaced by the key it was given for, once', () => {
  const bench = new Bench().live({ trip: {} }, { token: 'secret' })
  bench.input({ is: 'closed', gen: bench.gen })
  const tap = bench.act('strike')
  bench.pass(400)
  assert.equal(bench.opened().key, undefined)
  bench.say({ t: 'no', code: 'wrong_key', words: 'That key is not ours.' })
  bench.pass(400)
  const hello = bench.opened()
  assert.deepEqual([hello.key, hello.token], ['crew', undefined])
  bench.sent = []
  bench.welcome({ token: 'another' })
  assert.deepEqual([bench.tapIds(), bench.link.no, bench.kept.token], [[tap], undefined, 'another'])
})

test('the link is named by silence: within 1 s no link, 2 s not known, 4.5 s down, and ok again with the whole board', () => {
  const bench = new Bench().live()
  bench.pulse()
  assert.equal(bench.link.word, 'ok')
  bench.pass(899)
  assert.equal(bench.link.word, 'ok')
  bench.pass(1)
  assert.equal(bench.link.word, 'no_link')
  bench.pass(1100)
  assert.equal(bench.link.word, 'not_known')
  bench.pass(2499)
  assert.equal(bench.link.word, 'not_known')
  bench.pass(1)
  assert.equal(bench.link.word, 'down')
  bench.opened()
  bench.welcome()
  assert.equal(bench.link.word, 'down', 'a welcome alone shows old data')
  bench.fresh({ trip: { no: 1 } }, 4)
  assert.equal(bench.link.word, 'ok')
})

test('a silent socket is probed and given up; what it says later is ignored', () => {
  const bench = new Bench().live()
  const old = bench.gen
  bench.pass(1500 + 2000)
  assert.equal(bench.gen, old + 1)
  assert.ok(bench.effects.some((effect) => effect.do === 'close' && effect.gen === old))
  bench.input({ is: 'message', gen: old, text: JSON.stringify({ t: 'fresh_start', rev: 9, parts: 0 }) })
  bench.input({ is: 'message', gen: old, text: JSON.stringify({ t: 'fresh_end', rev: 9, digest: '', saved_up_to: 0 }) })
  bench.input({ is: 'closed', gen: old })
  assert.equal(bench.link.board.rev, 1)
  bench.opened()
  assert.equal(bench.sent[0]?.t, 'hello')
})

test('coming to the front probes with a limit of 2 s; a pulse ends the probe', () => {
  const bench = new Bench().live()
  bench.sent = []
  bench.input({ is: 'visible', visible: true })
  assert.deepEqual(bench.sent, [{ t: 'beat', rev: 1, visible: true, waiting: 0 }])
  const gen = bench.gen
  bench.pass(1900)
  assert.equal(bench.gen, gen)
  bench.pulse()
  bench.pass(200)
  assert.equal(bench.gen, gen)
  bench.input({ is: 'visible', visible: true })
  bench.pass(2000)
  assert.equal(bench.gen, gen + 1)
})

test('retries come after 200 ms and twice as late each time, 2 s at most; a welcome starts over', () => {
  const bench = new Bench()
  bench.input({ is: 'start' })
  const waits: number[] = []
  for (let i = 0; i < 6; i++) {
    const gen = bench.gen
    bench.input({ is: 'closed', gen })
    const from = bench.mono_ms
    while (bench.gen === gen) bench.pass(1)
    waits.push(bench.mono_ms - from)
  }
  const spread = waits.map((wait, i) => wait - Math.min(200 * 2 ** i, 2000))
  assert.ok(spread.every((ms) => ms >= 0 && ms <= 100), String(waits))
  bench.opened()
  bench.welcome()
  const gen = bench.gen
  bench.input({ is: 'closed', gen })
  bench.pass(301)
  assert.equal(bench.gen, gen + 1)
})

test('a socket that never opens is given up after 4 s', () => {
  const bench = new Bench()
  bench.input({ is: 'start' })
  bench.pass(3999)
  assert.equal(bench.gen, 1)
  bench.pass(1)
  assert.equal(bench.gen, 2)
})

test('a beat every second, with what waits and whether the page is in front', () => {
  const bench = new Bench().live()
  bench.input({ is: 'visible', visible: false })
  bench.sent = []
  for (let i = 0; i < 30; i++) {
    bench.pass(100)
    bench.pulse()
  }
  const beats = bench.sent.filter((message) => message.t === 'beat')
  assert.equal(beats.length, 3)
  assert.deepEqual(beats[0], { t: 'beat', rev: 1, visible: false, waiting: 0 })
})

test('a fresh board is swapped in whole: nothing is drawn from half of one', () => {
  const bench = new Bench().live({ trip: { no: 1 }, 'lines/1': { id: 1, name: 'a' } })
  bench.say({ t: 'fresh_start', rev: 5, parts: 2 })
  bench.say({ t: 'part', part: 'trip', value: { no: 2 } })
  assert.deepEqual(bench.link.board.parts.get('trip'), { no: 1 })
  bench.say({ t: 'fresh_end', rev: 5, digest: digestOf({ trip: { no: 2 } }), saved_up_to: 0 })
  assert.deepEqual([...bench.link.board.parts], [['trip', { no: 2 }]])
  assert.equal(bench.link.mismatches, 0)
})

test('a patch replaces whole parts; one that leaves a gap asks for the fresh board, one already had does nothing', () => {
  const bench = new Bench().live({ trip: {}, 'lines/1': { id: 1, state: 'out' } })
  bench.say({ t: 'patch', rev: 2, entry: entry(1, 'line_is', {}), parts: { 'lines/1': { id: 1 }, 'lines/2': { id: 2 } } })
  assert.deepEqual(bench.link.board.parts.get('lines/1'), { id: 1 })
  bench.say({ t: 'patch', rev: 3, entry: entry(2, 'line_is', {}), parts: { 'lines/2': null } })
  assert.equal(bench.link.board.parts.has('lines/2'), false)
  bench.say({ t: 'patch', rev: 3, entry: entry(2, 'line_is', {}), parts: { trip: { no: 9 } } })
  assert.deepEqual(bench.link.board.parts.get('trip'), {})
  assert.equal(bench.sent.filter((message) => message.t === 'fresh').length, 0)
  bench.say({ t: 'patch', rev: 5, entry: entry(4, 'line_is', {}), parts: { trip: { no: 9 } } })
  assert.deepEqual(bench.link.board.parts.get('trip'), {})
  assert.equal(bench.sent.filter((message) => message.t === 'fresh').length, 1)
})

test('another digest at the same revision is counted and fetched anew; a pulse ahead is waited out once', () => {
  const bench = new Bench().live()
  bench.pulse()
  assert.equal(bench.link.mismatches, 0)
  bench.pulse({ digest: '0000000000000000' })
  assert.equal(bench.link.mismatches, 1)
  assert.equal(bench.sent.filter((message) => message.t === 'fresh').length, 1)
  bench.fresh({ trip: { no: 2 } }, 2)
  bench.sent = []
  bench.pulse({ rev: 3 })
  assert.equal(bench.sent.filter((message) => message.t === 'fresh').length, 0)
  bench.pulse({ rev: 3 })
  assert.equal(bench.sent.filter((message) => message.t === 'fresh').length, 1)
})

test('log time follows the fastest of the last messages', () => {
  const bench = new Bench().live({ trip: {} }, { now_ms: 50_000 })
  const at = bench.mono_ms
  assert.equal(bench.link.time.at(at + 700), 50_700)
  bench.pass(500)
  bench.pulse({ now_ms: 50_300 })
  assert.equal(bench.link.time.at(bench.mono_ms), 50_500, 'a late message does not turn time back')
  bench.pulse({ now_ms: 50_600 })
  assert.equal(bench.link.time.at(bench.mono_ms), 50_600)
})

test('how far the log is saved goes into the next hello and outlives the page; a log that went back is said', () => {
  const bench = new Bench().live()
  bench.saved(12)
  assert.deepEqual(bench.again({ saved: { log_id: LOG, seq: 12, chain: CHAIN } }).log, { log_id: LOG, seq: 12, chain: CHAIN })
  assert.equal(bench.link.log_back_ms, undefined)
  bench.pass(1000)
  const later = new Bench({ kept: bench.kept })
  later.input({ is: 'start' })
  assert.deepEqual(later.opened().log, { log_id: LOG, seq: 12, chain: CHAIN })
  later.welcome({ log_back: true })
  assert.equal(later.link.log_back_ms, 50_000)
})

const NEWER = '9999999999999999'
const reloads = (bench: Bench): number => bench.effects.filter((effect) => effect.do === 'reload').length

test('a page of another release loads itself again once, and only when no tap waits', () => {
  const bench = new Bench()
  bench.input({ is: 'start' })
  bench.opened()
  const id = bench.act('strike')
  bench.welcome({ proto: NEWER })
  bench.fresh({ trip: {} })
  assert.deepEqual(bench.tapIds(), [id], 'what waits is sent first')
  assert.equal(bench.link.release.word(), 'waits')
  bench.input({ is: 'rows', rows: [] })
  assert.equal(reloads(bench), 0)
  bench.answer(id, 'seen', { seq: 1 })
  assert.equal(reloads(bench), 0)
  bench.saved(1)
  assert.equal(reloads(bench), 1)
  const after = new Bench({ kept: bench.kept }).live({ trip: {} }, { proto: NEWER })
  after.input({ is: 'rows', rows: [] })
  assert.equal(reloads(after), 0)
  assert.equal(after.link.release.word(), 'stays')
  after.again()
  assert.equal(after.link.release.word(), 'same')
})

test('a page of another release does not load itself again before it knows what earlier loads have left', () => {
  const bench = new Bench().live({ trip: {} }, { proto: NEWER })
  assert.equal(reloads(bench), 0)
  const id = `${OTHER}.o.1`
  bench.input({ is: 'rows', rows: [{ id, kind: 'strike', v: 1, body: {}, wall_ms: bench.wall_ms }] })
  assert.deepEqual(bench.tapIds(), [id])
  assert.equal(reloads(bench), 0)
  bench.answer(id, 'seen', { seq: 1 })
  bench.saved(1)
  assert.equal(reloads(bench), 1)
})

test('a page of another release stays while it has entries to offer after a crash, and in an emergency', () => {
  const bench = new Bench().live()
  bench.say({ t: 'patch', rev: 2, entry: entry(1, 'strike', {}), parts: {} })
  bench.again({ run: 'bbbbbbbbbbbbbbbb', proto: NEWER })
  bench.input({ is: 'rows', rows: [] })
  const offer = bench.sent.find((message) => message.t === 'offer')
  assert.ok(offer, 'the second copy is offered to the new release')
  bench.fresh({ trip: {}, overboard: { id: `${OTHER}.e.1` } })
  assert.equal(reloads(bench), 0)
  bench.answer(`${OTHER}.o.1`, 'seen', { seq: 1 })
  bench.answer(`${PAGE}.o.1`, 'seen', { seq: 2 })
  bench.saved(2)
  assert.equal(bench.link.taps.waiting(), 0, 'that the call was shown here is saved too')
  assert.equal(reloads(bench), 0, 'somebody is in the water')
  bench.say({ t: 'patch', rev: 2, entry: entry(2, 'overboard_ended', {}), parts: { overboard: {} } })
  assert.equal(reloads(bench), 1)
})

test('messages that come together, a line each, are heard in their order', () => {
  const bench = new Bench()
  bench.input({ is: 'start' })
  bench.opened()
  const lines = [
    { t: 'welcome', proto: PROTO, log_id: LOG, run: 'aaaaaaaaaaaaaaaa', from: 'crew', device: 7, now_ms: 50_000, saved: { log_id: LOG, seq: 0, chain: CHAIN } },
    { t: 'fresh_start', rev: 1, parts: 1 },
    { t: 'part', part: 'trip', value: { no: 1 } },
    { t: 'fresh_end', rev: 1, digest: digestOf({ trip: { no: 1 } }), saved_up_to: 3 },
    { t: 'patch', rev: 2, entry: entry(4, 'noted', { text: 'birds' }), parts: { trip: { no: 2 } } },
  ]
  bench.input({ is: 'message', gen: bench.gen, text: lines.map((line) => JSON.stringify(line)).join('\n') })
  assert.equal(bench.link.word, 'ok')
  assert.deepEqual(bench.link.board.parts.get('trip'), { no: 2 })
  assert.deepEqual([bench.link.board.rev, bench.link.saved_up_to], [2, 3])
})

test('after a line that is none the rest is not heard: another socket is tried', () => {
  const bench = new Bench().live({ trip: { no: 1 } })
  const before = bench.gen
  const patch = JSON.stringify({ t: 'patch', rev: 2, entry: entry(2, 'noted', { text: 'birds' }), parts: { trip: { no: 2 } } })
  bench.input({ is: 'message', gen: bench.gen, text: `{"t":"patch"\n${patch}` })
  assert.equal(bench.gen, before + 1)
  assert.deepEqual(bench.link.board.parts.get('trip'), { no: 1 })
})

test('how far the log is saved comes with the pulse to whoever has not tapped, and is what the next hello says', () => {
  const bench = new Bench().live()
  bench.pulse({ saved_up_to: 9, chain: 'd'.repeat(32) })
  assert.equal(bench.link.saved_up_to, 9)
  bench.pass(LINK_MS.mark_write)
  assert.deepEqual(JSON.parse(bench.kept.mark ?? ''), { log_id: LOG, seq: 9, chain: 'd'.repeat(32) })
  delete bench.kept.mark
  bench.pulse({ saved_up_to: 9, chain: 'd'.repeat(32) })
  bench.pass(LINK_MS.mark_write)
  assert.equal(bench.kept.mark, undefined, 'the same again is not written')
  assert.deepEqual(bench.again().log, { log_id: LOG, seq: 9, chain: 'd'.repeat(32) })
})

test('after sleep nothing that the old socket still says counts: not known at once, a fresh socket, the whole board', () => {
  const bench = new Bench().live({ trip: { no: 1 } })
  bench.pulse()
  const old = bench.gen
  bench.mono_ms += 60_000
  bench.wall_ms += 60_000
  bench.say({ t: 'pulse', rev: 1, digest: bench.link.board.digest(), now_ms: 51_000, saved_up_to: 0, disk: 'ok' })
  assert.notEqual(bench.link.word, 'ok')
  assert.equal(bench.gen, old + 1, 'the pulse from before the sleep has not saved the old socket')
  bench.opened()
  bench.welcome({ now_ms: 111_000 })
  bench.fresh({ trip: { no: 2 } }, 9)
  assert.equal(bench.link.word, 'ok')
})

test('a clock that stood still in sleep is told by the other one; a page that only waited is not taken for asleep', () => {
  const bench = new Bench().live()
  bench.pulse()
  const { gen } = bench
  for (let i = 0; i < 20; i++) {
    bench.pass(400)
    bench.pulse()
  }
  assert.equal(bench.gen, gen)
  bench.wall_ms += 120_000
  bench.input({ is: 'visible', visible: true })
  assert.equal(bench.link.word, 'not_known')
  assert.equal(bench.gen, gen + 1)
})

test('a pulse that was under way for two seconds is no news: the link is as silent as without it', () => {
  const bench = new Bench().live()
  for (let i = 0; i < 4; i++) {
    bench.pass(400)
    bench.pulse()
  }
  const { gen } = bench
  for (let i = 0; i < 9; i++) {
    bench.pass(400)
    bench.pulse({ now_ms: 50_000 + bench.mono_ms - 2500 })
  }
  assert.equal(bench.link.word, 'not_known')
  assert.equal(bench.gen, gen + 1, 'probed and given up, though it spoke all along')
})

test('what others tell of minutes ago is noted as that; own taps, what is fresh and what came back after a crash are not', () => {
  const bench = new Bench().live()
  const at = (seq: number, more: object) => entry(seq, 'strike', {}, { at_ms: 50_000 - 360_000, ...more })
  const patch = (one: ReturnType<typeof entry>, moot = false) => bench.say({ t: 'patch', rev: bench.link.board.rev + 1, entry: one, parts: {}, ...(moot ? { moot } : {}) })
  patch(entry(1, 'strike', {}))
  patch(at(2, { id: `${PAGE}.o.1` }))
  patch(at(3, { offered: true }))
  patch(at(4, { refused: 'no_trip' }))
  assert.equal(bench.link.late, undefined)
  patch(at(5, {}), true)
  const { late } = bench.link as { late?: LateEntry }
  assert.deepEqual([late?.entry.seq, late?.moot], [5, true])
})

test('another view says hello again; the same one does nothing', () => {
  const bench = new Bench().live()
  const gen = bench.gen
  bench.input({ is: 'view', view: 'phone' })
  assert.equal(bench.gen, gen)
  bench.input({ is: 'view', view: 'station' })
  assert.equal(bench.opened().view, 'station')
})

test('the helm is who the board says it is', () => {
  const bench = new Bench().live({ trip: {}, helm: {} })
  assert.equal(bench.link.source, 'crew')
  bench.input({ is: 'take_helm', number: '1234' })
  assert.deepEqual(bench.sent, [{ t: 'take_helm', number: '1234' }])
  const taken = entry(1, 'helm_taken', { page: PAGE, device: 7 })
  bench.say({ t: 'patch', rev: 2, entry: taken, parts: { helm: { device: 7, page: PAGE } } })
  assert.equal(bench.link.source, 'helm')
  bench.say({ t: 'patch', rev: 3, entry: taken, parts: { helm: { device: 8, page: OTHER } } })
  assert.equal(bench.link.source, 'crew')
  bench.say({ t: 'told', code: 'wrong_number', words: 'No.' })
  bench.say({ t: 'told', code: 'wrong_number', words: 'No.' })
  assert.equal(bench.link.told?.n, 2)
})

test('another trip numbers its hands anew: the page follows the name', () => {
  const bench = new Bench().live({ trip: { id: 't.1' }, 'hands/2': { id: 2, name: 'Ines' } })
  bench.answer(bench.act('page_hand', { hand: 2 }), 'seen', { seq: 1 })
  bench.sent = []
  bench.fresh({ trip: { id: 't.2' }, 'hands/2': { id: 2, name: 'Dov' }, 'hands/5': { id: 5, name: 'Ines' } }, 2)
  assert.equal(bench.link.hand, 5)
  assert.deepEqual(bench.taps().map((tap) => tap.body), [{ hand: 5 }])
  bench.fresh({ trip: { id: 't.3' }, 'hands/5': { id: 5, name: 'Ruth' } }, 3)
  assert.equal(bench.link.hand, 0)
})

test('what is no JSON drops the connection', () => {
  const bench = new Bench().live()
  const gen = bench.gen
  bench.input({ is: 'message', gen, text: '{"t":' })
  assert.equal(bench.gen, gen + 1)
})
