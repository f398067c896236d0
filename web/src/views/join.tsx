// The first page: stay on this Wi-Fi, who are you, which screen is this. Without a key it shows only OVERBOARD and how to join.

import type { View } from 'proto'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { ownNews } from '../ui/band'
import { Overboard } from '../ui/bar'
import { myCall } from '../ui/board'
import { Hold, Press } from '../ui/button'
import { useBoard, useStore } from '../ui/hooks'
import { isHelmNumber, rememberKey, typedKey } from '../ui/join_key'
import { linkWords } from '../ui/say'
import { FALSE_ALARM_HOLD_MS } from '../ui/touch'
import { words } from '../words'
import { cutToBytes } from './text_field'

const SCREENS: readonly Exclude<View, 'none' | 'guest'>[] = ['helm', 'station', 'phone', 'debrief']

export function Join({ choose }: { choose: (view: View) => void }) {
  const state = useBoard()
  const store = useStore()
  const mine = myCall(state)
  // What is typed is kept here: a key that was refused stands there again, a name goes with the screen that is chosen after it.
  const [key, setKey] = useState('')
  const [number, setNumber] = useState(false)
  const [name, setName] = useState('')
  const typed = (text: string) => {
    setNumber(false)
    setKey(text)
  }
  const join = () => {
    setNumber(isHelmNumber(key))
    if (isHelmNumber(key)) return
    rememberKey(typedKey(key))
    store.join(typedKey(key))
  }
  const add = () => {
    store.act('hand_added', { name: name.trim(), station: 'cockpit' })
    setName('')
  }
  const chosen = (view: View) => {
    if (name.trim()) add()
    choose(view)
  }
  return (
    <main class="join" data-view="join">
      <header><h1>{words.join.stay}</h1><p>{words.join.even}</p></header>
      <p class="told" role="status">{(number ? words.join.isHelmNumber : undefined) ?? state.no?.words ?? ownNews(state, store.now())?.text ?? linkWords(state)}</p>
      <div class="ask">
        {state.me.keyless ? <Keyless text={key} change={typed} join={join} /> : <><WhoAreYou state={state} name={name} change={setName} add={add} /><Screens choose={chosen} /></>}
        <ul class="cautions">{words.join.cautions.map((caution) => <li key={caution}>{caution}</li>)}</ul>
      </div>
      <footer>
        <p>{words.overboard.shout} {words.overboard.twice}.</p>
        <Overboard called={Boolean(mine)} act={() => store.act('overboard', {})} of="wide" />
        {mine && <Hold label={words.button.falseAlarm} of="place false-alarm" place="false-alarm" hold_ms={FALSE_ALARM_HOLD_MS}
          act={() => store.act('overboard_withdrawn', { call: mine })}><span class="label">{words.button.falseAlarm}</span><small>{words.hold}</small></Hold>}
      </footer>
    </main>
  )
}

function Keyless({ text, change, join }: { text: string; change: (text: string) => void; join: () => void }) {
  return (
    <section>
      <h2>{words.join.scan}</h2>
      <label><span>{words.join.typeKey}</span>
        <input class="field" value={text} autocomplete="off" autocapitalize="characters" spellcheck={false} maxLength={64} onInput={(event) => change(event.currentTarget.value)} />
      </label>
      <Press label={words.button.join} of="choice" place="join" act={typedKey(text) ? join : undefined} />
    </section>
  )
}

/** The names on the board are the largest; a new one is one field. Before a trip there is nobody to be yet. */
function WhoAreYou({ state, name, change, add }: { state: ViewState; name: string; change: (name: string) => void; add: () => void }) {
  const store = useStore()
  const hands = [...state.board.hands.values()]
  return (
    <section>
      <h2>{words.join.who}</h2>
      <div class="names">
        {hands.map((hand) => (
          <Press key={hand.id} label={hand.name} of={`name ${hand.id === state.me.hand ? 'strong' : ''}`} place={`hand-${hand.id}`} pressed={hand.id === state.me.hand}
            act={() => store.act('page_hand', { hand: hand.id })} />
        ))}
      </div>
      <label class="new"><span>{words.join.newName}</span>
        <input class="field" value={name} autocomplete="off" onInput={(event) => change(cutToBytes(event.currentTarget.value, TEXT_BYTES.body_hand_added.name))} />
        <Press label={words.button.join} of="choice" place="new-name" act={name.trim() ? add : undefined} />
      </label>
    </section>
  )
}

function Screens({ choose }: { choose: (view: View) => void }) {
  return (
    <section>
      <h2>{words.join.screen}</h2>
      <div class="screens">
        {SCREENS.map((view) => <Press key={view} label={words.join[view]} of="choice" place={`screen-${view}`} act={() => choose(view)} />)}
      </div>
    </section>
  )
}
