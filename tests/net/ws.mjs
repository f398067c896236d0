// ws - HTTP and websockets byte by byte, so that a test can send what no browser would. The websocket is server/demo/ws.mjs.
//
//   const reply = await request(port, 'GET /helm HTTP/1.1', { host: 'localhost:' + port })

import { gunzipSync } from 'node:zlib'
import { Line, readHead } from '../../server/demo/ws.mjs'

export * from '../../server/demo/ws.mjs'

/** Sends a request as it stands on an open line and reads the response: { status, headers, body, text }. */
export async function exchange(line, text, { head = false } = {}) {
  line.write(text)
  const { status, headers } = await readHead(line)
  const length = head || status === 304 || status < 200 ? 0 : Number(headers['content-length'] ?? 0)
  await line.until(() => (line.bytes.length >= length ? true : null), { what: 'the body' })
  const body = Buffer.from(line.take(length))
  const plain = headers['content-encoding'] === 'gzip' && length ? gunzipSync(body) : body
  return { status, headers, body, text: plain.toString() }
}

/** One request on a connection of its own. Headers that are null are left out. */
export async function request(port, firstLine, headers = {}, options = {}) {
  const line = await Line.open(port, options)
  try {
    const all = { host: `127.0.0.1:${port}`, ...headers }
    const lines = Object.entries(all).filter(([, value]) => value !== null).map(([name, value]) => `${name}: ${value}\r\n`)
    return await exchange(line, `${firstLine}\r\n${lines.join('')}\r\n${options.body ?? ''}`, { head: firstLine.startsWith('HEAD') })
  } finally {
    line.end()
  }
}
