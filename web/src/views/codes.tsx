// The join code: the page's own join link as a QR code, dark on light in every light, for readers that fail on reversed ones.

import { Fragment } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { Press } from '../ui/button'
import { joinLink } from '../ui/join_key'
import { words } from '../words'

/** Modules of light around the code, as its standard asks (ISO/IEC 18004). */
const QUIET = 4

interface Code {
  size: number
  path: string
}

/** The dark modules as one path, on a grid of one unit a module. The maker of codes is fetched when a code is wanted. */
async function qrCode(text: string): Promise<Code> {
  const { default: qrcode } = await import('qrcode-generator')
  const code = qrcode(0, 'M')
  code.addData(text)
  code.make()
  const count = code.getModuleCount()
  const runs: string[] = []
  for (let y = 0; y < count; y++) {
    for (let x = 0; x < count; x++) if (code.isDark(y, x)) runs.push(`M${x + QUIET} ${y + QUIET}h1v1h-1z`)
  }
  return { size: count + 2 * QUIET, path: runs.join('') }
}

/** A link to be typed from: broken before the key and between its words, never within one. */
function breakable(link: string) {
  return link.split(/(?=#)|(?<=-)/).map((part, n) => <Fragment key={n}>{n > 0 && <wbr />}{part}</Fragment>)
}

export function CodesPanel({ close }: { close: () => void }) {
  const link = joinLink()
  const [code, setCode] = useState<Code | null>(null)
  useEffect(() => {
    if (link) qrCode(link).then(setCode, () => setCode(null))
  }, [link])
  return (
    <section class="panel codes">
      {code
        ? <div class="code">
            <svg viewBox={`0 0 ${code.size} ${code.size}`} role="img" aria-label={link} shape-rendering="crispEdges">
              <path class="light" d={`M0 0h${code.size}v${code.size}H0z`} /><path class="dark" d={code.path} />
            </svg>
            <div><h2>{words.codes.title}</h2><p>{words.codes.wifi}</p><p class="link">{breakable(link.replace(/^https?:\/\//, ''))}</p><p>{words.join.stay}</p>
              <Press label={words.button.close} of="close" place="close" act={close} /></div>
          </div>
        : <div><p>{link || words.codes.noKey}</p><Press label={words.button.close} of="close" place="close" act={close} /></div>}
    </section>
  )
}
