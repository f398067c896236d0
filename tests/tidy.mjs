// tidy - the never-rules of this code, checked by reading the tree. What is not checked is not a rule.
//
//   node tests/tidy.mjs                   the rules on source files and on the tree's shape
//   node tests/tidy.mjs --objects BUILD   the rules on compiled objects: mutable globals, files that call each other
//
// Every rule carries snippets that break it and one that keeps it. They are tried first on each run, so that a rule that
// can no longer fail is itself a failure. Findings are `file:line: what and why`; the last line is the count of checks.

import { execFileSync } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, dirname, join, normalize, relative, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

const TOP = resolve(dirname(fileURLToPath(import.meta.url)), '..')

// Files that may be longer than 600 lines, each with its own bound and the reason it isn't two files.
const LONG_FILES = {
  LICENSE: 700, // the licence is as long as it is
}

// What a folder's files may include from this tree, beside their own folder. Ground floor first.
const LAYERS = {
  'shared-proto': [],
  'server/board': ['shared-proto'],
  'server/debrief': ['server/board', 'shared-proto'],
  'server/log': ['shared-proto'],
  'server/nav': [],
  'server/hub': ['server/board', 'server/debrief', 'server/log', 'shared-proto'],
  'server/net': ['server/hub', 'shared-proto'],
}

// Headers that any folder may include. The rest of server/ itself is main.c's side of the house, and nobody's below.
const COMMON_HEADERS = ['server/board/check.h', 'server/embed.h', 'server/err.h', 'server/limit.h', 'server/plain.h']

// Headers of the same floor that are for some folders alone: the rules know no hashes.
const HASH_HEADERS = ['server/chain.h', 'server/hash.h']
const HASHERS = ['server/hub', 'server/log']

// The only system headers the rules may see: types, limits and byte copies.
const BOARD_HEADERS = ['inttypes.h', 'limits.h', 'stdbool.h', 'stddef.h', 'stdint.h', 'string.h']

const TOP_LEVEL = ['README.md', 'DEVELOPERS.md', 'LICENSE', 'meson.build', 'server', 'web', 'shared-proto', 'tests']

// Headers that exist only in a build folder.
const GENERATED = { 'proto.h': 'shared-proto', 'proto_json.h': 'shared-proto' }

// ---- reading ------------------------------------------------------------------------------------------------------------

const isC = (path) => /\.[ch]$/.test(path)
const isWeb = (path) => path.startsWith('web/') && /\.(ts|tsx|js|mjs|html)$/.test(path)
const isShipped = (path) => path.startsWith('server/') || path.startsWith('shared-proto/')
const isSource = (path) => isC(path) || /\.(ts|tsx|js|mjs|css|sh|build)$/.test(path)
const isText = (path) => !/\.(png|jpg|ico|woff2?|gz|db|sqlite|wav|mp3|webp)$/.test(path)
const inFolder = (path, folder) => path.startsWith(folder + '/')
const folderOf = (path) => Object.keys(LAYERS).find((folder) => inFolder(path, folder))

/** The paths of all the tree's files from its top, builds and installed packages left out. */
function walk(folder = '.') {
  return readdirSync(join(TOP, folder), { withFileTypes: true }).flatMap((item) => {
    const path = normalize(join(folder, item.name))
    if (['.git', '.build', 'node_modules'].includes(item.name)) return [] // in a second working tree .git is a file
    if (item.isDirectory()) return walk(path)
    return item.isFile() ? [path] : []
  })
}

/** C or TypeScript without its comments, line for line: prose may name what code may not do. */
function withoutComments(text) {
  return text.replace(/\/\*[^]*?\*\/|"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|\/\/[^\n]*/g, (match) =>
    match.startsWith('/') ? match.replace(/[^\n]/g, ' ') : match)
}

/** The comments alone, line for line, each line without the marks that begin and end it. */
function commentsOnly(text) {
  const code = withoutComments(text)
  const comments = text.split('').map((char, index) => (char === '\n' || code[index] !== char ? char : ' ')).join('')
  return comments.split('\n').map((line) => line.trim().replace(/^(\/\/|\/?\*+(?!\/))\s*|\s*\*\/$/g, '')).join('\n')
}

/** The numbers of the lines on which the pattern is found. */
function linesWith(pattern, text) {
  return text.split('\n').flatMap((line, index) => (pattern.test(line) ? [index + 1] : []))
}

