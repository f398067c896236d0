// Before a page may be the helm: the four digits of the helm number before the trip starts, one tap after.

import { useEffect, useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { Overboard } from '../ui/bar'
import { myCall, tripRuns } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { words } from '../words'

const DIGITS = 4
const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', words.button.back, '0', words.button.takeHelm]

export function HelmNumber({ state }: { state: ViewState }) {
  const store = useStore()
  const [digits, setDigits] = useState('')
  // A number that was refused is typed anew.
  useEffect(() => setDigits(''), [state.told])
  const asks = !tripRuns(state.board)
  const press = (key: string) => {
    if (key === words.button.back) return () => setDigits(digits.slice(0, -1))
    if (key === words.button.takeHelm) return digits.length === DIGITS ? () => store.takeHelm(digits) : undefined
    return () => setDigits((digits + key).slice(0, DIGITS))
  }
  return (
    <main class="number" data-view="number">
      <h1>{asks ? words.join.helmNumber : words.join.helm}</h1>
      <p class="told" role="status">{state.told?.words ?? ''}</p>
      {asks
        ? <>
            <output class="digits">{digits}<i aria-hidden="true">{'–'.repeat(DIGITS - digits.length)}</i></output>
            <div class="keys">{KEYS.map((key) => <Press key={key} label={key} of={key.length > 1 ? 'key word' : 'key'} place={`key-${key}`} act={press(key)} />)}</div>
          </>
        : <Press label={words.button.takeHelm} of="key take" place="take-helm" act={() => store.takeHelm()} />}
      <Overboard called={Boolean(myCall(state))} act={() => store.act('overboard', {})} of="wide" />
    </main>
  )
}
