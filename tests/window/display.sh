#!/bin/sh
# Read by the scripts of this folder: a display of their own, the real window on it, real key events.
# Each script sets $fettle (the program) and $work (an empty folder), then calls open_display.
# shellcheck shell=sh disable=SC2154

failed=0
display_pid=''
window_pid=''
polls=2400 # of 25 ms: how long a state may take to come on the slowest machine; never how long it does

say_failed() {
    echo "FAILED: $*"
    failed=$((failed + 1))
}

# missing_tools: names those that are not there
missing_tools() {
    for tool in Xvfb xdotool; do
        command -v "$tool" >/dev/null 2>&1 || echo "$tool"
    done
}

# open_display: starts a display on a free number that the server finds by itself; sets DISPLAY.
open_display() {
    mkfifo "$work/number"
    Xvfb -displayfd 3 -screen 0 1280x800x24 -nolisten tcp 3>"$work/number" >"$work/xvfb.log" 2>&1 &
    display_pid=$!
    read -r number <"$work/number" # the server writes it when it is ready
    DISPLAY=":$number"
    export DISPLAY
}

# Ends only what this script started.
close_all() {
    [ -z "$window_pid" ] || kill "$window_pid" 2>/dev/null || true
    [ -z "$display_pid" ] || kill "$display_pid" 2>/dev/null || true
}

# own_folders NAME: people, state and settings of this run are in folders of their own.
own_folders() {
    XDG_CONFIG_HOME="$work/$1/config"
    XDG_DATA_HOME="$work/$1/data"
    XDG_STATE_HOME="$work/$1/state"
    export XDG_CONFIG_HOME XDG_DATA_HOME XDG_STATE_HOME
    screen="$work/$1/screen"
    mkdir -p "$work/$1"
}

# polled COMMAND...: until the command succeeds; fails after all polls, or when the window has ended.
polled() {
    left=$polls
    until "$@"; do
        left=$((left - 1))
        [ "$left" -gt 0 ] || return 1
        if [ -n "$window_pid" ] && is_gone "$window_pid"; then
            "$@" && return 0
            echo "the window has ended by itself: $(cat "$work/err")"
            return 1
        fi
        sleep 0.025
    done
}

is_gone() { ! kill -0 "$1" 2>/dev/null; }

# refused PATTERN COMMAND...: it ends with 1, says nothing but one sentence, and that matches the pattern.
refused() {
    pattern=$1
    shift
    code=0
    "$@" >"$work/out" 2>"$work/err" </dev/null || code=$?
    if [ "$code" -ne 1 ] || [ -s "$work/out" ] || [ "$(wc -l <"$work/err")" -ne 1 ] ||
        ! grep -q "$pattern" "$work/err"; then
        say_failed "$*: exit $code, said: $(cat "$work/out" "$work/err")"
    fi
}

# open_window ARGUMENTS...: starts the program and waits until it shows something; the window gets the keys.
open_window() {
    rm -f "$screen"
    "$fettle" window --screen-text "$screen" "$@" >"$work/out" 2>"$work/err" &
    window_pid=$!
    polled test -s "$screen" || {
        say_failed "the window shows nothing: $(cat "$work/err")"
        return 1
    }
    polled has_window || say_failed "no window by the name Fettle"
    xdotool windowfocus "$window" # there is no window manager that would do it
}
has_window() {
    window=$(xdotool search --onlyvisible --name '^Fettle$' 2>/dev/null | head -n 1)
    [ -n "$window" ]
}

# close_window: by its own key; its exit code is then in $code, for the script that calls this.
# shellcheck disable=SC2034
close_window() {
    key ctrl+q
    code=0
    if polled is_gone "$window_pid"; then
        wait "$window_pid" || code=$?
    else
        say_failed "the window does not close"
        code=99
    fi
    window_pid=''
}

# key NAME...: real key events, one after the other, names as X has them.
key() { xdotool key --delay 12 "$@"; }
# type_text WORDS: letter by letter.
type_text() { xdotool type --delay 12 -- "$1"; }

shows() { grep -qe "$1" "$screen"; }
shows_not() { ! grep -qe "$1" "$screen"; }
# wait_for PATTERN: until a line of the screen matches.
wait_for() {
    polled shows "$1" || {
        say_failed "not on screen: $1"
        sed 's/^/  /' "$screen"
        return 1
    }
}
wait_gone() { polled shows_not "$1" || say_failed "still on screen: $1"; }

# field ID NUMBER: what the screen's text says of a control (1 identifier, 2 kind, 3 number, 4 to 7 place,
# 8 states, 9 name, 10 value)
field() {
    sed '1,/^places$/d' "$screen" | awk -F '\t' -v id="$1" -v field="$2" '$1 == id { print $field; exit }'
}
has_control() { [ -n "$(field "$1" 2)" ]; }
focused() { sed '1,/^places$/d' "$screen" | awk -F '\t' '$8 ~ /focused/ { print $1; exit }'; }
has_focus() { [ "$(focused)" = "$1" ]; }
moved_from() { [ "$(focused)" != "$1" ]; }

# focus ID: with Tab alone, one step at a time, until the control has the focus.
focus() {
    polled has_control "$1" || {
        say_failed "no control $1"
        return 1
    }
    steps=0
    while ! has_focus "$1"; do
        before=$(focused)
        key Tab
        polled moved_from "$before" || {
            say_failed "Tab does not leave '$before'"
            return 1
        }
        steps=$((steps + 1))
        [ "$steps" -lt 400 ] || {
            say_failed "Tab never comes to $1"
            return 1
        }
    done
}
# activate ID: by Tab and the key to select; Space unless another is named.
activate() { focus "$1" && key "${2:-space}"; }
# click ID: with the pointer, down and up at once.
click() {
    xdotool mousemove --window "$window" $(($(field "$1" 4) + $(field "$1" 6) / 2)) \
        $(($(field "$1" 5) + $(field "$1" 7) / 2)) click 1
}
# call ID: by its number in the call list, which must be shown.
call() {
    number=$(field "$1" 3)
    [ "${number:-0}" -gt 0 ] || {
        say_failed "$1 has no number"
        return 1
    }
    type_text "$number"
    key Return
}
