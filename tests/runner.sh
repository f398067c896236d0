# runner.sh - runs a folder of steps in the order of their names and counts what passed.
#
# Read in by tests/all and tests/long. A step is a shell script NN-name; it runs in the project's folder with
#   top    the project's folder          out    where builds and logs of the tests go (.build/tests)
#   jobs   how many cores there are
# and may read in tests/lib.sh. Its exit code says how it went: 0 passed, 77 skipped (its last line says why), anything else
# failed. A step that holds many tests says so in a line `N passed, M failed` (and perhaps `, K skipped`); the last such line
# counts in place of the step itself. A step ends after 25 minutes at the latest.
#
# Printed: a line a step, below it the rows of a table (lines that begin with "| ") where it printed one, the whole output of one that
# failed, and as the very last line the sum alone.

# now_ds: tenths of a second on some clock.
now_ds() {
    echo $(($(date +%s%N) / 100000000))
}

# counted LOG: prints "passed failed skipped" from the last line of that form, or nothing.
counted() {
    sed -n 's/^\([0-9]\{1,\}\) passed, \([0-9]\{1,\}\) failed\(, \([0-9]\{1,\}\) skipped\)\{0,1\}$/\1 \2 0\4/p' "$1" | tail -n 1
}

# wanted NAME WORD...: is the step one of those asked for? No words: all are.
wanted() {
    name=$1
    shift
    [ $# -gt 0 ] || return 0
    for word in "$@"; do
        case $name in [0-9][0-9]-"$word"*) return 0 ;; esac
    done
    return 1
}

# run_steps FOLDER [WORD...]: returns 0 when nothing failed and something passed.
run_steps() {
    folder=$1
    shift
    out=$top/.build/tests
    jobs=$(nproc)
    export top out jobs
    mkdir -p "$out/logs"
    cd "$top" || return 1
    total_passed=0 total_failed=0 total_skipped=0
    for step in "$folder"/[0-9][0-9]-*; do
        name=${step##*/}
        if [ ! -f "$step" ] || ! wanted "$name" "$@"; then
            continue
        fi
        log=$out/logs/$name.log
        began=$(now_ds)
        timeout -k 10 "${limit:-1500}" sh "$step" >"$log" 2>&1 </dev/null
        code=$?
        took=$(($(now_ds) - began))
        passed=0 failed=0 skipped=0
        # shellcheck disable=SC2046 # three numbers, meant to fall into words
        set_counts $(counted "$log")
        case $code in
        0) result=passed; [ "$passed$failed$skipped" != 000 ] || passed=1 ;;
        77) result=skipped; passed=0 failed=0 skipped=1 ;;
        124 | 137) result="ran out of time"; [ "$failed" -gt 0 ] || failed=1 ;;
        *) result=failed; [ "$failed" -gt 0 ] || failed=1 ;;
        esac
        if [ "$code" = 0 ] && [ "$failed" -gt 0 ]; then
            result=failed
        fi
        total_passed=$((total_passed + passed))
        total_failed=$((total_failed + failed))
        total_skipped=$((total_skipped + skipped))
        printf '%-22s %5d.%d s  %s' "$name" $((took / 10)) $((took % 10)) "$result"
        [ $((passed + failed)) -le 1 ] || printf ' (%d passed, %d failed)' "$passed" "$failed"
        case $result in
        passed) echo; sed -n 's/^| /    &/p' "$log" ;;
        skipped) printf ': %s\n' "$(tail -n 1 "$log")" ;;
        *) echo; sed 's/^/    /' "$log" ;;
        esac
    done
    printf '%d passed, %d failed' "$total_passed" "$total_failed"
    [ "$total_skipped" = 0 ] || printf ', %d skipped' "$total_skipped"
    echo
    [ "$total_failed" = 0 ] && [ "$total_passed" -gt 0 ]
}

set_counts() {
    passed=${1:-0} failed=${2:-0} skipped=${3:-0}
    skipped=${skipped#0}
    skipped=${skipped:-0}
}
