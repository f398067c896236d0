// Every word that people read, in one place: one such file a language.
//
// The same word for the same thing everywhere; at most 12 letters where it is a button, and its box holds twice that. A verb
// or a state, never OK. Port and starboard always: they are the boat's, not the reader's. The board says what is logged and
// what is left; it says of nothing that it is safe, legal, or that it may be kept.

import type {
  CallState, CallWhat, CheckWhy, FightEnd, Gear, Kind, LineState, PageReach, Phase, Scope, Side, Station, StrikeEnd,
} from 'proto'
import type { TapWord } from './store'

const lines = (n: number) => (n === 1 ? '1 line' : `${n} lines`)

export const words = {
  board: 'Sternboard',

  line: {
    in: 'IN', setting: 'SETTING', out: 'OUT', strike: 'STRIKE', on: 'ON', clearing: 'TAKEN', fouled: 'FOULED', not_known: 'NOT KNOWN',
  } satisfies Record<LineState, string>,
  kept: 'KEPT',
  byEye: 'by eye',
  stillOn: (name: string) => `${name} on`,

  side: { centre: 'CENTRE', port: 'PORT', starboard: 'STARBOARD' } satisfies Record<Side, string>,
  /** Only where the whole word stands at the end of the same stern edge. */
  sideShort: { centre: 'CTR', port: 'PORT', starboard: 'STBD' } satisfies Record<Side, string>,

  /** Along the stern edge, where the place itself says the side. */
  gearShort: (gear: Gear) => ({ line: 'LINE', teaser: 'TEASER', dredge: 'DREDGE', float: 'FLOAT' })[gear],
  sternTile: 'STERN',
  sternCount: (out: number, of: number) => `${out} OF ${of} OUT`,

  station: {
    none: '', helm: 'helm', port: 'port corner', starboard: 'starboard corner', centre: 'centre', bridge: 'bridge', cockpit: 'cockpit',
    below: 'below', all: 'everyone',
  } satisfies Record<Station, string>,

  reach: { here: 'here', asleep: 'asleep', lost: 'lost', left: 'left' } satisfies Record<PageReach, string>,
  voice: 'voice',
  crew: 'Crew',
  buttons: 'Buttons',
  cockpitName: (facing: string) => (facing ? `COCKPIT · facing ${facing}` : 'COCKPIT'),
  hand: { sees: 'sees', lost: 'lost sight', heard: 'heard', notHeard: 'silent', called: 'called', got: 'got it', done: 'done', angler: 'angler' },
  openCount: (n: number) => `${n} open`,

  phase: {
    none: 'NO TRIP', dock: 'AT THE DOCK', running: 'RUNNING', fishing: 'FISHING', night: 'NIGHT', home: 'GOING HOME', ended: 'TRIP OVER',
  } satisfies Record<Phase, string>,

  strikeEnd: { open: 'OPEN', on: 'ON', knockdown: 'KNOCKDOWN', gone: 'GONE', not_known: 'NOT KNOWN' } satisfies Record<StrikeEnd, string>,
  fightEnd: {
    open: 'OPEN', boated: 'BOATED', released: 'RELEASED', pulled: 'PULLED', broke_off: 'BROKE OFF', bitten_off: 'BITTEN OFF',
    not_known: 'NOT KNOWN',
  } satisfies Record<FightEnd, string>,

  scope: {
    all: 'all', port: 'port side', starboard: 'starboard side', centre: 'centre', teasers: 'teasers and dredges', dredges: 'dredges',
    rest: 'the rest',
  } satisfies Record<Scope, string>,

  call: {
    ahead: 'AHEAD', ahead_easy: 'AHEAD EASY', neutral: 'NEUTRAL', back_easy: 'BACK EASY', back_hard: 'BACK HARD',
    turn_port: 'TURN PORT', turn_starboard: 'TURN STARBOARD', spin: 'SPIN', fish_port: 'FISH PORT', fish_starboard: 'FISH STARBOARD',
    fish_deep: 'FISH DEEP', fish_up: 'FISH UP', colour: 'COLOUR', leader: 'LEADER', stay_with_him: 'STAY WITH HIM',
    line_in_wheels: 'LINE IN WHEELS', cut_him_off: 'CUT HIM OFF', coming_ahead: 'COMING AHEAD', backing: 'BACKING',
    turning_port: 'TURNING PORT', turning_starboard: 'TURNING STARBOARD', hold_on: 'HOLD ON', come_up: 'COME UP',
    come_to_helm: 'COME TO HELM',
  } satisfies Record<CallWhat, string>,
  callState: {
    called: 'CALLED', got: 'GOT IT', done: 'DONE', not_heard: 'NOT HEARD', off: 'CALLED OFF',
  } satisfies Record<CallState, string>,

  why: {
    none: '', no_time: 'NO TIME', no_gear: 'NO GEAR', not_needed: 'NOT NEEDED', broken: 'BROKEN',
  } satisfies Record<CheckWhy, string>,

  /** What became of an act of this phone. */
  tap: {
    here: 'HERE ONLY', sent: 'SENT', seen: 'ON THE BOARD', saved: 'SAVED', refused: 'REFUSED', moot: 'NO LONGER APPLIED',
    late: 'LATE: IN THE LOG ONLY',
  } satisfies Record<TapWord, string>,
  tapWaiting: 'WAITING',
  tapsHere: (n: number) => (n === 1 ? '1 tap not yet saved' : `${n} taps not yet saved`),

  button: {
    strike: 'STRIKE', clear: 'CLEAR', clearRest: 'CLEAR REST', checks: 'CHECKS', undo: 'UNDO', overboard: 'OVERBOARD', called: 'CALLED',
    on: 'ON', knockdown: 'KNOCKDOWN', gone: 'GONE', all: 'ALL', back: 'BACK',
    byEye: 'BY EYE', asShown: 'ALL AS SHOWN', allOut: 'ALL OUT', allIn: 'ALL IN', teasersIn: 'TEASERS IN',
    callOver: 'CALL OVER', fightOver: 'FIGHT OVER', fishOff: 'FISH OFF', gotIt: 'GOT IT', done: 'DONE', stop: 'STOP', stopped: 'STOPPED',
    calls: 'CALLS', wheel: 'WHEEL', lookOut: 'LOOK-OUT', more: 'MORE', iHear: 'I HEAR', heard: 'HEARD', whoIsIt: 'WHO IS IT',
    iSee: 'I SEE THEM', lostSight: 'LOST SIGHT', steps: 'STEPS', backAboard: 'BACK ABOARD',
    falseAlarm: 'FALSE ALARM', startTrip: 'START TRIP', endTrip: 'END TRIP', joinCodes: 'JOIN CODES', leave: 'LEAVE DOCK',
    linesGoIn: 'GO FISHING', mineIn: 'MINE ARE IN', close: 'CLOSE', callOff: 'CALL OFF',
    notDone: 'NOT DONE', notHere: 'NOT ABOARD', leaveList: 'LEAVE LIST', takeHelm: 'TAKE HELM', haveWheel: 'I HAVE IT',
    haveLookOut: 'LOOK-OUT: ME', setUp: 'SET-UP', setLines: 'LINES IN/OUT', join: 'JOIN',
  },
  hold: 'hold',
  whichLine: 'TAP A LINE',
  whatIsIn: 'what is in',
  keepHolding: 'KEEP HOLDING',
  tapAgain: 'TAP AGAIN',
  tapName: 'tap a name',
  wipe: 'WIPE SCREEN',

  say: {
    out: (n: number, stern: string) => `${lines(n)} out${stern ? ', ' + stern : ''}`,
    allIn: 'All lines in',
    sternOut: (dredges: number, teasers: number) => (dredges > 1 ? 'dredges out' : dredges ? 'dredge out' : teasers > 1 ? 'teasers out' : teasers ? 'teaser out' : ''),
    sternTold: (out: number, of: number) => `Teasers and dredges: ${out} of ${of} out`,
    notSeen: (n: number) => `${n} not seen since restart`,
    which: 'Strike: which line?',
    strike: (name: string) => `Strike: ${name}`,
    on: (name: string, time: string) => `On: ${name}  ${time}`,
    onMany: (n: number) => `${n} fish on`,
    clear: (what: string, into: number, total: number) => `Clear ${what}: ${into} of ${total} in`,
    share: (what: string, into: number, total: number) => `${what}: ${into} of ${total}`,
    clearNotHeard: (what: string) => `Clear ${what}: not heard - shout`,
    allClear: 'ALL CLEAR',
    basis: (tapped: number, seen: number, age: string) => `${tapped} tapped, ${seen} seen, ${age}`,
    stop: (who: string, time: string) => `STOP: neutral now  ${who} ${time}`,
    call: (what: string, who: string) => `${what}  ${who}`,
    callNotHeard: (what: string) => `${what}: not heard - shout`,
    overboard: 'PERSON OVERBOARD',
    checkOpen: (next: number, total: number) => `Check open at ${next} of ${total}`,
    joinFirst: 'Waiting for the board',
    tapLine: 'Tap a line: out or in',
    helmGone: 'HELM GONE',
    whichClear: 'Clear which?',
    whichSeen: 'Seen by eye: what is in?',
    lineIs: (name: string) => `${name}: out or in?`,
    howEnded: (name: string) => `${name}: how did it end?`,
    tapOne: (what: string) => `${what}: tap a name`,
  },
  noLink: 'NO LINK - SHOUT',
  notKnown: 'NOT KNOWN - SHOUT',
  down: 'BOARD DOWN - USE VOICE',
  lastKnown: (age: string) => `last known ${age} ago`,
  logBack: 'THE LOG WENT BACKWARDS - this screen knows more than the board',
  diskSlow: 'The disk is slow: not yet saved',
  diskFailed: 'NOT SAVING - the log cannot be written',
  memoryOnly: 'This phone cannot keep taps: do not close the page',

  justNow: 'now',
  stillOut: 'STILL OUT',
  nothingOut: 'nothing logged as out',
  stillNotKnown: 'NOT KNOWN',
  countLines: lines,
  reachable: (n: number, of: number) => `${n} of ${of} reachable`,
  nobody: 'nobody',

  overboard: {
    by: (who: string) => `called by ${who}`,
    page: 'a page without a name',
    noKey: 'a page without a key',
    at: (clock: string) => `at ${clock}`,
    ago: (age: string) => `tapped ${age} before it came`,
    sees: (who: string) => `${who} sees: point`,
    lost: (who: string) => `${who} has lost sight`,
    whoSees: 'Who sees them?',
    nobodySees: 'Who sees? Tap a name',
    person: (who: string) => `It is ${who}`,
    keepPointing: 'KEEP POINTING',
    shout: 'Shout first. Then press.',
    twice: 'Hold, or tap twice',
  },

  join: {
    stay: 'STAY ON THIS WI-FI',
    even: 'even without internet',
    scan: 'Scan the join code at the helm to see the board.',
    typeKey: 'Or type the key from the join card',
    who: 'Who are you?',
    newName: 'NEW NAME',
    noName: 'NO NAME',
    screen: 'Which screen is this?',
    helm: 'HELM TABLET', station: 'COCKPIT STATION', phone: 'MY PHONE', debrief: 'DEBRIEF',
    helmNumber: 'Helm number, four digits',
    facing: 'Which way does its reader face?',
    aft: 'AFT', forward: 'FORWARD',
    cautions: [
      'This is no safety equipment and never the only alarm.',
      'A locked phone rings nobody. Shout first, then press.',
      'It shows what was tapped, not what is so. It gives no advice on law.',
    ],
  },

  codes: {
    title: 'Scan to join',
    wifi: 'First join this boat’s Wi-Fi. Then scan.',
    noKey: 'This tablet does not know the crew key. The start-up printed the join code.',
  },

  setup: {
    light: 'Light', day: 'DAY', dusk: 'DUSK', red: 'NIGHT RED', amber: 'NIGHT AMBER', sound: 'Sound', armed: 'SOUND ARMED',
    notArmed: 'SOUND NOT ARMED', phase: 'The trip', boat: 'Boat or trip', trip: (no: number) => `Trip ${no}`,
    spread: (n: number, m: number) => `${lines(n)}, ${m} teasers and dredges`, who: 'This phone speaks for', facing: 'Facing',
    size: '30 mm', smaller: 'SMALLER', larger: 'LARGER', another: 'OTHER SCREEN',
  },

  checks: {
    title: 'Checks', none: 'No trip, no checklists', doConfirm: 'do, then confirm', readDo: 'read, then do',
    done: (time: string, who: string) => `DONE ${time}${who ? ', ' + who : ''}`, left: 'LEFT OPEN', next: (n: number, of: number) => `${n} of ${of}`,
    why: 'Why not?',
  },
  calls: { title: 'Calls', say: 'Say it first', to: (to: string) => `to ${to}` },

  debrief: {
    title: 'Debrief', log: 'Log', board: 'The board then', timeline: 'Lines', noLog: 'Join with the crew key to read the log.',
    loading: 'Reading the log', failed: 'The log could not be read: is the board running?', more: (n: number) => `${n} more entries`,
    entries: (n: number, last: number) => `${n} entries read, last is ${last}`, voided: 'taken back', refused: 'refused',
    late: (age: string) => `late by ${age}`, offered: 'brought back after a crash', moot: 'no longer applied', replaced: 'corrected',
    clockEstimated: 'times since the last restart are estimated', nothing: 'Nothing logged yet',
    zone: (z: string) => `times in ${z}`, fish: 'square: fish on', bar: 'bar: out', unknown: 'hatched: not known',
    noClock: 'time of day not known: minutes since the log began', correct: 'CORRECT: it did not happen',
    agree: (n: number) => (n === 0 ? 'nothing else changes' : `${n} later entries would no longer apply`), take: 'TAKE IT BACK',
  },

  counts: (strikes: number, on: number, now: number, boated: number, released: number) =>
    `Strikes ${strikes}, on ${on} (now ${now}), boated ${boated}, released ${released}`,

  kind: {
    trip_started: 'Trip started', trip_phase: 'Phase', trip_ended: 'Trip ended', hand_added: 'New hand', hand_station: 'Station',
    page_hand: 'This page speaks for', duty: 'Duty', line_is: 'Line', line_bait: 'Bait', lines_seen: 'Seen by eye', strike: 'Strike',
    strike_named: 'Strike was', strike_ended: 'Strike', fight_angler: 'Angler', fight_ended: 'Fight over', clear_called: 'CLEAR called',
    line_taken: 'Taken', line_kept: 'Kept out', clear_over: 'CLEAR over', check_opened: 'Checklist opened', check_answered: 'Check',
    check_left: 'Checklist left open', call: 'Call', call_got: 'GOT IT', call_done: 'DONE', call_off: 'Called off', shown: 'Shown on a page',
    overboard: 'PERSON OVERBOARD', overboard_withdrawn: 'False alarm', overboard_heard: 'Heard overboard', overboard_sighted: 'In sight',
    overboard_person: 'Who it is', overboard_ended: 'Emergency over', stop: 'STOP', stop_over: 'Stopped', voided: 'Taken back',
    run: 'Board started', clock: 'Clock set', page_joined: 'Page joined', page_state: 'Page', helm_taken: 'Helm taken',
    strike_lapsed: 'Strike: end not known', call_unheard: 'Not heard', gap_filled: 'A tap that never came',
  } satisfies Record<Kind, string>,
}

export type Words = typeof words
