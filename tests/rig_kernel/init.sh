#!/bin/sh
# The guest's first process: devices, kernel modules, the command, its verdict.
# The verdict is a byte v on QEMU's exit port, and QEMU ends with 2 v + 1: 43 passed, 45 failed. Whatever else happens
# (a panic, the power off) ends it with another code.
# rig_host=1 on the kernel's command line: the host's file system, with a layer of memory above it, becomes the guest's,
# and this script starts again in there with the argument `inside`.

verdict() {
    stty -F /dev/console -onlcr # waits until all that was said has left
    printf '%b' "$1" | dd of=/dev/port bs=1 seek=244 conv=notrunc 2>/dev/null
    busybox poweroff -f
}
failed() {
    echo "guest: the kernel's last words:"
    dmesg | tail -n 30
    echo "guest: FAILED: $*"
    verdict '\0026'
}
seconds() { cut -d ' ' -f 1 /proc/uptime; }

# mounts ROOT: what every system has, under ROOT
mounts() {
    mount -t proc proc "$1/proc"
    mount -t sysfs sysfs "$1/sys"
    mount -t devtmpfs dev "$1/dev"
    mkdir -p "$1/dev/pts" "$1/dev/shm"
    mount -t devpts devpts "$1/dev/pts"
    mount -t tmpfs tmpfs "$1/dev/shm"
    mount -t tmpfs tmpfs "$1/run"
    chmod 1777 "$1/tmp" "$1/dev/shm"
}

# The host's files are read through a share, and nothing is ever written there; /guest/out is a share for results.
to_host() {
    share='trans=virtio,version=9p2000.L,msize=262144'
    mkdir -p /host /memory /whole
    mount -t 9p -o "$share,ro,cache=loose" host /host || failed "the host's file system cannot be mounted"
    mount -t tmpfs memory /memory
    mkdir -p /memory/files/guest/out /memory/work
    cp /init /command /memory/files/guest
    mount -t overlay -o lowerdir=/host,upperdir=/memory/files,workdir=/memory/work overlay /whole ||
        failed "no layer over the host's file system"
    mount -t 9p -o "$share" out /whole/guest/out || failed "the share for results cannot be mounted"
    mounts /whole
    umount /proc /sys /dev/pts /dev/shm /dev /run
    exec switch_root /whole /guest/init inside
}

if [ "${1:-}" = inside ]; then
    PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin
    RIG_OUT=/guest/out
    export RIG_OUT
    command=/guest/command
else
    PATH=/bin
    command=/command
    /bin/busybox --install -s /bin
    mounts ''
    stty -F /dev/console -onlcr # lines end as everywhere
    dmesg -n 3                  # the kernel's troubles with faulty devices are noise; a failure shows them
    while read -r module; do
        insmod "/modules/$module.ko" || failed "the module $module does not load"
    done </modules/order
    ip link set lo up
fi
HOME=/root
LC_ALL=C.UTF-8
export PATH HOME LC_ALL
[ "${1:-}" = inside ] || [ -z "${rig_host:-}" ] || to_host

echo "guest: ready at $(seconds) s"
code=0
/bin/sh "$command" </dev/null || code=$?
echo "guest: ended at $(seconds) s with $code"
[ "$code" -eq 0 ] || failed "the command gave $code"
verdict '\0025'
