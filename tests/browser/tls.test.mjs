// A crew member joins over https: the page is a secure one, its websocket is wss, and what browsers keep for secure pages is there. A
// browser that was not told to trust the board does not open it.

import assert from 'node:assert/strict'
import { createHash, X509Certificate } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { after, test } from 'node:test'
import { endAll, startServer } from '../net/server.mjs'
import { NAME, openBrowser, PHONE } from './screen.mjs'

after(endAll)

/** What Chromium is told to trust: the hash of the certificate's key, as its own switch asks for it. */
function trusting(data) {
  const { publicKey } = new X509Certificate(readFileSync(join(data, 'tls-board.pem')))
  const hash = createHash('sha256').update(publicKey.export({ type: 'spki', format: 'der' })).digest('base64')
  return [`--ignore-certificate-errors-spki-list=${hash}`]
}

test('a phone joins over https and its page is a secure one', async () => {
  const server = await startServer({ args: ['--tls', '--name', NAME] })
  const link = `https://${NAME}:${server.port}/#k=${server.keys().crew}`
  const crew = await openBrowser(trusting(server.data))
  const stranger = await openBrowser()
  try {
    const phone = await crew.screen('phone', PHONE)
    const sockets = []
    phone.context.on('page', (page) => page.on('websocket', (socket) => sockets.push(socket.url())))
    await phone.open(link)
    await phone.press('screen-phone')
    await phone.reads('body', /OVERBOARD/)
    assert.deepEqual(new Set(sockets), new Set([`wss://${NAME}:${server.port}/ws`]))
    const has = await phone.page.evaluate(() => [isSecureContext, 'serviceWorker' in navigator, 'wakeLock' in navigator])
    assert.deepEqual(has, [true, true, true])
    const other = await stranger.screen('stranger', PHONE)
    await assert.rejects(other.open(link), /ERR_CERT_AUTHORITY_INVALID/)
  } finally {
    await crew.close()
    await stranger.close()
  }
  assert.equal(await server.stop(), 0)
})
