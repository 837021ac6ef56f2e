"""A scene as flat convex pieces, for whatever has to know what hides what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Point
from roomcheck.scene.results import Axes, Body, Furniture, Shape, Standing, Surface
from roomcheck.scene.view import View

Floats = NDArray[np.float64]

_BOX = np.array(
    [
        [[0, 0, 0], [0, 0, 1], [0, 1, 1], [0, 1, 0]],
        [[1, 0, 0], [1, 1, 0], [1, 1, 1], [1, 0, 1]],
        [[0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1]],
        [[0, 1, 0], [0, 1, 1], [1, 1, 1], [1, 1, 0]],
        [[0, 0, 0], [0, 1, 0], [1, 1, 0], [1, 0, 0]],
        [[0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]],
    ],
    dtype=float,
)
"""Sides of a unit box: left, right, under, upper, back, front. (6, 4, 3)"""
_WEDGE = np.array(
    [
        [[0.5, 0, 0], [0, 0, 1], [0, 1, 1], [0.5, 1, 0]],
        [[0.5, 0, 0], [0.5, 1, 0], [1, 1, 1], [1, 0, 1]],
        [[0.5, 0, 0], [1, 0, 1], [0, 0, 1], [0, 0, 1]],
        [[0.5, 1, 0], [0, 1, 1], [1, 1, 1], [1, 1, 1]],
        [[0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]],
    ],
    dtype=float,
)
"""Sides of a unit wedge; its ends are triangles whose last corner stands twice. (5, 4, 3)"""


_ROOM = Axes(
    origin=Point(0.0, 0.0, 0.0), right=(1.0, 0.0, 0.0), up=(0.0, 1.0, 0.0), out=(0.0, 0.0, 1.0)
)
"""The room's own frame."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facets:
    """Flat convex pieces, each seen from the side that its normal points to."""

    corners: Floats
    """(facets, 4, 3); a triangle has its last corner twice [m]."""
    normals: Floats
    """(facets, 3), unit vectors."""
    body: NDArray[np.int64]
    """Which body of its piece each belongs to: (facets,)."""
    side: NDArray[np.int64]
    """Which side of the body: (facets,)."""

    def __len__(self) -> int:
        return len(self.corners)

    def facing(self, view: View) -> Facets:
        """Those that show their front to the eye."""
        middle = self.corners.mean(axis=1)
        seen = np.einsum("fi,fi->f", view.towards_eye(middle), self.normals) > 1e-9
        return self.only(seen)

    def only(self, chosen: NDArray[np.bool_]) -> Facets:
        return Facets(
            corners=self.corners[chosen],
            normals=self.normals[chosen],
            body=self.body[chosen],
            side=self.side[chosen],
        )


def together(parts: Sequence[Facets]) -> Facets:
    """The facets of several things in one row."""
    return Facets(
        corners=np.concatenate([part.corners for part in parts]),
        normals=np.concatenate([part.normals for part in parts]),
        body=np.concatenate([part.body for part in parts]),
        side=np.concatenate([part.side for part in parts]),
    )


def body_facets(bodies: Sequence[Body], axes: Axes, apart_m: Floats | None = None) -> Facets:
    """Sides of bodies that stand in one frame.

    Parameters
    ----------
    apart_m : (bodies, 3) or None
        By how much each is moved, in the frame. [m]
    """
    corners, normals, body, side = [], [], [], []
    turn = np.array(axes.all)
    for wedge, sides in ((False, _BOX), (True, _WEDGE)):
        chosen = [i for i, each in enumerate(bodies) if each.wedge is wedge]
        if not chosen:
            continue
        at = np.array([bodies[i].at_m for i in chosen])
        if apart_m is not None:
            at = at + apart_m[chosen]
        size = np.array([bodies[i].size_m for i in chosen])
        own = at[:, None, None, :] + size[:, None, None, :] * sides[None]
        middle = (at + size * sides.mean(axis=(0, 1)))[:, None, :]
        out = _outward(own, middle)
        corners.append(own.reshape(-1, 4, 3) @ turn + np.array(axes.origin))
        normals.append(out.reshape(-1, 3) @ turn)
        body.append(np.repeat(chosen, len(sides)))
        side.append(np.tile(np.arange(len(sides)), len(chosen)))
    if not corners:
        return no_facets()
    return Facets(
        corners=np.concatenate(corners),
        normals=np.concatenate(normals),
        body=np.concatenate(body),
        side=np.concatenate(side),
    )


