// The one source of chance: splitmix64 (Steele, Lea, Flood 2014) on two 32-bit halves would be slower in JavaScript than
// sfc32 (Chris Doty-Humphrey, PractRand), which is used here. The same seed gives the same run.

export class Prng {
  private a: number
  private b: number
  private c: number
  private counter = 1

  constructor(seed: number) {
    this.a = seed >>> 0
    this.b = Math.floor(seed / 2 ** 32) >>> 0
    this.c = 0x5bd1e995
    for (let i = 0; i < 15; i++) this.bits()
  }

  /** 32 random bits. */
  bits(): number {
    const sum = (this.a + this.b + this.counter) | 0
    this.counter = (this.counter + 1) | 0
    this.a = this.b ^ (this.b >>> 9)
    this.b = (this.c + (this.c << 3)) | 0
    this.c = (((this.c << 21) | (this.c >>> 11)) + sum) | 0
    return sum >>> 0
  }

  /** From low up to and including high. */
  int(low: number, high: number): number {
    return low + Math.floor((this.bits() / 2 ** 32) * (high - low + 1))
  }

  /** True once in `in_thousand` of a thousand times. */
  chance(in_thousand: number): boolean {
    return this.int(0, 999) < in_thousand
  }

  pick<T>(from: readonly T[]): T {
    const item = from[this.int(0, from.length - 1)]
    if (item === undefined) throw new Error('nothing to pick from')
    return item
  }

  /** One of the things, each as often as its weight says. */
  weighted<T>(from: readonly (readonly [number, T])[]): T {
    let left = this.int(1, from.reduce((sum, [weight]) => sum + weight, 0))
    for (const [weight, item] of from) {
      left -= weight
      if (left <= 0) return item
    }
    throw new Error('weights must be positive')
  }

  /** Mostly short, now and then long. */
  delay(usual_ms: number, long_ms: number): number {
    return this.chance(50) ? this.int(usual_ms, long_ms) : this.int(0, usual_ms)
  }

  /** 16 hex digits. */
  hex(): string {
    return [this.bits(), this.bits()].map((half) => half.toString(16).padStart(8, '0')).join('')
  }
}
