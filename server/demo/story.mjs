// story - reads a story of the demo: what is told, line by line, and who taps what with it. Pure: text in, steps out.
//
//   == The lines go in                                   a scene
//   06:50 Ruth: Long starboard out.                      what is told, with the time of the day
//       ruth taps line_is line="Long starboard" state=out as long     and, indented, the taps that go with it
//       ruth is told refused taken
//   rest 3                                               so many seconds more, at speed 1
//
// The indented sentences are those of tests/scenarios (its README has the table), as far as they are needed here:
//
//   PAGE taps KIND [with NAME] [name=value ...] [by=HAND] [ago=@LABEL] [for=@LABEL] [as LABEL]
//   PAGE is told refused CODE | seen moot        what the tap before is answered; without this sentence it is seen
//   PAGE takes helm   PAGE sleeps   PAGE wakes
//
// `with NAME` takes a whole body out of the boat's file. Hands, places, lists and presets stand with their names. `ago`: it is
// entered as of the time of that earlier tap; the story's own times are told and no more, its hours pass in seconds.
//
// The steps: { is: 'scene', words }  { is: 'told', at, words }  { is: 'rest', s }
//            { is: 'tap', page, kind, from, fields, by, ago, instead_of, label, wants: { is, code, moot } }
//            { is: 'helm' | 'sleeps' | 'wakes', page }
// each with `line`, its place in the file.

const WORD = /(?:[^\s"[]|"[^"]*"|\[[^\]]*\])+/g

/** A value as it stands in the story: a number, a truth, a label such as @hit, a list, or a text. */
function value(text) {
  if (/^-?\d+$/.test(text)) return Number(text)
  if (text === 'true' || text === 'false') return text === 'true'
  if (text.startsWith('@')) return { label: text.slice(1) }
  if (text.startsWith('[')) return text.slice(1, -1).split(',').filter((item) => item.trim()).map((item) => value(item.trim()))
  return text.replace(/"/g, '')
}

/** The pairs name=value of a tap, those about the tap itself apart. */
function readPairs(words, tap) {
  for (const word of words) {
    const [, name, text] = /^(\w+)=(.+)$/.exec(word) ?? []
    if (!name) throw new Error(`"${word}" is no name=value`)
    if (name === 'by') tap.by = value(text)
    else if (name === 'ago') tap.ago = value(text)
    else if (name === 'for') tap.instead_of = value(text)
    else tap.fields[name] = value(text)
  }
  return tap
}

function readTap(page, [kind, ...words]) {
  const tap = { is: 'tap', page, kind, fields: {}, wants: { is: 'seen' } }
  if (words.at(-2) === 'as') [, tap.label] = words.splice(-2)
  if (words[0] === 'with') [, tap.from] = words.splice(0, 2)
  return readPairs(words, tap)
}

function readWants([is, ...words]) {
  if (is === 'seen' && words.join() === 'moot') return { is, moot: true }
  if (is === 'refused' && words.length === 1) return { is, code: words[0] }
  throw new Error('a tap is told refused CODE, or seen moot')
}

/** One indented sentence as a step; null: it only says what the tap before is answered. */
function readSentence(text, last) {
  const [page, verb, ...words] = text.match(WORD)
  switch (verb) {
    case 'taps':
      return readTap(page, words)
    case 'takes':
      return { is: 'helm', page }
    case 'sleeps':
    case 'wakes':
      return { is: verb, page }
    case 'is':
      if (last?.is !== 'tap' || last.page !== page) throw new Error(`${page} has tapped nothing just now`)
      last.wants = readWants(words.slice(1))
      return null
    default:
      throw new Error(`"${verb}" is not known`)
  }
}

function readLine(text, last) {
  if (/^\s/.test(text)) return readSentence(text, last)
  const [, scene] = /^== (.+)$/.exec(text) ?? []
  if (scene) return { is: 'scene', words: scene }
  const [, seconds] = /^rest (\d+)$/.exec(text) ?? []
  if (seconds) return { is: 'rest', s: Number(seconds) }
  const [, at, words] = /^(\d\d:\d\d) (.+)$/.exec(text) ?? []
  if (at) return { is: 'told', at, words }
  throw new Error('a line begins with a time, with == or with rest; what is tapped is indented')
}

/** The steps of a story. Throws with the line's number when one makes no sense. */
export function readStory(text) {
  const steps = []
  text.split('\n').forEach((whole, index) => {
    const line = whole.replace(/^\s*#.*/, '').trimEnd()
    if (line === '') return
    try {
      const step = readLine(line, steps.at(-1))
      if (step) steps.push({ ...step, line: index + 1 })
    } catch (error) {
      throw new Error(`line ${index + 1}: ${error.message}`)
    }
  })
  return steps
}
