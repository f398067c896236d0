// pages - what each view brings over the air, and when it first shows the board on a device four times slower than this machine.

import { chromium } from 'playwright-core'

const SLOWER = 4
const GUARD_MS = 1000 // a button takes no touch right after its words have changed

/** `joined`: what is pressed once on a device that is new here. `board`: a button that stands only where the board is known. */
const VIEWS = [
  { view: 'helm', size: { width: 1280, height: 800 }, joined: 'take-helm', board: 'line-1' },
  { view: 'station', size: { width: 390, height: 844 }, joined: 'facing-aft', board: 'primary' },
  { view: 'phone', size: { width: 390, height: 844 }, board: 'line-1' },
]

/** Runs in the page before anything of it does: notes when that button is drawn first. */
function watchFor(place) {
  const look = () => {
    if (window.board_ms === undefined && document.querySelector(`[data-place="${place}"]`)) requestAnimationFrame(() => (window.board_ms ??= performance.now()))
  }
  new MutationObserver(look).observe(document, { subtree: true, childList: true, attributes: true })
}

async function measure(browser, { view, size, joined, board }, address) {
  const context = await browser.newContext({ viewport: size })
  const page = await context.newPage()
  await page.addInitScript(watchFor, board)
  await page.goto(address)
  if (joined) {
    await page.locator(`[data-place="${joined}"]`).waitFor()
    await new Promise((done) => setTimeout(done, GUARD_MS))
    await page.locator(`[data-place="${joined}"]`).click()
  }
  await page.locator(`[data-place="${board}"]`).waitFor()
  const tools = await context.newCDPSession(page)
  const got = { view, packed: 0, unpacked: 0, requests: 0 }
  tools.on('Network.dataReceived', ({ dataLength }) => (got.unpacked += dataLength))
  tools.on('Network.loadingFinished', ({ encodedDataLength }) => {
    got.packed += encodedDataLength
    got.requests++
  })
  await tools.send('Network.enable')
  await tools.send('Network.setCacheDisabled', { cacheDisabled: true })
  await tools.send('Emulation.setCPUThrottlingRate', { rate: SLOWER })
  await page.reload()
  await page.locator(`[data-place="${board}"]`).waitFor()
  got.board_ms = await page.evaluate(() => window.board_ms)
  await context.close()
  return got
}

/** One row a view, on a board of this machine with a trip under way. */
export async function pages(port, key) {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
  try {
    const list = []
    for (const view of VIEWS) list.push(await measure(browser, view, `http://127.0.0.1:${port}/${view.view}#k=${key}`))
    return list
  } finally {
    await browser.close()
  }
}
