// The copy of the log on a second disk: what the pulse says of it reaches the helm, in words, after all that is more urgent.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import type { ViewState } from '../../web/src/store'
import { ownNews } from '../../web/src/ui/band'
import { Bench } from './bench'

function news(view: 'helm' | 'phone', more: Partial<ViewState>) {
  const state = { me: { view }, taps: [], waiting: 0, link: { state: 'ok' }, disk: 'ok', storage: 'kept', release: 'same', ...more }
  return ownNews(state as unknown as ViewState, 0)?.text ?? ''
}

test('a pulse says how it stands with the spare copy, and nothing where there is none', () => {
  const bench = new Bench().live()
  assert.equal(bench.link.spare, 'none')
  bench.pulse({ spare: 'stopped' })
  assert.equal(bench.link.spare, 'stopped')
  bench.pulse({ spare: 'current' })
  assert.equal(bench.link.spare, 'current')
  bench.pulse()
  assert.equal(bench.link.spare, 'none')
})

test('the helm is told that the spare copy stopped; a phone can do nothing about it', () => {
  assert.equal(news('helm', { spare: 'stopped' }), 'Spare copy stopped: look at the stick')
  assert.equal(news('helm', { spare: 'behind' }), 'Spare copy is behind')
  assert.equal(news('helm', { spare: 'current' }), '')
  assert.equal(news('helm', {}), '')
  assert.equal(news('phone', { spare: 'stopped' }), '')
})

test('a log that cannot be written is said before its copy', () => {
  assert.match(news('helm', { disk: 'failed', spare: 'stopped' }), /^NOT SAVING/)
})
