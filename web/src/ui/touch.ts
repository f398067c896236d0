// What a finger meant: holds, double taps and plain taps, as pure machines fed with times and places.
//
// Wet glass and a shaking boat break a touch for moments and let it wander; a drop of water makes short ones at random. So a
// hold lives through gaps of 150 ms and 12 mm of drift, a release counts where it began within 12 mm, and a touch that is
// wider than a thumb, or three at once on a phone, is water or a palm and means nothing. The numbers are starting points for
// trials, not taken from a standard.

export const GAP_MS = 150
export const DRIFT_MM = 12
export const OVERBOARD_HOLD_MS = 600
export const FALSE_ALARM_HOLD_MS = 1500
export const TWO_TAPS_MS = 2000
export const SHORTEST_TAP_MS = 30
export const GUARD_MS = 500
export const WATER_MM = 30
export const WATER_TOUCHES = 3

/** A held touch shows from then on what it will do, and does it then. */
export const HELD_SHOW_MS = 300
export const HELD_MS = 900

export interface HoldRules {
  hold_ms: number
  /** Two taps within TWO_TAPS_MS do as well. */
  taps: boolean
}

/** A press that is going on, or has broken off for a moment. Times in ms of any steady clock, places in mm. */
export interface Hold {
  rules: HoldRules
  /** When this hold began; 0 = nothing is held. */
  since: number
  /** When the last contact ended; 0 = the finger is down. */
  lifted: number
  x: number
  y: number
  /** When the tap before this one ended; 0 = there was none. */
  tapped: number
  fired: boolean
}

export function holdStart(rules: HoldRules): Hold {
  return { rules, since: 0, lifted: 0, x: 0, y: 0, tapped: 0, fired: false }
}

/** Lets go of a hold whose gap has grown too long; it may have been a tap, and the second of two. */
function settle(hold: Hold, now: number): Hold {
  if (!hold.since || !hold.lifted || now - hold.lifted <= GAP_MS) return hold
  const wasTap = hold.lifted - hold.since >= SHORTEST_TAP_MS
  return { ...hold, since: 0, tapped: wasTap ? hold.lifted : hold.tapped }
}

export function holdDown(before: Hold, now: number, x: number, y: number): Hold {
  const hold = { ...settle(before, now), fired: false }
  if (!hold.since) return { ...hold, since: now, lifted: 0, x, y }
  return far(hold, x, y) ? { ...hold, since: now, lifted: 0, x, y, tapped: 0 } : { ...hold, lifted: 0 }
}

export function holdMove(hold: Hold, x: number, y: number): Hold {
  return hold.since && !hold.lifted && far(hold, x, y) ? { ...hold, since: 0, tapped: 0 } : hold
}

/** The finger lifts: the second of two taps fires here. */
export function holdUp(hold: Hold, now: number): Hold {
  if (!hold.since) return hold
  const isTap = now - hold.since >= SHORTEST_TAP_MS
  const second = hold.rules.taps && isTap && hold.tapped > 0 && now - hold.tapped <= TWO_TAPS_MS
  return second ? { ...hold, since: 0, tapped: 0, fired: true } : { ...hold, lifted: now }
}

/** Time passes: a hold that has lasted fires. */
export function holdTick(before: Hold, now: number): Hold {
  const hold = settle(before, now)
  if (hold.since && !hold.lifted && now - hold.since >= hold.rules.hold_ms) return { ...hold, since: 0, tapped: 0, fired: true }
  return hold.tapped && now - hold.tapped > TWO_TAPS_MS ? { ...hold, tapped: 0 } : hold
}

/** How much of the hold is done, 0 to 1. */
export function holdShare(hold: Hold, now: number): number {
  return hold.since ? Math.min(1, (now - hold.since) / hold.rules.hold_ms) : 0
}

/** A touch that acts when it lifts, at once; where `holds`, it means something else when it stays for HELD_MS. A short touch
 * never waits: only one that has been seen to be held is given the gap of wet glass, and acts when it did not come back. */
export interface Touch {
  holds: boolean
  /** When it began; 0 = nothing touches. */
  since: number
  /** When the last contact of a held touch ended; 0 = the finger is down. */
  lifted: number
  x: number
  y: number
  /** It has wandered too far to be held; it may still lift inside its button. */
  drifted: boolean
  /** What this step asks for. */
  does: '' | 'act' | 'held'
}

export function touchStart(holds: boolean): Touch {
  return { holds, since: 0, lifted: 0, x: 0, y: 0, drifted: false, does: '' }
}

export function touchDown(before: Touch, now: number, x: number, y: number): Touch {
  const touch = touchTick(before, now)
  if (touch.since && touch.lifted && !far(touch, x, y)) return { ...touch, lifted: 0 }
  return { ...touchStart(touch.holds), since: now, x, y, does: touch.since && touch.lifted ? 'act' : touch.does }
}

export function touchMove(touch: Touch, x: number, y: number): Touch {
  return touch.since && !touch.lifted && far(touch, x, y) ? { ...touch, drifted: true, does: '' } : { ...touch, does: '' }
}

/** `inside`: it lifts within its button. Within DRIFT_MM of its beginning it counts as well. */
export function touchUp(touch: Touch, now: number, x: number, y: number, inside: boolean): Touch {
  if (!touch.since || touch.lifted) return { ...touch, does: '' }
  if (!inside && far(touch, x, y)) return touchStart(touch.holds)
  const shown = touch.holds && !touch.drifted && now - touch.since >= HELD_SHOW_MS
  return shown ? { ...touch, lifted: now, does: '' } : { ...touchStart(touch.holds), does: 'act' }
}

/** Time passes: a touch that stayed is held, a gap that grew too long was its end. */
export function touchTick(touch: Touch, now: number): Touch {
  if (touch.lifted) return now - touch.lifted > GAP_MS ? { ...touchStart(touch.holds), does: 'act' } : { ...touch, does: '' }
  const held = touch.since && touch.holds && !touch.drifted && now - touch.since >= HELD_MS
  return held ? { ...touchStart(touch.holds), does: 'held' } : { ...touch, does: '' }
}

/** How much of what is shown of a held touch is done, 0 to 1; 0 before it is shown. */
export function touchShare(touch: Touch, now: number): number {
  if (!touch.since || !touch.holds || touch.drifted) return 0
  return Math.max(0, Math.min(1, (now - touch.since - HELD_SHOW_MS) / (HELD_MS - HELD_SHOW_MS)))
}

function far(hold: { x: number; y: number }, x: number, y: number): boolean {
  return Math.hypot(x - hold.x, y - hold.y) > DRIFT_MM
}

/** Whether a touch is water or a palm: too wide, or one of too many at once where a hand has one thumb free. */
export function isWater(width_mm: number, height_mm: number, touches: number, oneThumb: boolean): boolean {
  return Math.max(width_mm, height_mm) > WATER_MM || (oneThumb && touches >= WATER_TOUCHES)
}
