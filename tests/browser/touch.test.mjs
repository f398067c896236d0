// Touches on the real pages: the guard after a word has changed, the hold, the abort by sliding off, the undo, the keyboard.
//
//   node --test tests/browser/touch.test.mjs

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { browser, fixtures, hold, open, serve } from './pages.mjs'

let site, chromium, context, all
const trouble = []

before(async () => {
  all = await fixtures()
  site = await serve()
  chromium = await browser()
  context = await chromium.newContext()
})
after(async () => {
  assert.deepEqual(trouble, [])
  await chromium?.close()
  site?.close()
})

const draw = (name, how = {}, device = context) => open(device, site, name, all[name], { trouble, ...how })
const acts = (page) => page.evaluate(() => globalThis.acts)
const place = (page, name) => page.locator(`[data-place="${name}"]`)

/** The page's clock stands still from here on, but for what the test lets go by: on a busy machine a tap may take a second. */
async function stopClock(page) {
  await page.clock.install()
  await page.clock.pauseAt(Date.now() + 1000)
}

async function press(page, name, ms) {
  const box = await place(page, name).boundingBox()
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
  await page.mouse.down()
  await page.clock.runFor(ms)
  await page.mouse.up()
}

test('a touch within half a second of a new word means nothing', async () => {
  const page = await draw('helm-clearing')
  await page.waitForTimeout(520)
  // Both touches come from within the page: between two from outside a busy machine may let half a second go by.
  const words = await page.evaluate(async () => {
    const place = document.querySelector('[data-place="b"]')
    place.click()
    while (!place.textContent.includes('TEASERS IN')) await new Promise(requestAnimationFrame)
    place.click()
    await new Promise((done) => setTimeout(done, 100))
    return place.textContent
  })
  assert.match(words, /TEASERS IN/)
  await page.waitForTimeout(520)
  assert.deepEqual(await acts(page), [])
  await place(page, 'b').click()
  assert.deepEqual((await acts(page)).map((act) => act.kind), ['lines_seen'])
  await page.close()
})

test('overboard: a tap does nothing, a hold of 0.6 s calls once, two taps call once', async () => {
  // A clock that was stopped stands still for every page of its device: this one has its own.
  const device = await chromium.newContext()
  const page = await draw('phone-fishing', {}, device)
  await stopClock(page)
  await press(page, 'overboard', 200)
  await page.clock.runFor(2200)
  assert.deepEqual(await acts(page), [])
  await press(page, 'overboard', 900)
  assert.deepEqual(await acts(page), [{ kind: 'overboard', body: {} }])
  await press(page, 'overboard', 100)
  await page.clock.runFor(300)
  assert.deepEqual((await acts(page)).length, 1)
  await press(page, 'overboard', 100)
  assert.deepEqual((await acts(page)).map((act) => act.kind), ['overboard', 'overboard'])
  await device.close()
})

test('a press acts on release, and sliding off takes it back', async () => {
  const page = await draw('helm-fishing')
  await page.waitForTimeout(520)
  const box = await place(page, 'a').boundingBox()
  await page.mouse.move(box.x + 40, box.y + 40)
  await page.mouse.down()
  assert.deepEqual(await acts(page), [])
  await page.mouse.move(box.x + 40, box.y - 200)
  await page.mouse.up()
  assert.deepEqual(await acts(page), [])
  await place(page, 'a').click()
  assert.deepEqual(await acts(page), [{ kind: 'strike', body: {} }])
  await page.close()
})

test('what a lane says depends on its state alone: out strikes, in is out, on asks how it ended', async () => {
  const page = await draw('helm-clearing')
  await page.waitForTimeout(520)
  for (const line of ['line-4', 'line-2', 'line-1', 'line-10']) await place(page, line).click()
  assert.deepEqual(await acts(page), [
    { kind: 'line_is', body: { line: 4, state: 'in', eye: true } }, { kind: 'line_is', body: { line: 2, state: 'out', eye: true } },
    { kind: 'strike', body: { line: 1 } }, { kind: 'line_is', body: { line: 10, state: 'in', eye: true } },
  ])
  await page.close()
})

