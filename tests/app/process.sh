#!/bin/sh
# The program as a process: help, version, exit codes, JSON that another program reads, the answers' two streams,
# and that completion and manual page name every command and option.
# usage: process.sh ROOT FETTLE
# Ends with "N passed, N failed".
set -u
root=$1
fettle=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
XDG_STATE_HOME="$work/state" XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data"
FETTLE_ASSETS="$root/assets"
export XDG_STATE_HOME XDG_CONFIG_HOME XDG_DATA_HOME FETTLE_ASSETS
volunteer="$root/assets/profiles/volunteer.json"
passed=0
failed=0

# check WHAT COMMAND...: counts one; the command decides.
check() {
    what=$1
    shift
    if "$@"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $what"
    fi
}
# gives CODE WORDS...: does the program end with CODE? Its streams are in $work/out and $work/err.
gives() {
    code=$1
    shift
    "$fettle" "$@" >"$work/out" 2>"$work/err" </dev/null
    real=$?
    [ "$real" -eq "$code" ] || {
        echo "exit $real, not $code: fettle $*"
        cat "$work/err"
        return 1
    }
}
silent_err() { gives "$@" && [ ! -s "$work/err" ]; }
silent_out() { gives "$@" && [ ! -s "$work/out" ]; }
one_sentence() { silent_out "$@" && [ "$(wc -l <"$work/err")" -eq 1 ] && grep -q '\.$' "$work/err"; }
is_json() { silent_err 0 "$@" --json && python3 -m json.tool "$work/out" /dev/null; }
holds() { grep -qe "$1" "$2"; }

commands=$("$fettle" --help | sed -n '/ommands/,$s/^  *\([a-z][a-z-]*\)  .*/\1/p')
[ "$(echo "$commands" | wc -w)" -eq 17 ] || {
    echo "expected 16 commands, found: $commands"
    failed=$((failed + 1))
}

# Help and version.
check "help" silent_err 0 --help
bare() { env -u DISPLAY -u WAYLAND_DISPLAY "$fettle" "$@" >"$work/out" 2>"$work/err" </dev/null; }
check "no command and no display is the demo" bare
check "it says so" holds 'no display' "$work/err"
check "it is the whole job" holds 'That was the whole job' "$work/out"
check "version" silent_err 0 --version
check "version names build, contract, engine, image" \
    holds '^fettle [0-9]*\.[0-9]*\.[0-9]* (build .*, contract [0-9]*, engine [0-9]*, image [0-9]*)$' "$work/out"
for command in $commands; do
    check "$command --help" silent_err 0 "$command" --help
    # shellcheck disable=SC2013 # options are words
    for option in $(grep -oE -- '--[a-z][a-z-]*' "$work/out" | sort -u); do
        written=$(echo "$option" | sed 's/-/\\\\-/g')
        check "the manual page names $option of $command" holds "$written" "$root/assets/man/fettle.1"
    done
    check "the manual page names $command" holds "^\.B $command\$" "$root/assets/man/fettle.1"
    check "the completion names $command" holds "[\" ]${command}[\" ]" "$root/assets/completion/fettle.bash"
    check "$command with an unknown option" silent_out 2 "$command" --no-such-option
done
check "an unknown command" silent_out 2 no-such-command
check "a number out of range" silent_out 2 extend --seconds 5

# Answers that another program reads. The simulated device is named: nothing that is attached here is touched.
printf 'pulse 9000\nspace 4500\n' >"$work/pulses"
printf 'at 100 press foot 100\n' >"$work/script"
cp "$volunteer" "$work/taught.json"
check "devices --json" is_json devices
check "devices --rule --json" is_json devices --rule
rule() {
    gives 0 devices --rule && cmp -s "$work/out" "$root/assets/udev/70-fettle.rules" &&
        holds '/etc/udev/rules.d/70-fettle.rules' "$work/err"
}
check "devices --rule is the file of the tree" rule
check "info --json" is_json info --device sim
check "check --json" is_json check "$volunteer"
check "explain --json" is_json explain "$volunteer"
check "curve --json" is_json curve "$volunteer"
check "decode --json" is_json decode "$work/pulses"
check "simulate --json" is_json simulate --profile "$volunteer" --script "$work/script"
check "watch --json" is_json watch --seconds 1 --device sim
check "teach --json" is_json teach "$work/taught.json" --input up --sim-press nec:1:2 --device sim
check "write" silent_err 0 write "$volunteer" --agree --leave --device sim
check "extend --json" is_json extend --device sim
check "revert --json" is_json revert --device sim
check "write again" silent_err 0 write "$volunteer" --agree --leave --device sim
check "keep --json" is_json keep --helper-answers-for-it --device sim
check "read is a document" silent_err 0 read --device sim
check "read is JSON" python3 -m json.tool "$work/out" /dev/null
check "release" silent_err 0 release --device sim
check "watch with names" silent_err 0 watch --seconds 1 --profile "$volunteer" --device sim

