// bundle - turns TypeScript of the tests into scripts that node runs, with the protocol's types made anew.

import { join } from 'node:path'
import { createRequire } from 'node:module'
import { fileURLToPath, pathToFileURL } from 'node:url'

const WEB = fileURLToPath(new URL('../../web/', import.meta.url))

/** Bundles each entry into folder/NAME.mjs; returns the paths made. */
export async function bundle(entries, folder) {
  const { build } = await import(pathToFileURL(createRequire(join(WEB, 'package.json')).resolve('esbuild')).href)
  const { makeProto } = await import(pathToFileURL(join(WEB, 'build.mjs')).href)
  const made = await build({
    entryPoints: entries,
    outdir: folder,
    outExtension: { '.js': '.mjs' },
    alias: { proto: makeProto() },
    nodePaths: [join(WEB, 'node_modules')],
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node18',
    jsx: 'automatic',
    jsxImportSource: 'preact',
    sourcemap: 'inline',
    metafile: true,
    logLevel: 'warning',
  })
  return Object.keys(made.metafile.outputs).map((path) => join(process.cwd(), path))
}
