#!/bin/sh
# The whole job in the real window, by keyboard alone: connect, teach, assign, motion, presses, try and keep, people.
# It ends with the changed profile kept on the simulated device, and finds it there when the window opens again.
# usage: seven_steps.sh ROOT FETTLE
set -u
unset FETTLE_ASSETS LC_MESSAGES LANG || true
root=$1
fettle=$2
LC_ALL=C.UTF-8
FETTLE_ASSETS="$root/assets"
export LC_ALL FETTLE_ASSETS
. "$root/tests/window/display.sh"

work=$(mktemp -d)
trap 'close_all; rm -rf "$work"' EXIT
trap 'exit 1' INT TERM

missing=$(missing_tools)
[ -z "$missing" ] || {
    echo "SKIPPED: not installed: $missing"
    exit 77
}

is_on() { case ",$(field "$1" 8)," in *,on,*) ;; *) return 1 ;; esac }
is_off() { ! is_on "$1"; }

# tap ID: the key goes down on a hand's control until the device tells that its input is down, then up again.
tap() {
    focus "$1" || return 1
    xdotool keydown space
    polled is_on "$1" || say_failed "$1 does not go down"
    xdotool keyup space
    polled is_off "$1" || say_failed "$1 does not go up"
}
# press_until ID AWAY PATTERN: presses a control of the room until the screen says so. Between two presses the focus
# goes to another control and back: presses that follow too closely are one press to the teacher.
press_until() {
    presses=0
    until shows "$3"; do
        tap "$1" || return 1
        presses=$((presses + 1))
        [ "$presses" -lt 20 ] || {
            say_failed "pressing $1 never shows: $3"
            return 1
        }
        focus "$2" || return 1
    done
}
# enter ID WORDS: opens a text field, replaces what it says, ends with Done.
enter() {
    activate "$1" || return 1
    polled has_control "$1/done" || say_failed "no editor for $1"
    erased=0
    while [ "$erased" -lt 80 ]; do
        erased=$((erased + 1))
        xdotool key --delay 2 BackSpace
    done
    type_text "$2"
    activate "$1/done" Return # Space is a letter here
    polled has_control "$1" || say_failed "the editor of $1 does not close"
}
screen() {
    activate "screen.screen_$1" || exit 1
    polled is_on "screen.screen_$1" || say_failed "the screen $1 does not open"
}

open_display
own_folders seven
open_window --device sim || exit 1

echo "1 connect: who is there; the cable comes out and goes in again"
screen connect
wait_for 'The device is here and answers' || exit 1
activate connect.pull
wait_gone 'The device is here and answers'
activate connect.plug
wait_for 'The device is here and answers' || exit 1

echo "2 teach: the foot switch goes to another line"
screen teach
activate teach.input.foot
wait_for 'Press it once'
press_until teach.line.5 teach.end 'Both presses agree' || exit 1
activate teach.accept
wait_for 'foot: switch on line 5' || exit 1

echo "3 assign: plus lets go of everything in the mode far; undone and done again by keys"
screen assign
activate assign.cell/far/plus
activate assign.choose
activate assign.pick/release
polled has_control assign.choose || say_failed "the cell does not come back"
wait_for 'Lets go of every key'
scrolls_again() { has_control assign.do.direction; }
lets_go_again() { ! has_control assign.do.direction; }
key ctrl+z
polled scrolls_again || say_failed "Control and Z takes nothing back"
key ctrl+y
polled lets_go_again || say_failed "Control and Y does it not again"

echo "4 motion: a number changes"
screen motion
before=$(field motion.top 10)
activate motion.top.more
top_moved() { [ "$(field motion.top 10)" != "$before" ]; }
polled top_moved || say_failed "the top speed does not change"

echo "5 presses: a recording is begun, ended and saved; the time line and the times open"
screen presses
activate presses.part.presses_recordings
activate record.begin
wait_for 'A recording runs'
tap presses.hand.cheek
activate record.end
enter record.name first
activate record.save
wait_for 'first: ' || exit 1
activate presses.part.presses_timeline
polled has_control timeline.nearer || say_failed "no time line"
activate timeline.nearer
activate presses.part.presses_times
activate presses.part.presses_room
activate room.begin
polled has_control room.end || say_failed "the room test does not begin"
activate room.end

echo "6 try and keep: on trial, used, kept"
screen trial
wait_for 'top speed: was'
activate trial.try
polled has_control trial.revert || {
    say_failed "no trial runs"
    exit 1
}
# A slow machine gets the time that it needs: a trial can be lengthened.
activate trial.extend
activate trial.extend
tap trial.hand.select
# Four presses lead round through near, list and letters back to far.
for round in 1 2 3 4; do
    tap trial.hand.menu || break
    : "$round"
done
wait_for 'used enough' || exit 1
activate trial.keep
polled has_control trial.try || say_failed "the trial does not end"
wait_for 'runs exactly this profile' || exit 1

echo "7 people: another person, a copy of the profile, the two side by side"
screen people
enter people.add 'Second person'
wait_for 'Second person'
enter people.copy 'spare'
wait_for 'spare, version'
activate people.open.1
polled is_on people.open.1 || say_failed "the first profile does not open again"

close_window
[ "$code" -eq 0 ] || say_failed "closing gave $code: $(cat "$work/err")"
[ ! -s "$work/err" ] || say_failed "the window said: $(cat "$work/err")"

echo "again: the device has what was kept, the program what was saved"
open_window --device sim || exit 1
screen trial
wait_for 'runs exactly this profile'
wait_for 'kept'
close_window
[ "$code" -eq 0 ] || say_failed "closing again gave $code: $(cat "$work/err")"

[ "$failed" -eq 0 ] && echo "all seven steps by keyboard, the profile kept"
[ "$failed" -eq 0 ]
