// pages - serves the fixtures of the pages under the board's own content security policy, and opens them in Chromium.

import { createServer } from 'node:http'
import { createRequire } from 'node:module'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { chromium } from 'playwright-core'

const WEB = fileURLToPath(new URL('../../web/', import.meta.url))
const FIXTURES = fileURLToPath(new URL('../web/fixtures/', import.meta.url))
const CHROMIUM = process.env.CHROMIUM ?? '/usr/bin/chromium'

/** As strict as the board's own: nothing inline, nothing from elsewhere. */
const POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'"

export const LIGHTS = ['day', 'dusk', 'red', 'amber']
export const SIZES = {
  helm: { width: 1280, height: 800 }, station: { width: 390, height: 844 }, phone: { width: 390, height: 844 },
  none: { width: 390, height: 844 }, guest: { width: 390, height: 844 }, debrief: { width: 1440, height: 900 },
}

async function bundle() {
  const { build } = await import(pathToFileURL(createRequire(join(WEB, 'package.json')).resolve('esbuild')).href)
  const { makeProto } = await import(pathToFileURL(join(WEB, 'build.mjs')).href)
  const proto = makeProto()
  const made = await build({
    entryPoints: { app: join(FIXTURES, 'page.tsx') }, outdir: '/a', write: false, bundle: true, splitting: true, format: 'esm', target: 'es2022',
    publicPath: '/a/', alias: { proto }, nodePaths: [join(WEB, 'node_modules')], loader: { '.woff2': 'file', '.sheet.css': 'file' }, jsx: 'automatic', jsxImportSource: 'preact',
    logLevel: 'warning',
  })
  return new Map(made.outputFiles.map((file) => [file.path, file.contents]))
}

/** The names of the fixtures and the view of each, read off their own source once it is bundled. */
export async function fixtures() {
  const { build } = await import(pathToFileURL(createRequire(join(WEB, 'package.json')).resolve('esbuild')).href)
  const made = await build({ entryPoints: [join(FIXTURES, 'fixtures.ts')], bundle: true, write: false, format: 'esm', logLevel: 'warning' })
  return (await import(`data:text/javascript;base64,${Buffer.from(made.outputFiles[0].contents).toString('base64')}`)).FIXTURES
}

const TYPES = { js: 'text/javascript', css: 'text/css', woff2: 'font/woff2', html: 'text/html' }
const HTML = '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Sternboard</title>' +
  '<link rel="stylesheet" href="/a/app.css"><script type="module" src="/a/app.js"></script><body><div id="app"></div></body></html>'

/** Serves the fixtures; returns { url, close }. */
export async function serve() {
  const files = await bundle()
  const server = createServer((request, response) => {
    const path = new URL(request.url, 'http://x').pathname
    const body = path.startsWith('/a/') ? files.get(path) : HTML
    const type = TYPES[path.startsWith('/a/') ? path.split('.').pop() : 'html']
    response.writeHead(body ? 200 : 404, { 'Content-Type': type ?? 'text/plain', 'Content-Security-Policy': POLICY })
    response.end(body ?? 'no such file')
  })
  await new Promise((done) => server.listen(0, '127.0.0.1', done))
  return { url: `http://board.test:${server.address().port}/`, close: () => server.close() }
}

export function browser() {
  return chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--force-color-profile=srgb', '--host-resolver-rules=MAP board.test 127.0.0.1'] })
}

/** The views change a word's place of touch only after half a second. */
const GUARD_MS = 520

/** Surely longer than what is taken for held. */
const HOLD_MS = 1100

/** Holds the place, or only so long. */
export async function hold(page, place, ms = HOLD_MS) {
  const box = await page.locator(`[data-place="${place}"]`).boundingBox()
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
  await page.mouse.down()
  await page.waitForTimeout(ms)
  await page.mouse.up()
}

/** The page as it is printed, on the screen. */
async function print(page) {
  await page.evaluate(() => dispatchEvent(new Event('beforeprint')))
  await page.emulateMedia({ media: 'print' })
}

/** Opens a fixture and does its presses; `trouble` collects what the page complained of, the policy's complaints included. */
export async function open(context, site, name, fixture, { light = 'day', double = false, lapse = false, trouble = [] } = {}) {
  const page = await context.newPage()
  page.on('pageerror', (error) => trouble.push(`${name}: ${error.message}`))
  page.on('console', (message) => message.type() === 'error' && trouble.push(`${name}: ${message.text()}`))
  await page.setViewportSize(SIZES[fixture.view])
  await page.goto(`${site.url}#${name}&light=${light}${double ? '&double' : ''}${lapse ? '&lapse' : ''}`)
  await page.waitForSelector('main')
  await page.evaluate(() => document.fonts.ready)
  if (fixture.view === 'debrief') await page.waitForSelector('.controls .slider')
  for (const place of fixture.press ?? []) {
    await page.waitForTimeout(GUARD_MS)
    const [name, held] = place.split(' ').reverse()
    if (held) await hold(page, name)
    else await page.click(`[data-place="${name}"]`)
  }
  if (fixture.printed) await print(page)
  if (name === 'helm-codes') await page.waitForSelector('.codes .dark')
  await page.waitForTimeout(fixture.press ? 250 : 40)
  return page
}
