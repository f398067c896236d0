// The join link that this device itself came by, so that the helm can show it to others. The key stands in the address only
// until the server has taken it; it is kept here beside the token it was exchanged for, which opens as much.

const KEPT_AS = 'sternboard.join_key'

function keyInAddress(): string {
  return new URLSearchParams(location.hash.slice(1)).get('k') ?? ''
}

/** A key as the server knows it, from one that was typed: Crockford's base 32 takes small letters, O for 0, I and L for 1, and
 * breaks between groups. (Douglas Crockford, "Base 32".) */
export function typedKey(text: string): string {
  return text.toUpperCase().replace(/[^0-9A-Z]/g, '').replace(/O/g, '0').replace(/[IL]/g, '1')
}

/** The helm's number, which stands on the same card, typed in the key's place. */
export const isHelmNumber = (text: string) => /^\d{4}$/.test(text.trim())

export function rememberKey(key: string): void {
  try {
    localStorage.setItem(KEPT_AS, key)
  } catch {
    // Without storage the helm cannot show the code; the start-up has printed it.
  }
}

/** To be called before the link is started: afterwards the address has lost the key. */
export function rememberKeyInAddress(): void {
  const key = keyInAddress()
  if (key) rememberKey(key)
}

/** The link for others; '' when it is not known, or when this page came by an address that leads nobody here. */
export function joinLink(): string {
  const here = /^(localhost|127\.|\[::1\])/.test(location.hostname)
  try {
    const key = localStorage.getItem(KEPT_AS)
    return key && !here ? `${location.origin}/#k=${key}` : ''
  } catch {
    return ''
  }
}
