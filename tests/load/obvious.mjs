// The obvious build, to be measured beside the board: one Node process, `ws`, and `better-sqlite3` with the log's own settings (WAL,
// synchronous FULL). For each tap one insert, then the text to all other screens, then an answer to its sender.
//
//   node obvious.mjs PORT FILE      its packages stand in the folder it is started in

import { createRequire } from 'node:module'

const require = createRequire(`${process.cwd()}/`)
const Database = require('better-sqlite3')
const { WebSocketServer } = require('ws')

const db = new Database(process.argv[3])
db.pragma('journal_mode = WAL')
db.pragma('synchronous = FULL')
db.exec('CREATE TABLE tap (seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, text TEXT NOT NULL)')
const insert = db.prepare('INSERT INTO tap (id, text) VALUES (?, ?)')

const server = new WebSocketServer({ host: '127.0.0.1', port: Number(process.argv[2]) })
server.on('connection', (screen) => {
  screen.on('message', (data) => {
    const text = data.toString()
    const { id } = JSON.parse(text)
    insert.run(id, text)
    for (const other of server.clients) if (other !== screen) other.send(text)
    screen.send(JSON.stringify({ saved: id }))
  })
})
