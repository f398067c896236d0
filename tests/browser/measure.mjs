// measure - reads sizes, contrasts and overflow off a drawn page.

/** Every target's box, with where it stands. */
export function boxes(page) {
  return page.$$eval('button', (buttons) => buttons.map((button, index) => {
    const { x, y, width, height } = button.getBoundingClientRect()
    return { index, x, y, width, height, place: button.dataset.place ?? button.textContent, tile: button.classList.contains('tile') }
  }).filter((box) => box.width > 0))
}

/** The distance between two boxes' nearest edges; 0 when they touch or overlap. */
export function gap(a, b) {
  const dx = Math.max(0, Math.max(a.x, b.x) - Math.min(a.x + a.width, b.x + b.width))
  const dy = Math.max(0, Math.max(a.y, b.y) - Math.min(a.y + a.height, b.y + b.height))
  return Math.hypot(dx, dy)
}

/** The font size of every element that has words of its own and is seen. */
export function fontSizes(page) {
  return page.evaluate(() => [...document.querySelectorAll('main :not(.aloud)')].filter((one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
    .filter((one) => one.getClientRects().length).map((one) => ({ size: parseFloat(getComputedStyle(one).fontSize), text: one.textContent.slice(0, 30) })))
}

/** The contrast of every piece of text with what lies under it: the nearest filled box above it, or the lane drawn behind it. */
export function textContrasts(page) {
  return page.evaluate(() => {
    const rgb = (color) => (color.match(/[\d.]+/g) ?? []).map(Number)
    const clear = (color) => rgb(color).length === 4 && rgb(color)[3] === 0
    const light = (color) => {
      const [r, g, b] = rgb(color).map((value) => value / 255).map((value) => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4))
      return 0.2126 * r + 0.7152 * g + 0.0722 * b
    }
    const ground = (one) => {
      for (let at = one; at; at = at.parentElement) {
        const own = getComputedStyle(at).backgroundColor
        if (!clear(own)) return own
        const behind = getComputedStyle(at, '::before')
        if (at.classList.contains('lane') && !clear(behind.backgroundColor)) return behind.backgroundColor
      }
      return getComputedStyle(document.documentElement).backgroundColor
    }
    return [...document.querySelectorAll('main :not(.aloud)')].filter((one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
      .filter((one) => one.getClientRects().length).map((one) => {
        const style = getComputedStyle(one)
        const color = one instanceof SVGElement ? style.fill : style.color
        const under = ground(one)
        const [high, low] = [light(color), light(under)].sort((a, b) => b - a)
        return { text: one.textContent.slice(0, 24), color, ground: under, ratio: (high + 0.05) / (low + 0.05), size: parseFloat(style.fontSize) }
      })
  })
}

/** What spills: words that reach out of the box that is theirs. A lane is drawn larger than it can be touched. The empty parts
 * of a line above its capitals and below its feet may. */
export function overflows(page) {
  return page.evaluate(() => {
    const RIM = { top: 26, side: 5 }
    const LEADING = 0.2
    const ROUNDING = 2
    const spilt = []
    for (const box of document.querySelectorAll('main .press, main .band')) {
      if (box.closest('.ask')) continue
      const { left, top, right, bottom } = box.getBoundingClientRect()
      const rim = box.classList.contains('lane') ? RIM : { top: 1, side: 1 }
      for (const part of box.querySelectorAll(':not(.aloud)')) {
        if (!part.getClientRects().length || ![...part.childNodes].some((node) => node.nodeType === 3 && node.data.trim())) continue
        const range = document.createRange()
        range.selectNodeContents(part)
        const words = range.getBoundingClientRect()
        const air = LEADING * parseFloat(getComputedStyle(part).fontSize)
        const over = Math.max(left - rim.side - words.left, words.right - right - rim.side, top - rim.top - words.top - air, words.bottom - bottom - 1 - air)
        if (over > ROUNDING) spilt.push(`${box.dataset.place ?? box.className}: "${part.textContent.slice(0, 40)}" by ${over.toFixed(0)} px`)
      }
    }
    return spilt
  })
}

/** Pictures, read in a page of their own that has no policy. */
export const decode = {
  async lit(chromium, png) {
    return inBlank(chromium, async (address) => {
      const image = new Image()
      image.src = address
      await image.decode()
      const canvas = new OffscreenCanvas(image.width, image.height)
      const ink = canvas.getContext('2d')
      ink.drawImage(image, 0, 0)
      const { data } = ink.getImageData(0, 0, image.width, image.height)
      const LIT = 64
      let lit = 0, green = 0, blue = 0
      for (let i = 0; i < data.length; i += 4) {
        if (Math.max(data[i], data[i + 1], data[i + 2]) > LIT) lit++
        green = Math.max(green, data[i + 1])
        blue = Math.max(blue, data[i + 2])
      }
      return { lit: lit / (data.length / 4), green, blue }
    }, `data:image/png;base64,${png.toString('base64')}`)
  },
  async marks(chromium, shapes) {
    return inBlank(chromium, async (list) => {
      const size = 48
      return Promise.all(list.map(async (shape) => {
        const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${size}" height="${size}" viewBox="0 0 24 24" color="#000">${shape.replaceAll('var(--hole)', '#fff')}</svg>`
        const image = new Image()
        image.src = `data:image/svg+xml,${encodeURIComponent(svg)}`
        await image.decode()
        const ink = new OffscreenCanvas(size, size).getContext('2d')
        ink.fillStyle = '#fff'
        ink.fillRect(0, 0, size, size)
        ink.drawImage(image, 0, 0)
        return Array.from(ink.getImageData(0, 0, size, size).data).filter((_, i) => i % 4 === 0).map((value) => (value < 128 ? 1 : 0))
      }))
    }, shapes)
  },
}

async function inBlank(chromium, run, argument) {
  const page = await chromium.newPage()
  try {
    return await page.evaluate(run, argument)
  } finally {
    await page.close()
  }
}
