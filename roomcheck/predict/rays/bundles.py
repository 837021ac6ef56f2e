"""How energy dies in a room patch by patch: bundles of mirrored rays, joined where they scatter.

As in `transport`, energy runs mirrored between scattering events and each scattering starts it
afresh; but here every hit meets the patch that is there. That matters: sound that runs nearly level
at the height of bare wall meets a row of panels below it seldom, for long, and a mean coefficient
would have it die too fast.

A region is one material on one face. From each region a bundle of rays leaves after Lambert, from
each source one in all directions. Rays and places are a fixed low-discrepancy set, each followed
once a room (`kept`): nothing is random.

Where little is scattered, what is left after a while runs nearly along one axis of the room,
between two bare faces. So the sources' rays lie denser towards the axes, each weighted down by as
much.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Room
from roomcheck.predict.rays.furniture import LEVELS, classes_of
from roomcheck.predict.rays.images import FaceMap
from roomcheck.predict.rays.kept import Asked, Floats, Kept, Numbers, Short
from roomcheck.predict.rays.prism import grouped, within
from roomcheck.predict.rays.transport import renewed

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

_RAYS = 256
"""From each region."""
_FROM_SOURCES = 15
"""The sources together send out so many times as many: where little is scattered, few directions
carry all that is left."""
_STEPS_PER_PATH = 2.5
_NOTHING = 1e-5
"""What is left of a ray that is followed no further: what is read of a decay ends at -25 dB. [1]"""
_WORTH_SORTING = 0.9
"""Share of the rays still followed below which the others are sorted out. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bundles:
    """Every hit of every ray, in order."""

    step_s: float
    """Time step [s]."""
    steps: int
    """Number of time steps."""
    region_rows: Whole
    """(regions,): material of each region; a furnished floor's again for each class of rays."""
    sender: Whole
    """(regions,): which bundle what is scattered there joins, the sources' not counted."""
    still: Whole
    """(most hits,): how many rays meet anything so often; first come all first hits, then all
    second ones, …, the rays that meet most in front."""
    region: Numbers
    """(hits,): what is hit."""
    cell: Numbers
    """(hits,): flat index of time step, bundle and region; one past the last where it is later."""
    weight: Real
    """(rays,): of each, in that order [1]."""
    rays: Real
    """(regions + 1,): weight of each bundle; the first is the sources' [1]."""

    @property
    def times_s(self) -> Real:
        return np.asarray(self.step_s * np.arange(self.steps), dtype=float)

    def energy(self, alpha: Real, scatter: Real) -> tuple[Real, Real]:
        """Energy left of one unit from the sources, air and furniture not counted.

        Parameters
        ----------
        alpha, scatter : (regions,)
            0 to 1. [1]

        Returns
        -------
        mirrored, scattered : (steps,)
            What has never been scattered, and what has. [1]
        """
        R, G = len(self.region_rows), len(self.rays) - 1
        keep = (1 - alpha) * (1 - scatter)
        cell, before = self._worth_counting(keep)
        size = self.steps * (G + 1) * R
        met = np.bincount(cell, before, size + 1)[:size].reshape(self.steps, G + 1, R)
        rays = self.rays[:, None]
        hits = np.divide(
            met, rays, out=np.zeros_like(met), where=rays > 0
        )  # none starts where patches hide a face
        left = np.maximum(
            1 - np.cumsum(hits @ (1 - keep), axis=0), 0.0
        )  # rounding may leave -1e-16
        sent = hits * ((1 - alpha) * scatter)
        for more in range(G, R):
            sent[..., self.sender[more]] += sent[..., more]
        sent = sent[..., :G]
        return left[:, 0], renewed(sent[:, 0], sent[:, 1:], left[:, 1:])

    def _worth_counting(self, keep: Real) -> tuple[Numbers, Real]:
        """Cell of every hit and what the ray brings there, ray by ray until next to nothing is
        left. (hits,) each

        Parameters
        ----------
        keep : (regions,)
            What each mirrors. [1]
        """
        live, power, first = np.arange(self.still[0]), self.weight[: self.still[0]], 0
        cells, powers = [], []
        for count in self.still.tolist():
            still = int(np.searchsorted(live, count))
            if not still:
                break
            live, power = live[:still], power[:still]
            at = live + first
            kept = keep[self.region[at]]
            after = power * kept
            going = after > _NOTHING
            if np.count_nonzero(going) < _WORTH_SORTING * still:
                # What is left of the others is lost or scattered there, in the same parts.
                power = power.copy()
                power[~going] /= 1 - kept[~going]
                live, after = live[going], after[going]
            cells.append(self.cell[at])
            powers.append(power)
            power = after
            first += count
        return np.concatenate(cells), np.concatenate(powers)


