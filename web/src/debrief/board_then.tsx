// The board as it was at the moment, in the same words and marks as it had then, and the log up to it. With a place chosen: the board
// that it showed last, and grey what had not reached it.

import type { MsgPatch } from 'proto'
import type { BoardView, ViewState } from '../store'
import { entryWords } from '../ui/act_words'
import { allLines, fights, handName, isStern } from '../ui/board'
import { laneLook } from '../ui/lanes'
import { Mark } from '../ui/marks'
import { bandSentence } from '../ui/say'
import { words } from '../words'
import { said } from '../words_debrief'
import type { Live } from './cards'
import { type Place, reached, receiptAt } from './known'
import type { Player } from './player'
import { type When, age, at } from './say'

const LATE_MS = 5000
const HANDS = (board: BoardView, hand: number) => handName(board, hand) || `${hand}`

export const placeName = (place: Place, board: BoardView) => (place.of === 'phone' ? said.phoneSays(HANDS(board, place.hand)) : said.placeOf[place.of])

/** A view of the page's that shows this board and nothing of the link. */
function viewOf(board: BoardView, at_ms: number): ViewState {
  return {
    board, known: true, rev: 0, link: { state: 'ok', since: at_ms }, me: { source: 'crew', device: 0, page: '', hand: 0, view: 'debrief', greeted: true, keyless: false },
    taps: [], waiting: 0, rings: [], disk: 'ok', unsaved: 0, utc_offset_ms: board.clock.utc_offset_ms ?? 0, storage: 'kept', mismatches: 0, release: 'same',
  }
}

export function BoardThen({ player, when, corrected, choose, live }: { player: Player; when: When; corrected: ReadonlyMap<number, number>; choose: (seq: number) => void; live?: Live | undefined }) {
  const { board, known } = player.shown
  return (
    <div class="panes">
      <Log player={player} when={when} corrected={corrected} choose={choose} />
      <section class="then" aria-label={said.board}>
        <h2>{said.board}</h2>
        <Knows player={player} when={when} />
        {known.is !== 'never' && <Picture board={board} at_ms={Math.max(0, known.until_ms)} />}
        <OpenCalls player={player} when={when} />
        {live && <Correct player={player} live={live} />}
      </section>
    </div>
  )
}

function Knows({ player, when }: { player: Player; when: When }) {
  const { place, now_ms, shown, replay } = player
  const { known } = shown
  if (place.of === 'log' || !replay) return null
  const name = placeName(place, shown.board)
  const beyond = known.is === 'away' ? shown.rows.filter((row) => row.entry.got_ms > known.until_ms).length : 0
  const text = known.is === 'never' ? said.never(name) : known.is === 'away' ? said.away(name, said.how[known.how], at(when, known.until_ms, true)) : said.knew(name)
  return (
    <p class="knows" role="status">
      {text} {known.sure_ms < Math.min(known.until_ms, now_ms) && said.unsure} {beyond > 0 && `${said.missing(beyond)}.`}
    </p>
  )
}

function Picture({ board, at_ms }: { board: BoardView; at_ms: number }) {
  const then = viewOf(board, at_ms)
  const line = (one: ReturnType<typeof allLines>[number]) => {
    const look = laneLook(then, one, at_ms)
    return <li key={one.id} class={look.of}><Mark is={look.mark} /><b>{one.name}</b><span>{look.word} {look.more}</span></li>
  }
  const lines = allLines(board)
  const c = board.counts
  return (
    <>
      <p class="say">{bandSentence(then, 'debrief', at_ms).text}</p>
      <ul class="hung">{lines.filter((one) => !isStern(one)).map(line)}{lines.filter(isStern).map(line)}</ul>
      <p>{said.wheel}: {handName(board, board.duty.wheel) || words.nobody} · {said.lookOut}: {handName(board, board.duty.look_out) || words.nobody}</p>
      <p>{words.counts(c.strikes ?? 0, c.hooked ?? 0, fights(board).length, c.boated ?? 0, c.released ?? 0)}</p>
    </>
  )
}

