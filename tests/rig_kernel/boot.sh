#!/bin/sh
# Boots Debian's kernel in a virtual machine, runs one program in it, and takes its verdict.
# usage: boot.sh [-w] [-o FOLDER] [-a FILE[:PLACE]]... NAME PROGRAM [ARGUMENT]...
#   -w        the guest has this machine's whole file system, with a layer of memory above it: PROGRAM is a path here.
#             What it puts into the folder $RIG_OUT comes out in FOLDER/NAME/
#   FOLDER    where NAME.log (all that the guest said) goes; default build/guest
#   FILE      more files for the guest: an executable comes with its libraries, a folder with all that is in it;
#             PLACE is where, /bin/<its name> without one
# Exit 0: the program ended with 0 in the guest, and the guest said so by its exit port. 77: no QEMU, busybox, python or
# kernel here. Anything else: failed; a panic, a power off and a guest that hangs are failures too.
set -u
LC_ALL=C.UTF-8
export LC_ALL
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
root=$(dirname -- "$(dirname -- "$here")")
folder="$root/build/guest"
limit_s=1200 # against a guest that hangs, on the slowest machine; never how long it takes
passed=43   # init.sh says why
failed=45

work=$(mktemp -d)
machine=''
trap '[ -z "$machine" ] || kill "$machine" 2>/dev/null; rm -rf "$work"' EXIT
trap 'exit 1' INT TERM

usage() {
    sed -n 's/^# usage: /usage: /p' "$0" >&2
    exit 2
}
: >"$work/add"
has_host=''
while getopts wo:a: option; do
    case $option in
    w) has_host=1 ;;
    o) folder=$OPTARG ;;
    a) printf '%s\n' "$OPTARG" >>"$work/add" ;;
    *) usage ;;
    esac
done
shift $((OPTIND - 1))
[ $# -ge 2 ] || usage
name=$1
shift

for tool in qemu-system-x86_64 busybox python3; do
    command -v "$tool" >/dev/null 2>&1 || {
        echo "SKIPPED: not installed: $tool"
        exit 77
    }
done
kernel=$(sh "$here/kernel.sh") || {
    echo "SKIPPED: the kernel's package could not be downloaded"
    exit 77
}

mkdir -p "$folder"
folder=$(CDPATH='' cd -- "$folder" && pwd)
log="$folder/$name.log"
: >"$log"
memory_mb=256
modules='usbhid hid-generic evdev cdc-acm vhci-hcd'
# The options stand before the command: built from the end.
set -- -- "$@"
if [ -n "$has_host" ]; then
    memory_mb=1024
    modules="virtio_pci 9p 9pnet_virtio overlay $modules"
    set -- --host "$@"
fi
while IFS= read -r file; do set -- --add "$file" "$@"; done <"$work/add"
for module in $modules; do set -- --module "$module" "$@"; done
python3 "$here/initramfs.py" --out "$work/initramfs" --kernel "$kernel" --init "$here/init.sh" "$@" || exit 1

if [ -n "$has_host" ]; then
    mkdir -p "$folder/$name"
    out=$(printf '%s\n' "$folder/$name" | sed 's/,/,,/g') # QEMU's way to write a comma
    set -- -virtfs local,path=/,mount_tag=host,security_model=none,readonly=on,multidevs=remap \
        -virtfs "local,path=$out,mount_tag=out,security_model=none"
else
    set --
fi
# One processor: with two, each waits for the host to run the other. No network, no display, no reboot.
timeout --foreground "$limit_s" qemu-system-x86_64 -name "$name" -M q35 -accel tcg -cpu max -smp 1 -m "$memory_mb" \
    -nodefaults -no-reboot -display none -monitor none -nic none -kernel "$kernel/vmlinux" -initrd "$work/initramfs" \
    -append 'console=ttyS0 quiet panic=-1 oops=panic mitigations=off'"${has_host:+ rig_host=1}" \
    -device isa-debug-exit,iobase=0xf4,iosize=1 \
    -chardev stdio,id=said,signal=off,logfile="$(printf '%s\n' "$log" | sed 's/,/,,/g')" -serial chardev:said "$@" </dev/null &
machine=$!
code=0
wait "$machine" || code=$?
machine=''
case $code in
"$passed") exit 0 ;;
"$failed") echo "FAILED: $name: the program failed in the guest; all that it said is in $log" ;;
124) echo "FAILED: $name: the guest hangs: no verdict in $limit_s s; see $log" ;;
*) echo "FAILED: $name: the guest ended without a verdict (QEMU's exit status is $code); see $log" ;;
esac
exit 1
