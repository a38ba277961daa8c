#!/bin/sh
# Downloads Debian's kernel package and unpacks what the guest needs of it under build/guest/kernel/, without
# installing it. Needs no rights where apt's lists are there. What was unpacked once is used again: nothing is
# downloaded, and `rm -r build/guest` fetches the kernel of today.
# usage: sh tests/rig_kernel/kernel.sh      prints the folder; exit 1 when the package could not be had
set -eu
LC_ALL=C.UTF-8
export LC_ALL
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
root=$(dirname -- "$(dirname -- "$here")")
folder="$root/build/guest/kernel"

# The name with the version in it: what the package of all kernels for this machine depends on.
name_of_today() {
    apt-cache depends linux-image-amd64 2>/dev/null |
        sed -n 's/^ *Depends: \(linux-image-[0-9][^ ]*\)$/\1/p' | head -n 1
}

download() {
    name=$(name_of_today)
    [ -n "$name" ] || return 1
    echo "downloading $name" >&2
    apt-get download "$name" >&2
}

if [ ! -e "$folder/vmlinux" ]; then
    mkdir -p "$root/build/guest"
    # Unpacked beside its place and moved there whole: two runs at once do not meet half a kernel.
    work=$(mktemp -d "$root/build/guest/new.XXXXXX")
    trap 'rm -rf "$work"' EXIT
    trap 'exit 1' INT TERM
    cd "$work"
    if ! download; then
        if [ "$(id -u)" -eq 0 ]; then
            apt-get update >&2 # the lists may be missing, or older than the archive
            download || exit 1
        else
            echo "kernel.sh: no kernel package: apt's lists are missing or old (apt-get update, as root)" >&2
            exit 1
        fi
    fi
    mkdir kernel
    dpkg-deb --fsys-tarfile linux-image-*.deb | tar -x -C kernel --wildcards './boot/vmlinuz-*' \
        './lib/modules/*/modules.builtin' './lib/modules/*/kernel/drivers/hid/*' \
        './lib/modules/*/kernel/drivers/usb/*' './lib/modules/*/kernel/drivers/input/*' \
        './lib/modules/*/kernel/drivers/virtio/*' './lib/modules/*/kernel/net/9p/*' \
        './lib/modules/*/kernel/fs/*'
    # A virtual machine takes the bare ELF as well, and the guest need not unpack itself.
    python3 "$here/vmlinux.py" kernel/boot/vmlinuz-* kernel/vmlinux
    if ! mv -T kernel "$folder" 2>/dev/null; then
        [ -e "$folder/vmlinux" ] || exit 1 # another run was first
    fi
fi
echo "$folder"
