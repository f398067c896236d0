// The whole page: which view, in which light, and what sounds. The two regions that are read aloud stand here, each once for
// the page: one for alarms and calls, one for the sentence of the band, which speaks at most every two seconds.

import type { ComponentChildren } from 'preact'
import { useEffect, useRef, useState } from 'preact/hooks'
import type { View } from 'proto'
import '../css/all.css'
import type { Store } from '../store'
import { glass } from '../ui/glass'
import { isLogBack } from '../ui/band'
import { useNewHand, worksAtHelm } from '../ui/new_hand'
import { StoreContext, useBoard, usePrefs, useStore } from '../ui/hooks'
import { rememberKeyInAddress } from '../ui/join_key'
import { ringing } from '../ui/ringing'
import { bandSentence } from '../ui/say'
import { sounds } from '../ui/sounds'
import { words } from '../words'
import { Cockpit } from './cockpit'
import { Guest } from './guest'
import { Helm } from './helm'
import { Join } from './join'

const RING_MS = 100
const STATUS_MS = 2000

rememberKeyInAddress()

export function App({ store }: { store: Store }) {
  return <StoreContext.Provider value={store}><Page /></StoreContext.Provider>
}

function Page() {
  const state = useBoard()
  const store = useStore()
  const prefs = usePrefs()
  const [wet, setWet] = useState(false)
  const view = state.me.keyless ? 'none' : state.me.view
  const choose = (to: View) => {
    sounds.arm()
    store.setView(to)
    if (to === 'helm') worksAtHelm(state, store, state.me.hand)
  }
  useNewHand(state, store)
  useEffect(() => {
    // The address names the view, so that a reload comes back to it; the key in it is the link's to take away.
    const path = view === 'none' ? '/' : `/${view}`
    if (state.me.greeted && !state.me.keyless && location.pathname !== path) history.replaceState(null, '', path + location.hash)
  }, [view, state.me.greeted, state.me.keyless])
  useEffect(() => {
    const root = document.documentElement
    root.dataset.light = prefs.light
    const fit = () => glass.fit(root, view === 'helm' ? 'helm' : view === 'debrief' ? 'debrief' : 'phone')
    fit()
    addEventListener('resize', fit)
    return () => removeEventListener('resize', fit)
  }, [prefs, view])
  useEffect(() => glass.watch(document.documentElement, setWet), [])
  useSound(view)
  return (
    <>
      {view === 'debrief' && isLogBack(state, store.now()) && <p class="log-back">{words.logBack}</p>}
      {pageOf(view, choose, state.log_back_ms)}
      {wet && <p class="wipe">{words.wipe}</p>}
      <Aloud view={view} />
    </>
  )
}

/** log_back_ms: a debrief that has read a log which went backwards reads it anew. */
function pageOf(view: View, choose: (to: View) => void, log_back_ms: number | undefined): ComponentChildren {
  switch (view) {
    case 'none': return <Join choose={choose} />
    case 'helm': return <Helm />
    case 'station': return <Cockpit key="station" view="station" />
    case 'phone': return <Cockpit key="phone" view="phone" />
    case 'debrief': return <Later key={log_back_ms} />
    case 'guest': return <Guest />
  }
}

/** The debrief, fetched when it is wanted. */
function Later() {
  const [view, setView] = useState<{ Debrief: () => ComponentChildren } | null>(null)
  useEffect(() => void import('./debrief').then(setView, () => setView(null)), [])
  return view ? <view.Debrief /> : <p role="status">{words.debrief.loading}</p>
}

/** Arms the sounds at the first touch, and plays what has become due. */
function useSound(view: View): void {
  const store = useStore()
  useEffect(() => {
    const arm = () => sounds.arm()
    document.addEventListener('pointerdown', arm, { once: true })
    const timer = setInterval(() => sounds.follow(ringing(store.state(), view, store.now())), RING_MS)
    return () => {
      document.removeEventListener('pointerdown', arm)
      clearInterval(timer)
    }
  }, [store, view])
}

/** What a screen reader says. Focus is never moved; running times are not spoken. */
function Aloud({ view }: { view: View }) {
  const store = useStore()
  const state = useBoard()
  const say = bandSentence(state, view, store.now())
  const [status, setStatus] = useState('')
  const due = useRef(0)
  const text = say.text.replace(/\d+:\d\d|\d+ min/g, '').trim()
  useEffect(() => {
    clearTimeout(due.current)
    due.current = window.setTimeout(() => setStatus(text), STATUS_MS)
    return () => clearTimeout(due.current)
  }, [text])
  return (
    <div class="aloud">
      <div role="alert">{say.alert || (isLogBack(state, store.now()) ? words.logBack : '')}</div>
      <div role="status">{status}</div>
    </div>
  )
}
