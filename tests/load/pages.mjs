// pages - what each view brings over the air, and when it first shows the board on a phone four times slower than this machine.

import { readFileSync } from 'node:fs'
import { chromium } from 'playwright-core'

const VIEWS = ['helm', 'station', 'phone']
const SLOWER = 4
const SIZE = { helm: { width: 1280, height: 800 }, station: { width: 390, height: 844 }, phone: { width: 390, height: 844 } }

/** Runs in the page before anything of it does: notes when a name of the spread, which only the board knows, is on it. */
function watchForBoard(names) {
  const look = () => {
    if (window.board_ms === undefined && names.some((name) => document.body?.innerText.toLowerCase().includes(name)))
      requestAnimationFrame(() => (window.board_ms ??= performance.now()))
  }
  new MutationObserver(look).observe(document, { subtree: true, childList: true, characterData: true })
}

async function measure(browser, view, address, names) {
  const context = await browser.newContext({ viewport: SIZE[view] })
  const page = await context.newPage()
  const tools = await context.newCDPSession(page)
  const got = { view, packed: 0, unpacked: 0, requests: 0 }
  tools.on('Network.dataReceived', ({ dataLength }) => (got.unpacked += dataLength))
  tools.on('Network.loadingFinished', ({ encodedDataLength }) => {
    got.packed += encodedDataLength
    got.requests++
  })
  await tools.send('Network.enable')
  await tools.send('Emulation.setCPUThrottlingRate', { rate: SLOWER })
  await page.addInitScript(watchForBoard, names)
  await page.goto(address)
  await page.waitForFunction(() => window.board_ms !== undefined, null, { timeout: 60000 })
  got.board_ms = await page.evaluate(() => window.board_ms)
  await context.close()
  return got
}

/** One row a view. `rows`: the log whose first trip's spread is on the board. */
export async function pages(port, key, rows) {
  const begin = readFileSync(rows, 'utf8').split('\n').find((line) => line.includes('"kind":"trip_started"'))
  const names = JSON.parse(begin).body.spread.map((line) => line.name.toLowerCase())
  const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
  try {
    const list = []
    for (const view of VIEWS) list.push(await measure(browser, view, `http://127.0.0.1:${port}/${view}#k=${key}`, names))
    return list
  } finally {
    await browser.close()
  }
}
