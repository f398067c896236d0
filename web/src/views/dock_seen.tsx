// At the dock, on the cockpit's screens: what the helm's tablet is asking, and what has been told so far. The skipper taps there;
// here all can read along and speak up.

import type { ViewState } from '../store'
import { handName } from '../ui/board'
import { useStore } from '../ui/hooks'
import { words } from '../words'
import { unsettled } from './dock_settle'

export function DockSeen({ state }: { state: ViewState }) {
  const rows = dockRows(state, unsettled(state, useStore()).map((one) => one.ask))
  return <section class="tiles c1"><ul class="dock-seen" aria-label={words.phase.dock}>{rows.map((row, n) => <li key={n}>{row}</li>)}</ul></section>
}

/** The most pressing first: on a low screen the last ones are cut off. */
export function dockRows({ board }: ViewState, asked: readonly string[]): string[] {
  const { dock, counts } = board
  const logged = counts.boated ?? 0
  const by = [handName(board, dock.hand), handName(board, dock.second)] as const
  const box = !dock.counted ? words.dock.logSays(logged) : (dock.boated ?? 0) === logged ? words.dock.agrees(...by) : words.dock.differs(...by, dock.boated ?? 0)
  const jobs = [...board.jobs.values()].filter((job) => !job.done).map((job) => `${handName(board, job.hand) || job.name || words.nobody}: ${job.text ?? ''}`)
  return [
    asked[0] ? [asked[0], asked.length > 1 ? `(${words.dock.left(asked.length)})` : ''].filter(Boolean).join(' ') : words.dock.allSettled,
    box,
    ...jobs,
    [counts.near_misses ? words.dock.nearMisses(counts.near_misses) : '', counts.gear_faults ? words.dock.faultsTold(counts.gear_faults) : ''].filter(Boolean).join(', '),
  ].filter(Boolean)
}
