// Before a trip: who counts for the limits, what the trip is to the rules of fishing, and by which rule set its fish will be counted.

import type { DebriefFishAnswer } from 'debrief'
import { TRIP_USE_VALUES, type TripUse } from 'proto'
import { Press } from '../ui/button'
import { words } from '../words'
import { RulesLine } from './box'
import type { TripDraft } from './start'

const MOST = 500

export function AboardSetup({ draft, answer }: { draft: TripDraft; answer: DebriefFishAnswer | null }) {
  const { persons = 0, paying = 0, use = 'not_said' } = draft.body()
  const set = (persons: number, paying: number) => draft.edit({ persons, paying: persons ? Math.min(paying, persons) : paying })
  return (
    <div class="aboard">
      <p class="rules-line">{words.fish.aboardAsk}</p>
      <div class="choices six">
        <Press label="-" of="choice large" place="persons-fewer" act={persons > 0 ? () => set(persons - 1, paying) : undefined} />
        <p class="amount">{persons ? words.fish.aboardAll(persons) : words.fish.aboardNotSaid}</p>
        <Press label="+" of="choice large" place="persons-more" act={persons < MOST ? () => set(persons + 1, paying) : undefined} />
        <Press label="-" of="choice large" place="paying-fewer" act={paying > 0 ? () => set(persons, paying - 1) : undefined} />
        <p class="amount">{words.fish.aboardPaying(paying)}</p>
        <Press label="+" of="choice large" place="paying-more" act={paying < (persons || MOST) ? () => set(persons, paying + 1) : undefined} />
      </div>
      <div class="choices four">
        {TRIP_USE_VALUES.map((one: TripUse) => <Press key={one} label={words.fish.useButton[one]} of={`choice ${use === one ? 'strong' : ''}`} place={`use-${one}`} pressed={use === one} act={() => draft.edit({ use: one })} fit={1} />)}
      </div>
      <RulesLine head={answer?.next_rule_set} />
    </div>
  )
}
