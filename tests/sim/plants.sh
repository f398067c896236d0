#!/bin/sh
# plants - does the simulator find bugs? Each patch in plants/ puts one into a copy of the tree; it must be found within
# 1,000 seeds. Prints a table (Markdown): which promise is broken, by what bug, which seed was the first to find it, by what.
#
#   sh tests/sim/plants.sh OUT [WORD]   OUT: a folder for the copy and its build; WORD: only plants with it in their name
set -eu

top=$(cd "$(dirname "$0")/../.." && pwd)
out=$1
word=${2:-}
tree=$out/tree
build=$out/build
seeds=1000
passed=0 failed=0

rm -rf "$tree"
mkdir -p "$tree"
(cd "$top" && find meson.build server shared-proto tests web -name node_modules -prune -o -type f -print | tar -cf - -T -) | tar -xmf - -C "$tree"
ln -s "$top/web/node_modules" "$tree/web/node_modules"
[ -f "$build/build.ninja" ] || meson setup "$build" "$tree" >"$out/setup.log"

# row PROMISE BUG SEED HOW
row() {
    printf '| %s | %s | %s | %s |\n' "$1" "$2" "$3" "$(printf '%s' "$4" | tr '|\n' '/ ')"
}

row promise bug 'found at seed' 'by what'
row --- --- --- ---
for patch in "$top"/tests/sim/plants/*"$word"*.patch; do
    name=$(basename "$patch" .patch)
    promise=$(sed -n '1s/^Promise \([0-9]\):.*/\1/p' "$patch")
    bug=$(sed -n '1s/^Promise [0-9]: \(.*\)\.$/\1/p' "$patch")
    log=$out/$name.log
    if ! { patch -d "$tree" -p0 -s --no-backup-if-mismatch <"$patch" && ninja -C "$build" tests/sim/sim_hub; } >"$log" 2>&1; then
        row "$promise" "$bug" - "$name no longer fits the code: $(tail -n 1 "$log")"
        failed=$((failed + 1))
        patch -d "$tree" -p0 -R -s -f --no-backup-if-mismatch <"$patch" >/dev/null 2>&1 || :
        continue
    fi
    found=no
    node "$tree/tests/sim/run.mjs" "$out/sim" "$build/tests/sim/sim_hub" --seeds "$seeds" --first --jobs "${jobs:-2}" >>"$log" 2>&1 || found=yes
    how=$(sed -n 's/^seed [0-9]*: //p' "$log")
    seed=$(sed -n 's/^seed \([0-9]*\): .*/\1/p' "$log")
    if [ "$found" = yes ] && [ -n "$seed" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        how="not found: $(tail -n 1 "$log")"
    fi
    row "$promise" "$bug" "${seed:--}" "$how"
    patch -d "$tree" -p0 -R -s --no-backup-if-mismatch <"$patch"
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
