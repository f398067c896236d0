// The invented boat of the long trip: her spread of nine lines, teasers and dredges, her crew, lists, presets and orders.

import type { BodyOrders, BodyTripStarted, CrewHand, SpreadLine } from 'proto'
import lists from '../../shared-proto/defaults/lists.json'

export const DAY: SpreadLine[] = [
  { id: 1, name: 'Long port', side: 'port', gear: 'line', distance_m: 60, bait: 'rigged ballyhoo, blue' },
  { id: 2, name: 'Short port', side: 'port', gear: 'line', distance_m: 34, bait: 'rigged ballyhoo, pink' },
  { id: 3, name: 'Flat port', side: 'port', gear: 'line', distance_m: 12, bait: 'rigged mackerel' },
  { id: 4, name: 'Way back', side: 'centre', gear: 'line', distance_m: 92, bait: 'jet head, black' },
  { id: 5, name: 'Flat starboard', side: 'starboard', gear: 'line', distance_m: 16, bait: 'rigged mackerel' },
  { id: 6, name: 'Short starboard', side: 'starboard', gear: 'line', distance_m: 38, bait: 'rigged ballyhoo, pink' },
  { id: 7, name: 'Long starboard', side: 'starboard', gear: 'line', distance_m: 66, bait: 'rigged ballyhoo, blue' },
  { id: 8, name: 'Centre rigger', side: 'centre', gear: 'line', distance_m: 75, bait: 'bullet head, purple' },
  { id: 9, name: 'Bridge rod', side: 'centre', gear: 'line', distance_m: 110, bait: 'squid chain' },
  { id: 10, name: 'Teaser port', side: 'port', gear: 'teaser', distance_m: 14 },
  { id: 11, name: 'Teaser starboard', side: 'starboard', gear: 'teaser', distance_m: 14 },
  { id: 12, name: 'Dredge port', side: 'port', gear: 'dredge', distance_m: 6 },
  { id: 13, name: 'Dredge starboard', side: 'starboard', gear: 'dredge', distance_m: 6 },
]

/** Baits at night, each on a float but the close one. */
export const NIGHT: SpreadLine[] = [
  { id: 14, name: 'Tip rod', side: 'starboard', gear: 'float', distance_m: 10, bait: 'whole squid' },
  { id: 15, name: 'Float 1', side: 'port', gear: 'float', distance_m: 30, bait: 'whole squid' },
  { id: 16, name: 'Float 2', side: 'port', gear: 'float', distance_m: 60, bait: 'rigged eel' },
  { id: 17, name: 'Float 3', side: 'port', gear: 'float', distance_m: 90, bait: 'whole squid' },
  { id: 18, name: 'Deep bait', side: 'starboard', gear: 'float', distance_m: 40, bait: 'strip bait, red' },
]

const CREW: CrewHand[] = [
  { id: 1, name: 'Ines', station: 'helm' },
  { id: 2, name: 'Tobias', station: 'port' },
  { id: 3, name: 'Ruth', station: 'starboard' },
  { id: 4, name: 'Amparo', station: 'cockpit' },
  { id: 5, name: 'Dov', station: 'cockpit', voice: true },
  { id: 6, name: 'Ottilie', station: 'cockpit' },
  { id: 7, name: 'Yusuf', station: 'bridge' },
  { id: 8, name: 'Selma', station: 'centre' },
]
/** She comes out of her bunk some hours into the trip. */
export const NINTH = 'Bronagh'

export const LONGS = [1, 7]

export const TRIP: BodyTripStarted = {
  name: 'Grey Petrel, two days at the bank',
  no: 42,
  spread: DAY,
  crew: CREW,
  lists: lists.lists as BodyTripStarted['lists'] & object,
  presets: [
    { id: 1, name: 'all but longs', kept: LONGS },
    { id: 2, name: 'all but way back', kept: [4] },
    { id: 3, name: 'all but flats', kept: [3, 5] },
  ],
  rules: 'own rules of the boat',
  line_in_ms: 38_000,
  jobs: ['new clip on the port rigger', 'guard for the second gaff', 'spare light sticks'],
  job_names: ['Tobias', 'Amparo', ''],
}

export const ORDERS: BodyOrders = {
  wheel: 1, wire: 3, gaff: 4, door: 6, keep_ahead_s: 25, anglers: [2, 5, 8, 7],
  fish: [{ name: 'marlin' }, { name: 'sailfish', preset: 1 }, { name: 'tuna', preset: 2 }, { name: 'wahoo' }],
}
