// What time it is in the log, as this page can tell.
//
// Every pulse says what log time it was when it was sent. The one that came the fastest is nearest to the truth, so the largest
// of the last few offsets counts: a message can be late, never early.

const SAMPLES = 16

export class LogTime {
  private offsets: number[] = []
  private doubted = false

  /** A message of this run said now_ms; it came at mono_ms. */
  heard(now_ms: number, mono_ms: number): void {
    if (this.doubted) this.reset()
    this.offsets.push(now_ms - mono_ms)
    if (this.offsets.length > SAMPLES) this.offsets.shift()
  }

  /** How long that message was under way, beside the fastest of the last ones; 0 when there is none to compare it with. */
  behind(now_ms: number, mono_ms: number): number {
    return this.offsets.length && !this.doubted ? Math.max(...this.offsets) - (now_ms - mono_ms) : 0
  }

  /** The phone slept, and its clock may not have: what is known so far counts only until more is heard. */
  doubt(): void {
    this.doubted = true
  }

  /** Another run has another base. */
  reset(): void {
    this.offsets = []
    this.doubted = false
  }

  known(): boolean {
    return this.offsets.length > 0
  }

  /** Log time at a time of the mono clock; 0 at mono 0 as long as nothing was heard. */
  at(mono_ms: number): number {
    return Math.round(mono_ms + (this.offsets.length ? Math.max(...this.offsets) : 0))
  }
}
