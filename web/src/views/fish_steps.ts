// Telling of a fish, by big touches: which fish, then its species, or that it is on ice; its numbers when there is time for them, by
// ten digits at the helm, and where there is room for eight large tiles only by steps up and down. One step is a question and its
// tiles; the helm's panel and the cockpit's page draw them each in their own way.

import type { DebriefFish, DebriefFishAnswer } from 'debrief'
import type { EntryId, FishFate, LengthUnit, Measure } from 'proto'
import type { Store, ViewState } from '../store'
import { fishName, speciesOf } from '../ui/fish'
import { clock } from '../ui/time'
import { words } from '../words'

type What = 'length' | 'girth' | 'weight' | 'out'

/** Where the telling stands. fish '': one of which no fight is logged. */
export type FishAt =
  | { at: 'which' }
  | { at: 'one'; fish: EntryId }
  | { at: 'species'; fish: EntryId }
  | { at: 'fate'; fish: EntryId }
  | { at: 'decided'; fish: EntryId }
  | { at: 'measure'; fish: EntryId }
  | { at: 'pad'; fish: EntryId; what: What; measure: Measure; text: string }

export interface Step {
  ask: string
  columns: 2 | 3 | 4
  /** The tiles are the keys of a pad, not choices. */
  keys?: boolean
  tiles: { key: string; label: string; told?: string; strong?: boolean; act?: (() => void) | undefined }[]
  /** What the typed number is saved by. */
  save?: { label: string; act?: (() => void) | undefined }
}

export interface FishHands {
  state: ViewState
  store: Store
  answer: DebriefFishAnswer | null
  /** How a number is given. */
  by: 'digits' | 'steps'
  go: (to: FishAt) => void
  done: () => void
}

const FATES: readonly FishFate[] = ['kept', 'released', 'discarded_dead']
const MOST_DIGITS = 6
/** What an entry has room for: micrometres, grams, seconds. */
const MOST: Record<What, number> = { length: 20_000_000, girth: 20_000_000, weight: 2_000_000, out: 86_400 }
const UM_PER_INCH = 25400
const UM_PER_CM = 10000
const G_PER_LB = 453.59237

export function fishStep(hands: FishHands, to: FishAt): Step {
  switch (to.at) {
    case 'which': return which(hands)
    case 'one': return one(hands, to.fish)
    case 'species': return species(hands, to.fish)
    case 'fate': return fate(hands, to.fish)
    case 'decided': return decided(hands, to.fish)
    case 'measure': return measures(hands, to.fish)
    case 'pad': return pad(hands, to)
  }
}

const known = ({ answer }: FishHands, id: EntryId): DebriefFish | undefined => answer?.fish.find((fish) => fish.id === id)

const nameOf = (hands: FishHands, id: EntryId) => fishName(known(hands, id) ?? { name: '' })

/** Newest first: what came aboard last is what is told of. */
function which(hands: FishHands): Step {
  const { state, answer, go } = hands
  const fish = [...(answer?.fish ?? [])].sort((a, b) => b.at_ms - a.at_ms)
  return {
    ask: words.fish.which, columns: 3,
    tiles: [
      ...fish.map((is) => ({ key: `fish-${is.id}`, label: fishName(is), told: is.fate === 'kept' ? clock(is.at_ms, state.utc_offset_ms) : words.fish.fate[is.fate], act: () => go(is.code ? { at: 'one', fish: is.id } : { at: 'species', fish: is.id }) })),
      { key: 'fish-new', label: words.fish.another, act: () => go({ at: 'species', fish: '' }) },
    ],
  }
}

