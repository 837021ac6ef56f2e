"""A picture's own claims and sums, checked before anybody draws it."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

MARK = b"\x89PNG\r\n\x1a\n"
MOST_PIXELS = 16_000_000
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_DEPTHS = (1, 2, 4, 8, 16)


def problem_of_png(data: bytes) -> str:
    """What is wrong with a picture; empty where nothing is."""
    if not data.startswith(MARK):
        return "the file is no PNG picture"
    chunks = list(_chunks(data))
    names = [name for name, _ in chunks]
    if not chunks or names[0] != b"IHDR" or names[-1] != b"IEND" or len(chunks[0][1]) != 13:
        return "the picture is damaged or ends in the middle; export it again"
    width, height, depth, colour, _, _, laced = struct.unpack(">IIBBBBB", chunks[0][1])
    if not 0 < width * height <= MOST_PIXELS or colour not in _CHANNELS or depth not in _DEPTHS:
        return f"the picture says {width} x {height} points; {MOST_PIXELS} in all at most"
    row = 1 + (width * _CHANNELS[colour] * depth + 7) // 8
    packed = b"".join(body for name, body in chunks if name == b"IDAT")
    held = _unpacked(packed, most=2 * height * row + 64 * height + 4096)
    if held < 0 or (not laced and held != height * row):
        return "the picture is damaged or ends in the middle; export it again"
    return ""


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Name and content of every chunk whose sum is right, up to the first whose is not."""
    at = len(MARK)
    while at + 12 <= len(data):
        length, name = struct.unpack_from(">I4s", data, at)
        body = data[at + 8 : at + 8 + length]
        end = at + 8 + length
        if len(body) < length or data[end : end + 4] != struct.pack(">I", zlib.crc32(name + body)):
            return
        yield name, body
        at = end + 4


def _unpacked(packed: bytes, most: int) -> int:
    """How many bytes it unpacks to; -1 where it does not, or to more than can be meant."""
    unpacker = zlib.decompressobj()
    count = 0
    try:
        while packed and count <= most:
            count += len(unpacker.decompress(packed, 1 << 20))
            packed = unpacker.unconsumed_tail
    except zlib.error:
        return -1
    return count if unpacker.eof and count <= most else -1
