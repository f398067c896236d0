// The debrief in a real browser: the board's page, the one file saved from it and opened from the disk with the network off, and paper.
//
//   STERNBOARD=PROGRAM node --test tests/browser/debrief.test.mjs
//
// The crew of the trip writes what must never become markup.

import assert from 'node:assert/strict'
import { readFileSync, statSync, writeFileSync } from 'node:fs'
import { after, before, test } from 'node:test'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { Page } from '../../server/demo/page.mjs'
import { protoId, run, scratch, startServer } from '../net/server.mjs'
import { LIGHTS, browser, fixtures, open, serve } from './pages.mjs'
import { fontSizes, textContrasts } from './measure.mjs'

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
/** WCAG 2.2, levels A and AA. */
const AXE_RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']
const SPREAD = JSON.parse(readFileSync(new URL('../../shared-proto/defaults/spread.json', import.meta.url), 'utf8')).spread
const HOSTILE = '</script><script>document.title="taken"</script><!--<b>'
const folder = scratch()

let server
let chromium

/** A short trip: a bite that comes on, a call that is heard, a note that is markup, one act taken back. */
async function trip() {
  const { crew, helm: number } = server.keys()
  const helm = await Page.open({ port: server.port, proto: protoId(), view: 'helm', key: crew })
  assert.equal(await helm.takeHelm(number), null)
  const tap = (kind, body) => helm.tap(kind, body, { v: 1, lane: 'ordinary', by: helm.hand })
  await tap('trip_started', { name: 'Grey Petrel', no: 1, spread: SPREAD, crew: [{ id: 1, name: 'Ines', station: 'helm' }, { id: 2, name: HOSTILE.slice(0, 32), station: 'cockpit' }] })
  helm.hand = 1
  await tap('trip_phase', { phase: 'fishing' })
  await tap('lines_seen', { scope: 'all', state: 'out' })
  const strike = await tap('strike', { line: 6 })
  await tap('strike_ended', { strike: strike.id, end: 'on' })
  await tap('fight_ended', { fight: strike.id, end: 'released' })
  await tap('noted', { text: HOSTILE })
  const slip = await tap('line_is', { line: 2, state: 'in' })
  await tap('voided', { target: slip.id, undo: true })
  await tap('job', { no: 1, text: `mend it ${HOSTILE.slice(0, 40)}`, hand: 2, by_day: '2026-07-18' })
  await helm.until(() => helm.saved >= helm.tapped)
  helm.close()
}

before(async () => {
  server = await startServer()
  await trip()
  chromium = await browser()
})
after(async () => {
  await chromium.close()
  await server.stop()
})

/** Opens a page that complains into `trouble`. */
async function page(options, trouble) {
  const context = await chromium.newContext({ viewport: { width: 1440, height: 900 }, ...options })
  const one = await context.newPage()
  one.on('pageerror', (error) => trouble.push(error.message))
  one.on('console', (message) => message.type() === 'error' && !/favicon/.test(message.text()) && trouble.push(message.text()))
  return one
}

/** Plays the replay from its start by keys alone, and looks at what it shows. */
async function play(one) {
  await one.focus('.slider')
  await one.keyboard.press('Home')
  const start = await one.textContent('.clock')
  await one.keyboard.press('3')
  assert.equal(await one.inputValue('[data-place="speed"]'), '60')
  await one.keyboard.press('k')
  assert.equal(await one.textContent('[data-place="play"]'), 'PAUSE')
  await one.waitForFunction((was) => document.querySelector('.clock').textContent !== was || document.querySelector('[data-place="play"]').textContent === 'PLAY', start)
  await one.waitForFunction(() => document.querySelector('[data-place="play"]').textContent === 'PLAY', null, { timeout: 20000 })
  await one.keyboard.press('j')
  await one.click('[data-place="tab-replay"]')
  await one.waitForSelector('.log li')
  return one.$$eval('.hung li', (rows) => rows.length)
}

async function unharmed(one) {
  assert.notEqual(await one.title(), 'taken')
  assert.equal(await one.locator('main b', { hasText: 'taken' }).count(), 0)
  await one.click('[data-place="tab-replay"]')
  await one.focus('.slider')
  await one.keyboard.press('End')
  await one.waitForFunction((text) => [...document.querySelectorAll('.log .what')].some((row) => row.textContent.includes(text)), HOSTILE)
}

