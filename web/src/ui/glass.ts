// The glass under the fingers: how large a millimetre is on it, whether water lies on it, and the buzz it can give.

import { isWater } from './touch'
import { getPrefs, USUAL_MM } from './prefs'

const WET_MS = 1000
/** Red words cannot have the contrast of others and are made larger: the debrief's 18 px become 24. */
const RED_LARGER = 4 / 3

/** The least width and height, in rem, that a page is laid out for, and the cockpit's usual ones. */
const LEAST = { helm: [122, 72], phone: [39, 62.8] } as const
const COCKPIT = [39, 84.4] as const
const MOST_LARGER = 2.5

/** By how much a page is drawn larger or smaller than its millimetres ask for, on a glass of so many rem. The cockpit's page
 * grows with a larger glass, a mounted tablet. A glass that is too small shrinks all alike: too small to touch well, but
 * nothing lies over anything. */
export function roomFactor(kind: keyof typeof USUAL_MM, width: number, height: number): number {
  if (kind === 'debrief') return getPrefs().light === 'red' ? RED_LARGER : 1
  const room = Math.min(width / COCKPIT[0], height / COCKPIT[1])
  if (kind === 'phone' && room > 1) return Math.min(room, MOST_LARGER)
  return Math.min(1, width / LEAST[kind][0], height / LEAST[kind][1])
}

class Glass {
  private kind: keyof typeof USUAL_MM = 'phone'
  private touches = new Set<number>()
  private wetUntil = 0
  private tell: (wet: boolean) => void = () => undefined

  /** The size of a millimetre for this page, put where the style sheets find it: as --mm, and as the root's font size, of
   * which one is ten pixels on the usual glass of its kind. So every size of the style sheets is a length on the glass. */
  fit(root: HTMLElement, kind: keyof typeof USUAL_MM): void {
    this.kind = kind
    root.style.setProperty('--mm', `${this.mm()}px`)
    const rem = (10 * this.mm()) / USUAL_MM[kind]
    root.style.fontSize = `${rem * roomFactor(kind, innerWidth / rem, innerHeight / rem)}px`
  }

  mm(): number {
    return getPrefs().mm || USUAL_MM[this.kind]
  }

  toMm(px: number): number {
    return px / this.mm()
  }

  /** Watches all touches of the page, before any button does; calls back when water comes and goes. */
  watch(page: HTMLElement, tell: (wet: boolean) => void): () => void {
    this.tell = tell
    const down = (event: PointerEvent) => {
      if (event.pointerType === 'touch') this.down(event)
    }
    const up = (event: PointerEvent) => this.touches.delete(event.pointerId)
    page.addEventListener('pointerdown', down, true)
    page.addEventListener('pointerup', up, true)
    page.addEventListener('pointercancel', up, true)
    return () => {
      page.removeEventListener('pointerdown', down, true)
      page.removeEventListener('pointerup', up, true)
      page.removeEventListener('pointercancel', up, true)
    }
  }

  private down(event: PointerEvent): void {
    if (event.isPrimary) this.touches.clear()
    this.touches.add(event.pointerId)
    if (!isWater(this.toMm(event.width), this.toMm(event.height), this.touches.size, this.kind === 'phone')) return
    this.wetUntil = performance.now() + WET_MS
    this.tell(true)
    window.setTimeout(() => this.isWet() || this.tell(false), WET_MS + 20)
  }

  isWet(): boolean {
    return performance.now() < this.wetUntil
  }

  buzz(pattern: number | number[] = 30): void {
    navigator.vibrate?.(pattern)
  }
}

/** One page has one glass. */
export const glass = new Glass()
