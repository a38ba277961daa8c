#!/bin/sh
# install.sh by its promises, with stand-ins for dpkg-query, apt-get, id and sudo in a folder of their own:
# nothing is installed here. Each check says what it wanted.
# usage: install_script.sh ROOT
set -eu
script="$1/third_party/install.sh"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/bin"
for tool in sh sed dirname env grep; do ln -s "$(command -v $tool)" "$work/bin/$tool"; done
failed=0

# stand_in NAME TEXT: a command that runs TEXT.
stand_in() {
    rm -f "$work/bin/$1"
    printf '#!/bin/sh\n%s\n' "$2" >"$work/bin/$1"
    chmod +x "$work/bin/$1"
}
# run GROUP...: output in $work/out, exit code in $code, calls of apt-get in $work/calls
run() {
    : >"$work/calls"
    code=0
    PATH="$work/bin" CALLS="$work/calls" sh "$script" "$@" >"$work/out" 2>&1 || code=$?
}
want() {
    description=$1
    shift
    if ! "$@"; then
        echo "FAILED: $description (exit $code)"
        sed 's/^/  /' "$work/out" "$work/calls"
        failed=1
    fi
}

# shellcheck disable=SC2016 # expanded by the stand-in
stand_in apt-get 'echo "apt-get $* [$DEBIAN_FRONTEND]" >>"$CALLS"'
stand_in dpkg-query 'echo installed'
stand_in id 'echo 1000'
run build test
want "nothing missing: exit 0" [ "$code" -eq 0 ]
want "nothing missing: apt-get is not called" [ ! -s "$work/calls" ]

stand_in dpkg-query 'case "$*" in *libfmt-dev*) exit 1 ;; *) echo installed ;; esac'
run build
want "no rights, no sudo: exit 1" [ "$code" -eq 1 ]
want "no rights, no sudo: the exact line is printed" \
    grep -q '^  apt-get update && apt-get install -y --no-install-recommends libfmt-dev$' "$work/out"
want "no rights, no sudo: apt-get is not called" [ ! -s "$work/calls" ]

# shellcheck disable=SC2016
stand_in sudo 'echo "sudo" >>"$CALLS"; exec "$@"'
run build
want "sudo: exit 0" [ "$code" -eq 0 ]
want "sudo: used for both calls" [ "$(grep -c '^sudo$' "$work/calls")" -eq 2 ]

stand_in id 'echo 0'
run build
want "root: exit 0" [ "$code" -eq 0 ]
want "root: sudo is not used" [ "$(grep -c '^sudo$' "$work/calls")" -eq 0 ]
want "root: update, then install, asking nothing" [ "$(cat "$work/calls")" = "apt-get update [noninteractive]
apt-get install -y --no-install-recommends libfmt-dev [noninteractive]" ]
want "missing packages are listed before" grep -q 'missing: libfmt-dev$' "$work/out"

stand_in dpkg-query 'echo config-files'
run build
want "a removed package with left settings counts as missing" grep -q 'missing: g++ cmake' "$work/out"

stand_in apt-get 'exit 100'
run build
want "apt-get fails: so does the script" [ "$code" -ne 0 ]

run nonsense
want "an unknown group: exit 2" [ "$code" -eq 2 ]

rm "$work/bin/apt-get"
run build
want "no apt-get: exit 1 with a pointer" [ "$code" -eq 1 ]
[ "$failed" -eq 0 ] && echo "install.sh keeps its promises"
exit "$failed"