test('the board’s debrief is read, saved as one file, and the file opens from the disk with the network off and plays by keyboard', async () => {
  const trouble = []
  const live = await page({ acceptDownloads: true }, trouble)
  await live.goto(`http://127.0.0.1:${server.port}/debrief#k=${server.keys().crew}`)
  await live.waitForSelector('.controls .slider')
  assert.match(await live.textContent('.head'), /1 bite, 1 on, 1 caught/)
  await unharmed(live)
  await live.click('[data-place="share"]')
  const [download] = await Promise.all([live.waitForEvent('download'), live.click('[data-place="save"]')])
  const path = join(folder, 'saved.html')
  await download.saveAs(path)
  await live.context().close()
  const file = await page({ offline: true }, trouble)
  await file.goto(pathToFileURL(path).href)
  await file.waitForSelector('.controls .slider')
  assert.match(await file.textContent('.head'), /Grey Petrel.*1 bite, 1 on, 1 caught/s)
  assert.ok(await play(file) >= SPREAD.length)
  await unharmed(file)
  assert.equal(await file.locator('[data-place="save"], [data-place="another"], [data-place="debrief-job-1"]').count(), 0, 'a file takes nothing')
  await file.context().close()
  assert.deepEqual(trouble, [])
})

test('the command makes the same file, without names and notes when it is told to', async () => {
  const [whole, nameless] = ['whole.html', 'nameless.html'].map((name) => join(folder, name))
  assert.equal((await run(['debrief', server.data, '--html', whole])).code, 0)
  assert.equal((await run(['debrief', server.data, '--html', nameless, '--no-names', '--no-places'])).code, 0)
  assert.equal((await run(['debrief', server.data, '--html', whole])).code, 73, 'a file that is there is not written over')
  const trouble = []
  for (const [path, names] of [[whole, true], [nameless, false]]) {
    const one = await page({ offline: true }, trouble)
    await one.goto(pathToFileURL(path).href)
    await one.waitForSelector('.controls .slider')
    await one.click('[data-place="tab-replay"]')
    await one.waitForSelector('.log li')
    const said = await one.textContent('main')
    assert.equal(said.includes('Ines'), names, path)
    assert.equal(said.includes('document.title'), names, path)
    await one.context().close()
  }
  assert.ok(!readFileSync(nameless, 'utf8').includes('Ines'))
  assert.deepEqual(trouble, [])
})

test('a file whose script was changed runs nothing: the policy names the hash of the one that was written', async () => {
  const path = join(folder, 'changed.html')
  writeFileSync(path, readFileSync(join(folder, 'whole.html'), 'utf8').replace(/<script>(?!.*<script>)/s, '<script>document.title="changed";'))
  const refused = []
  const one = await page({ offline: true }, refused)
  await one.goto(pathToFileURL(path).href)
  await one.waitForTimeout(300)
  assert.notEqual(await one.title(), 'changed')
  assert.match(refused.join(), /Content Security Policy/)
  await one.context().close()
})

test('the debrief’s states in four lights: contrast, sizes, and no rule of WCAG 2.2 A and AA broken', async () => {
  const site = await serve()
  const trouble = []
  const wrong = []
  const context = await chromium.newContext()
  const states = Object.entries(await fixtures()).filter(([name, fixture]) => fixture.view === 'debrief' && !fixture.printed)
  assert.ok(states.length >= 8)
  for (const [name, fixture] of states) {
    const one = await open(context, site, name, fixture, { trouble })
    await one.evaluate(AXE)
    const found = await one.evaluate((rules) => globalThis.axe.run(document, { runOnly: rules }), AXE_RULES)
    wrong.push(...found.violations.map(({ id, nodes }) => `${name}: ${id} at ${nodes[0].target}`))
    for (const light of LIGHTS) {
      await one.evaluate((to) => globalThis.setLight(to), light)
      await one.waitForFunction((to) => document.documentElement.dataset.light === to, light)
      const low = (await textContrasts(one)).filter((text) => text.ratio < (light === 'red' ? 4.5 : 7) || (light === 'red' && text.size < 23.99))
      wrong.push(...low.map((text) => `${name} ${light}: "${text.text}" ${text.ratio.toFixed(2)}, ${text.size} px`))
      if (light === 'day') wrong.push(...(await fontSizes(one)).filter(({ size }) => size < 17.99).map(({ size, text }) => `${name}: "${text}" is ${size} px`))
    }
    await one.close()
  }
  await context.close()
  site.close()
  assert.deepEqual([...new Set(wrong)], [])
  assert.deepEqual(trouble, [])
})

