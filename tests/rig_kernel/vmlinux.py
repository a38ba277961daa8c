#!/usr/bin/env python3
"""Takes the ELF image out of a compressed Linux kernel.

usage: vmlinux.py BZIMAGE OUT

Where it lies is said by the kernel's own header. Source: The Linux/x86 Boot Protocol, fields setup_sects (0x1f1),
header (0x202), payload_offset (0x248) and payload_length (0x24c).
"""

import lzma
import struct
import sys
from pathlib import Path

SECTOR_BYTES = 512


def payload(image: bytes) -> bytes:
    """The compressed part of a bzImage."""
    if image[0x202:0x206] != b"HdrS":
        sys.exit("vmlinux.py: not a Linux kernel for x86")
    setup_sectors = image[0x1F1] or 4
    offset, length = struct.unpack_from("<II", image, 0x248)
    start = (setup_sectors + 1) * SECTOR_BYTES + offset
    return image[start : start + length]


def main() -> None:
    image = Path(sys.argv[1]).read_bytes()
    # The length of the result follows the stream: the decompressor of one stream leaves it alone.
    elf = lzma.LZMADecompressor().decompress(payload(image))
    if not elf.startswith(b"\x7fELF"):
        sys.exit("vmlinux.py: the payload is no ELF image")
    Path(sys.argv[2]).write_bytes(elf)


main()
