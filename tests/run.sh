#!/bin/sh
# Installs what is missing, builds the dev preset, runs every test and ends with "N passed, N failed".
# usage: sh tests/run.sh
# Fails when a test fails, or when fewer passed than tests/expected_count says.
# FETTLE_SKIP_NOTHING=1: a skipped test counts as failed (so does .ci/run).
set -eu
LC_ALL=C.UTF-8
export LC_ALL
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
cd "$root"
build="$root/build/dev"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
: >"$work/skipped"

sh third_party/install.sh build test
# Tools whose packages would start services are unpacked, and found by the tests through PATH.
if unpacked=$(sh third_party/unpack.sh); then
    FETTLE_UNPACKED=$unpacked
    PATH="$PATH:$unpacked/usr/bin"
    libraries=$(dirname "$(find "$unpacked/usr/lib" -name 'liblirc.so.0' | head -n 1)")
    FETTLE_LIRC_PLUGINS="$libraries/lirc/plugins"
    LD_LIBRARY_PATH="${LD_LIBRARY_PATH:+$LD_LIBRARY_PATH:}$libraries"
    export FETTLE_UNPACKED FETTLE_LIRC_PLUGINS PATH LD_LIBRARY_PATH
else
    echo "irsimsend: its package could not be downloaded" >>"$work/skipped"
fi

if ! cmake --preset dev >/dev/null || ! cmake --build --preset dev; then
    echo "The build failed: no test was run."
    echo "0 passed, 1 failed"
    exit 1
fi

passed=0
failed=0
failures=''
while IFS= read -r binary; do
    [ -n "$binary" ] || continue
    name=$(basename "$binary")
    code=0
    "$binary" --no-colors=true >"$work/output" 2>&1 </dev/null || code=$?
    # doctest's closing line: "[doctest] test cases:  5 |  5 passed | 0 failed | 0 skipped"
    counts=$(sed -n 's/^\[doctest\] test cases: *[0-9]* *| *\([0-9]*\) passed *| *\([0-9]*\) failed.*/\1 \2/p' \
        "$work/output" | tail -n 1)
    good=${counts% *}
    bad=${counts#* }
    if [ -z "$counts" ]; then # it never reached its last line
        good=0
        bad=1
    elif [ "$code" -ne 0 ] && [ "$bad" -eq 0 ]; then
        bad=1
    fi
    passed=$((passed + good))
    failed=$((failed + bad))
    sed -n 's/.*SKIPPED: */'"$name"': /p' "$work/output" >>"$work/skipped"
    echo "$name: $good passed, $bad failed (exit $code)"
    if [ "$bad" -ne 0 ]; then
        failures="$failures $name"
        cat "$work/output"
    fi
done <"$build/tests.list"

ctest --test-dir "$build" -L script -LE rig --output-on-failure >"$work/output" 2>&1 </dev/null || true
# Guests of the kernel rig have one processor each: two at once.
ctest --test-dir "$build" -L rig -j 2 --output-on-failure >>"$work/output" 2>&1 </dev/null || true
good=$(grep -c '^ *[0-9]*/[0-9]* Test .* Passed ' "$work/output" || true)
away=$(grep -c '^ *[0-9]*/[0-9]* Test .*\*\*\*Skipped' "$work/output" || true)
all=$(grep -c '^ *[0-9]*/[0-9]* Test ' "$work/output" || true)
bad=$((all - good - away))
if [ "$all" -eq 0 ]; then bad=1; fi # there are script tests: none found means that ctest did not run
passed=$((passed + good))
failed=$((failed + bad))
sed -n 's/^.*Test *#[0-9]*: \([^ ]*\) .*\*\*\*Skipped.*/\1: it says why when run by ctest -V/p' "$work/output" \
    >>"$work/skipped"
echo "scripts: $good passed, $bad failed"
if [ "$bad" -ne 0 ]; then
    failures="$failures scripts"
    cat "$work/output"
fi
# What the rig measured: aims, not gates.
for log in "$build"/rig/cases.log "$build"/rig/cycles.log; do
    [ ! -f "$log" ] || sed -n 's/^figure: /rig: /p' "$log"
done

skipped=$(wc -l <"$work/skipped")
if [ "$skipped" -ne 0 ]; then
    echo "Skipped ($skipped):"
    sed 's/^/  /' "$work/skipped"
    if [ "${FETTLE_SKIP_NOTHING:-0}" = 1 ]; then
        failures="$failures skipped"
        failed=$((failed + skipped))
    fi
fi
expected=$(cat tests/expected_count)
if [ "$passed" -lt "$expected" ] && [ "$failed" -eq 0 ]; then
    echo "Only $passed passed; tests/expected_count says at least $expected: something did not run."
    failed=1
fi
[ -z "$failures" ] || echo "Failed:$failures"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