// ---- rules on one file --------------------------------------------------------------------------------------------------
// { name, why, on(path), find(text, path) -> line numbers, bad: [path, text]..., good: [path, text] }

/** A rule that forbids a pattern in code (comments aside) of the files that `on` picks. */
function forbid(name, on, pattern, why, bad, good) {
  return { name, why, on, find: (text) => linesWith(pattern, withoutComments(text)), bad, good }
}

const JSON_DOOR = 'shared-proto/reader.c'
const CLOCK_DOORS = ['server/main.c', 'server/clock.c']
const join2 = (...parts) => parts.join('') // keeps this file's own snippets from breaking the rules

const FILE_RULES = [
  {
    name: 'board-headers',
    why: 'server/board sees only types, limits and byte copies: no I/O, no clock, no database, no JSON, no sockets',
    on: (path) => isC(path) && inFolder(path, 'server/board'),
    find: (text) =>
      withoutComments(text).split('\n').flatMap((line, index) => {
        const header = /^\s*#\s*include\s*<([^>]*)>/.exec(line)
        return (header && !BOARD_HEADERS.includes(header[1])) || /"proto_json\.h"/.test(line) ? [index + 1] : []
      }),
    bad: [
      ['server/board/a.c', '#include <stdio.h>\n'], ['server/board/a.c', '#include <time.h>\n'],
      ['server/board/a.h', '#include <sqlite3.h>\n'], ['server/board/a.c', '#include <cjson/cJSON.h>\n'],
      ['server/board/a.c', '#include <libwebsockets.h>\n'], ['server/board/a.c', '#include "proto_json.h"\n'],
    ],
    good: ['server/board/a.c', '#include <stdint.h>\n#include "proto.h"\n/* never <stdio.h> */\n'],
  },
  forbid('board-pure', (path) => isC(path) && inFolder(path, 'server/board'),
    /\b(malloc|calloc|realloc|free|strdup|alloca|getrandom|rand|random|time|clock)\s*\(/,
    'server/board allocates nothing and asks for no clock and no chance',
    [['server/board/a.c', 'p = malloc(4);\n'], ['server/board/a.c', 'x = rand();\n'], ['server/board/a.c', 't = time(0);\n']],
    ['server/board/a.c', 'board_time(x); /* no malloc(4) here */\n']),
  forbid('enum-default', (path) => isC(path) && (inFolder(path, 'server/board') || inFolder(path, 'server/hub')),
    /^\s*default\s*:/, 'a switch over an enum has no default, so that the compiler finds the missing case',
    [['server/board/a.c', 'switch (k) {\n  default: break;\n}\n']], ['server/board/a.c', 'case DEFAULT_SIDE: break;\n']),
  forbid('socket-door', (path) => isC(path) && isShipped(path) && !inFolder(path, 'server/net'),
    /\blws_(?!cancel_service\b)\w+\s*\(|<libwebsockets\.h>/, 'libwebsockets is called in server/net alone',
    [['server/hub/a.c', 'lws_write(wsi, b, n, LWS_WRITE_TEXT);\n'], ['server/log/a.c', '#include <libwebsockets.h>\n']],
    ['server/net/a.c', '#include <libwebsockets.h>\nlws_write(wsi, b, n, LWS_WRITE_TEXT);\n']),
  {
    name: 'socket-writes',
    why: 'lws_write is called in one place of one file: the writable callback writes once',
    on: (path) => isC(path) && inFolder(path, 'server/net'),
    find: (text) => linesWith(/\blws_write\w*\s*\(/, withoutComments(text)).slice(2),
    bad: [['server/net/a.c', 'lws_write(a);\nlws_write(b);\nlws_write(c);\n']],
    good: ['server/net/a.c', 'lws_write(page);\nlws_write(frame);\n'],
  },
  forbid('database-door', (path) => isC(path) && isShipped(path) && !inFolder(path, 'server/log'),
    /<sqlite3\.h>|\bsqlite3_\w+\s*\(/, 'the database is opened and read in server/log alone',
    [['server/hub/a.c', '#include <sqlite3.h>\n'], ['server/main.c', 'sqlite3_open(p, &db);\n']],
    ['server/log/log.c', '#include <sqlite3.h>\n']),
  forbid('log-grows-only', (path) => isC(path) && isShipped(path),
    /\b(UPDATE|DELETE\s+FROM|REPLACE\s+INTO|INSERT\s+OR\s+REPLACE\s+INTO)\s+entr(y|ies)\b/i,
    'no entry is changed or deleted, ever',
    [['server/log/a.c', '"UPDATE entry SET body = ?"\n'], ['server/log/a.c', '"delete from entries"\n']],
    ['server/log/a.c', '"CREATE TRIGGER no_update BEFORE UPDATE ON entry"\n']),
  forbid('json-door', (path) => isC(path) && path !== JSON_DOOR, /\bcJSON_Parse\w*\s*\(/,
    'JSON is parsed by the strict reader alone',
    [['server/hub/a.c', 'cJSON_Parse(text);\n'], ['tests/unit/a.c', 'cJSON_ParseWithLength(t, n);\n']],
    [JSON_DOOR, 'cJSON_ParseWithLengthOpts(t, n, &end, 0);\n']),
  forbid('json-case', isC, /\bcJSON_(GetObjectItem|HasObjectItem|DeleteItemFromObject|ReplaceItemInObject)\s*\(/,
    'these forget upper and lower case: use those that end in CaseSensitive',
    [['server/hub/a.c', 'cJSON_GetObjectItem(o, "n");\n']], ['server/hub/a.c', 'cJSON_GetObjectItemCaseSensitive(o, "n");\n']),
  forbid('clock-door', (path) => isC(path) && isShipped(path) && !CLOCK_DOORS.includes(path),
    /\b(clock_gettime|gettimeofday|timespec_get|lws_now_usecs|lws_now_secs|ftime|time|clock)\s*\(/,
    `time is an input; the clock is read in ${CLOCK_DOORS.join(' or ')} alone`,
    [['server/hub/a.c', 'clock_gettime(CLOCK_BOOTTIME, &t);\n'], ['server/net/a.c', 't = time(NULL);\n'],
      ['server/net/a.c', 't = lws_now_usecs();\n']],
    ['server/clock.c', 'clock_gettime(CLOCK_BOOTTIME, &t);\n']),
  forbid('chance-door', (path) => isC(path) && ['board', 'hub', 'debrief'].some((at) => inFolder(path, 'server/' + at)),
    /\b(getrandom|RAND_bytes|arc4random\w*|random|rand)\s*\(/, 'chance is an input here, as time is',
    [['server/hub/a.c', 'getrandom(b, 8, 0);\n'], ['server/hub/a.c', 'RAND_bytes(b, 8);\n']],
    ['server/hub/a.c', 'seed_random(x);\n']),
  forbid('unsafe-calls', (path) => isC(path) && isShipped(path),
    /\b(strcpy|strcat|sprintf|vsprintf|gets|strtok|atoi|atol|atof|rand|system|popen|setjmp|longjmp|alloca|assert)\s*\(/,
    'there is a bounded, checked or always-on way to do this',
    [['server/a.c', 'strcpy(a, b);\n'], ['server/a.c', 'sprintf(a, "%d", 1);\n'], ['server/a.c', 'assert(x);\n'],
      ['server/a.c', 'n = atoi(s);\n']],
    ['server/a.c', 'snprintf(a, sizeof a, "%d", 1);\n_Static_assert(1, "");\nstatic_assert(1, "");\n']),
  forbid('one-build-shape', (path) => isC(path) && isShipped(path), /^\s*#\s*(if|ifdef|elif)\b|^\s*#\s*ifndef\s+(?!\w+_H_?\b)/,
    'no feature switches: one build shape',
    [['server/a.c', '#ifdef WITH_TLS\n'], ['server/a.c', '#if 0\n'], ['server/a.h', '#ifndef NDEBUG\n']],
    ['server/a.h', '#ifndef A_H\n#define A_H\n#endif\n']),
  forbid('plain-structs', (path) => isC(path) && isShipped(path), /\btypedef\s+(struct|enum|union)\b/,
    'structs, enums and unions are called by their full name',
    [['server/a.h', 'typedef struct line { int id; } line;\n']], ['server/a.h', 'struct line { int id; };\n']),
  {
    name: 'dead-code',
    why: 'code that is not wanted is deleted, not commented out',
    on: (path) => isC(path) || /\.(ts|tsx|mjs)$/.test(path),
    find: (text) => linesWith(
      /^((if|for|while|switch)\s*\(.*[;{]|(return|break|continue)\b[^.,]*;|[\w.>-]+\s*=\s*[^=].*;|[\w.>-]+\(.*\);)$/,
      commentsOnly(text)),
    bad: [
      ['server/a.c', join2('/', '/ x = compute(y);\n')], ['server/a.c', join2('/', '* return 0; */\n')],
      ['web/a.ts', join2('  /', '/ send(tap);\n')], ['server/a.c', join2('/', '/ if (x) {\n')],
    ],
    good: ['server/a.c', '/* Returns 0 when nothing is left; if so, the caller stops. */\n'],
  },
  {
    name: 'left-for-later',
    why: 'nothing on main is left for later',
    on: isText,
    find: (text) => linesWith(new RegExp(join2('\\b(TO', 'DO|FIX', 'ME|XX', 'X|HA', 'CK)\\b')), text),
    bad: [['server/a.c', join2('/* TO', 'DO: later */\n')], ['README.md', join2('FIX', 'ME\n')]],
    good: ['server/a.c', '/* a hackle, to do with feathers */\n'],
  },
  {
    name: 'no-machine-paths',
    why: 'a path of one machine means nothing on another',
    on: isText,
    find: (text) => linesWith(new RegExp(join2('(^|[\\s"\'`=(:,])/(home|ro', 'ot|Users|wo', 'rk|fa', 'rm|mnt|tm', 'p)/\\w')), text),
    bad: [['tests/a.sh', join2('cd /ho', 'me/mia/board\n')], ['server/a.c', join2('"/tm', 'p/board.db"\n')]],
    good: ['tests/a.sh', 'mktemp -d "${TMPDIR:-/tmp}/board.XXXXXX"\n/usr/bin/chromium shared/root/x server/home/y\n'],
  },
  {
    name: 'lock-without-hosts',
    why: 'a package lock pins versions and hashes; where they are fetched from is the machine\'s own setting',
    on: (path) => basename(path) === 'package-lock.json',
    find: (text) => linesWith(/"resolved"\s*:\s*"https?:/, text),
    bad: [['web/package-lock.json', '      "resolved": "https://registry.example/x.tgz",\n']],
    good: ['web/package-lock.json', '      "version": "1.0.0",\n      "integrity": "sha512-"\n'],
  },
  forbid('no-raw-html', isWeb,
    /\b(innerHTML|outerHTML|insertAdjacentHTML|dangerouslySetInnerHTML)\b|\bdocument\.write|\beval\s*\(|\bnew Function\b/,
    'text never becomes markup or code',
    [['web/a.tsx', 'el.innerHTML = name\n'], ['web/a.tsx', '<p dangerouslySetInnerHTML={x}/>\n'], ['web/a.ts', 'eval(x)\n']],
    ['web/a.tsx', '<p>{name}</p>\n']),
  forbid('pure-web', (path) => /^web\/(.*\/)?(link|store)\w*\.tsx?$/.test(path),
    /\b(document|window|localStorage|indexedDB|navigator)\s*[.[]|\bnew WebSocket\b|\bDate\.now\b|\bperformance\.now\b|\bMath\.random\b|\bset(Timeout|Interval)\s*\(/,
    'link and store are pure machines: messages, times and storage results in; messages and writes out',
    [['web/src/link.ts', 'const t = Date.now()\n'], ['web/link.ts', 'setTimeout(f, 1)\n'], ['web/src/store.ts', 'document.title = x\n']],
    ['web/src/link.ts', 'state.window_ms = input.now_ms\n']),
  {
    name: 'tests-assert',
    why: 'a test without an assertion tests nothing',
    on: (path) => /(^|\/)test_\w+\.c$/.test(path) || /\.test\.(ts|tsx|mjs)$/.test(path),
    find: (text) => (/\bassert\w*\s*[.(]|\bassert_\w+\s*\(|\bexpect\w*\s*\(/.test(withoutComments(text)) ? [] : [1]),
    bad: [['tests/unit/test_a.c', 'int main(void) { return 0; }\n'], ['web/a.test.ts', 'test("x", () => {})\n']],
    good: ['tests/unit/test_a.c', 'assert_int_equal(a, b);\n'],
  },
  {
    name: 'short-files',
    why: 'files seldom pass 600 lines; one that must is named in tests/tidy.mjs with its bound',
    on: (path) => isSource(path) || path in LONG_FILES,
    find: (text, path) => {
      const lines = text.split('\n').length - 1
      return lines > (LONG_FILES[path] ?? 600) ? [lines] : []
    },
    bad: [['server/a.c', 'x\n'.repeat(601)]],
    good: ['server/a.c', 'x\n'.repeat(600)],
  },
]

// ---- rules on the tree --------------------------------------------------------------------------------------------------
// { name, why, find(files) -> ["place: what"], bad: [files]..., good: files }, where files is a Map of path to text.

/** Where an #include "..." of `from` leads: a path of the tree, or of a generated header its folder; else null. */
function included(files, from, header) {
  const tried = [join(dirname(from), header), join('server', header), join('shared-proto', header), join('tests', header)]
  const found = tried.map(normalize).find((path) => files.has(path))
  if (found) return found
  if (GENERATED[basename(header)]) return join(GENERATED[basename(header)], basename(header))
  const named = [...files.keys()].filter((path) => path.endsWith('/' + header))
  return named.length === 1 ? named[0] : null
}

/** Every #include "..." in shipped C: { from, line, header, to }. */
function includes(files) {
  return [...files].filter(([path]) => isC(path) && isShipped(path)).flatMap(([from, text]) =>
    withoutComments(text).split('\n').flatMap((line, index) => {
      const header = /^\s*#\s*include\s*"([^"]*)"/.exec(line)?.[1]
      return header ? [{ from, line: index + 1, header, to: included(files, from, header) }] : []
    }))
}

const snippet = (object) => new Map(Object.entries(object))

const TREE_RULES = [
  {
    name: 'layers',
    why: 'each folder uses only those below it',
    find: (files) =>
      includes(files).flatMap(({ from, line, header, to }) => {
        const layer = folderOf(from)
        if (!layer || !to || COMMON_HEADERS.includes(to) || (HASH_HEADERS.includes(to) && HASHERS.includes(layer))) return []
        const target = folderOf(to) ?? 'server'
        return target === layer || LAYERS[layer].includes(target) ? [] : [`${from}:${line}: ${layer} reaches for ${target} ("${header}")`]
      }),
    bad: [
      snippet({ 'server/board/a.c': '#include "hub/hub.h"\n', 'server/hub/hub.h': '\n' }),
      snippet({ 'server/hub/a.c': '#include "net.h"\n', 'server/net/net.h': '\n' }),
      snippet({ 'server/board/a.c': '#include "../log/log.h"\n', 'server/log/log.h': '\n' }),
      snippet({ 'server/nav/a.c': '#include "proto.h"\n' }),
      snippet({ 'server/net/a.c': '#include "options.h"\n', 'server/options.h': '\n' }),
      snippet({ 'server/board/a.c': '#include "hash.h"\n', 'server/hash.h': '\n' }),
    ],
    good: snippet({
      'server/hub/a.c': '#include "board/board.h"\n#include "log/log.h"\n#include "chain.h"\n', 'server/chain.h': '\n', 'server/board/board.h': '#include "proto.h"\n',
      'server/log/log.h': '#include "board/check.h"\n', 'server/board/check.h': '\n',
    }),
  },
  {
    name: 'common-headers',
    why: 'what any folder may include reaches for no folder itself',
    find: (files) =>
      includes(files).filter(({ from, to }) => COMMON_HEADERS.includes(from) && to && !COMMON_HEADERS.includes(to) && folderOf(to) !== 'shared-proto')
        .map(({ from, line, header }) => `${from}:${line}: "${header}"`),
    bad: [snippet({ 'server/limit.h': '#include "hub/hub.h"\n', 'server/hub/hub.h': '\n' })],
    good: snippet({ 'server/limit.h': '#include "proto.h"\n', 'server/serve.h': '#include "hub/hub.h"\n', 'server/hub/hub.h': '\n' }),
  },
  {
    name: 'top-level',
    why: `the top holds ${TOP_LEVEL.join(', ')}, dotfiles, and nothing else`,
    find: (files) => {
      const names = [...new Set([...files.keys()].map((path) => path.split('/')[0]))]
      return [
        ...names.filter((name) => !name.startsWith('.') && !TOP_LEVEL.includes(name)).map((name) => `${name}: does not belong here`),
        ...TOP_LEVEL.filter((name) => !names.includes(name)).map((name) => `${name}: missing`),
      ]
    },
    bad: [
      snippet(Object.fromEntries([...TOP_LEVEL, 'Makefile'].map((name) => [name, '']))),
      snippet(Object.fromEntries(TOP_LEVEL.slice(1).map((name) => [name, '']))),
    ],
    good: snippet(Object.fromEntries([...TOP_LEVEL, '.gitignore'].map((name) => [name, '']))),
  },
  {
    name: 'tests-named',
    why: 'a unit test bears the name of the module it tests, and each is in the build',
    find: (files) => {
      const build = files.get('tests/unit/meson.build') ?? ''
      return [...files.keys()].map((path) => /^tests\/unit\/test_(\w+)\.c$/.exec(path)?.[1])
        .filter((name) => name && !new RegExp(`'(test_)?${name}(\\.c)?'`).test(build))
        .map((name) => `tests/unit/test_${name}.c: not in tests/unit/meson.build`)
    },
    bad: [snippet({ 'tests/unit/test_line.c': '', 'tests/unit/meson.build': "'test_board'\n" })],
    good: snippet({ 'tests/unit/test_line.c': '', 'tests/unit/meson.build': "['line', [board_dep]],\n" }),
  },
]

// ---- rules on objects ---------------------------------------------------------------------------------------------------

/** The names of an object's writable data, where the loader's one-time writing (pointers in constant tables) doesn't count. */
function mutableGlobals(object) {
  return execFileSync('objdump', ['-t', object], { encoding: 'utf8' }).split('\n').flatMap((line) => {
    const symbol = /^[0-9a-f]+ .{7} (\S+)\t[0-9a-f]+ +(?:\.hidden )?(\S+)$/.exec(line)
    if (!symbol) return []
    const [, section, name] = symbol
    const writable = section === '*COM*' || (/^\.t?(data|bss)(\.|$)/.test(section) && !section.startsWith('.data.rel.ro'))
    return writable && name !== section ? [name] : []
  })
}

/** Which functions and data an object defines for others, and which it asks of others. */
function linkage(object) {
  const defines = [], asks = []
  for (const line of execFileSync('nm', ['-P', object], { encoding: 'utf8' }).split('\n')) {
    const [name, type] = line.split(' ')
    if (type === 'U') asks.push(name)
    else if (/^[A-Z]$/.test(type ?? '')) defines.push(name)
  }
  return { defines, asks }
}

/** The names that more than one object defines: which of them is meant then hangs on the order of linking. */
function twins(objects) {
  const homes = new Map()
  for (const { name, defines } of objects)
    for (const symbol of defines) homes.set(symbol, [...(homes.get(symbol) ?? []), name])
  return [...homes].filter(([, names]) => names.length > 1).map(([symbol, names]) => `${symbol}: ${names.join(' and ')}`)
}

/** The groups of objects that reach each other in a circle, each as a list of names. */
function circles(objects) {
  const home = new Map(objects.flatMap(({ name, defines }) => defines.map((symbol) => [symbol, name])))
  const uses = new Map(objects.map(({ name, asks }) =>
    [name, [...new Set(asks.map((symbol) => home.get(symbol)).filter((to) => to && to !== name))]]))
  const reach = (from) => {
    const seen = new Set(), open = [...uses.get(from)]
    while (open.length) {
      const next = open.pop()
      if (!seen.has(next)) seen.add(next), open.push(...uses.get(next))
    }
    return seen
  }
  const reached = new Map([...uses.keys()].map((name) => [name, reach(name)]))
  const groups = [...uses.keys()].filter((name) => reached.get(name).has(name))
    .map((name) => [...reached.get(name)].filter((other) => reached.get(other).has(name)).sort().join(' <-> '))
  return [...new Set(groups)]
}

/** The objects of shipped C in a build folder, as { file, name }; main.c, whose globals are the process's own, left out. */
function shippedObjects(build) {
  return JSON.parse(readFileSync(join(build, 'compile_commands.json'), 'utf8'))
    .filter((unit) => isShipped(unit.output))
    .map((unit) => ({ file: join(build, unit.output), name: relative(TOP, resolve(unit.directory, unit.file)) }))
    .filter(({ file, name }) => name !== 'server/main.c' && existsSync(file))
}

/** Compiles a snippet into an object and hands it to the function. */
function compiled(text, use) {
  const folder = mkdtempSync(join(tmpdir(), 'tidy-'))
  try {
    writeFileSync(join(folder, 'a.c'), text)
    execFileSync('gcc', ['-O1', '-fPIE', '-c', '-o', join(folder, 'a.o'), join(folder, 'a.c')])
    return use(join(folder, 'a.o'))
  } finally {
    rmSync(folder, { recursive: true })
  }
}

// ---- the two runs -------------------------------------------------------------------------------------------------------

let passed = 0
let failed = 0

function check(name, findings) {
  if (findings.length === 0) {
    passed++
    return
  }
  failed++
  for (const finding of findings) console.log(`${name}: ${finding}`)
}

function checkTree() {
  const files = new Map(walk().map((path) => [path, isText(path) ? readFileSync(join(TOP, path), 'utf8') : '']))
  const on = (rule, path, text) => (rule.on(path) ? rule.find(text, path) : [])
  for (const rule of FILE_RULES) {
    check(`${rule.name} (self-test)`, [
      ...rule.bad.filter(([path, text]) => on(rule, path, text).length === 0).map(([, text]) => `does not see ${JSON.stringify(text)}`),
      ...(on(rule, ...rule.good).length ? [`trips over ${JSON.stringify(rule.good[1])}`] : []),
    ])
    check(rule.name, [...files].flatMap(([path, text]) => on(rule, path, text).map((line) => `${path}:${line}: ${rule.why}`)))
  }
  for (const rule of TREE_RULES) {
    check(`${rule.name} (self-test)`, [
      ...rule.bad.filter((bad) => rule.find(bad).length === 0).map((bad) => `does not see ${JSON.stringify([...bad])}`),
      ...rule.find(rule.good).map((finding) => `trips over ${finding}`),
    ])
    check(rule.name, rule.find(files).map((finding) => `${finding}: ${rule.why}`))
  }
}

function checkObjects(build) {
  const objects = shippedObjects(build)
  check('objects', objects.length ? [] : [`no object of server or shared-proto in ${build}: build it first`])
  check('no-mutable-globals (self-test)', [
    ...['int count = 3;', 'static int n; int next(void) { return n++; }', 'int next(void) { static int n = 4; return n++; }',
      '_Thread_local int t;', 'const char *name = "x";']
      .filter((text) => compiled(text, mutableGlobals).length === 0).map((text) => `does not see ${text}`),
    ...compiled('const char *const names[] = { "a", "b" }; const int one = 1; int f(int x) { return x + one; }', mutableGlobals)
      .map((name) => `trips over ${name}`),
  ])
  check('no-mutable-globals', objects.flatMap(({ file, name }) =>
    mutableGlobals(file).map((symbol) => `${name}: ${symbol}: state lives in structs that main.c owns`)))
  const a = { name: 'a', defines: ['f'], asks: ['g'] }, b = { name: 'b', defines: ['g'], asks: ['f', 'puts'] }
  check('no-circles (self-test)', [
    ...(circles([a, b]).join() === 'a <-> b' ? [] : ['does not see two files that call each other']),
    ...circles([a, { ...b, asks: ['puts'] }]).map((finding) => `trips over ${finding}`),
    ...(compiled('int g(void); int f(void) { return g(); }', linkage).asks.includes('g') ? [] : ['does not see a call']),
  ])
  const linked = objects.map(({ file, name }) => ({ name, ...linkage(file) }))
  check('no-circles', circles(linked).map((finding) => `${finding}: these call each other in a circle`))
  check('no-twins (self-test)', [
    ...(twins([a, { ...b, defines: ['f'] }]).length ? [] : ['does not see two files that define one name']),
    ...twins([a, b]).map((finding) => `trips over ${finding}`),
  ])
  check('no-twins', twins(linked).map((finding) => `${finding} define it both`))
}

const [mode, build] = process.argv.slice(2)
if (mode === '--objects' && build) checkObjects(resolve(build))
else if (mode === undefined) checkTree()
else {
  console.error('usage: node tests/tidy.mjs [--objects BUILD]')
  process.exit(2)
}
console.log(`${passed} passed, ${failed} failed`)
process.exitCode = failed ? 1 : 0
