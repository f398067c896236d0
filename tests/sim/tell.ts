// One story told from beginning to end, and the sums of many.

import { resetMarks } from './acts'
import type { HubPipe } from './hub_pipe'
import { Model, Tally, Wrong, type TallyValues } from './model'
import { Schedule } from './schedule'
import { Story } from './story'
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

const COUNTS = ['seeds', 'taps', 'saved', 'refused', 'steps', 'kills', 'power_cuts', 'failures', 'refused_starts', 'alarms', 'virtual_ms'] as const
export interface Sums {
  counts: Record<(typeof COUNTS)[number], number>
  tally: Tally
}

export function emptySums(): Sums {
  return { counts: Object.fromEntries(COUNTS.map((name) => [name, 0])) as Sums['counts'], tally: new Tally() }
}

/** As text, from one process to another. */
export function sumsText({ counts, tally }: Sums): string {
  return JSON.stringify({ counts, tally: tally.values() })
}

export function addSums(sums: Sums, text: string): void {
  const more = JSON.parse(text) as { counts: Sums['counts']; tally: TallyValues }
  for (const name of COUNTS) sums.counts[name] += more.counts[name]
  sums.tally.addAll(more.tally)
}

function crew(world: World, story: Story): void {
  const chances = story.at('crew')
  world.addDevice('helm', 'helm', 'crew')
  world.addDevice('station', 'station', 'crew')
  for (let i = chances.chance(60) ? chances.int(5, 10) : chances.int(0, 3); i > 0; i--) world.addDevice(`phone${i}`, 'phone', 'crew')
  if (chances.chance(200)) world.addDevice('guest', 'guest', 'guest')
  if (chances.chance(200)) world.addDevice('stranger', 'none', '')
  if (chances.chance(200)) world.crowd.addRogue()
  if (chances.chance(10)) world.crowd.addFlood()
}

/** Lets everything up to that time happen. A story that does not move on is one that went wrong. */
function pass(schedule: Schedule, until_ms: number): void {
  for (let events = 0; schedule.next(until_ms); events++) {
    if (events > EVENTS_MOST) throw new Wrong(`time stands still at ${schedule.now_ms} ms`)
  }
}

function storm(world: World, story: Story): void {
  const { schedule } = world
  const chances = story.at('storm')
  const [least_ms, most_ms] = chances.chance(30) ? LONG_STORM_MS : STORM_MS
  const storm_ms = chances.int(least_ms, most_ms)
  for (let at = LOOK_EVERY_MS; at <= storm_ms; at += LOOK_EVERY_MS) {
    pass(schedule, at)
    if (story.at('fold').chance(200)) world.checkFold()
    world.checkScreens()
  }
}

/** The faults have stopped: all screens come to the server's board, and every waiting tap is answered. */
function calm(world: World, quiet: boolean): void {
  const { schedule } = world
  world.heal()
  if (quiet) pass(schedule, schedule.now_ms + QUIET_MS)
  const end_ms = schedule.now_ms + CALM_MS
  while (world.unsettled() !== '' && schedule.now_ms < end_ms) {
    pass(schedule, schedule.now_ms + LOOK_EVERY_MS / 2)
  }
  if (world.unsettled() !== '') throw new Wrong(`promise 3: ${CALM_MS / 1000} s after the last fault: ${world.unsettled()}`)
}

export interface Telling {
  trace: boolean
  only: ReadonlySet<string> | null
  sums: Sums
}

/** Throws what was wrong. Returns the steps of the story; they are in `story` too when it throws. */
export function tellStory(seed: number, hub: HubPipe, folder: string, telling: Telling, steps?: (story: Story) => void): void {
  const schedule = new Schedule()
  const story = new Story(seed, schedule, telling.only)
  steps?.(story)
  const model = new Model()
  resetMarks()
  const tell = telling.trace ? (what: string): void => console.log(`${String(schedule.now_ms).padStart(7)} ${what}`) : (): void => undefined
  const world = new World(hub, folder, schedule, story, model, tell)
  world.server.start()
  crew(world, story)
  storm(world, story)
  calm(world, story.at('quiet').chance(20))
  world.checkEnd(telling.sums.tally)
  if (story.at('rot').chance(200)) world.server.rot()
  add(telling.sums, world, model, story.steps.length)
}

function add({ counts }: Sums, world: World, model: Model, steps: number): void {
  const { taps, saved, refused } = model.counts()
  const { counts: server, alarms } = world.server
  const more = { seeds: 1, taps, saved, refused, steps, ...server, alarms: alarms.rung, virtual_ms: world.schedule.now_ms }
  for (const name of COUNTS) counts[name] += more[name]
}

/** What was tried, and how often it failed. A long run that never had some kind of entry taken has tested nothing of it; nor has one without a full crew. */
export function summary({ counts, tally }: Sums, failures: number): number {
  const list = (map: ReadonlyMap<string, number>): string =>
    [...map].sort(([, a], [, b]) => b - a).map(([name, count]) => `${name} ${count}`).join(', ')
  const missing = tally.missing()
  const { hands, pages, pages_shown, found } = tally
  const poor = counts.seeds >= SEEDS_FOR_ALL && (missing.length > 0 || hands < HANDS_MOST || pages < DEVICES_MANY)
  console.log(`${counts.taps} taps, ${counts.saved} told saved, ${counts.refused} told refused, ${tally.offered} brought back by other screens`)
  console.log(`| ${counts.seeds} storms, ${counts.power_cuts} power cuts, ${counts.kills} other ends of the server | told saved ${counts.saved} | ` +
    `found once ${found.once} | found twice ${found.twice} | lost ${found.lost} | told refused and yet taken ${found.refused_taken} |`)
  console.log(`${counts.kills} ends of the server, ${counts.power_cuts} power cuts, ${counts.failures} disks that failed under it, ` +
    `${counts.refused_starts} starts that did not succeed, ${counts.alarms} overboard calls, ${(counts.virtual_ms / 3_600_000).toFixed(1)} hours on the boat`)
  console.log(`at most ${hands} hands and ${pages_shown} pages on one board, ${pages} devices in one story`)
  console.log(`taken: ${list(tally.taken)}`)
  console.log(`refused: ${list(tally.refused)}`)
  if (missing.length > 0) console.log(`never taken: ${missing.join(', ')}`)
  console.log(`${counts.seeds} passed, ${failures + (poor ? 1 : 0)} failed`)
  return failures > 0 || poor ? 1 : 0
}
