// The waiting taps: stored, sent, sent again, answered, refused, saved.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { Kind } from 'proto'
import { Bench, LOG, OTHER, PAGE } from './bench'

const RUN2 = { run: 'bbbbbbbbbbbbbbbb' }

test('an ordinary tap is sent only once it is written; its words go from here to saved', () => {
  const bench = new Bench().live()
  bench.slow_storage = true
  const id = bench.act('line_is', { line: 1, state: 'out' }, { ago_ms: 30_000 })
  assert.equal(id, `${PAGE}.o.1`)
  assert.equal(bench.state(id), 'here')
  assert.deepEqual(bench.taps(), [])
  bench.pass(250)
  bench.input({ is: 'written', id })
  assert.deepEqual(bench.taps(), [{ t: 'tap', id, kind: 'line_is', v: 1, ago_ms: 30_250, body: { line: 1, state: 'out' } }])
  assert.equal(bench.state(id), 'sent')
  bench.answer(id, 'seen', { seq: 4 })
  assert.equal(bench.state(id), 'seen')
  bench.saved(3)
  assert.equal(bench.state(id), 'seen')
  assert.equal(bench.rows.size, 1)
  bench.saved(4)
  assert.equal(bench.state(id), 'saved')
  assert.equal(bench.rows.size, 0)
  bench.pass(20_000)
  assert.equal(bench.state(id), 'gone')
})

test('overboard waits for no storage and no other tap', () => {
  const bench = new Bench().live()
  bench.slow_storage = true
  for (let i = 0; i < 40; i++) bench.act('strike')
  const id = bench.act('overboard')
  assert.deepEqual(bench.tapIds(), [id])
  assert.equal(id, `${PAGE}.e.1`)
  assert.ok(bench.rows.has(id), 'it is written as well')
})

test('overboard on a closed link tries at once', () => {
  const bench = new Bench().live()
  for (let i = 0; i < 5; i++) {
    bench.input({ is: 'closed', gen: bench.gen })
    bench.pass(2200)
  }
  bench.input({ is: 'closed', gen: bench.gen })
  const gen = bench.gen
  const id = bench.act('overboard')
  assert.equal(bench.gen, gen + 1)
  bench.opened()
  bench.welcome()
  assert.deepEqual(bench.tapIds(), [id])
})

test('overboard pressed twice is one call for 10 s; after FALSE ALARM it is another', () => {
  const bench = new Bench().live()
  const first = bench.act('overboard')
  bench.pass(900)
  assert.equal(bench.act('overboard'), first)
  assert.deepEqual(bench.tapIds(), [first])
  bench.act('overboard_withdrawn', { call: first })
  const second = bench.act('overboard')
  assert.equal(second, `${PAGE}.e.3`)
  for (let i = 0; i < 10; i++) {
    bench.pass(1000)
    bench.pulse()
  }
  assert.equal(bench.act('overboard'), `${PAGE}.e.4`)
})

test('what is in the log of an earlier trip is saved, and says that the log alone knows more', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.answer(id, 'known', { seq: 9, code: 'long_ago' })
  bench.saved(9)
  assert.equal(bench.state(id), 'saved')
  assert.match(bench.words(id), /earlier trip/)
})

test('storage that fails or hangs: the taps go out and the page says that they live in memory', () => {
  for (const failing of ['reports', 'hangs']) {
    const bench = new Bench().live()
    bench.slow_storage = true
    const first = bench.act('strike')
    if (failing === 'reports') bench.input({ is: 'storage_failed' })
    else bench.pass(2000)
    assert.equal(bench.link.taps.storage, 'memory')
    if (failing === 'hangs') bench.pulse()
    const second = bench.act('strike')
    assert.deepEqual(bench.tapIds(), [first, second])
  }
})

test('at most 32 unanswered ordinary taps fly, in order; each answer lets one more go', () => {
  const bench = new Bench().live()
  const ids = Array.from({ length: 40 }, () => bench.act('strike'))
  assert.deepEqual(bench.tapIds(), ids.slice(0, 32))
  bench.answer(ids[0] ?? '', 'seen', { seq: 1 })
  assert.deepEqual(bench.tapIds(), ids.slice(0, 33))
})

test('after a cut the unanswered go again under the same identity, with the time worked out anew', () => {
  const bench = new Bench().live()
  const seen = bench.act('strike')
  const flying = bench.act('strike', { line: 2 })
  bench.answer(seen, 'seen', { seq: 1 })
  bench.pass(600)
  bench.again()
  assert.deepEqual(bench.taps(), [{ t: 'tap', id: flying, kind: 'strike', v: 1, ago_ms: 1000, body: { line: 2 } }])
  assert.equal(bench.state(seen), 'seen')
})

