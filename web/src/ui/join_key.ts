// The join link that this device itself came by, so that the helm can show it to others. The key stands in the address only
// until the server has taken it; it is kept here beside the token it was exchanged for, which opens as much.

const KEPT_AS = 'sternboard.join_key'

function keyInAddress(): string {
  return new URLSearchParams(location.hash.slice(1)).get('k') ?? ''
}

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
