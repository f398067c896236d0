// One field to type into, at the dock or when hands are free. What is too long for the log is cut as it is typed.

/** Cuts a text to so many bytes of UTF-8, at a whole character. */
export function cutToBytes(text: string, most: number): string {
  let kept = ''
  let bytes = 0
  for (const char of text) {
    bytes += new TextEncoder().encode(char).length
    if (bytes > most) break
    kept += char
  }
  return kept
}

export function TextField({ label, text, most, change, place }: { label: string; text: string; most: number; change: (text: string) => void; place?: string }) {
  return <input class="field" aria-label={label} placeholder={label} value={text} autocomplete="off" data-place={place}
    onInput={(event) => change(cutToBytes(event.currentTarget.value, most))} />
}
