// What the replay shows: the moment, the board as it was then (or as a place had it), and the log up to it.

import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import type { MsgPatch } from 'proto'
import { emptyBoard, type BoardView } from '../store'
import { EVERYONE, type Known, type Place, type Stay, knownTo, stays } from './known'
import { Replay } from './replay'
import type { Source } from './source'

export const SPEEDS = [1, 10, 60] as const
export type Speed = (typeof SPEEDS)[number]

const FRAME_MS = 100
/** Rows of the log that are shown at once. */
const MOST_ROWS = 120

export interface Shown {
  seq: number
  board: BoardView
  rows: MsgPatch[]
  known: Known
}

export interface Player {
  is: 'loading' | 'ready' | 'failed'
  replay: Replay | null
  stays: readonly Stay[]
  now_ms: number
  shown: Shown
  place: Place
  /** Only what was there at the moment is drawn. */
  then: boolean
  playing: boolean
  speed: Speed
  go(ms: number): void
  play(on: boolean): void
  setSpeed(speed: Speed): void
  setPlace(place: Place): void
  setThen(then: boolean): void
}

const NOTHING: Shown = { seq: 0, board: emptyBoard(), rows: [], known: { is: 'here', until_ms: 0, sure_ms: 0, how: '' } }

/** The replay of a trip, loaded when it is wanted. */
function useReplay(source: Source, trip: number): { is: Player['is']; replay: Replay | null } {
  const [got, setGot] = useState<{ is: Player['is']; replay: Replay | null }>({ is: 'loading', replay: null })
  useEffect(() => {
    let ended = false
    setGot({ is: 'loading', replay: null })
    if (!trip) return undefined
    source.head(trip).then(
      (head) => !ended && setGot({ is: 'ready', replay: new Replay(source, trip, head) }),
      () => !ended && setGot({ is: 'failed', replay: null }),
    )
    return () => {
      ended = true
    }
  }, [source, trip])
  return got
}

/** trip: the seq of its first entry, 0: none. */
export function usePlayer(source: Source, trip: number): Player {
  const { is, replay } = useReplay(source, trip)
  const [now_ms, setNow] = useState(0)
  const [place, setPlace] = useState<Place>(EVERYONE)
  const [then, setThen] = useState(false)
  const [playing, play] = useState(false)
  const [speed, setSpeed] = useState<Speed>(10)
  const [shown, setShown] = useState<Shown>(NOTHING)
  const asked = useRef(0)
  const all = useMemo(() => (replay ? stays(replay.head) : []), [replay])
  const last_ms = replay?.head.last_ms ?? 0
  useEffect(() => {
    setNow(last_ms)
    setPlace(EVERYONE)
    setThen(false)
    play(false)
  }, [replay])
  useEffect(() => {
    if (!playing || !replay) return undefined
    let before = performance.now()
    const timer = setInterval(() => {
      const at = performance.now()
      const passed = (at - before) * speed
      before = at
      setNow((ms) => Math.min(last_ms, ms + passed))
    }, FRAME_MS)
    return () => clearInterval(timer)
  }, [playing, speed, replay])
  useEffect(() => {
    if (playing && now_ms >= last_ms) play(false)
  }, [playing, now_ms])
  useEffect(() => {
    if (!replay) return setShown(NOTHING)
    const ask = ++asked.current
    const known = knownTo(all, place, now_ms)
    const show = async () => {
      const { seq } = await replay.at(now_ms)
      const rows = await replay.rows(seq, MOST_ROWS)
      const { board } = await replay.at(known.until_ms)
      if (asked.current === ask) setShown({ seq, board, rows, known })
    }
    show().catch(() => undefined)
  }, [replay, place, now_ms])
  const start = (on: boolean) => {
    if (on && now_ms >= last_ms) setNow(replay?.first_ms ?? 0)
    if (on) setThen(true)
    play(on)
  }
  return { is, replay, stays: all, now_ms, shown, place, then, playing, speed, go: setNow, play: start, setSpeed, setPlace, setThen }
}
