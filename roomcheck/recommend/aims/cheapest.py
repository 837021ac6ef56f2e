"""The least that reaches the target: the cheapest of all plans that any search came by, made
cheaper or surer step by step, as the full prediction says.

More pressure on the search may lower the chance that its choice reaches the target: the search
knows the fast formula only. What is chosen here was predicted in full.

The cheapest of many is also the one whose draws flatter it. So a chance is the less of two sets of
possible rooms: what one set flatters the other does not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from math import inf

from roomcheck.recommend.integer.choose import Choice
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import clash
from roomcheck.recommend.plan.promise import promise
from roomcheck.recommend.plan.settled import (
    Settled,
    instead,
    learned_near,
    likely_chance,
    merit,
    money,
    predicted,
    reached,
)
from roomcheck.recommend.results import Promise
from roomcheck.recommend.solver.named import placements, rounded
from roomcheck.recommend.solver.nearby import lessened, strengthened
from roomcheck.recommend.solver.site import Site

TRIES = 4
"""Plans near by that are predicted in full at most: what ends the search, alike on every
machine."""

MOST_ASKED, NEARBY_TRIES = 4, 1
"""The same where each of them may better the last, and where that is not sought."""

STEPS = 40
"""Pieces added, left out or exchanged by the fast formula for one of them, at most."""

EVEN_PCT = 50
"""How surely the least of all reaches the target that is named: likely decays inside, and more
likely than not. [%]"""

LITTLE = 0.01
"""Share of the price that a step saves at least to be followed by as many more. [1]"""

HOPEFUL = 0.005
"""By how much a chance may fall short by the fast formula where the full prediction is asked
still. [1]"""

MOST_OFF = 0.05
"""How far the fast formula's chance is taken to be off at most. [1]"""

WORTH_MOVING = 0.02
"""Share of the price for which a plan changed by hand leaves the neighbourhood of what it was.
[1]"""

Chosen = tuple[Candidate, ...]
Step = tuple[list[Candidate], float]
"""What hangs then, and how surely it reaches the target by the fast formula. [1]"""


def least_seen(site: Site, seen: Sequence[Settled], sure_pct: float) -> Settled | None:
    """The cheapest that reaches the target so surely; of equals the earliest. [%]"""
    fine = [each for each in seen if reached(site, each, sure_pct) and in_pairs(site, each.chosen)]
    return min(fine, key=lambda each: money(site, each.chosen), default=None)


def least_known(site: Site, settled: Settled, seen: Sequence[Settled]) -> Settled:
    """The cheapest that reaches the target of what was just tried and of all that was ever
    predicted of this room and may hang now; what was settled on, near the plan that is changed,
    where that does not save `WORTH_MOVING`."""
    least = least_seen(site, (settled, *seen, *_known(site)), site.job.sure_pct)
    if least is None or not reached(site, settled):
        return least or settled
    saved = money(site, settled.chosen)[0] - money(site, least.chosen)[0]
    return least if float(saved) > WORTH_MOVING * float(money(site, settled.chosen)[0]) else settled


def _known(site: Site) -> Iterator[Settled]:
    """Plans predicted before, with everything that is pinned now and nothing that is forbidden."""
    at = {(c.piece.name, c.face, rounded(c.place)): i for i, c in enumerate(site.places)}
    for pieces in site.predicted_before:
        chosen = [at.get((p.piece, p.face, p.place)) for p in pieces]
        if None not in chosen and site.pinned <= set(chosen):
            known = tuple(sorted(i for i in chosen if i is not None))
            choice = Choice(chosen=known, cost=0.0, gap=inf)
            yield predicted(site, [site.places[i] for i in known], choice, press=1.0, steady=True)


def in_pairs(site: Site, chosen: Chosen) -> bool:
    """Whether everything hangs with its mirror image where the use asks for that."""
    hung = set(chosen)
    return all((site.places[i] in hung) == (site.places[j] in hung) for i, j in site.twins)


