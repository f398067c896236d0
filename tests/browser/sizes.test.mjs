// The pages' sizes, contrasts and words, measured on the fixtures in a real browser. The numbers are the design's own (common
// practice and its own decisions) unless a source stands beside the check.
//
//   node --test tests/browser/sizes.test.mjs
//
// Each fixture is loaded once and once more with doubled strings, and everything is measured on the way; the tests read what
// was measured.

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { createRequire } from 'node:module'
import { readFileSync } from 'node:fs'
import { LIGHTS, browser, fixtures, open, serve } from './pages.mjs'
import { boxes, decode, fontSizes, gap, overflows, textContrasts } from './measure.mjs'

const MM = { helm: 5.88, station: 6, phone: 6 }
const AT_SEA = Object.keys(MM)
/** Half a CSS pixel: browsers lay out in fractions of one. */
const SLACK_MM = 0.09
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
/** WCAG 2.2, levels A and AA. */
const AXE_RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']

/** What stands on a phone's glass for hours by night, and what stands there while hands are at the fish. */
const DARK = ['station-fishing', 'phone-fishing', 'station-night', 'phone-night', 'station-night-bite', 'station-night-leader', 'station-leader', 'phone-leader']
/** Those whose red is looked at: beside them what is lit more, but not by other colours. */
const RED = [...DARK, 'helm-fishing', 'debrief', 'debrief-replay']

/** So many pages are open at once: most of a page's time is waiting for what a finger would wait for. */
const AT_ONCE = 6

let site, chromium
const trouble = []
const measured = []
let lit = []
let shapes = new Map()
let drawn = []
let rtl
const elsewhere = []
/** Glass of other sizes: tablets and phones whose browser keeps its bars, a small tablet, a mounted one. */
const OTHER_GLASS = { 'helm-clearing': [[1280, 720], [1024, 600], [1920, 1080]], 'station-clearing': [[390, 664], [360, 640], [800, 1280]], 'phone-overboard-mine': [[390, 664], [412, 750]] }

/** Everything of one fixture in one load. */
async function measure(context, site, name, fixture) {
  const page = await open(context, site, name, fixture, { trouble })
  const one = { name, ...fixture, boxes: await boxes(page), lights: {} }
  one.places = Object.fromEntries(await page.$$eval('[data-place]', (list) => list.map((place) => [place.dataset.place, JSON.stringify(place.getBoundingClientRect())])))
  one.focus = await page.evaluate(() => document.activeElement?.tagName)
  one.regions = await page.evaluate(() => ['alert', 'status'].map((role) => document.querySelectorAll(`.aloud [role="${role}"]`).length))
  one.alerts = await page.locator('[role="alert"]').count()
  await page.evaluate(AXE)
  const found = await page.evaluate((rules) => globalThis.axe.run(document, { runOnly: rules }), AXE_RULES)
  one.axe = found.violations.map(({ id, nodes }) => `${id} at ${nodes[0].target}`)
  for (const [mark, shape] of await page.$$eval('[data-mark]', (list) => list.map((one) => [one.dataset.mark, one.innerHTML]))) shapes.set(mark, shape)
  for (const light of LIGHTS) {
    await page.evaluate((to) => globalThis.setLight(to), light)
    await page.waitForFunction((to) => document.documentElement.dataset.light === to, light)
    one.lights[light] = { contrasts: await textContrasts(page), sizes: await fontSizes(page) }
    if (light === 'red' && RED.includes(name)) lit.push({ name, png: await page.screenshot({ animations: 'disabled' }) })
  }
  if (name === 'helm-fishing') {
    await page.evaluate(() => (document.documentElement.dir = 'rtl'))
    rtl = { port: await page.locator('[data-place="line-1"]').boundingBox(), starboard: await page.locator('[data-place="line-7"]').boundingBox() }
  }
  await page.close()
  if (AT_SEA.includes(fixture.view)) {
    const twice = await open(context, site, name, fixture, { double: true, trouble })
    one.spilt = await overflows(twice)
    await twice.close()
  }
  return one
}

before(async () => {
  site = await serve()
  chromium = await browser()
  const waiting = Object.entries(await fixtures()).entries()
  const lane = async () => {
    const context = await chromium.newContext()
    for (const [i, [name, fixture]] of waiting) measured[i] = await measure(context, site, name, fixture)
  }
  await Promise.all(Array.from({ length: AT_ONCE }, lane))
  const context = await chromium.newContext()
  for (const [name, sizes] of Object.entries(OTHER_GLASS)) {
    for (const [width, height] of sizes) {
      const page = await open(context, site, name, measured.find((one) => one.name === name), { trouble })
      await page.setViewportSize({ width, height })
      await page.waitForFunction((least) => document.querySelector('main').clientHeight <= least, height)
      elsewhere.push({ name: `${name} at ${width} x ${height}`, width, height, boxes: await boxes(page) })
      await page.close()
    }
  }
  drawn = await decode.marks(chromium, [...shapes.values()])
  lit = await Promise.all(lit.map(async ({ name, png }) => ({ name, ...(await decode.lit(chromium, png)) })))
})
after(async () => {
  await chromium?.close()
  site?.close()
  assert.ok(measured.length > 50)
})

const atSea = () => measured.filter((one) => AT_SEA.includes(one.view))
/** A lane of the helm, not a tile of its stern edge. */
const isLane = ({ place, height }) => /^(line-|lanes-more)/.test(place) && height > 200
const unique = (list) => [...new Set(list)]

