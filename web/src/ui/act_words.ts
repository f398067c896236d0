// An act in a few words, for UNDO, for the tap's own state and for the log: what, where, who.

import type { Content, Kind, Entry, LineState } from 'proto'
import type { BoardView } from '../store'
import { words } from '../words'
import { handName, lineName } from './board'
import type { Act } from './earlier'

type Names = Pick<BoardView, 'hands' | 'lines' | 'lists'>

const list = (...parts: string[]) => parts.filter(Boolean).join(', ')

/** What an entry says beyond its kind; '' when the kind says it all. */
export function actDetail(names: Names, kind: Kind, body: object): string {
  const board = names as BoardView
  const act = { kind, v: 1, body } as Content
  const line = (id: number | undefined) => lineName(board, id)
  const hand = (id: number | undefined) => handName(board, id) || words.nobody
  const told = (lines: readonly number[] = [], is: LineState) => (lines.length ? `${lines.map(line).join(', ')} ${words.line[is]}` : '')
  switch (act.kind) {
    case 'trip_started': return `${act.body.name}, ${words.setup.trip(act.body.no)}`
    case 'trip_phase': return words.phase[act.body.phase]
    case 'hand_added': return act.body.name
    case 'hand_station': return `${hand(act.body.hand)}: ${words.station[act.body.station]}`
    case 'page_hand': return hand(act.body.hand)
    case 'duty': return `${act.body.post === 'wheel' ? words.button.wheel : words.button.lookOut}: ${hand(act.body.hand)}`
    case 'line_is': return `${line(act.body.line)} ${words.line[act.body.state]}${act.body.eye ? `, ${words.byEye}` : ''}`
    case 'lines_are': return list(told(act.body.in, 'in'), told(act.body.out, 'out'), act.body.eye ? words.byEye : '')
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
    case 'page_joined': return [act.body.view === 'none' ? '' : act.body.view, act.body.hand ? hand(act.body.hand) : ''].filter(Boolean).join(', ')
    case 'page_state': return words.reach[act.body.state]
    case 'helm_taken': return act.body.hand ? hand(act.body.hand) : ''
    case 'run': return act.body.version ?? ''
    case 'trip_ended': case 'clear_over': case 'check_left': case 'call_off': case 'shown': case 'overboard': case 'overboard_withdrawn':
    case 'overboard_heard': case 'stop': case 'stop_over': case 'voided': case 'clock': case 'strike_lapsed': case 'call_unheard':
    case 'gap_filled': case 'raise_lapsed': case 'astern': case 'hurt': case 'hurt_over': case 'stamped': return ''
    case 'raised': return line(act.body.line)
    case 'raise_touched': return line(act.body.line)
    case 'raise_gear_moved': return list(words.log.raiseGear[act.body.gear], line(act.body.line))
    case 'raise_ended': return words.dock.raiseEnd[act.body.end]
    case 'leader': return list(act.body.on ? '' : words.button.letGo, act.body.hand ? hand(act.body.hand) : '')
    case 'fight_condition': return words.deck.swam[act.body.condition]
    case 'door': return words.log.door(act.body.open)
    case 'gaff': return list(act.body.up ? words.log.up : words.log.away, act.body.hand ? hand(act.body.hand) : '')
    case 'astern_decided': return act.body.went ? words.button.wentAnyway : words.button.stopped
    case 'hurt_told': return list(act.body.hand ? hand(act.body.hand) : '', act.body.how ? words.hurt.is[act.body.how] : '')
    case 'hurt_kept': return list(act.body.who ?? '', act.body.how ? words.hurt.is[act.body.how] : '')
    case 'stamp_told': return list(words.stamp.is[act.body.what], line(act.body.line), act.body.text ?? '')
    case 'noted': return act.body.text
    case 'bait_checked': return `${line(act.body.line)}: ${words.bait.is[act.body.result]}`
    case 'float_light': return `${line(act.body.line)}: ${words.bait.light[act.body.light]}`
    case 'slick': return act.body.on ? words.deck.slickOn : words.deck.slickOff
    case 'stand_by': case 'angler_next': return hand(act.body.hand)
    case 'orders': return list(act.body.wheel ? `${words.button.wheel} ${hand(act.body.wheel)}` : '', act.body.wire ? words.say.wires(hand(act.body.wire)) : '',
      act.body.keep_ahead_s ? words.say.keepAheadToo(words.brief.seconds(act.body.keep_ahead_s)) : '')
    case 'orders_heard': return act.body.hand ? hand(act.body.hand) : ''
    case 'place_set': return act.body.gone ? words.log.gone(act.body.place.name) : act.body.place.name
    case 'fish_counted': return list(words.dock.inBox(act.body.boated), act.body.hand ? hand(act.body.hand) : '', act.body.second ? hand(act.body.second) : '')
    case 'near_miss': return list(words.dock.nearIs[act.body.what], act.body.hand ? hand(act.body.hand) : '', act.body.text ?? '')
    case 'job': return list(words.dock.job(act.body.no), act.body.text ?? '', act.body.hand ? hand(act.body.hand) : '', act.body.by_day ?? '')
    case 'job_done': return words.dock.job(act.body.no)
    case 'gear_fault': return list(line(act.body.line), act.body.text)
    case 'fish_told': return list(act.body.code ?? '', words.fish.fate[act.body.fate ?? 'not_said'], act.body.length_um ? words.fish.long(act.body.length_um, act.body.measure ?? 'none') : '',
      act.body.weight_g ? words.fish.heavy(act.body.weight_g, act.body.weighed === true) : '', act.body.tag ? words.fish.tagged(act.body.tag) : '')
    case 'fish_iced': return ''
    case 'aboard': return list(words.fish.persons(act.body.persons ?? 0, act.body.paying ?? 0), words.fish.use[act.body.use ?? 'not_said'])
    case 'report_told': return act.body.number
    case 'rules_kept': return words.fish.dated(act.body.set.name, act.body.set.dated)
    case 'fish_kept': return `${act.body.fish.length + (act.body.more ?? 0)}`
    case 'report_kept': return act.body.name
  }
}

export function actWords(names: Names, kind: Kind, body: object): string {
  const detail = actDetail(names, kind, body)
  const bare: Kind[] = ['line_is', 'lines_are', 'overboard_sighted', 'duty', 'trip_phase']
  if (!detail) return words.kind[kind]
  return bare.includes(kind) ? detail : `${words.kind[kind]}: ${detail}`
}

/** What a button's act tells, in a few words. A strike whose line nobody has named yet is just that. */
export function heldWords(names: Names, { tells }: Act): string {
  if (!tells) return ''
  return tells.kind === 'strike' && !(tells.body as { line?: number }).line ? words.kind.strike : actWords(names, tells.kind, tells.body)
}

export const entryWords = (names: Names, entry: Entry) => actWords(names, entry.kind, entry.body)
