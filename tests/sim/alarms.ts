// Promise 4 as far as a simulation without a clock can see it: in the same step in which the server has an overboard call, every
// screen of the crew's and the guests' that it knows has the alarm, before anything else that waits for it, whatever the disk does. A
// screen that reads nothing just then has it first when it reads again.

import type { Reply } from './hub_pipe'
import { must } from './model'

/** What is sent need not be JSON. */
const OVERBOARD = /^\{"t":"tap".*"kind":"overboard".*\}$/
const ID = /"id":"([0-9a-f.oe]+)"/

interface Screen {
  /** Alarms that lie in the server for a screen that reads nothing. */
  owed: string[]
  slow: boolean
}

export class Alarms {
  private screens = new Map<number, Screen>()
  rung = 0

  /** The server forgets all connections. */
  reset(): void {
    this.screens.clear()
  }

  gone(conn: number): void {
    this.screens.delete(conn)
  }

  slow(conn: number, slow: boolean): void {
    const screen = this.screens.get(conn)
    if (screen) screen.slow = slow
  }

  /** After each step. sent: the message that the step brought, from that connection. */
  check(reply: Reply, from: number, sent: string): void {
    const id = OVERBOARD.exec(sent) ? (ID.exec(sent)?.[1] ?? '') : ''
    if (id && this.taken(reply, from, id)) this.rings(reply, id)
    for (const [conn, screen] of this.screens) if (!screen.slow && screen.owed.length > 0) this.paid(reply, conn, screen)
    for (const { conn, text } of reply.messages) {
      if (text.includes('"t":"welcome"') && !text.includes('"from":"anyone"')) this.screens.set(conn, { owed: [], slow: false })
    }
    for (const { conn } of reply.closes) this.gone(conn)
  }

  /** A first answer that is not a refusal; one that is moot says nothing new. */
  private taken(reply: Reply, from: number, id: string): boolean {
    const answer = reply.messages.find(({ conn, text }) => conn === from && text.includes(`"id":"${id}"`) && text.includes('"t":"answer"'))
    return !!answer && answer.text.includes('"is":"seen"') && !answer.text.includes('"moot":true')
  }

  private rings(reply: Reply, id: string): void {
    this.rung++
    const closing = new Set(reply.closes.map(({ conn }) => conn))
    for (const [conn, screen] of this.screens) {
      if (closing.has(conn)) continue
      if (screen.slow) screen.owed.push(id)
      else this.first(reply, conn, id)
    }
  }

  private paid(reply: Reply, conn: number, screen: Screen): void {
    if (!reply.closes.some((close) => close.conn === conn)) for (const id of screen.owed) this.first(reply, conn, id)
    screen.owed = []
  }

  private first(reply: Reply, conn: number, id: string): void {
    for (const { text } of reply.frames.filter((frame) => frame.conn === conn)) {
      must(!text.includes('"t":"alarm"') || !text.includes('\n'), `promise 4: an alarm is not heard before what comes along with it`)
      if (text.includes('"t":"alarm"') && text.includes(`"id":"${id}"`)) return
      must(text.includes('"t":"alarm"') || text.includes('"t":"answer"'), `promise 4: ${text.slice(0, 80)} went ahead of the alarm ${id}`)
    }
    must(false, `promise 4: the alarm ${id} did not go to connection ${conn}`)
  }
}
