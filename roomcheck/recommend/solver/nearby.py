"""Plans near one that was predicted in full, judged by its draws moved as the fast formula says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Placement
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import clash
from roomcheck.recommend.solver.money import people
from roomcheck.recommend.solver.named import placements
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]
Whole = NDArray[np.intp]
Unit = tuple[int, ...]
"""What hangs together or not at all: one of `Site.places`, or a pair."""
Kind = tuple[str, str, int]
"""Stock piece, material behind it, how many hang it: of one kind all cost and absorb alike."""
Sort = tuple[Kind, ...]
"""Of a unit."""


def lessened(
    site: Site, chosen: Sequence[Candidate], sure: float, steps: int
) -> tuple[list[Candidate], float]:
    """The plan with pieces left out or exchanged for cheaper ones, while it reaches the target so
    surely, and how surely it does.

    Parameters
    ----------
    site : Site
    chosen : sequence of Candidate
        Predicted in full.
    sure : float
        [1]
    steps : int
        Changes at most.
    """
    near = Nearby(site, chosen)
    hung = near.lessened(near.hung, sure, steps)
    return near.candidates(hung), near.chance(hung)


def strengthened(
    site: Site, chosen: Sequence[Candidate], sure: float, steps: int
) -> tuple[list[Candidate], float]:
    """The plan with pieces added or exchanged until it reaches the target so surely, then as
    `lessened`; arguments as there. Where nothing more helps, what comes nearest."""
    near = Nearby(site, chosen)
    hung = near.strengthened(near.hung, sure, steps)
    if near.chance(hung) >= sure:
        hung = near.lessened(hung, sure, steps)
    return near.candidates(hung), near.chance(hung)


def completed(
    site: Site,
    base: Sequence[Candidate],
    chosen: Sequence[Candidate],
    sure: float,
    steps: int,
    *,
    keep: bool,
) -> list[Candidate]:
    """The plan with pieces added until it reaches the target so surely, by the draws of `base`,
    which was predicted in full; the other arguments as of `lessened`. Unless it is to `keep` what
    hangs pieces are exchanged and left out too."""
    near = Nearby(site, chosen, base)
    hung = near.strengthened(near.hung, sure, steps, keep=keep)
    return near.candidates(hung if keep else near.lessened(hung, sure, steps))


class Nearby:
    """Every plan a few steps from one, by the draws of another that was predicted or its own."""

    def __init__(
        self, site: Site, chosen: Sequence[Candidate], base: Sequence[Candidate] | None = None
    ) -> None:
        known = {c: i for i, c in enumerate(site.places)}
        self.site = site
        self.hung = frozenset(known[c] for c in chosen if c in known)
        self.beside = [c for c in chosen if c not in known]
        drawn = chosen if base is None else base
        self.pieces: tuple[Placement, ...] = tuple(p for p, _ in placements(drawn, site.job))
        self.was_m2 = np.nan_to_num(site.added_m2(drawn))
        self.gains_m2 = np.nan_to_num(site.gains_m2)
        self.beside_m2 = np.nan_to_num(site.added_m2(self.beside))
        self.kinds = [self._kind(c) for c in site.places]
        self.units = units(site)
        self.first, self.last, self.size = (
            np.array([take(unit) for unit in self.units], dtype=np.intp)
            for take in (itemgetter(0), itemgetter(-1), len)
        )
        sorts = [self._sort(unit) for unit in self.units]
        number = {sort: k for k, sort in enumerate(dict.fromkeys(sorts))}
        self.sort_of = np.array([number[sort] for sort in sorts], dtype=np.intp)
        free = [not any(clash(c, b) for b in self.beside) for c in site.places]
        self.free = np.array(free, dtype=bool)

    def _kind(self, candidate: Candidate) -> Kind:
        job, piece = self.site.job, candidate.piece
        hands = people(piece, job.room.face(candidate.face).kind)
        return piece.name, job.material_of(candidate.face), hands

    def candidates(self, hung: Iterable[int]) -> list[Candidate]:
        return [*(self.site.places[i] for i in sorted(hung)), *self.beside]

    def chance(self, hung: Iterable[int]) -> float:
        return float(self._chances([self._added_m2(hung)])[0])

    def lessened(self, hung: frozenset[int], sure: float, steps: int) -> frozenset[int]:
        for _ in range(steps):
            now = self._money(hung)
            ways = [(self._money(way), k, way) for k, way in enumerate(self._ways(hung))]
            ways = sorted(way for way in ways if way[0] < now)
            chances = self._chances([self._added_m2(way) for *_, way in ways])
            fine = [way for (*_, way), chance in zip(ways, chances, strict=True) if chance >= sure]
            if not fine:
                break
            hung = fine[0]
        return hung

    def strengthened(
        self, hung: frozenset[int], sure: float, steps: int, *, keep: bool = False
    ) -> frozenset[int]:
        """Step by step by what lowers the mean miss most for its cost."""
        costs = self.site.costs
        for _ in range(steps):
            ways = [hung, *(way for way in self._ways(hung, more=True) if not keep or hung < way)]
            misses = self._misses([self._added_m2(way) for way in ways])
            if self.chance(hung) >= sure:
                break
            spent = [sum(costs[i] for i in way) - sum(costs[i] for i in hung) for way in ways]
            least = 0.01 * max(costs, default=1.0)
            worth = (misses[0] - misses) / np.maximum(spent, least)
            best = int(np.argmax(worth))
            if worth[best] <= 0:
                break
            hung = ways[best]
        return hung

    def _ways(self, hung: frozenset[int], *, more: bool = False) -> list[frozenset[int]]:
        """Plans one step away, of steps that exchange the same sorts the first; with `more` also
        those with one unit more."""
        found: dict[tuple[Sort, Sort], frozenset[int]] = {}
        for out, into in self._steps(hung, more=more):
            sorts = self._sort(out), self._sort(into)
            if sorts[0] != sorts[1]:
                found.setdefault(sorts, (hung - set(out)) | set(into))
        return list(found.values())

    def _sort(self, unit: Unit) -> Sort:
        return tuple(sorted(self.kinds[i] for i in unit))

    def _steps(self, hung: frozenset[int], *, more: bool) -> Iterator[tuple[Unit, Unit]]:
        """What may go, and what may come in its place: the cheapest of each sort."""
        clashes = self.site.clashes
        load = clashes[:, sorted(hung)].sum(axis=1) + ~self.free
        for out in self._own(hung):
            yield out, ()
            left = load - clashes[:, list(out)].sum(axis=1)
            there = clashes[self.first, out[0]] & clashes[self.last, out[-1]]
            fits = there & (self.size == len(out))
            yield from ((out, into) for into in self._fitting(left, fits))
        if more:
            yield from (((), into) for into in self._fitting(load, self.size > 0))

    def _fitting(self, load: Whole, wanted: NDArray[np.bool_]) -> list[Unit]:
        """Of the wanted units that clash with nothing the first of each sort."""
        fits = np.flatnonzero(wanted & (load[self.first] == 0) & (load[self.last] == 0))
        _, first = np.unique(self.sort_of[fits], return_index=True)
        return [self.units[int(i)] for i in fits[np.sort(first)]]

    def _own(self, hung: frozenset[int]) -> list[Unit]:
        """Units of the plan that a person has not pinned."""
        own = [unit for unit in self.units if hung.issuperset(unit)]
        paired = {i for unit in own for i in unit}
        own += [(i,) for i in sorted(hung - paired)]
        return [unit for unit in own if not self.site.pinned & set(unit)]

    def _added_m2(self, hung: Iterable[int]) -> Real:
        return np.asarray(self.gains_m2[sorted(hung)].sum(axis=0) + self.beside_m2)

    def _chances(self, added_m2: Sequence[Real]) -> Real:
        if not len(added_m2):
            return np.zeros(0)
        return self.site.chances(self.pieces, self.was_m2, np.array(added_m2))

    def _misses(self, added_m2: Sequence[Real]) -> Real:
        return self.site.misses(self.pieces, self.was_m2, np.array(added_m2))

    def _money(self, hung: Iterable[int]) -> tuple[Decimal, float]:
        """Price of what hangs, and between equals the cost."""
        kinds = [*(self.kinds[i] for i in hung), *(self._kind(c) for c in self.beside)]
        price = self.site.price((name, hands) for name, _, hands in kinds)
        return price, round(sum(self.site.costs[i] for i in hung), 4)


def units(site: Site) -> list[Unit]:
    """What hangs together or not at all, and may be put up by the planner; cheapest first."""
    pairs = dict(site.twins)
    second, alone = set(pairs.values()), site.singles | site.pinned
    first = [i for i in range(len(site.places)) if i not in second and i not in alone]
    found = [(i, pairs[i]) if i in pairs else (i,) for i in first]
    return sorted(found, key=lambda unit: (sum(site.costs[i] for i in unit), unit))
