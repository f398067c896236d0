// boat - a real server and its three screens, and what must be true of them after every step: the screens hold one board, it
// is the board that the log folds to, and the log's acts are exactly the taps that were made, each once.

import assert from 'node:assert/strict'
import { mkdirSync, readFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { freePort, scratch, startServer } from '../net/server.mjs'
import { slowDisk } from '../net/slow_disk.mjs'
import { boardDigest, readLog } from './log_book.mjs'
import { HELM, NAME, openBrowser, PHONE, until } from './screen.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
export const SHOTS = resolve(HERE, '../../.build/shots')

/** What a browser says on plain http without anything being wrong: an icon nobody made, a lost link. */
const IDLE_TALK = /favicon\.ico|WebSocket connection to|net::ERR_(CONNECTION_REFUSED|CONNECTION_RESET|EMPTY_RESPONSE)/

/** What the pages log by themselves: that a call was shown on them. Counted apart from what hands have done. */
const BY_ITSELF = ['shown']

/** A server, started again as often as it is killed: on the same data and the same port. One that `stalls` has a disk that can
 * be made to; one with a `spare` copies its log into a second folder. */
export class Machine {
  static async start(stalls, spare) {
    const machine = new Machine()
    machine.spare = spare ? scratch() : ''
    machine.disk = slowDisk()
    machine.env = stalls ? machine.disk.env : {}
    machine.data = scratch()
    machine.port = await freePort()
    await machine.restart()
    return machine
  }

  async restart() {
    this.server = await startServer({ data: this.data, port: this.port, args: ['--name', NAME, ...(this.spare ? ['--spare', this.spare] : [])], env: this.env })
  }

  get address() {
    return `http://${NAME}:${this.port}`
  }

  /** As if the disk hung: nothing more is written until it goes on. */
  stallDisk() {
    this.disk.stall()
  }

  /** As slow_disk.mjs says it: "sync", "full" or "read". */
  failDisk(how) {
    this.disk.fail(how)
  }

  diskGoesOn() {
    this.disk.go()
  }

  /** SIGKILL: no good-bye, nothing more is written. */
  kill() {
    return this.server.kill()
  }
}

const SCHEMA = join(HERE, '../../shared-proto/schema')
const KINDS = JSON.parse(readFileSync(join(SCHEMA, 'entries.json'), 'utf8')).$defs
const TYPES = JSON.parse(readFileSync(join(SCHEMA, 'types.json'), 'utf8')).$defs

/** A body as the log writes it: what has its zero value is left out, unless its kind asks for it. */
function said(kind, body) {
  const { properties = {}, required = [] } = KINDS[kind]
  const isZero = ([name, value]) => {
    const words = TYPES[properties[name].$ref?.split('/').pop()]?.enum
    return !required.includes(name) && (words ? value === words[0] : !value || value.length === 0)
  }
  return Object.fromEntries(Object.entries(body).filter((member) => !isZero(member)))
}

export class Boat {
  /**
   * `story` names the pictures. A browser that is given stays open after the boat. `kept`: what the devices know from before,
   * by screen. `ledger`: is told what each act took of touches (touches.mjs).
   */
  static async launch(story, { stalls = true, spare = false, browser, kept = {}, ledger } = {}) {
    const boat = new Boat()
    boat.story = story
    boat.ledger = ledger
    boat.machine = await Machine.start(stalls, spare)
    boat.own = browser ? null : await openBrowser()
    const opened = browser ?? boat.own
    boat.helm = await opened.screen('helm', HELM, kept.helm)
    boat.station = await opened.screen('station', PHONE, kept.station)
    boat.phone = await opened.screen('phone', PHONE, kept.phone)
    boat.screens = [boat.helm, boat.station, boat.phone]
    /** The taps that the log must hold, in order: { screen, id, kind, body, and what else must stand in the entry }. */
    boat.taps = []
    boat.pictures = 0
    mkdirSync(SHOTS, { recursive: true })
    return boat
  }

  async close() {
    for (const screen of this.screens) await screen.context.close()
    await this.own?.close()
    this.machine.diskGoesOn()
    return this.machine.server.stop()
  }

  // ---- acts ----

  /**
   * Something done on a screen that makes one tap: of this kind, with at least this in its body. It must become SAVED there,
   * or what `becomes` says. `also`: the kinds and bodies of others that the same act makes. `ashore`: not done at sea, so that
   * its touches may be many. Resolves to the first one's identity.
   */
  async tap(screen, kind, body, act, { becomes = 'saved', also = [], ashore = false, ...more } = {}) {
    const meant = [[kind, body], ...also]
    const made = await screen.tapsOf(act, meant.length)
    this.ledger?.note({ flow: this.story, screen: screen.name, act: kind, touches: screen.touchesTaken(), ashore })
    for (const [i, tap] of made.entries()) {
      assert.equal(tap.kind, meant[i][0], `${screen.name} taps ${JSON.stringify(tap)}`)
      for (const [name, value] of Object.entries(meant[i][1])) assert.deepEqual(tap.body[name], value, `${name} in ${JSON.stringify(tap.body)}`)
    }
    for (const tap of made) await screen.becomes(tap.id, becomes)
    this.taps.push(...made.map((tap) => ({ id: tap.id, kind: tap.kind, body: tap.body, ...more })))
    return made[0].id
  }

  /** The same, where one short touch does it. */
  press(screen, place, words, kind, body, more) {
    return this.tap(screen, kind, body, () => screen.press(place, words), more)
  }

  /** The same, where a finger has to stay until the tap is made. */
  async hold(screen, place, words, kind, body, more) {
    const ids = async () => (await screen.state()).taps.map((tap) => tap.id)
    const before = await ids()
    const tapped = async () => (await ids()).some((id) => !before.includes(id))
    return this.tap(screen, kind, body, () => screen.hold(place, tapped, words), more)
  }

  // ---- what must be true ----

  /** Waits until all that was tapped is everywhere and on the disk, and holds the screens against the log. */
  async agree(screens = this.screens) {
    let log
    await until('one board on all screens and in the log', async () => {
      const states = await Promise.all(screens.map((screen) => screen.state()))
      for (const [i, state] of states.entries()) {
        if (state.link !== 'ok' || !state.known) return new Error(`${screens[i].name} has no board: ${state.link}`)
        if (state.waiting || state.unsaved) return new Error(`${screens[i].name}: ${state.waiting} taps wait, ${state.unsaved} entries are not saved`)
        if (state.rev !== states[0].rev) return new Error(`${screens[i].name} is at ${state.rev}, ${screens[0].name} at ${states[0].rev}`)
      }
      log = await readLog(this.machine.data)
      for (const [i, state] of states.entries()) {
        const digest = boardDigest(state.parts)
        if (digest !== log.digest) return new Error(`${screens[i].name} holds ${digest}, the log folds to ${log.digest}:\n${JSON.stringify(state.parts)}\n${log.shown}`)
      }
      return true
    })
    for (const screen of screens) {
      assert.equal((await screen.state()).mismatches, 0, `${screen.name} once held another board than the server`)
      assert.deepEqual(screen.errors.filter((text) => !IDLE_TALK.test(text)), [], `${screen.name} complained`)
    }
    this.checkTaps(log.entries)
    return log
  }

  log() {
    return readLog(this.machine.data)
  }

  /** The log's acts are the taps that were made: these, in this order, each once, with nothing between them. */
  checkTaps(entries) {
    const acts = entries.filter((entry) => entry.from !== 'server' && !BY_ITSELF.includes(entry.kind))
    assert.deepEqual(acts.map((entry) => `${entry.kind} ${entry.id}`), this.taps.map((tap) => `${tap.kind} ${tap.id}`))
    for (const [i, { id, body, ...more }] of this.taps.entries()) {
      assert.deepEqual(acts[i].body, said(acts[i].kind, body), `the body of ${id}`)
      for (const [name, value] of Object.entries(more)) assert.deepEqual(acts[i][name], value, `${name} of ${id}`)
    }
    assert.equal(new Set(entries.map((entry) => entry.id)).size, entries.length, 'an identity stands in the log twice')
    assert.deepEqual(entries.map((entry) => entry.seq), entries.map((_, i) => i + 1), 'the rows are numbered without holes')
  }

  /** Taps that came late stand in the log where they came in: waits until all are there, and expects them in that order. */
  async orderAsLogged() {
    await until('all taps in the log', async () => {
      const { entries } = await readLog(this.machine.data)
      const order = (id) => entries.findIndex((entry) => entry.id === id)
      this.taps.sort((a, b) => order(a.id) - order(b.id))
      return this.taps.every((tap) => order(tap.id) >= 0)
    })
  }

  /** Waits until each screen's board has it. */
  async everywhere(what, look, screens = this.screens) {
    for (const screen of screens) await until(`${what} on the board of ${screen.name}`, async () => look((await screen.state()).parts))
  }

  async picture(what, screens = this.screens) {
    const number = String(++this.pictures).padStart(2, '0')
    for (const screen of screens.filter((one) => one.page && !one.page.isClosed())) await screen.picture(join(SHOTS, `${this.story}-${number}-${what}-${screen.name}.png`))
  }
}

/**
 * A story of steps under one test: each is a test of its own, and after the first that fails the others are skipped. Failed or
 * not, each leaves a picture of the three screens.
 */
export function story(t, boat) {
  let broken = false
  return (name, does) => t.test(name, { skip: broken && 'a step before it failed' }, async () => {
    const picture = name.toLowerCase().replace(/[^a-z0-9]+/g, '-').slice(0, 40)
    const began = Date.now()
    try {
      await does(boat)
    } catch (error) {
      broken = true
      await boat.picture(`${picture}-FAILED`).catch(() => undefined)
      throw error
    }
    await boat.picture(picture)
    console.log(`${name}: ${boat.taps.length} taps so far, ${Date.now() - began} ms`)
  })
}