test('a further board on one connection: answers may have gone with the slow page\'s queue, so the unanswered go again', () => {
  const bench = new Bench().live()
  const answered = bench.act('strike', { line: 1 })
  bench.answer(answered, 'seen', { seq: 2 })
  const unanswered = bench.act('strike', { line: 2 })
  bench.sent = []
  bench.fresh({ trip: {} }, 5)
  assert.deepEqual(bench.tapIds(), [unanswered])
})

test('a new run is sent everything that is not saved, what was seen included', () => {
  const bench = new Bench().live()
  const ids = [bench.act('strike'), bench.act('strike'), bench.act('strike')]
  bench.answer(ids[0] ?? '', 'seen', { seq: 1 })
  bench.answer(ids[1] ?? '', 'seen', { seq: 2 })
  bench.saved(1)
  bench.again({ ...RUN2, saved: { log_id: LOG, seq: 9, chain: 'c'.repeat(32) } })
  assert.deepEqual(bench.tapIds(), ids.slice(1), 'a seq of the old run says nothing about the new one')
  assert.equal(bench.state(ids[1] ?? ''), 'sent')
})

test('a repeat that is known without its place is saved once all that the server had then is', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.answer(id, 'known')
  bench.saved(10)
  assert.equal(bench.state(id), 'seen')
  bench.pulse({ saved_up_to: 10, unsaved: 3 })
  assert.equal(bench.state(id), 'seen')
  bench.saved(13)
  assert.equal(bench.state(id), 'saved')
})

test('wait and not now: the tap and those after it go again after the time named, in order', () => {
  const bench = new Bench().live()
  const ids = [bench.act('strike'), bench.act('strike')]
  bench.sent = []
  bench.answer(ids[0] ?? '', 'not_now', { code: 'queue_full', retry_ms: 500 })
  bench.answer(ids[1] ?? '', 'wait', { retry_ms: 500 })
  assert.match(bench.words(ids[0] ?? ''), /stays on this phone/)
  const third = bench.act('strike')
  bench.pass(499)
  assert.deepEqual(bench.taps(), [])
  bench.pass(1)
  assert.deepEqual(bench.tapIds(), [...ids, third])
})

test('a hold that is over asks for no more ticks while the window is full', () => {
  const bench = new Bench().live()
  bench.act('strike')
  bench.answer(`${PAGE}.o.1`, 'not_now', { retry_ms: 100 })
  for (let i = 0; i < 40; i++) bench.act('strike')
  bench.pass(100)
  assert.equal(bench.taps().length, 33)
  const wakes = bench.effects.filter((effect) => effect.do === 'wake').map((effect) => effect.at_ms)
  assert.ok((wakes.at(-1) ?? 0) > bench.mono_ms, String(wakes.at(-1)))
})

test('a hold in the ordinary lane holds back no emergency', () => {
  const bench = new Bench().live()
  bench.answer(bench.act('strike'), 'not_now', { retry_ms: 60_000 })
  bench.sent = []
  const id = bench.act('stop')
  assert.deepEqual(bench.tapIds(), [id])
})

test('refused: told in words, kept as told no, final once saved', () => {
  const bench = new Bench().live()
  const id = bench.act('line_is', { line: 99, state: 'out' })
  bench.slow_storage = true
  bench.answer(id, 'refused', { seq: 2, code: 'line_unknown', words: 'There is no such line.', about: `${OTHER}.o.1` })
  assert.equal(bench.rows.get(id)?.told_no, 'line_unknown')
  assert.equal(bench.state(id), 'seen', 'not told before the phone would remember it')
  assert.equal(bench.words(id), '')
  bench.input({ is: 'written', id })
  assert.equal(bench.state(id), 'refused')
  assert.equal(bench.words(id), 'There is no such line.')
  assert.equal(bench.rows.size, 1)
  bench.saved(2)
  assert.equal(bench.rows.size, 0)
  assert.equal(bench.state(id), 'refused')
})

test('after a crash a refused tap is sent as told no, by this page load and by the next', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.answer(id, 'refused', { seq: 2, code: 'no_trip' })
  bench.again()
  assert.deepEqual(bench.taps(), [], 'the same run knows it')
  bench.again(RUN2)
  assert.deepEqual(bench.taps().map((tap) => tap.told_no), ['no_trip'])
  const later = new Bench({ page: OTHER }).live()
  later.input({ is: 'rows', rows: [...bench.rows.values()] })
  assert.deepEqual(later.taps().map((tap) => [tap.id, tap.told_no]), [[id, 'no_trip']])
  assert.equal(later.state(id), 'refused')
})

