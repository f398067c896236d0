// A board of another release: when this page may load itself again, to become the page that goes with it.
//
// Once for each release, and only when nothing would be lost or missed by it: no tap waits, no entry of the second copy is still
// to be offered, and no emergency stands that this page shows and sounds.

import { PROTO, type BoardOverboard, type BoardStop } from 'proto'

/** same: this page goes with the board. waits: it will load itself again. stays: it has, and is of another release still. */
export type ReleaseWord = 'same' | 'waits' | 'stays'

export class Release {
  private other = ''

  /** tried: the release for which an earlier page has loaded itself again. */
  constructor(private tried: string) {}

  /** The server's release, and what to keep of it; undefined: nothing new. */
  heard(proto: string): string | undefined {
    this.other = proto === PROTO ? '' : proto
    return this.other === '' && this.tried !== '' ? (this.tried = '') : undefined
  }

  word(): ReleaseWord {
    if (this.other === '') return 'same'
    return this.other === this.tried ? 'stays' : 'waits'
  }

  /** Is it time? Then what to keep, so that it is done once. */
  reload(idle: boolean, parts: ReadonlyMap<string, unknown>): string | undefined {
    const overboard = parts.get('overboard') as BoardOverboard | undefined
    const stop = parts.get('stop') as BoardStop | undefined
    if (this.word() !== 'waits' || !idle || overboard?.id || stop?.id) return undefined
    return (this.tried = this.other)
  }
}
