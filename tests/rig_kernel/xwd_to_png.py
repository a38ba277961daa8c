#!/usr/bin/env python3
"""Makes a PNG of the file in which Xvfb keeps its screen (-fbdir).

usage: xwd_to_png.py IN OUT

Sources: X11/XWDFile.h (a header of 25 big-endian words with its own size first); PNG Specification, W3C.
"""

import struct
import sys
import zlib
from pathlib import Path


def rows_of(dump: bytes) -> tuple[int, int, list[bytes]]:
    """Width, height, and the rows as red, green, blue."""
    header = struct.unpack_from(">25I", dump)
    size, version, width, height = header[0], header[1], header[4], header[5]
    is_big_endian, pixel_bits, row_bytes, colours = header[7], header[11], header[12], header[19]
    masks = header[14:17]
    if version != 7 or pixel_bits != 32 or is_big_endian or masks != (0xFF0000, 0xFF00, 0xFF):
        sys.exit("xwd_to_png.py: not a screen of 24 bits as this machine keeps it")
    start = size + 12 * colours
    rows = []
    for number in range(height):
        row = dump[start + number * row_bytes :][: 4 * width]
        colour = bytearray(3 * width)
        for channel, offset in enumerate((2, 1, 0)):  # blue comes first
            colour[channel::3] = row[offset::4]
        rows.append(bytes(colour))
    return width, height, rows


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def main() -> None:
    width, height, rows = rows_of(Path(sys.argv[1]).read_bytes())
    if len(set(rows)) < 2:
        sys.exit("xwd_to_png.py: nothing is drawn there")
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(b"".join(b"\0" + row for row in rows))
    parts = chunk(b"IHDR", header) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    Path(sys.argv[2]).write_bytes(b"\x89PNG\r\n\x1a\n" + parts)


main()