/** Calls that were open then, each with whether this place had said that it showed it. */
function OpenCalls({ player, when }: { player: Player; when: When }) {
  const { place, now_ms, shown, replay, stays } = player
  const calls = [...shown.board.calls.values()].filter((call) => (call.state ?? 'called') === 'called' || call.state === 'got')
  if (!calls.length || !replay) return null
  return (
    <>
      <h3>{said.openCalls}</h3>
      <ul>{calls.map((call) => {
        const receipt = receiptAt(replay.head, stays, place, call.id, now_ms)
        return <li key={call.id}>{words.call[call.what ?? 'ahead']}, {words.callState[call.state ?? 'called']}: {receipt ? said.receipt(at(when, receipt, true)) : said.noReceipt}</li>
      })}</ul>
    </>
  )
}

const rowSays = (patch: MsgPatch, when: When, corrected: ReadonlyMap<number, number>, player: Player): string => {
  const { entry, moot } = patch
  const mended = corrected.get(entry.seq)
  const stands = reached(player.stays, player.place, entry.got_ms, player.now_ms)
  return [
    entry.refused ? said.refused : '', moot ? said.moot : '', entry.offered ? said.offered : '', entry.instead_of ? said.correction : '',
    !entry.refused && entry.got_ms - entry.at_ms > LATE_MS ? said.lateBy(age(entry.got_ms - entry.at_ms)) : '',
    mended !== undefined && (!player.then || mended <= player.now_ms) ? said.correctedAt(at(when, mended, true)) : '', said.reached[stands],
  ].filter(Boolean).join(', ')
}

/** Newest first. The arrow keys go from entry to entry. */
function Log({ player, when, corrected, choose }: { player: Player; when: When; corrected: ReadonlyMap<number, number>; choose: (seq: number) => void }) {
  const { rows, seq, board } = player.shown
  const move = (event: KeyboardEvent) => {
    if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return
    event.preventDefault()
    choose(Math.max(1, seq + (event.key === 'ArrowDown' ? -1 : 1)))
  }
  return (
    <section class="log" aria-label={said.log} onKeyDown={move}>
      <h2>{said.log}</h2>
      {rows.length === 0 && <p class="nothing">{player.is === 'failed' ? said.noReplay : said.nothing}</p>}
      <ol>{rows.map((patch) => {
        const { entry } = patch
        const is = rowSays(patch, when, corrected, player)
        const mended = corrected.has(entry.seq) && (!player.then || (corrected.get(entry.seq) as number) <= player.now_ms)
        const beyond = reached(player.stays, player.place, entry.got_ms, player.now_ms)
        return (
          <li key={entry.seq} class={`${entry.refused ? 'refused' : ''} ${mended ? 'voided' : ''} ${patch.moot ? 'moot' : ''} reach-${beyond}`}>
            <button type="button" aria-pressed={entry.seq === seq} data-place={`entry-${entry.seq}`} onClick={() => choose(entry.seq)}>
              <span class="seq">{entry.seq}</span>
              <span class="when">{at(when, entry.at_ms, true)}</span>
              <span class="by">{entry.by ? HANDS(board, entry.by) : entry.from === 'server' ? words.board : entry.from}</span>
              <span class="what">{entryWords(board, entry)}</span>
              {is && <span class="is">{is}</span>}
            </button>
          </li>
        )
      })}</ol>
    </section>
  )
}

/** Taking an entry back after its time for undo: what it would make moot is shown first, and agreed to. */
function Correct({ player, live: { state, store } }: { player: Player; live: Live }) {
  const row = player.shown.rows[0]
  if (!row || row.entry.refused || player.playing) return null
  const { id } = row.entry
  const preview = state.preview?.target === id ? state.preview : null
  if (!preview) return <button type="button" class="pick" data-place="correct" onClick={() => store.preview(id)}>{said.take(`${row.entry.seq} ${entryWords(player.shown.board, row.entry)}`)}</button>
  return (
    <div class="correct">
      <p role="status">{said.agree(preview.count)}: {preview.rows.map((one) => words.kind[one.kind as keyof typeof words.kind] ?? one.kind).join(', ')}</p>
      <button type="button" class="pick strong" data-place="take-back" onClick={() => store.act('voided', { target: id, agreed: preview.count })}>{said.takeBack}</button>
    </div>
  )
}
