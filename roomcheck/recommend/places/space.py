"""Where something may hang: free stretches of a face after openings, zones kept clear and edges."""

from __future__ import annotations

from itertools import pairwise
from math import ceil, floor

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job
from roomcheck.units import M_PER_IN

EDGE_M = 0.05
"""Kept free along the edges of a wall, and from a corner. [m]"""

UNDER_CEILING_M = 0.0254
"""A cleat is lifted on from above: an inch below the ceiling (common practice). [m]"""

CEILING_EDGE_M = 0.15
"""Kept free between a ceiling piece and the walls. [m]"""

SKIRTING_M = 0.12
"""Kept free above the floor. [m]"""

STEP_M = 0.1
"""How finely slanting edges are followed. [m]"""

TINY_M = 1e-6

GAP_M = 0.05
"""Between neighbours: room for a hand and for a tape's error. [m]"""


def zones(job: Job, face: Face) -> tuple[Rectangle, ...]:
    """What must stay free on a face, clearances included. [m]"""
    patches = [patch.zone for patch in job.patches if patch.face == face.name]
    kept = [zone.zone for zone in job.keep_clear if zone.face == face.name]
    return (*patches, *kept)


def usable(face: Face, kept: tuple[Rectangle, ...], place: Rectangle) -> bool:
    """Whether a rectangle lies on the face, off its edges, and touches nothing that must stay
    free."""
    side = EDGE_M if face.kind == "wall" else CEILING_EDGE_M
    low, high = (SKIRTING_M, UNDER_CEILING_M) if face.kind == "wall" else (side, side)
    reach = Rectangle(
        place.u_m - side + TINY_M,
        place.v_m - low + TINY_M,
        place.width_m + 2 * side - 2 * TINY_M,
        place.height_m + low + high - 2 * TINY_M,
    )
    return face.holds(reach) and not any(zone.overlap_m2(place) > TINY_M for zone in kept)


def free_spans(
    face: Face, kept: tuple[Rectangle, ...], v_m: float, height_m: float
) -> tuple[tuple[float, float], ...]:
    """Stretches along u where a strip from `v_m` up by `height_m` is free from end to end.

    Parameters
    ----------
    face : Face
    kept : tuple of Rectangle
        What must stay free. [m]
    v_m, height_m : float
        [m]

    Returns
    -------
    tuple of (start, end)
        From left to right. [m]
    """
    edge = EDGE_M if face.kind == "wall" else CEILING_EDGE_M
    cuts = {u + shift for u, _ in face.outline for shift in (-edge, edge)}
    cuts |= {u for zone in kept for u in (zone.u_m, zone.right_m)}
    if _slanting(face):
        cuts |= {STEP_M * i for i in range(int(face.width_m / STEP_M) + 1)}
    inside = sorted(cut for cut in cuts if edge - TINY_M <= cut <= face.width_m - edge + TINY_M)
    found: list[tuple[float, float]] = []
    for start, end in pairwise(inside):
        if end - start < TINY_M or not _free(
            face, kept, Rectangle(start, v_m, end - start, height_m), edge
        ):
            continue
        if found and start - found[-1][1] < TINY_M:
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return tuple(found)


def _free(face: Face, kept: tuple[Rectangle, ...], strip: Rectangle, edge: float) -> bool:
    off = [strip.v_m - zone.top_m >= -TINY_M or zone.v_m - strip.top_m >= -TINY_M for zone in kept]
    beside = [
        zone.right_m - strip.u_m <= TINY_M or strip.right_m - zone.u_m <= TINY_M for zone in kept
    ]
    clear = all(a or b for a, b in zip(off, beside, strict=True))
    return clear and face.holds(
        Rectangle(strip.u_m - edge, strip.v_m, strip.width_m + 2 * edge, strip.height_m)
    )


def _slanting(face: Face) -> bool:
    ends = zip(face.outline, (*face.outline[1:], face.outline[0]), strict=True)
    return any(abs(u2 - u1) > TINY_M and abs(v2 - v1) > TINY_M for (u1, v1), (u2, v2) in ends)


def grid_m(job: Job) -> float:
    """What people mark places to: a whole inch, a whole centimetre. [m]"""
    return M_PER_IN if job.units == "imperial" else 0.01


def snapped(value_m: float, grid_m: float, low_m: float, high_m: float) -> float:
    """The nearest mark of the grid from `low_m` to `high_m`; where there is none, the value itself
    held between them. [m]

    >>> round(snapped(0.337, 0.01, 0.05, 1.0), 3), round(snapped(0.052, 0.01, 0.055, 1.0), 3)
    (0.34, 0.06)
    """
    first, last = ceil(low_m / grid_m - 1e-6), floor(high_m / grid_m + 1e-6)
    if first > last:
        return min(max(value_m, low_m), high_m)
    return min(max(round(value_m / grid_m), first), last) * grid_m
