// The program sim_hub over two named pipes, read and written without waiting in between, so that a simulation is one straight
// line of calls. sim_hub.c says what the commands are.

import { execFileSync, spawn } from 'node:child_process'
import { closeSync, openSync, readFileSync, readSync, rmSync, writeSync } from 'node:fs'
import { join } from 'node:path'

export interface Reply {
  /** As they go out, and the messages in them, a line each. */
  frames: { conn: number; text: string }[]
  messages: { conn: number; text: string }[]
  closes: { conn: number; code: number }[]
  joined: number
  /** The last seq of the log that a start found; -1: the server could not start, or the log not be opened: words. */
  opened: number
  words: string
  /** What became of an append or a checkpoint. */
  good: boolean
  digest: string
  rows: string[]
  findings: number
  next_ms: number
  last_seq: number
  saved_up_to: number
  rev: number
  to_save: number
}

/** The server program ended, most often by one of its own checks. */
export class HubDied extends Error {}

export class HubPipe {
  private to: number
  private from: number
  private buffer = Buffer.alloc(1 << 20)
  private start = 0
  private end = 0
  private errors: string

  constructor(program: string, private folder: string) {
    const [down, up] = [join(folder, 'down'), join(folder, 'up')]
    this.errors = join(folder, 'errors')
    for (const path of [down, up]) rmSync(path, { force: true })
    execFileSync('mkfifo', [down, up])
    spawn('/bin/sh', ['-c', 'exec "$0" <"$1" >"$2" 2>"$3"', program, down, up, this.errors], { stdio: 'ignore' })
    this.to = openSync(down, 'w')
    this.from = openSync(up, 'r')
  }

  /** Lets the program come to its end; returns what it has complained of, such as memory never given back. */
  finish(): string {
    closeSync(this.to)
    try {
      while (readSync(this.from, this.buffer, 0, this.buffer.length, null) > 0) continue
    } finally {
      closeSync(this.from)
    }
    for (const name of ['down', 'up']) rmSync(join(this.folder, name), { force: true })
    return readFileSync(this.errors, 'utf8').trim()
  }

  call(line: string, text?: string): Reply {
    return this.callAll([[line, text]])[0] as Reply
  }

  /** Several commands at once: their replies, in order. What they say must fit into the pipe while nobody reads. */
  callAll(commands: readonly (readonly [string, string?])[]): Reply[] {
    const text = commands.map(([line, body]) => (body === undefined ? `${line}\n` : `${line} ${Buffer.byteLength(body)}\n${body}\n`)).join('')
    try {
      writeSync(this.to, text)
    } catch {
      throw this.died()
    }
    return commands.map(() => this.reply())
  }

  private reply(): Reply {
    const reply: Reply = {
      frames: [], messages: [], closes: [], joined: -1, opened: -1, words: '', good: false, digest: '', rows: [], findings: 0, next_ms: 0, last_seq: 0,
      saved_up_to: 0, rev: 0, to_save: 0,
    }
    for (;;) {
      const words = this.line().split(' ')
      const number = (at: number): number => Number(words[at])
      if (words[0] === 'f') {
        const text = this.bytes(number(2))
        reply.frames.push({ conn: number(1), text })
        for (const line of text.split('\n')) reply.messages.push({ conn: number(1), text: line })
      } else if (words[0] === 'c') reply.closes.push({ conn: number(1), code: number(2) })
      else if (words[0] === 'j') reply.joined = number(1)
      else if (words[0] === 'o') reply.opened = number(1)
      else if (words[0] === 'n') reply.words = words.slice(1).join(' ')
      else if (words[0] === 'r') reply.good = words[1] === 'ok'
      else if (words[0] === 'd') reply.digest = words[1] ?? ''
      else if (words[0] === 'e') reply.rows.push(this.bytes(number(1)))
      else if (words[0] === 'v') reply.findings = number(1)
      else if (words[0] === '.') {
        const [next_ms = 0, last_seq = 0, saved_up_to = 0, rev = 0, to_save = 0] = words.slice(1).map(Number)
        return Object.assign(reply, { next_ms, last_seq, saved_up_to, rev, to_save })
      } else throw new HubDied(`sim_hub said ${words.join(' ')}`)
    }
  }

  private line(): string {
    for (;;) {
      const at = this.buffer.subarray(0, this.end).indexOf(10, this.start)
      if (at >= 0) {
        const text = this.buffer.toString('utf8', this.start, at)
        this.start = at + 1
        return text
      }
      this.fill()
    }
  }

  /** That many bytes and the line's end after them. */
  private bytes(len: number): string {
    while (this.end - this.start < len + 1) this.fill()
    const text = this.buffer.toString('utf8', this.start, this.start + len)
    this.start += len + 1
    return text
  }

  private fill(): void {
    if (this.start > 0) {
      this.buffer.copyWithin(0, this.start, this.end)
      this.end -= this.start
      this.start = 0
    }
    if (this.end === this.buffer.length) this.buffer = Buffer.concat([this.buffer, Buffer.alloc(this.buffer.length)])
    const got = readSync(this.from, this.buffer, this.end, this.buffer.length - this.end, null)
    if (got === 0) throw this.died()
    this.end += got
  }

  private died(): HubDied {
    return new HubDied(`the server ended: ${readFileSync(this.errors, 'utf8').trim() || 'without a word'}`)
  }
}
