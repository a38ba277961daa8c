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
# Linked whole, with everything that a board calls and nothing else (linked.cpp). The region is widened so that a
# program that does not fit is measured too. Flash is 32,768 bytes, RAM 2,560; the board's own USB stack comes on
# top, and the loader that a board is sold with leaves 28,672. Nothing here fails for its size.
# The flags beside -Os were chosen by trying: each makes this program smaller (DEVELOPERS.md).
avr-g++ -mmcu=atmega32u4 -std=c++14 -Os -g -fno-exceptions -fno-rtti -fno-threadsafe-statics -ffunction-sections \
    -fdata-sections -flto -mcall-prologues -mstrict-X -fno-inline-small-functions -fno-move-loop-invariants \
    -fno-ipa-sra -fno-tree-ter -fno-tree-vrp -fno-tree-pre -fno-tree-copyrename \
    -Wl,--gc-sections,--relax,--defsym=__TEXT_REGION_LENGTH__=131072 \
    -I"$root" "$root/tests/avr/linked.cpp" "$@" -o "$output/linked.elf"
avr-size "$output/linked.elf" | awk 'NR == 2 {
    flash = $1 + $2; ram = $2 + $3
    printf "linked whole: %d bytes of flash (%s 32768; %+d to the 28672 beside a loader), %d bytes of RAM (%s 2560)\n",
        flash, flash <= 32768 ? "fits" : "DOES NOT FIT", 28672 - flash, ram, ram <= 2560 ? "fits" : "DOES NOT FIT"
}'
# Whose code it is: each instruction belongs to the source line that it was made from, wherever it was inlined.
avr-objdump -dl "$output/linked.elf" | awk -F '\t' '
    /^[^ \t].*:[0-9]+/ { path = $0; sub(/:[0-9]+.*/, "", path); sub(/.*\/core\//, "core/", path) }
    /^ *[0-9a-f]+:\t/ { bytes = split($2, unused, " "); code[path] += bytes }
    END {
        for (path in code) {
            split(path, part, "/")
            room = part[1] == "core" ? part[1] "/" part[2] : "the rest (runtime, main)"
            rooms[room] += code[path]
            if (part[1] == "core") printf "  %6d %s\n", code[path], path | "sort -rn"
        }
        close("sort -rn")
        for (room in rooms) printf "code of %s: %d bytes\n", room, rooms[room] | "sort"
    }'
# A heap, a float or a 64-bit division would show as a call to one of these.
if avr-nm -u "$output"/*.o |
    grep -E ' (malloc|free|_Znw|_Zna|_Zdl|_Zda|__addsf3|__subsf3|__mulsf3|__divsf3|__udivdi3|__divdi3|__umoddi3|__moddi3|__cxa_)'; then
    echo "The lines above: a heap, a float, a 64-bit division or a guarded static reached the freestanding rooms."
    exit 1
fi