test('a refusal is not told when the stored row could not be marked: it waits until the log has it', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.input({ is: 'storage_failed' })
  bench.answer(id, 'refused', { seq: 2, code: 'no_trip' })
  assert.equal(bench.state(id), 'seen')
  bench.saved(2)
  assert.equal(bench.state(id), 'refused')
})

test('what one run took and the next refuses is told only once saved: other screens may bring it back as taken', () => {
  const bench = new Bench().live()
  const tap = bench.act('strike', { line: 1 })
  bench.answer(tap, 'seen', { seq: 6 })
  bench.again({ run: 'bbbbbbbbbbbbbbbb' })
  bench.answer(tap, 'refused', { seq: 5, code: 'not_helm' })
  assert.equal(bench.state(tap), 'seen')
  assert.equal(bench.rows.get(tap)?.told_no, undefined)
  bench.again({ run: 'cccccccccccccccc' })
  bench.answer(tap, 'known', { seq: 9 })
  bench.saved(9)
  assert.equal(bench.state(tap), 'saved')

  const other = bench.act('strike', { line: 2 })
  bench.answer(other, 'seen', { seq: 10 })
  bench.again({ run: 'dddddddddddddddd' })
  bench.answer(other, 'refused', { seq: 10, code: 'not_helm' })
  assert.equal(bench.state(other), 'seen')
  bench.saved(10)
  assert.equal(bench.state(other), 'refused')
})

test('what a run may have taken, though its answer never came, is told refused by the next only once saved', () => {
  const bench = new Bench().live()
  const on_a_failed_disk = bench.act('strike', { line: 1 })
  const unanswered = bench.act('strike', { line: 2 })
  bench.answer(on_a_failed_disk, 'seen', { seq: 6, code: 'not_saving' })
  bench.again(RUN2)
  const fresh = bench.act('strike', { line: 3 })
  for (const [at, id] of [on_a_failed_disk, unanswered, fresh].entries()) bench.answer(id, 'refused', { seq: 5 + at, code: 'gap' })
  assert.deepEqual([on_a_failed_disk, unanswered, fresh].map((id) => bench.state(id)), ['seen', 'seen', 'refused'])
  assert.deepEqual([on_a_failed_disk, unanswered, fresh].map((id) => bench.rows.get(id)?.told_no), [undefined, undefined, 'gap'])
  bench.saved(7)
  assert.deepEqual([on_a_failed_disk, unanswered].map((id) => bench.state(id)), ['refused', 'refused'])
})

test('a tap that lay in the storage may have been sent before the reload: its refusal is told once saved', () => {
  const bench = new Bench().live()
  const id = `${OTHER}.o.4` as const
  const row = { id, kind: 'strike' as const, v: 1, body: {}, wall_ms: bench.wall_ms }
  bench.input({ is: 'rows', rows: [row] })
  bench.answer(id, 'refused', { seq: 9, code: 'not_helm' })
  assert.equal(bench.state(id), 'seen')
  bench.saved(9)
  assert.equal(bench.state(id), 'refused')
})

test('a tap that nobody answers while the board goes on speaking: the way up is dead, and another socket is tried', () => {
  const bench = new Bench().live()
  const id = bench.act('overboard')
  const { gen } = bench
  const passWithPulses = (ms: number): void => {
    for (let passed = 0; passed < ms; passed += 400) {
      bench.pass(400)
      bench.pulse()
    }
  }
  passWithPulses(2400)
  assert.equal(bench.gen, gen)
  passWithPulses(800)
  assert.equal(bench.gen, gen + 1)
  bench.opened()
  bench.sent = []
  bench.welcome()
  bench.fresh({ trip: {} })
  assert.deepEqual(bench.tapIds(), [id])
  // A way that is only slow must not be left again and again.
  passWithPulses(6000)
  assert.equal(bench.gen, gen + 1)
  passWithPulses(4800)
  assert.equal(bench.gen, gen + 2)
  bench.opened()
  bench.welcome()
  bench.fresh({ trip: {} })
  bench.answer(id, 'seen', { seq: 3 })
  passWithPulses(20_000)
  assert.equal(bench.gen, gen + 2)
})

test('an error is said aloud and ends the tap', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.answer(id, 'error', { code: 'other_body', words: 'Twice.' })
  assert.equal(bench.state(id), 'refused')
  assert.equal(bench.words(id), 'Twice.')
  assert.equal(bench.rows.size, 0)
})

test('moot and late are said as soon as they are seen, and stay once saved', () => {
  const bench = new Bench().live()
  const moot = bench.act('strike')
  const late = bench.act('strike', {}, { ago_ms: 90_000 })
  bench.answer(moot, 'seen', { seq: 1, moot: true })
  bench.answer(late, 'seen', { seq: 2, late: true })
  bench.saved(2)
  assert.deepEqual([bench.state(moot), bench.state(late)], ['moot', 'late'])
})