function one(hands: FishHands, id: EntryId): Step {
  const { store, go, done } = hands
  const is = known(hands, id)
  const um = (value: number | undefined) => (value ? words.fish.inches(value) : '')
  const iced = is?.to_ice_ms !== undefined
  return {
    ask: words.fish.tell(nameOf(hands, id)), columns: 4,
    tiles: [
      { key: 'fish-ice', label: words.fish.onIce, told: iced ? words.callState.done : '', strong: !iced && is?.fate === 'kept', act: iced ? undefined : () => {
        store.act('fish_iced', { fish: id })
        done()
      } },
      { key: 'fish-species', label: words.fish.species, told: is?.name ?? '', act: () => go({ at: 'species', fish: id }) },
      { key: 'fish-length', label: words.fish.length, told: um(is?.length_um), act: () => go(measureStep(hands, id)) },
      { key: 'fish-girth', label: words.fish.girth, told: um(is?.girth_um), act: () => go({ at: 'pad', fish: id, what: 'girth', measure: 'none', text: '' }) },
      { key: 'fish-weight', label: words.fish.weighed, told: is?.weight_g ? words.fish.pounds(is.weight_g) : '', act: () => go({ at: 'pad', fish: id, what: 'weight', measure: 'none', text: '' }) },
      { key: 'fish-fate', label: words.fish.fateAsk, told: words.fish.fate[is?.fate ?? 'not_said'], act: () => go({ at: 'fate', fish: id }) },
      { key: 'fish-decided', label: words.fish.decided, told: hands.state.board.hands.get(is?.decided_by ?? 0)?.name ?? '', act: () => go({ at: 'decided', fish: id }) },
      { key: 'fish-out', label: words.fish.outOfWater, told: is?.out_of_water_ms ? words.fish.seconds(is.out_of_water_ms / 1000) : '', act: () => go({ at: 'pad', fish: id, what: 'out', measure: 'none', text: '' }) },
    ],
  }
}

/** A species is one touch; the numbers can wait. Of a fish without a fight, that it was kept is said with it. */
function species(hands: FishHands, id: EntryId): Step {
  const { store, answer, go } = hands
  const is = known(hands, id)
  return {
    ask: words.fish.speciesAsk, columns: 3,
    tiles: (answer?.species ?? []).map((kind) => ({
      key: `species-${kind.code}`, label: kind.name, strong: is?.code === kind.code,
      act: () => {
        const told = store.act('fish_told', id ? { fish: id, code: kind.code } : { code: kind.code, fate: 'kept' })
        go({ at: 'one', fish: id || told })
      },
    })),
  }
}

function fate(hands: FishHands, id: EntryId): Step {
  const is = known(hands, id)
  return {
    ask: hands.answer?.release_caution ?? '', columns: 3,
    tiles: FATES.map((how) => ({ key: `fate-${how}`, label: words.fish.fate[how].toUpperCase(), strong: is?.fate === how, act: () => {
      hands.store.act('fish_told', { fish: id, fate: how })
      hands.go({ at: 'one', fish: id })
    } })),
  }
}

function decided(hands: FishHands, id: EntryId): Step {
  return {
    ask: words.fish.decidedAsk, columns: 3,
    tiles: [...hands.state.board.hands.values()].map((hand) => ({ key: `decided-${hand.id}`, label: hand.name, strong: known(hands, id)?.decided_by === hand.id, act: () => {
      hands.store.act('fish_told', { fish: id, decided_by: hand.id })
      hands.go({ at: 'one', fish: id })
    } })),
  }
}

/** How the rule set asks for it; where there are two ways, such as with the head off, that is asked first. */
function measureStep(hands: FishHands, id: EntryId): FishAt {
  const ways = speciesOf(hands.answer, known(hands, id)?.code ?? '')?.measures ?? []
  return ways.length > 1 ? { at: 'measure', fish: id } : { at: 'pad', fish: id, what: 'length', measure: ways[0] ?? 'fork', text: '' }
}

function measures(hands: FishHands, id: EntryId): Step {
  const ways = speciesOf(hands.answer, known(hands, id)?.code ?? '')?.measures ?? []
  return {
    ask: words.fish.measureAsk, columns: 2,
    tiles: ways.map((measure) => ({ key: `measure-${measure}`, label: words.fish.measure[measure], act: () => hands.go({ at: 'pad', fish: id, what: 'length', measure, text: '' }) })),
  }
}

