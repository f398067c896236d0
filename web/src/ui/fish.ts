// The fish of the trip, as the server works them out of its log: read over HTTP, anew whenever something was told that may count. No
// rule of fishing is known on this side; what stands here is read and shown.

import type { DebriefFish, DebriefFishAnswer, DebriefFishSpecies, DebriefStanding } from 'debrief'
import { useEffect, useState } from 'preact/hooks'
import type { BoardView, Store, ViewState } from '../store'
import { words } from '../words'

/** A correction may change what was told without a trace on the board. */
const AGAIN_MS = 30000

/** What of the board may change the answer. */
export function fishKey({ trip, counts, box, clock }: BoardView): string {
  return JSON.stringify([trip.id, trip.phase, counts.hooked, counts.boated, counts.released, counts.pulled, counts.hurts, box, clock.utc_offset_ms])
}

/** Null until it was read once; while it cannot be read, what was read last. */
export function useFish(state: ViewState, store: Store, wanted = true): DebriefFishAnswer | null {
  const [answer, setAnswer] = useState<DebriefFishAnswer | null>(null)
  const key = fishKey(state.board)
  const may = wanted && state.me.greeted && !state.me.keyless && state.link.state === 'ok'
  useEffect(() => {
    if (!may) return undefined
    let ended = false
    const read = async () => {
      const reply = await fetch(`/fish?zone=${-new Date().getTimezoneOffset()}`, { headers: { Authorization: `Bearer ${store.token()}` } })
      const body = reply.ok ? ((await reply.json()) as DebriefFishAnswer) : null
      if (!ended && body) setAnswer(body)
    }
    const quietly = () => void read().catch(() => undefined)
    quietly()
    const timer = setInterval(quietly, AGAIN_MS)
    return () => {
      ended = true
      clearInterval(timer)
    }
  }, [key, may])
  return answer
}

/** Those of which something is logged come first; the others as the rule set has them. */
export function inOrder(standing: readonly DebriefStanding[]): DebriefStanding[] {
  return [...standing.filter((row) => row.logged), ...standing.filter((row) => !row.logged)]
}

/** What is logged, and what is left where the rule states a number. */
export function countWords(row: DebriefStanding): string {
  if (row.no_retention) return row.logged ? `${words.fish.noRetention}, ${words.fish.logged(row.logged)}` : words.fish.noRetention
  if (row.limit === undefined || row.left === undefined) return words.fish.logged(row.logged)
  return `${words.fish.logged(row.logged)}, ${row.left < 0 ? words.fish.over(-row.left) : words.fish.left(row.left, row.limit)}`
}

/** The size without how it is measured in full: "27 in curved". */
function sizeWords(row: DebriefStanding): string {
  const [size = '', how = ''] = row.min_words.split(', ')
  return size ? `${size} ${how === 'head off: cleithrum to keel' ? '' : how}`.trim() : ''
}

/** For a tile: the number that is left, and the size. */
export function shortWords(row: DebriefStanding): string {
  const count = row.no_retention ? words.fish.noRetention : row.left === undefined ? (row.logged ? words.fish.logged(row.logged) : '') : row.left < 0 ? words.fish.over(-row.left) : words.fish.leftShort(row.left)
  return [count, row.min_words.split(', ')[0]].filter(Boolean).join(', ') || words.fish.noNumber
}

/** One line for the moment before the gaff: of what is logged most; nothing while nothing is logged. What is cut first, where there
 * is little room, is the rule's day. */
export function boxLine(answer: DebriefFishAnswer | null): string {
  const numbered = (answer?.standing ?? []).filter((one) => one.limit !== undefined && one.logged > 0)
  const row = [...numbered].sort((a, b) => b.logged - a.logged)[0]
  if (!answer?.rule_set || !row || row.left === undefined) return ''
  return [`${row.name} ${row.logged}`, row.left < 0 ? words.fish.over(-row.left) : words.fish.leftShort(row.left), sizeWords(row) || words.fish.noSize, words.fish.ruleOf(answer.rule_set.dated)].join(', ')
}

export const speciesOf = (answer: DebriefFishAnswer | null, code: string): DebriefFishSpecies | undefined => answer?.species.find((one) => one.code === code)

export const fishName = (fish: Pick<DebriefFish, 'name'>): string => fish.name || words.fish.untold
