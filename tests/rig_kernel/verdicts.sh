#!/bin/sh
# The rig itself: only a program that ends with 0 passes; one that fails, a panic and a power off do not.
# usage: verdicts.sh FOLDER      FOLDER: where the guests' words go
set -u
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
folder=$1
failures=0

# boots EXPECTED NAME SAYS COMMAND: a guest runs the shell's command; boot.sh must end with EXPECTED and say SAYS.
boots() {
    code=0
    output=$(sh "$here/boot.sh" -o "$folder" "$2" "$(command -v busybox || echo busybox)" sh -c "$4") || code=$?
    if [ "$code" -eq 77 ]; then
        printf '%s\n' "$output" | tail -n 1
        exit 77
    fi
    if [ "$code" -eq "$1" ] && printf '%s\n' "$output" | grep -q "$3"; then
        echo "$2: $code, as it should be"
    else
        echo "FAILED: $2: boot.sh gave $code instead of $1, or did not say '$3':"
        printf '%s\n' "$output"
        failures=$((failures + 1))
    fi
}

boots 0 verdict_pass 'ended at .* with 0' 'exit 0'
boots 1 verdict_fail 'the command gave 3' 'exit 3'
boots 1 verdict_panic "QEMU's exit status is 0" 'echo c >/proc/sysrq-trigger'
boots 1 verdict_power_off "QEMU's exit status is 0" 'poweroff -f'
[ "$failures" -eq 0 ]
