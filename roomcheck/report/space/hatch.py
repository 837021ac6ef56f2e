"""Hatching: what a thing is made of, and how the one light falls on it, as parallel lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.report.space.paper import Paper
from roomcheck.scene import Facets, Look

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_LIGHT, _DARK = 0.72, 0.38
"""Cosine of the light's angle from which a face is light, and below which it is dark. [1]"""


@dataclass(frozen=True, slots=True)
class Hatching:
    """How a material is hatched."""

    turned_deg: float
    """From the longer side of a face [deg]."""
    light_pt: float | None
    """Between lines where light falls; None for no lines [pt]."""
    half_pt: float | None
    """Where it grazes [pt]."""
    dark_pt: float | None
    """Where none falls [pt]."""
    crossed: bool = False
    """Whether a second set crosses the first."""


HATCHINGS: dict[Look, Hatching] = {
    "wood": Hatching(0.0, None, 2.6, 1.5),
    "end grain": Hatching(0.0, None, 1.7, 1.1),
    "plywood": Hatching(0.0, 5.0, 3.0, 1.8),
    "cloth": Hatching(45.0, 4.4, 2.8, 1.7),
    "felt": Hatching(-45.0, 3.2, 2.2, 1.5),
    "wool": Hatching(45.0, 3.4, 2.6, 1.8, crossed=True),
}


def light_of(paper: Paper) -> Floats:
    """Unit vector to the light: over the left shoulder of who looks."""
    view = paper.view
    to_light = -0.62 * np.array(view.right) + 0.62 * np.array(view.up) - 0.48 * np.array(view.ahead)
    return np.asarray(to_light / np.linalg.norm(to_light))


def hatch(paper: Paper, facets: Facets, look: Look) -> Floats:
    """Lines over facets of one material that show their front.

    Returns
    -------
    (lines, 2, 3)
        Each in the plane of its facet, from edge to edge. [m]
    """
    how = HATCHINGS[look]
    lit = facets.normals @ light_of(paper)
    wanted = np.select(
        [lit >= _LIGHT, lit >= _DARK],
        [_gap(how.light_pt), _gap(how.half_pt)],
        default=_gap(how.dark_pt),
    )
    lines = _parallels(paper, facets, wanted, how.turned_deg)
    if not how.crossed:
        return lines
    return np.concatenate([lines, _parallels(paper, facets, wanted, how.turned_deg + 90)])


def _gap(pt: float | None) -> float:
    """Infinite where there is to be no line. [pt]"""
    return np.inf if pt is None else pt


def _parallels(paper: Paper, facets: Facets, gap_pt: Floats, turned_deg: float) -> Floats:
    """Lines across each facet that lie so far apart on paper: (lines, 2, 3). [m]"""
    along, across = _directions(facets, turned_deg)
    gap_m = gap_pt / _per_m(paper, facets.corners.mean(axis=1), along, across)
    reach = np.einsum("fki,fi->fk", facets.corners, across)
    first = np.ceil(reach.min(axis=1) / gap_m + 0.15)
    last = np.floor(reach.max(axis=1) / gap_m - 0.15)
    count = np.where(np.isfinite(gap_m), np.maximum(last - first + 1, 0), 0).astype(np.int64)
    facet = np.repeat(np.arange(len(facets)), count)
    within = np.arange(len(facet)) - np.repeat(np.cumsum(count) - count, count)
    level = (np.nan_to_num(first, posinf=0, neginf=0)[facet] + within) * gap_m[facet]
    return _clipped(facets.corners[facet], along[facet], across[facet], level)


def shade(paper: Paper, corners: Floats, normal: Floats, gap_pt: float, along: Floats) -> Floats:
    """Lines over one convex polygon.

    Parameters
    ----------
    corners : (corners, 3)
        [m]
    normal, along : (3,)
        Unit vectors out of its plane, and in it along the lines.

    Returns
    -------
    (lines, 2, 3)
        [m]
    """
    across = np.cross(normal, along)
    middle = corners.mean(axis=0)[None]
    gap_m = gap_pt / float(_per_m(paper, middle, along[None], across[None])[0])
    reach = corners @ across
    levels = gap_m * np.arange(np.ceil(reach.min() / gap_m), np.floor(reach.max() / gap_m) + 1)
    lines = len(levels)
    return _clipped(
        np.broadcast_to(corners, (lines, *corners.shape)),
        np.broadcast_to(along, (lines, 3)),
        np.broadcast_to(across, (lines, 3)),
        levels,
    )


def _directions(facets: Facets, turned_deg: float) -> tuple[Floats, Floats]:
    """Unit vectors along a facet's hatching and across it: (facets, 3) twice."""
    one = facets.corners[:, 1] - facets.corners[:, 0]
    other = facets.corners[:, 2] - facets.corners[:, 1]
    longer = np.linalg.norm(one, axis=1) >= np.linalg.norm(other, axis=1)
    base = np.where(longer[:, None], one, other)
    base = base / np.linalg.norm(base, axis=1, keepdims=True)
    side = np.cross(facets.normals, base)
    angle = np.radians(turned_deg)
    along = np.cos(angle) * base + np.sin(angle) * side
    return along, np.cross(facets.normals, along)


def _per_m(paper: Paper, middle: Floats, along: Floats, across: Floats) -> Floats:
    """Distance on paper of two lines that are a metre apart in space, at these places.
    [pt/m]"""
    tiny_m = 1e-3
    here = paper.place(middle)
    a = (paper.place(middle + tiny_m * along) - here) / tiny_m
    b = (paper.place(middle + tiny_m * across) - here) / tiny_m
    area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    return np.asarray(np.maximum(area / np.linalg.norm(a, axis=1), 1e-9))


def _clipped(corners: Floats, along: Floats, across: Floats, level: Floats) -> Floats:
    """The stretch of each line that lies in its facet: (lines, 2, 3). [m]"""
    start = np.einsum("lki,li->lk", corners, across) - level[:, None]
    end = np.roll(start, -1, axis=1)
    crosses = (start > 0) != (end > 0)
    share = start / np.where(crosses, start - end, 1.0)
    points = corners + share[..., None] * (np.roll(corners, -1, axis=1) - corners)
    where = np.einsum("lki,li->lk", points, along)
    rows = np.arange(len(corners))
    near = np.where(crosses, where, np.inf).argmin(axis=1)
    far = np.where(crosses, where, -np.inf).argmax(axis=1)
    lines = np.stack([points[rows, near], points[rows, far]], axis=1)
    return np.asarray(lines[crosses.any(axis=1)]) if len(lines) else lines