test('a tap that is seen while the disk fails says that it is not saved', () => {
  const bench = new Bench().live()
  const id = bench.act('overboard')
  bench.answer(id, 'seen', { seq: 1, code: 'not_saving' })
  assert.equal(bench.state(id), 'seen')
  assert.match(bench.words(id), /cannot be written/)
})

test('a repeated answer, and one to a tap long done, change nothing', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  bench.answer(id, 'seen', { seq: 1 })
  bench.answer(id, 'seen', { seq: 1 })
  bench.saved(1)
  bench.answer(id, 'refused', { seq: 1, code: 'no_trip' })
  bench.answer(`${OTHER}.o.7`, 'seen', { seq: 1 })
  assert.equal(bench.state(id), 'saved')
  assert.equal(bench.link.taps.waiting(), 0)
})

test('a reload sends the old rows under their old sender, in order of their numbers, beside its own', () => {
  const before = new Bench().live()
  before.input({ is: 'closed', gen: before.gen })
  for (let i = 0; i < 11; i++) before.act('strike')
  const rows = [...before.rows.values()].reverse()
  const bench = new Bench({ page: OTHER })
  bench.mono_ms = 20
  bench.wall_ms = before.wall_ms + 5000
  bench.live()
  const own = bench.act('strike')
  bench.input({ is: 'rows', rows })
  assert.deepEqual(bench.tapIds(), [own, ...Array.from({ length: 11 }, (_, i) => `${PAGE}.o.${i + 1}`)])
  assert.ok(bench.taps().slice(1).every((tap) => tap.ago_ms === 5000), 'by the wall clock across a reload')
  for (const [i, id] of bench.tapIds().entries()) bench.answer(id, 'seen', { seq: i + 1 })
  bench.saved(12)
  assert.equal(bench.link.taps.waiting(), 0)
})

test('one old sender that must wait does not hold up another', () => {
  const bench = new Bench().live()
  const row = (sender: string, n: number) => ({
    id: `${sender}.o.${n}`, kind: 'strike' as const, v: 1, body: {}, wall_ms: bench.wall_ms,
  })
  bench.input({ is: 'rows', rows: [row('00000000000000c1', 2), row('00000000000000c2', 1), row('00000000000000c2', 2)] })
  bench.sent = []
  bench.answer('00000000000000c1.o.2', 'wait', { retry_ms: 500 })
  bench.answer('00000000000000c2.o.1', 'seen', { seq: 1 })
  bench.pass(500)
  assert.deepEqual(bench.tapIds(), ['00000000000000c1.o.2'])
})

test('a page that may only look or call overboard does not send crew taps that wait: they would be refused for good', () => {
  const bench = new Bench().live({ trip: {} }, { from: 'guest' })
  const waiting = bench.act('strike')
  const call = bench.act('overboard')
  assert.deepEqual(bench.tapIds(), [call])
  bench.again({ from: 'crew' })
  assert.deepEqual(bench.tapIds(), [waiting, call])
})

test('undo is for the last act, for 20 s, and not for what was refused or cannot be taken back', () => {
  const bench = new Bench().live()
  const id = bench.act('strike')
  assert.equal(bench.link.last_act?.id, id)
  bench.answer(id, 'seen', { seq: 1 })
  bench.pulse({ now_ms: 50_000 })
  for (let i = 0; i < 19; i++) {
    bench.pass(1000)
    bench.pulse({ now_ms: 51_000 + i * 1000 })
  }
  bench.pass(999)
  assert.equal(bench.link.last_act?.id, id)
  bench.pass(1)
  assert.equal(bench.link.last_act, undefined)
  const refused = bench.act('strike')
  bench.answer(refused, 'refused', { seq: 2, code: 'no_trip' })
  assert.equal(bench.link.last_act, undefined)
  const kept = bench.act('strike')
  bench.act('page_hand', { hand: 1 })
  assert.equal((bench.link.last_act as { id: string } | undefined)?.id, kept, 'a page naming its hand is no act')
  bench.act('voided', { target: kept, undo: true })
  assert.equal(bench.link.last_act, undefined)
  bench.act('strike')
  bench.act('overboard')
  assert.equal(bench.link.last_act, undefined)
})

test('no undo is offered of what the hub would never undo', () => {
  const bench = new Bench().live()
  const acts: [Kind, object][] = [
    ['call', { what: 'neutral', to: 'helm' }], ['clear_called', { scope: 'all' }], ['stop', {}], ['hand_added', { name: 'Bruno' }],
  ]
  for (const [kind, body] of acts) {
    const before = bench.act('strike')
    assert.equal(bench.link.last_act?.id, before)
    bench.act(kind, body)
    assert.equal(bench.link.last_act, undefined, kind)
  }
})