test('two taps clear all but longs; a name tapped has the wheel; undo is one tap', async () => {
  const page = await draw('helm-fight')
  await page.waitForTimeout(520)
  await place(page, 'd').click()
  await place(page, 'b').click()
  await page.waitForTimeout(520)
  await place(page, 'b').click()
  await place(page, 'wheel').click()
  await page.waitForTimeout(100)
  await place(page, 'hand-3').click()
  assert.deepEqual(await acts(page), [
    { kind: 'undo', body: {} }, { kind: 'clear_called', body: { scope: 'all', preset: 'all but longs', kept: [1, 7], reason: 'fish' } },
    { kind: 'duty', body: { post: 'wheel', hand: 3 } },
  ])
  await page.close()
})

test('the keyboard does the same as a finger, and the focus can be seen', async () => {
  const page = await draw('helm-fishing')
  await page.waitForTimeout(520)
  await place(page, 'a').focus()
  await page.keyboard.press('Tab')
  await page.keyboard.press('Shift+Tab')
  assert.equal(await place(page, 'a').evaluate((one) => getComputedStyle(one).outlineStyle), 'solid')
  await page.keyboard.press('Enter')
  await place(page, 'overboard').focus()
  await page.keyboard.down(' ')
  await page.waitForTimeout(800)
  await page.keyboard.up(' ')
  assert.deepEqual((await acts(page)).map((act) => act.kind), ['strike', 'overboard'])
  await page.close()
})

const ready = (page) => page.waitForTimeout(550)
/** An act's age, to the second. */
const told = async (page) => (await acts(page)).map(({ kind, body, ago_ms }) => [kind, body.line ?? 0, ago_ms ? Math.floor(ago_ms / 1000) : 0])

test('a name tapped as WHO IS IT lapses means nothing: it would tell that this hand sees them', async () => {
  const page = await draw('helm-overboard', { lapse: true })
  await ready(page)
  await place(page, 'b').click()
  // From within the page: a touch from outside a busy machine may come half a second after the lapse.
  const asked = await page.evaluate(async () => {
    const asks = () => document.querySelector('[data-place="b"]').classList.contains('strong')
    const frame = () => new Promise(requestAnimationFrame)
    while (!asks()) await frame()
    const from = performance.now()
    while (asks()) await frame()
    document.querySelector('[data-place="hand-2"]').click()
    return performance.now() - from
  })
  assert.ok(asked > 9000, `${asked}`)
  await ready(page)
  assert.deepEqual(await acts(page), [])
  await page.waitForTimeout(1000) // the helm takes no touch for a second after a lapse
  await place(page, 'hand-2').click()
  assert.deepEqual((await acts(page)).map((act) => [act.kind, act.body.hand]), [['overboard_sighted', 2]])
  await page.close()
})

test('held, a tile asks how long ago: hold and age are two touches, the age counts from the press', async () => {
  const page = await draw('station-fishing')
  await ready(page)
  await hold(page, 'line-2')
  assert.deepEqual(await acts(page), [])
  assert.match(await page.locator('.band').innerText(), /How long ago/)
  await ready(page)
  await place(page, 'ago-60000').click()
  assert.deepEqual((await told(page)).map(([kind, line]) => [kind, line]), [['strike', 2]])
  const [{ ago_ms }] = await acts(page)
  assert.ok(ago_ms > 60900 && ago_ms < 75000, `${ago_ms}`)
  await ready(page)
  await place(page, 'line-2').click()
  assert.deepEqual((await acts(page))[1], { kind: 'strike', body: { line: 2 } })
  await page.close()
})

