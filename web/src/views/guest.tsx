// A guest's look: the sentence and the spread, nothing to tap but OVERBOARD, which is anyone's.

import { Overboard } from '../ui/bar'
import { ownNews, Say } from '../ui/band'
import { myCall } from '../ui/board'
import { useBoard, useNow, useStore } from '../ui/hooks'
import { Mark } from '../ui/marks'
import { bandSentence } from '../ui/say'
import { words } from '../words'
import { Tiles, spreadTiles } from './cockpit_sheets'

export function Guest() {
  const state = useBoard()
  const store = useStore()
  const now = useNow()
  const say = bandSentence(state, 'guest', now)
  const news = ownNews(state, now)
  return (
    <main class={`cockpit ${state.board.overboard.id ? 'emergency' : ''}`} data-view="guest">
      <div class={`who ${news?.look ?? ''}`}>
        {news ? <span class="news">{news.look === 'warn' && <Mark is="warning" />}{news.text}</span> : <span class="name"><b>{state.board.trip.name ?? words.board}</b></span>}
      </div>
      <header class={`band ${say.look}`}><Say text={say.text} more={say.more} /></header>
      <Tiles tiles={spreadTiles(state, now, false, () => ({}), undefined)} columns={4} page={0} turn={() => undefined} />
      <Overboard called={Boolean(myCall(state))} act={() => store.act('overboard', {})} />
    </main>
  )
}
