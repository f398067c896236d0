// screen - one device of the crew: a page in a browser of its own, touched as a finger touches it and read as an eye reads it.
//
//   const crew = await openBrowser()
//   const helm = await crew.screen('helm', HELM)
//   await helm.open('http://board.test:8470/')
//   await helm.press('a'); await helm.hold('overboard', () => ...)
//   await helm.band(/ALL CLEAR/)
//
// Pages are reached by a plain name over plain http, as on a boat: `localhost` would be a secure context and hide what is
// missing there. Waiting is for conditions alone; each has a time by which it must have come.
//
// Each touch is counted until somebody asks how many there were: what an act takes is a promise of the board.
//
// Two things are read that no eye sees. The page's own board: the store that the page is drawn from hangs on its root element
// as Preact keeps it there (`__k`: the name is the same in every build of Preact 10). And the tones that the page has started,
// counted by a wrapper around the browser's oscillators.

import { chromium } from 'playwright-core'

export const NAME = 'board.test'
export const HELM = { viewport: { width: 1280, height: 800 }, hasTouch: true, isMobile: false }
export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true }

const LOOK_MS = 25
const SOON_MS = 20000
/** A button takes no touch for 0.5 s after its words have changed (the guard against a button that changes under the finger); this is surely after. */
const GUARD_MS = 550

const ARGS = [
  `--host-resolver-rules=MAP ${NAME} 127.0.0.1`, '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync',
]

/** Resolves to what `look` finds, asked again until it finds something true; throws with `what` and the last that was found. */
export async function until(what, look, within_ms = SOON_MS) {
  const end = Date.now() + within_ms
  for (;;) {
    const found = await look()
    if (found && !(found instanceof Error)) return found
    if (Date.now() > end) {
      const why = found instanceof Error ? `: ${found.message}` : ''
      throw new Error(`${typeof what === 'function' ? await what() : what} did not come within ${within_ms} ms${why}`)
    }
    await new Promise((done) => setTimeout(done, LOOK_MS))
  }
}

/** Runs in the page before anything of it does: notes when the words of each button changed, and each tone that is started. */
function watchPage() {
  const changed = new WeakMap()
  const note = (node) => {
    const element = node instanceof Element ? node : node.parentElement
    const button = element?.closest('[data-place]')
    if (button) changed.set(button, performance.now())
    else element?.querySelectorAll('[data-place]').forEach((inside) => changed.set(inside, performance.now()))
  }
  new MutationObserver((records) => {
    for (const { type, target, addedNodes } of records) {
      if (type === 'characterData' || target.closest?.('[data-place]')) note(target)
      else addedNodes.forEach(note)
    }
  }).observe(document, { subtree: true, childList: true, characterData: true })
  const tones = []
  const start = AudioScheduledSourceNode.prototype.start
  const oscillate = OscillatorNode.prototype.start
  OscillatorNode.prototype.start = function (...when) {
    if (this.context.state === 'running') tones.push({ hz: this.frequency.value, at_ms: Date.now() })
    return (oscillate ?? start).apply(this, when)
  }
  window.watched = { changed, tones }
}

/** Runs in the page before anything of it does: what an earlier page on this device has left in its storage. */
function keepValues(kept) {
  if (location.protocol !== 'http:') return
  for (const [name, text] of Object.entries(kept)) if (localStorage.getItem(name) === null) localStorage.setItem(name, text)
}

/** Runs in the page: how a button stands, and whether a finger at its middle would touch it. */
function buttonNow(place) {
  const found = [...document.querySelectorAll(`[data-place="${CSS.escape(place)}"]`)]
  if (found.length !== 1) return { count: found.length }
  const [element] = found
  const box = element.getBoundingClientRect()
  const x = box.left + box.width / 2
  const y = box.top + box.height / 2
  const words = []
  for (const walk = document.createTreeWalker(element, NodeFilter.SHOW_TEXT); walk.nextNode();) words.push(walk.currentNode.data.trim())
  return {
    count: 1, x, y, label: words.filter(Boolean).join(' '), dead: element.getAttribute('aria-disabled') === 'true',
    still_ms: performance.now() - (window.watched.changed.get(element) ?? 0),
    onTop: element.contains(document.elementFromPoint(x, y)),
  }
}

/** Runs in the page: the board that it holds, part by part, and what it says of its link and its taps. */
function storeNow() {
  const store = document.getElementById('app')?.__k?.__k?.[0]?.props?.store
  if (!store) return null
  const state = store.state()
  const parts = {}
  for (const [name, value] of Object.entries(state.board)) {
    if (value instanceof Map) for (const [key, item] of value) parts[`${name}/${key}`] = item
    else parts[name] = value
  }
  const { rev, known, waiting, unsaved, mismatches, taps, rings, me, disk, spare, storage, release } = state
  return { rev, known, waiting, unsaved, mismatches, taps, rings, disk, spare, storage, release, page: me.page, view: me.view, source: me.source, link: state.link.state, parts }
}

/** Runs in the page: a tap that no touch makes here, such as one of a page that knows better. */
function actNow([kind, body, options]) {
  return document.getElementById('app').__k.__k[0].props.store.act(kind, body, options)
}

