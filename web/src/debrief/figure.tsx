// A plot with its table: both say the same, a mark and its row are linked both ways, and both are used by keyboard alone.
//
// A plot is a list box: one stop of the Tab key, its marks chosen by the arrow keys, Home and End.

import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { said } from '../words_debrief'

export interface Row {
  /** The entry that the row is of; 0: none. */
  seq: number
  cells: readonly (string | number)[]
}

export function Table({ name, heads, rows, chosen, choose }: { name: string; heads: readonly string[]; rows: readonly Row[]; chosen: number; choose?: ((seq: number) => void) | undefined }) {
  return (
    <div class="table" tabIndex={0} role="region" aria-label={name}>
      <table>
        <thead><tr>{heads.map((head) => <th key={head} scope="col">{head}</th>)}</tr></thead>
        <tbody>{rows.map((row, i) => (
          <tr key={`${row.seq} ${i}`} class={row.seq && row.seq === chosen ? 'is-chosen' : ''}>
            {row.cells.map((cell, k) => <td key={heads[k]}>{k === 0 && row.seq && choose ? <button type="button" aria-pressed={row.seq === chosen} onClick={() => choose(row.seq)}>{cell}</button> : cell}</td>)}
          </tr>
        ))}</tbody>
      </table>
    </div>
  )
}

export function Figure({ title, id, note, heads, rows, chosen, choose, children }: {
  title: string; id: string; note?: ComponentChildren; heads: readonly string[]; rows: readonly Row[]; chosen: number; choose: (seq: number) => void; children: ComponentChildren
}) {
  const [table, setTable] = useState(false)
  return (
    <section class="figure" aria-labelledby={`h-${id}`} data-plot={id}>
      <header><h3 id={`h-${id}`}>{title}</h3>{rows.length > 0 && <button type="button" class="pick" aria-pressed={table} data-place={`table-${id}`} onClick={() => setTable(!table)}>{said.table}</button>}</header>
      {table ? <Table name={title} heads={heads} rows={rows} chosen={chosen} choose={choose} /> : children}
      {note && <div class="note">{note}</div>}
    </section>
  )
}

export interface Option {
  seq: number
  words: string
  draw: ComponentChildren
}

/** Draws what can be chosen. With no `choose`, as on paper, it is a picture. */
export function Choices({ id, label, width, height, options, chosen, choose, children }: {
  id: string; label: string; width: number; height: number; options: readonly Option[]; chosen: number; choose?: ((seq: number) => void) | undefined; children?: ComponentChildren
}) {
  const [active, setActive] = useState(0)
  const now = Math.min(active, options.length - 1)
  const go = (to: number) => {
    const next = Math.max(0, Math.min(options.length - 1, to))
    setActive(next)
    const option = options[next]
    if (option && choose) choose(option.seq)
  }
  const key = (event: KeyboardEvent) => {
    const to = { ArrowDown: now + 1, ArrowRight: now + 1, ArrowUp: now - 1, ArrowLeft: now - 1, Home: 0, End: options.length - 1, Enter: now, ' ': now }[event.key]
    if (to === undefined) return
    event.preventDefault()
    event.stopPropagation()
    go(to)
  }
  const listens = choose && options.length > 0
  return (
    <svg class="plot" width={width} height={height} viewBox={`0 0 ${width} ${height}`} {...(listens ? { role: 'listbox', tabindex: 0, 'aria-activedescendant': `${id}-${now}`, onKeyDown: key } : { role: 'img' })} aria-label={label}>
      <g aria-hidden="true">{children}</g>
      {options.map((option, i) => listens
        ? <g key={`${option.seq} ${i}`} id={`${id}-${i}`} role="option" aria-selected={option.seq === chosen} aria-label={option.words} class={`option ${option.seq === chosen ? 'is-chosen' : ''} ${i === now ? 'is-active' : ''}`} onClick={() => go(i)}>{option.draw}</g>
        : <g key={`${option.seq} ${i}`}>{option.draw}</g>)}
    </svg>
  )
}
