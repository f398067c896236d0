// The three things that make a page draw itself anew: the store, the device's settings, and the passing of time.

import { createContext } from 'preact'
import { useContext, useEffect, useLayoutEffect, useReducer, useRef, useState } from 'preact/hooks'
import type { Store, ViewState } from '../store'
import { getPrefs, onPrefs, type Prefs } from './prefs'
import { GUARD_MS } from './touch'

export const StoreContext = createContext<Store | null>(null)

export function useStore(): Store {
  const store = useContext(StoreContext)
  if (!store) throw new Error('a page is drawn inside a StoreContext')
  return store
}

/** For so long after a menu has gone by itself a touch is taken to have meant the menu. */
const LAPSED_MS = 1000

function useRedraw(): () => void {
  return useReducer((n: number) => n + 1, 0)[1] as () => void
}

export function useBoard(): ViewState {
  const store = useStore()
  const redraw = useRedraw()
  useEffect(() => store.subscribe(redraw), [store])
  return store.state()
}

export function usePrefs(): Prefs {
  const redraw = useRedraw()
  useEffect(() => onPrefs(redraw), [])
  return getPrefs()
}

/** Log time, anew each second while somebody looks. */
export function useNow(): number {
  const store = useStore()
  const redraw = useRedraw()
  useEffect(() => {
    const timer = setInterval(redraw, 1000)
    return () => clearInterval(timer)
  }, [])
  return store.now()
}

/** A glass with room for one row of tiles only, such as a phone's whose browser keeps its bars. */
export function useShort(): boolean {
  const redraw = useRedraw()
  const query = matchMedia('(max-height: 729px)')
  useEffect(() => {
    query.addEventListener('change', redraw)
    return () => query.removeEventListener('change', redraw)
  }, [])
  return query.matches
}

/** Sizes words by measuring: the element gets data-fit 0, 1, 2.. up to `steps` until nothing spills; the style sheets say what
 * each step is. Words are never made too small to read: the last step leaves out what is said elsewhere too. */
export function useFit<E extends HTMLElement>(text: string, steps: number): { current: E | null } {
  const ref = useRef<E>(null)
  const fit = () => {
    const one = ref.current
    for (let step = 0; one && step <= steps; step++) {
      one.dataset.fit = String(step)
      if (one.scrollWidth <= one.clientWidth + 1 && one.scrollHeight <= one.clientHeight + 1) return
    }
  }
  useLayoutEffect(fit, [text, steps])
  useEffect(() => {
    if (!steps || !ref.current) return undefined
    // The glass's size and the face come after the first drawing.
    const sizes = new ResizeObserver(fit)
    sizes.observe(ref.current)
    document.fonts?.ready.then(fit, fit)
    return () => sizes.disconnect()
  }, [steps])
  return ref
}

/** A choice that falls back to its rest by itself, so that no menu stays open on an empty helm. The third says from what it has
 * just done so, if it has: a touch that was on its way then meant what is asked no more. */
export function useLapsing<T>(rest: T, after_ms: number): [T, (next: T) => void, () => T | undefined] {
  const [value, setValue] = useState(rest)
  const timer = useRef(0)
  const lapsed = useRef<{ from: T; at: number } | null>(null)
  const set = (next: T) => {
    clearTimeout(timer.current)
    lapsed.current = null
    setValue(next)
    if (next === rest) return
    timer.current = window.setTimeout(() => {
      lapsed.current = { from: next, at: performance.now() }
      setValue(rest)
    }, after_ms)
  }
  useEffect(() => () => clearTimeout(timer.current), [])
  return [value, set, () => (lapsed.current && performance.now() - lapsed.current.at < LAPSED_MS ? lapsed.current.from : undefined)]
}

/** Says whether a touch now would hit a word that was not there when the finger set out. `fresh`: nor was the whole button. */
export function useGuard(label: string, fresh = false): () => boolean {
  const changed = useRef({ label, at: -GUARD_MS })
  const drawn = useRef(false)
  if (changed.current.label !== label || (fresh && !drawn.current)) changed.current = { label, at: performance.now() }
  drawn.current = true
  return () => performance.now() - changed.current.at < GUARD_MS
}
