// touches - the ledger of what each act takes of touches, from one entry of a screen to its next.
//
// At sea no act may take more than two, however the menus are changed: the one that does fails its test. What is done at the
// dock or while the boat is set up may take as many as it needs, and is listed apart.

import assert from 'node:assert/strict'

const MOST_AT_SEA = 2

export class Ledger {
  constructor() {
    this.acts = []
  }

  note({ flow, screen, act, touches, ashore }) {
    this.acts.push({ flow, screen, act, touches, ashore })
    assert.ok(touches >= 1, `${flow}: ${act} came of no touch at ${screen}`)
    if (!ashore) assert.ok(touches <= MOST_AT_SEA, `${flow}: ${act} at ${screen} took ${touches} touches, at sea it may take ${MOST_AT_SEA}`)
  }

  atSea() {
    return this.acts.filter((one) => !one.ashore)
  }

  greatest() {
    return Math.max(0, ...this.atSea().map((one) => one.touches))
  }

  /** A line for each act of each screen: the most touches that it took at sea, and ashore. */
  table() {
    const rows = new Map()
    for (const { act, screen, touches, ashore } of this.acts) {
      const row = rows.get(`${act} ${screen}`) ?? { act, screen, sea: 0, ashore: 0, times: 0 }
      row[ashore ? 'ashore' : 'sea'] = Math.max(row[ashore ? 'ashore' : 'sea'], touches)
      row.times++
      rows.set(`${act} ${screen}`, row)
    }
    const lines = [...rows.values()].sort((a, b) => a.act.localeCompare(b.act) || a.screen.localeCompare(b.screen))
      .map(({ act, screen, sea, ashore, times }) => [act.padEnd(20), screen.padEnd(8), String(sea || '-').padStart(6), String(ashore || '-').padStart(6), String(times).padStart(6)].join(' '))
    return ['act                  screen      sea ashore  times', ...lines,
      `${this.atSea().length} acts at sea, the greatest took ${this.greatest()} touches; ${this.acts.length - this.atSea().length} ashore`].join('\n')
  }
}
