// The two kinds of button. Press acts on release, and may mean something else when it is held; Hold acts only when it was held
// long enough, or tapped twice where that is said.
//
// Both answer a touch at once by their fill and, where the phone can, a buzz of 30 ms. Both ignore touches for half a second
// after their words have changed, and touches that are water. A screen reader's click and the keyboard do the same as a
// finger.

import type { ComponentChildren } from 'preact'
import { useContext, useEffect, useRef, useState } from 'preact/hooks'
import { words } from '../words'
import { type Act, EarlierContext, mayBeOld } from './earlier'
import { useFit, useGuard } from './hooks'
import {
  type Hold as HoldState, type Touch as TouchState, holdDown, holdMove, holdShare, holdStart, holdTick, holdUp, touchDown, touchMove, touchShare, touchStart,
  touchTick, touchUp, OVERBOARD_HOLD_MS,
} from './touch'
import { glass } from './glass'

export interface ButtonProps {
  /** Its words, where it has no other children, and what the guard watches. */
  label: string
  act?: Act | undefined
  /** What a touch does that is held, where it is not the question how long ago the act was. */
  held?: Held | undefined
  of?: string
  /** Where it stands, for the tests and for whoever reads the page's code. */
  place?: string
  pressed?: boolean | undefined
  /** Whether a question that its words do not show, and that it answered, has just lapsed. */
  lapsed?: (() => boolean) | undefined
  /** Smaller sizes that its words may take; see useFit. */
  fit?: number
  children?: ComponentChildren
}

const TOOK_MS = 150
const CLICK_MS = 700

/** When a finger was last lifted from any button. The browser sends a click after each touch, to whatever lies there by then: a
 * button that the touch itself has brought must not take it for a touch of its own. */
let lifted_ms = -CLICK_MS

/** A click of its own, such as a screen reader's: not the echo of a touch or a mouse, however late a busy phone sends that. A
 * browser that does not say what made a click is asked for the time. */
const clickedAlone = (event: MouseEvent) => !(event as PointerEvent).pointerType && performance.now() - lifted_ms > CLICK_MS

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

/** What a touch does instead of its act when it is held, and the word for it. */
export interface Held {
  word: string
  act: (pressed_ms: number) => void
}

const isKey = (event: KeyboardEvent) => event.key === 'Enter' || event.key === ' '
const isMenuKey = (event: KeyboardEvent) => event.key === 'ContextMenu' || (event.key === 'F10' && event.shiftKey)

/** What holding this button does: what it was given, else, where its act may be told as of a while ago, the question how long
 * ago it was. The button that was held, touched once more, has answered: now. */
function useHeld({ label, act, held, place }: ButtonProps): { does: Act | undefined; holds: Held | undefined } {
  const earlier = useContext(EarlierContext)
  if (earlier?.asked && earlier.asked.place === place && earlier.asked.label === label) return { does: () => earlier.answer(0), holds: undefined }
  const asks = earlier && act && mayBeOld(act) ? { word: words.deck.earlier, act: (pressed_ms: number) => earlier.ask({ act, label, place, pressed_ms }) } : undefined
  return { does: act, holds: act && (held ?? asks) }
}

