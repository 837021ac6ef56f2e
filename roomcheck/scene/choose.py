"""From where to look, so that every piece is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import radians, tan

import numpy as np

from roomcheck.geometry import Point
from roomcheck.scene.cover import Floats, hidden, shadows
from roomcheck.scene.facets import Facets, furniture_facets, hull_facets, surface_facets
from roomcheck.scene.results import Scene, Shape, Standing, Surface
from roomcheck.scene.view import View, look_at

HALF_ANGLE_DEG = 16.0
"""Half the angle under which the whole room is seen. [deg]"""
_AZIMUTHS_DEG = tuple(range(10, 370, 15))
"""Never along a wall of a square room: there its edges fall on each other. [deg]"""
_ELEVATIONS_DEG = (24, 34, 46)
_SAMPLES = 4
"""Places looked for on a front, each way."""
_SEEN = 0.3
"""Least share of a front that counts as seen. [1]"""
_RELIEF = 1.5
"""What a front of blocks counts against a flat one. [1]"""


def best_view(scene: Scene) -> View:
    """The view from outside and above that shows most: the walls on the near side are left out.

    As many pieces as possible are seen; among such views, the most of their fronts, those with a
    relief first; then the most of the walls, those with doors and windows first. Same scene, same
    view.
    """
    views = [
        view_of(scene, azimuth, elevation)
        for elevation, azimuth in product(_ELEVATIONS_DEG, _AZIMUTHS_DEG)
    ]
    fronts = [_Front.of(piece, shape) for piece, shape in _with_shapes(scene)]
    fixed = (surface_facets(scene.surfaces), furniture_facets(scene.furniture))
    return max(views, key=lambda view: _shown(scene, view, fronts, fixed))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Front:
    """What of a piece is the same from wherever one looks."""

    piece: Standing
    shape: Shape
    hull: Facets
    samples: Floats
    """Places spread over its front: (places, 3) [m]."""

    @classmethod
    def of(cls, piece: Standing, shape: Shape) -> _Front:
        return cls(
            piece=piece, shape=shape, hull=hull_facets(piece, shape), samples=_samples(piece, shape)
        )


def _with_shapes(scene: Scene) -> list[tuple[Standing, Shape]]:
    shapes = {shape.piece: shape for shape in scene.shapes}
    return [(piece, shapes[piece.piece]) for piece in scene.pieces]


def view_of(scene: Scene, azimuth_deg: float, elevation_deg: float) -> View:
    """The whole room from outside, from so far around and so high."""
    corners = room_corners(scene)
    low, high = corners.min(axis=0), corners.max(axis=0)
    radius_m = float(np.linalg.norm(high - low)) / 2
    return look_at(
        Point(*(float(x) for x in (low + high) / 2)),
        azimuth_deg=azimuth_deg,
        elevation_deg=elevation_deg,
        distance_m=radius_m / tan(radians(HALF_ANGLE_DEG)),
    )


def room_corners(scene: Scene) -> Floats:
    """Corners of all faces: (corners, 3). [m]"""
    return np.array(
        [surface.axes.to_room(u, v, 0.0) for surface in scene.surfaces for u, v in surface.outline],
        dtype=float,
    )


def shows_front(piece: Standing, shape: Shape, view: View) -> bool:
    """Whether a piece turns its front to the eye; one on a wall that is left out does not."""
    middle = piece.axes.to_room(shape.width_m / 2, shape.height_m / 2, shape.depth_m)
    towards = view.towards_eye(np.array([middle]))[0]
    return float(towards @ np.array(piece.axes.out)) > 0


def _shown(
    scene: Scene, view: View, fronts: Sequence[_Front], fixed: Sequence[Facets]
) -> tuple[int, float, float]:
    """How many pieces are seen, and how much of their fronts and of the walls. ([1], [m2], [m2])"""
    turned = [shows_front(one.piece, one.shape, view) for one in fronts]
    hulls = [one.hull for one, shows in zip(fronts, turned, strict=True) if shows]
    cover = [*fixed, *hulls]
    planes = np.concatenate([shadows(view, facets.facing(view)) for facets in cover])
    seen, shown_m2 = 0, 0.0
    for one, shows in zip(fronts, turned, strict=True):
        share = 1 - float(hidden(one.samples, planes).mean())
        seen += share >= _SEEN
        if shows:
            shown_m2 += share * _facing_m2(one.piece, one.shape, view)
    walls_m2 = sum(_wall_m2(surface, view) for surface in scene.surfaces)
    return seen, round(shown_m2, 6), round(walls_m2, 6)


def _wall_m2(surface: Surface, view: View) -> float:
    """Area of a wall as it is turned to the eye, those with something on them first. [m2]"""
    if surface.kind != "wall":
        return 0.0
    us, vs = zip(*surface.outline, strict=True)
    wide, high = max(us), max(vs)
    middle = surface.axes.to_room(wide / 2, high / 2, 0.0)
    towards = view.towards_eye(np.array([middle]))[0]
    cosine = float(towards @ np.array(surface.axes.out)) / float(np.linalg.norm(towards))
    openings = sum(thing.kind in ("door", "window") for thing in surface.things)
    return float((1 + openings) * max(cosine, 0.0) * wide * high)


def _samples(piece: Standing, shape: Shape) -> Floats:
    """Places spread over a piece's front: (places, 3). [m]"""
    shares = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    return np.array(
        [
            piece.axes.to_room(shape.width_m * x, shape.height_m * y, shape.depth_m)
            for x, y in product(shares, shares)
        ]
    )


def _facing_m2(piece: Standing, shape: Shape, view: View) -> float:
    """Area of a front as it is turned to the eye. [m2]"""
    middle = piece.axes.to_room(shape.width_m / 2, shape.height_m / 2, shape.depth_m)
    towards = view.towards_eye(np.array([middle]))[0]
    cosine = float(towards @ np.array(piece.axes.out)) / float(np.linalg.norm(towards))
    weight = _RELIEF if shape.relief else 1.0
    return weight * cosine * shape.width_m * shape.height_m
