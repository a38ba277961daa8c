#!/bin/sh
# The guest's first process, run by busybox: devices, kernel modules, the command, its verdict.
# The verdict is a byte v on QEMU's exit port, and QEMU ends with 2 v + 1: 43 passed, 45 failed. Whatever else happens
# (a panic, the power off) ends it with another code.
/bin/busybox --install -s /bin
PATH=/bin
HOME=/root
LC_ALL=C.UTF-8
export PATH HOME LC_ALL

verdict() {
    stty -F /dev/console -onlcr # waits until all that was said has left
    printf '%b' "$1" | dd of=/dev/port bs=1 seek=244 conv=notrunc 2>/dev/null
    poweroff -f
}
failed() {
    echo "guest: FAILED: $*"
    verdict '\0026'
}
seconds() { cut -d ' ' -f 1 /proc/uptime; }

mount -t proc proc /proc
mount -t sysfs sysfs /sys
mount -t devtmpfs dev /dev
mkdir -p /dev/pts
mount -t devpts devpts /dev/pts
mount -t tmpfs tmpfs /tmp
chmod 1777 /tmp
stty -F /dev/console -onlcr # lines end as everywhere
dmesg -n 4                  # what the kernel says of errors is shown, the rest is noise
ip link set lo up
while read -r module; do
    insmod "/modules/$module.ko" || failed "the module $module does not load"
done </modules/order
echo "guest: ready at $(seconds) s"
code=0
/bin/sh /command </dev/null || code=$?
echo "guest: ended at $(seconds) s with $code"
[ "$code" -eq 0 ] || failed "the command gave $code"
verdict '\0025'
