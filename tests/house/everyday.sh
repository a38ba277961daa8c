#!/bin/sh
# The manual page, the completion and the program name the same commands; the page is read without complaint.
# usage: everyday.sh ROOT FETTLE
set -eu
root=$1
fettle=$2
failed=0
page="$root/assets/man/fettle.1"
completion="$root/assets/completion/fettle.bash"

complaints=$(MANWIDTH=100 man -l --warnings=w -E UTF-8 "$page" 2>&1 >/dev/null || echo "man could not read it")
if [ -n "$complaints" ]; then
    echo "$complaints"
    failed=1
fi

commands=$(sed -n 's/.*commands="\([^"]*\)".*/\1/p' "$completion")
[ -n "$commands" ] || {
    echo "no list of commands in the completion"
    exit 1
}
for command in $commands; do
    grep -qx "\.B $command" "$page" || {
        echo "not in the manual page: $command"
        failed=1
    }
    "$fettle" "$command" --help >/dev/null 2>&1 || {
        echo "fettle $command --help failed"
        failed=1
    }
done
# What the program knows beyond that list: its help has each command at the start of a line of its own.
for word in $("$fettle" --help | sed -n '/ommands/,$s/^  *\([a-z][a-z-]*\)  .*/\1/p'); do
    case " $commands " in *" $word "*) ;; *)
        echo "not in the completion: $word"
        failed=1
        ;;
    esac
done
count=0
for command in $commands; do
    count=$((count + 1))
    if ! "$fettle" --help | grep -Eq "^ *$command( |\$)"; then
        echo "not in fettle --help: $command"
        failed=1
    fi
done
echo "$count commands agree in program, manual page and completion"

# The completion, asked by bash itself.
answer=$(bash -c '. "$1"; COMP_WORDS=(fettle ke); COMP_CWORD=1; _fettle; echo "${COMPREPLY[*]}"' - "$completion")
[ "$answer" = keep ] || {
    echo "completing 'ke' gave '$answer'"
    failed=1
}
"$fettle" --version | grep -Eq '[0-9]+\.[0-9]+\.[0-9]+' || {
    echo "fettle --version names no version"
    failed=1
}
exit "$failed"
