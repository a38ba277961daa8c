#!/bin/sh
# Installs what is missing, builds the release preset and starts the program.
# usage: sh app/run.sh [COMMAND ARGUMENTS...]      default: demo
set -eu
LC_ALL=C.UTF-8
export LC_ALL
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
sh "$root/third_party/install.sh" build >&2
(
    cd "$root"
    cmake --preset release >/dev/null
    cmake --build --preset release --target fettle
) >&2
[ $# -gt 0 ] || set -- demo
exec "$root/build/release/fettle" "$@"
