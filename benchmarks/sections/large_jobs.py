"""Half an hour of recording, sixty positions, two hundred stock pieces: what they take, and how it grows."""

from __future__ import annotations

from pathlib import Path

import large

TITLE = "Large jobs"


def write(figures: Path) -> str | None:
    how = (
        "User and system time of one command and its children, each in a process of its own with one thread of linear "
        "algebra, and the most memory; `benchmarks/large.py`, rooms and recordings made up. Asked: 400 MiB for half an "
        "hour of stereo at 96 kHz, time in proportion to its length, sixty positions analysed in 15 s, 200 stock pieces "
        "on 40 faces planned in 15 s.\n\n"
    )
    return how + "\n".join(large.lines()) + "\n"
