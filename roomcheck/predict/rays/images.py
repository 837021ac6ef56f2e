"""Image sources in a box, each followed back to the very patches that its path meets.

The path from a microphone to an image is a straight line through mirrored rooms. Where it crosses a
mirrored wall it meets the face at one place, and the material that is really there: wall, window or
panel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import combinations, product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face, Point, Rectangle, Room
from roomcheck.predict.rays.furniture import classes_of
from roomcheck.predict.rays.kept import Floats, Follow, Hits

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

ALONG_AXIS = 0.985
"""Cosine from which a path runs along an axis: between two bare walls such a one outlives all
others. [1]"""
ONE_IN = 8
"""Of the other long paths so many are stood for by one."""
MOST_PAIRS = 6
"""Source-microphone pairs whose images are followed; more hardly move their mean."""
MOST_KNOWN = 96
"""Rectangles of which every pair keeps which paths meet them: as many as plans near by hang."""

Side = tuple[int, int]
"""Axis across which a box's face lies, and 0 for the one at the lower coordinate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceMap:
    """Which material is where on one face."""

    face: Face
    base: int
    """Row of the face's own material."""
    patches: tuple[tuple[Rectangle, int], ...]
    """What lies on it and its row; the first that holds a place counts."""

    def rows_at(self, points: Real) -> Whole:
        """Material row at places on the face, (hits, 3) in the room's frame [m] to (hits,)."""
        away = points - np.array(self.face.origin)
        return self.rows_on(away @ np.array(self.face.u_axis), away @ np.array(self.face.v_axis))

    def rows_on(self, u: Floats, v: Floats) -> Whole:
        """Material row at places in the face's own frame, (hits,) each [m], to (hits,)."""
        rows = np.full(len(u), self.base, dtype=np.intp)
        for place, row in reversed(self.patches):
            inside = (u >= place.u_m) & (u <= place.right_m) & (v >= place.v_m) & (v <= place.top_m)
            rows[inside] = row
        return rows


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Paths:
    """Every mirrored path between one source and one microphone, up to a length."""

    length_m: Real
    """(paths,) [m]."""
    meets: Real
    """(paths, materials): how often each path meets each material."""
    stands_for: Real
    """(paths,): how many mirrored paths each stands for; 1 as far as all are followed [1]."""
    level: Whole
    """(paths,): class of how level each runs (`furniture`)."""


def paths(
    room: Room,
    maps: dict[tuple[int, int], FaceMap],
    rows: int,
    ends: tuple[Point, Point],
    reach_m: float,
    sampled_m: float = 0.0,
) -> Paths:
    """All paths of a box up to `reach_m`, and a sample of the longer ones up to `sampled_m`.

    Parameters
    ----------
    room : Room
        A box.
    maps : dict
        (axis, side) to the face's map; side 0 is the one at the lower coordinate.
    rows : int
        How many materials there are.
    ends : (source, microphone)
        [m]
    reach_m, sampled_m : float
        [m]

    Returns
    -------
    Paths
    """
    known = unfolded(room, *ends, (reach_m, sampled_m))
    meets = np.zeros((len(known.length_m), rows))
    for side, count in known.counts.items():
        m = maps[side]
        if not _apart(tuple(place for place, _ in m.patches)):
            known.add_hits(side, m, meets)
            continue
        meets[:, m.base] += count
        for place, row in m.patches:
            path, hits = known.inside(side, place)
            meets[path, row] += hits
            meets[path, m.base] -= hits
    return Paths(
        length_m=known.length_m, meets=meets, stands_for=known.stands_for, level=known.level
    )


