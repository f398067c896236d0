// It was earlier: an act is held, and told as of some while ago.
//
// A short touch acts at once. A held one asks how long ago it was, and its answer is the second touch. What was held is not
// lost when nobody answers: after 5 s, or when it is touched again, it goes as of the press, so that a finger that cramps in
// a strike costs nothing but the wait.

import type { Kind } from 'proto'
import { createContext } from 'preact'
import { useEffect, useReducer, useRef, useState } from 'preact/hooks'
import type { BodyOf, Store } from '../store'
import type { words } from '../words'

/** Acts that may be told as of some time ago. An emergency and a call are always now. */
const OLD_KINDS: readonly Kind[] = [
  'strike', 'strike_named', 'strike_ended', 'raised', 'raise_touched', 'raise_gear_moved', 'raise_ended', 'line_is', 'lines_are', 'lines_seen', 'fight_ended', 'leader',
  'door', 'gaff', 'bait_checked', 'stamped', 'duty',
]

/** How long the question stands. */
const ASKED_MS = 5000

export type AgoWord = keyof typeof words.ago

/** What a button does; `tells` is the entry that comes of it, where it is but one. */
export interface Act {
  (): void
  tells?: { kind: Kind; body: object } | undefined
}

/** An act that is one entry. */
export function tell<K extends Kind>(store: Store, kind: K, body: BodyOf<K>): Act {
  return Object.assign(() => void store.act(kind, body), { tells: { kind, body } })
}

/** The act after something that the page does for itself. */
export function after(first: () => void, act: Act): Act {
  return Object.assign(() => {
    first()
    act()
  }, { tells: act.tells })
}

export const mayBeOld = (act: Act | undefined): boolean => act?.tells !== undefined && OLD_KINDS.includes(act.tells.kind)

/** The line of which the act tells; 0 = of none. */
export const lineOf = (act: Act): number => (act.tells?.body as { line?: number } | undefined)?.line ?? 0

/** The same store, whose acts that may be old were `ago` ms ago. */
export function asOf(store: Store, ago: () => number): Store {
  const act: Store['act'] = (kind, body, options) => {
    const ago_ms = OLD_KINDS.includes(kind) ? ago() : 0
    return store.act(kind, body, ago_ms ? { ...options, ago_ms } : options)
  }
  return {
    act, state: () => store.state(), subscribe: (changed) => store.subscribe(changed), now: () => store.now(), undo: () => store.undo(),
    takeHelm: (number) => store.takeHelm(number), preview: (target) => store.preview(target), setView: (view) => store.setView(view),
    join: (key) => store.join(key), token: () => store.token(),
  }
}

/** An act that was held: where, and what its button said. */
export interface Asked {
  act: Act
  label: string
  place: string | undefined
  /** Of the page's steady clock. */
  pressed_ms: number
}

export interface Earlier {
  asked: Asked | null
  /** What a touch that is being held will do; '' while none is. */
  holding: string
  showHolding: (word: string) => void
  ask: (asked: Asked) => void
  /** It was so long before the press; 0 = at the press. */
  answer: (ago_ms: number) => void
  /** It did not happen. */
  drop: () => void
}

export const EarlierContext = createContext<Earlier | null>(null)

/** The question of one page, and the store through which its acts are told. `usual` is how long ago an act was that is not held. */
export function useEarlier(store: Store, usual: () => number): { earlier: Earlier; store: Store } {
  const [holding, showHolding] = useState('')
  const redraw = useReducer((n: number) => n + 1, 0)[1] as () => void
  const asked = useRef<Asked | null>(null)
  const timer = useRef(0)
  const held_ms = useRef(0)
  const end = (): Asked | null => {
    const was = asked.current
    clearTimeout(timer.current)
    asked.current = null
    if (was) redraw()
    return was
  }
  const answer = (ago_ms: number) => {
    const was = end()
    if (!was) return
    held_ms.current = Math.max(1, Math.round(performance.now() - was.pressed_ms)) + ago_ms
    was.act()
    held_ms.current = 0
  }
  const ask = (next: Asked) => {
    answer(0)
    asked.current = next
    timer.current = window.setTimeout(() => answer(0), ASKED_MS)
    redraw()
  }
  useEffect(() => {
    // A page that is put away, or gives its place to another, does not wait for an answer.
    const away = () => document.hidden && answer(0)
    document.addEventListener('visibilitychange', away)
    return () => {
      document.removeEventListener('visibilitychange', away)
      answer(0)
    }
  }, [])
  return {
    earlier: { asked: asked.current, holding, showHolding, ask, answer, drop: () => void end() },
    store: asOf(store, () => held_ms.current || usual()),
  }
}
