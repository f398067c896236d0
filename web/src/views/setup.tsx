// Set-up at the helm: the light of this device, its sound and size, the phase of the trip, its spread and crew, the join codes.
// Large controls, two taps from anywhere; the place that opened it closes it.

import type { Phase } from 'proto'
import type { ViewState } from '../store'
import { phaseOf, tripRuns } from '../ui/board'
import { Hold, Press } from '../ui/button'
import { glass } from '../ui/glass'
import { usePrefs, useStore } from '../ui/hooks'
import { LIGHTS, setPrefs } from '../ui/prefs'
import { sounds } from '../ui/sounds'
import { words } from '../words'
import { END_HOLD_MS } from './helm_bar'

const PHASES: readonly Phase[] = ['dock', 'running', 'fishing', 'night', 'home']
const SIZE_STEP = 1.02

export function SetupPanel({ state, open, close }: { state: ViewState; open: (panel: 'codes' | 'spread' | 'crew') => void; close: () => void }) {
  const store = useStore()
  const { light } = usePrefs()
  const phase = phaseOf(state.board)
  const runs = tripRuns(state.board)
  const end = () => {
    close()
    store.act('trip_ended', {})
  }
  const size = (by: number) => () => setPrefs({ mm: Math.round(glass.mm() * by * 100) / 100 })
  return (
    <section class="panel setup">
      <div class="choices five">
        {LIGHTS.map((one) => <Press key={one} label={words.setup[one]} of={`choice ${light === one ? 'strong' : ''}`} place={`light-${one}`} pressed={light === one} act={() => setPrefs({ light: one })} />)}
        {runs && PHASES.map((one) => (
          <Press key={one} label={words.phase[one]} of={`choice ${phase === one ? 'strong' : ''}`} place={`phase-${one}`} pressed={phase === one}
            act={phase === one ? undefined : () => store.act('trip_phase', { phase: one })} />
        ))}
        {runs && <Hold label={words.button.endTrip} of="choice" place="end-trip" hold_ms={END_HOLD_MS} fit={1} act={end}>
          <span>{words.button.endTrip}</span><small>{words.hold}</small></Hold>}
        {runs && <Press label={words.helm.spread} of="choice" place="set-spread" act={() => open('spread')} />}
        {(runs || phase === 'ended') && <Press label={words.helm.crew} of="choice" place="set-crew" act={() => open('crew')} />}
        <Press label={words.button.joinCodes} of="choice" place="codes" act={() => open('codes')} />
        <Press label={sounds.armed() ? words.setup.armed : words.setup.notArmed} of="choice" place="sound" act={() => sounds.test()} />
        <Press label={words.setup.smaller} of="choice" place="smaller" act={size(1 / SIZE_STEP)} />
        <Press label={words.setup.larger} of="choice" place="larger" act={size(SIZE_STEP)} />
        <Press label={words.setup.another} of="choice" place="another" act={() => store.setView('none')} />
        <p class="ruler"><i />{words.setup.size}</p>
      </div>
    </section>
  )
}
