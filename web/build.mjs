// build - makes the pages: one index.html, one script, one style sheet, the fonts, the icon; all names but index.html carry a hash. And
// one-file.html, the empty page of the debrief that is saved as one file.
//
//   node build.mjs --out DIR [--proto FILE]   the pages, into DIR (index.html and a/)
//   node build.mjs --proto-only               only the generated protocol types, for the type checker
//
// The protocol's types are imported as "proto". They are made from the schemas into .build/web/gen, unless a build that has
// them already names them with --proto. Nothing in the pages is inline, so that they run under a content security policy
// without exceptions.

import { build } from 'esbuild'
import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { basename, dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

const WEB = dirname(fileURLToPath(import.meta.url))
const TOP = resolve(WEB, '..')
const GEN = join(TOP, '.build/web/gen')
const USAGE = 'usage: node build.mjs --out DIR [--proto FILE] | --proto-only'

/** Runs the generator; returns where the types are. */
export function makeProto() {
  const schema = join(TOP, 'shared-proto/schema')
  execFileSync(process.execPath, [join(TOP, 'shared-proto/generate.mjs'), '--schema', schema,
    '--refusals', join(TOP, 'shared-proto/refusals.json'), '--out', GEN], { stdio: 'inherit' })
  return join(GEN, 'proto.ts')
}

/** Bundles the script and the style sheet into DIR/a; returns their names. */
async function bundle(out, proto) {
  const made = await build({
    entryPoints: { app: join(WEB, 'src/main.tsx'), icon: join(WEB, 'src/icon.svg') },
    outdir: join(out, 'a'),
    entryNames: '[name]-[hash]',
    assetNames: '[name]-[hash]',
    publicPath: '/a/',
    alias: { proto },
    // The protocol's types may lie outside this folder; what they import (nothing today) would be found here.
    nodePaths: [join(WEB, 'node_modules')],
    bundle: true,
    // What only one view needs (the debrief, the QR code's maker) is fetched when it is wanted: the first load stays small.
    splitting: true,
    chunkNames: '[name]-[hash]',
    minify: true,
    metafile: true,
    format: 'esm',
    target: ['es2020', 'safari15'],
    loader: { '.woff2': 'file', '.svg': 'copy', '.sheet.css': 'file' },
    jsx: 'automatic',
    jsxImportSource: 'preact',
    legalComments: 'none',
    logLevel: 'warning',
  })
  return Object.keys(made.metafile.outputs).map((path) => basename(path))
}

/** The one-file debrief, empty: script, style and fonts in it, a policy that names their hashes, and a place for the data. Nothing in
 * it may end the element it stands in. */
async function oneFileHtml(proto) {
  const made = await build({
    entryPoints: [join(WEB, 'src/debrief/file.tsx')],
    outdir: '/one-file',
    write: false,
    alias: { proto },
    nodePaths: [join(WEB, 'node_modules')],
    bundle: true,
    minify: true,
    format: 'iife',
    charset: 'utf8',
    target: ['es2020', 'safari15'],
    loader: { '.woff2': 'dataurl' },
    jsx: 'automatic',
    jsxImportSource: 'preact',
    legalComments: 'none',
    logLevel: 'warning',
  })
  const text = (ending) => made.outputFiles.find((file) => file.path.endsWith(ending)).text
  const [script, style] = [text('.js'), text('.css')]
  if (/<\/script|<!--/i.test(script) || /<\/style/i.test(style)) throw new Error('the one file would end its own script or style')
  const hash = (of) => `'sha256-${createHash('sha256').update(of).digest('base64')}'`
  const policy = `default-src 'none'; script-src ${hash(script)}; style-src ${hash(style)}; font-src data:; img-src data:; base-uri 'none'; form-action 'none'`
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<meta name="referrer" content="no-referrer">',
    '<title>Sternboard debrief</title>',
    `<style>${style}</style>`,
    '<body>',
    '<div id="app"></div>',
    '<noscript>This debrief needs JavaScript.</noscript>',
    '<script type="application/json" id="kept">@DEBRIEF@</script>',
    `<script>${script}</script>`,
    '</body>',
    '</html>',
    '',
  ].join('\n')
}

function indexHtml(names) {
  const script = names.find((name) => name.startsWith('app-') && name.endsWith('.js'))
  const style = names.find((name) => name.startsWith('app-') && name.endsWith('.css'))
  const icon = names.find((name) => name.endsWith('.svg'))
  const font = names.find((name) => name.endsWith('.woff2'))
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">',
    '<meta name="referrer" content="no-referrer">',
    '<title>Sternboard</title>',
    `<link rel="icon" type="image/svg+xml" href="/a/${icon}">`,
    ...(font ? [`<link rel="preload" href="/a/${font}" as="font" type="font/woff2" crossorigin>`] : []),
    ...(style ? [`<link rel="stylesheet" href="/a/${style}">`] : []),
    `<script type="module" src="/a/${script}"></script>`,
    '<body>',
    '<div id="app"></div>',
    '<noscript>The board needs JavaScript. Use your voice.</noscript>',
    '</body>',
    '</html>',
    '',
  ].join('\n')
}

async function main(argv) {
  const options = { proto: null, out: null, only: false }
  for (let i = 0; i < argv.length; i++) {
    if (argv[i] === '--out' && argv[i + 1]) options.out = resolve(argv[++i])
    else if (argv[i] === '--proto' && argv[i + 1]) options.proto = resolve(argv[++i])
    else if (argv[i] === '--proto-only') options.only = true
    else throw new Error(USAGE)
  }
  if (!options.out && !options.only) throw new Error(USAGE)
  const proto = options.proto ?? makeProto()
  if (options.only) return
  rmSync(join(options.out, 'a'), { recursive: true, force: true })
  mkdirSync(join(options.out, 'a'), { recursive: true })
  writeFileSync(join(options.out, 'index.html'), indexHtml(await bundle(options.out, proto)))
  writeFileSync(join(options.out, 'one-file.html'), await oneFileHtml(proto))
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  main(process.argv.slice(2)).catch((error) => {
    process.stderr.write(`build.mjs: ${error.message}\n`)
    process.exitCode = 1
  })
}