function padAsk(what: What, measure: Measure, unit: LengthUnit): string {
  const long = unit === 'inch' ? words.fish.unit.inch : words.fish.unit.cm
  switch (what) {
    case 'length': return words.fish.padLength(words.fish.measure[measure], long)
    case 'girth': return words.fish.padGirth(long)
    case 'weight': return words.fish.padWeight(unit === 'inch' ? words.fish.unit.lb : words.fish.unit.kg)
    case 'out': return words.fish.padOut
  }
}

/** Typed as it was read off: in tenths or hundredths, with a point. */
function typed(text: string): number {
  return /^\d+(\.\d{0,2})?$/.test(text) ? Number(text) : 0
}

function pad(hands: FishHands, to: Pad): Step {
  const { store, go } = hands
  const { fish, what, measure, text } = to
  const unit = speciesOf(hands.answer, known(hands, fish)?.code ?? '')?.unit ?? 'inch'
  const um = Math.round(typed(text) * (unit === 'inch' ? UM_PER_INCH : UM_PER_CM))
  const most = MOST[what] / (what === 'out' ? 1 : what === 'weight' ? (unit === 'inch' ? G_PER_LB : 1000) : unit === 'inch' ? UM_PER_INCH : UM_PER_CM)
  const hand = hands.state.me.hand
  const told = () => {
    const body = {
      length: { fish, length_um: um, measure, ...(hand ? { measured_by: hand } : {}) },
      girth: { fish, girth_um: um },
      weight: { fish, weight_g: Math.round(typed(text) * (unit === 'inch' ? G_PER_LB : 1000)), weighed: true },
      out: { fish, out_of_water_s: Math.round(typed(text)) },
    }
    store.act('fish_told', body[what])
    go({ at: 'one', fish })
  }
  return {
    ask: `${padAsk(what, measure, unit)}: ${text || '-'}`, columns: 4, keys: true,
    tiles: hands.by === 'digits' ? digitTiles(to, go) : stepTiles(to, unit, go),
    save: { label: words.button.save, act: typed(text) > 0 && typed(text) <= most ? told : undefined },
  }
}

type Pad = Extract<FishAt, { at: 'pad' }>

/** Ten digits; the point and the way back stand beside them. */
function digitTiles(to: Pad, go: FishHands['go']): Step['tiles'] {
  const { text } = to
  const put = (more: string) => () => go({ ...to, text: (text + more).slice(0, MOST_DIGITS) })
  const digit = (is: string) => ({ key: `pad-${is}`, label: is, act: put(is) })
  const point = { key: 'pad-point', label: '.', act: text.includes('.') || !text ? undefined : put('.') }
  const back = { key: 'pad-back', label: words.fish.less, act: text ? () => go({ ...to, text: text.slice(0, -1) }) : undefined }
  return [...['1', '2', '3', '4', '5'].map(digit), point, ...['6', '7', '8', '9', '0'].map(digit), back]
}

const STEPS: Record<What, readonly number[]> = { length: [20, 5, 1, 0.1], girth: [10, 5, 1, 0.1], weight: [50, 10, 1, 0.1], out: [60, 10, 5, 1] }

/** Four steps up, and the same down. */
function stepTiles(to: Pad, unit: LengthUnit, go: FishHands['go']): Step['tiles'] {
  const steps = STEPS[to.what].map((step) => (unit === 'cm' && step > 1 && (to.what === 'length' || to.what === 'girth') ? step * 2 : step))
  const now = typed(to.text)
  const by = (step: number) => ({
    key: `step-${step < 0 ? 'less' : 'more'}-${Math.abs(step)}`, label: step < 0 ? `-${-step}` : `+${step}`,
    act: now + step >= 0 ? () => go({ ...to, text: `${Math.round((now + step) * 10) / 10}` }) : undefined,
  })
  return [...steps.map((step) => by(step)), ...steps.map((step) => by(-step))]
}
