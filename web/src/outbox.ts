// The phone's storage for waiting taps: IndexedDB, one object store of rows by their identity, shared by all pages of this phone.
//
// Writes ask for durability "strict": a phone whose battery is pulled must still have the tap. Any failure is reported once;
// from then on the link keeps its taps in memory and says so.
//
// The database is opened at whatever version it has: a page of an older release must still find what waits. A page of a newer
// one that wants to change it is let through: this page gives its connection up, and goes on in memory.

import type { EntryId, U64 } from 'proto'
import type { Input, Row } from './link_types'
import { Tabs } from './tabs'

const NAME = 'sternboard'
const STORE = 'rows'

const senderOf = (row: Row): U64 => row.id.slice(0, 16)

export class Outbox {
  private db: Promise<IDBDatabase>
  private tabs: Tabs
  private failed = false

  constructor(page: U64, private report: (input: Input) => void) {
    this.tabs = new Tabs(page)
    this.db = openDatabase(() => this.fail())
    this.db.catch(() => this.fail())
  }

  /** Reports as `rows` what pages that are gone have left; this page's own rows too. */
  read(): void {
    this.work<Row[]>('readonly', (store, give) => (store.getAll().onsuccess = ({ target }) => give((target as IDBRequest<Row[]>).result)), async (rows) => {
      const gone = await this.tabs.gone(rows.map(senderOf))
      this.report({ is: 'rows', rows: rows.filter((row) => gone.has(senderOf(row))) })
    })
  }

  /** Reports `written`; or `outrun`, and leaves the row as it is, when it is marked for another run. */
  write(row: Row): void {
    const put = (store: IDBObjectStore, give: (is: 'written' | 'outrun') => void): void => {
      stored(store, row.id, (there) => {
        const outrun = there?.run !== undefined && there.run !== row.run
        if (!outrun) store.put(row)
        give(outrun ? 'outrun' : 'written')
      })
    }
    this.work('readwrite', put, (is) => this.report({ is, id: row.id }))
  }

  erase(id: EntryId): void {
    this.work<undefined>('readwrite', (store) => store.delete(id), () => undefined)
  }

  /** Reports the rows as `claimed`. */
  claim(run: U64, boat: U64, rows: readonly Row[]): void {
    const claimed: Row[] = []
    const mark = (store: IDBObjectStore, give: (rows: Row[]) => void): void => {
      give(claimed)
      for (const row of rows) {
        stored(store, row.id, (there) => {
          claimed.push({ ...(there ?? row), run, boat })
          store.put(claimed[claimed.length - 1])
        })
      }
    }
    this.work('readwrite', mark, (done) => this.report({ is: 'claimed', run, rows: done }))
  }

  /** One transaction; what it gave is done with once it is on the disk. */
  private work<Out>(mode: IDBTransactionMode, work: (store: IDBObjectStore, give: (out: Out) => void) => void, done: (out: Out) => void): void {
    this.db
      .then((db) => {
        let out: Out
        const transaction = db.transaction(STORE, mode, { durability: 'strict' })
        transaction.oncomplete = () => done(out)
        transaction.onerror = transaction.onabort = () => this.fail()
        work(transaction.objectStore(STORE), (given) => (out = given))
      })
      .catch(() => this.fail())
  }

  private fail(): void {
    if (this.failed) return
    this.failed = true
    this.report({ is: 'storage_failed' })
  }
}

function stored(store: IDBObjectStore, id: EntryId, then: (row: Row | undefined) => void): void {
  const asked: IDBRequest<Row | undefined> = store.get(id)
  asked.onsuccess = () => then(asked.result)
}

/** lost: the storage was cleared, or given up for a newer page. A page that holds the database back (onblocked) is waited for: the
 * link takes a storage that hangs for broken. */
function openDatabase(lost: () => void): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME)
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: 'id' })
    asked.onerror = () => reject(new Error('no storage'))
    asked.onsuccess = () => {
      const db = asked.result
      db.onclose = lost
      db.onversionchange = () => {
        db.close()
        lost()
      }
      resolve(db)
    }
  })
}
