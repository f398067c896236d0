// Many seeds in several processes, each with a server program of its own. Each takes every so-manieth seed; the first seed that fails,
// by its number, is the one told of, however the processes run.

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

const failedFile = (folder: string): string => join(folder, 'failed')

/** Has a lower seed failed elsewhere? */
function beaten(file: string, seed: number): boolean {
  return existsSync(file) && Number(readFileSync(file, 'utf8').split(' ')[0]) < seed
}

/** One process's share: its sums as the last line, or what failed in the common file. */
export function runShare(options: Options): number {
  const folder = join(options.folder, `job-${options.from}`)
  mkdirSync(join(folder, 'data'), { recursive: true })
  const file = failedFile(options.folder)
  const hub = new Hub({ ...options, folder })
  const sums = emptySums()
  for (let seed = options.from; seed <= options.to && !beaten(file, seed); seed += options.every) {
    try {
      tellStory(seed, hub.pipe(), join(folder, 'data'), { trace: false, only: null, sums })
    } catch (error) {
      if (!(error instanceof Wrong || error instanceof HubDied)) throw error
      if (!beaten(file, seed)) writeFileSync(file, `${seed} ${error.message}`)
      hub.finish()
      return 1
    }
    console.log('.')
  }
  const complaint = hub.finish()
  if (complaint) writeFileSync(file, `${options.to} the server's program complains: ${complaint}`)
  console.log(sumsText(sums))
  return complaint ? 1 : 0
}

/** Starts one process, hands on each of its lines, and answers when it has ended. */
function runJob(options: Options, index: number, line: (text: string) => void): Promise<void> {
  const share = ['--share', '--from', `${options.from + index}`, '--seeds', `${options.to - options.from - index + 1}`, '--every', `${options.jobs}`]
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

export async function runJobs(options: Options): Promise<number> {
  const sums = emptySums()
  const file = failedFile(options.folder)
  const began = Date.now()
  const rate = (seeds: number): number => Math.round(seeds / ((Date.now() - began) / 60_000))
  let done = 0
  rmSync(file, { force: true })
  const line = (text: string): void => {
    if (text !== '.') return addSums(sums, text)
    done++
    if (options.progress && done % 1000 === 0) console.log(`${done} seeds, ${rate(done)} a minute`)
  }
  await Promise.all(Array.from({ length: options.jobs }, (_, index) => runJob(options, index, line)))
  if (existsSync(file)) {
    const [seed, ...words] = readFileSync(file, 'utf8').split(' ')
    console.log(`seed ${seed}: ${words.join(' ')}\nsee it again with --seed ${seed} --trace, shorter with --seed ${seed} --shrink`)
    console.log(`${done} passed, 1 failed`)
    return 1
  }
  if (sums.counts.seeds !== options.to - options.from + 1) throw new Error(`${sums.counts.seeds} seeds were run`)
  console.log(`${rate(done)} seeds a minute in ${options.jobs} processes`)
  return summary(sums)
}
