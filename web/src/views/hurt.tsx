// Somebody is hurt: who, how badly, by whom it was called, and the clock of an accident report. 33 CFR 173.55 (US): within 48
// hours for a death within 24 hours, an injury beyond first aid, or somebody missing; within 10 days otherwise. The clock is a
// reminder, not advice on law.

import type { BoardHurt, HurtHow } from 'proto'
import type { ViewState } from '../store'
import { handName } from '../ui/board'
import { Hold, Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { hurtNow } from '../ui/say_deck'
import { stopwatch } from '../ui/time'
import { words } from '../words'

const HOUR_MS = 3_600_000
const REPORT_MS = 48 * HOUR_MS
const HOW: readonly HurtHow[] = ['first_aid', 'beyond_first_aid', 'missing', 'dead']
/** More names than that stand six in a row. */
const FOUR_A_ROW = 8

/** What the report's clock says of this injury. */
export function reportWords(hurt: BoardHurt, now: number): string {
  const left_ms = (hurt.since_ms ?? now) + REPORT_MS - now
  const left = words.hurt.hours(Math.max(0, Math.ceil(left_ms / HOUR_MS)))
  switch (hurt.how ?? 'not_said') {
    case 'not_said': return words.hurt.ifMore(left)
    case 'first_aid': return words.hurt.noReport
    case 'beyond_first_aid': case 'missing': case 'dead': return left_ms > 0 ? words.hurt.report(left) : words.hurt.reportOver
  }
}

export function HurtPanel({ state, now, close }: { state: ViewState; now: number; close: () => void }) {
  const store = useStore()
  const { board } = state
  const hurt = hurtNow(board)
  if (!hurt) return <section class="panel"><header><h2>{words.stamp.none}</h2><Press label={words.button.close} of="close" place="close" act={close} /></header></section>
  const tell = (said: { hand?: number; how?: HurtHow }) => () => store.act('hurt_told', { hurt: hurt.id, hand: hurt.hand ?? 0, how: hurt.how ?? 'not_said', ...said })
  const by = handName(board, hurt.by)
  const over = () => {
    close()
    store.act('hurt_over', { hurt: hurt.id })
  }
  return (
    <section class="panel hurt-panel">
      <header><h2>{hurt.hand ? words.hurt.how : words.hurt.who}</h2>
        <Hold label={words.button.lookedAfter} of="close" place="hurt-over" act={over}><span>{words.button.lookedAfter}</span> <small>{words.hold}</small></Hold>
        <Press label={words.button.close} of="close" place="close" act={close} />
      </header>
      <div class={`choices ${!hurt.hand && board.hands.size > FOUR_A_ROW ? 'six' : 'four'}`}>
        {hurt.hand
          ? HOW.map((how) => <Press key={`${hurt.id} ${how}`} label={words.hurt.is[how]} of={`choice ${hurt.how === how ? 'strong' : ''}`} place={`how-${how}`} pressed={hurt.how === how} act={tell({ how })} fit={1} />)
          : [...board.hands.values()].map((hand) =>
              <Press key={`${hurt.id} ${hand.id}`} label={hand.name} of="choice" place={`who-${hand.id}`} act={tell({ hand: hand.id })} fit={1} />)}
      </div>
      <p class="report">{words.hurt.since(stopwatch(now - (hurt.since_ms ?? now)))} {by && words.hurt.by(by)}<br />{reportWords(hurt, now)}<br />{words.hurt.law}</p>
    </section>
  )
}
