// Virtual time: what is to happen, in order. At the same millisecond, first come first served.

export interface Event {
  at_ms: number
  order: number
  run: () => void
}

/** What a device needs of time: the simulator's, or the real one (tests/net/chaos.mjs). */
export interface Timetable {
  readonly now_ms: number
  after(ms: number, run: () => void): void
  at(at_ms: number, run: () => void): void
}

export class Schedule implements Timetable {
  now_ms = 0
  private heap: Event[] = []
  private count = 0

  after(ms: number, run: () => void): void {
    this.at(this.now_ms + ms, run)
  }

  at(at_ms: number, run: () => void): void {
    this.push({ at_ms: Math.max(Math.ceil(at_ms), this.now_ms), order: this.count++, run })
  }

  /** Runs the next event, if it is due by until_ms; else time goes to until_ms. */
  next(until_ms: number): boolean {
    const first = this.heap[0]
    if (!first || first.at_ms > until_ms) {
      this.now_ms = until_ms
      return false
    }
    this.pop()
    this.now_ms = first.at_ms
    first.run()
    return true
  }

  private push(event: Event): void {
    const { heap } = this
    let at = heap.length
    heap.push(event)
    while (at > 0) {
      const parent = (at - 1) >> 1
      if (!before(event, heap[parent] as Event)) break
      heap[at] = heap[parent] as Event
      at = parent
    }
    heap[at] = event
  }

  private pop(): void {
    const { heap } = this
    const last = heap.pop() as Event
    if (heap.length === 0) return
    let at = 0
    for (;;) {
      let child = 2 * at + 1
      if (child >= heap.length) break
      if (child + 1 < heap.length && before(heap[child + 1] as Event, heap[child] as Event)) child++
      if (!before(heap[child] as Event, last)) break
      heap[at] = heap[child] as Event
      at = child
    }
    heap[at] = last
  }
}

function before(one: Event, other: Event): boolean {
  return one.at_ms < other.at_ms || (one.at_ms === other.at_ms && one.order < other.order)
}
