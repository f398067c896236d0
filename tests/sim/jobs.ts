// Many seeds in several processes, each with a server program of its own. Each takes every so-manieth seed. A seed that fails does not
// stop the others, unless the first is all that is asked for: then the lowest number is told of, however the processes run.

import { spawn } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { HubDied, HubPipe } from './hub_pipe'
import { Wrong } from './model'
import { addSums, emptySums, summary, sumsText, tellStory } from './tell'

export interface Options {
  program: string
  folder: string
  from: number
  to: number
  every: number
  jobs: number
  share: boolean
  progress: boolean
  first: boolean
  trace: boolean
  shrink: boolean
  only: string
  keep: string
}

/** The server program, started again after it has died. */
export class Hub {
  private now: HubPipe | null = null
  constructor(private options: Pick<Options, 'program' | 'folder'>) {}

  pipe(): HubPipe {
    this.now ??= new HubPipe(this.options.program, this.options.folder)
    return this.now
  }

  died(): void {
    this.now = null
  }

  /** What it has complained of. */
  finish(): string {
    return this.now?.finish() ?? ''
  }
}

/** A seed that failed, as a line from one process to another. */
interface Failure {
  seed: number
  wrong: string
}

const firstFile = (folder: string): string => join(folder, 'first')

/** Has a lower seed failed elsewhere, and is the first all that is asked for? */
function beaten(options: Options, seed: number): boolean {
  const file = firstFile(options.folder)
  return options.first && existsSync(file) && Number(readFileSync(file, 'utf8')) < seed
}

/** One process's share: a line for each seed, and its sums as the last line. */
export function runShare(options: Options): number {
  const folder = join(options.folder, `job-${options.from}`)
  mkdirSync(join(folder, 'data'), { recursive: true })
  const hub = new Hub({ ...options, folder })
  const sums = emptySums()
  const fail = (failure: Failure): void => {
    console.log(JSON.stringify(failure))
    if (!beaten(options, failure.seed)) writeFileSync(firstFile(options.folder), `${failure.seed}`)
  }
  for (let seed = options.from; seed <= options.to && !beaten(options, seed); seed += options.every) {
    try {
      tellStory(seed, hub.pipe(), join(folder, 'data'), { trace: false, only: null, sums })
      console.log('.')
    } catch (error) {
      if (!(error instanceof Wrong || error instanceof HubDied)) throw error
      if (error instanceof HubDied) hub.died()
      fail({ seed, wrong: error.message })
      if (options.first) break
    }
  }
  const complaint = hub.finish()
  if (complaint) fail({ seed: options.to, wrong: `the server's program complains: ${complaint}` })
  console.log(sumsText(sums))
  return 0
}

/** Starts one process, hands on each of its lines, and answers when it has ended. */
function runJob(options: Options, index: number, line: (text: string) => void): Promise<void> {
  const share = ['--share', '--from', `${options.from + index}`, '--seeds', `${options.to - options.from - index + 1}`, '--every', `${options.jobs}`]
  if (options.first) share.push('--first')
  const child = spawn(process.execPath, [...process.execArgv, process.argv[1] as string, options.program, options.folder, ...share], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  let rest = ''
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    const lines = (rest + text).split('\n')
    rest = lines.pop() ?? ''
    lines.forEach(line)
  })
  return new Promise((done, fail) => {
    child.on('error', fail)
    child.on('close', () => done())
  })
}

function tellFailure({ seed, wrong }: Failure): void {
  console.log(`seed ${seed}: ${wrong}\nsee it again with --seed ${seed} --trace, shorter with --seed ${seed} --shrink`)
}

export async function runJobs(options: Options): Promise<number> {
  const sums = emptySums()
  const failures: Failure[] = []
  const began = Date.now()
  const rate = (seeds: number): number => Math.round(seeds / ((Date.now() - began) / 60_000))
  let done = 0
  rmSync(firstFile(options.folder), { force: true })
  const line = (text: string): void => {
    if (text === '.') done++
    else if (text.startsWith('{"seed"')) failures.push(JSON.parse(text) as Failure)
    else return addSums(sums, text)
    if (options.progress && text !== '.') tellFailure(failures.at(-1) as Failure)
    if (options.progress && done % 1000 === 0) console.log(`${done} seeds, ${rate(done)} a minute`)
  }
  await Promise.all(Array.from({ length: options.jobs }, (_, index) => runJob(options, index, line)))
  failures.sort((a, b) => a.seed - b.seed)
  const told = options.first ? failures.slice(0, 1) : failures
  for (const failure of told) tellFailure(failure)
  const missed = options.to - options.from + 1 - done - failures.length
  if (missed > 0 && !(options.first && failures.length > 0)) throw new Error(`${missed} seeds were not run`)
  console.log(`${rate(done)} seeds a minute in ${options.jobs} processes`)
  return summary(sums, told.length)
}
