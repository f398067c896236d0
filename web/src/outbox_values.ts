// Small values that outlive the page, in localStorage, which can be read before anything else is there. Where storage is
// denied they live as long as the page.

import type { KeptValues } from './link_types'

const NAMES: readonly (keyof KeptValues)[] = ['token', 'hand', 'mark', 'reloaded']
const PREFIX = 'sternboard.'

export function readKept(): Partial<KeptValues> {
  const kept: Partial<KeptValues> = {}
  try {
    for (const name of NAMES) kept[name] = localStorage.getItem(PREFIX + name) ?? ''
  } catch {
    return {}
  }
  return kept
}

/** False: nothing is kept here. */
export function writeKept(name: keyof KeptValues, text: string): boolean {
  try {
    localStorage.setItem(PREFIX + name, text)
    return true
  } catch {
    return false
  }
}