# What could not be done: one sentence on standard error, nothing on standard output.
check "no such file" one_sentence 1 explain "$work/none.json"
check "a folder" one_sentence 1 explain "$work"
check "no such device" one_sentence 1 info --device none
check "pulses that are none" one_sentence 1 decode "$volunteer"

# Files stay whole when there is no room: no file may grow beyond 512 bytes here, as on a full disk.
# Source of the widths: ir-ctl of Debian v4l-utils 1.22.1, as tests/data/infrared_ir_ctl.txt says.
cp "$volunteer" "$work/full.json"
awk -F'|' '/^nec:/ { n = split($3, w, " ")
    for (press = 0; press < 2; press++) {
        for (i = 1; i <= n; i++) print (i % 2 ? "pulse" : "space"), w[i]
        print "space 1000000"
    }
    exit }' "$root/tests/data/infrared_ir_ctl.txt" >"$work/presses"
no_room() {
    (
        trap '' XFSZ
        ulimit -f 1
        "$fettle" teach "$work/full.json" --input up --heard "$work/presses" >/dev/null 2>"$work/few"
    )
    [ $? -eq 1 ] && holds 'full.json' "$work/few" && cmp -s "$volunteer" "$work/full.json" &&
        [ "$(find "$work" -name '*full.json*' | wc -l)" -eq 1 ]
}
check "a full disk leaves the file before" no_room
check "with room the same is saved" silent_err 0 teach "$work/full.json" --input up --heard "$work/presses"
if [ -w /dev/full ]; then
    full_out() {
        "$fettle" explain "$volunteer" >/dev/full 2>"$work/err"
        [ $? -eq 1 ] && holds 'could not be written' "$work/err"
    }
    check "an answer that has nowhere to go is no success" full_out
fi

# The diary and the remembered device are the owner's alone, and no text, name or key is in the diary.
check "diary of mode 0600" test "$(stat -c %a "$work/state/fettle/fettle.log")" = 600
check "remembered device of mode 0600" test "$(stat -c %a "$work/state/fettle/simulated-device")" = 600
no_words() { ! grep -qi 'thank\|volunteer\|cheek\|foot' "$work/state/fettle/fettle.log"; }
check "no words in the diary" no_words

# Completion: commands, options of a command, files.
completed() {
    bash -c '. "$1"; shift; PATH="$(dirname "$1"):$PATH"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _fettle
        echo "${COMPREPLY[*]}"' - "$root/assets/completion/fettle.bash" "$fettle" "$@"
}
check "completion of a command" test "$(completed fettle exte)" = extend
check "completion of an option" test "$(completed fettle write --ag)" = --agree
check "completion of a device" test "$(completed fettle info --device s)" = sim
# What a device says of itself is a word to complete, never a command.
mkdir "$work/strange"
cat >"$work/strange/fettle" <<'END'
#!/bin/sh
echo '      "serial": "$(touch${IFS}$HOME/x)",'
echo '      "serial": "`id`",'
echo '      "serial": "A1;id",'
echo '      "serial": "A1-b.2:3_4",'
echo '      "path": "/dev/hidraw3",'
END
chmod +x "$work/strange/fettle"
strange() {
    bash -c '. "$1"; COMP_WORDS=("$2" info --device "$3"); COMP_CWORD=3; _fettle; echo "${COMPREPLY[*]}"' - \
        "$root/assets/completion/fettle.bash" "$work/strange/fettle" "$1"
}
check "completion of attached devices" test "$(strange '')" = "/dev/hidraw3 A1-b.2:3_4 sim"
check "completion of a serial number" test "$(strange A)" = "A1-b.2:3_4"

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
