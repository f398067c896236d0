// Which pages of this phone are alive: several may be open, and they share one storage.
//
// A page that wants to send what another left asks first, by that page's id; whoever is that page, or looks after its taps,
// answers. No answer in time: it is gone, or asleep. That is no more than a courtesy, so that two pages don't both show and send
// the same taps; what may not go wrong when both do is the storage's to keep (rule 5 of link_taps.ts). Web Locks would know
// better, and are kept for secure pages.

import type { U64 } from 'proto'

const CHANNEL = 'sternboard.pages'
const ANSWER_MS = 300

type Talk = { ask: U64[] } | { here: U64[] }

export class Tabs {
  private channel: BroadcastChannel | undefined
  private mine: Set<U64>
  /** Who has answered, for each question that is under way. */
  private asking = new Set<Set<U64>>()

  constructor(page: U64) {
    this.mine = new Set([page])
    if (typeof BroadcastChannel === 'undefined') return
    this.channel = new BroadcastChannel(CHANNEL)
    this.channel.onmessage = ({ data }: MessageEvent<Talk>) => this.hear(data)
  }

  private hear(talk: Talk): void {
    if ('here' in talk) {
      for (const heard of this.asking) for (const page of talk.here) heard.add(page)
      return
    }
    const here = talk.ask.filter((page) => this.mine.has(page))
    if (here.length) this.channel?.postMessage({ here } satisfies Talk)
  }

  /** Of these pages, those that nobody answers for; this page looks after them from now on. */
  async gone(pages: Iterable<U64>): Promise<Set<U64>> {
    const ask = [...new Set(pages)].filter((page) => !this.mine.has(page))
    const heard = new Set<U64>()
    if (ask.length && this.channel) {
      this.asking.add(heard)
      this.channel.postMessage({ ask } satisfies Talk)
      await new Promise((done) => setTimeout(done, ANSWER_MS))
      this.asking.delete(heard)
    }
    for (const page of ask) if (!heard.has(page)) this.mine.add(page)
    return this.mine
  }
}
