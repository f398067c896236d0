// What this device was told about itself: its light, its size, which way its reader faces. Kept on the device when it lets us.

export type Light = 'day' | 'dusk' | 'red' | 'amber'
export const LIGHTS: readonly Light[] = ['day', 'dusk', 'red', 'amber']

export interface Prefs {
  light: Light
  /** CSS pixels in a millimetre of this glass; 0 = the usual of its kind. */
  mm: number
  facing: '' | 'aft' | 'forward'
}

/** A 10.1-inch tablet of 1280 x 800, a 6.1-inch phone of 390 x 844 (computed). */
export const USUAL_MM = { helm: 5.88, phone: 6, debrief: 5.02 }

const KEPT_AS = 'sternboard.device'
const NONE: Prefs = { light: 'day', mm: 0, facing: '' }

let prefs = load()
const listeners = new Set<() => void>()

function load(): Prefs {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT_AS) ?? '{}') as Partial<Prefs>
    return {
      light: LIGHTS.includes(kept.light as Light) ? (kept.light as Light) : NONE.light,
      mm: typeof kept.mm === 'number' && kept.mm > 2 && kept.mm < 20 ? kept.mm : 0,
      facing: kept.facing === 'aft' || kept.facing === 'forward' ? kept.facing : '',
    }
  } catch {
    return NONE
  }
}

export function getPrefs(): Prefs {
  return prefs
}

export function setPrefs(change: Partial<Prefs>): void {
  prefs = { ...prefs, ...change }
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify(prefs))
  } catch {
    // A device that keeps nothing asks again after the next load; that is all there is to do about it.
  }
  for (const listener of listeners) listener()
}

export function onPrefs(listener: () => void): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}
