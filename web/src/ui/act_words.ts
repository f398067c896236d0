// An act in a few words, for UNDO, for the tap's own state and for the log: what, where, who.

import type { Content, Kind, Entry } from 'proto'
import type { BoardView } from '../store'
import { words } from '../words'
import { handName, lineName } from './board'

type Names = Pick<BoardView, 'hands' | 'lines' | 'lists'>

/** What an entry says beyond its kind; '' when the kind says it all. */
export function actDetail(names: Names, kind: Kind, body: object): string {
  const board = names as BoardView
  const act = { kind, v: 1, body } as Content
  const line = (id: number | undefined) => lineName(board, id)
  const hand = (id: number | undefined) => handName(board, id) || words.nobody
  switch (act.kind) {
    case 'trip_started': return `${act.body.name}, ${words.setup.trip(act.body.no)}`
    case 'trip_phase': return words.phase[act.body.phase]
    case 'hand_added': return act.body.name
    case 'hand_station': return `${hand(act.body.hand)}: ${words.station[act.body.station]}`
    case 'page_hand': return hand(act.body.hand)
    case 'duty': return `${act.body.post === 'wheel' ? words.button.wheel : words.button.lookOut}: ${hand(act.body.hand)}`
    case 'line_is': return `${line(act.body.line)} ${words.line[act.body.state]}${act.body.eye ? `, ${words.byEye}` : ''}`
    case 'line_bait': return `${line(act.body.line)}: ${act.body.bait}`
    case 'lines_seen': return `${words.scope[act.body.scope]} ${words.line[act.body.state]}`
    case 'strike': return line(act.body.line) || words.line.not_known
    case 'strike_named': return line(act.body.line)
    case 'strike_ended': return words.strikeEnd[act.body.end]
    case 'fight_angler': return hand(act.body.hand)
    case 'fight_ended': return words.fightEnd[act.body.end]
    case 'clear_called': return act.body.preset || words.scope[act.body.scope]
    case 'line_taken': return line(act.body.line)
    case 'line_kept': return `${line(act.body.line)}${act.body.kept ? ` ${words.kept}` : ''}`
    case 'check_opened': return names.lists.get(act.body.list)?.name ?? ''
    case 'check_answered': return `${act.body.item}: ${act.body.answer === 'done' ? words.button.done : words.button.notDone} ${words.why[act.body.why ?? 'none']}`.trim()
    case 'call': return `${words.call[act.body.what]} ${words.calls.to(act.body.hand ? hand(act.body.hand) : words.station[act.body.to])}`
    case 'call_got':
    case 'call_done': return [act.body.hand ? hand(act.body.hand) : '', act.body.voice ? words.voice : ''].filter(Boolean).join(', ')
    case 'overboard_sighted': return act.body.lost ? words.overboard.lost(hand(act.body.hand)) : words.overboard.sees(hand(act.body.hand))
    case 'overboard_person': return hand(act.body.hand)
    case 'overboard_ended': return act.body.how === 'aboard' ? words.button.backAboard : words.button.falseAlarm
    case 'page_joined': return [act.body.view, act.body.hand ? hand(act.body.hand) : ''].filter(Boolean).join(', ')
    case 'page_state': return words.reach[act.body.state]
    case 'helm_taken': return act.body.hand ? hand(act.body.hand) : ''
    case 'run': return act.body.version ?? ''
    case 'trip_ended': case 'clear_over': case 'check_left': case 'call_off': case 'shown': case 'overboard': case 'overboard_withdrawn':
    case 'overboard_heard': case 'stop': case 'stop_over': case 'voided': case 'clock': case 'strike_lapsed': case 'call_unheard':
    case 'gap_filled': case 'raise_gear_moved': case 'raise_ended': case 'raise_lapsed': case 'fight_condition': case 'astern':
    case 'astern_decided': case 'hurt': case 'hurt_over': case 'stamped': case 'door': case 'slick': case 'job_done': return ''
    case 'raised': case 'raise_touched': case 'bait_checked': case 'float_light': return line(act.body.line)
    case 'leader': case 'gaff': case 'hurt_told': case 'orders_heard': return act.body.hand ? hand(act.body.hand) : ''
    case 'stand_by': case 'angler_next': return hand(act.body.hand)
    case 'stamp_told': case 'noted': case 'job': case 'gear_fault': case 'near_miss': return act.body.text ?? ''
    case 'orders': return hand(act.body.wheel)
    case 'place_set': return act.body.place.name
    case 'fish_counted': return String(act.body.boated)
  }
}

export function actWords(names: Names, kind: Kind, body: object): string {
  const detail = actDetail(names, kind, body)
  const bare: Kind[] = ['line_is', 'overboard_sighted', 'duty', 'trip_phase']
  if (!detail) return words.kind[kind]
  return bare.includes(kind) ? detail : `${words.kind[kind]}: ${detail}`
}

export const entryWords = (names: Names, entry: Entry) => actWords(names, entry.kind, entry.body)
