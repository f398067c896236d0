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
  /** The last entry that is there, of those that came at now_ms; 0: all of them are. */
  now_seq: number
  shown: Shown
  place: Place
  /** Only what was there at the moment is drawn. */
  then: boolean
  playing: boolean
  speed: Speed
  go(ms: number): void
  /** To when this entry was there, and none after it: several may have come at once. */
  goTo(seq: number): void
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
  const [{ ms: now_ms, seq: now_seq }, setNow] = useState({ ms: 0, seq: 0 })
  const [place, setPlace] = useState<Place>(EVERYONE)
  const [then, setThen] = useState(false)
  const [playing, play] = useState(false)
  const [speed, setSpeed] = useState<Speed>(10)
  const [shown, setShown] = useState<Shown>(NOTHING)
  const asked = useRef(0)
  const wanted = useRef(0)
  const all = useMemo(() => (replay ? stays(replay.head) : []), [replay])
  const last_ms = replay?.head.last_ms ?? 0
  /** Whatever was still on its way to another moment does not arrive any more. */
  const go = (ms: number) => {
    wanted.current++
    setNow({ ms, seq: 0 })
  }
  useEffect(() => {
    go(last_ms)
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
      setNow(({ ms }) => ({ ms: Math.min(last_ms, ms + passed), seq: 0 }))
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
      const now = await (now_seq ? replay.after(now_seq) : replay.at(now_ms))
      const rows = await replay.rows(now.seq, MOST_ROWS)
      const { board } = known.until_ms === now_ms ? now : await replay.at(known.until_ms)
      if (asked.current === ask) setShown({ seq: now.seq, board, rows, known })
    }
    show().catch(() => undefined)
  }, [replay, place, now_ms, now_seq])
  const start = (on: boolean) => {
    if (on) go(now_ms >= last_ms ? (replay?.first_ms ?? 0) : now_ms)
    if (on) setThen(true)
    play(on)
  }
  const goTo = (seq: number) => {
    const want = ++wanted.current
    play(false)
    replay?.rows(seq, 1).then(([row]) => {
      if (row && wanted.current === want) setNow({ ms: row.entry.got_ms, seq: row.entry.seq })
    }, () => undefined)
  }
  return { is, replay, stays: all, now_ms, now_seq, shown, place, then, playing, speed, go, goTo, play: start, setSpeed, setPlace, setThen }
}
