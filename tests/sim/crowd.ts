// Others on the boat's network: one who says what no page says, and a crowd that says too much. The server must answer, mind nothing,
// and keep no more of it than its limits allow.

import { PROTO } from 'proto'
import { must } from './model'
import type { Prng } from './prng'
import type { Schedule } from './schedule'
import type { Server } from './server'
import type { Story } from './story'

/** server/limit.h: what may wait for one screen; and the fresh board that follows when its queue was dropped. */
const LIMIT_QUEUE_FRAMES = 256
const LIMIT_ALARM_FRAMES = 64
const LIMIT_QUEUE_BYTES = 256 * 1024
const LIMIT_ALARM_BYTES = 64 * 1024
const FIRST_ADDRESS = 1000
/** Each look at the hub's invariants folds the trip. */
const CHECK_EVERY = 100

export class Crowd {
  constructor(private server: Server, private schedule: Schedule, private story: Story) {}

  // ---- one who talks nonsense ----

  addRogue(): void {
    this.schedule.after(this.story.at('rogue').int(500, 8000), () => {
      if (!this.server.faults) return
      if (this.server.up && this.story.may('rogue', 1000)) this.rogue(this.story.at('nonsense'))
      this.addRogue()
    })
  }

  private rogue(rng: Prng): void {
    const { server } = this
    const conn = server.call('join', '666').joined
    if (conn < 0) return
    const hello = { t: 'hello', proto: rng.hex(), page: rng.hex(), view: 'none' }
    if (rng.chance(700)) server.recv(conn, JSON.stringify(rng.chance(500) ? hello : { ...hello, key: 'wrong' }))
    for (let i = rng.int(1, 5); i > 0; i--) server.recv(conn, nonsense(rng))
    server.gone(conn)
  }

  // ---- a crowd that floods ----

  /** Many pages of the crew's tap as fast as they may, and read nothing. */
  addFlood(): void {
    this.schedule.after(this.story.at('flood').int(1000, 8000), () => {
      if (this.server.faults && this.server.saving && this.story.may('flood', 1000)) this.flood(this.story.at('flooding'))
    })
  }

  private flood(rng: Prng): void {
    const { server } = this
    const pages = Array.from({ length: 24 }, (_, i) => ({ conn: server.call('join', `${FIRST_ADDRESS + i}`).joined, id: rng.hex() }))
    const floods = pages.filter(({ conn }) => conn >= 0)
    for (const { conn, id } of floods) {
      server.recv(conn, JSON.stringify({ t: 'hello', proto: PROTO, page: id, view: 'phone', key: 'crew' }))
      server.slow(conn, true)
    }
    server.checkEvery(CHECK_EVERY)
    const text = 'x'.repeat(rng.int(1, 100))
    for (let n = 1; n <= 380; n++) {
      for (const { conn, id } of floods) {
        server.recv(conn, JSON.stringify({ t: 'tap', id: `${id}.o.${n}`, kind: 'noted', v: 1, ago_ms: 0, body: { text } }))
      }
    }
    const { run } = server
    this.schedule.after(rng.int(50, 3000), () => {
      if (server.up && server.run === run) for (const { conn } of floods) this.leave(conn)
    })
  }

  /** It reads at last what has waited for it, and goes. */
  private leave(conn: number): void {
    const { messages } = this.server.slow(conn, false)
    const mine = messages.filter((message) => message.conn === conn)
    const bytes = mine.reduce((sum, { text }) => sum + Buffer.byteLength(text), 0)
    must(mine.length <= 2 * LIMIT_QUEUE_FRAMES + LIMIT_ALARM_FRAMES, `promise 6: ${mine.length} messages waited for one screen`)
    must(bytes <= 2 * LIMIT_QUEUE_BYTES + LIMIT_ALARM_BYTES, `promise 6: ${bytes} bytes waited for one screen`)
    this.server.gone(conn)
  }
}

function nonsense(rng: Prng): string {
  const tap = JSON.stringify({ t: 'tap', id: `${rng.hex()}.e.1`, kind: 'overboard', v: 1, ago_ms: 0, body: {} })
  const at = rng.int(0, tap.length - 1)
  return rng.pick([
    '', '{', 'null', '[]', '{"t":"tap"}', '{"t":"fresh"}', '{"t":"take_helm","number":"1234"}', '{"t":"nothing"}', '"\\ud800"',
    '['.repeat(2000), `{"t":"beat","rev":1e3,"visible":true}`, 'x'.repeat(33_000).slice(0, rng.int(1, 32_000)),
    tap.slice(0, at), tap.slice(0, at) + String.fromCharCode(rng.int(1, 126)) + tap.slice(at + 1),
    tap.replace('overboard', 'stop'), tap.replace('"v":1', '"v":99'), tap.replace('.e.1', '.e.999999999'),
  ])
}
