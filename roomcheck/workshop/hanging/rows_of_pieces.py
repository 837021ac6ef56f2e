"""Pieces beside each other on a wall: how even their gaps are, and where they would hang if they
were even."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from roomcheck.job import Job
from roomcheck.units import M_PER_IN
from roomcheck.workshop.hanging.marks import on_mark
from roomcheck.workshop.results import HangingLine, HangingRow

_LEVEL_M = M_PER_IN / 2
_EVEN_M = M_PER_IN / 2


def equal_gap_m(wall_m: float, widths_m: Sequence[float]) -> float:
    """Gap between pieces, and from the outer ones to the corners, where all are equal. [m]

    >>> equal_gap_m(174, [24, 24, 24])
    25.5
    """
    return (wall_m - sum(widths_m)) / (len(widths_m) + 1)


def row_gaps(job: Job, lines: Sequence[HangingLine]) -> tuple[HangingRow, ...]:
    """Rows of two or more pieces with level tops."""
    faces = dict.fromkeys(line.face for line in lines)
    walls = [face for face in faces if job.room.face(face).kind == "wall"]
    rows = []
    for face in walls:
        here = [line for line in lines if line.face == face]
        rows += [_row(job, face, row) for row in _rows(here)]
    return tuple(rows)


def _rows(lines: list[HangingLine]) -> list[list[HangingLine]]:
    rows: list[list[HangingLine]] = []
    for line in sorted(lines, key=lambda line: (-line.top_m, line.left_m)):
        row = next((r for r in rows if abs(r[0].top_m - line.top_m) <= _LEVEL_M), None)
        if row is None:
            rows.append([line])
        else:
            row.append(line)
    return [sorted(row, key=lambda line: line.left_m) for row in rows if len(row) > 1]


def _row(job: Job, face: str, row: list[HangingLine]) -> HangingRow:
    wall_m = job.room.face(face).width_m
    gaps = tuple(b.left_m - (a.left_m + a.width_m) for a, b in pairwise(row))
    left_m, right_m = row[0].left_m, wall_m - (row[-1].left_m + row[-1].width_m)
    even_m = equal_gap_m(wall_m, [line.width_m for line in row])
    uneven = max(*gaps, left_m, right_m) - min(*gaps, left_m, right_m) > _EVEN_M
    return HangingRow(
        face=face,
        names=tuple(line.name for line in row),
        left_m=left_m,
        gaps_m=gaps,
        right_m=right_m,
        even_m=on_mark(even_m, job.units) if uneven and even_m > 0 else None,
        even_lefts_m=_even_lefts(job, row, even_m) if uneven and even_m > 0 else (),
    )


def _even_lefts(job: Job, row: list[HangingLine], gap_m: float) -> tuple[float, ...]:
    """Left edges with equal gaps, each on its nearest mark. [m]"""
    lefts, left_m = [], gap_m
    for line in row:
        lefts.append(on_mark(left_m, job.units))
        left_m += line.width_m + gap_m
    return tuple(lefts)
