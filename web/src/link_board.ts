// The board as this page has it: the whole new value of each part by its id, at a revision.
//
//            fresh_start            fresh_end
//   any ───────────────▶ collecting ─────────▶ live ──┐ patch rev = last + 1: parts replaced
//                             ▲                  │ ◀──┘
//                             └──── fresh ◀──────┘ any other revision, or another digest: asks for the whole board
//
// A fresh board is collected aside and swapped in at once: nothing is ever drawn from half of one.

import type { MsgPatch } from 'proto'
import { boardDigest, canonical } from './digest'

export class BoardCopy {
  parts: ReadonlyMap<string, unknown> = new Map()
  rev = 0
  /** A whole board is here and every patch since has been applied. */
  live = false
  /** There was a whole board at some time. */
  known = false
  private texts = new Map<string, string>()
  private collecting: Map<string, unknown> | null = null
  private digest_now = ''

  /** The connection is another one: what is here may be old until a fresh board has come. */
  cut(): void {
    this.live = false
    this.collecting = null
  }

  freshStart(): void {
    this.collecting = new Map()
  }

  part(id: string, value: unknown): void {
    this.collecting?.set(id, value)
  }

  /** Swaps the collected parts in. False: no fresh board had begun. */
  freshEnd(rev: number): boolean {
    if (!this.collecting) return false
    this.parts = this.collecting
    this.texts = new Map([...this.parts].map(([id, value]) => [id, canonical(value)]))
    this.collecting = null
    this.rev = rev
    this.live = this.known = true
    this.digest_now = ''
    return true
  }

  /** done: applied. old: nothing to do. gap: a patch is missing, the whole board is needed. */
  patch({ rev, parts }: MsgPatch): 'done' | 'old' | 'gap' {
    if (!this.live || this.collecting) return 'old'
    if (rev <= this.rev) return 'old'
    if (rev !== this.rev + 1) return 'gap'
    const next = new Map(this.parts)
    for (const [id, value] of Object.entries(parts as Record<string, unknown>)) {
      if (value === null) {
        next.delete(id)
        this.texts.delete(id)
      } else {
        next.set(id, value)
        this.texts.set(id, canonical(value))
      }
    }
    this.parts = next
    this.rev = rev
    this.digest_now = ''
    return 'done'
  }

  digest(): string {
    if (this.digest_now === '') this.digest_now = boardDigest(this.texts)
    return this.digest_now
  }
}
