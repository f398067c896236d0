// Boot: the link, its adapters, and the pages on top. Everything that touches the browser's clocks, storage, socket and events
// for the link's sake is wired here.

import { render } from 'preact'
import type { View } from 'proto'
import { Link } from './link'
import { PhoneClock } from './link_clock'
import type { Effect, Input, Now } from './link_types'
import { Outbox } from './outbox'
import { readKept, writeKept } from './outbox_values'
import { Socket } from './socket'
import { BoardStore } from './store'
import { App } from './views/app'

/** The page's path says which view it is; the plain address is the join page, a phone until it is told otherwise. */
const VIEWS: Readonly<Record<string, View>> = {
  '/helm': 'helm', '/station': 'station', '/phone': 'phone', '/debrief': 'debrief', '/guest': 'guest',
}

/** 64 random bits; getRandomValues works on plain http, where randomUUID doesn't. */
function randomId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(8))
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')
}

function keyInAddress(): string {
  return new URLSearchParams(location.hash.slice(1)).get('k') ?? ''
}

function boot(): BoardStore {
  const clock = new PhoneClock()
  const now = (): Now => clock.read(performance.now(), Date.now())
  const page = randomId()
  const link = new Link({ page, view: VIEWS[location.pathname] ?? 'none', key: keyInAddress(), kept: readKept() })
  const report = (input: Input): void => store.input(input)
  const socket = new Socket(report)
  let timer = 0

  const carryOut = (effect: Effect): void => {
    switch (effect.do) {
      case 'open':
        return socket.open(effect.gen)
      case 'close':
        return socket.close(effect.gen)
      case 'send':
        return socket.send(effect.gen, effect.text)
      case 'write':
        return outbox.write(effect.row)
      case 'erase':
        return outbox.erase(effect.id)
      case 'claim':
        return outbox.claim(effect.run, effect.boat, effect.rows)
      case 'read':
        return outbox.read()
      case 'keep':
        if (!writeKept(effect.name, effect.text)) report({ is: 'storage_failed' })
        return
      case 'wake':
        clearTimeout(timer)
        timer = window.setTimeout(() => report({ is: 'tick' }), Math.max(0, effect.at_ms - now().mono_ms))
        return
      case 'key_used':
        return history.replaceState(null, '', location.pathname + location.search)
      case 'reload':
        return location.reload()
      case 'ring':
      case 'changed':
        return
    }
  }

  const store: BoardStore = new BoardStore(link, now, carryOut)
  const outbox = new Outbox(page, report)
  const seen = (): void => {
    const visible = document.visibilityState === 'visible'
    if (visible) clock.visible(performance.now(), Date.now())
    else clock.hidden(performance.now(), Date.now())
    report({ is: 'visible', visible })
  }
  document.addEventListener('visibilitychange', seen)
  for (const name of ['pageshow', 'focus', 'online', 'offline']) window.addEventListener(name, seen)
  window.addEventListener('hashchange', () => {
    const key = keyInAddress()
    if (key) store.join(key)
  })
  window.addEventListener('beforeunload', (event) => {
    if (store.state().storage === 'memory' && store.state().waiting > 0) event.preventDefault()
  })
  report({ is: 'start' })
  return store
}

const root = document.getElementById('app')
if (root) render(<App store={boot()} />, root)
