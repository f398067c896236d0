// Every word that people read, in one place: one such file a language, and words_debrief.ts beside it, which only the debrief loads.
//
// The same word for the same thing everywhere; at most 12 letters where it is a button, and its box holds twice that. A verb
// or a state, never OK. Port and starboard always: they are the boat's, not the reader's. The board says what is logged and
// what is left; it says of nothing that it is safe, legal, or that it may be kept.

import type {
  BaitResult, CallState, CallWhat, CheckWhy, Condition, EndOf, FightEnd, FishFate, Gear, HurtHow, Kind, Light, LineState, Measure, NearKind, PageReach, Phase, RaiseEnd, RaiseGear, Scope,
  Side, StampWhat, Station, StrikeEnd, TripUse,
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
  moreOut: (n: number) => `${n} MORE`, allOut: (n: number) => `${n} OUT`,
  gearCount: (gear: Gear, n: number) => `${n} ${{ line: 'LINE', teaser: 'TEASER', dredge: 'DREDGE', float: 'FLOAT' }[gear]}${n === 1 ? '' : 'S'}`,
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
  cockpit: 'COCKPIT', faces: (way: string) => `faces ${way}`,
  hand: { sees: 'sees', lost: 'lost sight', heard: 'heard', notHeard: 'silent', called: 'called', got: 'got it', done: 'done', angler: 'angler', leader: 'leader' },
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
    come_to_helm: 'COME TO HELM', wake: 'WAKE', gaff: 'GAFF', shut_door: 'SHUT DOOR', open_door: 'OPEN DOOR',
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
    late: 'SAVED, LATE',
  } satisfies Record<TapWord, string>,
  tapWaiting: 'WAITING',
  tapsHere: (n: number) => (n === 1 ? '1 tap not yet saved' : `${n} taps not yet saved`),

  button: {
    strike: 'STRIKE', clear: 'CLEAR', clearRest: 'CLEAR REST', checks: 'CHECKS', undo: 'UNDO', overboard: 'OVERBOARD', called: 'CALLED',
    on: 'ON', knockdown: 'KNOCKDOWN', gone: 'GONE', all: 'ALL', back: 'BACK',
    byEye: 'BY EYE', asShown: 'ALL AS SHOWN', allOut: 'ALL OUT', allIn: 'ALL IN', portIn: 'PORT IN', starboardIn: 'STARBOARD IN', teasersIn: 'TEASERS IN',
    callOver: 'CLEAR OVER', fightOver: 'FIGHT OVER', gotIt: 'GOT IT', done: 'DONE', stop: 'STOP', stopped: 'STOPPED',
    calls: 'CALLS', wheel: 'WHEEL', lookOut: 'LOOK-OUT', more: 'MORE', iHear: 'I HEAR', heard: 'HEARD', whoIsIt: 'WHO IS IT',
    iSee: 'I SEE THEM', lostSight: 'LOST SIGHT', steps: 'STEPS', backAboard: 'BACK ABOARD',
    falseAlarm: 'FALSE ALARM', startTrip: 'START TRIP', endTrip: 'END TRIP', joinCodes: 'JOIN CODES', leave: 'LEAVE DOCK',
    linesGoIn: 'GO FISHING', out: 'OUT', in: 'IN', fouled: 'FOULED', mineIn: 'MINE ARE IN', close: 'CLOSE', callOff: 'CALL OFF',
    notDone: 'NOT DONE', notHere: 'NOT ABOARD', leaveList: 'LEAVE LIST', open: 'OPEN', takeHelm: 'TAKE HELM', haveWheel: 'I HAVE IT',
    haveLookOut: 'LOOK-OUT: ME', keepOut: 'KEEP OUT', setUp: 'SET-UP', setLines: 'LINES IN/OUT', join: 'JOIN',
    raised: 'RAISED', left: 'LEFT', pitch: 'PITCH', pitchBack: 'PITCH BACK', leader: 'LEADER', letGo: 'LET GO', openDoor: 'OPEN DOOR',
    shutDoor: 'SHUT DOOR', gaff: 'GAFF', gaffAway: 'GAFF AWAY', astern: 'ASTERN', wentAnyway: 'WENT ANYWAY', hurt: 'HURT', lookedAfter: 'LOOKED AFTER',
    happened: 'HAPPENED', tell: 'TELL IT', note: 'NOTE', brief: 'BRIEF', giveBrief: 'GIVE BRIEF', nextTrip: 'NEXT TRIP', save: 'SAVE', later: 'LATER',
    counted: 'COUNTED', add: 'ADD', takeOff: 'TAKE OFF', fish: 'FISH', rods: 'RODS',
  },
  hold: 'hold',
  whichLine: 'TAP A LINE',
  whatIsIn: 'what is in',
  keepHolding: 'KEEP HOLDING',
  tapAgain: 'TAP AGAIN',
  tapName: 'tap a name',
  wipe: 'WIPE SCREEN',

  say: {
    out: (n: number, of: number, stern: string) => `${n} of ${of} out${stern ? ', ' + stern : ''}`,
    allIn: 'All lines in',
    sternOut: (dredges: number, teasers: number) => (dredges > 1 ? 'dredges out' : dredges ? 'dredge out' : teasers > 1 ? 'teasers out' : teasers ? 'teaser out' : ''),
    sternTold: (out: number, of: number) => `Teasers and dredges: ${out} of ${of} out`,
    notSeen: (n: number) => `${n} not known: look`,
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
    fishUp: (time: string) => `Fish up ${time}`,
    fishUpMany: (n: number) => `${n} fish up`,
    touched: (path: string) => `touched ${path}`,
    teaserIn: 'teaser in',
    pitchIn: 'pitch in water',
    keepAhead: (time: string) => `KEEP AHEAD ${time}`,
    keepAheadToo: (time: string) => `keep ahead ${time}`,
    next: (name: string) => `next: ${name}`,
    forFish: (fish: string, what: string) => `${fish}: ${what}`,
    aboutLeft: (time: string) => `about ${time} left`,
    leader: (time: string) => `LEADER ${time}`,
    wires: (name: string) => `${name} wires`,
    doorIs: (open: boolean) => (open ? 'DOOR OPEN' : 'door shut'),
    gaffUp: (name: string) => (name ? `gaff: ${name}` : 'gaff up'),
    lookOutIs: (name: string) => `look-out: ${name}`,
    whichLeader: 'Leader: tap the fish',
    astern: (out: number, door: boolean) => `Astern: ${[out ? `${out} not in` : 'nothing logged as out', door ? 'door open' : ''].filter(Boolean).join(', ')}`,
    hurt: (who: string, time: string) => `HURT${who ? `: ${who}` : ''}  ${time}`,
  },
  noLink: 'NO LINK - SHOUT',
  notKnown: 'NOT KNOWN - SHOUT',
  down: 'BOARD DOWN - USE VOICE',
  lastKnown: (age: string) => `last known ${age} ago`,
  logBack: 'LOG WENT BACK: tap what is missing',
  releaseWaits: 'New release: loads itself again soon',
  releaseStays: 'Other release: load this page again',
  lateTold: (age: string, who: string, what: string) => `${age} ago${who && `, ${who}`}: ${what}`,
  lateMoot: (age: string, what: string) => `LOG ONLY, ${age} ago: ${what}`,
  diskSlow: 'The disk is slow: not yet saved',
  diskFailed: 'NOT SAVING - the log cannot be written',
  spareStopped: 'Spare copy stopped: look at the stick',
  spareBehind: 'Spare copy is behind',
  memoryOnly: 'Keeps no taps: leave this page open',

  justNow: 'now',
  stillOut: 'STILL OUT',
  nothingOut: 'nothing logged as out',
  stillNotKnown: 'NOT KNOWN',
  countLines: lines,
  reachable: (n: number, of: number) => `${n} of ${of} reachable`,
  nobody: 'nobody',

  overboard: {
    by: (who: string) => `called by ${who}`,
    page: 'a phone without a name',
    noKey: 'a phone without a key',
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
    helmNumber: 'Helm number, four digits', isHelmNumber: 'That is the helm’s number: it is asked for after the key',
    facing: 'Which way do you face, reading it?',
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
    light: 'Light', day: 'DAY', dusk: 'DUSK', red: 'NIGHT RED', amber: 'NIGHT AMBER', sound: 'Sound', armed: 'SOUND ON',
    notArmed: 'NO SOUND', phase: 'The trip', boat: 'Boat or trip', trip: (no: number) => `Trip ${no}`,
    spread: (n: number, m: number) => `${lines(n)}, ${m} teasers and dredges`, who: 'Whose phone', facing: 'Facing',
    size: '30 mm', smaller: 'SMALLER', larger: 'LARGER', another: 'OTHER SCREEN',
    tabs: { boat: 'BOAT', aboard: 'ABOARD', crew: 'CREW', spread: 'SPREAD', presets: 'ALL BUT', lists: 'CHECKS' },
    before: 'BEFORE', after: (n: number, of: number) => `NEXT: ${n} of ${of}`, name: 'Name', bait: 'Bait', newHand: (n: number) => `Hand ${n}`, newPlace: (n: number) => `Line ${n}`,
    newPreset: (n: number) => `all but ${n}`, voiceOnly: 'VOICE ONLY', hasPhone: 'HAS A PHONE', earlier: 'MORE TO PORT', metres: (m: number) => `${m} m astern`,
    staysOut: 'STAYS OUT', comesIn: 'COMES IN', keptOut: (names: string) => `Stay out: ${names || 'none'}`, aboard: 'ABOARD',
    itemsAboard: (n: number, of: number) => `${n} of ${of} are asked on this boat`,
  },

  checks: {
    title: 'Checks', none: 'Lists come with a trip', doConfirm: 'do, then confirm', readDo: 'read, then do',
    done: (time: string, who: string) => `DONE ${time}${who ? ', ' + who : ''}`, left: 'LEFT OPEN', next: (n: number, of: number) => `${n} of ${of}`,
    why: 'Why not?',
  },
  calls: { say: 'Say it first', to: (to: string) => `to ${to}`, from: (name: string) => `from ${name}` },

  /** Its other words lie in words_debrief.ts. */
  debrief: { loading: 'Reading the log' },

  hurt: {
    who: 'Who is hurt?', how: 'How badly?', since: (time: string) => `called ${time} ago`, by: (who: string) => `by ${who}`,
    is: {
      not_said: 'NOT SAID', first_aid: 'FIRST AID', beyond_first_aid: 'DOCTOR NEEDED', missing: 'MISSING', dead: 'DEAD',
    } satisfies Record<HurtHow, string>,
    report: (left: string) => `Accident report, US: about ${left} left`, reportOver: 'Accident report, US: 48 hours are over',
    noReport: 'First aid alone is not named in 33 CFR 173.55', ifMore: (left: string) => `If a doctor is needed: US report, about ${left} left`,
    law: '33 CFR 173.55; damage alone 10 days. Local law decides.', hours: (h: number) => `${h} h`,
  },

  /** Both times are kept: when it was, and when it was tapped. */
  ago: { '30000': '30 S AGO', '60000': '1 MIN AGO', '120000': '2 MIN AGO', '300000': '5 MIN AGO' },
  /** At an end of the stern edge. */
  agoShort: { '30000': '30\u00a0S', '60000': '1\u00a0MIN', '120000': '2\u00a0MIN', '300000': '5\u00a0MIN' },

  astern: { title: 'Logged as not in', none: 'Nothing is logged as out. Look all the same.', door: 'DOOR OPEN', unsure: 'not seen', aside: 'This is what is logged, not what is so.' },

  stamp: {
    title: (time: string) => `Something happened ${time}`, ask: 'What was it?', none: 'Nothing left to tell', more: (n: number) => `${n} to tell`,
    is: {
      none: '', strike: 'STRIKE', raise: 'FISH UP', fish: 'FISH', hurt: 'HURT', gear: 'GEAR', other: 'OTHER',
    } satisfies Record<StampWhat, string>,
    note: 'A note for the log', quiet: 'A fish is on: nothing is written now.',
  },

  brief: {
    title: 'Brief', wheel: 'WHEEL', wire: 'WIRES', gaff: 'GAFFS', door: 'DOOR', rods: 'RODS', ahead: 'AHEAD', seconds: (s: number) => `${s} s`,
    heard: 'HEARD BY', next: 'NEXT ROD', heardBy: (n: number, of: number) => `${n} of ${of}`, allIn: 'clear all', fish: 'Fish', ofFish: (n: number) => (n ? `${n} named` : 'none'),
    order: (n: number, name: string) => `${n} ${name}`,
  },

  dock: {
    fish: 'BOX', settle: 'NOT KNOWN', count: 'COUNT', near: 'NEAR MISS', jobs: 'JOBS', byDay: 'to be done by', jobWhole: (name: string, day: string, job: string) => [name, day && `by ${day}`, job].filter(Boolean).join(': '), faults: 'FAULTS', allSettled: 'Everything is settled', left: (n: number) => `${n} left`,
    of: { strike: 'Strike', fight: 'Fish on', raise: 'Fish up' } satisfies Record<EndOf, string>,
    ended: (what: string) => `${what}: how did it end?`, logSays: (n: number) => `The log says ${n} boated`, inBox: (n: number) => `${n} in the box`,
    two: (names: string) => (names ? `Counting: ${names}` : 'Tap two names: they count'), addHand: 'Two names are needed: add a hand in SET-UP, CREW', agrees: (a: string, b: string) => `Counted by ${a} and ${b}: as logged`,
    differs: (a: string, b: string, n: number) => `Counted by ${a} and ${b}: ${n}, not as logged`,
    own: 'The skipper’s own first', nearMisses: (n: number) => (n === 1 ? '1 near miss told' : `${n} near misses told`), nearTold: (n: number) => (n === 1 ? '1 told' : `${n} told`), whose: 'Whose?',
    job: (no: number) => `Job ${no}`, fault: 'What broke, or is about to?', faultWhat: 'What, in a few words', faultsTold: (n: number) => (n === 1 ? '1 fault told' : `${n} faults told`), noLine: 'NO LINE',
    jobsOpen: (n: number) => (n === 1 ? '1 job from the last trip' : `${n} jobs from the last trip`),
    nearIs: {
      none: '', door: 'DOOR', line_in_wheels: 'LINE IN WHEELS', wrapped_hand: 'HAND WRAPPED', gear_left_out: 'LEFT OUT', hook: 'HOOK', fall: 'FALL', other: 'OTHER',
    } satisfies Record<NearKind, string>,
    raiseEnd: { open: '', bit: 'BIT', left: 'LEFT', not_known: 'NOT KNOWN' } satisfies Record<RaiseEnd, string>,
  },

  /** The cockpit: its quiet, its night, full hands. */
  night: {
    bite: (name: string) => `Bite: ${name}`, comeUp: (name: string) => `Bite ${name}, come up`,
    others: (n: number, names: string) => (n === 0 ? 'no other bait out' : `${n} more out: ${names}`),
    woken: (name: string, time: string) => `${name} called ${time}`, coming: (name: string) => `${name} is coming`,
    allCalled: (name: string) => `${name} not heard: all are called`, nobodyHeard: 'all are called: nobody heard',
    baitsOut: (n: number, of: number) => `${n} of ${of} baits out`, oldest: (name: string, time: string) => `oldest: ${name} ${time}`,
    standBy: (name: string) => `${name} stands by`, noStandBy: 'nobody stands by',
    fishAt: (side: string) => `FISH ${side}`, lineAt: (side: string) => side, gaff: (time: string) => `GAFF ${time}`, door: (time: string) => `DOOR ${time}`,
  },
  bait: {
    check: 'CHECK BAIT', due: 'check', knocked: (name: string) => `CHECK BAIT: ${name}`, asked: (name: string) => `${name}: how is the bait?`, age: (name: string, time: string) => `${name}, ${time}`,
    is: {
      none: '', clean: 'CLEAN', chewed: 'CHEWED', gone: 'GONE', weed: 'WEED', changed: 'FRESH',
    } satisfies Record<BaitResult, string>,
    light: {
      none: 'NO LIGHT', white: 'WHITE', red: 'RED', green: 'GREEN', blue: 'BLUE', yellow: 'YELLOW', orange: 'ORANGE', purple: 'PURPLE',
    } satisfies Record<Light, string>,
    lightOf: 'LIGHT', which: (name: string) => `${name}: which light?`,
  },
  log: {
    raiseGear: { teaser_in: 'teaser in', pitch_in: 'pitch bait in the water', pitch_out: 'pitch bait back' } satisfies Record<RaiseGear, string>,
    door: (open: boolean) => (open ? 'open' : 'shut'), up: 'up', away: 'away', gone: (name: string) => `${name} taken off`,
  },
  deck: {
    bite: 'BITE', wake: (name: string) => `WAKE ${name}`, wakeAll: 'WAKE ALL', pitchIn: 'PITCH BAIT IN', pitchBack: 'PITCH BAIT BACK',
    tellLater: 'tell it later', whatWasIt: (time: string) => `Happened ${time}: what was it?`, standBy: 'STANDS BY', slickOn: 'SLICK START', slickOff: 'SLICK END',
    ago: 'TIME AGO', agoAsk: 'How long ago was it?', asOf: (time: string) => `${time}: tap what happened`, allSeen: 'ALL IN SEEN', menu: 'MENU', now: 'NOW', earlier: 'EARLIER', keepOn: (what: string) => `Keep holding: ${what.toLowerCase()}`,
    standByTile: 'STAND-BY', howHurt: (name: string) => `HURT: ${name}, how badly?`,
    whoHurt: (time: string) => `HURT ${time}: who?`, ours: (what: string, is: string) => `${what}: ${is}`, condition: 'Released: how did it swim off?',
    swam: {
      none: '', strong: 'STRONG', revived: 'REVIVED', sank: 'SANK', bleeding: 'BLEEDING', not_seen: 'NOT SEEN',
    } satisfies Record<Condition, string>,
  },

  /** The helm's own: the tiles of its stern edge, the baits by night, a name that was tapped. */
  helm: {
    gearTiny: { line: 'LINE', teaser: 'TSR', dredge: 'DRG', float: 'FLT' } satisfies Record<Gear, string>,
    baits: 'BAITS', standBy: 'STAND-BY', slick: 'SLICK', start: 'START', end: 'END', wake: 'WAKE', all: 'ALL',
    which: (name: string) => `${name}: which post?`, heardBrief: 'HEARD BRIEF', nextRod: 'NEXT ROD',
    bled: 'BLED',
    looked: 'Baits looked at', noBaits: 'No bait is logged as out',
    notIn: (name: string) => `${name} is not in: only what is in is changed`, isIn: (name: string) => `${name} is in`, notSaved: (name: string) => `${name}: not yet saved`,
    spread: 'SPREAD', crew: 'CREW', nameTaken: 'That name is taken', lineIs: (name: string) => `${name}: how was it left?`, stampWas: (when: string) => `Something happened${when && ` ${when}`}: what was it?`,
    baitWas: (name: string, bait: string) => `${name}: the bait was taken to be ${bait}`, itWas: 'AS TAKEN', bare: 'NOT KNOWN', baitNotKnown: 'not known',
  },

  fish: {
    fate: { not_said: '', kept: 'kept', released: 'released', discarded_dead: 'dead, put back' } satisfies Record<FishFate, string>,
    use: { not_said: '', private: 'private trip', charter: 'charter', headboat: 'headboat' } satisfies Record<TripUse, string>,
    measure: {
      none: 'not said how', curved_fork: 'curved, over the fin, upper jaw to fork', lower_jaw_fork: 'straight, lower jaw to fork', fork: 'straight, snout to fork',
      cleithrum_keel: 'head off: cleithrum to keel, along the body', pectoral_fork: 'head off: pectoral fin to fork, along the body',
    } satisfies Record<Measure, string>,
    inches: (um: number) => `${(um / 25400).toFixed(1)} in`, cm: (um: number) => `${(um / 10000).toFixed(1)} cm`,
    long: (um: number, by: Measure): string => `${words.fish.inches(um)} (${words.fish.cm(um)}), ${words.fish.measure[by]}`,
    heavy: (g: number, weighed: boolean) => `${(g / 453.59237).toFixed(1)} lb (${(g / 1000).toFixed(1)} kg), ${weighed ? 'weighed' : 'guessed'}`,
    tagged: (tag: string) => `tag ${tag}`,
    persons: (aboard: number, paying: number) => `${aboard} aboard${paying ? `, ${paying} paying` : ''}`,
    dated: (name: string, day: string) => `${name}, dated ${day}`,
    reportsOf: (n: number) => (n ? `${n} due` : ''), box: 'BOX', tell: (name: string) => `${name}: what is to be told?`, which: 'Which fish?', another: 'ANOTHER', untold: 'NOT TOLD', untoldOf: (n: number) => `${n} not told`,
    less: 'DEL', species: 'SPECIES', speciesAsk: 'What is it?', onIce: 'ON ICE', length: 'LENGTH', girth: 'GIRTH', weighed: 'WEIGHT', fateAsk: 'KEPT?', decided: 'CHOICE', decidedAsk: 'Whose decision was it?',
    outOfWater: 'OUT OF WATER', measureAsk: 'How is it measured?', whatFish: 'WHAT FISH?', iceAsk: 'ON ICE?',
    unit: { inch: 'in', cm: 'cm', lb: 'lb', kg: 'kg' },
    padLength: (how: string, unit: string) => `Length (${unit}), ${how}`, padGirth: (unit: string) => `Girth (${unit}), around the thickest part`, padWeight: (unit: string) => `Weight (${unit}), on a scale`,
    padOut: 'Seconds out of the water', seconds: (s: number) => `${s} s`, pounds: (g: number) => `${(g / 453.59237).toFixed(1)} lb`, about: (g: number) => `about ${(g / 1000).toFixed(1)} kg`,
    logged: (n: number) => `${n} logged`, left: (n: number, limit: number) => `${n} of ${limit} left`, leftShort: (n: number) => `${n} left`, over: (n: number) => `${n} over`, noRetention: 'NO RETENTION', noSize: 'no size is stated', noNumber: 'no number, no size', check: 'Check the current rule.', ruleOf: (day: string) => day,
    tab: { standing: 'BOX', fish: 'FISH', reports: 'REPORTS' }, noRules: 'This trip has no rule set: nothing is counted against one.', noRows: 'The rule set has no rows for this trip.', reading: 'Reading from the board', page: (n: number, of: number) => `${n} of ${of}`,
    noReports: 'No report is due by the rule set.', reportLaw: 'No advice on law: check the current rule.', number: 'Its number', confirmed: (number: string) => `reported: ${number}`,
    dueAfter: (hours: number) => `due ${hours} h after the landing`, dueIn: (at: string, hours: number) => `due ${at}, ${hours} h left`, overdue: (at: string) => `was due ${at}`,
    aboardAll: (n: number) => `${n} aboard`, aboardNotSaid: 'not said', aboardPaying: (n: number) => `${n} pay`, aboardAsk: 'Aboard, captain and crew too; of these, how many pay:',
    useButton: { not_said: 'NOT SAID', private: 'PRIVATE', charter: 'CHARTER', headboat: 'HEADBOAT' } satisfies Record<TripUse, string>,
  },

  counts: (strikes: number, on: number, now: number, boated: number, released: number) =>
    `Strikes ${strikes}, on ${on} (now ${now}), boated ${boated}, released ${released}`,

  kind: {
    trip_started: 'Trip started', trip_phase: 'Phase', trip_ended: 'Trip ended', hand_added: 'New hand', hand_station: 'Station',
    page_hand: 'This phone is', duty: 'Duty', line_is: 'Line', lines_are: 'Lines', line_bait: 'Bait', lines_seen: 'Seen by eye', strike: 'Strike',
    strike_named: 'Strike was', strike_ended: 'Strike', fight_angler: 'Angler', fight_ended: 'Fight over', clear_called: 'CLEAR called',
    line_taken: 'Taken', line_kept: 'Kept out', clear_over: 'CLEAR over', check_opened: 'Checklist opened', check_answered: 'Check',
    check_left: 'Checklist left open', call: 'Call', call_got: 'GOT IT', call_done: 'DONE', call_off: 'Called off', shown: 'Shown on a screen',
    overboard: 'PERSON OVERBOARD', overboard_withdrawn: 'False alarm', overboard_heard: 'Heard overboard', overboard_sighted: 'In sight',
    overboard_person: 'Who it is', overboard_ended: 'Emergency over', stop: 'STOP', stop_over: 'Stopped', voided: 'Taken back',
    run: 'Board started', clock: 'Clock set', page_joined: 'Screen joined', page_state: 'Screen', helm_taken: 'Helm taken',
    strike_lapsed: 'Strike: end not known', call_unheard: 'Not heard', gap_filled: 'A tap that never came',
    raised: 'RAISED', raise_touched: 'Touched', raise_gear_moved: 'Fish up', raise_ended: 'Fish up, over',
    raise_lapsed: 'Fish up: end not known', leader: 'LEADER', fight_condition: 'Swam off', door: 'Door', gaff: 'Gaff',
    astern: 'ASTERN asked', astern_decided: 'Astern', hurt: 'HURT', hurt_told: 'Who is hurt', hurt_over: 'Looked after', hurt_kept: 'HURT of an earlier trip',
    stamped: 'Something happened', stamp_told: 'What happened', noted: 'Note', bait_checked: 'Bait looked at', float_light: 'Light',
    slick: 'Slick', stand_by: 'Stand-by', orders: 'Standing orders', orders_heard: 'Heard the brief', angler_next: 'Next angler',
    place_set: 'Place', fish_counted: 'Fish counted', near_miss: 'Near miss', job: 'Job', job_done: 'Job done',
    gear_fault: 'Gear fault', fish_told: 'Fish', fish_iced: 'On ice', aboard: 'Aboard', report_told: 'Report made',
    rules_kept: 'Rule set', fish_kept: 'Fish of earlier trips', report_kept: 'Report of an earlier trip',
  } satisfies Record<Kind, string>,
}

export type Words = typeof words
