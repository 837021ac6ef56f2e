"""The shadow that a piece throws on the face that it hangs on."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from roomcheck.report.space.hatch import light_of, shade
from roomcheck.report.space.paper import Paper
from roomcheck.report.space.strokes import Strokes
from roomcheck.scene import Facets, Surface

Floats = NDArray[np.float64]
Corner = tuple[float, float]

_GAP_PT = 1.15
_LEAST_LIGHT = 0.05
"""Light that grazes more than this throws no shadow worth drawing. [1]"""


def shadow(paper: Paper, box: Facets, surface: Surface) -> Strokes:
    """Lines over what the box round a piece shades of a face: convex faces alone, no others'."""
    none = Strokes(pen="hatch", lines=np.zeros((0, 2, 3)))
    out, light = np.array(surface.axes.out), light_of(paper)
    steep = float(light @ out)
    if steep < _LEAST_LIGHT or not _convex(surface.outline):
        return none
    corners = box.corners.reshape(-1, 3) - np.array(surface.axes.origin)
    fallen = corners - np.outer(corners @ out / steep, light)
    flat = fallen @ np.array([surface.axes.right, surface.axes.up]).T
    left = common(hull([(float(u), float(v)) for u, v in flat]), _turning_left(surface.outline))
    if len(left) < 3:
        return none
    places = np.array([surface.axes.to_room(u, v, 0.0) for u, v in left])
    along = np.array(surface.axes.right) + np.array(surface.axes.up)
    along = along / np.linalg.norm(along)
    return Strokes(pen="hatch", lines=shade(paper, places, out, _GAP_PT, along))


def hull(points: Sequence[Corner]) -> list[Corner]:
    """The convex polygon round points, counter-clockwise.

    >>> hull([(0, 0), (2, 0), (1, 1), (2, 2), (0, 2)])
    [(0, 0), (2, 0), (2, 2), (0, 2)]

    References
    ----------
    A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information
    Processing Letters 9 (1979) 216, from memory.
    """
    ordered = sorted(set(points))
    return [*_chain(ordered), *_chain(ordered[::-1])]


def _chain(points: Sequence[Corner]) -> list[Corner]:
    """One side of a hull, its last corner left to the other side."""
    chain: list[Corner] = []
    for point in points:
        while len(chain) > 1 and _side(chain[-2], chain[-1], point) <= 1e-12:
            chain.pop()
        chain.append(point)
    return chain[:-1]


def common(polygon: Sequence[Corner], window: Sequence[Corner]) -> list[Corner]:
    """The part of one convex polygon that lies in another; both counter-clockwise.

    >>> common([(0, 0), (2, 0), (2, 2), (0, 2)], [(1, 1), (3, 1), (3, 3), (1, 3)])
    [(2.0, 1.0), (2, 2), (1.0, 2.0), (1.0, 1.0)]

    References
    ----------
    I. E. Sutherland and G. W. Hodgman, "Reentrant polygon clipping", Communications of the ACM 17
    (1974) 32, from memory.
    """
    left = list(polygon)
    for a, b in zip(window, (*window[1:], window[0]), strict=True):
        left = _cut(left, a, b)
    return left


def _cut(polygon: Sequence[Corner], a: Corner, b: Corner) -> list[Corner]:
    """What of a polygon lies to the left of the line from a to b."""
    left: list[Corner] = []
    for p, q in zip(polygon, (*polygon[1:], *polygon[:1]), strict=True):
        before, after = _side(a, b, p), _side(a, b, q)
        if before >= 0:
            left.append(p)
        if (before > 0) != (after > 0) and before != after:
            t = before / (before - after)
            if 0 < t < 1:
                left.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
    return left


def _side(a: Corner, b: Corner, p: Corner) -> float:
    """Above 0 where p lies to the left of the way from a to b. [m2]"""
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _convex(corners: Sequence[Corner]) -> bool:
    turns = [
        _side(a, b, c)
        for a, b, c in zip(corners, _after(corners, 1), _after(corners, 2), strict=True)
    ]
    return min(turns) >= -1e-9 or max(turns) <= 1e-9


def _after(corners: Sequence[Corner], n: int) -> list[Corner]:
    return [*corners[n:], *corners[:n]]


def _turning_left(corners: Sequence[Corner]) -> list[Corner]:
    turns = sum(_side(corners[0], b, c) for b, c in pairwise(corners))
    return list(corners) if turns > 0 else list(corners[::-1])
