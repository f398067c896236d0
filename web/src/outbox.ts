// The phone's storage for waiting taps: IndexedDB, one object store of rows by their identity.
//
// Writes ask for durability "strict": a phone whose battery is pulled must still have the tap. Any failure is reported once;
// from then on the link keeps its taps in memory and says so.

import type { EntryId } from 'proto'
import type { Input, Row } from './link_types'

const NAME = 'sternboard'
const STORE = 'rows'

export class Outbox {
  private db: Promise<IDBDatabase>
  private failed = false

  /** Loads what earlier page loads left and reports it as `rows`. */
  constructor(private report: (input: Input) => void) {
    this.db = openDatabase()
    this.db.then((db) => this.load(db)).catch(() => this.fail())
  }

  write(row: Row): void {
    this.change((store) => store.put(row), () => this.report({ is: 'written', id: row.id }))
  }

  erase(id: EntryId): void {
    this.change((store) => store.delete(id), () => undefined)
  }

  private load(db: IDBDatabase): void {
    const asked = db.transaction(STORE, 'readonly').objectStore(STORE).getAll()
    asked.onsuccess = () => this.report({ is: 'rows', rows: asked.result as Row[] })
    asked.onerror = () => this.fail()
  }

  private change(work: (store: IDBObjectStore) => void, done: () => void): void {
    this.db
      .then((db) => {
        const transaction = db.transaction(STORE, 'readwrite', { durability: 'strict' })
        transaction.oncomplete = done
        transaction.onerror = transaction.onabort = () => this.fail()
        work(transaction.objectStore(STORE))
      })
      .catch(() => this.fail())
  }

  private fail(): void {
    if (this.failed) return
    this.failed = true
    this.report({ is: 'storage_failed' })
  }
}

function openDatabase(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1)
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: 'id' })
    asked.onsuccess = () => resolve(asked.result)
    asked.onerror = asked.onblocked = () => reject(new Error('no storage'))
  })
}
