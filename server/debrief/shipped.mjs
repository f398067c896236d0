// shipped - writes the shipped rule set into one C file, for the program to carry.
//
//   node shipped.mjs rules.json OUT.c

import { readFileSync, writeFileSync } from 'node:fs'

const [rules, out] = process.argv.slice(2)
if (!out) {
  console.error('usage: node shipped.mjs rules.json OUT.c')
  process.exit(2)
}
const lines = readFileSync(rules, 'utf8').trimEnd().split('\n')
writeFileSync(out, `#include "debrief/rules.h"

const char rules_shipped[] =
${lines.map((line) => `    ${JSON.stringify(`${line}\n`)}`).join('\n')};
`)