def sought(
    site: Site,
    settled: Settled,
    sure_pct: float,
    *,
    seen: list[Settled],
    tries: int = TRIES,
    steps: int = STEPS,
    first: bool = False,
) -> Settled:
    """The cheapest near a plan that reaches the target so surely; what comes nearest to it where
    none does.

    Pieces are added until the target is reached, then left out or exchanged for cheaper ones; what
    comes out is predicted in full, and the next try knows how far the fast formula was off.

    Parameters
    ----------
    site : Site
    settled : Settled
    sure_pct : float
        [%]
    seen : list of Settled
        What was predicted before; gets all that is predicted.
    tries : int
        Plans that may turn out not to reach the target, or to save little; with more than
        `NEARBY_TRIES` others are not counted, up to `MOST_ASKED`.
    steps : int
        Changes that each of them makes at most.
    first : bool
        Whether the first that is found will do.
    """
    sure, at = sure_pct / 100, settled
    enough, found = reached(site, at, sure_pct), [settled]
    asked = sure - HOPEFUL if enough else sure + HOPEFUL
    for _ in range(MOST_ASKED if tries > NEARBY_TRIES else tries):
        way = partial(_stepped, at, asked, steps, less=enough)
        chosen, said = _untried_near(site, at, [*seen, *found], way)
        if not chosen or not tries:
            break
        other = instead(site, at, chosen)
        found.append(other)
        fine = reached(site, other, sure_pct)
        if fine and first:
            break
        saved = float(money(site, at.chosen)[0] - money(site, other.chosen)[0])
        little = fine and enough and saved < LITTLE * float(money(site, at.chosen)[0])
        tries -= not fine or little
        if fine:
            asked = sure - HOPEFUL
        elif enough:
            # Too far: less of it, and fewer changes at once.
            asked, steps = (asked + at.chance) / 2, max(steps // 4, 1)
        else:
            asked += HOPEFUL + min(max(said - other.chance, 0.0), MOST_OFF)
        if fine or not enough:
            at, enough = other, fine
    seen += found[1:]
    nearest = min(found, key=lambda each: merit(site, each, sure_pct))
    return least_seen(site, found, sure_pct) or nearest


def _stepped(at: Settled, asked: float, steps: int, there: Site, *, less: bool) -> Step:
    return (lessened if less else strengthened)(there, at.chosen, asked, steps)


def _untried_near(
    site: Site, at: Settled, known: Sequence[Settled], way: Callable[[Site], Step]
) -> Step:
    """What a step near a plan leads to, as the full predictions correct the fast formula; as it is
    by itself where they lead nowhere new; nothing where neither does."""
    tried = [set(each.chosen) for each in known]
    for there in (learned_near(site, at, known), site):
        step = way(there)
        if set(step[0]) not in tried:
            return step
    return [], 0.0


def least_promised_inside(
    site: Site, settled: Settled, seen: Sequence[Settled], sure_pct: float
) -> Settled | None:
    """The cheapest, dearer than this one, that reaches the target so surely and whose promise lies
    wholly inside it. [%]"""
    least = money(site, settled.chosen)
    fine = [each for each in seen if reached(site, each, sure_pct) and in_pairs(site, each.chosen)]
    dearer = [each for each in fine if money(site, each.chosen) > least]
    by_price = sorted(dearer, key=lambda each: money(site, each.chosen))
    inside = (each for each in by_price if not promised(site, each).beyond_target_hz)
    return next(inside, None)


def promised(site: Site, settled: Settled) -> Promise:
    """What may be signed of a choice."""
    placed = tuple(piece for piece, _ in placements(settled.chosen, site.job))
    return promise(site.job, site.analysis, settled.prediction, *site.sets_s(placed))


def least_of_one_sort(
    site: Site, settled: Settled, seen: Sequence[Settled], sure_pct: float
) -> Settled | None:
    """The cheapest with panels of one sort on each wall that reaches the target so surely; None
    where this one has them, or none does. [%]"""
    if not mixed_walls(settled.chosen):
        return None
    return least_seen(site, [each for each in seen if not mixed_walls(each.chosen)], sure_pct)


def of_one_sort(site: Site, settled: Settled, seen: list[Settled], sure_pct: float) -> None:
    """Predict the same with panels of one sort on each wall, the cheapest way that reaches the
    target so surely by the fast formula; nothing where they are of one sort. [%]"""
    ways = [settled.chosen]
    for face in mixed_walls(settled.chosen):
        kinds = sorted({c.piece.name for c in settled.chosen if _on(face, c)})
        alike = [_alike(site, way, face, kind) for way in ways for kind in kinds]
        ways = [way for way in alike if way is not None]
    tried = [set(each.chosen) for each in seen]
    likely = [
        way
        for way in ways
        if set(way) not in tried
        and in_pairs(site, way)
        and likely_chance(site, settled, way) >= sure_pct / 100
    ]
    if likely:
        seen.append(instead(site, settled, min(likely, key=lambda way: money(site, way))))


def mixed_walls(chosen: Chosen) -> list[str]:
    """Faces with panels of more than one sort beside each other."""
    kinds: dict[str, set[str]] = {}
    for c in chosen:
        if _on(c.face, c):
            kinds.setdefault(c.face, set()).add(c.piece.name)
    return [face for face, names in kinds.items() if len(names) > 1]


def _on(face: str, candidate: Candidate) -> bool:
    """Whether this hangs flat on that face and absorbs."""
    flat = candidate.row != "corner" and not candidate.piece.diffuser
    return flat and candidate.face == face


def _alike(site: Site, chosen: Chosen, face: str, kind: str) -> Chosen | None:
    """All panels on a face of one sort, each where another hung; None where one does not fit."""
    pins = {site.places[i] for i in site.pinned}
    for was in chosen:
        if not _on(face, was) or was.piece.name == kind:
            continue
        rest = tuple(c for c in chosen if c != was)
        fitting = (c for c in site.places if c.piece.name == kind and _fits((c,), (was,), rest))
        other = next(fitting, None)
        if other is None or was in pins:
            return None
        chosen = (*rest, other)
    return chosen


def _fits(other: Chosen, unit: Chosen, rest: Chosen) -> bool:
    """Whether these may hang in place of those: where they hung, and near nothing else."""
    if len(other) != len(unit) or other == unit:
        return False
    there = all(
        c.face == was.face and c.place.overlap_m2(was.place) > 0
        for c, was in zip(other, unit, strict=True)
    )
    return there and not any(clash(c, r) for c in other for r in rest)
