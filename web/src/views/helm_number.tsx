// Before a page may be the helm: the four digits of the helm number before the trip starts, one tap after.

import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { Overboard } from '../ui/bar'
import { myCall, tripRuns } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { words } from '../words'

const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', words.button.back, '0', words.button.takeHelm]

export function HelmNumber({ state }: { state: ViewState }) {
  const store = useStore()
  const [digits, setDigits] = useState('')
  const asks = !tripRuns(state.board)
  const press = (key: string) => () => {
    if (key === words.button.back) setDigits(digits.slice(0, -1))
    else if (key === words.button.takeHelm) store.takeHelm(digits)
    else setDigits((digits + key).slice(0, 4))
  }
  return (
    <main class="number" data-view="number">
      <h1>{asks ? words.join.helmNumber : words.join.helm}</h1>
      <p class="told" role="status">{state.told?.words ?? ''}</p>
      {asks
        ? <>
            <output class="digits">{digits.padEnd(4, '·')}</output>
            <div class="keys">{KEYS.map((key) => <Press key={key} label={key} of={key.length > 1 ? 'key word' : 'key'} place={`key-${key}`} act={press(key)} />)}</div>
          </>
        : <Press label={words.button.takeHelm} of="key take" place="take-helm" act={() => store.takeHelm()} />}
      <Overboard called={Boolean(myCall(state))} act={() => store.act('overboard', {})} of="wide" />
    </main>
  )
}
