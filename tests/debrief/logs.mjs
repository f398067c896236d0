// Logs for the debrief's tests, written entry by entry: no board, no rule, only rows as the log keeps them.
//
//   const log = new LogMaker()
//   const strike = log.add(91 * MIN, 'strike', { line: 1 }, { by: 2 })     the entry's identity
//   log.debrief()                                                          what the program makes of it, parsed
//
// LOG_OF_LINES and STERNBOARD name the programs; SQLite's own shell is `sqlite3`.

import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

export const SEC = 1000
export const MIN = 60 * SEC
export const HOUR = 60 * MIN

const KINDS = JSON.parse(readFileSync(new URL('../../shared-proto/schema/entries.json', import.meta.url), 'utf8')).$defs
const SERVER = 'f'.repeat(16)
const PAGE = 'a'.repeat(16)

const folders = []
process.on('exit', () => folders.forEach((folder) => rmSync(folder, { recursive: true, force: true })))

export function scratch() {
  folders.push(mkdtempSync(join(tmpdir(), 'debrief-')))
  return folders[folders.length - 1]
}

/** Runs the program; { status, out, err }. */
export function sternboard(...args) {
  const { status, stdout, stderr } = spawnSync(process.env.STERNBOARD, args, { encoding: 'utf8', maxBuffer: 1 << 30 })
  return { status, out: stdout, err: stderr }
}

/** The lines as a log in a folder of its own. */
export function makeLog(entries) {
  const folder = scratch()
  const lines = entries.map((entry, index) => JSON.stringify({ ...entry, seq: index + 1 })).join('\n')
  const { status, stderr } = spawnSync(process.env.LOG_OF_LINES, [folder], { input: entries.length ? `${lines}\n` : '', encoding: 'utf8' })
  if (status !== 0) throw new Error(stderr)
  return folder
}

export function debriefOf(folder, ...args) {
  const { status, out, err } = sternboard('debrief', '--json', ...args, folder)
  if (status !== 0) throw new Error(`debrief ${args.join(' ')}: ${err}`)
  return JSON.parse(out)
}

/** The rows that SQLite's shell answers a query with. */
export function sql(folder, query) {
  const out = execFileSync('sqlite3', ['-json', '-readonly', join(folder, 'board.db')], { input: query, encoding: 'utf8' })
  return out.trim() ? JSON.parse(out) : []
}

export class LogMaker {
  entries = []
  counts = new Map()

  /** by: whose tap; page: the page's id; ago: so long after it happened it came; and what else an entry's head may hold. */
  add(at_ms, kind, body, { by = 0, page = PAGE, ago = 0, lane, ...head } = {}) {
    const server = KINDS[kind]['x-kind'].from === 'server'
    const sender = server ? SERVER : page
    const letter = (lane ?? KINDS[kind]['x-kind'].lane) === 'emergency' ? 'e' : 'o'
    const key = `${sender}.${letter}`
    const n = (this.counts.get(key) ?? 0) + 1
    this.counts.set(key, n)
    const id = `${key}.${n}`
    this.entries.push({ seq: this.entries.length + 1, id, kind, v: 1, at_ms, got_ms: at_ms + ago, ...(by ? { by } : {}),
      from: server ? 'server' : 'helm', ...head, body })
    return id
  }

  make() {
    this.folder ??= makeLog(this.entries)
    return this.folder
  }

  debrief(...args) {
    return debriefOf(this.make(), ...args)
  }
}

export const SPREAD = [
  { id: 1, name: 'Long port', side: 'port', gear: 'line', distance_m: 60, bait: 'ballyhoo' },
  { id: 2, name: 'Long starboard', side: 'starboard', gear: 'line', distance_m: 66, bait: 'blue lure' },
  { id: 3, name: 'Way back', side: 'centre', gear: 'line', distance_m: 92, bait: 'squid' },
  { id: 4, name: 'Teaser', side: 'centre', gear: 'teaser', distance_m: 14 },
]
export const CREW = [
  { id: 1, name: 'Ines', station: 'helm' }, { id: 2, name: 'Tobias', station: 'port' }, { id: 3, name: 'Ruth', station: 'starboard' },
]
export const trip = (more = {}) => ({ name: 'Grey Petrel', no: 1, spread: SPREAD, crew: CREW, ...more })
