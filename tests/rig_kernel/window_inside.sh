#!/bin/sh
# Runs in the guest (window.sh), as root of it: a person who sits there and has no rights but what the udev rule gives
# finds the device, is refused, puts the rule in, and works the window by keyboard.
# usage: window_inside.sh ROOT FETTLE RIG_DEVICE UNPACKED
set -u
unset FETTLE_ASSETS LC_MESSAGES LANG || true
root=$1
program=$2
device=$3
unpacked=$4
person=1000 # sits at the machine
other=65534 # does not
serial=F3A19C22
rule=/etc/udev/rules.d/70-fettle.rules
FETTLE_ASSETS="$root/assets"
export FETTLE_ASSETS
. "$root/tests/window/display.sh"
polls=12000 # a guest without hardware help is slow

work=$(mktemp -d)
chmod 755 "$work"
trap close_all EXIT
now() { cut -d ' ' -f 1 /proc/uptime; }
step() { echo "$(now) s: $*"; }

# as USER COMMAND...
as() {
    user=$1
    shift
    setpriv --reuid "$user" --regid "$user" --clear-groups env HOME="$work/home$user" "$@"
}

# --- what a system has that the guest has not: device nodes get their rights, and somebody sits at it ---
start_udev() {
    mkdir -p /usr/lib/udev /etc/udev/rules.d /run/systemd/seats
    rm -f "$rule" # the host's own
    cp -f "$unpacked/bin/udevadm" /usr/bin/
    cp -rf "$unpacked/lib/udev/." /usr/lib/udev/
    ln -s /usr/bin/udevadm /run/systemd-udevd
    /run/systemd-udevd --daemon >"$work/udevd.log" 2>&1 || say_failed "udevd does not start: $(cat "$work/udevd.log")"
    # Who sits there is told by this file. Source: systemd, sd_seat_get_active(3).
    printf 'IS_SEAT0=1\nACTIVE=c1\nACTIVE_UID=%s\n' "$person" >/run/systemd/seats/seat0
}

# --- the device on the cable ---
start_device() {
    mkfifo "$work/orders" "$work/answers"
    "$device" "$serial" <"$work/orders" >"$work/answers" &
    exec 3>"$work/orders" 4<"$work/answers"
}
# order WORDS...: as rig_device.cpp has them; its answer is in $answer.
order() {
    echo "$*" >&3
    read -r answer <&4
    case $answer in
    plugged* | pulled | pressed) ;;
    *) say_failed "the device: $*: $answer" ;;
    esac
}
plug() {
    order plug
    udevadm settle || say_failed "udev does not come to rest"
}

# --- as a person without rights reads it ---
# told USER CODE PATTERN ARGUMENTS...: the program ends with CODE and says PATTERN.
told() {
    who=$1
    wanted=$2
    pattern=$3
    shift 3
    code=0
    as "$who" "$program" "$@" >"$work/said" 2>&1 </dev/null || code=$?
    if [ "$code" -ne "$wanted" ] || ! grep -qe "$pattern" "$work/said"; then
        say_failed "fettle $* as user $who: exit $code instead of $wanted, or not '$pattern': $(cat "$work/said")"
    fi
}

udev_says() {
    udevadm info --query=property --name="$1" >"$work/properties"
    grep -qe "$2" "$work/properties" || say_failed "udev does not say $2 of $1: $(cat "$work/properties")"
}

check_rule() {
    step "without the rule: one sentence says what is missing"
    plug
    told "$person" 0 "$serial" devices
    told "$person" 1 'udev rule for it is missing.*fettle devices --rule' info
    step "fettle prints the rule; put in, and the cable in again: the person at this seat may, nobody else"
    as "$person" "$program" devices --rule >"$rule" 2>/dev/null || say_failed "no rule is printed"
    cmp "$root/assets/udev/70-fettle.rules" "$rule" || say_failed "the rule that is printed is not the one that ships"
    udevadm control --reload
    order pull
    plug
    told "$person" 0 "$serial" info
    told "$other" 1 'udev rule for it is missing' info
    udev_says ttyACM0 '^ID_MM_DEVICE_IGNORE=1$'
    udev_says ttyACM0 '^CURRENT_TAGS=.*:uaccess:'
}

