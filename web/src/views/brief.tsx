// The crew's brief and the standing orders, said aloud before lines go in: who drives, wires, gaffs and has the door; how long
// ahead after a hook-up; which lines stay out for which fish; whose turn the rod is, which one tap changes when one is skipped or two swap. First the post is tapped, then a name. Who
// heard it answers by voice, and one hand taps for all.

import type { BodyOrders, BoardOrders, OrderFish } from 'proto'
import { TEXT_BYTES } from 'proto'
import { useState } from 'preact/hooks'
import type { ViewState } from '../store'
import { handName } from '../ui/board'
import { Press } from '../ui/button'
import { useStore } from '../ui/hooks'
import { words } from '../words'
import { TextField } from './text_field'

const POSTS = ['wheel', 'wire', 'gaff', 'door'] as const
type Post = (typeof POSTS)[number]
type Asked = Post | 'rods' | 'heard' | 'next' | 'fish'

/** Ahead is kept 10 to 60 s after the first hook-up. Common practice, no source. */
const AHEAD_S = [0, 10, 15, 20, 25, 30, 40, 60]
const NAMES = 6
const FISH_MOST = 6

function asOrders(board: BoardOrders, wheel: number): BodyOrders {
  return {
    wheel: board.wheel ?? wheel, wire: board.wire ?? 0, gaff: board.gaff ?? 0, door: board.door ?? 0, keep_ahead_s: board.keep_ahead_s ?? 0,
    fish: board.fish ?? [], anglers: board.anglers ?? [], next: board.next ?? 0,
  }
}

/** A name taken into the order of the rods, or out of it again. */
function withRod(orders: BodyOrders, hand: number): BodyOrders {
  const before = orders.anglers ?? []
  const anglers = before.includes(hand) ? before.filter((one) => one !== hand) : [...before, hand]
  return { ...orders, anglers, next: anglers.includes(orders.next ?? 0) ? (orders.next ?? 0) : 0 }
}

export function BriefPanel({ state, close }: { state: ViewState; close: () => void }) {
  const store = useStore()
  const { board } = state
  const [draft, setDraft] = useState<BodyOrders | null>(null)
  const [asked, ask] = useState<Asked>('wheel')
  const [page, setPage] = useState(0)
  const orders = draft ?? asOrders(board.orders, board.duty.wheel ?? 0)
  const given = Boolean(board.orders.id) && !draft
  const heard = board.orders.heard ?? []
  const name = (hand: { id: number; name: string }) => {
    if (asked === 'heard') return store.act('orders_heard', { hand: hand.id })
    if (asked === 'next') return store.act('angler_next', { hand: hand.id })
    if (asked === 'rods') return setDraft(withRod(orders, hand.id))
    return asked === 'fish' ? undefined : setDraft({ ...orders, [asked]: orders[asked] === hand.id ? 0 : hand.id })
  }
  const give = () => {
    setDraft(null)
    ask('heard')
    store.act('orders', orders)
  }
  if (asked === 'fish') return <FishOrders state={state} fish={orders.fish ?? []} change={(fish) => setDraft({ ...orders, fish })} close={() => ask('rods')} />
  const all = [...board.hands.values()]
  const room = all.length <= NAMES ? NAMES : NAMES - 1
  const from = (page * room) % Math.max(1, all.length)
  const place = (is: Asked, label: string, sub: string, act: () => void = () => ask(is)) =>
    <Press key={is} label={`${label}: ${sub}`} of={`choice ${asked === is ? 'strong' : ''}`} place={`brief-${is}`} pressed={asked === is} act={act} fit={1}><b>{label}</b><small>{sub}</small></Press>
  const next = AHEAD_S[(AHEAD_S.indexOf(orders.keep_ahead_s ?? 0) + 1) % AHEAD_S.length] ?? 0
  return (
    <section class="panel brief">
      <div class="choices four">
        {POSTS.map((post) => place(post, words.brief[post], handName(board, orders[post]) || words.nobody))}
        {place('rods', words.brief.rods, (orders.anglers ?? []).map((hand) => handName(board, hand)).join(', ') || words.nobody)}
        <Press label={`${words.brief.ahead}: ${orders.keep_ahead_s}`} of="choice ahead" place="brief-ahead" act={() => setDraft({ ...orders, keep_ahead_s: next })} fit={1}>
          <b>{words.brief.ahead}</b><small>{words.brief.seconds(orders.keep_ahead_s ?? 0)}</small></Press>
        {place('fish', words.button.fish, words.brief.ofFish((orders.fish ?? []).length))}
        {given ? place('heard', words.brief.heard, words.brief.heardBy(heard.length, all.length))
          : <Press label={words.button.giveBrief} of="choice strong" place="brief-give" act={give} />}
        {all.slice(from, from + room).map((hand) => {
          const rod = (orders.anglers ?? []).indexOf(hand.id)
          const is = asked === 'heard' ? heard.includes(hand.id) : asked === 'rods' ? rod >= 0 : asked === 'next' ? board.orders.next === hand.id : orders[asked] === hand.id
          const label = asked === 'rods' && rod >= 0 ? words.brief.order(rod + 1, hand.name) : hand.name
          return <Press key={hand.id} label={label} of={`choice name ${is ? 'chosen' : ''}`} place={`brief-hand-${hand.id}`} pressed={is} act={() => void name(hand)} fit={1} />
        })}
        {all.length > NAMES && <Press label={words.button.more} of="choice" place="brief-more" act={() => setPage(page + 1)} />}
        {given && place('next', words.brief.next, handName(board, board.orders.next) || words.nobody)}
        <Press label={words.button.close} of="choice" place="close" act={close} />
      </div>
    </section>
  )
}

/** Which lines stay out, by fish: the fish is named once, at the dock; a tap on one that is named takes it off. */
function FishOrders({ state, fish, change, close }: { state: ViewState; fish: OrderFish[]; change: (fish: OrderFish[]) => void; close: () => void }) {
  const [name, setName] = useState('')
  const presets = [{ id: 0, name: words.brief.allIn }, ...state.board.presets.values()]
  const free = name.trim() && fish.length < FISH_MOST && !fish.some((one) => one.name === name.trim())
  const add = (preset: number) => () => {
    change([...fish, { name: name.trim(), preset }])
    setName('')
  }
  return (
    <section class="panel brief">
      <header><h2>{words.brief.fish}</h2><Press label={words.button.close} of="close" place="close" act={close} /></header>
      <div class="choices four">
        <TextField label={words.button.fish} text={name} most={TEXT_BYTES.order_fish.name} change={setName} place="fish-name" />
        {presets.slice(0, 3).map((preset) => <Press key={preset.id} label={preset.name} of="choice" place={`fish-preset-${preset.id}`} act={free ? add(preset.id) : undefined} fit={1} />)}
        {fish.map((one) => {
          const stays = presets.find((preset) => preset.id === (one.preset ?? 0))?.name ?? ''
          return <Press key={one.name} label={`${words.button.takeOff}: ${one.name}`} of="choice chosen" place={`fish-${one.name}`} act={() => change(fish.filter((other) => other !== one))} fit={1}>
            <b>{one.name}</b><small>{stays}</small></Press>
        })}
      </div>
    </section>
  )
}
