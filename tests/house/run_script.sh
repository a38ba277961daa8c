#!/bin/sh
# tests/run.sh by its promises, in a tree of its own with stand-ins for the installer, cmake, ctest and the test
# binaries: it counts what passed, and nothing that went wrong can pass for right.
# usage: run_script.sh ROOT
set -eu
unset FETTLE_SKIP_NOTHING || true # whoever runs this test may have set it for itself
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$work/bin" "$work/tree/tests" "$work/tree/third_party" "$work/tree/build/dev"
cp "$1/tests/run.sh" "$work/tree/tests/"
failed=0

# stand_in FILE TEXT: a script that runs TEXT.
stand_in() {
    printf '#!/bin/sh\n%s\n' "$2" >"$1"
    chmod +x "$1"
}
# doctest_line GOOD BAD: what a doctest binary says last.
doctest_line() { echo "[doctest] test cases:  $(($1 + $2)) |  $1 passed | $2 failed | 0 skipped"; }
# binaries TEXT...: the test binaries, one for each text
binaries() {
    : >"$work/tree/build/dev/tests.list"
    number=0
    for text in "$@"; do
        number=$((number + 1))
        stand_in "$work/tree/build/dev/tests_$number" "$text"
        echo "$work/tree/build/dev/tests_$number" >>"$work/tree/build/dev/tests.list"
    done
}
# run: last line in $last, exit code in $code
run() {
    code=0
    PATH="$work/bin:$PATH" sh "$work/tree/tests/run.sh" >"$work/out" 2>&1 || code=$?
    last=$(tail -n 1 "$work/out")
}
# want DESCRIPTION LAST_LINE CODE
want() {
    if [ "$last" != "$2" ] || [ "$code" -ne "$3" ]; then
        echo "FAILED: $1: wanted '$2' and exit $3, got '$last' and exit $code"
        sed 's/^/  /' "$work/out"
        failed=1
    fi
}

stand_in "$work/tree/third_party/install.sh" 'exit 0'
stand_in "$work/tree/third_party/unpack.sh" "mkdir -p $work/unpacked/usr/lib/x; : >$work/unpacked/usr/lib/x/liblirc.so.0; echo $work/unpacked"
stand_in "$work/bin/cmake" 'exit 0'
# scripts TEXT: what ctest does when it is asked for the scripts; of the rig it runs one that passes.
scripts() {
    stand_in "$work/bin/ctest" "case \"\$*\" in *'-L rig'*) echo '1/1 Test  #9: rig ....   Passed    0.10 sec'; exit 0 ;; esac
$1"
}
scripts 'echo "1/1 Test  #1: a_script .......   Passed    0.10 sec"'
echo 4 >"$work/tree/tests/expected_count"

binaries "echo '$(doctest_line 2 0)'" "echo '$(doctest_line 5 0)'"
run
want "7 cases in 2 binaries, 1 script and 1 guest" "9 passed, 0 failed" 0

binaries "echo '$(doctest_line 2 3)'; exit 1" "echo '$(doctest_line 5 0)'"
run
want "3 failed cases" "9 passed, 3 failed" 1

binaries "echo '$(doctest_line 5 0)'" 'kill -SEGV $$'
run
want "a binary that crashed before its last line" "7 passed, 1 failed" 1

binaries "echo '$(doctest_line 5 0)'; exit 9"
run
want "a binary that crashed after its last line" "7 passed, 1 failed" 1

binaries "echo '$(doctest_line 1 0)'"
run
want "fewer than expected" "3 passed, 1 failed" 1

binaries "echo 'tests/x.cpp:1: MESSAGE: SKIPPED: no tool'; echo '$(doctest_line 5 0)'"
run
want "a skipped test is named, not failed" "7 passed, 0 failed" 0
grep -q '^  tests_1: no tool$' "$work/out" || {
    echo "FAILED: the skipped test was not named"
    failed=1
}
FETTLE_SKIP_NOTHING=1
export FETTLE_SKIP_NOTHING
run
want "a skipped test where nothing may be skipped" "7 passed, 1 failed" 1
unset FETTLE_SKIP_NOTHING

binaries "echo '$(doctest_line 5 0)'"
stand_in "$work/bin/ctest" 'echo "No tests were found!!!"'
run
want "no script test at all" "5 passed, 1 failed" 1

scripts 'echo "1/2 Test  #1: a ....   Passed    0.10 sec"; echo "2/2 Test  #2: b ....***Failed    0.10 sec"; exit 8'
run
want "a failed script" "7 passed, 1 failed" 1

stand_in "$work/bin/cmake" 'exit 1'
run
want "a build that failed" "0 passed, 1 failed" 1

[ "$failed" -eq 0 ] && echo "run.sh keeps its promises"
exit "$failed"