/** Runs in the page: does something with the rows in the device's storage (`put`: writes these first), and resolves to all of them. */
function rowsNow(put) {
  return new Promise((done, fail) => {
    const asked = indexedDB.open('sternboard')
    asked.onerror = () => fail(asked.error)
    asked.onsuccess = () => {
      const db = asked.result
      if (!db.objectStoreNames.contains('rows')) return done([])
      const store = db.transaction('rows', 'readwrite').objectStore('rows')
      for (const row of put) store.put(row)
      store.getAll().onsuccess = (event) => {
        db.close()
        done(event.target.result)
      }
    }
  })
}

export class Screen {
  constructor(name, context) {
    this.name = name
    this.context = context
    this.errors = []
    this.touches = 0
  }

  /** Opens the address, on the same device: its storage is what an earlier page of it left. */
  async open(address) {
    this.page = await this.context.newPage()
    this.page.on('pageerror', (error) => this.errors.push(String(error)))
    this.page.on('console', (message) => message.type() === 'error' && this.errors.push(`${message.text()} (${message.location().url})`))
    this.glass = await this.context.newCDPSession(this.page)
    await this.page.goto(address)
    // A page of another release loads itself anew, in the middle of a question.
    await until(`${this.name}: a page`, () => this.state().catch(() => undefined))
  }

  /** The device is switched off: nothing of the page runs any more. */
  async off() {
    await this.page.close({ runBeforeUnload: false })
  }

  /** Another page on the same device. */
  tab(name) {
    return new Screen(name, this.context)
  }

  /** The same page once more: with what waits, if the page asks. */
  async reload() {
    this.page.once('dialog', (dialog) => dialog.accept())
    await this.page.reload()
    // A page of another release loads itself anew, in the middle of a question.
    await until(`${this.name}: a page`, () => this.state().catch(() => undefined))
  }

  state() {
    return this.page.evaluate(storeNow)
  }

  act(kind, body, options = {}) {
    return this.page.evaluate(actNow, [kind, body, options])
  }

  /** The waiting taps as they lie in the device's storage; `put` are written first. */
  rows(put = []) {
    return this.page.evaluate(rowsNow, put)
  }

  tones() {
    return this.page.evaluate(() => window.watched.tones)
  }

  /** A first touch, where nothing is: from then on the page may sound. */
  async armed() {
    const { x, y, width, height } = await this.page.locator('.band .say').boundingBox()
    await this.page.touchscreen.tap(x + width / 2, y + height / 2)
  }

  /** How many touches there were since this was asked last. */
  touchesTaken() {
    const taken = this.touches
    this.touches = 0
    return taken
  }

  async text(selector) {
    const found = await this.page.locator(selector).allInnerTexts()
    return found.join(' ').replace(/\s+/g, ' ').trim()
  }

  /** Waits until the words at the place are so. */
  reads(selector, words, within_ms) {
    let last = ''
    return until(() => `${this.name}: ${words} at ${selector}, where it says "${last}"`, async () => words.test(last = await this.text(selector)), within_ms)
  }

  band(words, within_ms) {
    return this.reads('.band .say', words, within_ms)
  }

  strip(words, within_ms) {
    return this.reads('.strip', words, within_ms)
  }

  /** Waits until the button can be touched and its words have stood for a while; they must be these. */
  button(place, words = /./) {
    let last
    return until(() => `${this.name}: the button ${place} with ${words}, now ${JSON.stringify(last)},`, async () => {
      last = await this.page.evaluate(buttonNow, place)
      return last.count === 1 && !last.dead && last.onTop && last.still_ms > GUARD_MS && words.test(last.label) ? last : null
    })
  }

  /** One short touch. */
  async press(place, words) {
    const { x, y } = await this.button(place, words)
    this.touches++
    await this.page.touchscreen.tap(x, y)
  }

  /** A finger that stays until `done` says so. */
  async hold(place, done, words) {
    const { x, y } = await this.button(place, words)
    this.touches++
    await this.glass.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x, y }] })
    try {
      await until(`${this.name}: what the hold of ${place} does`, done)
    } finally {
      await this.glass.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
    }
  }

  async write(selector, text) {
    await this.page.locator(selector).fill(text)
  }

  /** Does something and resolves to the taps that came of it, which must be so many. */
  async tapsOf(act, count = 1) {
    const before = new Set((await this.state()).taps.map((tap) => tap.id))
    await act()
    const fresh = await until(`${this.name}: a tap`, async () => {
      const taps = (await this.state()).taps.filter((tap) => !before.has(tap.id))
      return taps.length ? taps : null
    })
    if (fresh.length !== count) throw new Error(`${this.name}: ${count} taps were meant, one touch made ${fresh.length}: ${JSON.stringify(fresh)}`)
    return fresh
  }

  /** Waits until the tap is what it should become. */
  becomes(id, word) {
    let last
    return until(() => `${this.name}: ${word} of ${id}, which is ${JSON.stringify(last)},`, async () => {
      last = (await this.state()).taps.find((tap) => tap.id === id)
      return last?.state === word
    })
  }

  async picture(path) {
    await this.page.screenshot({ path })
  }
}

export async function openBrowser(more = []) {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: [...ARGS, ...more] })
  return {
    /** `kept`: what its storage holds already, by name. */
    async screen(name, glass, kept = {}) {
      const context = await browser.newContext({ ...glass, deviceScaleFactor: 1, locale: 'en-GB' })
      await context.addInitScript(watchPage)
      await context.addInitScript(keepValues, kept)
      return new Screen(name, context)
    },
    close: () => browser.close(),
  }
}
