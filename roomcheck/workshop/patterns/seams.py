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
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from roomcheck.units import M_PER_IN
from roomcheck.workshop.patterns.blocks import LARGEST_CLUSTER, clusters
from roomcheck.workshop.results import HangingLine, LaidPanel

Map = tuple[tuple[float, ...], ...]
"""Heights seen from the front, top row first. [m]"""

_NEAR_M = 12 * M_PER_IN
"""Panels further apart are no neighbours. [m]"""


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
    start = panel.top_row - 1
    turned = (*rows[start:], *rows[:start])
    if panel.upward:
        turned = (*reversed(rows[: start + 1]), *reversed(rows[start + 1 :]))
    return tuple(row[::-1] for row in turned) if panel.mirrored else turned


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

    The first is laid as the map says; each of the others, in their order, as costs least against
    those before it.

    Parameters
    ----------
    rows : Map
    names : sequence of str
        Of the panels.
    seams : sequence of Seam
    """
    laid: list[LaidPanel] = []
    maps: list[Map] = []
    for i, name in enumerate(names):
        near = [seam for seam in seams if max(seam.first, seam.second) == i]
        ways = [
            LaidPanel(name=name, top_row=start + 1, mirrored=mirrored, upward=upward)
            for upward, mirrored, start in product((False, True), (False, True), range(len(rows)))
        ]
        if i == 0:
            ways = ways[:1]
        best = _cheapest(rows, ways, maps, near, i)
        laid.append(best)
        maps.append(laid_as(rows, best))
    return tuple(laid)


def _cheapest(
    rows: Map, ways: Sequence[LaidPanel], before: Sequence[Map], near: Sequence[Seam], i: int
) -> LaidPanel:
    """The way that repeats least among those with no larger cluster than the map itself has, or
    with the smallest clusters where every way has larger ones."""
    made = [(laid_as(rows, way), way) for way in ways]
    made.sort(key=lambda one: _repeats(one[0], before, near, i))
    allowed = max(largest_cluster(rows), LARGEST_CLUSTER)
    smallest, best = 10**9, ways[0]
    for panel, way in made:
        wholes = [joined(*_pair(panel, before, seam, i), seam) for seam in near]
        largest = max(map(largest_cluster, (panel, *wholes)))
        if largest <= allowed:
            return way
        if largest < smallest:
            smallest, best = largest, way
    return best


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
