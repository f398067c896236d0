// The two kinds of button. Press acts on release; Hold acts when it was held long enough, or tapped twice where that is said.
//
// Both answer a touch at once by their fill and, where the phone can, a buzz of 30 ms. Both ignore touches for half a second
// after their words have changed, and touches that are water. A screen reader's click and the keyboard do the same as a
// finger.

import type { ComponentChildren } from 'preact'
import { useEffect, useRef, useState } from 'preact/hooks'
import { words } from '../words'
import { useFit, useGuard } from './hooks'
import { type Hold as HoldState, holdDown, holdMove, holdShare, holdStart, holdTick, holdUp, DRIFT_MM, OVERBOARD_HOLD_MS } from './touch'
import { glass } from './glass'

export interface ButtonProps {
  /** Its words, where it has no other children, and what the guard watches. */
  label: string
  act?: (() => void) | undefined
  of?: string
  /** Where it stands, for the tests and for whoever reads the page's code. */
  place?: string
  pressed?: boolean | undefined
  /** Smaller sizes that its words may take; see useFit. */
  fit?: number
  children?: ComponentChildren
}

const TOOK_MS = 150
const CLICK_MS = 700

/** When a finger was last lifted from any button. The browser sends a click after each touch, to whatever lies there by then: a
 * button that the touch itself has brought must not take it for a touch of its own. */
let lifted_ms = -CLICK_MS

const clickedAlone = () => performance.now() - lifted_ms > CLICK_MS

/** The moment's fill that says a touch was taken. */
function useTook(): [boolean, () => void] {
  const [took, setTook] = useState(false)
  const timer = useRef(0)
  useEffect(() => () => clearTimeout(timer.current), [])
  return [took, () => {
    glass.buzz()
    setTook(true)
    clearTimeout(timer.current)
    timer.current = window.setTimeout(() => setTook(false), TOOK_MS)
  }]
}

export function Press({ label, act, of = '', place, pressed, fit = 0, children }: ButtonProps) {
  const box = useFit<HTMLButtonElement>(label, fit)
  const guarded = useGuard(label)
  const [took, take] = useTook()
  const down = useRef<{ x: number; y: number } | null>(null)
  const go = () => {
    if (!act || guarded()) return
    take()
    act()
  }
  const lift = (event: PointerEvent) => {
    const from = down.current
    down.current = null
    lifted_ms = performance.now()
    if (!from || glass.isWet()) return
    const box = (event.currentTarget as Element).getBoundingClientRect()
    const inside = event.clientX >= box.left && event.clientX <= box.right && event.clientY >= box.top && event.clientY <= box.bottom
    if (inside || glass.toMm(Math.hypot(event.clientX - from.x, event.clientY - from.y)) <= DRIFT_MM) go()
  }
  return (
    <button ref={box} type="button" class={`press ${of} ${took ? 'took' : ''}`} data-place={place} aria-disabled={!act}
      aria-pressed={pressed}
      onPointerDown={(event) => {
        if (event.button > 0) return
        event.currentTarget.setPointerCapture?.(event.pointerId)
        down.current = { x: event.clientX, y: event.clientY }
      }}
      onPointerUp={lift} onPointerCancel={() => (down.current = null)}
      onClick={() => {
        if (clickedAlone() && !glass.isWet()) go()
      }}>
      {children ?? label}
    </button>
  )
}

export interface HoldProps extends ButtonProps {
  hold_ms?: number
  /** Two taps within two seconds do as well. */
  taps?: boolean
}

export function Hold({ label, act, of = '', place, hold_ms = OVERBOARD_HOLD_MS, taps = false, fit = 0, children }: HoldProps) {
  const box = useFit<HTMLButtonElement>(label, fit)
  const guarded = useGuard(label)
  const [took, take] = useTook()
  const [share, setShare] = useState(0)
  const [again, setAgain] = useState(false)
  const hold = useRef<HoldState>(holdStart({ hold_ms, taps }))
  const frame = useRef(0)
  const doing = useRef(act)
  doing.current = act

  /** Runs while a hold is going on, or the first of two taps still counts. */
  const watch = () => {
    cancelAnimationFrame(frame.current)
    const now = performance.now()
    hold.current = holdTick(hold.current, now)
    if (hold.current.fired) {
      fire()
      return
    }
    setShare(holdShare(hold.current, now))
    setAgain(taps && hold.current.tapped > 0)
    if (hold.current.since || hold.current.tapped) frame.current = requestAnimationFrame(watch)
  }
  const fire = () => {
    hold.current = holdStart({ hold_ms, taps })
    setShare(0)
    setAgain(false)
    take()
    doing.current?.()
  }
  const begin = (x: number, y: number) => {
    if (!act || guarded() || glass.isWet()) return
    hold.current = holdDown(hold.current, performance.now(), x, y)
    watch()
  }
  const end = () => {
    lifted_ms = performance.now()
    hold.current = holdUp(hold.current, performance.now())
    if (hold.current.fired) fire()
  }
  useEffect(() => () => cancelAnimationFrame(frame.current), [])
  const isKey = (event: KeyboardEvent) => event.key === 'Enter' || event.key === ' '
  const said = share > 0.15 ? words.keepHolding : again ? words.tapAgain : null
  return (
    <button ref={box} type="button" class={`press hold ${of} ${took ? 'took' : ''} ${share > 0 ? 'held' : ''}`} data-place={place}
      aria-disabled={!act}
      onPointerDown={(event) => {
        if (event.button > 0) return
        event.currentTarget.setPointerCapture?.(event.pointerId)
        begin(glass.toMm(event.clientX), glass.toMm(event.clientY))
      }}
      onPointerMove={(event) => (hold.current = holdMove(hold.current, glass.toMm(event.clientX), glass.toMm(event.clientY)))}
      onPointerUp={end} onPointerCancel={end}
      onKeyDown={(event) => isKey(event) && !event.repeat && begin(0, 0)} onKeyUp={(event) => isKey(event) && end()}
      onContextMenu={(event) => event.preventDefault()}>
      <i class="grown" style={{ transform: `scaleX(${share})` }} />
      <span class="said">{said ?? children ?? label}</span>
    </button>
  )
}
