// The marks: own simple shapes on a grid of 24 units, told apart by outline alone. Colour comes from the text around them;
// `--hole` is what lies under a mark, so that a slot or a tick can be cut out of it.

import type { ComponentChildren } from 'preact'

const thick = { fill: 'none', stroke: 'currentColor' } as const

export const SHAPES = {
  in: <circle cx="12" cy="12" r="8.2" {...thick} stroke-width="3" />,
  out: [<path d="M12 0.6V7" {...thick} stroke-width="3.6" />, <circle cx="12" cy="14" r="8.6" fill="currentColor" />],
  setting: [<path d="M12 0.6V7" {...thick} stroke-width="3.6" />, <circle cx="12" cy="14" r="7.2" {...thick} stroke-width="2.8" stroke-dasharray="4 3.5" />],
  clearing: <path d="M3.5 12.4 12 5l8.5 7.4M3.5 20.9 12 13.5l8.5 7.4" {...thick} stroke-width="3.6" />,
  on: [<path d="M2.8 2.8h18.4v18.4H2.8z" fill="currentColor" />, <path d="M7 17 17 7" fill="none" stroke="var(--hole)" stroke-width="3.6" />],
  strike: [<path d="M4 4h16v16H4z" {...thick} stroke-width="3" />, <circle cx="12" cy="12" r="3.6" fill="currentColor" />],
  fouled: <path d="M4 4 20 20M20 4 4 20M12 1v22" {...thick} stroke-width="3" />,
  not_known: [<circle cx="12" cy="12" r="8.5" {...thick} stroke-width="2.6" stroke-dasharray="2.6 4.07" />, <path d="M9 9.6a3 3 0 1 1 4.2 2.8c-.9.4-1.2 1-1.2 2M12 16v2.2" {...thick} stroke-width="2.2" />],
  called: [<circle cx="12" cy="12" r="6" {...thick} stroke-width="2.6" />, <path d="M1.5 7.5v9M22.5 7.5v9" {...thick} stroke-width="2.6" />],
  open: <circle cx="12" cy="12" r="6" {...thick} stroke-width="2.4" />,
  got: [<circle cx="12" cy="12" r="8.7" {...thick} stroke-width="2.6" />, <path d="m7.4 12.4 3.2 3.5 6-7.2" {...thick} stroke-width="2.8" />],
  done: [<circle cx="12" cy="12" r="10" fill="currentColor" />, <path d="m7.2 12.4 3.4 3.7 6.2-7.5" fill="none" stroke="var(--hole)" stroke-width="3" />],
  not_heard: <path d="M12 3.5a8.5 8.5 0 0 1 7 3.7M20.2 13.6a8.5 8.5 0 0 1-6 6.7M7 19a8.5 8.5 0 0 1-2.6-10.6" {...thick} stroke-width="3" />,
  off: <path d="M5 12h14" {...thick} stroke-width="4" />,
  overboard: [<path d="M8.2 2h7.6L22 8.2v7.6L15.8 22H8.2L2 15.8V8.2z" {...thick} stroke-width="2" />, <circle cx="12" cy="9" r="3.5" fill="currentColor" />, <path d="M5.4 16.6c2.2-2.2 4.4-2.2 6.6 0s4.4 2.2 6.6 0" {...thick} stroke-width="2.5" />],
  sees: [<path d="M21 4.5 4 12l17 7.5" {...thick} stroke-width="2.8" />, <circle cx="16" cy="12" r="3.6" fill="currentColor" />],
  here: [<circle cx="12" cy="12" r="9" {...thick} stroke-width="2.4" />, <circle cx="12" cy="12" r="3.6" fill="currentColor" />],
  asleep: [<circle cx="12" cy="12" r="8.7" {...thick} stroke-width="2" />, <path d="M12 3.3a8.7 8.7 0 0 1 0 17.4z" fill="currentColor" />],
  gone: <path d="M5 5l14 14M19 5 5 19" {...thick} stroke-width="3" />,
  voice: <path d="M3 9.5v5h4l5 4.5V5L7 9.5zM15.5 8.5c2 2 2 5 0 7M18.5 5.5c3.7 3.7 3.7 9.3 0 13" {...thick} stroke-width="2.3" />,
  only_here: <path d="M4 4h16v16H4z" {...thick} stroke-width="2.6" stroke-dasharray="3 3.4" />,
  sent: <path d="M4 12h16" {...thick} stroke-width="4.5" />,
  seen: <path d="M4 8.2h16M4 15.8h16" {...thick} stroke-width="4" />,
  saved: <path d="M4 4h16v16H4z" fill="currentColor" />,
  refused: [<circle cx="12" cy="12" r="9" {...thick} stroke-width="2.6" />, <path d="M5.8 18.2 18.2 5.8" {...thick} stroke-width="2.6" />],
  warning: [<path d="M12 2.5 22 20.5H2z" {...thick} stroke-width="2.4" />, <path d="M12 9v5.2M12 16.2v2.3" {...thick} stroke-width="2.4" />],
  boated: <path d="M6 3h12v11H6zM2.5 20h19" {...thick} stroke-width="3" />,
  released: <path d="M4 20V4h16v16" {...thick} stroke-width="3" />,
  fish_off: <path d="M10 4H4v16h6M14 4h6v16h-6" {...thick} stroke-width="3" />,
} satisfies Record<string, ComponentChildren>

export type MarkName = keyof typeof SHAPES

/** A mark beside its word: the word is what is read aloud, so the mark itself is silent. */
export function Mark({ is, of = '' }: { is: MarkName; of?: string }) {
  return <svg class={`mark ${of}`} viewBox="0 0 24 24" aria-hidden="true" data-mark={is}>{SHAPES[is]}</svg>
}
