"""From where to look, so that every piece is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import radians, tan

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Point
from roomcheck.scene.cover import Floats, hidden, shadows
from roomcheck.scene.facets import Facets, furniture_facets, hull_facets, surface_facets, together
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
    looked_at = _LookedAt.of(scene)
    return max(views, key=looked_at.shown)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _LookedAt:
    """What of a scene is the same from wherever one looks."""

    cover: Facets
    """All that may hide a piece."""
    owner: NDArray[np.int64]
    """Which piece each of them is the hull of; -1 for what is there anyway: (facets,)."""
    middles: Floats
    """Middle of each piece's front: (pieces, 3) [m]."""
    out: Floats
    """Where it faces, unit vectors: (pieces, 3) [1]."""
    samples: Floats
    """Places spread over it: (pieces, places, 3) [m]."""
    front_m2: Floats
    """Its area, that of a relief counted for more: (pieces,) [m2]."""
    walls: Floats
    """Middle of each wall, then its unit vector inwards: (walls, 2, 3) [m], [1]."""
    walls_m2: Floats
    """Their areas, those with openings counted for more: (walls,) [m2]."""

    @classmethod
    def of(cls, scene: Scene) -> _LookedAt:
        pairs = _with_shapes(scene)
        fixed = [surface_facets(scene.surfaces), furniture_facets(scene.furniture)]
        hulls = [hull_facets(piece, shape) for piece, shape in pairs]
        counts = [sum(map(len, fixed)), *map(len, hulls)]
        walls = [surface for surface in scene.surfaces if surface.kind == "wall"]
        front_m2 = [
            (_RELIEF if shape.relief else 1.0) * shape.width_m * shape.height_m
            for _, shape in pairs
        ]
        return cls(
            cover=together([*fixed, *hulls]),
            owner=np.repeat(np.arange(-1, len(hulls)), counts),
            middles=_vectors([_middle(piece, shape) for piece, shape in pairs]),
            out=_vectors([piece.axes.out for piece, _ in pairs]),
            samples=np.array([_samples(*pair) for pair in pairs]).reshape(-1, _SAMPLES**2, 3),
            front_m2=np.array(front_m2),
            walls=np.array([_wall(surface) for surface in walls], dtype=float).reshape(-1, 2, 3),
            walls_m2=np.array([_wall_m2(surface) for surface in walls]),
        )

    def shown(self, view: View) -> tuple[int, float, float]:
        """How many pieces are seen, and how much of their fronts and of the walls.
        ([1], [m2], [m2])"""
        cosine = _cosine(view, self.middles, self.out)
        hides = np.concatenate([cosine > 0, [True]])[self.owner]
        planes = shadows(view, self.cover.only(hides).facing(view))
        behind = hidden(self.samples.reshape(-1, 3), planes)
        share = 1 - behind.reshape(len(cosine), _SAMPLES**2).mean(axis=1)
        shown_m2 = float(np.sum((share * self.front_m2 * cosine)[cosine > 0]))
        to_walls = _cosine(view, self.walls[:, 0], self.walls[:, 1])
        walls_m2 = float(np.sum(self.walls_m2 * np.maximum(to_walls, 0.0)))
        return int(np.sum(share >= _SEEN)), round(shown_m2, 6), round(walls_m2, 6)


def _with_shapes(scene: Scene) -> list[tuple[Standing, Shape]]:
    shapes = {shape.piece: shape for shape in scene.shapes}
    return [(piece, shapes[piece.piece]) for piece in scene.pieces]


def _vectors(found: Sequence[Sequence[float]]) -> Floats:
    """Places or directions: (found, 3), none at all too."""
    return np.array(found, dtype=float).reshape(-1, 3)


def _cosine(view: View, places: Floats, out: Floats) -> Floats:
    """How far unit vectors at places are turned to the eye: (places,). [1]"""
    towards = view.towards_eye(places)
    along = np.einsum("ij,ij->i", towards, out)
    return np.asarray(along / np.linalg.norm(towards, axis=1))


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
    towards = view.towards_eye(np.array([_middle(piece, shape)]))[0]
    return float(towards @ np.array(piece.axes.out)) > 0


def _middle(piece: Standing, shape: Shape) -> Point:
    """The middle of a piece's front."""
    return piece.axes.to_room(shape.width_m / 2, shape.height_m / 2, shape.depth_m)


def _wall(surface: Surface) -> tuple[Sequence[float], Sequence[float]]:
    """A wall's middle, and where it faces."""
    us, vs = zip(*surface.outline, strict=True)
    return surface.axes.to_room(max(us) / 2, max(vs) / 2, 0.0), surface.axes.out


def _wall_m2(surface: Surface) -> float:
    """A wall's area, counted once more for each door and window. [m2]"""
    us, vs = zip(*surface.outline, strict=True)
    openings = sum(thing.kind in ("door", "window") for thing in surface.things)
    return float((1 + openings) * max(us) * max(vs))


def _samples(piece: Standing, shape: Shape) -> Floats:
    """Places spread over a piece's front: (places, 3). [m]"""
    shares = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    return np.array(
        [
            piece.axes.to_room(shape.width_m * x, shape.height_m * y, shape.depth_m)
            for x, y in product(shares, shares)
        ]
    )