def _outward(corners: Floats, middle: Floats) -> Floats:
    """Unit normals that point away from each body's middle: (bodies, sides, 3)."""
    normal = np.cross(corners[:, :, 2] - corners[:, :, 0], corners[:, :, 3] - corners[:, :, 1])
    flat = np.linalg.norm(normal, axis=-1) < 1e-15
    other = np.cross(corners[:, :, 1] - corners[:, :, 0], corners[:, :, 2] - corners[:, :, 0])
    normal = np.where(flat[..., None], other, normal)
    away = corners.mean(axis=2) - middle
    sign = np.sign(np.einsum("bsi,bsi->bs", normal, away))
    return np.asarray(normal * (sign / np.linalg.norm(normal, axis=-1))[..., None])


def no_facets() -> Facets:
    """None at all."""
    nothing = np.zeros(0, dtype=np.int64)
    return Facets(corners=np.zeros((0, 4, 3)), normals=np.zeros((0, 3)), body=nothing, side=nothing)


def piece_facets(piece: Standing, shape: Shape) -> Facets:
    """A piece as it is seen once it is made."""
    return body_facets(shape.outside, piece.axes)


def hull_facets(piece: Standing, shape: Shape) -> Facets:
    """The box round a piece."""
    size = (shape.width_m, shape.height_m, shape.depth_m)
    box = Body(part="", look="wood", at_m=(0.0, 0.0, 0.0), size_m=size)
    return body_facets((box,), piece.axes)


def furniture_facets(furniture: Sequence[Furniture]) -> Facets:
    """Sides of the boxes that stand for furniture."""
    boxes = [Body(part="", look="wood", at_m=one.at_m, size_m=one.size_m) for one in furniture]
    return body_facets(boxes, _ROOM)


def surface_facets(surfaces: Sequence[Surface]) -> Facets:
    """Faces of the room as triangles, each with its face's number as body."""
    corners, normals, body = [], [], []
    for number, surface in enumerate(surfaces):
        for triangle in triangles(surface.outline):
            places = [surface.axes.to_room(u, v, 0.0) for u, v in (*triangle, triangle[-1])]
            corners.append(places)
            normals.append(surface.axes.out)
            body.append(number)
    return Facets(
        corners=np.array(corners, dtype=float).reshape(-1, 4, 3),
        normals=np.array(normals, dtype=float).reshape(-1, 3),
        body=np.array(body, dtype=np.int64),
        side=np.zeros(len(body), dtype=np.int64),
    )


Corner = tuple[float, float]


def triangles(outline: Sequence[Corner]) -> list[tuple[Corner, Corner, Corner]]:
    """Cut a simple polygon into triangles, ear by ear.

    >>> len(triangles([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]))
    4

    References
    ----------
    G. H. Meisters, "Polygons have ears", American Mathematical Monthly 82 (1975) 648, from memory.
    """
    left = list(outline)
    if sum(_cross(left[0], a, b) for a, b in pairwise(left)) < 0:
        left.reverse()
    ears = []
    while len(left) > 3:
        i = next((i for i in range(len(left)) if _ear(left, i)), None)
        if i is None:  # what is left is flat
            break
        ears.append((left[i - 1], left[i], left[(i + 1) % len(left)]))
        del left[i]
    if len(left) == 3:
        ears.append((left[0], left[1], left[2]))
    return [ear for ear in ears if abs(_cross(*ear)) > 1e-12]


def _ear(corners: list[Corner], i: int) -> bool:
    """Whether a corner can be cut off; a corner on a straight side always can."""
    a, b, c = corners[i - 1], corners[i], corners[(i + 1) % len(corners)]
    area = _cross(a, b, c)
    if area < -1e-12:
        return False
    others = (p for p in corners if p not in (a, b, c))
    return area < 1e-12 or not any(_within(a, b, c, p) for p in others)


def _within(a: Corner, b: Corner, c: Corner, p: Corner) -> bool:
    """Whether a place lies in a triangle or on its edge."""
    return min(_cross(a, b, p), _cross(b, c, p), _cross(c, a, p)) >= -1e-12


def _cross(a: Corner, b: Corner, c: Corner) -> float:
    """Twice the area of a triangle, above 0 where it runs counter-clockwise. [m2]"""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
