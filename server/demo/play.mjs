// play - plays a story of the demo on a running board: several pages at once, each with its own connection and its own taps.
//
//   const player = await Player.join({ port, address, key, number, speed, say })
//   await player.clear_up()                 // the trip that runs is ended, and what stands is taken down
//   const acts = await player.play()        // what was tapped: { step, kind, answer, as_wanted }
//   await player.saved()                    // resolves when all that was tapped is on the disk
//   player.leave()
//
// Each tap is waited for. A no is told in the board's own words and the story goes on: somebody who has joined may have done
// something else meanwhile, and is meant to.

import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { loadModel } from '../../shared-proto/generator/load.mjs'
import { Page } from './page.mjs'
import { readStory } from './story.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
const PROTO = join(HERE, '../../shared-proto')

/** Between two lines of the story, at speed 1: with these the whole of it takes about two minutes. */
const PAUSE_MS = { scene: 1100, told: 800 }
const INDENT = ' '.repeat(6)

const readJson = (path) => JSON.parse(readFileSync(path, 'utf8'))

/** The boat's file, with the starter lists and clearings put into its trip. The first trip begins without those who come late. */
function readBoat() {
  const boat = readJson(join(HERE, 'boat.json'))
  const { lists } = readJson(join(PROTO, 'defaults/lists.json'))
  const { presets } = readJson(join(PROTO, 'defaults/presets.json'))
  const trip = { ...boat.trip, lists, presets }
  const crew = trip.crew.filter((hand) => !boat.late.includes(hand.name))
  return { ...boat, trip, bodies: { ...boat.bodies, first_trip: { ...trip, crew }, next_trip: trip } }
}

/** What the story may call by its name: hands, places by day and by night, lists, presets. */
function numbersOf({ trip, bodies }) {
  const places = Object.values(bodies).flatMap((body) => body.place ?? [])
  const all = [...trip.crew, ...trip.spread, ...places, ...trip.lists, ...trip.presets]
  return new Map(all.map(({ name, id }) => [name, id]))
}

/** How the protocol is spoken: its build id, the kinds by name, and each kind's fields by name. */
function readProtocol() {
  const { proto, kinds, structs } = loadModel(join(PROTO, 'schema'), join(PROTO, 'refusals.json'))
  const fields = new Map(structs.map((struct) => [struct.name, new Map(struct.fields.map((field) => [field.name, field]))]))
  return { proto, kinds: new Map(kinds.map((kind) => [kind.name, { ...kind, fields: fields.get(kind.struct) }])) }
}

function as_wanted({ is, code, moot = false }, answer) {
  return answer.is === is && answer.code === code && (answer.moot ?? false) === moot
}

export class Player {
  static async join({ port, address, key, number, speed = 1, say = () => {} }) {
    const player = new Player(readFileSync(join(HERE, 'story.txt'), 'utf8'), { number, speed, say })
    for (const [name, { view, hand }] of Object.entries(player.boat.pages)) {
      const { proto } = player.protocol
      player.pages.set(name, await Page.open({ port, address, proto, view, hand: player.numbers.get(hand), key }))
    }
    return player
  }

  constructor(story, { number, speed, say }) {
    this.steps = readStory(story)
    this.boat = readBoat()
    this.protocol = readProtocol()
    this.numbers = numbersOf(this.boat)
    this.number = number
    this.speed = speed
    this.say = say
    this.pages = new Map()
    this.labels = new Map()
    this.steps.forEach((step) => this.check(step))
  }

  /** A story that names a page, a kind, a body or a field that is none is found before it begins. */
  check({ line, page, kind, from, fields = {} }) {
    const known = this.protocol.kinds.get(kind)
    if (page !== undefined && !(page in this.boat.pages)) throw new Error(`line ${line}: there is no page "${page}"`)
    if (kind !== undefined && !known) throw new Error(`line ${line}: there is no entry "${kind}"`)
    if (from !== undefined && !(from in this.boat.bodies)) throw new Error(`line ${line}: the boat's file has no "${from}"`)
    const odd = Object.keys(fields).find((name) => !known.fields.has(name))
    if (odd) throw new Error(`line ${line}: ${kind} has no "${odd}"`)
  }

