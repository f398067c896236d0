// A failing story made shorter: steps are left out, first whole sorts of them, then ever smaller pieces (delta debugging: Zeller and
// Hildebrandt, "Simplifying and isolating failure-inducing input", 2002), for as long as it still fails in the same way.

import { HubDied } from './hub_pipe'
import type { Hub } from './jobs'
import { Wrong } from './model'
import { emptySums, tellStory } from './tell'

const RUNS_MOST = 1500

export interface Shrunk {
  wrong: string
  steps: string[]
  of: number
  runs: number
}

interface Outcome {
  /** '': nothing was wrong. */
  wrong: string
  steps: string[]
}

/** What is the same about two failures: everything up to the first number or name. */
const sort = (wrong: string): string => wrong.split(/[:0-9]/, 2).join(':')

class Shrinker {
  runs = 0
  constructor(private seed: number, private hub: Hub, private folder: string) {}

  run(only: ReadonlySet<string> | null): Outcome {
    const outcome: Outcome = { wrong: '', steps: [] }
    this.runs++
    try {
      tellStory(this.seed, this.hub.pipe(), this.folder, { trace: false, only, sums: emptySums() }, ({ steps }) => (outcome.steps = steps))
    } catch (error) {
      if (!(error instanceof Wrong || error instanceof HubDied)) throw error
      if (error instanceof HubDied) this.hub.died()
      outcome.wrong = error.message
    }
    return outcome
  }

  /** The shortest list of steps found. */
  shrink(first: Outcome): Outcome {
    let best = first
    const fails = (steps: readonly string[]): boolean => {
      if (this.runs >= RUNS_MOST) return false
      const outcome = this.run(new Set(steps))
      const same = outcome.wrong !== '' && sort(outcome.wrong) === sort(first.wrong)
      if (same) best = outcome
      return same
    }
    for (const name of sortsOf(first.steps)) fails(best.steps.filter((step) => nameOf(step) !== name))
    for (let size = Math.ceil(best.steps.length / 2); size >= 1; size = size === 1 ? 0 : Math.ceil(size / 2)) {
      for (let at = best.steps.length - size; at > -size; at -= size) {
        fails([...best.steps.slice(0, Math.max(at, 0)), ...best.steps.slice(at + size)])
      }
    }
    return best
  }
}

const nameOf = (step: string): string => step.slice(0, step.indexOf('@'))
const sortsOf = (steps: readonly string[]): string[] => [...new Set(steps.map(nameOf))]

/** null: the seed does not fail. */
export function shrink(seed: number, hub: Hub, folder: string): Shrunk | null {
  const shrinker = new Shrinker(seed, hub, folder)
  const first = shrinker.run(null)
  if (first.wrong === '') return null
  const best = shrinker.shrink(first)
  return { wrong: best.wrong, steps: best.steps, of: first.steps.length, runs: shrinker.runs }
}
