// trip - one long trip, 36 hours with 200 strikes and more, through the real hub and the real log; then the shipped program reads it.
//
//   node trip.mjs SIM_HUB FOLDER OUT [SEED] [HOURS]   FOLDER: gets the log; OUT: a file for what it must hold
//
// Prints the size of the whole board as each joining page is sent it, after every command that wrote entries. A trip of fewer
// hours is the same trip, shorter.

import { writeFileSync } from 'node:fs'
import { HubPipe } from '../sim/hub_pipe'
import { Prng } from '../sim/prng'
import { Boat } from './boat'
import { Deck } from './deck'
import { tell } from './story'

const SEED = 36
const HOURS = 36

function main(): void {
  const [program, folder, out, seed, hours] = process.argv.slice(2)
  if (!program || !folder || !out) throw new Error('usage: node trip.mjs SIM_HUB FOLDER OUT [SEED] [HOURS]')
  const hub = new HubPipe(program, folder)
  const boat = new Boat(hub, folder, new Prng(Number(seed ?? SEED)))
  tell(new Deck(boat), Number(hours ?? HOURS))
  const { sizes } = boat
  const live = boat.end()
  const complaint = hub.finish()
  if (complaint) throw new Error(complaint)
  console.log(`${live.seq} entries, ${sizes.boards} whole boards measured`)
  console.log(`greatest ${sizes.most} bytes in ${sizes.most_messages} messages (and ${sizes.most_headers} bytes of headers), after entry ` +
    `${sizes.most_seq}; mean ${Math.round(sizes.sum / sizes.boards)}`)
  writeFileSync(out, JSON.stringify({ ...live, sizes }))
}

main()
