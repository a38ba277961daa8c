#!/bin/sh
# Builds the fuzzers (preset asan: the same objects as its tests) and runs each from the corpus on; fails on the first finding.
# usage: sh tests/fuzz/run.sh [SECONDS [TARGET...]]      default: 10 s, every target
# What was found lies in build/fuzz/found/TARGET; new inputs that reach new places in build/fuzz/new/TARGET.
set -eu
LC_ALL=C.UTF-8
export LC_ALL
cd "$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)"
build=build/asan
results=build/fuzz

seconds=${1:-10}
case $seconds in '' | *[!0-9]*)
    echo "run.sh: '$seconds' is no number of seconds" >&2
    exit 2
    ;;
esac
[ $# -eq 0 ] || shift
if [ $# -eq 0 ]; then
    for folder in tests/fuzz/corpus/*/; do set -- "$@" "$(basename "$folder")"; done
fi
programs=''
for target in "$@"; do
    if [ ! -d "tests/fuzz/corpus/$target" ]; then
        echo "run.sh: there is no target '$target'" >&2
        exit 2
    fi
    programs="$programs fuzz_$target"
done

cmake --preset asan >/dev/null
# Word splitting is meant: a list of programs.
# shellcheck disable=SC2086
cmake --build --preset asan --target $programs

# Longest input of a target, bytes.
longest() {
    case $1 in
        descriptor) echo 512 ;;
        messages) echo 64 ;;
        device) echo 1024 ;;
        *) echo 2048 ;;
    esac
}

for target in "$@"; do
    mkdir -p "$results/new/$target" "$results/found/$target"
    echo "== $target"
    # -timeout: a hang is a finding; no input that was ever seen takes a second.
    if ! "$build/fuzz_$target" -max_total_time="$seconds" -max_len="$(longest "$target")" -timeout=60 \
        -rss_limit_mb=1024 -print_final_stats=1 -artifact_prefix="$results/found/$target/" \
        "$results/new/$target" "tests/fuzz/corpus/$target" >"$results/$target.log" 2>&1; then
        cat "$results/$target.log"
        echo "$target: a finding lies in $results/found/$target"
        exit 1
    fi
    sed -n 's/^stat::number_of_executed_units: */runs: /p; s/^stat::peak_rss_mb: */most memory, MB: /p' \
        "$results/$target.log"
    sed -n '/ DONE /p' "$results/$target.log" | tail -n 1
done
