#!/bin/sh
# Compiles the freestanding rooms for the ATmega32U4 and prints their size: what the 8-bit compiler refuses
# fails here. Flags: the ones that the firmware is built with.
# usage: compile.sh ROOT OUTPUT SOURCE...
set -eu
root=$1
output=$2
shift 2
if ! command -v avr-g++ >/dev/null 2>&1; then
    echo "SKIPPED: avr-g++ is not installed (Debian packages gcc-avr and avr-libc)"
    exit 77
fi
rm -rf "$output"
mkdir -p "$output"
failed=0
for source in "$@"; do
    object="$output/$(echo "${source#"$root"/}" | tr '/' '_').o"
    avr-g++ -mmcu=atmega32u4 -std=c++14 -pedantic-errors -Os -Wall -Wextra -Wconversion -Wsign-conversion -Werror \
        -fno-exceptions -fno-rtti -fno-threadsafe-statics -ffunction-sections -fdata-sections \
        -I"$root" -c "$source" -o "$object" || failed=1
done
[ "$failed" -eq 0 ] || exit 1
echo "ATmega32U4, -Os, before linking: text is flash, data and bss are RAM, in bytes"
avr-size -t "$output"/*.o
# Linked whole, with everything that a board calls and nothing else. The region is widened so that a program that
# does not fit is measured too. Flash is 32,768 bytes, RAM 2,560; the board's own USB stack comes on top.
avr-g++ -mmcu=atmega32u4 -std=c++14 -Os -fno-exceptions -fno-rtti -fno-threadsafe-statics -ffunction-sections \
    -fdata-sections -flto -mcall-prologues -Wl,--gc-sections,--relax,--defsym=__TEXT_REGION_LENGTH__=131072 \
    -I"$root" "$root/tests/avr/linked.cpp" "$@" -o "$output/linked.elf"
avr-size "$output/linked.elf" | awk 'NR == 2 {
    flash = $1 + $2; ram = $2 + $3
    printf "linked whole: %d bytes of flash (%s 32768), %d bytes of RAM (%s 2560)\n",
        flash, flash <= 32768 ? "fits" : "DOES NOT FIT", ram, ram <= 2560 ? "fits" : "DOES NOT FIT"
}'
# A heap, a float or a 64-bit division would show as a call to one of these.
if avr-nm -u "$output"/*.o |
    grep -E ' (malloc|free|_Znw|_Zna|_Zdl|_Zda|__addsf3|__subsf3|__mulsf3|__divsf3|__udivdi3|__divdi3|__umoddi3|__moddi3|__cxa_)'; then
    echo "The lines above: a heap, a float, a 64-bit division or a guarded static reached the freestanding rooms."
    exit 1
fi
