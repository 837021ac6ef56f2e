"""Rays of one room, each followed once and kept from one plan to the next.

Where a ray runs depends on the room alone; a plan changes what it meets there. So every ray that a
plan needs is looked up by its fan (the sources, or a face) and its number in that fan, and only
what was never asked for is followed. A ray runs the same way however far it is followed and
whatever is followed beside it, so nothing depends on what was asked before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Floats = NDArray[np.float32] | Real
Whole = NDArray[np.intp]
Short = NDArray[np.int8] | Whole
Numbers = NDArray[np.intp] | NDArray[np.int32]

MOST_HITS = 2_500_000
"""So many hits of a room are kept at most, about 30 MB; beyond, all begin anew."""
_FARTHER, _TOO_FAR = 1.2, 2.0
"""How much farther than they are asked for rays are followed, and at most. [1]"""
_AT_ONCE = 512
"""So many rays are followed at a time, which bounds the memory."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hits:
    """What rays meet, (hits,) each, in any order."""

    ray: Numbers
    """Of the rays that were followed together."""
    before: Numbers
    """How many hits that ray had before; two that come at once may have the same number."""
    length_m: Real
    """How far along the ray [m]."""
    face: Numbers
    """Number of the face that is hit."""
    u_m: Real
    """Where, in that face's own frame [m]."""
    v_m: Real
    """Likewise [m]."""

    def in_order(self, counts: Whole) -> Numbers:
        """`before`, no number twice, where each ray has so many hits. (rays,) to (hits,)"""
        number = (np.cumsum(counts) - counts)[self.ray]
        number += self.before
        seen = np.zeros(len(number), dtype=bool)
        if (self.before < counts[self.ray]).all():
            seen[number] = True
        if seen.all():
            return self.before
        order = np.lexsort((self.length_m, self.ray))
        before = np.empty_like(self.before)
        before[order] = np.arange(len(order)) - np.repeat(np.cumsum(counts) - counts, counts)
        return before


Follow = Callable[[Real, Real, float], Hits]
"""From places and directions, (rays, 3) each, as far as so many metres."""
Fan = tuple[str, int]
"""What sends rays out."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """Rays of a fan that a plan needs, (rays,) each."""

    fan: Fan
    numbers: Whole
    """Of each in its fan."""
    start: Real
    """(rays, 3): where it begins [m]."""
    way: Real
    """(rays, 3): unit vector."""


class Kept:
    """Rays of a room that were followed so far."""

    def __init__(self, follow: Follow) -> None:
        self._follow = follow
        self._begin(0.0)

    def _begin(self, reach_m: float) -> None:
        self.reach_m = reach_m
        self._rays = self._hits = 0
        self._slots: dict[Fan, Whole] = {}
        self.first = np.zeros(1, dtype=np.intp)
        """(rays + 1,): where each ray's hits begin."""
        self.length_m = np.empty(0, dtype=np.float32)
        """(hits,): ray by ray, in their order; room for more behind [m]."""
        self.face = np.empty(0, dtype=np.int8)
        """(hits,): number of the face that is hit."""
        self.u_m = np.empty(0, dtype=np.float32)
        """(hits,): where, in that face's own frame [m]."""
        self.v_m = np.empty(0, dtype=np.float32)
        """Likewise [m]."""

    def reaching(self, reach_m: float) -> None:
        """Have all that is asked for from now on followed so far, and a little farther for the next
        plan; what was followed far beyond begins anew. [m]"""
        if not reach_m <= self.reach_m <= _TOO_FAR * reach_m:
            self._begin(_FARTHER * reach_m)

    def slots(self, asked: Sequence[Asked]) -> list[Whole]:
        """Where the rays of each fan are kept, (rays,) each; those that are not yet are followed
        now, all together."""
        if self._hits > MOST_HITS:
            self._begin(self.reach_m)
        new, last = list[tuple[Real, Real]](), self._rays
        for each in asked:
            known = self._slots.get(each.fan, np.empty(0, dtype=np.intp))
            most = int(each.numbers.max(initial=-1)) + 1
            if len(known) < most:
                known = np.concatenate([known, np.full(most - len(known), -1)])
            unknown = np.flatnonzero(known[each.numbers] < 0)
            known[each.numbers[unknown]] = last + np.arange(len(unknown))
            last += len(unknown)
            new.append((each.start[unknown], each.way[unknown]))
            self._slots[each.fan] = known
        if last > self._rays:
            start, way = (np.concatenate(part) for part in zip(*new, strict=True))
            for first in range(0, len(start), _AT_ONCE):
                some = slice(first, first + _AT_ONCE)
                self._add(start[some], way[some])
        return [self._slots[each.fan][each.numbers] for each in asked]

    def _add(self, start: Real, way: Real) -> None:
        found = self._follow(start, way, self.reach_m)
        counts = np.bincount(found.ray, minlength=len(start))
        at = (np.cumsum(counts) - counts)[found.ray] + found.in_order(counts)
        old, self._hits = self._hits, self._hits + len(at)

        def joined(kept: NDArray[Any], values: NDArray[Any]) -> NDArray[Any]:
            if len(kept) < self._hits:
                more = np.empty(self._hits - old + old // 4, dtype=kept.dtype)
                kept = np.concatenate([kept[:old], more])
            kept[old : self._hits][at] = values
            return kept

        self.length_m = joined(self.length_m, found.length_m)
        self.face = joined(self.face, found.face)
        self.u_m, self.v_m = joined(self.u_m, found.u_m), joined(self.v_m, found.v_m)
        self.first = np.concatenate([self.first, old + np.cumsum(counts)])
        self._rays += len(counts)

    def counts(self, slots: Whole, reach_m: float) -> Whole:
        """How many hits each of these rays has as far as that, (rays,). [m]"""
        start = self.first[slots]
        low, high = start.copy(), self.first[slots + 1]
        while (between := low < high).any():
            middle = (low + high) // 2
            inside = between & (self.length_m[np.where(between, middle, 0)] < reach_m)
            low = np.where(inside, middle + 1, low)
            high = np.where(between & ~inside, middle, high)
        return np.asarray(low - start)
