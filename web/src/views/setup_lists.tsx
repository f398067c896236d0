// The presets of a clearing and the checklists, at the dock: which places a preset leaves out, and which items this boat has.

import type { CheckList, ListItem, Preset } from 'proto'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import { firstTrip } from '../defaults'
import { Press } from '../ui/button'
import { words } from '../words'
import { ItemBar, after, freeId, useItems } from './setup_items'
import type { TripDraft } from './start'
import { TextField } from './text_field'

const PRESETS_MOST = 6
const KEPT_MOST = 8

export function PresetSetup({ draft }: { draft: TripDraft }) {
  const { presets = [], spread } = draft.body()
  const { at, one, step, goTo } = useItems(presets)
  const [place, setPlace] = useState(0)
  const line = spread[place % Math.max(1, spread.length)]
  const id = freeId(presets, PRESETS_MOST)
  const put = (change: Partial<Preset>) => draft.edit({ presets: presets.map((preset) => (preset === one ? { ...preset, ...change } : preset)) })
  const kept = Boolean(line && one?.kept.includes(line.id))
  const keep = line && one && (kept || one.kept.length < KEPT_MOST)
    ? () => put({ kept: kept ? one.kept.filter((is) => is !== line.id) : [...one.kept, line.id] }) : undefined
  const add = () => {
    const made: Preset = { id, name: words.setup.newPreset(id), kept: [] }
    const more = [...presets, made].sort((a, b) => a.id - b.id)
    draft.edit({ presets: more })
    goTo(more.indexOf(made))
  }
  return (
    <>
      <ItemBar of={presets.length} at={at} step={step} add={id ? add : undefined} off={one && (() => draft.edit({ presets: presets.filter((preset) => preset !== one) }))}>
        {one && <>
          <div class="wide"><TextField label={words.setup.name} text={one.name} most={TEXT_BYTES.preset.name} change={(name) => put({ name })} place="preset-name" /></div>
          <Press label={line?.name ?? words.dock.noLine} of="choice" place="preset-line" act={() => setPlace(place + 1)} fit={1} />
          <Press label={kept ? words.setup.staysOut : words.setup.comesIn} of={`choice ${kept ? 'chosen' : ''}`} place="preset-keep" act={keep} fit={1} />
        </>}
      </ItemBar>
      <p class="asks listing">{one && words.setup.keptOut(one.kept.map((is) => spread.find((has) => has.id === is)?.name ?? '').filter(Boolean).join(', '))}</p>
    </>
  )
}

/** An item that this boat does not have is left out; what a new boat starts with can be taken in again. */
export function ListSetup({ draft }: { draft: TripDraft }) {
  const { lists = [] } = draft.body()
  const { at, one, step } = useItems(lists)
  const [asked, ask] = useState(0)
  if (!one) return null
  const first = firstTrip('', 1, []).lists?.find((list) => list.id === one.id)?.items ?? []
  const all: ListItem[] = [...first, ...(one.items ?? []).filter((item) => !first.some((known) => known.ask === item.ask))]
  const item = all[asked % all.length]
  const aboard = (one.items ?? []).some((has) => has.ask === item?.ask)
  const put = (change: Partial<CheckList>) => draft.edit({ lists: lists.map((list) => (list === one ? { ...list, ...change } : list)) })
  const turn = () => put({ items: all.filter((has) => (has === item ? !aboard : one.items?.some((is) => is.ask === has.ask))) })
  return (
    <>
      <ItemBar of={lists.length} at={at} step={step}>
        <p class="amount">{one.name}</p>
        <Press label={item?.ask ?? ''} of="choice wide" place="list-item" act={() => ask(all.indexOf(item ?? after(all, all[0] as ListItem)) + 1)} fit={1}>
          <b>{item?.ask}</b><small>{item?.state}</small></Press>
        <Press label={aboard ? words.setup.aboard : words.button.notHere} of={`choice ${aboard ? 'chosen' : ''}`} place="list-aboard" act={turn} fit={1} />
      </ItemBar>
      <p class="asks listing">{words.setup.itemsAboard((one.items ?? []).length, all.length)}</p>
    </>
  )
}