  async play() {
    const acts = []
    this.labels.clear()
    for (const step of this.steps) {
      if (step.is === 'tap') acts.push(await this.act(step))
      else await this.step(step)
    }
    return acts
  }

  async step(step) {
    switch (step.is) {
      case 'scene':
        this.say(`\n${step.words}\n`)
        return this.pause(PAUSE_MS.scene)
      case 'told':
        await this.pause(PAUSE_MS.told)
        return this.say(`${step.at} ${step.words}`)
      case 'rest':
        return this.pause(step.s * 1000)
      case 'helm':
        return this.answered(await this.pages.get(step.page).takeHelm(this.number))
      case 'sleeps':
      case 'wakes':
        return this.pages.get(step.page).shows(step.is === 'wakes')
    }
  }

  async act(step) {
    const { kind, label, ago } = step
    const acted_ms = ago ? this.labels.get(ago.label).acted_ms : performance.now()
    const { id, answer } = await this.tap(step.page, kind, this.body(step), {
      by: this.meant(step.by), acted_ms, instead_of: this.meant(step.instead_of),
    })
    if (label) this.labels.set(label, { id, acted_ms })
    this.answered(answer.is === 'seen' ? answer.moot && 'It no longer applies.' : answer.words)
    return { step, kind, answer, as_wanted: as_wanted(step.wants, answer) }
  }

  tap(page, kind, body, options = {}) {
    const { v, lane } = this.protocol.kinds.get(kind)
    return this.pages.get(page).tap(kind, body, { ...options, v, lane })
  }

  answered(words) {
    if (words) this.say(`${INDENT}the board: ${words}`)
  }

  body({ kind, from, fields }) {
    const body = { ...this.boat.bodies[from] }
    const { fields: known } = this.protocol.kinds.get(kind)
    for (const [name, value] of Object.entries(fields)) body[name] = this.meant(value, known.get(name).type.form === 'int')
    if (kind === 'trip_started') body.no = (this.pages.get('helm').part('trip')?.no ?? 0) + 1
    return body
  }

  /** A value of the story as the wire has it: labels become identities, and names numbers where a number is asked for. */
  meant(value, number = true) {
    if (Array.isArray(value)) return value.map((item) => this.meant(item, number))
    if (value?.label !== undefined) return this.labels.get(value.label).id
    return number && typeof value === 'string' ? this.numbers.get(value) : value
  }

  /** Whatever stands on the board from before would refuse the story its trip. */
  async clear_up() {
    const helm = this.pages.get('helm')
    this.answered(await helm.takeHelm(this.number))
    const { overboard, stop, trip } = Object.fromEntries(['overboard', 'stop', 'trip'].map((name) => [name, helm.part(name) ?? {}]))
    const hurts = [...helm.parts].filter(([name, hurt]) => name.startsWith('hurts/') && !hurt.over).map(([, hurt]) => hurt)
    if (overboard.id) await this.tap('helm', 'overboard_ended', { call: overboard.id, how: 'false_alarm' })
    if (stop.id) await this.tap('helm', 'stop_over', { stop: stop.id })
    for (const { id } of hurts) await this.tap('helm', 'hurt_over', { hurt: id })
    if (trip.id && trip.phase !== 'ended') await this.tap('helm', 'trip_ended', {})
  }

  async saved() {
    for (const page of this.pages.values()) await page.until(() => page.saved >= page.tapped)
  }

  leave() {
    for (const page of this.pages.values()) page.close()
  }

  pause(ms) {
    const real_ms = ms / this.speed
    return real_ms < 1 ? undefined : new Promise((done) => setTimeout(done, real_ms))
  }
}
