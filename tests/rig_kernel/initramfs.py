#!/usr/bin/env python3
"""Writes the guest's first file system: busybox, an init script, kernel modules, programs with their libraries.

usage: initramfs.py --out FILE --kernel FOLDER --init SCRIPT [--module NAME]... [--add FILE[:PLACE]]...
                    [--host] -- PROGRAM [ARGUMENT]...

Needs neither rights nor cpio(1) nor kmod. Source of the format: Linux documentation, "initramfs buffer format"
(newc). PROGRAM and every executable that is added come to /bin, with their shared libraries at the places that
they have here. /command says what init shall run, /modules/order what it shall load, first to last. With --host
PROGRAM is not brought along: init finds it on the host's own file system.
"""

import argparse
import os
import re
import shlex
import shutil
import stat
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import BinaryIO

FOLDERS = ("bin", "dev", "etc", "host", "mnt", "modules", "proc", "root", "run", "sys", "tmp")


class Archive:
    """A cpio archive in newc form; folders are made as they are needed."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.number = 0
        self.names: set[str] = set()

    def put(self, name: str, mode: int, data: bytes = b"", device: tuple[int, int] = (0, 0)) -> None:
        if name in self.names:
            return
        parent = os.path.dirname(name)
        if parent:
            self.folder(parent)
        self.names.add(name)
        self.number += 1
        path = name.encode() + b"\0"
        fields = (self.number, mode, 0, 0, 1, 0, len(data), 0, 0, *device, len(path), 0)
        head = b"070701" + b"".join(b"%08x" % field for field in fields) + path
        for part in (head, data):
            self.file.write(part + bytes(-len(part) % 4))

    def folder(self, name: str) -> None:
        self.put(name, stat.S_IFDIR | 0o755)

    def text(self, name: str, text: str) -> None:
        self.put(name, stat.S_IFREG | 0o644, text.encode())

    def executable(self, name: str, path: Path) -> None:
        self.put(name, stat.S_IFREG | 0o755, path.read_bytes())

    def link(self, name: str, target: str) -> None:
        self.put(name, stat.S_IFLNK | 0o777, target.encode())


class Modules:
    """The kernel's modules by name, and what each wants to have loaded before it."""

    def __init__(self, kernel: Path) -> None:
        (base,) = kernel.glob("lib/modules/*")
        self.files = {self.plain(path.stem): path for path in base.glob("kernel/**/*.ko")}
        self.built_in = {self.plain(Path(line).stem) for line in (base / "modules.builtin").read_text().split()}

    @staticmethod
    def plain(name: str) -> str:
        return name.replace("-", "_")

    def wants(self, name: str) -> list[str]:
        """Source: modinfo's fields `depends` and `softdep: pre`."""
        wanted: list[str] = []
        for field in self.files[name].read_bytes().split(b"\0"):
            if field.startswith(b"depends="):
                wanted += field[len(b"depends=") :].decode().split(",")
            elif field.startswith(b"softdep=pre:"):
                wanted += field[len(b"softdep=pre:") :].decode().split("post:")[0].split()
        return [self.plain(each) for each in wanted if each]

    def add(self, name: str, order: list[str]) -> None:
        """Puts the module and all it wants into the order, unless they are there."""
        name = self.plain(name)
        if name in order or name in self.built_in:
            return
        if name not in self.files:
            sys.exit(f"initramfs.py: no kernel module {name}")
        for each in self.wants(name):
            self.add(each, order)
        order.append(name)


def libraries(program: Path) -> list[Path]:
    """The shared libraries of a program, the loader among them, as ldd finds them; none for a script."""
    found = subprocess.run(["ldd", program], capture_output=True, text=True, check=False).stdout
    if "not found" in found:
        sys.exit(f"initramfs.py: {program} lacks a library:\n{found}")
    return [Path(path) for path in re.findall(r"(/\S+) \(0x", found)]


def stripped(program: Path) -> bytes:
    """The program without its debugger's tables, where there is a strip(1)."""
    if not shutil.which("strip"):
        return program.read_bytes()
    with tempfile.NamedTemporaryFile() as out:
        done = subprocess.run(["strip", "-g", "-o", out.name, program], stderr=subprocess.DEVNULL, check=False)
        return Path(out.name).read_bytes() if done.returncode == 0 else program.read_bytes()


def add_file(archive: Archive, path: Path, place: str) -> None:
    if path.is_dir():
        for each in sorted(path.rglob("*")):
            if each.is_file():
                add_file(archive, each, f"{place}/{each.relative_to(path)}")
        return
    if not os.access(path, os.X_OK):
        archive.put(place, stat.S_IFREG | 0o644, path.read_bytes())
        return
    archive.put(place, stat.S_IFREG | 0o755, stripped(path))
    for library in libraries(path):
        archive.executable(str(library).lstrip("/"), library)


def add_base(archive: Archive, init: Path) -> None:
    for name in FOLDERS:
        archive.folder(name)
    archive.put("dev/console", stat.S_IFCHR | 0o600, device=(5, 1))
    archive.executable("bin/busybox", Path(shutil.which("busybox") or "/bin/busybox"))
    archive.link("bin/sh", "busybox")
    archive.executable("init", init)
    archive.text("etc/passwd", "root:x:0:0:root:/root:/bin/sh\nnobody:x:65534:65534:nobody:/tmp:/bin/sh\n")
    archive.text("etc/group", "root:x:0:\nnogroup:x:65534:\n")


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--kernel", type=Path, required=True)
    parser.add_argument("--init", type=Path, required=True)
    parser.add_argument("--module", action="append", default=[])
    parser.add_argument("--add", action="append", default=[])
    parser.add_argument("--host", action="store_true")
    parser.add_argument("command", nargs="+")
    return parser.parse_args()


def main() -> None:
    asked = arguments()
    modules = Modules(asked.kernel)
    order: list[str] = []
    for name in asked.module:
        modules.add(name, order)
    program, *rest = asked.command
    with asked.out.open("wb") as file:
        archive = Archive(file)
        add_base(archive, asked.init)
        for name in order:
            archive.put(f"modules/{name}.ko", stat.S_IFREG | 0o644, modules.files[name].read_bytes())
        archive.text("modules/order", "".join(f"{name}\n" for name in order))
        for each in asked.add if asked.host else (program, *asked.add):
            source, _, place = each.partition(":")
            add_file(archive, Path(source), place.lstrip("/") or f"bin/{Path(source).name}")
        place = program if asked.host else f"/bin/{Path(program).name}"
        archive.text("command", shlex.join([place, *rest]) + "\n")
        archive.put("TRAILER!!!", 0)


main()
