// The crew, at the dock: a name, where the hand works, whether it has a phone or answers by voice.

import type { CrewHand, Station } from 'proto'
import { TEXT_BYTES } from 'proto'
import { Press } from '../ui/button'
import { words } from '../words'
import { ItemBar, after, freeId, useItems } from './setup_items'
import type { TripDraft } from './start'
import { TextField } from './text_field'

export const STATIONS: readonly Station[] = ['helm', 'port', 'starboard', 'centre', 'bridge', 'cockpit', 'below']
export const HANDS_MOST = 12

export function CrewSetup({ draft }: { draft: TripDraft }) {
  const { crew } = draft.body()
  const { at, one, step, goTo } = useItems(crew)
  const id = freeId(crew, HANDS_MOST)
  const put = (change: Partial<CrewHand>) => draft.edit({ crew: crew.map((hand) => (hand === one ? { ...hand, ...change } : hand)) })
  const add = () => {
    draft.edit({ crew: [...crew, { id, name: words.setup.newHand(id), station: crew.length ? 'cockpit' : 'helm' }] })
    goTo(crew.length)
  }
  return (
    <>
      <ItemBar of={crew.length} at={at} step={step} add={id ? add : undefined} off={one && (() => draft.edit({ crew: crew.filter((hand) => hand !== one) }))}>
        {one && <>
          <div class="wide"><TextField label={words.setup.name} text={one.name} most={TEXT_BYTES.crew_hand.name} change={(name) => put({ name })} place="hand-name" /></div>
          <Press label={words.station[one.station].toUpperCase()} of="choice" place="hand-station" act={() => put({ station: after(STATIONS, one.station) })} fit={1} />
          <Press label={one.voice ? words.setup.voiceOnly : words.setup.hasPhone} of="choice" place="hand-voice" act={() => put({ voice: !one.voice })} fit={1} />
        </>}
      </ItemBar>
      <p class="asks listing">{crew.map((hand) => hand.name).join(', ') || words.nobody}</p>
    </>
  )
}