test('a plot is used by keyboard alone, its mark stands in its table, and what is chosen is chosen in the replay', async () => {
  const site = await serve()
  const context = await chromium.newContext()
  const one = await open(context, site, 'debrief-plots', (await fixtures())['debrief-plots'])
  await one.focus('[data-plot="calls"] .plot')
  await one.keyboard.press('End')
  await one.keyboard.press('Home')
  await one.waitForSelector('#o-calls-0[aria-selected="true"]')
  await one.waitForFunction(() => document.querySelector('.clock').textContent.endsWith(':00'))
  const when = await one.textContent('.clock')
  await one.click('[data-place="table-calls"]')
  assert.equal(await one.locator('[data-plot="calls"] tr.is-chosen').count(), 1)
  await one.click('[data-plot="calls"] tbody tr:nth-child(2) button')
  await one.waitForFunction((was) => document.querySelector('.clock').textContent !== was, when)
  await context.close()
  site.close()
})

test('the arrow keys go through the log entry by entry, those that came at once too, and what is corrected is the one that is marked', async () => {
  const site = await serve()
  const context = await chromium.newContext()
  const one = await open(context, site, 'debrief-replay', (await fixtures())['debrief-replay'])
  await one.click('[data-place="then"]')
  await one.click('[data-place="entry-8"]')
  await one.waitForSelector('[data-place="entry-8"][aria-pressed="true"]')
  for (const seq of [7, 6, 5]) {
    await one.locator('.log button').first().press('ArrowDown')
    await one.waitForSelector(`.log li:first-child [data-place="entry-${seq}"][aria-pressed="true"]`)
    assert.match(await one.textContent('[data-place="correct"]'), new RegExp(`^CORRECT: ${seq} `))
  }
  await context.close()
  site.close()
})

test('a debrief that could not be read is read again by a touch; trips that are not there are said not to be, and what was read stays', async () => {
  const live = await page({}, [])
  await live.route('**/debrief.json*', (route) => route.abort(), { times: 1 })
  await live.goto(`http://127.0.0.1:${server.port}/debrief#k=${server.keys().crew}`)
  await live.click('[data-place="again"]')
  await live.waitForSelector('.controls .slider')
  await live.click('[data-place="filters"]')
  await live.fill('[data-place="trip-from"]', '70')
  await live.fill('[data-place="trip-to"]', '71')
  await live.click('[data-place="filter-show"]')
  await live.waitForSelector('.sheet[role="status"]')
  assert.match(await live.textContent('.head'), /1 bite, 1 on, 1 caught/)
  await live.context().close()
})

test('counts of 1 to 4 print no rate, and each count stands beside its line-hours', async () => {
  const site = await serve()
  const context = await chromium.newContext()
  const one = await open(context, site, 'debrief-few', (await fixtures())['debrief-few'])
  const text = await one.textContent('[data-plot="effort"]')
  assert.match(text, /1 bite in 0\.9 h.*no rate under 5/s)
  assert.match(text, /0 bites in 0\.9 h.*none: at most 41/s)
  assert.equal(await one.locator('[data-plot="effort"] circle.dot').count(), 0)
  assert.equal(await one.locator('[data-plot="effort"] .event-dot').count(), 1)
  await context.close()
  site.close()
})

test('paper: A4 and Letter, black on white from any light, nothing under 9 pt', async () => {
  const site = await serve()
  const context = await chromium.newContext()
  const one = await open(context, site, 'debrief', (await fixtures()).debrief, { light: 'amber' })
  for (const format of ['A4', 'Letter']) {
    const path = join(folder, `${format}.pdf`)
    await one.pdf({ path, format })
    const pages = readFileSync(path, 'latin1').match(/\/Type\s*\/Page\b/g)
    assert.ok(statSync(path).size > 20000 && pages.length >= 3, `${format}: ${pages.length} pages`)
  }
  await one.evaluate(() => dispatchEvent(new Event('beforeprint')))
  await one.setViewportSize({ width: 703, height: 1000 })
  await one.emulateMedia({ media: 'print' })
  const drawn = await one.evaluate(() => {
    const of = (node) => { const { color, fontSize } = getComputedStyle(node); const svg = node.closest('svg.plot, svg.timeline'); return { color, svg: Boolean(svg), px: parseFloat(fontSize) * (svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1), text: node.textContent } }
    return [...document.querySelectorAll('#paper *')].filter((node) => [...node.childNodes].some((child) => child.nodeType === 3 && child.data.trim())).filter((node) => node.getBoundingClientRect().width > 0).map(of)
  })
  assert.ok(drawn.length > 80)
  assert.deepEqual(drawn.filter((one) => one.color !== 'rgb(0, 0, 0)'), [])
  assert.deepEqual(drawn.filter((one) => one.px < 12 - 0.25).map((one) => `${one.text} ${one.px}`), [], '9 pt are 12 px')
  assert.equal(await one.evaluate(() => document.querySelectorAll('#paper thead .running').length), 1)
  await context.close()
  site.close()
})
