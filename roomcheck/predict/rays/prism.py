"""Rays in a room of any simple floor plan, reflected wall by wall, each hit at the patch that is
really there.

What `bundles` does for a box by unfolding it, done step by step: from each region (one material on
one face) a bundle leaves after Lambert, from each source one in all directions, and every ray is
mirrored at whatever it meets first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Room
from roomcheck.predict.rays.bundles import Bundles, Fan, Hits, assembled, enough, even_ways, lambert
from roomcheck.predict.rays.furniture import classes_of
from roomcheck.predict.rays.images import FaceMap

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

_TINY_M = 1e-9
_MOST_WALLS = 10
"""So many walls scatter each for itself."""


def prism_bundles(
    room: Room,
    maps: tuple[FaceMap, ...],
    sources: Real,
    speed_m_s: float,
    seconds: float,
    furnished_row: int | None = None,
) -> Bundles:
    """Follow all rays of a prism.

    Parameters
    ----------
    room : Room
    maps : tuple of FaceMap
        In the order of `room.faces`.
    sources : (sources, 3)
        In the room's frame. [m]
    speed_m_s, seconds : float
        How fast and how long. [m/s], [s]
    furnished_row : int or None
        Of the floor that things stand on, as of `assembled`.
    """
    group = grouped(room)
    regions = sorted(
        {
            (group[i], row)
            for i, m in enumerate(maps)
            for row in {m.base, *(row for _, row in m.patches)}
        }
    )
    fans = [even_ways(sources), *(_from_region(maps, group, each) for each in regions)]
    table = np.full((max(group) + 1, max(row for _, row in regions) + 1), -1, dtype=np.intp)
    for at, (wall, row) in enumerate(regions):
        table[wall, row] = at
    start, way, _ = (np.concatenate(part) for part in zip(*fans, strict=True))
    ray, length, face, place = followed(room, start, way, speed_m_s * seconds)
    region = np.empty(len(ray), dtype=np.intp)
    for i, m in enumerate(maps):
        region[face == i] = table[group[i]][m.rows_at(place[face == i])]
    return assembled(
        Hits(ray=ray, before=_nth(ray), at_s=length / speed_m_s, region=region),
        [fan[2] for fan in fans],
        np.array([row for _, row in regions], dtype=np.intp),
        4 * room.volume_m3 / room.surface_m2 / speed_m_s,
        seconds,
        None if furnished_row is None else (furnished_row, classes_of(way)),
    )


def grouped(room: Room) -> list[int]:
    """Which faces are one for what they scatter: neighbouring walls of a room that has more than
    `_MOST_WALLS`. By face."""
    walls = [i for i, face in enumerate(room.faces) if face.kind == "wall"]
    group = list(range(len(room.faces)))
    if len(walls) > _MOST_WALLS:
        for k, i in enumerate(walls):
            group[i] = walls[k * _MOST_WALLS // len(walls) * len(walls) // _MOST_WALLS]
    number = {each: k for k, each in enumerate(dict.fromkeys(group))}
    return [number[each] for each in group]


def _nth(ray: Whole) -> Whole:
    """How often each ray was listed before, (hits,)."""
    order = np.argsort(ray, kind="stable")
    counts = np.bincount(ray)
    nth = np.empty_like(ray)
    nth[order] = np.arange(len(ray)) - np.repeat(np.cumsum(counts) - counts, counts)
    return nth


def followed(room: Room, start: Real, way: Real, reach_m: float) -> tuple[Whole, Real, Whole, Real]:
    """Mirror rays through the room until they are so long.

    Parameters
    ----------
    start, way : (rays, 3)
        Inside or on a face; unit vectors. [m]
    reach_m : float
        [m]

    Returns
    -------
    ray, length_m, face, place : (hits,), (hits,), (hits,), (hits, 3)
        Each hit: of which ray, how far along it, which of `room.faces`, and where.
    """
    planes = _Planes.of(room)
    live, place, way = np.arange(len(start)), start.copy(), way.copy()
    gone = np.zeros(len(start))
    found: list[tuple[Whole, Real, Whole, Real]] = []
    while len(live):
        ahead, face = planes.first_met(place, way)
        gone = gone + ahead
        on = gone < reach_m  # a ray that slips through a corner has an endless way ahead, and ends
        live, gone, face = live[on], gone[on], face[on]
        place = place[on] + ahead[on, None] * way[on]
        way = way[on]
        normal = planes.normals[face]
        way = way - 2 * (way * normal).sum(axis=1)[:, None] * normal
        found.append((live, gone, face, place))
    ray, length, faces, places = (np.concatenate(part) for part in zip(*found, strict=True))
    return ray, length, faces, places


@dataclass(frozen=True, slots=True, eq=False)
class _Planes:
    """All faces at once: unit normals, how far along them each plane lies, and where along u its
    face reaches."""

    normals: Real
    offsets: Real
    u_axes: Real
    u_starts: Real
    u_ends: Real

    @classmethod
    def of(cls, room: Room) -> _Planes:
        normals, origins, u_axes = (
            np.array([getattr(face, name) for face in room.faces])
            for name in ("normal", "origin", "u_axis")
        )
        starts = (u_axes * origins).sum(axis=1)
        wide = np.array([face.width_m if face.kind == "wall" else np.inf for face in room.faces])
        lowest = np.where(np.isinf(wide), -np.inf, starts)
        return cls(
            normals,
            (normals * origins).sum(axis=1),
            u_axes,
            lowest - _TINY_M,
            starts + wide + _TINY_M,
        )

    def first_met(self, place: Real, way: Real) -> tuple[Real, Whole]:
        """Length to what each ray meets first, and which face that is. (rays,) each"""
        toward = way @ self.normals.T
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (self.offsets - place @ self.normals.T) / toward
            u = place @ self.u_axes.T + t * (way @ self.u_axes.T)
            met = (toward < 0) & (t > -_TINY_M) & (u >= self.u_starts) & (u <= self.u_ends)
        ahead = np.where(met, np.maximum(t, 0.0), np.inf)
        face = np.argmin(ahead, axis=1)
        return ahead[np.arange(len(place)), face], face


def _from_region(maps: tuple[FaceMap, ...], group: list[int], region: tuple[int, int]) -> Fan:
    """Places spread evenly over a region, which may lie on several faces, and directions into the
    room after Lambert. Each face sends out the same number, weighed by its share of the area."""
    here, row = region
    on = [
        i
        for i, m in enumerate(maps)
        if group[i] == here and row in {m.base, *(r for _, r in m.patches)}
    ]
    fans = [_from_face(maps[i], i, row, len(on)) for i in on]
    areas = [area_m2 for *_, area_m2 in fans]
    starts, ways = (np.concatenate([fan[k] for fan in fans]) for k in (0, 1))
    most = max(sum(areas), 1e-9) / max(len(starts), 1)
    each = [np.full(len(s), area / max(len(s), 1) / most) for s, _, area in fans]
    return starts, ways, np.concatenate(each)


def _from_face(m: FaceMap, number: int, row: int, of: int) -> tuple[Real, Real, float]:
    """One of so many faces, by its number: places, directions, and about how large the material is there.
    [m], [1], [m2]"""
    face = m.face
    u_axis, v_axis, normal = (np.array(axis) for axis in (face.u_axis, face.v_axis, face.normal))
    outline = np.array(face.outline)
    low, size = outline.min(axis=0), np.ptp(outline, axis=0)

    def on_face(spread: Real) -> Real:
        uv = low + spread[:, :2] * size
        return np.asarray(np.array(face.origin) + uv[:, :1] * u_axis + uv[:, 1:] * v_axis)

    def inside(spread: Real) -> NDArray[np.bool_]:
        return np.asarray(
            within(outline, low + spread[:, :2] * size) & (m.rows_at(on_face(spread)) == row)
        )

    spread = enough(inside, number)[::of]
    flat, rise = lambert(spread)
    way = flat[:, :1] * u_axis + flat[:, 1:] * v_axis + rise[:, None] * normal
    patches_m2 = sum(place.area_m2 for place, r in m.patches if r == row)
    bare_m2 = face.area_m2 - sum(place.area_m2 for place, _ in m.patches)
    area_m2 = max(bare_m2, 0.0) + patches_m2 if row == m.base else patches_m2
    return on_face(spread), way, float(area_m2)


def within(outline: Real, points: Real) -> NDArray[np.bool_]:
    """Whether points lie inside a polygon, (points, 2) to (points,)."""
    x, y = points[:, 0], points[:, 1]
    odd = np.zeros(len(points), dtype=bool)
    for (x1, y1), (x2, y2) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        if y1 != y2:
            odd ^= ((y1 > y) != (y2 > y)) & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
    return odd
