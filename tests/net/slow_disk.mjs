// slow_disk - a disk under the real program that stalls, is slow or fails when the test says so (slow_disk.c says how).
//
//   const disk = slowDisk()
//   const server = await startServer({ env: disk.env })
//   disk.marker          the file that says what the disk does
//   disk.stall()         every write and sync waits
//   disk.late(1500)      every sync takes so many milliseconds
//   disk.fail()          every sync fails; or 'full', 'read': every write, on a full disk or on one that can only be read
//   disk.go()            all is well again

import { rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { compile, scratch } from './server.mjs'

export function slowDisk() {
  const marker = join(scratch(), 'marker')
  return {
    marker,
    env: { LD_PRELOAD: compile(['net/slow_disk.c'], ['-shared', '-fPIC']), SLOW_DISK: marker, ASAN_OPTIONS: 'verify_asan_link_order=0' },
    stall: () => writeFileSync(marker, ''),
    late: (ms) => writeFileSync(marker, `late ${ms}`),
    fail: (how = 'sync') => writeFileSync(marker, how),
    go: () => rmSync(marker, { force: true }),
  }
}
