"""Lift points of a piece overhead: plumb over its frame's boards, into joists or structure."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from roomcheck.geometry import Rectangle
from roomcheck.units import M_PER_IN

Point = tuple[float, float]

_CORNER_M = 2 * M_PER_IN
"""Kept free between a lift point and the frame's corner, for gusset and knot. [m]"""
_BETWEEN_M = 48 * M_PER_IN
"""Lift points along one board stand no further apart (common practice). [m]"""
_TETHER_M = 6 * M_PER_IN
"""From a lift point to the safety wire's own hole in the structure. [m]"""


def lift_points(
    place: Rectangle, board_m: float, joists_m: Sequence[float] | None
) -> tuple[Point, ...]:
    """Two on every line of lift points, over the middle of the frame's near and far board.

    Parameters
    ----------
    place : Rectangle
        Outside of the frame on the ceiling. [m]
    board_m : float
        Thickness of the frame's boards. [m]
    joists_m : sequence of float or None
        Joists above it, from the left; None where the structure takes a fixing anywhere. [m]

    Returns
    -------
    tuple of (u, v)
        Empty where fewer than two joists are above the frame. [m]
    """
    first_m, last_m = place.u_m + _CORNER_M, place.right_m - _CORNER_M
    if joists_m is None:
        lines = _evenly(first_m, last_m)
    else:
        lines = _chosen([u for u in joists_m if first_m <= u <= last_m])
    rows = place.v_m + board_m / 2, place.top_m - board_m / 2
    return tuple((u, v) for u in lines for v in rows)


def tethers(points: Sequence[Point]) -> tuple[Point, ...]:
    """One safety wire at two corners across from each other, each into a hole of its own. [m]"""
    if len(points) < 4:
        return ()
    (left_m, near_m), (right_m, far_m) = points[0], points[-1]
    return (left_m, near_m + _TETHER_M), (right_m, far_m - _TETHER_M)


def _evenly(first_m: float, last_m: float) -> list[float]:
    gaps = max(ceil((last_m - first_m) / _BETWEEN_M - 1e-9), 1)
    return [first_m + i * (last_m - first_m) / gaps for i in range(gaps + 1)]


def _chosen(joists_m: list[float]) -> list[float]:
    """The outermost joists, and as few between as keep the distance; none of fewer than two."""
    if len(joists_m) < 2:
        return []
    chosen = [joists_m[0]]
    for joist, following in zip(joists_m[1:], [*joists_m[2:], None], strict=True):
        if following is None or following - chosen[-1] > _BETWEEN_M + 1e-9:
            chosen.append(joist)
    return chosen
