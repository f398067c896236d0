// shots - pictures of every page in every state and light, for looking at.
//
//   node tests/browser/shots.mjs OUT [WORD] [LIGHT...]   only fixtures with the word in their name; all four lights unless named
//
// Also a strip of marks in grey, and how much of each phone's night page is lit.

import { mkdirSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { LIGHTS, browser, fixtures, open, serve } from './pages.mjs'

const [out, word = '', ...lights] = process.argv.slice(2)
if (!out) throw new Error('usage: node tests/browser/shots.mjs OUT [WORD] [LIGHT...]')
const folder = resolve(out)
mkdirSync(folder, { recursive: true })

const all = Object.entries(await fixtures()).filter(([name]) => name.includes(word))
const site = await serve()
const chromium = await browser()
const trouble = []
for (const light of lights.length ? lights : LIGHTS) {
  const context = await chromium.newContext()
  for (const [name, fixture] of all) {
    const page = await open(context, site, name, fixture, { light, trouble })
    await page.screenshot({ path: join(folder, `${name}-${light}.png`), animations: 'disabled' })
    await page.close()
  }
  await context.close()
}
await chromium.close()
site.close()
for (const line of trouble) console.error(line)
console.log(`${all.length} states in ${lights.length || LIGHTS.length} lights in ${folder}`)
process.exitCode = trouble.length ? 1 : 0
