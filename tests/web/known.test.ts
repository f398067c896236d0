// Known to: what a place had been shown at a moment, worked out of who was there, and of receipts.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { Entry } from 'proto'
import { type Place, knownTo, places, reached, receiptAt, stays } from '../../web/src/debrief/known'
import type { ReplayHead } from '../../web/src/debrief/source'

const HELM = 'aaaaaaaaaaaaaaaa'
const PHONE = 'bbbbbbbbbbbbbbbb'
const AGAIN = 'cccccccccccccccc'
const at_helm: Place = { of: 'helm', hand: 0 }
const phone = (hand: number): Place => ({ of: 'phone', hand })

let seq = 0
const entry = (got_ms: number, sender: string, content: object): Entry => ({ seq: ++seq, id: `${sender}.o.${seq}`, at_ms: got_ms, got_ms, by: 0, from: 'server', v: 1, ...content }) as Entry
const joined = (ms: number, page: string, view: string, hand: number, state?: string) => entry(ms, '1111111111111111', { kind: 'page_joined', body: { page, view, hand, ...(state ? { state } : {}) } })
const becomes = (ms: number, page: string, state: string) => entry(ms, '1111111111111111', { kind: 'page_state', body: { page, state } })
const hand = (ms: number, page: string, of: number) => entry(ms, page, { kind: 'page_hand', body: { hand: of } })
const shown = (ms: number, page: string, call: string) => entry(ms, page, { kind: 'shown', body: { call } })
const run = (ms: number, fresh: boolean) => entry(ms, '1111111111111111', { kind: 'run', body: { run: '2222222222222222', boot: '3333333333333333', base_ms: 0, fresh } })
const head = (presence: Entry[], receipts: Entry[] = []): ReplayHead => ({ pages: [], last_seq: 0, last_ms: 0, corrections: [], presence, receipts })

test('a page that is here knows all until then; one that was never there knows nothing', () => {
  const all = stays(head([joined(1000, HELM, 'helm', 1)]))
  assert.deepEqual(knownTo(all, at_helm, 60_000), { is: 'here', until_ms: 60_000, sure_ms: 60_000, how: '' })
  assert.equal(knownTo(all, at_helm, 500).is, 'never')
  assert.equal(knownTo(all, phone(2), 60_000).is, 'never')
  assert.equal(knownTo(all, { of: 'log', hand: 0 }, 77).until_ms, 77)
  assert.deepEqual(places(all), [at_helm])
})

test('a page that sleeps keeps what it had, and what came meanwhile was shown when it woke', () => {
  const all = stays(head([joined(0, PHONE, 'phone', 2), becomes(10_000, PHONE, 'asleep'), becomes(30_000, PHONE, 'here')]))
  assert.deepEqual(knownTo(all, phone(2), 20_000), { is: 'away', until_ms: 10_000, sure_ms: 10_000, how: 'asleep' })
  assert.equal(knownTo(all, phone(2), 30_000).is, 'here')
  assert.deepEqual([5000, 15_000, 31_000].map((ms) => reached(all, phone(2), ms, 20_000)), ['shown', 'not_yet', 'not_yet'])
  assert.deepEqual([5000, 15_000, 31_000].map((ms) => reached(all, phone(2), ms, 40_000)), ['shown', 'later', 'shown'])
})

test('what came in the eight seconds before a page was lost may not have reached it, unless it sent something later', () => {
  const silent = stays(head([joined(0, PHONE, 'phone', 2), becomes(60_000, PHONE, 'lost')]))
  assert.deepEqual(knownTo(silent, phone(2), 70_000), { is: 'away', until_ms: 60_000, sure_ms: 52_000, how: 'lost' })
  assert.deepEqual([51_000, 55_000, 61_000].map((ms) => reached(silent, phone(2), ms, 70_000)), ['shown', 'perhaps', 'not_yet'])
  const proven = stays(head([joined(0, PHONE, 'phone', 2), becomes(60_000, PHONE, 'lost')], [shown(57_000, PHONE, 'a.e.1')].map((one) => ({ ...one, seq: seq - 1.5 }))))
  assert.equal(knownTo(proven, phone(2), 70_000).sure_ms, 57_000)
})

test('a page that passes to another hand is that hand’s place from then on', () => {
  const all = stays(head([joined(0, PHONE, 'phone', 2), hand(5000, PHONE, 3)]))
  assert.equal(knownTo(all, phone(2), 6000).is, 'away')
  assert.equal(knownTo(all, phone(3), 6000).is, 'here')
  assert.deepEqual(places(all), [phone(2), phone(3)])
})

test('two pages of one place: one that is here is enough, and a page loaded anew goes on', () => {
  const all = stays(head([joined(0, HELM, 'helm', 1), joined(5000, AGAIN, 'helm', 1), becomes(9000, HELM, 'left')]))
  assert.equal(knownTo(all, at_helm, 20_000).is, 'here')
  const gap = stays(head([joined(0, HELM, 'helm', 1), becomes(4000, HELM, 'lost'), joined(9000, AGAIN, 'helm', 1)]))
  assert.deepEqual([3000, 6000, 9500].map((ms) => knownTo(gap, at_helm, ms).is), ['here', 'away', 'here'])
})

test('when the board starts again no page is there until it comes back; a trip that begins under it sends none away', () => {
  const all = stays(head([joined(0, HELM, 'helm', 1), run(10_000, true), joined(14_000, HELM, 'helm', 1)]))
  assert.deepEqual([9000, 12_000, 15_000].map((ms) => knownTo(all, at_helm, ms).is), ['here', 'away', 'here'])
  assert.equal(knownTo(stays(head([joined(0, HELM, 'helm', 1), run(10_000, false)])), at_helm, 12_000).is, 'here')
})

test('a page that joins asleep has been shown nothing', () => {
  assert.equal(knownTo(stays(head([joined(0, PHONE, 'phone', 2, 'asleep')])), phone(2), 9000).is, 'never')
})

test('a receipt counts from when the server had it, for the place whose page sent it', () => {
  const told = head([joined(0, HELM, 'helm', 1), joined(0, PHONE, 'phone', 2)], [shown(4000, HELM, 'd.o.1')])
  const all = stays(told)
  assert.equal(receiptAt(told, all, at_helm, 'd.o.1', 3999), 0)
  assert.equal(receiptAt(told, all, at_helm, 'd.o.1', 4000), 4000)
  assert.equal(receiptAt(told, all, phone(2), 'd.o.1', 9000), 0)
  assert.equal(receiptAt(told, all, { of: 'log', hand: 0 }, 'd.o.1', 9000), 4000)
})