test('held and not answered, it goes after 5 s as of the press; NOW sends it at once; UNDO drops it', async () => {
  const page = await draw('station-fishing', { lapse: true })
  await ready(page)
  await hold(page, 'primary')
  await page.waitForFunction(() => globalThis.acts.length === 1, null, { timeout: 15000 })
  const [{ kind, ago_ms }] = await acts(page)
  assert.equal(kind, 'strike')
  assert.ok(ago_ms >= 5800 && ago_ms < 20000, `${ago_ms}`)
  await ready(page)
  await hold(page, 'line-3')
  await ready(page)
  await place(page, 'primary').click()
  await ready(page)
  assert.deepEqual((await acts(page)).map((act) => [act.kind, act.body.line]), [['strike', undefined], ['strike', 3]])
  await hold(page, 'line-3')
  await ready(page)
  await place(page, 'undo').click()
  await page.waitForTimeout(5500)
  assert.equal((await acts(page)).length, 2)
  await page.close()
})

test('what MORE, the baits and the names tell can be told of a while ago as well', async () => {
  for (const [name, held, kind] of [['helm-more', 'stamp', 'stamped'], ['helm-night-baits', 'bait-clean-12', 'bait_checked'], ['helm-wheel', 'hand-2', 'duty']]) {
    const page = await draw(name)
    await ready(page)
    await hold(page, held)
    assert.deepEqual(await acts(page), [], name)
    await ready(page)
    await place(page, 'b').click()
    assert.deepEqual((await acts(page)).map((act) => [act.kind, Math.floor(act.ago_ms / 60000)]), [[kind, 1]], name)
    await page.close()
  }
})

test('at the helm the ages stand in the bar; the lane or the place that was held says now', async () => {
  const page = await draw('helm-fishing')
  await ready(page)
  await hold(page, 'line-6')
  await ready(page)
  assert.deepEqual(await page.locator('.bar .place .label').allInnerTexts(), ['30 S AGO', '1 MIN AGO', '2 MIN AGO', '5 MIN AGO'])
  await place(page, 'c').click()
  await ready(page)
  await hold(page, 'line-6')
  await ready(page)
  await place(page, 'line-6').click()
  await ready(page)
  await hold(page, 'a')
  await ready(page)
  assert.deepEqual(await page.locator('.bar .place .label').allInnerTexts(), ['NOW', '1 MIN AGO', '2 MIN AGO', '5 MIN AGO'])
  await place(page, 'end-port').click()
  const came = await told(page)
  assert.deepEqual(came.map(([kind, line]) => [kind, line]), [['strike', 6], ['strike', 6], ['strike', 0]])
  assert.ok(came[0][2] >= 120 && came[1][2] < 20 && came[2][2] >= 30 && came[2][2] < 50, JSON.stringify(came))
  await page.close()
})

test('the keys and the key of the context menu hold as well, and the browser opens nothing of its own', async () => {
  const page = await draw('station-fishing')
  await ready(page)
  await page.evaluate(() => document.addEventListener('contextmenu', (event) => (globalThis.menus = [...(globalThis.menus ?? []), event.defaultPrevented])))
  await place(page, 'line-2').click({ button: 'right' })
  assert.deepEqual(await page.evaluate(() => globalThis.menus), [true])
  assert.deepEqual(await acts(page), [])
  await place(page, 'line-2').focus()
  await page.keyboard.down('Enter')
  await page.waitForTimeout(1100)
  await page.keyboard.up('Enter')
  await ready(page)
  await place(page, 'ago-30000').focus()
  await page.keyboard.press('Enter')
  await ready(page)
  await place(page, 'line-3').focus()
  await page.keyboard.press('ContextMenu')
  await ready(page)
  await place(page, 'ago-30000').focus()
  await page.keyboard.press(' ')
  assert.deepEqual((await told(page)).map(([kind, line, s]) => [kind, line, s >= 30]), [['strike', 2, true], ['strike', 3, true]])
  assert.equal(await page.evaluate(() => String(getSelection())), '')
  await page.close()
})

test('by night a float that is held has its light, and a short touch its bait', async () => {
  const page = await draw('station-night')
  await ready(page)
  await hold(page, 'line-12')
  await ready(page)
  await place(page, 'float-light-green').click()
  await ready(page)
  await place(page, 'line-12').click()
  await ready(page)
  await place(page, 'bait-chewed').click()
  assert.deepEqual((await acts(page)).map((act) => act.kind), ['float_light', 'bait_checked'])
  await page.close()
})
