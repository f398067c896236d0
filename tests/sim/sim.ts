// sim - the simulator: the real board, hub, log and link through storms made from a seed.
//
//   node sim.mjs SIM_HUB FOLDER [--seeds N] [--from N] [--jobs N] [--progress] [--first]
//   node sim.mjs SIM_HUB FOLDER --seed N [--trace] [--shrink [--keep DIR]] [--only FILE]
//
// Runs seeds 1 to N, or those from --from on, in so many processes; or one alone. FOLDER is for pipes and the log's lock.
// Seeds that fail are printed with what was wrong when the run ends, which is then with code 1; --progress says so at once as well;
// --first ends the run with the first, by its number. --trace tells the whole story of a seed. --shrink
// leaves steps out of it for as long as it still fails, prints what remains, and keeps that in DIR/seed-N.steps, for --only.

import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { HubDied } from './hub_pipe'
import { Hub, runJobs, runShare, type Options } from './jobs'
import { Wrong } from './model'
import { shrink } from './shrink'
import { emptySums, summary, tellStory } from './tell'

function optionsFrom(argv: string[]): Options {
  const [program, folder, ...rest] = argv
  const text = (name: string): string | undefined => (rest.includes(name) ? rest[rest.indexOf(name) + 1] : undefined)
  const value = (name: string): number | undefined => (text(name) === undefined ? undefined : Number(text(name)))
  if (!program || !folder) throw new Error('usage: node sim.mjs SIM_HUB FOLDER [--seeds N] [--from N] [--jobs N] [--seed N] ...')
  const one = value('--seed')
  const from = one ?? value('--from') ?? 1
  return {
    program, folder, from, to: one ?? from + (value('--seeds') ?? 1000) - 1, every: value('--every') ?? 1, jobs: value('--jobs') ?? 1,
    share: rest.includes('--share'), progress: rest.includes('--progress'), first: rest.includes('--first'), trace: rest.includes('--trace'),
    shrink: rest.includes('--shrink'), only: text('--only') ?? '', keep: text('--keep') ?? '.',
  }
}

/** One seed alone, told, or left with the steps of a file. */
function runOne(options: Options): number {
  const hub = new Hub(options)
  const only = options.only ? new Set(readFileSync(options.only, 'utf8').split('\n').filter((line) => line !== '')) : null
  const sums = emptySums()
  try {
    tellStory(options.from, hub.pipe(), join(options.folder, 'data'), { trace: options.trace, only, sums })
  } catch (error) {
    if (!(error instanceof Wrong || error instanceof HubDied)) throw error
    console.log(`seed ${options.from}: ${error.message}\n0 passed, 1 failed`)
    return 1
  } finally {
    hub.finish()
  }
  return summary(sums, 0)
}

function shrinkOne(options: Options): number {
  const hub = new Hub(options)
  const found = shrink(options.from, hub, join(options.folder, 'data'))
  hub.finish()
  if (!found) {
    console.log(`seed ${options.from} does not fail`)
    return 0
  }
  const file = join(options.keep, `seed-${options.from}.steps`)
  writeFileSync(file, `${found.steps.join('\n')}\n`)
  console.log(`seed ${options.from}: ${found.wrong}\nof ${found.of} steps these are left, after ${found.runs} runs:`)
  for (const step of found.steps) console.log(`  ${step}`)
  console.log(`see it with --seed ${options.from} --only ${file} --trace`)
  return 1
}

async function main(): Promise<number> {
  const options = optionsFrom(process.argv.slice(2))
  mkdirSync(join(options.folder, 'data'), { recursive: true })
  if (options.shrink) return shrinkOne(options)
  if (options.from === options.to && !options.share) return runOne(options)
  return options.share ? runShare(options) : runJobs(options)
}

process.exitCode = await main()
