// Names and literals as C and TypeScript want them.

export function upper(name) {
  return name.toUpperCase()
}

export function pascal(name) {
  return name
    .split('_')
    .map((word) => word[0].toUpperCase() + word.slice(1))
    .join('')
}

/** A C string literal of the text's UTF-8. Hex escapes could run into what follows, so what is not plain goes octal. */
export function cString(text) {
  const bytes = [...Buffer.from(text, 'utf8')]
  return `"${bytes.map(cByte).join('')}"`
}

function cByte(byte) {
  const character = String.fromCharCode(byte)
  if (character === '"' || character === '\\' || character === '?') return `\\${character}`
  if (byte >= 0x20 && byte < 0x7f) return character
  return `\\${byte.toString(8).padStart(3, '0')}`
}
