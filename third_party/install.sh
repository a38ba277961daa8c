#!/bin/sh
# Installs what is missing of the groups named in packages.txt.
# usage: sh third_party/install.sh [GROUP...]      default group: build
# Nothing missing: exit 0, no rights needed. No rights and no sudo: prints the line to run, exit 1.
set -eu
LC_ALL=C.UTF-8
export LC_ALL
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
[ $# -gt 0 ] || set -- build

if ! command -v dpkg-query >/dev/null 2>&1 || ! command -v apt-get >/dev/null 2>&1; then
    echo "This script knows Debian's packages only; on another system see third_party/README.md." >&2
    exit 1
fi

wanted=''
for group in "$@"; do
    names=$(sed -n "s/^${group}[[:space:]]\{1,\}\([^[:space:]]\{1,\}\).*/\1/p" "$here/packages.txt")
    if [ -z "$names" ]; then
        echo "install.sh: no group '$group' in third_party/packages.txt" >&2
        exit 2
    fi
    wanted="$wanted $names"
done

missing=''
for package in $wanted; do
    case " $missing " in *" $package "*) continue ;; esac
    status=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
    [ "$status" = installed ] || missing="$missing $package"
done
missing=${missing# }
if [ -z "$missing" ]; then
    echo "Packages ($*): nothing is missing."
    exit 0
fi
echo "Packages ($*): missing: $missing"

if [ "$(id -u)" -eq 0 ]; then
    as_root=''
elif command -v sudo >/dev/null 2>&1; then
    as_root='sudo'
else
    echo "They need administrator rights, and there is no sudo here. Run this as root, then start again:" >&2
    echo "  apt-get update && apt-get install -y --no-install-recommends $missing" >&2
    exit 1
fi
# Word splitting is meant: a list of package names, and an empty prefix when we are root.
# shellcheck disable=SC2086
{
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get update </dev/null
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $missing </dev/null
}
