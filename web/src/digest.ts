// The digest of the board: SHA-256 over its canonical encoding (RFC 8785), of which the first 8 bytes are compared.
//
// The server works it out over the same encoding, never over its memory, so that both sides can be compared at any revision.

import { sha256 } from '@noble/hashes/sha2'

/** RFC 8785 for what the wire can hold: keys sorted by their code units, integers, strings, booleans, arrays. */
export function canonical(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonical).join(',')}]`
  if (value === null || typeof value !== 'object') return JSON.stringify(value)
  const members = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1))
  return `{${members.map(([key, item]) => `${JSON.stringify(key)}:${canonical(item)}`).join(',')}}`
}

/** The first 16 hex digits of the SHA-256 of a text's UTF-8 bytes. */
export function digest(text: string): string {
  return Array.from(sha256(text).subarray(0, 8), (byte) => byte.toString(16).padStart(2, '0')).join('')
}

/** The digest of a board given as the canonical text of each of its parts. */
export function boardDigest(parts: ReadonlyMap<string, string>): string {
  const ids = [...parts.keys()].sort()
  return digest(`{${ids.map((id) => `${JSON.stringify(id)}:${parts.get(id)}`).join(',')}}`)
}
