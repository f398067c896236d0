// The spine of the board in real browsers: a helm's tablet and two phones live through a trip together, with a crash in its
// middle. After each step the three screens agree with each other and with the log (boat.mjs says what that means).

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { Boat, story } from './boat.mjs'
import { readPictureOfCode, readTerminalCode } from './codes.mjs'
import { readLog } from './log_book.mjs'
import { until } from './screen.mjs'

/** Lines of the spread that a new boat starts with. */
const FLAT_PORT = 3, WAY_BACK = 4, FLAT_STARBOARD = 5, SHORT_STARBOARD = 6

const hand = (parts, name) => Object.values(parts).find((part) => part.name === name && 'station' in part)?.id
const line = (parts, id) => parts[`lines/${id}`]
const isOut = (parts, id) => line(parts, id).state === 'out' && !line(parts, id).unsure

// ---- who comes aboard ----

/** The helm's tablet comes by the code in the terminal. That one names the machine's own address; the tablet uses its name. */
async function helmJoins(boat) {
  const { machine, helm } = boat
  const output = await until('the join code in the terminal', () => /and takes the helm with/.test(machine.server.output()) && machine.server.output())
  const code = readTerminalCode(output)
  assert.equal(code, /^ {2}(http:\S+#k=\S+)$/m.exec(output)[1], 'the code says the address that is printed above it')
  const address = new URL(code)
  assert.equal(address.port, String(machine.port))
  await helm.open(`${machine.address}/${address.hash}`)
  assert.equal(await helm.page.evaluate(() => window.isSecureContext), false, 'as plain as on a boat')
  await comesAs(boat, helm, 'Ines')
  await helm.press('screen-helm')
  await follows(boat, helm, 'hand_station', { hand: hand((await helm.state()).parts, 'Ines'), station: 'helm' })
  for (const digit of machine.server.keys().helm) await helm.press(`key-${digit}`)
  await helm.press('key-TAKE HELM')
  await helm.band(/no trip/i)
  await until('the key gone from the address', () => !helm.page.url().includes('#k='))
}

/** A new name is written: the page speaks for it by itself, as soon as the board has it. */
async function comesAs(boat, screen, name) {
  await screen.write('.new .field', name)
  await screen.press('new-name', /JOIN/)
  await follows(boat, screen, 'hand_added', { name, station: 'cockpit' })
  await follows(boat, screen, 'page_hand', { hand: hand((await screen.state()).parts, name) })
}

/** A tap that the page makes of itself after a touch. */
async function follows(boat, screen, kind, body) {
  const made = await until(`${screen.name}: ${kind}`, async () => (await screen.state()).taps.find((tap) => tap.kind === kind))
  assert.deepEqual(made.body, body)
  await screen.becomes(made.id, 'saved')
  boat.taps.push({ id: made.id, kind, body: made.body })
}

/** The phones come by the code on the helm's page. */
async function phonesJoin(boat) {
  const { helm, station, phone, machine } = boat
  await helm.press('b', /JOIN CODES/)
  await helm.page.locator('.code svg').waitFor()
  const address = await until('a code that can be read off the helm', async () => readPictureOfCode(await helm.page.screenshot()))
  assert.match(address, new RegExp(`^${machine.address}/#k=[A-Z0-9]{20,}$`))
  await station.open(address)
  await station.press('screen-station')
  await station.press('facing-aft')
  await phone.open(address)
  await comesAs(boat, phone, 'Tobias')
  await phone.write('.new .field', 'Ruth')
  await boat.press(phone, 'new-name', /JOIN/, 'hand_added', { name: 'Ruth' })
  await phone.press('screen-phone')
  await helm.press('b', /JOIN CODES/)
}

async function tripStarts(boat) {
  const { helm, station, phone } = boat
  await helm.write('.start .field', 'Grey Petrel')
  await boat.press(helm, 'a', /START TRIP/, 'trip_started', { name: 'Grey Petrel', no: 1 })
  await helm.band(/at the dock/i)
  await station.band(/at the dock/i)
  await phone.band(/at the dock/i)
  await phone.reads('.who', /Tobias/)
  const log = await boat.agree()
  assert.match(log.shown, /Grey Petrel/)
  assert.deepEqual(log.entries.find((entry) => entry.kind === 'trip_started').body.crew.map((one) => one.name), ['Ines', 'Tobias', 'Ruth'])
}

// ---- the work ----

/** The helm opens the list, the cockpit answers most of it by what is seen, and one item is not done, with its why. */
async function checklistIsAnswered(boat) {
  const { helm, phone } = boat
  await helm.press('c', /CHECKS/)
  const run = await boat.press(helm, 'list-1', /Before leaving/, 'check_opened', { list: 1 })
  for (const [item, seen] of ['COUNTED', 'LOOKED AT', 'IN PLACE', 'IN DATE'].entries()) {
    await boat.press(phone, 'primary', new RegExp(seen), 'check_answered', { run, item: item + 1, answer: 'done' })
  }
  await helm.press('not-done')
  await boat.press(helm, 'why-no_gear', /./, 'check_answered', { run, item: 5, answer: 'not_done', why: 'no_gear' })
  await boat.press(helm, 'seen', /HEARD ON/, 'check_answered', { run, item: 6, answer: 'done' })
  await boat.press(helm, 'seen', /TOLD ASHORE/, 'check_answered', { run, item: 7, answer: 'done' })
  await boat.everywhere('the list done', (parts) => parts['checks/1']?.state === 'done')
  await helm.reads('.checks', /DONE \d\d:\d\d/)
  await helm.press('close')
  await boat.agree()
}

async function linesAreSet(boat) {
  const { helm, station, phone } = boat
  await boat.press(helm, 'a', /LEAVE DOCK/, 'trip_phase', { phase: 'running' })
  await boat.press(helm, 'a', /GO FISHING/, 'trip_phase', { phase: 'fishing' })
  const faces = await station.page.locator('.tiles .name').allTextContents()
  assert.match(faces[0], /long stbd/i, 'facing aft, starboard is at the left of the picture')
  const told = (screen, id) => boat.press(screen, `line-${id}`, /IN/, 'line_is', { line: id, state: 'out' })
  for (const id of [1, 2, 3]) await told(station, id)
  for (const id of [4, 5, 6]) await told(phone, id)
  await boat.press(phone, 'stern', /./, 'lines_seen', { scope: 'teasers', state: 'out' })
  await boat.press(helm, 'line-7', /IN/, 'line_is', { line: 7, state: 'out', eye: true })
  await helm.band(/^7 of 7 out, .*dredges out/i)
  await phone.band(/^7 of 7 out/i)
  const log = await boat.agree()
  assert.equal([...log.shown.matchAll(/\bout\b/g)].length >= 10, true, log.shown)
}

async function oneIsOn(boat) {
  const { helm, station, phone } = boat
  const strike = await boat.press(station, `line-${FLAT_PORT}`, /OUT/, 'strike', { line: FLAT_PORT })
  for (const screen of boat.screens) await screen.band(/^Strike: Flat port/i)
  await boat.press(phone, 'primary', /^ON/, 'strike_ended', { strike, end: 'on' })
  await boat.everywhere('the fight', (parts) => parts[`fights/${strike}`]?.line === FLAT_PORT && line(parts, FLAT_PORT).state === 'on')
  for (const screen of boat.screens) await screen.band(/^On: flat port/i)
  await helm.strip(/STILL OUT.*FLAT P(ORT)? ON/i)
  await boat.agree()
}

/** Nobody said which line: the helm names it, then says it is on. */
async function aSecondFight(boat) {
  const { helm, phone } = boat
  const strike = await boat.press(phone, 'primary', /STRIKE/, 'strike', {})
  for (const screen of boat.screens) await screen.band(/^Strike: which line\?/i)
  await boat.press(helm, `line-${SHORT_STARBOARD}`, /OUT/, 'strike_named', { strike, line: SHORT_STARBOARD })
  await boat.press(helm, 'a', /^ON SHORT STBD/, 'strike_ended', { strike, end: 'on' })
  for (const screen of boat.screens) await screen.band(/^2 fish on/i)
  await boat.agree()
}

async function aTapIsUndone(boat) {
  const { station } = boat
  const slip = await boat.press(station, 'line-2', /OUT/, 'strike', { line: 2 })
  for (const screen of boat.screens) await screen.band(/^Strike: Short port/i)
  await boat.press(station, 'undo', /UNDO Strike: Short port/i, 'voided', { target: slip, undo: true })
  await boat.everywhere('the line out as before', (parts) => isOut(parts, 2) && !parts[`strikes/${slip}`])
  for (const screen of boat.screens) await screen.band(/^2 fish on/i)
  const log = await boat.agree()
  assert.equal(log.entries.filter((entry) => entry.id === slip && !entry.refused).length, 1, 'the slip stays in the log')
}

/** The menu of a phone, at the page that has this tile. */
async function opensMenu(phone, tile) {
  await phone.press('menu')
  await phone.button('tiles-more')
  while (!(await phone.page.locator(`[data-place="${tile}"]`).count())) await phone.press('tiles-more')
}

// ---- the crash ----

/**
 * The disk hangs. Two taps more are seen on every screen and saved nowhere, and the server is killed. The phone that made one
 * of them is dead by then: only the others have seen it, and bring it back. The station sends its own again. Then the phone
 * comes back as well, with the tap still in its storage: it is in the log already, and stays there once.
 */
async function serverIsKilled(boat) {
  const { machine, helm, station, phone } = boat
  machine.stallDisk()
  const strike = await boat.press(station, `line-${FLAT_STARBOARD}`, /OUT/, 'strike', { line: FLAT_STARBOARD }, { becomes: 'seen' })
  const tobias = hand((await phone.state()).parts, 'Tobias')
  await opensMenu(phone, 'look-out-me')
  const lookOut = await boat.press(phone, 'look-out-me', /./, 'duty', { post: 'look_out', hand: tobias }, { becomes: 'seen', offered: true })
  await boat.everywhere('both taps', (parts) => parts[`strikes/${strike}`] && parts.duty.look_out === tobias)
  await helm.reads('.look-out', /Tobias/)
  await station.reads('.who', /The disk is slow: not yet saved/)
  await until('what is seen and not saved', async () => (await helm.state()).unsaved >= 2)
  await boat.picture('seen-not-saved')

  await machine.kill()
  await phone.off()
  machine.diskGoesOn()
  const left = await readLog(machine.data)
  assert.deepEqual(left.entries.filter((entry) => [strike, lookOut].includes(entry.id)), [], 'the crash has lost both')
  await helm.band(/NO LINK|NOT KNOWN|BOARD DOWN/)

  await machine.restart()
  await boat.everywhere('what the screens brought back', (parts) => parts[`strikes/${strike}`] && parts.duty.look_out === tobias, [helm, station])
  await boat.orderAsLogged()
  await boat.agree([helm, station])
  await phone.open(`${machine.address}/phone`)
  await phone.becomes(lookOut, 'saved')
  await boat.agree()
}

/** After a start no line is known until it was seen again. The helm looks, says so of one line, and of the rest at once. */
async function linesAreSeenAgain(boat) {
  const { helm, station, phone } = boat
  const { parts } = await helm.state()
  await helm.strip(/NOT KNOWN/)
  assert.ok(Object.entries(parts).filter(([id, part]) => id.startsWith('lines/') && part.unsure).length >= 7)
  const strike = Object.keys(parts).find((id) => id.startsWith('strikes/')).slice('strikes/'.length)
  await boat.press(helm, 'c', /GONE FLAT STBD/, 'strike_ended', { strike, end: 'gone' })
  const unsure = (now) => Object.entries(now).filter(([id, part]) => id.startsWith('lines/') && part.unsure && part.state !== 'on').map(([, part]) => part.id)
  const first = unsure((await helm.state()).parts)[0]
  await boat.press(helm, `line-${first}`, /OUT\?/, 'line_is', { line: first, state: 'out', eye: true })
  await boat.hold(helm, 'b', /ALL AS SHOWN/, 'lines_are', { eye: true })
  await boat.everywhere('no line unsure', (now) => unsure(now).length === 0)
  await boat.everywhere('the lines known', (now) => [1, 2, 4, 5, 7].every((id) => isOut(now, id)))
  await phone.reads('.who', /Tobias/)
  for (const screen of [helm, station, phone]) await screen.band(/^2 fish on/i)
  await boat.agree()
}

// ---- clearing ----

/** All but the way back: answered by tap, one line taken by a hand, some told by who had them, the rest by eye. */
async function linesAreCleared(boat) {
  const { helm, station, phone } = boat
  await helm.press('b', /CLEAR/)
  const clearing = await boat.press(helm, 'c', /ALL BUT WAY BACK/, 'clear_called', { scope: 'all', kept: [WAY_BACK], reason: 'fish' })
  await helm.band(/^Clear all but way back: 0 of 7 in/i)
  await station.band(/^CLEAR all but way back: 0 of 7/i)
  await boat.press(phone, 'primary', /GOT IT/, 'call_got', { call: clearing })
  await boat.press(phone, 'line-2', /CLEAR/, 'line_taken', { line: 2 })
  await boat.everywhere('the line taken', (parts) => line(parts, 2).taken_by === hand(parts, 'Tobias'))
  await boat.press(phone, 'primary', /MINE ARE IN/, 'lines_are', { in: [2] })
  await boat.press(station, 'line-1', /CLEAR/, 'line_is', { line: 1, state: 'in' })
  await boat.press(helm, `line-${FLAT_STARBOARD}`, /CLEAR/, 'line_is', { line: FLAT_STARBOARD, state: 'in', eye: true })
  await helm.band(/: 3 of 7 in/)
  await helm.press('b', /BY EYE/)
  await boat.press(helm, 'b', /TEASERS IN/, 'lines_seen', { scope: 'teasers', state: 'in' })
  await helm.press('b', /BY EYE/)
  await boat.press(helm, 'end-starboard', /STARBOARD/, 'lines_seen', { scope: 'starboard', state: 'in' })
  await boat.everywhere('the clearing done', (parts) => parts.clearing.state === 'done' && !parts.clear.is_clear)
  await helm.strip(/WAY BACK/)
  await boat.everywhere('the way back kept out', (parts) => line(parts, WAY_BACK).kept && line(parts, WAY_BACK).state === 'out')
  await boat.agree()
}

/** Then the rest; ALL CLEAR says what it rests on, and that is two told by who handled them and the others seen. */
async function allClear(boat) {
  const { helm, phone, station } = boat
  await helm.press('b', /CLEAR/)
  await boat.press(helm, 'c', /CLEAR REST/, 'clear_called', { scope: 'rest' })
  await boat.press(phone, 'primary', /GOT IT/, 'call_got', {})
  await helm.press('b', /BY EYE/)
  await boat.hold(helm, 'a', /ALL IN/, 'lines_seen', { scope: 'all', state: 'in' })
  await boat.everywhere('all clear', (parts) => parts.clear.is_clear)
  for (const screen of [helm, station, phone]) await screen.band(/2 fish on.*ALL CLEAR 2 tapped, 6 seen/i)
  const log = await boat.agree()
  const { clear } = (await helm.state()).parts
  assert.deepEqual([clear.tapped, clear.seen], [2, 6], 'every place without a fish on')
  assert.match(log.shown, /all clear since [\d:]+ \([\d:]+ UTC\): 2 in as tapped, 6 as seen/)
}

async function fightsEnd(boat) {
  const { helm, station, phone } = boat
  const fights = () => helm.state().then(({ parts }) => Object.values(parts).filter((part) => 'angler' in part || ('since_ms' in part && 'event' in part)))
  const [first] = (await fights()).filter((fight) => fight.line === FLAT_PORT)
  const [second] = (await fights()).filter((fight) => fight.line === SHORT_STARBOARD)
  await helm.press(`line-${SHORT_STARBOARD}`, /ON/)
  await boat.press(helm, 'b', /RELEASED/, 'fight_ended', { fight: second.id, end: 'released' })
  await station.press(`line-${FLAT_PORT}`, /ON/)
  await boat.press(station, 'end-broke_off', /./, 'fight_ended', { fight: first.id, end: 'broke_off' })
  await boat.everywhere('no fight', (parts) => !Object.keys(parts).some((id) => id.startsWith('fights/')) && parts.counts.released === 1 && parts.counts.broke_off === 1)
  for (const screen of [helm, station, phone]) await screen.band(/.+/)
  await boat.agree()
}

// ---- calls ----

async function callsAreAnswered(boat) {
  const { helm, station, phone } = boat
  const ruth = hand((await helm.state()).parts, 'Ruth')
  await helm.press('calls')
  const holdOn = await boat.press(helm, 'call-hold_on', /HOLD ON/, 'call', { what: 'hold_on', to: 'cockpit' })
  await station.band(/HOLD ON/)
  await phone.band(/HOLD ON/)
  await boat.press(helm, `hand-${ruth}`, /Ruth/, 'call_got', { call: holdOn, hand: ruth, voice: true })
  await helm.reads('.open-call', /GOT IT.*Ruth \(voice\)/i)
  await boat.press(helm, `call-next-${holdOn}`, /DONE/, 'call_done', { call: holdOn, voice: true })
  await helm.press('close')
  // A line that was struck and let go wants its bait looked at: the strip offers that, and held it has the calls: still two touches.
  await phone.hold('who', () => phone.page.locator('[data-place="call-neutral"]').count(), /CHECK BAIT/)
  const neutral = await boat.press(phone, 'call-neutral', /NEUTRAL/, 'call', { what: 'neutral', to: 'helm' })
  await helm.band(/^NEUTRAL Tobias/)
  await boat.press(helm, 'c', /GOT IT NEUTRAL/, 'call_got', { call: neutral })
  await boat.press(helm, 'c', /DONE NEUTRAL/, 'call_done', { call: neutral })
  await boat.everywhere('no open call', (parts) => parts[`calls/${holdOn}`]?.state !== 'called' && parts[`calls/${neutral}`]?.state !== 'got')
  await boat.agree()
}

async function stopIsCalled(boat) {
  const { helm, station, phone } = boat
  const stop = await boat.press(phone, 'stop', /STOP/, 'stop', {})
  for (const screen of [helm, station, phone]) await screen.band(/^STOP: neutral now Tobias/i)
  await rung(boat, 'stop', stop, [1000])
  await boat.press(helm, 'c', /STOPPED/, 'stop_over', { stop })
  await boat.everywhere('STOP taken down', (parts) => !parts.stop?.id)
  await boat.agree()
}

/** Each screen has it as a ring, once, and has begun to sound it. */
async function rung(boat, what, id, pitches) {
  for (const screen of boat.screens) {
    await until(`${what} rung at ${screen.name}`, async () => {
      const { rings } = await screen.state()
      const tones = await screen.tones()
      const ring = rings.filter((one) => one.what === what && one.id === id)
      if (ring.length !== 1) return new Error(`it rang ${ring.length} times`)
      return pitches.every((hz) => tones.some((tone) => tone.hz === hz)) || new Error(`tones ${JSON.stringify(tones.slice(-5))}`)
    })
  }
}

async function overboard(boat) {
  const { helm, station, phone } = boat
  const call = await boat.hold(phone, 'overboard', /OVERBOARD/, 'overboard', {})
  for (const screen of [helm, station, phone]) await screen.band(/^PERSON OVERBOARD/)
  await rung(boat, 'overboard', call, [750, 1000])
  await phone.button('false-alarm')
  assert.equal(await phone.text('.overboard .said'), 'CALLED')
  await boat.picture('overboard-called')
  await boat.press(station, 'primary', /I HEAR/, 'overboard_heard', { call })
  await boat.press(helm, 'a', /I HEAR/, 'overboard_heard', { call })
  const { parts } = await helm.state()
  await helm.press('b', /WHO IS IT/)
  await boat.press(helm, `hand-${hand(parts, 'Ruth')}`, /Ruth/, 'overboard_person', { call, hand: hand(parts, 'Ruth') })
  await boat.press(helm, `hand-${hand(parts, 'Tobias')}`, /Tobias/, 'overboard_sighted', { call, hand: hand(parts, 'Tobias') })
  await phone.reads('[data-place=primary]', /KEEP POINTING/)
  await helm.reads('.panel.man', /^(?=.*called by Tobias)(?=.*Tobias sees: point)(?=.*It is Ruth)/)
  await boat.picture('overboard-in-sight')
  await boat.hold(helm, 'aboard', /./, 'overboard_ended', { call, how: 'aboard' })
  await boat.everywhere('the emergency over', (now) => !now.overboard.id && now.counts.overboards === 1)
  for (const screen of [helm, station, phone]) await screen.band(/^(?!PERSON)/)
  await boat.agree()
}

// ---- the end ----

async function tripEnds(boat) {
  const { helm, station, phone } = boat
  await helm.press('more')
  await helm.press('setup')
  await boat.hold(helm, 'end-trip', /./, 'trip_ended', {})
  for (const screen of [station, phone]) await screen.band(/trip over/i)
  const log = await boat.agree()
  checkShown(boat, log.entries)
}

/** What the pages noted by themselves: a call was shown on a page; each once for each page, and never its own. */
function checkShown(boat, entries) {
  const shown = entries.filter((entry) => entry.kind === 'shown')
  const calls = new Set(boat.taps.filter((tap) => ['call', 'clear_called', 'overboard'].includes(tap.kind)).map((tap) => tap.id))
  const pairs = shown.map((entry) => `${entry.id.slice(0, 16)} ${entry.body.call}`)
  assert.equal(new Set(pairs).size, pairs.length, 'a page shows a call once')
  for (const entry of shown) {
    assert.ok(calls.has(entry.body.call), `${entry.body.call} is a call`)
    assert.notEqual(entry.id.slice(0, 16), entry.body.call.slice(0, 16), 'a page does not show itself its own call')
  }
  for (const call of calls) assert.ok(shown.some((entry) => entry.body.call === call), `${call} was shown somewhere`)
}

test('a trip on three screens, with a crash in its middle', async (t) => {
  const boat = await Boat.launch('spine')
  const step = story(t, boat)
  try {
    await step('the helm joins by the code in the terminal', helmJoins)
    await step('two phones join by the code on the helm', phonesJoin)
    await step('the trip starts', tripStarts)
    await step('a checklist is answered', checklistIsAnswered)
    await step('lines are set', linesAreSet)
    await step('a strike, and it is on', oneIsOn)
    await step('a second fight', aSecondFight)
    await step('a tap is undone', aTapIsUndone)
    await step('the server is killed between seen and saved', serverIsKilled)
    await step('the lines are seen again', linesAreSeenAgain)
    await step('the lines are cleared but for one', linesAreCleared)
    await step('all clear', allClear)
    await step('the fights end', fightsEnd)
    await step('calls are answered, one by voice', callsAreAnswered)
    await step('STOP', stopIsCalled)
    await step('a person overboard', overboard)
    await step('the trip ends', tripEnds)
  } finally {
    assert.equal(await boat.close(), 0)
  }
})
