// A board as the server writes it, one flat object of part id and value, made into the view that the pages draw from.

import { PARTS, type PartName } from 'proto'
import type { BoardView } from '../store'

const NAMES = Object.keys(PARTS) as PartName[]

export function boardFromFlat(flat: Readonly<Record<string, unknown>>): BoardView {
  const view: Record<string, unknown> = {}
  for (const name of NAMES) {
    const { key } = PARTS[name]
    if (key === null) {
      view[name] = flat[name] ?? {}
      continue
    }
    const values = Object.entries(flat).filter(([id]) => id.startsWith(`${name}/`)).map(([, value]) => value as Record<string, unknown>)
    const rows = values.map((value) => [value[key] as number | string, value] as const)
    view[name] = new Map(rows.sort(([a], [b]) => (typeof a === 'number' && typeof b === 'number' ? a - b : String(a) < String(b) ? -1 : 1)))
  }
  return view as unknown as BoardView
}