def bundles(
    room: Room,
    maps: tuple[FaceMap, ...],
    sources: Real,
    kept: Kept,
    speed_m_s: float,
    seconds: float,
    furnished_row: int | None = None,
) -> Bundles:
    """Rays from the sources and from every region of a room, and what they meet.

    Parameters
    ----------
    room : Room
    maps : tuple of FaceMap
        In the order of the room's faces.
    sources : (sources, 3)
        In the room's frame. [m]
    kept : Kept
        Rays that were followed in this room before, with these sources.
    speed_m_s, seconds : float
        How fast and how long. [m/s], [s]
    furnished_row : int or None
        Of the floor that things stand on (`furniture`): the rows after it are of the same floor in
        the classes of rays after the first.
    """
    group = grouped(room)
    regions = sorted(
        {
            (group[i], row)
            for i, m in enumerate(maps)
            for row in {m.base, *(row for _, row in m.patches)}
        }
    )
    fans = [_from_sources(sources), *(_from_region(maps, group, r) for r in regions)]
    table = np.full((len(maps), max(row for _, row in regions) + 1), -1, dtype=np.intp)
    for at, (first, row) in enumerate(regions):
        table[[i for i, g in enumerate(group) if g == first], row] = at
    step = 4 * room.volume_m3 / room.surface_m2 / speed_m_s / _STEPS_PER_PATH
    kept.reaching(speed_m_s * seconds)
    slots = kept.slots([asked for fan in fans for asked in fan.asked])
    return _assembled(
        kept,
        np.concatenate(slots),
        [fan.weights for fan in fans],
        _Meeting(
            maps=maps,
            table=table,
            rows=np.array([row for _, row in regions], dtype=np.intp),
            furnished=None
            if furnished_row is None
            else (furnished_row, np.concatenate([fan.level for fan in fans])),
        ),
        (step, speed_m_s, seconds),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Meeting:
    """Which region is where."""

    maps: tuple[FaceMap, ...]
    table: Whole
    """(faces, rows): region of each material on each face."""
    rows: Whole
    """(regions,): material of each."""
    furnished: tuple[int, Whole] | None
    """Row of the floor that things stand on, and the class of each ray, (rays,)."""

    def regions_at(self, face: Short, u_m: Floats, v_m: Floats) -> Numbers:
        """What lies at places on faces. (hits,)"""
        found = np.empty(len(face), dtype=np.int32)
        for i, m in enumerate(self.maps):
            here = np.flatnonzero(face == i)
            found[here] = self.table[i][m.rows_on(u_m[here], v_m[here])]
        return found


def _assembled(
    kept: Kept,
    slots: Whole,
    weights: list[Real],
    meeting: _Meeting,
    steps_speed_and_time: tuple[float, float, float],
) -> Bundles:
    """Bundles of these rays, in the order of `weights`, one array a bundle, the sources' first."""
    step, speed_m_s, seconds = steps_speed_and_time
    G = len(meeting.rows)
    bundle = np.repeat(np.arange(G + 1), [len(each) for each in weights])
    counts = kept.counts(slots, speed_m_s * seconds)
    longest = np.argsort(-counts, kind="stable")
    slots, bundle, counts = slots[longest], bundle[longest], counts[longest]
    still = np.searchsorted(-counts, -np.arange(counts.max(initial=0)), side="left")
    # Hit by hit: which ray, and where that hit of it is kept. Short numbers: there are millions.
    total = int(still.sum())
    ray = np.arange(total, dtype=np.int32)
    ray -= np.repeat((np.cumsum(still) - still).astype(np.int32), still)
    at = kept.first[slots].astype(np.int32)[ray]
    at += np.repeat(np.arange(len(still), dtype=np.int32), still)
    region = meeting.regions_at(kept.face[at], kept.u_m[at], kept.v_m[at])
    level = None if meeting.furnished is None else meeting.furnished[1][longest]
    region, rows, sender = _by_class(region, ray, meeting, level)
    R, steps = len(rows), int(seconds / step) + 1
    cell = np.rint(kept.length_m[at] / np.float32(speed_m_s * step)).astype(np.int32)
    cell *= G + 1
    cell += bundle.astype(np.int32)[ray]
    cell *= R
    cell += region
    np.minimum(cell, steps * (G + 1) * R, out=cell)
    return Bundles(
        step_s=step,
        steps=steps,
        region_rows=rows,
        sender=sender,
        still=still,
        region=region,
        cell=cell,
        weight=np.concatenate(weights)[longest],
        rays=np.array([each.sum() for each in weights]),
    )


def _by_class(
    region: Numbers, ray: Numbers, meeting: _Meeting, level: Whole | None
) -> tuple[Numbers, Whole, Whole]:
    """What each hit meets, a furnished floor once for each class of rays, (rays,); row and bundle
    of each of these. (hits,), (regions,), (regions,)"""
    rows = meeting.rows
    sender = np.arange(len(rows))
    if meeting.furnished is None or level is None or meeting.furnished[0] not in rows:
        return region, rows, sender
    row = meeting.furnished[0]
    floor, more = int(np.flatnonzero(rows == row)[0]), np.arange(len(LEVELS))
    on = np.flatnonzero(region == floor)
    steep = level[ray[on]]
    region[on] = np.where(steep > 0, len(rows) - 1 + steep, floor)
    return (
        region,
        np.concatenate([rows, row + 1 + more]),
        np.concatenate([sender, np.full(len(more), floor)]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fan:
    """Rays that leave together."""

    asked: tuple[Asked, ...]
    """One for each face that they leave."""
    weights: Real
    """(rays,) [1]."""

    @property
    def level(self) -> Whole:
        """Class of each by how level it runs (`furniture`). (rays,)"""
        return np.concatenate([classes_of(asked.way) for asked in self.asked])


def _from_sources(sources: Real) -> _Fan:
    start, way, weights = even_ways(sources)
    asked = Asked(fan=("sources", 0), numbers=np.arange(len(start)), start=start, way=way)
    return _Fan(asked=(asked,), weights=weights)


def _from_region(maps: tuple[FaceMap, ...], group: list[int], region: tuple[int, int]) -> _Fan:
    """Places spread evenly over a region, which may lie on several faces, and directions into the
    room after Lambert. Each face sends out the same number, weighed by its share of the area."""
    here, row = region
    on = [
        i
        for i, m in enumerate(maps)
        if group[i] == here and row in {m.base, *(r for _, r in m.patches)}
    ]
    asked = tuple(_from_face(maps[i], i, row, len(on)) for i in on)
    areas = [_area_m2(maps[i], row) for i in on]
    most = max(sum(areas), 1e-9) / max(sum(len(each.way) for each in asked), 1)
    weights = [
        np.full(len(each.way), area / max(len(each.way), 1) / most)
        for each, area in zip(asked, areas, strict=True)
    ]
    return _Fan(asked=asked, weights=np.concatenate(weights))


def _from_face(m: FaceMap, number: int, row: int, of: int) -> Asked:
    """The part of one of so many faces that a material covers."""
    outline = np.array(m.face.outline)
    low, size = outline.min(axis=0), np.ptp(outline, axis=0)

    def inside(spread: Real) -> NDArray[np.bool_]:
        uv = low + spread[:, :2] * size
        return np.asarray(within(outline, uv) & (m.rows_on(*uv.T) == row))

    points, spread = enough(inside, number)
    points, spread = points[::of], spread[::of]
    u_axis, v_axis, normal = (
        np.array(axis, dtype=float) for axis in (m.face.u_axis, m.face.v_axis, m.face.normal)
    )
    flat, rise = lambert(spread)
    uv = low + spread[:, :2] * size
    return Asked(
        fan=("face", number),
        numbers=points,
        start=np.array(m.face.origin) + uv[:, :1] * u_axis + uv[:, 1:] * v_axis,
        way=flat[:, :1] * u_axis + flat[:, 1:] * v_axis + rise[:, None] * normal,
    )


def _area_m2(m: FaceMap, row: int) -> float:
    """About how large a material is on a face."""
    patches_m2 = sum(place.area_m2 for place, r in m.patches if r == row)
    if row != m.base:
        return float(patches_m2)
    bare_m2 = m.face.area_m2 - sum(place.area_m2 for place, _ in m.patches)
    return float(max(bare_m2, 0.0) + patches_m2)


def even_ways(sources: Real) -> tuple[Real, Real, Real]:
    """A bundle that leaves the sources evenly in all directions: denser, and lighter, towards the
    six ways along the axes. Places and directions, (rays, 3) each, and weights (rays,). [m], [1],
    [1]"""
    each = max(_FROM_SOURCES * _RAYS // len(sources), _RAYS)
    spread = _even(each, 2)
    pole, across = np.divmod(6 * spread[:, 0], 1.0)
    ways = _about(across, spread[:, 1])
    ways = np.where((pole % 2 == 0)[:, None], ways, -ways)
    ways = _turned(ways, (pole // 2).astype(np.intp))
    # Density by solid angle: each way lies in the half space of three of the poles.
    weights = 3 / _crowd(ways).sum(axis=1)
    return (
        np.repeat(sources, each, axis=0),
        np.tile(ways, (len(sources), 1)),
        np.tile(weights, len(sources)),
    )


def _about(across: Real, turn: Real) -> Real:
    """Unit vectors about the last axis, (rays, 3), 1 less their cosine being `across` squared."""
    rise = 1 - across**2
    flat = np.sqrt(1 - rise**2)
    angle = 2 * np.pi * turn
    return np.stack([flat * np.cos(angle), flat * np.sin(angle), rise], axis=1)


def _turned(ways: Real, axis: Whole) -> Real:
    """The last axis turned into that one. (rays, 3)"""
    order = (np.arange(3) - axis[:, None] + 2) % 3
    return np.take_along_axis(ways, order, axis=1)


def _crowd(ways: Real) -> Real:
    """Density of `_about` about each axis over the even one of a half space. (rays, 3) [1]"""
    return np.asarray(0.5 / np.sqrt(np.maximum(1 - np.abs(ways), 1e-12)))


def lambert(spread: Real) -> tuple[Real, Real]:
    """Directions after Lambert's cosine from the last two columns of the even set: along the face,
    and off it."""
    rise, turn = np.sqrt(spread[:, 2]), 2 * np.pi * spread[:, 3]
    return np.sqrt(1 - rise**2)[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1), rise


def enough(inside: Callable[[Real], NDArray[np.bool_]], face: int) -> tuple[Whole, Real]:
    """The first points of a face's even set that fall inside, about `_RAYS` of them, and their
    numbers; fewer for a tiny region.

    Each face, known by its number, has the set turned its own way: what one is uneven in, the
    others are not, where the same few points on all faces are wrong alike.

    References
    ----------
    Cranley and Patterson, SIAM J. Numer. Anal. 13 (1976) 904: an even set turned at random (from
    memory); here by multiples of roots.
    """
    count = 4 * _RAYS
    while True:
        points = _turned_set(count, face)
        numbers = np.flatnonzero(inside(points))
        if len(numbers) >= _RAYS or count > 200 * _RAYS:
            return numbers[:_RAYS], points[numbers[:_RAYS]]
        count *= 4


@lru_cache(maxsize=32)
def _turned_set(count: int, face: int) -> Real:
    turn = (face + 1) * np.sqrt([2.0, 3.0, 5.0, 7.0])
    return np.asarray((_even(count, 4) + turn) % 1)


def _even(count: int, dimensions: int) -> Real:
    """Points that fill a unit cube evenly: multiples of the powers of a generalised golden ratio,
    (count, dimensions).

    References
    ----------
    Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018 (from memory).
    """
    ratio = 2.0
    for _ in range(40):
        ratio = (1 + ratio) ** (1 / (dimensions + 1))
    steps = ratio ** -np.arange(1, dimensions + 1)
    return np.asarray((0.5 + np.outer(np.arange(1, count + 1), steps)) % 1)