# --- the window ---
# As open_display, and the screen is kept in a file.
open_screen() {
    mkfifo "$work/number"
    mkdir "$work/frame"
    Xvfb -displayfd 3 -screen 0 1280x800x24 -nolisten tcp -fbdir "$work/frame" \
        3>"$work/number" 4<&- >"$work/xvfb.log" 2>&1 &
    display_pid=$!
    read -r number <"$work/number"
    DISPLAY=":$number"
    export DISPLAY
}
# picture NAME: the screen's text is written before the picture that it tells of is shown. Once a later step of Tab is in
# the text, that picture has been shown.
picture() {
    for round in 1 2; do
        before=$(focused)
        key Tab
        polled moved_from "$before" || say_failed "Tab does not leave '$before' (step $round)"
    done
    cp "$work/frame/Xvfb_screen0" "$RIG_OUT/$1.xwd"
}

can_work() { has_control "$1" && case ",$(field "$1" 8)," in *,off\ now,* | *,hidden,*) false ;; *) true ;; esac }
# By the pointer, which takes the guest two pictures; dozens of Tab steps would take it minutes. tests/window goes by
# keyboard alone.
activate() {
    polled can_work "$1" || {
        say_failed "no control $1, or it stays off"
        return 1
    }
    click "$1"
}

screen() {
    activate "screen.screen_$1" || return 1
    polled is_chosen "screen.screen_$1" || say_failed "the screen $1 does not open"
}
is_chosen() { case ",$(field "$1" 8)," in *,on,*) ;; *) return 1 ;; esac }
opened() { has_control "connect.open.$1" && is_chosen "connect.open.$1"; }

work_window() {
    step "the window finds the device by itself"
    cat >"$work/as_person" <<END
#!/bin/sh
exec setpriv --reuid $person --regid $person --clear-groups "$program" "\$@"
END
    chmod 755 "$work/as_person"
    # shellcheck disable=SC2034 # read by open_window
    fettle="$work/as_person"
    open_screen
    own_folders person
    chown -R "$person:$person" "$work/person"
    open_window --scale 100 || return 1
    step "its first frame is there"
    screen connect || return 1
    wait_for "$serial" || return 1
    node=$(echo "$answer" | cut -d ' ' -f 2)
    polled opened "$node" || say_failed "the device at $node is not the one that is open"
    wait_for 'The device is here and answers' || return 1
    picture connect

    step "the profile goes on trial, is used, is kept"
    screen trial || return 1
    activate trial.try
    polled has_control trial.revert || {
        say_failed "no trial runs"
        return 1
    }
    activate trial.extend
    order remote 97 28 150 # select: a click
    for round in 1 2 3 4; do # menu: round through the modes
        order remote 97 71 150
        : "$round"
    done
    wait_for 'used enough' || return 1
    picture trial
    activate trial.keep
    wait_for 'runs exactly this profile' || return 1
    step "kept"

    step "the cable comes out and goes in again"
    screen connect || return 1
    order pull
    step "its nodes are gone"
    wait_gone 'The device is here and answers'
    step "the window says so"
    plug
    step "plugged in"
    wait_for 'The device is here and answers' || return 1
    step "the window has it again"
    close_window
    [ "$code" -eq 0 ] || say_failed "closing gave $code: $(cat "$work/err")"
    [ ! -s "$work/err" ] || say_failed "the window said: $(cat "$work/err")"
    told "$person" 0 'runs  *slot' info
}

for user in "$person" "$other"; do
    mkdir "$work/home$user"
    chown "$user:$user" "$work/home$user"
done
start_udev
start_device
check_rule
work_window
echo end >&3
cp "$work"/*.log "$RIG_OUT"
[ "$failed" -eq 0 ] && echo "the rule lets the person in, and the window did its job"
[ "$failed" -eq 0 ]
