// Full hands: a moment kept by one tap and told later, and notes. Nothing is written while a fish is on.

import type { StampWhat } from 'proto'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { handName } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { age, clock } from '../ui/time'
import { words } from '../words'
import { TextField } from './text_field'

const WHAT: readonly StampWhat[] = ['strike', 'raise', 'fish', 'hurt', 'gear', 'other']

export function StampsPanel({ state, now, close }: { state: ViewState; now: number; close: () => void }) {
  const store = useStore()
  const stamps = [...state.board.stamps.values()].sort((a, b) => (b.at_ms ?? 0) - (a.at_ms ?? 0))
  const stamp = stamps[0]
  const when = stamp && (clock(stamp.at_ms ?? 0, state.utc_offset_ms) || age(now - (stamp.at_ms ?? now)))
  return (
    <section class="panel">
      <header><h2>{stamp ? words.stamp.title(when ?? '') : words.stamp.none}</h2><Press label={words.button.later} of="close" place="close" act={close} /></header>
      {stamp && <>
        <p class="asks">{words.stamp.ask} {handName(state.board, stamp.by)}{stamps.length > 1 ? ` · ${words.stamp.more(stamps.length)}` : ''}</p>
        <div class="choices three">
          {WHAT.map((what) => <Press key={what} label={words.stamp.is[what]} of="choice" place={`was-${what}`} fit={1}
            act={() => store.act('stamp_told', { stamp: stamp.id, what })} />)}
        </div>
      </>}
    </section>
  )
}

export function NotePanel({ state, close }: { state: ViewState; close: () => void }) {
  const store = useStore()
  const [text, setText] = useState('')
  const save = () => {
    close()
    store.act('noted', { text: text.trim() })
  }
  return (
    <section class="panel">
      <header><h2>{words.stamp.note}</h2>
        <Press label={words.button.save} of="close" place="save" act={text.trim() ? save : undefined} />
        <Press label={words.button.close} of="close" place="close" act={close} />
      </header>
      {state.board.fights.size
        ? <p>{words.stamp.quiet}</p>
        : <TextField label={words.stamp.note} text={text} most={TEXT_BYTES.body_noted.text} change={setText} />}
    </section>
  )
}
