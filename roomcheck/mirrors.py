"""Mirror images of a place in any room with a flat floor and ceiling, and the paths that they stand
for.

A path is followed back from the microphone: to the last image, to where that line meets the last
face, from there to the image before, and so on. It counts where every meeting place lies on its
face and every leg stays in the room.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face, Point, Rectangle, Room, distance_m

_TINY_M = 1e-3

MOST_KEPT = 512
"""Pairs of places whose paths are kept for whoever asks again."""


@dataclass(frozen=True)
class MirrorPath:
    """One way from a source to a microphone over one face or more."""

    faces: tuple[Face, ...]
    """In the order in which sound meets them."""
    points: tuple[Point, ...]
    """Where it meets each [m]."""
    length_m: float

    @property
    def order(self) -> int:
        return len(self.faces)

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(face.name for face in self.faces)

    @cached_property
    def mirror(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """The image of a source s is A s + b: (3, 3) [1], (3,) [m]."""
        A, b = np.eye(3), np.zeros(3)
        for face in self.faces:
            n = np.array(face.normal)
            turn = np.eye(3) - 2 * np.outer(n, n)
            A, b = turn @ A, turn @ b + 2 * n * float(n @ np.array(face.origin))
        return A, b


@lru_cache(maxsize=MOST_KEPT)
def mirror_paths(
    room: Room, source: Point, microphone: Point, order: int = 2
) -> tuple[MirrorPath, ...]:
    """Every mirrored path up to an order, the shortest first.

    Parameters
    ----------
    room : Room
        Any simple polygon with a height.
    source, microphone : Point
        Inside it. [m]
    order : int
        Most faces that a path may meet; at least 1.

    Returns
    -------
    tuple of MirrorPath
        Each image once, though two faces at a right angle reach it in either order.

    Raises
    ------
    ValueError
        `order` below 1.

    References
    ----------
    J. Borish, "Extension of the image model to arbitrary polyhedra", J. Acoust. Soc. Am. 75 (1984)
    1827, from memory: validity, proximity and visibility of images.
    """
    if order < 1:
        raise ValueError(f"order: {order}, needed 1 at least")
    found = [
        path
        for faces, images in _images(room, source, order)
        if (path := _path(room, faces, images, microphone))
    ]
    found.sort(key=lambda path: (path.order, path.length_m))
    kept: dict[tuple[int, ...], MirrorPath] = {}
    for path in found:
        A, b = path.mirror
        place = A @ np.array(source) + b
        kept.setdefault(tuple(int(v) for v in np.round(place / _TINY_M)), path)
    return tuple(sorted(kept.values(), key=lambda path: path.length_m))


def _images(
    room: Room, source: Point, order: int
) -> Iterator[tuple[tuple[Face, ...], tuple[Point, ...]]]:
    """Every sequence of faces with the images of the source in it, the source itself first."""
    open_ends: list[tuple[tuple[Face, ...], tuple[Point, ...]]] = [((), (source,))]
    for _ in range(order):
        longer = []
        for faces, images in open_ends:
            for face in room.faces:
                # An image behind a face sends nothing to it; one on it is itself.
                if face.to_face(images[-1])[2] > _TINY_M and (not faces or face is not faces[-1]):
                    longer.append(((*faces, face), (*images, face.mirror(images[-1]))))
        yield from longer
        open_ends = longer


def _path(
    room: Room, faces: tuple[Face, ...], images: tuple[Point, ...], microphone: Point
) -> MirrorPath | None:
    end, points = microphone, []
    for face, image in zip(reversed(faces), reversed(images), strict=False):
        place = meeting_place(face, image, end)
        if place is None or not seen(room, place, end):
            return None
        points.append(place)
        end = place
    if not seen(room, images[0], end):
        return None
    return MirrorPath(faces, tuple(reversed(points)), distance_m(images[-1], microphone))


def meeting_place(face: Face, image: Point, end: Point) -> Point | None:
    """Where the line from an image behind a face to a place before it goes through the face; None
    where it misses."""
    off_image, off_end = face.to_face(image)[2], face.to_face(end)[2]
    if off_end <= 0 or off_image >= 0:
        return None
    share = off_image / (off_image - off_end)
    place = Point(*(a + share * (b - a) for a, b in zip(image, end, strict=True)))
    u, v, _ = face.to_face(place)
    return (
        place if face.holds(Rectangle(u - _TINY_M, v - _TINY_M, 2 * _TINY_M, 2 * _TINY_M)) else None
    )


def seen(room: Room, start: Point, end: Point) -> bool:
    """Whether the straight line between two places stays inside the floor plan."""
    corners = room.corners
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        if _crosses((start.x, start.y), (end.x, end.y), a, b):
            return False
    return True


def _crosses(
    p: tuple[float, float], q: tuple[float, float], a: tuple[float, float], b: tuple[float, float]
) -> bool:
    def side(o: tuple[float, float], s: tuple[float, float], t: tuple[float, float]) -> float:
        return (s[0] - o[0]) * (t[1] - o[1]) - (s[1] - o[1]) * (t[0] - o[0])

    tiny = 1e-9
    across = (side(p, q, a) > tiny and side(p, q, b) < -tiny) or (
        side(p, q, a) < -tiny and side(p, q, b) > tiny
    )
    along = (side(a, b, p) > tiny and side(a, b, q) < -tiny) or (
        side(a, b, p) < -tiny and side(a, b, q) > tiny
    )
    return across and along
