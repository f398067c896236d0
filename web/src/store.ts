// The store: what the link knows, as the pages draw it. It turns the parts of the board into typed maps and makes a new
// ViewState after each change; it touches no page, no socket and no storage.

import { PARTS, type EntryId, type Kind, type PartName, type View } from 'proto'
import type { Link } from './link'
import type { Effect, Input, Now } from './link_types'
import type { ActOptions, BoardView, BodyOf, Store, ViewState } from './store_shape'

export type {
  ActOptions, BoardView, BodyOf, LastAct, LateEntry, LinkWord, Ring, Said, Store, TapView, TapWord, ViewState,
} from './store_shape'

/** Kinds that the page sends by itself: they wait and are kept like any other, but are no act to show. */
const SILENT: readonly Kind[] = ['shown']

const PART_NAMES = Object.keys(PARTS) as PartName[]

export class BoardStore implements Store {
  private listeners = new Set<() => void>()
  private parts: ReadonlyMap<string, unknown> = new Map()
  private view: ViewState

  /** carry_out is given every effect, in order; clock reads the phone's clocks. */
  constructor(private link: Link, private clock: () => Now, private carry_out: (effect: Effect) => void) {
    this.view = this.build(emptyBoard())
  }

  state(): ViewState {
    return this.view
  }

  subscribe(changed: () => void): () => void {
    this.listeners.add(changed)
    return () => this.listeners.delete(changed)
  }

  now(): number {
    return this.link.time.at(this.clock().mono_ms)
  }

  /** An input from an adapter. */
  input(input: Input): void {
    this.effects(this.link.step(input, this.clock()))
  }

  act<K extends Kind>(kind: K, body: BodyOf<K>, options: ActOptions = {}): EntryId {
    const { id, effects } = this.link.act(kind, body, options, this.clock())
    this.effects(effects)
    return id
  }

  undo(): void {
    const last = this.view.last
    if (last) this.act('voided', { target: last.id, undo: true })
  }

  takeHelm(number = ''): void {
    this.input({ is: 'take_helm', number })
  }

  preview(target: EntryId): void {
    this.input({ is: 'preview', target })
  }

  setView(view: View): void {
    this.input({ is: 'view', view })
  }

  join(key: string): void {
    this.input({ is: 'join', key })
  }

  token(): string {
    return this.link.token
  }

  private effects(effects: Effect[]): void {
    for (const effect of effects) if (effect.do !== 'changed') this.carry_out(effect)
    if (!effects.some((effect) => effect.do === 'changed')) return
    this.view = this.build(this.boardView())
    for (const listener of this.listeners) listener()
  }

  private boardView(): BoardView {
    if (this.parts === this.link.board.parts) return this.view.board
    this.parts = this.link.board.parts
    return boardView(this.parts, this.view.board)
  }

  private build(board: BoardView): ViewState {
    const { link } = this
    const now = this.clock()
    const log_now_ms = link.time.at(now.mono_ms)
    return {
      board,
      known: link.board.known,
      rev: link.board.rev,
      link: { state: link.word, since: link.time.at(Math.max(link.heard_ms, 0)) },
      me: {
        source: link.source, device: link.device, page: link.page, hand: link.hand, view: link.view,
        greeted: link.greeted_once, keyless: link.keyless(),
      },
      taps: link.taps.views(now, log_now_ms).filter((tap) => !SILENT.includes(tap.kind)),
      waiting: link.taps.waiting(),
      last: link.last_act,
      rings: link.rings,
      disk: link.disk,
      spare: link.spare,
      unsaved: link.unsaved,
      utc_offset_ms: board.clock.utc_offset_ms ?? 0,
      log_back_ms: link.log_back_ms,
      late: link.late,
      release: link.release.word(),
      storage: link.taps.storage,
      no: link.no,
      told: link.told,
      preview: link.previewed,
      mismatches: link.mismatches,
    }
  }
}

export function emptyBoard(): BoardView {
  return boardView(new Map(), undefined)
}

/** A single part that says nothing is not sent. */
const NOTHING = {}

/** The parts as typed maps. What has not changed since `before` stays the same object. */
export function boardView(parts: ReadonlyMap<string, unknown>, before: BoardView | undefined): BoardView {
  const view: Record<string, unknown> = {}
  for (const name of PART_NAMES) {
    view[name] = PARTS[name].key === null
      ? parts.get(name) ?? NOTHING
      : keyed(name, parts, before?.[name] as ReadonlyMap<string | number, unknown> | undefined)
  }
  return view as unknown as BoardView
}

function keyed(
  name: PartName, parts: ReadonlyMap<string, unknown>, before: ReadonlyMap<string | number, unknown> | undefined,
): ReadonlyMap<string | number, unknown> {
  const values = [...parts].filter(([id]) => id.startsWith(`${name}/`)).map(([, value]) => value as Record<string, string | number>)
  const key = PARTS[name].key ?? ''
  const rows = values.map((value) => [value[key] ?? 0, value] as const)
  rows.sort(([a], [b]) => (a < b ? -1 : 1))
  const same = before && before.size === rows.length && rows.every(([id, value]) => before.get(id) === value)
  return same ? before : new Map(rows)
}
