"""A logo's picture, by the rules of PNG (ISO/IEC 15948): samples a pixel, bits a sample, a filter
byte a row."""

from __future__ import annotations

import struct
import zlib

import pytest

from roomcheck.job.logo.png import problem_of_png

SAMPLES = {"grey": (0, 1), "colour": (2, 3), "palette": (3, 1), "grey, alpha": (4, 2), "colour, alpha": (6, 4)}  # fmt: skip
DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}


def picture(width, height, depth, colour, content):
    def chunk(name, body):
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(content))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("name", SAMPLES)
def test_a_picture_holds_as_many_bytes_as_its_head_says(name):
    colour, samples = SAMPLES[name]
    for depth in DEPTHS[colour]:
        row = 1 + -(-13 * samples * depth // 8)
        whole = bytes(7 * row)
        assert problem_of_png(picture(13, 7, depth, colour, whole)) == ""
        for wrong in (whole[:-1], whole + b"0"):
            assert "damaged" in problem_of_png(picture(13, 7, depth, colour, wrong))


def test_a_picture_of_nothing_or_of_too_much_is_refused():
    assert "points" in problem_of_png(picture(0, 7, 8, 2, b""))
    assert "points" in problem_of_png(picture(4001, 4000, 8, 2, b""))
