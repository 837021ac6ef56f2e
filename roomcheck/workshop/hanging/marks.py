"""Places that a hand marks on a wall: the marking grid, and pieces moved onto it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product
from math import floor

from roomcheck.geometry import Rectangle
from roomcheck.job import Units
from roomcheck.units import M_PER_IN

_STEPS_M: dict[Units, float] = {"imperial": M_PER_IN / 4, "metric": 0.005}
"""What a pencil beside a tape is set to (common practice). [m]"""


def mark_step_m(units: Units) -> float:
    """Step of the marking grid: a quarter inch, or five millimetres. [m]"""
    return _STEPS_M[units]


def on_mark(value_m: float, units: Units) -> float:
    """The nearest mark of the grid. [m]

    >>> round(on_mark(1.0021, "metric"), 9), round(on_mark(10.1 * 0.0254, "imperial") / 0.0254, 9)
    (1.0, 10.0)
    """
    step_m = mark_step_m(units)
    return round(floor(value_m / step_m + 0.5) * step_m, 9)


def as_cut(length_m: float, units: Units) -> float:
    """A length to the sixteenth of an inch or the millimetre that a bench works to, so that what is
    left of a wall beside it adds up with it. [m]"""
    step_m = M_PER_IN / 16 if units == "imperial" else 0.001
    return round(length_m / step_m) * step_m


def onto_marks(
    place: Rectangle, hook_m: float, units: Units, free: Callable[[Rectangle], bool]
) -> Rectangle:
    """The place with its left edge, and the line `hook_m` below its top, on the marking grid.

    The nearest one that is free, half a step away at the most; a whole step where that is taken;
    the place itself where everything around it is.
    """
    for left_m, line_m in _marks(place, hook_m, units):
        moved = replace(place, u_m=left_m, v_m=round(line_m + hook_m - place.height_m, 9))
        if free(moved):
            return moved
    return place


def _marks(place: Rectangle, hook_m: float, units: Units) -> Iterator[tuple[float, float]]:
    """Pairs of the two marks on either side of left edge and line, the nearest first. [m]"""
    lefts = _sides(place.u_m, units)
    lines = _sides(place.top_m - hook_m, units)
    for line_m, left_m in product(lines, lefts):
        yield left_m, line_m


def _sides(value_m: float, units: Units) -> tuple[float, ...]:
    step_m, nearest_m = mark_step_m(units), on_mark(value_m, units)
    if abs(value_m - nearest_m) < 1e-6:
        return (nearest_m,)
    other_m = nearest_m + step_m if value_m > nearest_m else nearest_m - step_m
    return nearest_m, round(other_m, 9)
