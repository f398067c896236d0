// A story: every choice in it is made from the seed, the name of what is chosen, and the time, and from nothing else. So the same
// seed is the same story; and a step left out changes what follows from it and nothing besides, which is what makes a failure
// shrink.

import { Prng } from './prng'
import type { Schedule } from './schedule'

export class Story {
  /** What was done that might have been left out, in order: `name@ms`. */
  readonly steps: string[] = []
  private uses = new Map<string, number>()
  private uses_ms = -1

  /** only: the steps that are done, and no others; null: all. */
  constructor(readonly seed: number, private schedule: Schedule, private only: ReadonlySet<string> | null = null) {}

  /** The chances of one choice. The name says who chooses what; the second of that name in a millisecond is another. */
  at(name: string): Prng {
    return new Prng(hash(`${this.seed} ${this.unique(name)}`))
  }

  /** Does this happen, which does so in_thousand of a thousand times? */
  may(name: string, in_thousand: number): boolean {
    const id = this.unique(name)
    if (in_thousand < 1000 && !new Prng(hash(`${this.seed} ${id}`)).chance(in_thousand)) return false
    if (this.only && !this.only.has(id)) return false
    this.steps.push(id)
    return true
  }

  private unique(name: string): string {
    const { now_ms } = this.schedule
    if (now_ms !== this.uses_ms) this.uses.clear()
    this.uses_ms = now_ms
    const use = this.uses.get(name) ?? 0
    this.uses.set(name, use + 1)
    return use === 0 ? `${name}@${now_ms}` : `${name}@${now_ms}#${use}`
  }
}

/** 53 bits of two FNV-1a hashes (Fowler, Noll, Vo) with different offsets. */
function hash(text: string): number {
  let [one, two] = [0x811c9dc5, 0x9747b28c]
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i)
    one = Math.imul(one ^ code, 0x01000193)
    two = Math.imul(two ^ code, 0x01000193)
  }
  return (two & 0x1fffff) * 2 ** 32 + (one >>> 0)
}
