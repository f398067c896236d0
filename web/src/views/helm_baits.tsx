// The baits looked at, as the helm tells it: a row for each result, a place in it for each bait, one touch each. There is room
// for five; those longest not looked at come first. Which they are is fixed while the panel is open, so that none moves.

import { useState } from 'preact/hooks'
import type { BaitResult } from 'proto'
import type { Store, ViewState } from '../store'
import { allLines, tinyName } from '../ui/board'
import { Press } from '../ui/button'
import { tell } from '../ui/earlier'
import { baitSince, baitsByAge, isNight } from '../ui/night'
import { age } from '../ui/time'
import { words } from '../words'

const MOST = 5
/** So long a cell that was touched shows it. */
const TOLD_MS = 60000
/** By night what is left of the bait is told, by day what hangs on it. */
const NIGHT: readonly BaitResult[] = ['clean', 'chewed', 'gone', 'changed']
const DAY: readonly BaitResult[] = ['clean', 'weed', 'gone', 'changed']

/** `store`: of an act that was held it tells how long ago it was. */
export function BaitsPanel({ state, store, now, close }: { state: ViewState; store: Store; now: number; close: () => void }) {
  const [ids] = useState(() => baitsByAge(state.board).slice(0, MOST).map((line) => line.id))
  const baits = allLines(state.board).filter((line) => ids.includes(line.id))
  const results = isNight(state.board) ? NIGHT : DAY
  return (
    <section class="panel baits">
      <h2 class="aloud">{baits.length ? words.helm.looked : words.helm.noBaits}</h2>
      {!baits.length && <p class="none">{words.helm.noBaits}</p>}
      {baits.map((line, column) => <p key={line.id} class="since" style={{ gridColumn: column + 2, gridRow: 1 }}>{age(now - baitSince(line))}</p>)}
      {results.map((result, row) => (
        <>
          {baits.length > 0 && <b key={result} class="result" style={{ gridColumn: 1, gridRow: row + 2 }}>{words.bait.is[result]}</b>}
          {baits.map((line, column) => {
            const told = line.result === result && now - line.checked_ms < TOLD_MS
            return (
              <div key={line.id} class="cell" style={{ gridColumn: column + 2, gridRow: row + 2 }}>
                <Press label={tinyName(line.name)} of={`choice ${told ? 'chosen' : ''}`} place={`bait-${result}-${line.id}`} pressed={told} fit={1}
                  act={line.state === 'out' ? tell(store, 'bait_checked', { line: line.id, result }) : undefined} />
              </div>
            )
          })}
        </>
      ))}
      <div class="cell" style={{ gridColumn: MOST + 2, gridRow: results.length + 1 }}><Press label={words.button.close} of="choice" place="close" act={close} fit={1} /></div>
    </section>
  )
}
