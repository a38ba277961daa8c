#!/bin/sh
# The real window on a display of its own, driven by real key events and nothing else.
# usage: xvfb_run.sh ROOT FETTLE
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

# --- no display: a sentence, and what works without one ---
own_folders bare
unset DISPLAY WAYLAND_DISPLAY || true
refused 'no display.*see fettle --help\.$' "$fettle" window
refused 'no display' "$fettle" --screenshot "$work/pictures"
code=0
"$fettle" >"$work/out" 2>"$work/err" </dev/null || code=$?
if [ "$code" -ne 0 ] || ! grep -q 'no display' "$work/err" || ! grep -q 'That was the whole job' "$work/out"; then
    say_failed "fettle without a display is not the demo: exit $code, said: $(cat "$work/err")"
fi

open_display

# --- a display without a usable OpenGL: Mesa is told to be of 1998 ---
refused 'OpenGL 3.0.*see fettle --help\.$' env MESA_GL_VERSION_OVERRIDE=1.4 "$fettle" window

# --- the window: opens, Tab goes round, every screen by keyboard, closes ---
own_folders first
open_window --device sim || exit 1
wait_for '^-- '
first=''
key Tab
polled moved_from '' || say_failed "Tab gives no control the focus"
first=$(focused)
round=0
while :; do
    before=$(focused)
    key Tab
    polled moved_from "$before" || {
        say_failed "Tab does not leave '$before'"
        break
    }
    round=$((round + 1))
    [ "$(focused)" != "$first" ] || break
    [ "$round" -lt 400 ] || {
        say_failed "Tab never comes round"
        break
    }
done
echo "Tab goes round $round controls"

for name in connect teach assign motion presses trial people fitting settings; do
    activate "screen.screen_$name" || continue
    is_chosen() { case ",$(field "screen.screen_$name" 8)," in *,on,*) ;; *) return 1 ;; esac }
    polled is_chosen || say_failed "the screen $name does not open"
done

close_window
[ "$code" -eq 0 ] || say_failed "closing gave $code: $(cat "$work/err")"
[ ! -s "$work/err" ] || say_failed "the window said: $(cat "$work/err")"
[ -s "$XDG_STATE_HOME/fettle/window-place" ] || say_failed "the window's place was not kept"
grep -o 'window: first frame .*' "$XDG_STATE_HOME/fettle/fettle.log" || say_failed "no first frame was noted"

[ "$failed" -eq 0 ] && echo "the window opens, is worked by keyboard and closes"
[ "$failed" -eq 0 ]
