# lib.sh - what several steps share. Read in by a step, which has top, out and jobs from the runner.
set -eu

# configure NAME OPTIONS...: a meson build folder $out/NAME, made once; its options are set anew each time.
configure() {
    name=$1
    shift
    if [ -f "$out/$name/build.ninja" ] && [ "$(cat "$out/$name/made_from" 2>/dev/null)" = "$top $*" ]; then
        return 0
    fi
    rm -rf "${out:?}/$name"
    meson setup "$out/$name" "$top" "$@"
    echo "$top $*" >"$out/$name/made_from"
}

# build NAME [TARGET...]
build() {
    name=$1
    shift
    ninja -C "$out/$name" -j "$jobs" "$@"
}

# run_tests NAME OPTIONS OF MESON TEST...: builds all, runs the tests, ends with their count. No test at all is a failure.
run_tests() {
    name=$1
    shift
    build "$name"
    rc=0
    meson test -C "$out/$name" --no-rebuild --num-processes "$jobs" --print-errorlogs "$@" >"$out/$name/tests.txt" 2>&1 || rc=$?
    cat "$out/$name/tests.txt"
    awk '/^(Ok|Expected Fail):/ { ok += $NF }
         /^(Fail|Unexpected Pass|Timeout):/ { bad += $NF }
         /^Skipped:/ { skipped += $NF }
         END {
             printf "%d passed, %d failed%s\n", ok, bad, skipped ? ", " skipped " skipped" : ""
             exit ok == 0 || bad > 0
         }' "$out/$name/tests.txt"
    return "$rc"
}

# own_units NAME: the C files of this tree that the build NAME compiles, generated ones left out, one a line.
own_units() {
    node -e '
        const units = JSON.parse(require("fs").readFileSync(process.argv[1] + "/compile_commands.json", "utf8"))
        const files = units.map((unit) => require("path").resolve(unit.directory, unit.file))
        const own = files.filter((file) => !file.startsWith(process.argv[2] + "/.build/"))
        console.log([...new Set(own)].sort().join("\n"))' "$out/$1" "$top"
}

# sources: all C files and headers of the tree, one a line.
sources() {
    find server shared-proto tests -name node_modules -prune -o -name '*.[ch]' -print | sort
}

# node_tests FILE...: runs them under node --test and ends with their count. A diagnostic that begins with "| " is a row of the step's table.
node_tests() {
    rc=0
    node --test "$@" >"$out/node-tests.txt" 2>&1 || rc=$?
    cat "$out/node-tests.txt"
    sed -n 's/^\(# \|ℹ \)| /| /p' "$out/node-tests.txt"
    sed -n 's/^\(# \|ℹ \)\(pass\|fail\) \([0-9]*\)$/\2 \3/p' "$out/node-tests.txt" |
        awk '{ n[$1] = $2 } END { printf "%d passed, %d failed\n", n["pass"], n["fail"]; exit n["pass"] == 0 || n["fail"] > 0 }'
    return "$rc"
}
