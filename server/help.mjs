// help - writes the words of --help into one C file, for the program to carry.
//
//   node help.mjs help.txt OUT.c
//
// They are a text of their own because server/start says them too, before anything is built.

import { readFileSync, writeFileSync } from 'node:fs'

const [text, out] = process.argv.slice(2)
if (!out) {
  console.error('usage: node help.mjs help.txt OUT.c')
  process.exit(2)
}
const lines = readFileSync(text, 'utf8').trimEnd().split('\n')
writeFileSync(out, `#include "options.h"

const char options_help[] =
${lines.map((line) => `    ${JSON.stringify(`${line}\n`)}`).join('\n')};
`)
