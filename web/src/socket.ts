// The websocket, behind the numbers that the link gives. A socket that was given up is forgotten at once: nothing that it
// still does is reported.

import type { Input } from './link_types'

const SUBPROTOCOL = 'sternboard'
const PATH = '/ws'

export class Socket {
  private socket: WebSocket | null = null
  private gen = 0

  constructor(private report: (input: Input) => void) {}

  open(gen: number): void {
    this.drop()
    this.gen = gen
    const scheme = location.protocol === 'https:' ? 'wss:' : 'ws:'
    try {
      this.listen(new WebSocket(`${scheme}//${location.host}${PATH}`, SUBPROTOCOL), gen)
    } catch {
      // The constructor throws where the address or the page's policy forbids it; told later, as any other failure is.
      setTimeout(() => this.report({ is: 'closed', gen }))
    }
  }

  send(gen: number, text: string): void {
    if (gen === this.gen && this.socket?.readyState === WebSocket.OPEN) this.socket.send(text)
  }

  close(gen: number): void {
    if (gen === this.gen) this.drop()
  }

  private listen(socket: WebSocket, gen: number): void {
    this.socket = socket
    socket.onopen = () => this.report({ is: 'opened', gen })
    socket.onmessage = (event) => this.report({ is: 'message', gen, text: String(event.data) })
    socket.onclose = () => this.report({ is: 'closed', gen })
  }

  private drop(): void {
    if (!this.socket) return
    this.socket.onopen = this.socket.onmessage = this.socket.onclose = null
    this.socket.close()
    this.socket = null
  }
}
