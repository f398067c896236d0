// The debrief's own words: apart from words.ts, so that the pages at sea do not carry them. The same rules hold: never green, no
// score, no ranking, no blame; what is logged is said, and of nothing that it is safe or legal.

import type { PageReach, StrikeEnd } from 'proto'
import type { EffortGroup, Ratio, Times } from './debrief/numbers'
import type { PlaceOf, Reached } from './debrief/known'

const few = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`

export const said = {
  title: 'Debrief', noLog: 'Join with the crew key to read the log.', loading: 'Reading the log', failed: (why: string) => `The debrief could not be read: ${why}`,
  nothing: 'Nothing logged yet', anew: 'READ AGAIN', another: 'OTHER SCREEN',
  zone: (z: string) => `times in ${z}`, noClock: 'time of day not known: minutes since the trip began', estimated: 'times since the last restart are estimated',
  open: 'not ended yet', hours: (h: string) => `${h} h`, trip: (no: number, name: string) => `${name}${name && ' '}${no ? `trip ${no}` : 'before the first trip'}`,
  tripsOf: (n: number) => few(n, 'trip'), entries: (n: number) => few(n, 'entry', 'entries'), by: (version: string) => `Sternboard ${version}`,
  counts: (raises: number, bites: number, on: number, caught: number) => `${few(raises, 'raise')}, ${few(bites, 'bite')}, ${on} on, ${caught} caught`,
  apart: (late: number, voided: number, moot: number) => [late ? `${late} late` : '', voided ? `${voided} taken back` : '', moot ? `${moot} no longer applied` : ''].filter(Boolean).join(', '),

  filters: 'Which trips', from: 'From trip', to: 'To trip', months: 'Months', bait: 'Bait', position: 'Place', all: 'all', show: 'SHOW',
  monthNames: ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'],
  inFile: 'This file holds what was chosen when it was made.', shownTrip: 'Timeline of',
  print: 'PRINT', save: 'SAVE AS FILE', saving: 'MAKING IT', saveFailed: (why: string) => `The file could not be made: ${why}`,
  noNames: 'without names and notes', noPlaces: 'without positions', share: 'File and print',

  tabs: { cards: 'FOUR QUESTIONS', replay: 'THE BOARD THEN', plots: 'PLOTS', tables: 'TABLES' }, parts: 'Parts of the debrief',
  cards: { planned: 'What did we plan?', happened: 'What happened?', why: 'Why?', next: 'What next?' },
  whyHint: 'What made sense at the time?', none: 'nothing logged', job: (no: number) => `Job ${no}`, jobBy: 'Whose', jobDay: 'By which day', nobody: 'NOBODY', keep: 'SAVE', done: 'DONE', isDone: 'done',
  jobRule: 'At most three, each with a name and a day. The next trip starts with them.',

  timeline: 'Timeline', calls: 'Calls', others: 'People, notes',
  legend: {
    out: 'out', on: 'fish on', coming: 'being taken in', unsure: 'not known', strike: 'bite', raised: 'fish up', leader: 'at the leader',
    ended: 'how it ended', call: 'call', late: 'late: dashes to when it was entered', corrected: 'pencil: corrected later', moot: 'hollow: no longer applied', gap: 'grey hatching: not heard',
  },
  window: { whole: 'WHOLE TRIP', h6: '6 H', h1: '1 H', m10: '10 MIN' }, windowOf: 'How much is shown',
  gap: { server: 'the board was not running', helm: 'no helm', page: 'a screen was not heard', clock: 'the clock was set', missing: 'entries that never came' },
  lateBy: (age: string) => `late by ${age}`, was: (words: string) => `was: ${words}`,
  standing: { plain: '', late: 'late', offered: 'brought back after a crash', corrected: 'corrected', moot: 'no longer applied' },

  replay: 'Replay', play: 'PLAY', pause: 'PAUSE', back: 'STEP BACK', on: 'STEP', speed: 'Speed', times: (n: number) => `${n} TIMES`, at: 'Time in the replay',
  keys: 'Here: space or K plays, J and L step, 1, 2 and 3 set the speed', readingReplay: 'Reading the replay', noReplay: 'The replay could not be read.',
  known: 'Known to', knownTo: (place: string) => `KNOWN TO ${place}`, noHindsight: 'NO HINDSIGHT', noHindsightIs: 'Only what was in the log at that moment is drawn', marks: 'MARKS',
  place: { log: 'EVERYONE', helm: 'HELM', station: 'COCKPIT STATION', phone: 'PHONE' } satisfies Record<PlaceOf, string>,
  placeOf: { log: 'the log', helm: 'the helm', station: 'the cockpit station', phone: 'the phone' } satisfies Record<PlaceOf, string>,
  phoneOf: (name: string) => `${name}’S PHONE`, phoneSays: (name: string) => `${name}’s phone`,
  knew: (place: string) => `${place} showed all of this.`,
  never: (place: string) => `${place} had shown nothing yet.`,
  away: (place: string, how: string, since: string) => `${place} was ${how} since ${since}. The board below is what it showed last; what came after is grey.`,
  unsure: 'What came in its last seconds may not have reached it.',
  how: { here: 'away', asleep: 'asleep', lost: 'not heard', left: 'closed', '': 'away' } satisfies Record<PageReach | '', string>,
  reached: { shown: '', perhaps: 'may not have reached it', later: 'shown when it came back', not_yet: 'had not reached it' } satisfies Record<Reached, string>,
  missing: (n: number) => `${few(n, 'entry', 'entries')} had not reached it`,
  receipt: (at: string) => `receipt ${at}`, noReceipt: 'no receipt', openCalls: 'Calls open then',
  board: 'The board then', log: 'Log', refused: 'refused', moot: 'no longer applied', offered: 'brought back after a crash', correction: 'corrects an earlier entry', correctedAt: (at: string) => `taken back or corrected ${at}`,
  more: (n: number) => `${n} more`, wheel: 'Wheel', lookOut: 'Look-out',
  take: (what: string) => `CORRECT: ${what}, did not happen`, agree: (n: number) => (n === 0 ? 'nothing else changes' : `${few(n, 'later entry', 'later entries')} would no longer apply`), takeBack: 'TAKE IT BACK',

  table: 'TABLE', picture: 'PICTURE', choose: 'CHOOSE', by10: 'bites per 10 line-hours', seconds: 'seconds', minutes: 'minutes',
  perhour: (bites: number, hours: string) => `${few(bites, 'bite')} in ${hours} h`,
  fewEvents: 'few events', noRate: 'no rate under 5', atMost: (n: string) => `none: at most ${n}`, noEffort: 'line not named',
  rate: (n: string, lo: string, hi: string) => `${n}: ${lo} to ${hi}`,
  same: 'These could be the same', sameAll: 'These could all be the same.', differ: (a: string, b: string, lo: string, hi: string) => `${a} and ${b} differ by ${lo} to ${hi}.`,
  notCompared: 'Too few bites to compare.',
  effortBy: { all: 'all lines', position: 'place', bait: 'bait', side: 'side', phase: 'phase', hour: 'hour', day: 'day', light: 'day or night' } satisfies Record<EffortGroup['by'], string>,
  plots: {
    calls: 'Calls: from CALLED to GOT IT to DONE', effort: 'Bites, and the line-hours they came in', fish: 'How each fish ended', checks: 'Checks: time taken, items left open',
    clearing: 'Clearing: from CLEAR to all in', bait: 'How old the bait was at the bite', trend: 'From trip to trip: answers and clearing',
  },
  noCalls: 'No calls were made.', noBites: 'No bites.', noFish: 'No fish was on.', noChecks: 'No checklist was opened.', noClearing: 'CLEAR was not called.', noBait: 'No bite with a known bait age.',
  beyond: (n: string) => `${n} s`, items: (open: number, of: number) => (open ? `${open} of ${of} open` : `all ${of} answered`), fast: 'faster than reading', voice: 'by voice',
  ended: { boated: 'BOATED', released: 'RELEASED', off: 'FISH OFF', not_known: 'NOT KNOWN', open: 'STILL ON' },
  strikeEnd: { open: 'open', on: 'on', knockdown: 'knockdown', gone: 'gone', not_known: 'not known' } satisfies Record<StrikeEnd, string>,
  clearMarks: { port: 'port in', starboard: 'starboard in', all: 'all in', over: 'over' },
  median: (n: string, of: number) => `middle ${n} s of ${of}`, got: 'first answer', clear: 'all in',

  tables: {
    events: 'Events', ratios: 'Ratios', times: 'Times', fish: 'Fish', standing: 'The box against the rule set', reports: 'Reports', baits: 'Baits', duties: 'Wheel and look-out', near: 'Near misses', effort: 'Effort', gaps: 'Gaps',
  },
  head: {
    when: 'When', line: 'Line', what: 'What', note: 'Note', of: 'Of', k: 'Of n', part: 'Share', most: '95 %', n: 'n', min: 'Least', q25: 'Quarter', median: 'Middle', q75: 'Three quarters', max: 'Most',
    fish: 'Fish', length: 'Length', girth: 'Girth', weight: 'Weight', kept: 'Kept', said: 'Beside it', logged: 'Logged', limit: 'Limit', left: 'Left', least: 'Least length', basis: 'Basis', due: 'Due', number: 'Number', from: 'From',
    looks: 'Looks', missed: 'Missed', longest: 'Longest', post: 'Post', named: 'Named', unnamed: 'Not named', over: 'Handed over', bites: 'Bites', hours: 'Line-hours', rate: 'Per 10 line-hours', half: '50 %', called: 'Called', got: 'GOT IT', done: 'DONE', end: 'End',
    name: 'List', time: 'Time taken', open: 'Open', bait: 'Bait', age: 'Age', trip: 'Trip', raises: 'Raises', hooked: 'On', caught: 'Caught', notKnown: 'Not known', shown: 'Shown', port: 'Port in', starboard: 'Starboard in', all: 'All in', to: 'To', reason: 'Call', compared: 'Compared',
  },
  ratio: { bites_of_raises: 'raised fish that bit', hooked_of_bites: 'bites that came on', caught_of_hooked: 'fish on that were caught', caught_of_bites: 'bites that were caught' } as Record<Ratio['of'], string>,
  ratioOf: (k: number, n: number) => `${k} of ${n}`,
  time: {
    call_to_got: 'call to GOT IT', got_to_done: 'GOT IT to DONE', call_to_done: 'call to DONE', strike_to_clear_called: 'bite to CLEAR', clear_called_to_side_clear: 'CLEAR to a side in',
    clear_called_to_all_clear: 'CLEAR to all in', line_in: 'one line in', strike_to_on: 'bite to ON', strike_to_leader: 'bite to leader', leader_to_end: 'leader to the end', fight: 'fight', bait_age_at_bite: 'bait age at the bite',
    boated_to_ice: 'boated to ice', out_of_water: 'out of the water', check: 'checklist',
  } as Partial<Record<Times['of'], string>>,
  fate: { not_said: '', kept: 'kept', released: 'released', discarded_dead: 'went back dead' }, estimate: 'estimated', weighed: 'weighed', ruleOf: (name: string, dated: string) => `${name}, checked ${dated}.`, noLimit: 'none stated', none0: 'none', noNumber: 'no number yet',
  noRetention: 'this rule keeps none', post: { wheel: 'wheel', look_out: 'look-out' },
  caution: 'This is what was logged, not all that happened. Never of one person, no score.',
  page: (boat: string, date: string) => `${boat}, ${date}`, slice: (from: string, to: string) => `${from} to ${to}`,
}
