// run - bundles the unit tests of the pages and runs them under node --test.
//
//   node tests/web/run.mjs OUT [WORD]   OUT: where the bundles go; only the tests with the word in their name

import { spawnSync } from 'node:child_process'
import { mkdirSync, readdirSync, rmSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { bundle } from './bundle.mjs'

const HERE = dirname(fileURLToPath(import.meta.url))
const [out, word = ''] = process.argv.slice(2)
if (!out) throw new Error('usage: node tests/web/run.mjs OUT [WORD]')

const tests = readdirSync(HERE).filter((name) => name.endsWith('.test.ts') && name.includes(word))
const folder = resolve(out)
rmSync(folder, { recursive: true, force: true })
mkdirSync(folder, { recursive: true })
const made = await bundle(tests.map((name) => join(HERE, name)), folder)
const run = spawnSync(process.execPath, ['--test', ...made], { stdio: ['ignore', 'pipe', 'inherit'], encoding: 'utf8' })
process.stdout.write(run.stdout)
const count = (what) => Number(new RegExp(`^(?:# |ℹ )${what} (\\d+)$`, 'm').exec(run.stdout)?.[1] ?? 0)
console.log(`${count('pass')} passed, ${count('fail')} failed`)
process.exitCode = run.status === 0 && count('pass') > 0 ? 0 : 1
