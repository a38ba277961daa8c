#!/bin/sh
# Installs what is missing, builds the release preset and starts the program.
# usage: sh app/run.sh [COMMAND ARGUMENTS...]      default: the window; without a display, the demo in the terminal
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
# The tools speak plainly; the program itself speaks the person's language.
(
    LC_ALL=C.UTF-8
    export LC_ALL
    sh "$root/third_party/install.sh" build
    cd "$root"
    cmake --preset release >/dev/null
    cmake --build --preset release --target fettle
) >&2
exec "$root/build/release/fettle" "$@"
