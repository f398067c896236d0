// The one file: the debrief's page with everything in it. It asks nobody for anything. The replay is unpacked by the browser itself;
// one that cannot do that still shows all the rest.

import { render } from 'preact'
import '../css/file.css'
import { glass } from '../ui/glass'
import { getPrefs } from '../ui/prefs'
import type { Debrief } from './numbers'
import { DebriefPage } from './page'
import type { ReplayHead, ReplayPage, Source } from './source'

interface Kept {
  debrief: Debrief
  /** By the seq of a trip's first entry: base64 of gzip of JSON. */
  replays: Record<string, { head: string; pages: string[] }>
}

async function unpack(text: string): Promise<unknown> {
  const bytes = Uint8Array.from(atob(text), (one) => one.charCodeAt(0))
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'))
  return new Response(stream).json()
}

class FileSource implements Source {
  constructor(private readonly kept: Kept) {}

  async debrief(): Promise<Debrief> {
    return this.kept.debrief
  }

  async head(trip: number): Promise<ReplayHead> {
    const replay = this.kept.replays[trip]
    if (!replay) throw new Error('no replay')
    return (await unpack(replay.head)) as ReplayHead
  }

  async page(trip: number, page: number): Promise<ReplayPage> {
    return (await unpack(this.kept.replays[trip]?.pages[page] ?? '')) as ReplayPage
  }
}

const root = document.documentElement
root.dataset.light = getPrefs().light
const fit = () => glass.fit(root, 'debrief')
fit()
addEventListener('resize', fit)

const app = document.getElementById('app')
const kept = JSON.parse(document.getElementById('kept')?.textContent ?? '') as Kept
if (app) render(<DebriefPage source={new FileSource(kept)} />, app)
