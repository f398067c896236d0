// codes - reads join codes as a phone's camera does: off the terminal's half blocks, and off a picture of a page.
//
// The reader (jsqr) shares nothing with the two that draw them (libqrencode in the server, qrcode-generator in the pages).

import jsQR from 'jsqr'
import { PNG } from 'pngjs'

const PIXELS_A_MODULE = 4
const HALVES = { ' ': [0, 0], '▄': [0, 1], '▀': [1, 0], '█': [1, 1] }

/** What the code in these pixels (RGBA) says; null when there is none. */
function read(data, width, height) {
  return jsQR(new Uint8ClampedArray(data), width, height)?.data ?? null
}

/** The code that the server has printed: light characters on a dark ground, two modules high each. */
export function readTerminalCode(output) {
  const rows = output.split('\n').filter((line) => /^[ ▄▀█]{21,}$/.test(line)).flatMap((line) =>
    [0, 1].map((half) => [...line].map((char) => HALVES[char][half])))
  if (!rows.length) return null
  const width = rows[0].length * PIXELS_A_MODULE
  const height = rows.length * PIXELS_A_MODULE
  const pixels = new Uint8ClampedArray(width * height * 4).fill(255)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const light = rows[Math.floor(y / PIXELS_A_MODULE)][Math.floor(x / PIXELS_A_MODULE)]
      pixels.fill(light ? 255 : 0, (y * width + x) * 4, (y * width + x) * 4 + 3)
    }
  }
  return read(pixels, width, height)
}

/** The code in a screenshot (PNG). */
export function readPictureOfCode(png) {
  const { data, width, height } = PNG.sync.read(png)
  return read(data, width, height)
}
