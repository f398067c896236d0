// The steps by which a fish's numbers are given where there is no room for ten digits.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { type FishAt, type FishHands, fishStep } from '../../web/src/views/fish_steps'

const FISH = '1111111111111111.o.1'

function padOf(what: 'length' | 'girth' | 'weight' | 'out', unit: 'inch' | 'cm', text = '') {
  const gone: FishAt[] = []
  const told: unknown[] = []
  const hands = {
    state: { me: { hand: 2 } }, store: { act: (_: string, body: unknown) => told.push(body) }, by: 'steps',
    answer: { fish: [{ id: FISH, code: 'YFT' }], species: [{ code: 'YFT', name: 'yellowfin', unit, measures: ['fork'] }] },
    go: (to: FishAt) => gone.push(to), done: () => undefined,
  } as unknown as FishHands
  return { ...fishStep(hands, { at: 'pad', fish: FISH, what, measure: 'fork', text }), gone, told }
}

const ups = (what: 'length' | 'girth' | 'weight' | 'out', unit: 'inch' | 'cm') => padOf(what, unit).tiles.slice(0, 4).map((tile) => tile.label)

test('lengths and girths step further in centimetres; weights and seconds do not', () => {
  assert.deepEqual([ups('length', 'inch'), ups('length', 'cm')], [['+20', '+5', '+1', '+0.1'], ['+40', '+10', '+1', '+0.1']])
  assert.deepEqual(ups('girth', 'cm'), ['+20', '+10', '+1', '+0.1'])
  assert.deepEqual([ups('weight', 'inch'), ups('weight', 'cm')], [['+50', '+10', '+1', '+0.1'], ['+50', '+10', '+1', '+0.1']])
  assert.deepEqual(ups('out', 'cm'), ['+60', '+10', '+5', '+1'])
})

test('tenths stay tenths, nothing goes below zero, and what is saved is what was read', () => {
  const { tiles, gone } = padOf('length', 'inch', '0.2')
  tiles.find((tile) => tile.key === 'step-more-0.1')?.act?.()
  assert.deepEqual(gone, [{ at: 'pad', fish: FISH, what: 'length', measure: 'fork', text: '0.3' }])
  assert.equal(tiles.find((tile) => tile.key === 'step-less-1')?.act, undefined)
  assert.equal(padOf('length', 'inch', '').save?.act, undefined, 'no number yet')
  assert.equal(padOf('length', 'inch', '800').save?.act, undefined, 'longer than an entry holds')
  const { save, told } = padOf('length', 'inch', '26.8')
  save?.act?.()
  assert.deepEqual(told, [{ fish: FISH, length_um: 680_720, measure: 'fork', measured_by: 2 }])
})
