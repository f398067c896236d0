// sim - the simulator: the real board, hub, log and link through storms made from a seed.
//
//   node sim.mjs SIM_HUB FOLDER [--seeds N] [--from N] [--seed N] [--trace] [--quiet]
//
// Runs seeds 1 to N, or those from --from on, or one alone. FOLDER is for the log's files; the fastest is one in memory.
// A seed that fails is printed with what was wrong, and ends the run with code 1. --trace tells the whole story of a seed.

import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { resetMarks } from './acts'
import { HubDied, HubPipe } from './hub_pipe'
import { Model, Tally, Wrong } from './model'
import { Prng } from './prng'
import { Schedule } from './schedule'
import { World } from './world'

/** The storm, and how long everything may take to come right: a tap may wait 30 s for what it names, and 30 s for a gap. */
const STORM_MS = [4000, 25_000] as const
const LONG_STORM_MS = [60_000, 100_000] as const
const CALM_MS = 120_000
/** Now and then nobody taps for so long that a raise lapses. */
const QUIET_MS = 310_000
const LOOK_EVERY_MS = 1000
const EVENTS_MOST = 200_000
/** From that many seeds on, every kind of entry must have been taken at least once. */
const SEEDS_FOR_ALL = 500
/** And by then the roster must have been full once, and the devices of one story as many as a full crew's. */
const HANDS_MOST = 12
const DEVICES_MANY = 10

interface Sums {
  seeds: number
  taps: number
  saved: number
  refused: number
  kills: number
  virtual_ms: number
  tally: Tally
}

function crew(world: World, rng: Prng): void {
  world.addDevice('helm', 'helm', 'crew')
  world.addDevice('station', 'station', 'crew')
  for (let i = rng.chance(60) ? rng.int(5, 10) : rng.int(0, 3); i > 0; i--) world.addDevice(`phone${i}`, 'phone', 'crew')
  if (rng.chance(200)) world.addDevice('guest', 'guest', 'guest')
  if (rng.chance(200)) world.addDevice('stranger', 'none', '')
  if (rng.chance(200)) world.addRogue()
}

/** Lets everything up to that time happen. A story that does not move on is one that went wrong. */
function pass(schedule: Schedule, until_ms: number): void {
  for (let events = 0; schedule.next(until_ms); events++) {
    if (events > EVENTS_MOST) throw new Wrong(`time stands still at ${schedule.now_ms} ms`)
  }
}

/** One story; throws what was wrong. */
function run(seed: number, hub: HubPipe, folder: string, trace: boolean, sums: Sums): void {
  const rng = new Prng(seed)
  const schedule = new Schedule()
  const model = new Model()
  resetMarks()
  const tell = trace ? (what: string): void => console.log(`${String(schedule.now_ms).padStart(7)} ${what}`) : (): void => undefined
  const world = new World(hub, folder, schedule, rng, model, tell)
  world.start()
  crew(world, rng)
  const [least_ms, most_ms] = rng.chance(30) ? LONG_STORM_MS : STORM_MS
  const storm_ms = rng.int(least_ms, most_ms)
  for (let at = LOOK_EVERY_MS; at <= storm_ms; at += LOOK_EVERY_MS) {
    pass(schedule, at)
    if (rng.chance(200)) world.checkFold()
    world.checkScreens()
  }
  world.heal()
  if (rng.chance(20)) pass(schedule, schedule.now_ms + QUIET_MS)
  const end_ms = schedule.now_ms + CALM_MS
  while (world.unsettled() !== '' && schedule.now_ms < end_ms) {
    pass(schedule, schedule.now_ms + LOOK_EVERY_MS / 2)
  }
  if (world.unsettled() !== '') throw new Wrong(`promise 3: ${CALM_MS / 1000} s after the last fault: ${world.unsettled()}`)
  world.checkEnd(sums.tally)
  const counts = model.counts()
  sums.seeds++
  sums.taps += counts.taps
  sums.saved += counts.saved
  sums.refused += counts.refused
  sums.kills += world.server.run - 1
  sums.virtual_ms += schedule.now_ms
  hub.call('kill')
  hub.call('clear')
}

interface Options {
  program: string
  folder: string
  from: number
  to: number
  trace: boolean
}

function optionsFrom(argv: string[]): Options {
  const [program, folder, ...rest] = argv
  const value = (name: string): number | undefined => (rest.includes(name) ? Number(rest[rest.indexOf(name) + 1]) : undefined)
  if (!program || !folder) throw new Error('usage: node sim.mjs SIM_HUB FOLDER [--seeds N] [--from N] [--seed N] [--trace]')
  const one = value('--seed')
  const from = one ?? value('--from') ?? 1
  return { program, folder, from, to: one ?? from + (value('--seeds') ?? 1000) - 1, trace: rest.includes('--trace') }
}

/** Runs the seeds until one goes wrong; returns what went wrong, or ''. */
function runAll(options: Options, hub: HubPipe, data: string, sums: Sums): string {
  for (let seed = options.from; seed <= options.to; seed++) {
    try {
      run(seed, hub, data, options.trace, sums)
    } catch (error) {
      if (!(error instanceof Wrong || error instanceof HubDied)) throw error
      return `seed ${seed}: ${error.message}\nsee it again with --seed ${seed} --trace`
    }
  }
  return ''
}

function main(): number {
  const options = optionsFrom(process.argv.slice(2))
  const data = join(options.folder, 'data')
  mkdirSync(data, { recursive: true })
  const sums: Sums = { seeds: 0, taps: 0, saved: 0, refused: 0, kills: 0, virtual_ms: 0, tally: new Tally() }
  const hub = new HubPipe(options.program, options.folder)
  const began = Date.now()
  const wrong = runAll(options, hub, data, sums)
  const complaint = hub.finish()
  if (wrong || complaint) {
    console.log(wrong || `the server's program complains: ${complaint}`)
    console.log(`${sums.seeds} passed, 1 failed`)
    return 1
  }
  console.log(`${Math.round(sums.seeds / ((Date.now() - began) / 60_000))} seeds a minute`)
  return summary(sums)
}

/** What was tried. A long run that never had some kind of entry taken has tested nothing of it;
 *  nor has one without a full crew. */
function summary(sums: Sums): number {
  const { taken, refused, offered } = sums.tally
  const list = (counts: ReadonlyMap<string, number>): string =>
    [...counts].sort(([, a], [, b]) => b - a).map(([name, count]) => `${name} ${count}`).join(', ')
  const { hands, pages, pages_shown } = sums.tally
  const missing = sums.tally.missing()
  const poor = sums.seeds >= SEEDS_FOR_ALL && (missing.length > 0 || hands < HANDS_MOST || pages < DEVICES_MANY)
  console.log(`${sums.taps} taps, ${sums.saved} told saved, ${sums.refused} told refused, ${offered} brought back by other screens, ` +
    `${sums.kills} kills of the server, ${(sums.virtual_ms / 3_600_000).toFixed(1)} hours on the boat`)
  console.log(`at most ${hands} hands and ${pages_shown} pages on one board, ${pages} devices in one story`)
  console.log(`taken: ${list(taken)}`)
  console.log(`refused: ${list(refused)}`)
  if (missing.length > 0) console.log(`never taken: ${missing.join(', ')}`)
  console.log(`${sums.seeds} passed, ${poor ? 1 : 0} failed`)
  return poor ? 1 : 0
}

process.exitCode = main()
