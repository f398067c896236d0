// Sizes words by how many there are: each place has a few sizes, the smallest still readable where it hangs.

/** The class of the first step that holds the text, else the last. */
export function fit(text: string, steps: readonly (readonly [most: number, name: string])[], last: string): string {
  return steps.find(([most]) => text.length <= most)?.[1] ?? last
}
