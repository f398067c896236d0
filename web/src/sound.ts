// The sounds, made on the device: no file to load. A browser lets a page sound only after a first touch; until then the page
// says SOUND NOT ARMED.
//
// Fundamentals 500, 650, 850 Hz and 750 with 1000 Hz, neighbours at least a fifth apart but where overboard silences the
// rest, with harmonics up to 4 kHz. The rhythm follows the idea that a higher danger has more and faster pulses; no melody is
// taken from a standard. A phone's loudspeaker is no alarm under way: the voice is the first channel.

import type { Burst } from './ui/ringing'

export type Sound = 'overboard' | 'stop' | 'hurt' | 'clear' | 'call' | 'strike' | 'warning'

/** A pulse: how high, when it starts and how long it lasts, in ms. */
type Pulse = readonly [hz: number, from_ms: number, for_ms: number]

const pulses = (hz: number, count: number, for_ms: number, gap_ms: number): Pulse[] =>
  Array.from({ length: count }, (_, i) => [hz, i * (for_ms + gap_ms), for_ms] as const)

/** Ten pulses in groups of 3, 2, 3, 2, two pitches in turn: 2.3 s, so that it ends before the next burst. */
function overboardPulses(): Pulse[] {
  const made: Pulse[] = []
  let from = 0
  for (const group of [3, 2, 3, 2]) {
    for (let i = 0; i < group; i++) {
      made.push([made.length % 2 ? 1000 : 750, from, 150])
      from += 150 + 60
    }
    from += 80
  }
  return made
}

export const PULSES: Record<Sound, readonly Pulse[]> = {
  overboard: overboardPulses(),
  stop: pulses(1000, 5, 120, 60),
  hurt: pulses(1000, 3, 300, 100),
  clear: pulses(650, 3, 220, 130),
  call: pulses(650, 2, 220, 130),
  strike: pulses(850, 2, 120, 100),
  warning: pulses(500, 1, 250, 0),
}

const BUZZ: Partial<Record<Sound, number[]>> = {
  overboard: [1000, 300, 1000],
  clear: [250, 150, 250, 150, 250],
  strike: [120, 80, 120],
}

const TOP_HZ = 4000
const RAMP_S = 0.008

export class Player {
  private context: AudioContext | null = null
  private played = new Map<string, number>()

  /** To be called from a touch. */
  arm(): void {
    this.context ??= new AudioContext()
    void this.context.resume()
  }

  armed(): boolean {
    return this.context?.state === 'running'
  }

  /** Plays what has become due since the last time. */
  follow(bursts: readonly Burst[]): void {
    for (const { key, sound, count } of bursts) {
      if (count <= (this.played.get(key) ?? 0)) continue
      this.played.set(key, count)
      this.play(sound)
    }
    const keys = new Set(bursts.map((burst) => burst.key))
    for (const key of this.played.keys()) if (!keys.has(key) && this.played.size > 64) this.played.delete(key)
  }

  play(sound: Sound): void {
    const buzz = BUZZ[sound]
    if (buzz && this.context) navigator.vibrate?.(buzz)
    const context = this.context
    if (!context || context.state !== 'running') return
    for (const [hz, from_ms, for_ms] of PULSES[sound]) this.pulse(context, hz, context.currentTime + from_ms / 1000, for_ms / 1000)
  }

  private pulse(context: AudioContext, hz: number, from: number, for_s: number): void {
    const count = Math.floor(TOP_HZ / hz)
    const harmonics = new Float32Array(count + 1).map((_, n) => (n === 0 ? 0 : 1 / Math.sqrt(n)))
    const tone = context.createOscillator()
    tone.setPeriodicWave(context.createPeriodicWave(new Float32Array(count + 1), harmonics))
    tone.frequency.value = hz
    const gain = context.createGain()
    gain.gain.setValueAtTime(0, from)
    gain.gain.linearRampToValueAtTime(1, from + RAMP_S)
    gain.gain.setValueAtTime(1, from + for_s - RAMP_S)
    gain.gain.linearRampToValueAtTime(0, from + for_s)
    tone.connect(gain).connect(context.destination)
    tone.start(from)
    tone.stop(from + for_s)
  }
}
