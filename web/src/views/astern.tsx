// Astern is meant: what is logged as not in, by name, and an open door. The board never says that the way is clear; the helm
// stops, or goes anyway, and either is in the log.

import type { ViewState } from '../store'
import { allLines, shortName } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { Mark } from '../ui/marks'
import { laneLook } from '../ui/lanes'
import { words } from '../words'

export function AsternPanel({ state, now, close }: { state: ViewState; now: number; close: () => void }) {
  const store = useStore()
  const { board } = state
  const asked = board.astern.state === 'asked' ? board.astern.id : undefined
  const out = allLines(board).filter((line) => line.state !== 'in' || line.unsure)
  const decide = (went: boolean) => asked && (() => {
    close()
    store.act('astern_decided', { asked, went })
  })
  return (
    <section class="panel sided">
      <div class="listed">
        <h2>{words.astern.title}</h2>
        <ul class={out.length > 8 ? 'close-set' : ''}>
          {board.deck.door && <li class="worst"><Mark is="warning" /><b>{words.astern.door}</b></li>}
          {out.map((line) => {
            const look = laneLook(state, line, now)
            return <li key={line.id}><Mark is={look.mark} /><b>{shortName(line.name)}</b><span>{line.unsure ? words.astern.unsure : look.word}</span></li>
          })}
        </ul>
        {!out.length && <p>{words.astern.none}</p>}
      </div>
      <div class="answers">
        <Press label={words.button.stopped} of="answer strong" place="stopped" act={decide(false) || undefined} fit={1} />
        <Press label={words.button.wentAnyway} of="answer" place="went" act={decide(true) || undefined} fit={1} />
        <Press label={words.button.close} of="answer" place="close" act={close} fit={1} />
      </div>
    </section>
  )
}
