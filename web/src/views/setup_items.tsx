// Set-up of a row of things, one at a time by touch: step to one, add one, take one off.

import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { Press } from '../ui/button'
import { words } from '../words'

export interface Items<T> {
  at: number
  one: T | undefined
  step: (by: number) => void
  /** To one that is only now being added as well. */
  goTo: (index: number) => void
}

export function useItems<T>(all: readonly T[]): Items<T> {
  const [chosen, setChosen] = useState(0)
  const at = Math.min(chosen, Math.max(0, all.length - 1))
  return { at, one: all[at], step: (by) => setChosen((at + by + all.length) % Math.max(1, all.length)), goTo: setChosen }
}

/** The lowest number of 1 to most that none of them has; 0 = all are taken. */
export function freeId(all: readonly { id: number }[], most: number): number {
  return Array.from({ length: most }, (_, i) => i + 1).find((id) => !all.some((one) => one.id === id)) ?? 0
}

/** The one that follows in a round. */
export function after<T>(all: readonly T[], one: T): T {
  return all[(all.indexOf(one) + 1) % all.length] ?? one
}

export function ItemBar({ of, at, step, add, off, children }: {
  of: number; at: number; step: (by: number) => void; add?: (() => void) | undefined; off?: (() => void) | undefined; children: ComponentChildren
}) {
  return (
    <div class="choices four">
      <Press label={words.setup.before} of="choice" place="item-before" act={of > 1 ? () => step(-1) : undefined} fit={1} />
      <Press label={words.setup.after(Math.min(at + 1, of), of)} of="choice" place="item-after" act={of > 1 ? () => step(1) : undefined} fit={1} />
      <Press label={words.button.add} of="choice" place="item-add" act={add} />
      <Press label={words.button.takeOff} of="choice" place="item-off" act={off} />
      {children}
    </div>
  )
}
