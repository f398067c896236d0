// What the last trip hands on to the next: its jobs with their names, and a HURT whose report may still be due.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { boardFromFlat } from '../../web/src/ui/flat'
import { whoName } from '../../web/src/ui/board'
import { reportsDue } from '../../web/src/ui/say_deck'
import { withLearned } from '../../web/src/views/learned'
import { fromLast } from '../../web/src/views/start'
import { flatOf } from './fixtures/boards'
import { HELM_STATES } from './fixtures/helm_states'

const HURT = 'aaaaaaaaaaaaaaaa.e.1'
const flatAt = (name: string) => flatOf(HELM_STATES[name] ?? { view: 'helm' })

test('the next trip starts with what is left to do, and whose it is by name', () => {
  const flat = flatAt('helm-jobs')
  const trip = fromLast(boardFromFlat({ ...flat, 'jobs/3': { no: 3, text: 'Head lamp', name: 'Karin' } }))
  assert.deepEqual(trip.jobs, ['New clip on the port rigger', 'Head lamp'])
  assert.deepEqual(trip.job_names, ['Tobias', 'Karin'])
})

test('what the log has learned of clearing goes into the next trip; what rests on nothing does not', () => {
  const trip = fromLast(boardFromFlat(flatAt('helm-jobs')))
  assert.equal(withLearned(trip, { line_in_ms: 20_000, lines: 8 }).line_in_ms, 20_000)
  assert.deepEqual(withLearned(trip, { line_in_ms: 15_000, lines: 0 }), trip)
  assert.deepEqual(withLearned(trip, null), trip)
})

test('a HURT that was looked after is shown while a report may be due, by name where no hand of this crew is meant', () => {
  const board = (hurt: object) => boardFromFlat({ ...flatAt('helm-jobs'), [`hurts/${HURT}`]: { id: HURT, since_ms: 1, told_ms: 2, ...hurt } })
  const due = reportsDue(board({ over: true, how: 'beyond_first_aid', name: 'Karin' }))
  assert.deepEqual(due.map((hurt) => whoName(board({}), hurt)), ['Karin'])
  assert.equal(reportsDue(board({ over: true, how: 'first_aid' })).length, 0)
  assert.equal(reportsDue(board({ how: 'missing' })).length, 0)
})
