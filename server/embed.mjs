// embed - writes a folder of built pages into one C file, for the program to carry.
//
//   node embed.mjs FOLDER OUT.c
//
// The C file defines embed_find() of embed.h.
// The same folder gives the same bytes: files in the order of their names, gzip without a time.

import { createHash } from 'node:crypto'
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { extname, join } from 'node:path'
import { gzipSync } from 'node:zlib'

const TYPES = {
  '.css': 'text/css; charset=utf-8',
  '.html': 'text/html; charset=utf-8',
  '.ico': 'image/x-icon',
  '.js': 'text/javascript; charset=utf-8',
  '.json': 'application/json',
  '.mp3': 'audio/mpeg',
  '.png': 'image/png',
  '.svg': 'image/svg+xml',
  '.txt': 'text/plain; charset=utf-8',
  '.wav': 'audio/wav',
  '.webmanifest': 'application/manifest+json',
  '.woff2': 'font/woff2',
}

/** The folder's files as { path, file }, in the order of their paths. */
function list(folder, under = '') {
  return readdirSync(join(folder, under), { withFileTypes: true })
    .flatMap((item) => (item.isDirectory() ? list(folder, join(under, item.name)) : [join(under, item.name)]))
    .sort()
}

function bytes(name, data) {
  const lines = []
  for (let i = 0; i < data.length; i += 32) lines.push([...data.subarray(i, i + 32)].join(','))
  return `static const unsigned char ${name}[] = {\n${lines.join(',\n')}};\n`
}

/** One file as the C of its two forms and its row of the table. */
function embed(folder, name, index) {
  const type = TYPES[extname(name)]
  if (!type) throw new Error(`${name}: no content type is known for ${extname(name) || 'a file without an ending'}`)
  if (!/^[\w./-]+$/.test(name)) throw new Error(`${name}: a page's name holds letters, digits, dots, dashes and slashes only`)
  const plain = readFileSync(join(folder, name))
  if (plain.length === 0) throw new Error(`${name}: is empty`)
  const gzip = gzipSync(plain, { level: 9 })
  const hash = createHash('sha256').update(plain).digest('hex').slice(0, 16)
  return {
    data: bytes(`gzip_${index}`, gzip) + bytes(`plain_${index}`, plain),
    row: `    {"/${name}", "${type}", "${hash}", ${name.startsWith('a/')}, gzip_${index}, plain_${index}, ` +
      `sizeof gzip_${index}, sizeof plain_${index}},\n`,
  }
}

const [folder, out] = process.argv.slice(2)
if (!folder || !out) {
  console.error('usage: node embed.mjs FOLDER OUT.c')
  process.exit(2)
}
const names = list(folder)
if (!names.includes('index.html')) throw new Error(`${folder}: holds no index.html`)
const files = names.map((name, index) => embed(folder, name, index))
writeFileSync(out, `#include "embed.h"

#include <string.h>

${files.map((file) => file.data).join('')}
static const struct embed_file files[] = {
${files.map((file) => file.row).join('')}};

const struct embed_file *embed_find(const char *path)
{
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++)
        if (strcmp(files[i].path, path) == 0)
            return &files[i];
    return NULL;
}
`)
