#!/bin/sh
# The whole program in the guest, on this machine's own files: the udev rule, then the window, with a device on the USB.
# usage: window.sh ROOT FETTLE RIG_DEVICE FOLDER      FOLDER: pictures of the window come to FOLDER/window/
set -u
root=$1
fettle=$2
device=$3
folder=$4
here="$root/tests/rig_kernel"

for tool in Xvfb xdotool setpriv; do
    command -v "$tool" >/dev/null 2>&1 || {
        echo "SKIPPED: not installed: $tool"
        exit 77
    }
done
unpacked=$(sh "$root/third_party/unpack.sh") || {
    echo "SKIPPED: udev's package could not be downloaded"
    exit 77
}
mkdir -p "$folder/window"
rm -f "$folder/window"/*
sh "$here/boot.sh" -w -o "$folder" window /bin/sh "$here/window_inside.sh" "$root" "$fettle" "$device" "$unpacked" ||
    exit $?

pictures=0
for dump in "$folder/window"/*.xwd; do
    python3 "$here/xwd_to_png.py" "$dump" "${dump%.xwd}.png" || exit 1
    rm -f "$dump"
    echo "picture: ${dump%.xwd}.png"
    pictures=$((pictures + 1))
done
[ "$pictures" -ge 2 ] || {
    echo "FAILED: only $pictures pictures of the window"
    exit 1
}