@lru_cache(maxsize=64)
def _apart(places: tuple[Rectangle, ...]) -> bool:
    """Whether no two of them share a place, edges counted."""
    return not any(
        max(a.u_m, b.u_m) <= min(a.right_m, b.right_m)
        and max(a.v_m, b.v_m) <= min(a.top_m, b.top_m)
        for a, b in combinations(places, 2)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unfolded:
    """What no plan changes of the paths between one source and one microphone."""

    length_m: Real
    """(paths,) [m]."""
    stands_for: Real
    """(paths,): how many mirrored paths each stands for [1]."""
    level: Whole
    """(paths,): class of how level each runs (`furniture`)."""
    counts: dict[Side, NDArray[np.int16]]
    """By face, how often each path meets it, (paths,)."""
    places_m: dict[Side, tuple[Real, Real]]
    """By face, where, path by path in the face's own frame, u and v, (hits,) each [m]."""
    known: dict[tuple[Side, Rectangle], tuple[Whole, NDArray[np.int16]]] = field(
        default_factory=dict
    )
    """What `inside` found last, `MOST_KNOWN` at most."""

    def inside(self, side: Side, place: Rectangle) -> tuple[Whole, NDArray[np.int16]]:
        """Which paths meet a rectangle on a face, and how often. (some,) each"""
        key = (side, place)
        if key not in self.known:
            if len(self.known) >= MOST_KNOWN:
                del self.known[next(iter(self.known))]
            (u, v), count = self.places_m[side], self.counts[side]
            held = (u >= place.u_m) & (u <= place.right_m) & (v >= place.v_m) & (v <= place.top_m)
            line = np.searchsorted(np.cumsum(count), np.flatnonzero(held), side="right")
            path, hits = np.unique(line, return_counts=True)
            self.known[key] = path, hits.astype(np.int16)
        return self.known[key]

    def add_hits(self, side: Side, m: FaceMap, meets: Real) -> None:
        """Add how often each path meets each material of a face, hit by hit. (paths, materials)"""
        cell = np.repeat(np.arange(len(meets)) * meets.shape[1], self.counts[side])
        cell += m.rows_on(*self.places_m[side])
        meets += np.bincount(cell, minlength=meets.size).reshape(meets.shape)


def _in_face(face: Face, axis: int, place: Real, corner: Real) -> Iterator[Real]:
    """Places on a box's face in its own frame, u then v, (hits,) each. [m]

    Parameters
    ----------
    place : (2, hits)
        In the box's frame, along the two axes that follow the face's. [m]
    """
    for own in (face.u_axis, face.v_axis):
        along = int(np.argmax(np.abs(own)))
        x = place[(along - axis) % 3 - 1] + corner[along]
        x -= face.origin[along]
        x *= own[along]
        yield x


@lru_cache(maxsize=MOST_PAIRS)
def unfolded(
    room: Room, source: Point, microphone: Point, reaches_m: tuple[float, float]
) -> Unfolded:
    """Follow all paths of a box up to a length, and a sample of the longer ones; each pair once."""
    box, corner = box_sides(room), lower_corner(room)
    start, end = (np.array(place) - corner for place in (source, microphone))
    index, image = _lattice(box, start, end, max(reaches_m))
    kept, stands_for = _sampled(image - end, reaches_m[0])
    index, image = index[kept], image[kept]
    faces = {side_of(face): face for face in room.faces}
    counts, places_m = {}, {}
    for axis in range(3):
        crossed = crossings(box, axis, index[:, axis], end, image)
        across = [(axis + 1) % 3, (axis + 2) % 3]
        for side in range(2):
            here = crossed.side == side
            count = np.bincount(crossed.line[here], minlength=len(image))
            place = np.stack([crossed.folded_m[here, i] for i in across])
            u, v = _in_face(faces[axis, side], axis, place, corner)
            counts[axis, side], places_m[axis, side] = count.astype(np.int16), (u, v)
    return Unfolded(
        length_m=np.linalg.norm(image - end, axis=1),
        stands_for=stands_for,
        level=classes_of(image - end),
        counts=counts,
        places_m=places_m,
    )


def _sampled(way: Real, reach_m: float) -> tuple[Whole, Real]:
    """Which paths are followed, and how many each stands for: all up to `reach_m`, then those along
    an axis and, in order of length, one in `ONE_IN` of the others."""
    length = np.linalg.norm(way, axis=1)
    every = (length <= reach_m) | (np.abs(way).max(axis=1) >= ALONG_AXIS * length)
    others = np.flatnonzero(~every)
    some = others[np.argsort(length[others])][ONE_IN // 2 :: ONE_IN]
    whole = np.flatnonzero(every)
    stands_for = np.concatenate([np.ones(len(whole)), np.full(len(some), float(ONE_IN))])
    return np.concatenate([whole, some]), stands_for


_AT_ONCE = 512
"""So many rays are unfolded at a time, which bounds the memory."""


def follow_in_box(room: Room) -> Follow:
    """How rays run in a box: straight through mirrored rooms, so that all their hits are known at
    once. Places are in the room's frame. [m]"""
    sides, corner = box_sides(room), lower_corner(room)
    number = {side_of(face): i for i, face in enumerate(room.faces)}

    def follow(start: Real, way: Real, reach_m: float) -> Hits:
        start = start - corner
        index = np.floor((start + way * reach_m) / sides).astype(np.intp)
        count = int(np.abs(index).sum())
        ray, before, face = (np.empty(count, dtype=np.int32) for _ in range(3))
        length, u, v = (np.empty(count) for _ in range(3))
        last = 0
        for axis, first in product(range(3), range(0, len(start), _AT_ONCE)):
            some = slice(first, first + _AT_ONCE)
            # The way itself, not the end, so that it does not matter how far a ray is followed.
            ends = start[some] + way[some]
            crossed = crossings(sides, axis, index[some, axis], start[some], ends)
            new = slice(last, last := last + len(crossed.line))
            ray[new], before[new] = crossed.line + first, crossed.before
            length[new] = crossed.length_m
            across = [(axis + 1) % 3, (axis + 2) % 3]
            for side in range(2):
                here = np.flatnonzero(crossed.side == side)
                at = number[axis, side]
                face[new][here] = at
                place = crossed.folded_m[here][:, across].T
                u[new][here], v[new][here] = _in_face(room.faces[at], axis, place, corner)
        return Hits(ray=ray, before=before, length_m=length, face=face, u_m=u, v_m=v)

    return follow


def lower_corner(room: Room) -> Real:
    """The corner where the box's own frame begins. (3,) [m]"""
    return np.array([min(x for x, _ in room.corners), min(y for _, y in room.corners), 0.0])


def box_sides(room: Room) -> Real:
    """Length, width, height of a box. (3,) [m]"""
    xs, ys = [x for x, _ in room.corners], [y for _, y in room.corners]
    return np.array([max(xs) - min(xs), max(ys) - min(ys), room.height_m])


def side_of(face: Face) -> tuple[int, int]:
    """Axis across which a box's face lies, and 0 for the one at the lower coordinate."""
    axis = int(np.argmax(np.abs(face.normal)))
    return axis, 0 if face.normal[axis] > 0 else 1


def _lattice(sides: Real, source: Real, microphone: Real, reach_m: float) -> tuple[Whole, Real]:
    """Indices and places of all images within reach: index n is met after |n| reflections across
    that axis."""
    each = []
    for L, s in zip(sides, source, strict=True):
        along = np.arange(-int(reach_m / L) - 2, int(reach_m / L) + 3)
        each.append((along, along * L + np.where(along % 2 == 0, s, L - s)))
    n = np.stack(np.meshgrid(*(e[0] for e in each), indexing="ij"), axis=-1).reshape(-1, 3)
    image = np.stack(np.meshgrid(*(e[1] for e in each), indexing="ij"), axis=-1).reshape(-1, 3)
    near = np.linalg.norm(image - microphone, axis=1) <= reach_m
    return n[near], image[near]


class Crossings(NamedTuple):
    """Every crossing of a mirrored wall across one axis, line by line."""

    line: Whole
    """(crossings,): which line."""
    side: Whole
    """(crossings,): 0 for the wall at the lower coordinate."""
    length_m: Real
    """(crossings,): along the line until then [m]."""
    before: Whole
    """(crossings,): how many the line had until then, across all axes."""
    folded_m: Real
    """(crossings, 3): place, folded back into the room [m]."""


def crossings(sides: Real, axis: int, index: Whole, start: Real, end: Real) -> Crossings:
    """Every crossing of a mirrored wall across one axis, line by line.

    Parameters
    ----------
    sides : (3,)
        [m]
    axis : int
    index : (lines,)
        Which mirrored room along that axis each line ends in; the room itself is 0.
    start, end : (lines, 3) or (3,)
        `start` lies in the room. [m]
    """
    count = np.abs(index)
    line = np.repeat(np.arange(len(index)), count)
    before = np.arange(len(line)) - np.repeat(np.cumsum(count) - count, count)
    # Going up the planes are 1, 2, …, n; going down 0, -1, …, n + 1.
    plane = np.where(np.repeat(index > 0, count), before + 1, -before)
    start = np.broadcast_to(start, end.shape)
    way = end - start
    part = (plane * sides[axis] - np.repeat(start[:, axis], count)) / np.repeat(way[:, axis], count)
    folded = np.empty((len(line), 3))
    for other in ((axis + 1) % 3, (axis + 2) % 3):
        place = np.repeat(start[:, other], count) + part * np.repeat(way[:, other], count)
        room = np.floor(place / sides[other])
        inside = place - room * sides[other]
        mirrored = 2 * np.floor(room / 2) != room
        folded[:, other] = np.where(mirrored, sides[other] - inside, inside)
        before += np.abs(room).astype(np.intp)
    side = plane % 2
    folded[:, axis] = side * sides[axis]
    length = part * np.repeat(np.linalg.norm(way, axis=1), count)
    return Crossings(line, side, length, before, folded)
