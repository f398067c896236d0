// The few regular expressions a text field may carry, turned into steps that plain C can walk.
//
// A pattern is ^ step* $, a step is one character or one class with an optional count, and characters are ASCII. Steps
// are taken greedily and never given back; that is only right where a step that may run on shares no character with
// what may follow it, so anything else is turned down here rather than matched differently on the two sides.

const ASCII = Array.from({ length: 128 }, (_, code) => String.fromCharCode(code))
const SPECIAL = /[\\^$.|?*+()[\]{}]/
const UNBOUNDED = -1

/** Returns [{ set: "abc", negated, min, max }] with max -1 for no end; throws an Error with the reason. */
export function patternSteps(pattern) {
  if (!pattern.startsWith('^') || !pattern.endsWith('$')) throw new Error('a pattern must start with ^ and end with $')
  const steps = []
  let rest = pattern.slice(1, -1)
  while (rest !== '') {
    const atom = takeAtom(rest)
    const count = takeCount(rest.slice(atom.length))
    steps.push({ set: atom.set, negated: atom.negated, min: count.min, max: count.max })
    rest = rest.slice(atom.length + count.length)
  }
  refuseAmbiguous(steps)
  return steps
}

function takeAtom(text) {
  const found = /^\[(\^?)((?:\\.|[^\]\\])+)\]/.exec(text)
  if (found) return { set: classSet(found[2]), negated: found[1] === '^', length: found[0].length }
  if (text[0] === '\\' && text[1] && /[^A-Za-z0-9]/.test(text[1])) return { set: text[1], negated: false, length: 2 }
  if (SPECIAL.test(text[0]) || text.charCodeAt(0) > 126) throw new Error(`a pattern may not hold ${text[0]} here`)
  return { set: text[0], negated: false, length: 1 }
}

/** "a-f0-9" as the characters themselves; \uXXXX stands for one. U+0000 is left out: no text holds it, and C ends there. */
function classSet(inside) {
  const tokens = inside.match(/\\u[0-9a-fA-F]{4}|\\.|[^\\]/g).map(classCharacter)
  let set = ''
  for (let i = 0; i < tokens.length; i++) {
    const isRange = tokens[i + 1] === '-' && tokens[i + 2] !== undefined
    const last = isRange ? tokens[i + 2] : tokens[i]
    if (last.charCodeAt(0) > 127 || last < tokens[i]) throw new Error(`a class may only hold ASCII: ${inside}`)
    set += ASCII.filter((c) => c >= tokens[i] && c <= last && c !== '\0').join('')
    if (isRange) i += 2
  }
  return set
}

function classCharacter(token) {
  if (token.length === 6) return String.fromCharCode(parseInt(token.slice(2), 16))
  if (token.length === 2 && /[A-Za-z0-9]/.test(token[1])) throw new Error(`a class may not hold ${token}`)
  return token.at(-1)
}

function takeCount(text) {
  const plain = { '*': [0, UNBOUNDED], '+': [1, UNBOUNDED], '?': [0, 1] }[text[0]]
  if (plain) return { min: plain[0], max: plain[1], length: 1 }
  const braces = /^\{(\d+)(,(\d*))?\}/.exec(text)
  if (!braces) return { min: 1, max: 1, length: 0 }
  const min = Number(braces[1])
  const max = braces[2] === undefined ? min : braces[3] === '' ? UNBOUNDED : Number(braces[3])
  return { min, max, length: braces[0].length }
}

function refuseAmbiguous(steps) {
  steps.forEach((step, i) => {
    if (step.negated && (step.max !== UNBOUNDED || step.min > 1))
      throw new Error('a class with ^ must be followed by * or +')
    if (step.min === step.max) return
    for (const next of steps.slice(i + 1)) {
      if (ASCII.some((c) => holds(step, c) && holds(next, c)))
        throw new Error('two neighbouring parts may match the same')
      if (next.min > 0) break
    }
  })
}

function holds(step, character) {
  return step.set.includes(character) !== step.negated
}