export function Press(props: ButtonProps) {
  const { label, of = '', place, pressed, lapsed, fit = 0, children } = props
  const { does, holds } = useHeld(props)
  const earlier = useContext(EarlierContext)
  const box = useFit<HTMLButtonElement>(label, fit)
  const changed = useGuard(label, true)
  const guarded = () => changed() || Boolean(lapsed?.())
  const [took, take] = useTook()
  const [share, setShare] = useState(0)
  const touch = useRef<TouchState>(touchStart(false))
  const frame = useRef(0)
  /** Under which words the finger set out, and when: a button that says something else by now was not meant. */
  const from = useRef({ label, at: 0 })
  const now = useRef({ does, holds, label })
  now.current = { does, holds, label }
  const go = () => {
    if (!now.current.does || guarded()) return
    take()
    now.current.does()
  }
  const hold = () => {
    const { holds } = now.current
    if (!holds || guarded()) return
    take()
    // What the hold brings lies under a finger that is still down: its lifting is no touch of that.
    lifted_ms = performance.now()
    addEventListener('pointerup', () => (lifted_ms = performance.now()), { once: true, capture: true })
    holds.act(from.current.at)
  }
  const step = (next: TouchState) => {
    cancelAnimationFrame(frame.current)
    touch.current = next
    const meant = from.current.label === now.current.label && !glass.isWet()
    setShare(meant ? touchShare(next, performance.now()) : 0)
    if (next.does && meant) (next.does === 'held' ? hold : go)()
    if (touch.current.since && touch.current.holds) frame.current = requestAnimationFrame(() => step(touchTick(touch.current, performance.now())))
  }
  const begin = (x: number, y: number) => {
    const at = performance.now()
    const next = touchDown(touch.current.since ? touch.current : touchStart(holds !== undefined), at, x, y)
    if (next.does) step(next)
    // One that comes back after a gap goes on with what it began.
    if (next.since === at) from.current = { label, at }
    step({ ...next, does: '' })
  }
  const lift = (event: PointerEvent) => {
    lifted_ms = performance.now()
    const edge = (event.currentTarget as Element).getBoundingClientRect()
    const inside = event.clientX >= edge.left && event.clientX <= edge.right && event.clientY >= edge.top && event.clientY <= edge.bottom
    step(touchUp(touch.current, performance.now(), glass.toMm(event.clientX), glass.toMm(event.clientY), inside))
  }
  const leave = () => step(touchStart(false))
  const word = share > 0 && holds ? holds.word : ''
  useEffect(() => {
    if (!word) return undefined
    earlier?.showHolding(word)
    return () => earlier?.showHolding('')
  }, [word])
  useEffect(() => () => {
    cancelAnimationFrame(frame.current)
    if (touch.current.lifted && from.current.label === now.current.label && !glass.isWet()) now.current.does?.()
  }, [])
  return (
    <button ref={box} type="button" class={`press ${of} ${took ? 'took' : ''}`} data-place={place} aria-disabled={!does}
      aria-pressed={pressed}
      onPointerDown={(event) => {
        if (event.button > 0) return
        event.currentTarget.setPointerCapture?.(event.pointerId)
        begin(glass.toMm(event.clientX), glass.toMm(event.clientY))
      }}
      onPointerMove={(event) => (touch.current = touchMove(touch.current, glass.toMm(event.clientX), glass.toMm(event.clientY)))}
      onPointerUp={lift} onPointerCancel={leave} onBlur={leave}
      onKeyDown={(event) => {
        if (isMenuKey(event) && holds) {
          from.current = { label, at: performance.now() }
          hold()
        } else if (!isKey(event)) return
        else if (!event.repeat) begin(0, 0)
        event.preventDefault()
      }}
      onKeyUp={(event) => {
        if (!isKey(event)) return
        event.preventDefault()
        step(touchUp(touch.current, performance.now(), 0, 0, true))
      }}
      onContextMenu={(event) => event.preventDefault()}
      onClick={(event) => {
        if (clickedAlone(event) && !glass.isWet()) go()
      }}>
      {children ?? label}
      {word && <span class="holding" aria-hidden="true"><b>{word}</b><i style={{ transform: `scaleX(${share})` }} /></span>}
    </button>
  )
}

export interface HoldProps extends ButtonProps {
  hold_ms?: number
  /** Two taps within two seconds do as well. */
  taps?: boolean
}

export function Hold({ label, act, of = '', place, lapsed, hold_ms = OVERBOARD_HOLD_MS, taps = false, fit = 0, children }: HoldProps) {
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
    if (!act || guarded() || lapsed?.() || glass.isWet()) return
    hold.current = holdDown(hold.current, performance.now(), x, y)
    watch()
  }
  const end = () => {
    lifted_ms = performance.now()
    hold.current = holdUp(hold.current, performance.now())
    if (hold.current.fired) fire()
  }
  useEffect(() => () => cancelAnimationFrame(frame.current), [])
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
