#!/bin/sh
# Instructions per engine tick, counted by callgrind: the same on every run, unlike nanoseconds.
# Each scene is run twice, for 1,000 and for 11,000 ticks: the difference is 10,000 ticks and nothing else.
# usage: sh tests/bench/instructions.sh      (after building the release preset with -DFETTLE_BENCHMARKS=ON)
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
program="$root/build/release/count_ticks"
if [ ! -x "$program" ]; then
    echo "Build it first: cmake --preset release -DFETTLE_BENCHMARKS=ON && cmake --build --preset release" >&2
    exit 1
fi
if ! command -v valgrind >/dev/null 2>&1; then
    echo "valgrind is missing: sh third_party/install.sh ci" >&2
    exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# count SCENE TICKS: instructions of the whole run
count() {
    valgrind --tool=callgrind --callgrind-out-file="$work/out" "$program" "$1" "$2" >"$work/said" 2>"$work/log"
    sed -n 's/^\(summary\|totals\): \([0-9]*\).*/\2/p' "$work/out" | tail -n 1
}
for scene in idle travel infrared busiest; do
    few=$(count "$scene" 1000)
    many=$(count "$scene" 11000)
    echo "$scene: $(((many - few) / 10000)) instructions per tick ($(cat "$work/said"))"
done
