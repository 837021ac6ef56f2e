"""Rays in a room of any simple floor plan, reflected wall by wall, each hit at the patch that is
really there.

What unfolding does for a box, done step by step: every ray is mirrored at whatever it meets first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Room
from roomcheck.predict.rays.kept import Follow, Hits

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

_TINY_M = 1e-9
_MOST_WALLS = 10
"""So many walls scatter each for itself."""


def follow_in_prism(room: Room) -> Follow:
    """How rays run in a room of any floor plan, mirrored wall by wall. [m]"""
    frames = [np.array([face.origin, face.u_axis, face.v_axis], dtype=float) for face in room.faces]

    def follow(start: Real, way: Real, reach_m: float) -> Hits:
        ray, length, face, place = followed(room, start, way, reach_m)
        origin, u_axis, v_axis = np.stack(frames)[face].transpose(1, 0, 2)
        away = place - origin
        return Hits(
            ray=ray,
            before=_nth(ray),
            length_m=length,
            face=face,
            u_m=(away * u_axis).sum(axis=1),
            v_m=(away * v_axis).sum(axis=1),
        )

    return follow


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
        # Term by term: a product of matrices rounds as its size has it, and a ray must run the same
        # way whatever is followed beside it.
        toward = _dot(way, self.normals)
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (self.offsets - _dot(place, self.normals)) / toward
            u = _dot(place, self.u_axes) + t * _dot(way, self.u_axes)
            met = (toward < 0) & (t > -_TINY_M) & (u >= self.u_starts) & (u <= self.u_ends)
        ahead = np.where(met, np.maximum(t, 0.0), np.inf)
        face = np.argmin(ahead, axis=1)
        return ahead[np.arange(len(place)), face], face


def _dot(rays: Real, axes: Real) -> Real:
    """Of every ray with every axis, (rays, 3) and (axes, 3) to (rays, axes)."""
    found = rays[:, :1] * axes[:, 0]
    for i in (1, 2):
        found += rays[:, i : i + 1] * axes[:, i]
    return np.asarray(found)


def within(outline: Real, points: Real) -> NDArray[np.bool_]:
    """Whether points lie inside a polygon, (points, 2) to (points,)."""
    x, y = points[:, 0], points[:, 1]
    odd = np.zeros(len(points), dtype=bool)
    for (x1, y1), (x2, y2) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        if y1 != y2:
            odd ^= ((y1 > y) != (y2 > y)) & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
    return odd
