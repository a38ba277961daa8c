#!/bin/sh
# Downloads the packages of group `unpack` and unpacks them under build/unpacked/, without installing them:
# their installation would start services. Needs no rights.
# usage: sh third_party/unpack.sh      prints the folder; exit 1 when a package could not be had
set -eu
LC_ALL=C.UTF-8
export LC_ALL
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
folder=$(dirname -- "$here")/build/unpacked
packages=$(sed -n 's/^unpack[[:space:]]\{1,\}\([^[:space:]]\{1,\}\).*/\1/p' "$here/packages.txt")
mkdir -p "$folder"
cd "$folder"
for package in $packages; do
    [ ! -e ".done-$package" ] || continue
    if ! apt-get download "$package" >&2; then
        [ "$(id -u)" -eq 0 ] || exit 1
        apt-get update >&2 # the list may be older than the archive
        apt-get download "$package" >&2
    fi
    dpkg -x "$package"_*.deb .
    rm -f "$package"_*.deb
    : >".done-$package"
done
echo "$folder"
