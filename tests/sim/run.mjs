// run - bundles the simulator and runs it.
//
//   node tests/sim/run.mjs OUT SIM_HUB [options of sim.ts]   OUT: a folder for the bundle and the pipes

import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { bundle } from '../web/bundle.mjs'

const [out, program, ...options] = process.argv.slice(2)
if (!out || !program) throw new Error('usage: node tests/sim/run.mjs OUT SIM_HUB [options]')
mkdirSync(resolve(out), { recursive: true })
const [script] = await bundle([fileURLToPath(new URL('sim.ts', import.meta.url))], resolve(out))

// A log in memory commits without waiting for a disk; what a disk does to it is the simulator's to decide.
const folder = mkdtempSync(join(existsSync('/dev/shm') ? '/dev/shm' : tmpdir(), 'sternboard-sim-'))
try {
  process.exitCode = spawnSync(process.execPath, ['--enable-source-maps', script, resolve(program), folder, '--keep', resolve(out), ...options], { stdio: 'inherit' }).status ?? 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
