"""Panels of one map beside each other, laid so that they run on as one pattern.

A panel that is repeated makes a grating: what it scatters goes into few directions, and the eye
finds the repeat. The same rows, begun at another one and read from right to left, cost nothing at
the bench and keep every count, every row and every column sum.

Cox and D'Antonio, Acoustic Absorbers and Diffusers, on periodicity and modulation; Angus, Using
grating modulation to achieve wideband large area diffusers, Applied Acoustics 60 (2000); both from
memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from roomcheck.units import M_PER_IN
from roomcheck.workshop.patterns.blocks import LARGEST_CLUSTER, clusters
from roomcheck.workshop.results import HangingLine, LaidPanel

Map = tuple[tuple[float, ...], ...]
"""Heights seen from the front, top row first. [m]"""

Way = tuple[tuple[int, ...], bool]
"""Numbers of rows from the top down, and whether each is read from right to left."""

_NEAR_M = 12 * M_PER_IN
"""Panels further apart are no neighbours. [m]"""
_MORE_REPEATS = 0.3
"""An order that repeats itself by so much more than the best one is the last resort. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Two panels beside each other."""

    first: int
    """The left or the upper one."""
    second: int
    side: Literal["right", "below"]
    """Where the second one is."""
    offset: int = 0
    """By how many cells it hangs lower, or further right."""


def laid_as(rows: Map, panel: LaidPanel) -> Map:
    """The map of a panel that is laid from the same rows."""
    return _laid(rows, (panel.rows, panel.mirrored))


def _laid(rows: Map, way: Way) -> Map:
    order, mirrored = way
    laid = tuple(rows[number - 1] for number in order)
    return tuple(row[::-1] for row in laid) if mirrored else laid


def seams_of(lines: Sequence[HangingLine], cell_m: float) -> tuple[Seam, ...]:
    """Which of some equal panels hang beside each other; in the order given where nobody knows
    where they hang."""
    if any(not line.face for line in lines):
        return tuple(Seam(first=i, second=i + 1, side="right") for i in range(len(lines) - 1))
    found = []
    for i, j in product(range(len(lines)), repeat=2):
        a, b = lines[i], lines[j]
        if i == j or a.face != b.face or abs(a.width_m - b.width_m) > cell_m / 2:
            continue
        down_m, across_m = a.top_m - b.top_m, b.left_m - a.left_m
        if _beside(across_m, down_m, a.width_m, a.height_m):
            found.append(Seam(first=i, second=j, side="right", offset=round(down_m / cell_m)))
        elif _beside(down_m, across_m, a.height_m, a.width_m):
            found.append(Seam(first=i, second=j, side="below", offset=round(across_m / cell_m)))
    return tuple(found)


def _beside(on_m: float, off_m: float, size_m: float, side_m: float) -> bool:
    return size_m - 1e-6 <= on_m <= size_m + _NEAR_M and abs(off_m) < side_m / 2


def run_on(rows: Map, names: Sequence[str], seams: Sequence[Seam]) -> tuple[LaidPanel, ...]:
    """How each of some panels of one map is laid, so that no cluster and no repeat arises across
    their seams.

    The first is laid as the map says; each of the others, in their order, so that it repeats least
    of those before it.

    Parameters
    ----------
    rows : Map
    names : sequence of str
        Of the panels.
    seams : sequence of Seam
    """
    ways = _run_on(rows, len(names), tuple(seams))
    return tuple(
        LaidPanel(name=name, rows=order, mirrored=mirrored)
        for name, (order, mirrored) in zip(names, ways, strict=True)
    )


@cache
def _run_on(rows: Map, count: int, seams: tuple[Seam, ...]) -> tuple[Way, ...]:
    ways: list[Way] = [(tuple(range(1, len(rows) + 1)), False)]
    maps: list[Map] = [rows]
    for i in range(1, count):
        near = [seam for seam in seams if max(seam.first, seam.second) == i]
        ways.append(_cheapest(rows, maps, near))
        maps.append(_laid(rows, ways[-1]))
    return tuple(ways)


def _turned(count: int) -> list[tuple[int, ...]]:
    """Rows begun at any of them, downwards or upwards."""
    numbers = tuple(range(1, count + 1))
    turned = [(*numbers[start:], *numbers[:start]) for start in range(count)]
    return [*turned, *(order[::-1] for order in turned)]


def _changed_round(count: int) -> list[tuple[int, ...]]:
    """Rows in three stretches of the map, laid in another order."""
    numbers = tuple(range(1, count + 1))
    found: list[tuple[int, ...]] = []
    for first, last in combinations(range(1, count), 2):
        one, two, three = numbers[:first], numbers[first:last], numbers[last:]
        found += [(*three, *two, *one), (*two, *one, *three)]
    return found


def _cheapest(rows: Map, before: Sequence[Map], near: Sequence[Seam]) -> Way:
    """The order that repeats least among those with no larger cluster than the map itself has, the
    easily laid ones first; with the smallest clusters where every one has larger ones."""
    i, allowed = len(before), max(largest_cluster(rows), LARGEST_CLUSTER)
    found: list[tuple[int, float, Way]] = []
    for orders in (_turned(len(rows)), _changed_round(len(rows))):
        made = [(way, _laid(rows, way)) for way in product(orders, (False, True))]
        costs = sorted((_repeats(p, before, near, i), k) for k, (_, p) in enumerate(made))
        for cost, k in costs:
            way, panel = made[k]
            largest = _largest(panel, before, near, allowed)
            if largest <= allowed and cost <= costs[0][0] + _MORE_REPEATS:
                return way
            found.append((max(largest, allowed), cost, way))
    return min(found)[2]


def _largest(panel: Map, before: Sequence[Map], near: Sequence[Seam], allowed: int) -> int:
    """Largest cluster of a panel and over its seams; that of the panel alone where that is too
    large already."""
    largest, i = largest_cluster(panel), len(before)
    for seam in near:
        if largest > allowed:
            break
        largest = max(largest, largest_cluster(joined(*_pair(panel, before, seam, i), seam)))
    return largest


def _repeats(panel: Map, before: Sequence[Map], near: Sequence[Seam], i: int) -> float:
    """Likeness to the panels before it, to its neighbours twice, and equal cells along seams."""
    cost = sum(likeness(panel, other) for other in before) / max(len(before), 1)
    for seam in near:
        pair = _pair(panel, before, seam, i)
        cost += likeness(*pair) + equal_share(*pair, seam)
    return round(cost, 9)


def _pair(panel: Map, before: Sequence[Map], seam: Seam, i: int) -> tuple[Map, Map]:
    """Both panels of a seam in their order, of which the later one is this."""
    return (before[seam.first], panel) if seam.second == i else (panel, before[seam.second])


def joined(a: Map, b: Map, seam: Seam) -> Map:
    """Two panels as one pattern; cells that only one of them has get heights of their own."""
    one, other = (a, b) if seam.side == "right" else (_across(a), _across(b))
    gap = iter(range(-1, -(10**6), -1))
    high = len(one)
    rows = []
    for r in range(min(0, seam.offset), max(high, high + seam.offset)):
        left = one[r] if 0 <= r < high else tuple(float(next(gap)) for _ in one[0])
        at = r - seam.offset
        right = other[at] if 0 <= at < high else tuple(float(next(gap)) for _ in one[0])
        rows.append((*left, *right))
    whole = tuple(rows)
    return whole if seam.side == "right" else _across(whole)


def _across(rows: Map) -> Map:
    return tuple(zip(*rows, strict=True))


def facing(a: Map, b: Map, seam: Seam) -> tuple[tuple[float, float], ...]:
    """Cells that face each other across a seam."""
    one, other = (a, b) if seam.side == "right" else (_across(a), _across(b))
    pairs = ((r, r - seam.offset) for r in range(len(one)))
    return tuple((one[r][-1], other[at][0]) for r, at in pairs if 0 <= at < len(other))


def equal_share(a: Map, b: Map, seam: Seam) -> float:
    """Share of facing cells of one height. [1]"""
    pairs = facing(a, b, seam)
    return sum(x == y for x, y in pairs) / max(len(pairs), 1)


def likeness(a: Map, b: Map) -> float:
    """Highest cross-correlation of two panels of one size, whatever is shifted: 1 for a repeat.
    [1]"""
    one, other = (_level(np.array(rows)) for rows in (a, b))
    power = float(np.sqrt(np.sum(one**2) * np.sum(other**2)))
    if power == 0:
        return 1.0
    shape = tuple(2 * n for n in one.shape)
    spectrum = np.fft.rfft2(one, shape) * np.conj(np.fft.rfft2(other, shape))
    return float(np.fft.irfft2(spectrum, shape).max()) / power


def _level(heights: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(heights - heights.mean())


def largest_cluster(rows: Map) -> int:
    """Most cells of one height that touch edge to edge."""
    places: dict[float, int] = {}
    cells = [[places.setdefault(height, len(places)) for height in row] for row in rows]
    return max(len(cluster) for cluster in clusters(np.array(cells)))
