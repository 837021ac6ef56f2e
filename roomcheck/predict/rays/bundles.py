"""How energy dies in a box patch by patch: bundles of mirrored rays, joined where they scatter.

As in `transport`, energy runs mirrored between scattering events and each scattering starts it
afresh; but here every hit meets the patch that is there. That matters: sound that runs nearly level
at the height of bare wall meets a row of panels below it seldom, for long, and a mean coefficient
would have it die too fast.

A region is one material on one face. From each region a bundle of rays leaves after Lambert, from
each source one in all directions; a ray is a straight line through mirrored rooms, so all its hits
are known at once. Rays and places are a fixed low-discrepancy set: nothing is random.

Where little is scattered, what is left after a while runs nearly along one axis of the room,
between two bare faces. So the sources' rays lie denser towards the axes, each weighted down by as
much.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from roomcheck.predict.rays.furniture import LEVELS, classes_of
from roomcheck.predict.rays.images import FaceMap, crossings
from roomcheck.predict.rays.transport import renewed

Real = NDArray[np.float64]
Whole = NDArray[np.intp]
Numbers = NDArray[np.intp] | NDArray[np.int32]

_RAYS = 256
"""From each region."""
_FROM_SOURCES = 15
"""The sources together send out so many times as many: where little is scattered, few directions
carry all that is left."""
_STEPS_PER_PATH = 2.5
_NOTHING = 1e-8
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
    region: Whole
    """(hits,): what is hit."""
    cell: Whole
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
        met = np.bincount(cell, before, size + 1)[:size]
        met = met.reshape(self.steps, G + 1, R)
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

    def _worth_counting(self, keep: Real) -> tuple[Whole, Real]:
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
            cells.append(self.cell[at])
            powers.append(power)
            power = power * keep[self.region[at]]
            going = power > _NOTHING
            if np.count_nonzero(going) < _WORTH_SORTING * still:
                live, power = live[going], power[going]
            first += count
        return np.concatenate(cells), np.concatenate(powers)


def bundles(
    sides_m: Real,
    maps: dict[tuple[int, int], FaceMap],
    corner: Real,
    sources: Real,
    speed_m_s: float,
    seconds: float,
    furnished_row: int | None = None,
) -> Bundles:
    """Follow all rays of a box.

    Parameters
    ----------
    sides_m : (3,)
        [m]
    maps : dict
        (axis, side) to what lies on that face.
    corner : (3,)
        The room's lower corner. [m]
    sources : (sources, 3)
        In the box's own frame. [m]
    speed_m_s, seconds : float
        How fast and how long. [m/s], [s]
    furnished_row : int or None
        Of the floor that things stand on, as of `assembled`.
    """
    regions = _regions(maps)
    fans = [even_ways(sources), *(_from_region(sides_m, maps, corner, r) for r in regions)]
    start, way, _ = (np.concatenate(part) for part in zip(*fans, strict=True))
    hits = _hits(sides_m, maps, corner, (start, way), (speed_m_s, seconds), regions)
    volume = float(sides_m.prod())
    return assembled(
        hits,
        [fan[2] for fan in fans],
        np.array([row for _, _, row in regions], dtype=np.intp),
        2 * volume / float((volume / sides_m).sum()) / speed_m_s,
        seconds,
        None if furnished_row is None else (furnished_row, classes_of(way)),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hits:
    """What rays meet, (hits,) each, in any order."""

    ray: Numbers
    """Rays are numbered bundle by bundle."""
    before: Numbers
    """How many hits that ray had before; two that come at once may have the same number."""
    at_s: Real
    """When [s]."""
    region: Numbers
    """What is hit."""

    def in_order(self, counts: Whole) -> Numbers:
        """`before`, no number twice, where each ray has so many hits. (rays,) to (hits,)"""
        number = (np.cumsum(counts) - counts)[self.ray]
        number += self.before
        seen = np.zeros(len(number), dtype=bool)
        if (self.before < counts[self.ray]).all():
            seen[number] = True
        if seen.all():
            return self.before
        order = np.lexsort((self.at_s, self.ray))
        before = np.empty_like(self.before)
        before[order] = np.arange(len(order)) - np.repeat(np.cumsum(counts) - counts, counts)
        return before


def assembled(
    hits: Hits,
    weights: list[Real],
    region_rows: Whole,
    mean_path_s: float,
    seconds: float,
    furnished: tuple[int, Whole] | None = None,
) -> Bundles:
    """Bundles of hits.

    Parameters
    ----------
    hits : Hits
    weights : list of (rays,)
        Of the rays in each bundle, the sources' first. [1]
    region_rows : (regions,)
        Material of each region.
    mean_path_s : float
        [s]
    seconds : float
        How long they were followed. [s]
    furnished : (row, (rays,)) or None
        Row of the floor that things stand on, and the class of each ray (`furniture`): the rows
        after it are of the same floor in the classes after the first.
    """
    G = len(region_rows)
    bundle = np.repeat(np.arange(G + 1), [len(each) for each in weights])
    region, rows, sender = _by_class(hits, region_rows, furnished)
    R = len(rows)
    step = mean_path_s / _STEPS_PER_PATH
    steps = int(seconds / step) + 1
    counts = np.bincount(hits.ray, minlength=len(bundle))
    longest = np.argsort(-counts, kind="stable")
    rank = np.empty_like(longest)
    rank[longest] = np.arange(len(longest))
    still = len(counts) - np.searchsorted(np.sort(counts), np.arange(counts.max()), side="right")
    place = (np.cumsum(still) - still)[hits.in_order(counts)]
    place += rank[hits.ray]
    into = np.rint(hits.at_s / step).astype(np.intp)
    into *= G + 1
    into += bundle[hits.ray]
    into *= R
    into += region
    np.minimum(into, steps * (G + 1) * R, out=into)
    met, cell = np.empty_like(place), np.empty_like(place)
    met[place], cell[place] = region, into
    return Bundles(
        step_s=step,
        steps=steps,
        region_rows=rows,
        sender=sender,
        still=still,
        region=met,
        cell=cell,
        weight=np.concatenate(weights)[longest],
        rays=np.array([each.sum() for each in weights]),
    )


def _by_class(
    hits: Hits, region_rows: Whole, furnished: tuple[int, Whole] | None
) -> tuple[Numbers, Whole, Whole]:
    """What each hit meets, a furnished floor once for each class of rays; row and bundle of each
    of these. (hits,), (regions,), (regions,)"""
    sender = np.arange(len(region_rows))
    if furnished is None or furnished[0] not in region_rows:
        return hits.region, region_rows, sender
    row, level = furnished
    floor, more = int(np.flatnonzero(region_rows == row)[0]), np.arange(len(LEVELS))
    region = hits.region.copy()
    on = np.flatnonzero(region == floor)
    steep = level[hits.ray[on]]
    region[on] = np.where(steep > 0, len(region_rows) - 1 + steep, floor)
    return (
        region,
        np.concatenate([region_rows, row + 1 + more]),
        np.concatenate([sender, np.full(len(more), floor)]),
    )


Region = tuple[int, int, int]
"""Axis, side, material row."""


def _regions(maps: dict[tuple[int, int], FaceMap]) -> tuple[Region, ...]:
    found = []
    for (axis, side), m in sorted(maps.items()):
        found += [(axis, side, row) for row in sorted({m.base, *(row for _, row in m.patches)})]
    return tuple(found)


def _hits(
    sides: Real,
    maps: dict[tuple[int, int], FaceMap],
    corner: Real,
    rays: tuple[Real, Real],
    speed_and_time: tuple[float, float],
    regions: tuple[Region, ...],
) -> Hits:
    """Every hit, axis by axis."""
    start, way = rays
    speed_m_s, seconds = speed_and_time
    end = start + way * (speed_m_s * seconds)
    table = np.full((3, 2, max(row for *_, row in regions) + 1), -1, dtype=np.int32)
    for i, region in enumerate(regions):
        table[region] = i
    index = np.floor(end / sides).astype(np.intp)
    count = int(np.abs(index).sum())
    ray, before, hit = (np.empty(count, dtype=np.int32) for _ in range(3))
    length, last = np.empty(count), 0
    for axis, first in product(range(3), range(0, len(start), _AT_ONCE)):
        some = slice(first, first + _AT_ONCE)
        crossed = crossings(sides, axis, index[some, axis], start[some], end[some])
        new = slice(last, last := last + len(crossed.line))
        ray[new], before[new], length[new] = crossed.line + first, crossed.before, crossed.length_m
        for s in range(2):
            here = crossed.side == s
            rows = maps[axis, s].rows_at(crossed.folded_m[here] + corner)
            hit[new][here] = table[axis, s][rows]
    return Hits(ray=ray, before=before, at_s=np.divide(length, speed_m_s, out=length), region=hit)


_AT_ONCE = 512
"""So many rays are unfolded at a time, which bounds the memory."""


Fan = tuple[Real, Real, Real]
"""Places and directions (rays, 3) each, and weights (rays,). [m], [1], [1]"""


def even_ways(sources: Real) -> Fan:
    """A bundle that leaves the sources evenly in all directions: denser, and lighter, towards the
    six ways along the axes."""
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


def _from_region(
    sides: Real, maps: dict[tuple[int, int], FaceMap], corner: Real, region: Region
) -> Fan:
    """Places spread evenly over a region, and directions into the room after Lambert."""
    axis, side, row = region
    j, k = (axis + 1) % 3, (axis + 2) % 3

    def inside(spread: Real) -> NDArray[np.bool_]:
        return np.asarray(maps[axis, side].rows_at(_on_face(spread) + corner) == row)

    def _on_face(spread: Real) -> Real:
        place = np.empty((len(spread), 3))
        place[:, axis] = side * sides[axis]
        place[:, j], place[:, k] = spread[:, 0] * sides[j], spread[:, 1] * sides[k]
        return place

    spread = enough(inside, 2 * axis + side)
    flat, rise = lambert(spread)
    way = np.empty((len(spread), 3))
    way[:, axis] = rise if side == 0 else -rise
    way[:, j], way[:, k] = flat[:, 0], flat[:, 1]
    return _on_face(spread), way, np.ones(len(way))


def lambert(spread: Real) -> tuple[Real, Real]:
    """Directions after Lambert's cosine from the last two columns of the even set: along the face,
    and off it."""
    rise, turn = np.sqrt(spread[:, 2]), 2 * np.pi * spread[:, 3]
    return np.sqrt(1 - rise**2)[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1), rise


def enough(inside: Callable[[Real], NDArray[np.bool_]], face: int) -> Real:
    """The first points of a face's even set that fall inside, about `_RAYS` of them; fewer for a
    tiny region.

    Each face, known by its number, has the set turned its own way: what one is uneven in, the
    others are not, where the same few points on all faces are wrong alike.

    References
    ----------
    Cranley and Patterson, SIAM J. Numer. Anal. 13 (1976) 904: an even set turned at random (from
    memory); here by multiples of roots.
    """
    count, turn = 4 * _RAYS, (face + 1) * np.sqrt([2.0, 3.0, 5.0, 7.0])
    while True:
        points = (_even(count, 4) + turn) % 1
        points = points[inside(points)]
        if len(points) >= _RAYS or count > 200 * _RAYS:
            return points[:_RAYS]
        count *= 4


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
