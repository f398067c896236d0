// The board's debrief page: the same page that a saved file shows, reading over HTTP, with the jobs and the corrections that only a
// board can take. Its style sheet is fetched with it, so that the pages at sea do not carry it.

import { useEffect, useMemo, useState } from 'preact/hooks'
import sheet from '../css/debrief.sheet.css'
import { DebriefPage } from '../debrief/page'
import { BoardSource } from '../debrief/source'
import { useBoard, useStore } from '../ui/hooks'
import { said } from '../words_debrief'

/** Has the sheet come? A page without it would jump when it does. */
function useSheet(): boolean {
  const [is, setIs] = useState(document.querySelector('link[data-debrief]') !== null)
  useEffect(() => {
    if (is) return
    const link = document.createElement('link')
    link.rel = 'stylesheet'
    link.href = sheet
    link.dataset.debrief = ''
    link.onload = link.onerror = () => setIs(true)
    document.head.append(link)
  }, [])
  return is
}

export function Debrief() {
  const state = useBoard()
  const store = useStore()
  const styled = useSheet()
  const source = useMemo(() => new BoardSource(() => store.token()), [store])
  const leave = () => store.setView('none')
  if (state.me.keyless || !state.me.greeted || !styled) {
    return <main class="debrief" data-view="debrief"><p class="loading" role="status">{state.me.keyless ? said.noLog : said.loading}</p></main>
  }
  const crew = state.me.source !== 'guest' && state.me.source !== 'anyone'
  return <DebriefPage source={source} leave={leave} {...(crew ? { live: { state, store } } : {})} />
}
