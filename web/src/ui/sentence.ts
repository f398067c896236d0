// One sentence of the band: its words, its look, and whether it asks for an answer.

export type Look = 'water' | 'fish' | 'clear' | 'man' | 'stop' | 'plain' | 'link' | 'warn' | 'quiet'

export interface Sentence {
  look: Look
  text: string
  /** A second, smaller line. */
  more: string
  /** Pulses once a second until somebody here has answered. */
  pulse: boolean
  /** What is read aloud at once: an emergency or a call to clear. */
  alert: string
}

export const sentence = (look: Look, text: string, more = '', pulse = false, alert = ''): Sentence => ({ look, text, more, pulse, alert })
