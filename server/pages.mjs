// pages - one step of the build: bundles the web folder and writes what comes out into one C file.
//
//   node pages.mjs PROTO.ts OUT.c OUT.d
//
// OUT.d tells ninja all that went in: every file of the web folder and, so that a new or a vanished one is noticed, every
// folder; and the mark of what npm installed. The bundle itself lies in the folder `pages` beside OUT.c.

import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync, writeFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

const HERE = dirname(fileURLToPath(import.meta.url))
const WEB = resolve(HERE, '../web')

/** All files and folders under a folder, itself first; installed packages left out. */
function walk(folder) {
  return [folder, ...readdirSync(folder, { withFileTypes: true }).flatMap((item) => {
    const path = join(folder, item.name)
    if (item.isDirectory()) return item.name === 'node_modules' ? [] : walk(path)
    return [path]
  })]
}

const [proto, out, depfile] = process.argv.slice(2)
if (!depfile) {
  console.error('usage: node pages.mjs PROTO.ts OUT.c OUT.d')
  process.exit(2)
}
const folder = join(dirname(resolve(out)), 'pages')
function run(script, ...args) {
  const { status } = spawnSync(process.execPath, [script, ...args], { stdio: 'inherit' })
  if (status !== 0) process.exit(1)
}
run(join(WEB, 'build.mjs'), '--proto', resolve(proto), '--out', folder)
run(join(HERE, 'embed.mjs'), folder, out)

const installed = join(WEB, 'node_modules/.installed')
const read = [...walk(WEB), ...(existsSync(installed) ? [installed] : [])]
writeFileSync(depfile, `${out}: ${read.map((path) => path.replace(/[ #$\\]/g, '\\$&')).join(' ')}\n`)