test('1: targets at sea are 15 mm, primaries 20 mm, 3 mm apart, OVERBOARD 6 mm from all', () => {
  const wrong = atSea().flatMap(({ name, view, boxes: targets }) => targets.flatMap((one) => {
    const mm = MM[view]
    const nine = view === 'helm' && targets.filter(isLane).length >= 9
    const least = ['who', 'menu'].includes(one.place) ? 10 : ['a', 'b', 'primary'].includes(one.place) ? 20 : 15
    const small = Math.min(one.width, one.height) / mm < least - SLACK_MM ? [`${name}: ${one.place} is ${(one.width / mm).toFixed(1)} x ${(one.height / mm).toFixed(1)} mm`] : []
    const close = targets.filter((other) => other.index > one.index).flatMap((other) => {
      // The phone's tiles stand closer side by side: four of 15 mm do not fit on 65 mm of glass with 3 mm between them.
      // So do the helm's lanes when nine stand abreast, and only then.
      const lanes = nine && isLane(one) && isLane(other)
      const most = [one.place, other.place].includes('overboard') ? 6 : lanes ? 1.5 : view !== 'helm' && one.tile && other.tile ? 0.8 : 3
      const apart = gap(one, other) / mm
      return apart < most - SLACK_MM ? [`${name}: ${one.place} and ${other.place} are ${apart.toFixed(2)} mm apart`] : []
    })
    return [...small, ...close]
  }))
  assert.deepEqual(wrong, [])
})

test('on a glass of another size nothing that can be touched lies over another or outside', () => {
  assert.equal(elsewhere.length, 8)
  const wrong = elsewhere.flatMap(({ name, width, height, boxes: targets }) => targets.flatMap((one) => [
    ...(one.x < -0.5 || one.y < -0.5 || one.x + one.width > width + 0.5 || one.y + one.height > height + 0.5 ? [`${name}: ${one.place} is outside`] : []),
    ...targets.filter((other) => other.index > one.index && gap(one, other) < 2).map((other) => `${name}: ${one.place} and ${other.place}`),
  ]))
  assert.deepEqual(wrong, [])
})

test('2: the fixed places are the same boxes in every state', () => {
  const fixed = { helm: ['a', 'b', 'c', 'd', 'overboard'], station: ['overboard', 'primary', 'stop', 'undo', 'menu'], phone: ['overboard', 'primary', 'stop', 'undo', 'menu'] }
  for (const [view, places] of Object.entries(fixed)) {
    const states = measured.filter((one) => one.view === view && one.name !== 'helm-number')
    assert.ok(states.length > 5)
    for (const place of places) assert.deepEqual(unique(states.map((one) => one.places[place])).length, 1, `${view} ${place}`)
  }
})

test('3: contrast by the formula of WCAG 2.2: 7 to 1, and 4.5 to 1 with 24 px or more in night red', () => {
  const wrong = measured.flatMap(({ name, lights }) => LIGHTS.flatMap((light) => lights[light].contrasts
    .filter((one) => one.ratio < (light === 'red' ? 4.5 : 7) || (light === 'red' && one.size < 23.99))
    .map((one) => `${name} ${light}: "${one.text}" ${one.ratio.toFixed(2)}, ${one.size} px (${one.color} on ${one.ground})`)))
  assert.deepEqual(unique(wrong), [])
})

test('4: no words under 32 px at the helm, 20 px on the phone, 18 px in the debrief', () => {
  const least = { helm: 32, station: 20, phone: 20, none: 20, guest: 20, debrief: 18 }
  const wrong = measured.flatMap(({ name, view, lights }) => lights.day.sizes.filter(({ size }) => size < least[view] - 0.01).map(({ size, text }) => `${name}: "${text}" is ${size} px`))
  assert.deepEqual(unique(wrong), [])
})

test('12: the marks differ by outline alone', () => {
  const names = [...shapes.keys()]
  const overlap = (a, b) => a.filter((dot, k) => dot && b[k]).length / a.filter((dot, k) => dot || b[k]).length
  const same = names.flatMap((name, i) => names.slice(i + 1).map((other, j) => [name, other, overlap(drawn[i], drawn[i + 1 + j])])).filter(([, , share]) => share > 0.8)
  assert.ok(names.length >= 15, names.join())
  assert.deepEqual(same, [])
})

test('14: strings twice as long do not overflow, and port stays port', () => {
  assert.deepEqual(unique(atSea().flatMap(({ name, spilt }) => spilt.map((one) => `${name}: ${one}`))), [])
  assert.ok(rtl.port.x < rtl.starboard.x, 'port is at the left of the picture whichever way the words run')
})

test('17: by night a phone lights under a tenth of its pixels, and red lights no green and no blue', () => {
  assert.equal(lit.length, RED.length)
  for (const { name, lit: share, green, blue } of lit) {
    assert.ok(share < 0.1 || !DARK.includes(name), `${name}: ${(share * 100).toFixed(1)} % lit`)
    assert.deepEqual([green, blue], [0, 0], name)
  }
})

test('13: one alert region and one status region are read aloud, and no focus is moved', () => {
  for (const { name, regions, alerts, focus, press } of measured) {
    assert.deepEqual([regions, alerts], [[1, 1], 1], name)
    if (!press) assert.equal(focus, 'BODY', name)
  }
})

test('axe finds no rule of WCAG 2.2 A and AA broken', () => {
  assert.deepEqual(unique(measured.flatMap(({ name, axe }) => axe.map((one) => `${name}: ${one}`))), [])
})

test('the content security policy and the pages themselves had nothing to complain of', () => {
  assert.deepEqual(trouble, [])
})
