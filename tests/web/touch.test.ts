// What a finger meant: wet glass, a shaking boat, drops of water, a panicking hand.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import {
  type Hold, holdDown, holdMove, holdShare, holdStart, holdTick, holdUp, isWater, touchDown, touchMove, touchShare, touchStart, touchTick, touchUp,
} from '../../web/src/ui/touch'

const OVERBOARD = { hold_ms: 600, taps: true }
const FALSE_ALARM = { hold_ms: 1500, taps: false }

/** Plays touches against the clock: [at ms, 'down' | 'up' | x in mm to move to]; says when it fired, or null. */
function play(rules: Hold['rules'], touches: [number, 'down' | 'up' | number][], until: number): number | null {
  let hold = holdStart(rules)
  let next = 0
  for (let now = 1000; now <= 1000 + until; now += 10) {
    for (; next < touches.length && 1000 + (touches[next]?.[0] ?? 0) <= now; next++) {
      const what = touches[next]?.[1]
      hold = what === 'down' ? holdDown(hold, now, 0, 0) : what === 'up' ? holdUp(hold, now) : holdMove(hold, what ?? 0, 0)
      if (hold.fired) return now - 1000
    }
    hold = holdTick(hold, now)
    if (hold.fired) return now - 1000
  }
  return null
}

test('a hold of 0.6 s fires at 0.6 s and not before', () => {
  assert.equal(play(OVERBOARD, [[0, 'down']], 2000), 600)
  assert.equal(play(OVERBOARD, [[0, 'down'], [580, 'up']], 3000), null)
})

test('a hold lives through a gap of 150 ms, and a longer one ends it', () => {
  assert.equal(play(OVERBOARD, [[0, 'down'], [200, 'up'], [350, 'down']], 2000), 600)
  assert.equal(play(FALSE_ALARM, [[0, 'down'], [700, 'up'], [900, 'down'], [1700, 'up']], 3000), null)
})

test('a tap of 200 ms alone does nothing; two within two seconds fire', () => {
  assert.equal(play(OVERBOARD, [[0, 'down'], [200, 'up']], 4000), null)
  assert.equal(play(OVERBOARD, [[0, 'down'], [200, 'up'], [900, 'down'], [1100, 'up']], 4000), 1100)
  assert.equal(play(OVERBOARD, [[0, 'down'], [100, 'up'], [2300, 'down'], [2400, 'up']], 5000), null)
})

test('drops that touch for less than 30 ms are no taps', () => {
  assert.equal(play(OVERBOARD, [[0, 'down'], [10, 'up'], [500, 'down'], [510, 'up'], [900, 'down'], [910, 'up']], 4000), null)
})

test('two taps do not end an emergency: that is held for 1.5 s', () => {
  assert.equal(play(FALSE_ALARM, [[0, 'down'], [100, 'up'], [500, 'down'], [600, 'up']], 4000), null)
  assert.equal(play(FALSE_ALARM, [[0, 'down']], 4000), 1500)
})

test('a finger may drift 12 mm, not farther', () => {
  assert.equal(play(OVERBOARD, [[0, 'down'], [200, 11.9]], 2000), 600)
  assert.equal(play(OVERBOARD, [[0, 'down'], [200, 12.1]], 2000), null)
})

test('the share of a hold grows from nothing to all', () => {
  const hold = holdDown(holdStart(OVERBOARD), 1000, 0, 0)
  assert.equal(holdShare(hold, 1000), 0)
  assert.equal(holdShare(hold, 1300), 0.5)
  assert.equal(holdShare(holdStart(OVERBOARD), 1300), 0)
})

test('a palm, and three touches on a phone, are water; three on the helm are not', () => {
  assert.ok(isWater(31, 10, 1, true))
  assert.ok(isWater(8, 8, 3, true))
  assert.ok(!isWater(8, 8, 3, false))
  assert.ok(!isWater(12, 14, 1, true))
})

type Step = [number, 'down' | 'up' | 'off' | number]

/** Plays touches of a button that may be held: [at ms, 'down' | 'up' | 'off' (up outside it) | x in mm to move to]; says all that came of it. */
function touched(steps: Step[], until: number, holds = true): [number, string][] {
  let touch = touchStart(holds)
  let x = 0
  let next = 0
  const came: [number, string][] = []
  const see = (now: number) => touch.does && came.push([now - 1000, touch.does])
  for (let now = 1000; now <= 1000 + until; now += 10) {
    for (; next < steps.length && 1000 + (steps[next]?.[0] ?? 0) <= now; next++) {
      const what = steps[next]?.[1]
      if (typeof what === 'number') x = what
      touch = what === 'down' ? touchDown(touch, now, x, 0) : typeof what === 'number' ? touchMove(touch, x, 0) : touchUp(touch, now, x, 0, what === 'up')
      see(now)
    }
    touch = touchTick(touch, now)
    see(now)
  }
  return came
}

test('a short touch acts as it lifts, at once; one that stays is held at 0.9 s, and its lifting is nothing', () => {
  assert.deepEqual(touched([[0, 'down'], [80, 'up']], 2000), [[80, 'act']])
  assert.deepEqual(touched([[0, 'down'], [290, 'up']], 2000), [[290, 'act']])
  assert.deepEqual(touched([[0, 'down'], [2500, 'up']], 4000), [[900, 'held']])
  assert.deepEqual(touched([[0, 'down'], [2500, 'up']], 4000, false), [[2500, 'act']])
})

test('a touch that was seen to be held waits for the gap of wet glass, then it was a short one', () => {
  assert.deepEqual(touched([[0, 'down'], [600, 'up']], 2000), [[760, 'act']])
  assert.deepEqual(touched([[0, 'down'], [600, 'up'], [740, 'down']], 2000), [[900, 'held']])
  assert.deepEqual(touched([[0, 'down'], [850, 'up'], [950, 'down']], 2000), [[950, 'held']])
  assert.deepEqual(touched([[0, 'down'], [400, 'up'], [600, 'down'], [700, 'up']], 2000), [[560, 'act'], [700, 'act']])
  assert.deepEqual(touched([[0, 'down'], [400, 'up'], [450, 20], [460, 'down'], [500, 'up']], 2000), [[460, 'act'], [500, 'act']])
})

test('a finger that drifts more than 12 mm holds nothing; inside its button it has still touched it', () => {
  assert.deepEqual(touched([[0, 'down'], [200, 11.9]], 2000), [[900, 'held']])
  assert.deepEqual(touched([[0, 'down'], [200, 12.1], [1500, 'up']], 3000), [[1500, 'act']])
  assert.deepEqual(touched([[0, 'down'], [200, 12.1], [300, 'off']], 3000), [])
  assert.deepEqual(touched([[0, 'down'], [100, 11.9], [150, 'off']], 3000), [[150, 'act']])
})

test('what a held touch will do is shown from 0.3 s on', () => {
  const touch = touchDown(touchStart(true), 1000, 0, 0)
  assert.deepEqual([1000, 1300, 1600, 1900].map((now) => touchShare(touch, now)), [0, 0, 0.5, 1])
  assert.equal(touchShare(touchDown(touchStart(false), 1000, 0, 0), 1600), 0)
  assert.equal(touchShare(touchMove(touch, 13, 0), 1600), 0)
})
