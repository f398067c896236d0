// log_book - the log beside the screens: a copy taken while the board runs, verified and folded by the board's own commands.

import assert from 'node:assert/strict'
import { createHash } from 'node:crypto'
import { rmSync } from 'node:fs'
import { join } from 'node:path'
import canonicalize from 'canonicalize'
import { run, scratch } from '../net/server.mjs'

/** The digest of a board as the wire has it: the first 8 bytes of SHA-256 over its canonical form (RFC 8785). A part that says
 *  nothing is not on the wire. */
export function boardDigest(parts) {
  const there = Object.fromEntries(Object.entries(parts).filter(([, value]) => Object.keys(value).length > 0))
  return createHash('sha256').update(canonicalize(there)).digest('hex').slice(0, 16)
}

async function command(args) {
  const { code, out, err } = await run(args)
  assert.equal(code, 0, `sternboard ${args[0]}: ${err}${out}`)
  return out
}

/** Where the log that a data folder holds stands: { entries, digest, shown }. Verified first. `data` may be in use. */
export async function readLog(data) {
  const copy = join(scratch(), 'copy.db')
  await command(['backup', copy, '--data', data])
  try {
    const [verified, dumped, shown] = await Promise.all([['verify', copy], ['dump', copy], ['show', copy]].map(command))
    assert.match(verified, /nothing is wrong/)
    const digest = [...verified.matchAll(/digest ([0-9a-f]{16})/g)].pop()[1]
    return { entries: dumped.split('\n').filter(Boolean).map((line) => JSON.parse(line)), digest, shown, verified }
  } finally {
    rmSync(copy, { force: true })
  }
}
