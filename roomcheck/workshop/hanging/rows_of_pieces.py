"""Pieces beside each other on a wall: how even their gaps are, and where they would hang if they
were even."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from roomcheck.job import Job
from roomcheck.units import M_PER_IN, format_length, format_size
from roomcheck.workshop.results import HangingLine

_LEVEL_M = M_PER_IN / 2
_EVEN_M = M_PER_IN / 2


def equal_gap_m(wall_m: float, widths_m: Sequence[float]) -> float:
    """Gap between pieces, and from the outer ones to the corners, where all are equal. [m]

    >>> equal_gap_m(174, [24, 24, 24])
    25.5
    """
    return (wall_m - sum(widths_m)) / (len(widths_m) + 1)


def row_gaps(job: Job, lines: Sequence[HangingLine]) -> tuple[str, ...]:
    """One sentence a row of two or more pieces with level tops."""
    found = []
    for face in dict.fromkeys(
        line.face for line in lines if job.room.face(line.face).kind == "wall"
    ):
        for row in _rows([line for line in lines if line.face == face]):
            found.append(_told(job, face, row))
    return tuple(found)


def _rows(lines: list[HangingLine]) -> list[list[HangingLine]]:
    rows: list[list[HangingLine]] = []
    for line in sorted(lines, key=lambda line: (-line.top_m, line.left_m)):
        row = next((r for r in rows if abs(r[0].top_m - line.top_m) <= _LEVEL_M), None)
        if row is None:
            rows.append([line])
        else:
            row.append(line)
    return [sorted(row, key=lambda line: line.left_m) for row in rows if len(row) > 1]


def _told(job: Job, face: str, row: list[HangingLine]) -> str:
    wall = job.room.face(face).width_m
    gaps = [b.left_m - (a.left_m + a.width_m) for a, b in pairwise(row)]
    ends = row[0].left_m, wall - (row[-1].left_m + row[-1].width_m)

    def size(m: float) -> str:
        return format_size(m, job.units)

    names = ", ".join(line.name for line in row)
    said = (
        f"{face}: {names} in a row, tops level within 1/16 in (1.5 mm). Left to right: "
        f"{size(ends[0])} to the "
    )
    said += f"corner, gaps {', '.join(size(gap) for gap in gaps)}, {size(ends[1])} to the corner."
    even = equal_gap_m(wall, [line.width_m for line in row])
    if max(*gaps, *ends) - min(*gaps, *ends) > _EVEN_M and even > 0:
        lefts, at = [], even
        for line in row:
            lefts.append(f"{line.name} {format_length(at, job.units)}")
            at += line.width_m + even
        said += (
            f" Even gaps of {size(even)} would put the left edges at {', '.join(lefts)}: only if "
            "the plan's reasons"
        )
        said += " allow it."
    return said
