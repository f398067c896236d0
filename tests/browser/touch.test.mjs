// Touches on the real pages: the guard after a word has changed, the hold, the abort by sliding off, the undo, the keyboard.
//
//   node --test tests/browser/touch.test.mjs

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { browser, fixtures, open, serve } from './pages.mjs'

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

const draw = (name) => open(context, site, name, all[name], { trouble })
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
  const page = await draw('phone-fishing')
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
  await page.close()
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
