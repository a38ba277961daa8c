#!/bin/sh
# Builds the Debian package from a build folder, unpacks it beside it and runs the program from there.
# usage: package.sh BUILD_FOLDER
set -eu
build=$1
work="$build/package-test"
rm -rf "$work"
mkdir -p "$work"
cpack --config "$build/CPackConfig.cmake" -G DEB -B "$work" >"$work/cpack.log" 2>&1 || {
    cat "$work/cpack.log"
    exit 1
}
dpkg -x "$work"/fettle_*.deb "$work/root"

failed=0
for file in usr/bin/fettle usr/lib/udev/rules.d/70-fettle.rules usr/share/applications/fettle.desktop \
    usr/share/icons/hicolor/scalable/apps/fettle.svg usr/share/bash-completion/completions/fettle \
    usr/share/doc/fettle/README.md; do
    if [ ! -f "$work/root/$file" ]; then
        echo "not in the package: $file"
        failed=1
    fi
done
# cpack may or may not compress the page.
ls "$work"/root/usr/share/man/man1/fettle.1* >/dev/null || failed=1
for kind in profiles schema; do
    if ! ls "$work/root/usr/share/fettle/$kind"/*.json >/dev/null 2>&1; then
        echo "not in the package: usr/share/fettle/$kind/*.json"
        failed=1
    fi
done

depends=$(dpkg-deb -f "$work"/fettle_*.deb Depends)
echo "Depends: $depends"
for library in libc6 libglfw3 libfontconfig1 libfreetype6 libpng16-16 libsqlite3-0 fonts-dejavu-core; do
    case $depends in *"$library"*) ;; *)
        echo "the package does not say that it needs $library"
        failed=1
        ;;
    esac
done
grep -q '^Exec=fettle window$' "$work/root/usr/share/applications/fettle.desktop" || {
    echo "the desktop entry does not open the window"
    failed=1
}

installed=$("$work/root/usr/bin/fettle" --version)
built=$("$build/fettle" --version)
echo "$installed"
[ -n "$installed" ] && [ "$installed" = "$built" ] || failed=1
# It finds its profiles where the package puts them, with nothing of a person's around.
profile=$(find "$work/root/usr/share/fettle/profiles" -name '*.json' | sort | head -n 1)
env -i HOME="$work/home" "$work/root/usr/bin/fettle" check "$profile" >"$work/check.log" 2>&1 || {
    cat "$work/check.log"
    failed=1
}
exit "$failed"
