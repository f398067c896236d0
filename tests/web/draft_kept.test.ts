// The draft of a trip on the tablet: it comes back after a reload, and storage that is denied, full or spoiled breaks nothing.

import assert from 'node:assert/strict'
import { afterEach, test } from 'node:test'
import { type KeptDraft, forgetDraft, noDraft, readDraft, writeDraft } from '../../web/src/views/draft_kept'

const DRAFT: KeptDraft = { after: 'aaaaaaaaaaaaaaaa.o.1', trip: { name: 'Grey Petrel', crew: [{ id: 1, name: 'Ines', station: 'helm' }] }, known: [1] }

/** Storage of a browser: `refuses` says which calls throw. */
function storage(refuses: readonly ('get' | 'set' | 'remove')[] = []): Map<string, string> {
  const kept = new Map<string, string>()
  const unless = (call: 'get' | 'set' | 'remove') => {
    if (refuses.includes(call)) throw new Error('denied')
  }
  Object.assign(globalThis, { localStorage: {
    getItem: (name: string) => (unless('get'), kept.get(name) ?? null),
    setItem: (name: string, text: string) => (unless('set'), void kept.set(name, text)),
    removeItem: (name: string) => (unless('remove'), void kept.delete(name)),
  } })
  return kept
}

afterEach(() => void Reflect.deleteProperty(globalThis, 'localStorage'))

test('a draft comes back as it was written, and is gone once it is forgotten', () => {
  storage()
  assert.equal(readDraft(), null)
  writeDraft(DRAFT)
  assert.deepEqual(readDraft(), DRAFT)
  forgetDraft()
  assert.equal(readDraft(), null)
})

test('where storage is denied nothing is kept and nothing breaks', () => {
  storage(['get', 'set', 'remove'])
  writeDraft(DRAFT)
  assert.equal(readDraft(), null)
  forgetDraft()
  Reflect.deleteProperty(globalThis, 'localStorage')
  assert.equal(readDraft(), null)
})

test('a draft that no longer fits takes the older one with it', () => {
  const kept = storage(['set'])
  kept.set('sternboard.draft', JSON.stringify(noDraft('')))
  writeDraft(DRAFT)
  assert.equal(readDraft(), null)
})

test('what cannot be read as a draft is none', () => {
  const kept = storage()
  for (const text of ['', '{', '7', 'null', '{}', '{"after":1,"trip":{},"known":[]}', '{"after":"","trip":{"crew":3},"known":[]}', '{"after":"","trip":{"name":7},"known":[]}', '{"after":"","trip":null,"known":[]}']) {
    kept.set('sternboard.draft', text)
    assert.equal(readDraft(), null, text)
  }
})
