"""The least that reaches the target: the cheapest of all plans that any search came by, made
cheaper piece by piece as long as the full prediction still reaches it.

More pressure on the search may lower the chance that its choice reaches the target: the search
knows the fast formula only. What is chosen here was predicted in full.

The cheapest of many is also the one whose draws flatter it. So what is chosen is asked once more,
by possible rooms that no choice was made with: it stands unless they make it less sure than asked
by more than the number of draws explains (`MARGIN`), else the next dearer one does that passes; the
chance that was found there is said.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal

import numpy as np

from roomcheck.predict import DRAWS
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import clash
from roomcheck.recommend.plan.promise import promise
from roomcheck.recommend.plan.settled import Settled, added_m2, instead, money, predicted, reached
from roomcheck.recommend.solver.choose import Choice
from roomcheck.recommend.solver.site import Site, placements, rounded

TRIES = 10
"""Plans near by that are predicted in full at most: what ends the search, alike on every
machine."""

NEAR = 0.03
"""By how much a chance may fall short by the fast formula where the full prediction is asked
still. [1]"""

ONE_SORT_TRIES = 3
"""Ways to hang one sort of panel on each wall that are predicted in full at most."""

WORTH_MOVING = 0.02
"""Share of the price for which a plan changed by hand leaves the neighbourhood of what it was.
[1]"""

MARGIN = 2.0
"""Standard errors of a share of `DRAWS` by which fresh draws may fall short of what is asked.
[1]"""

CONFIRMED = 4
"""Plans that are asked with fresh draws at most."""

Chosen = tuple[Candidate, ...]


def least_seen(site: Site, seen: Sequence[Settled], sure_pct: float) -> Settled | None:
    """The cheapest that reaches the target so surely; of equals the earliest. [%]"""
    fine = [each for each in seen if reached(site, each, sure_pct) and _in_pairs(site, each.chosen)]
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
            choice = Choice(chosen=known, cost=0.0, gap=np.inf)
            yield predicted(site, [site.places[i] for i in known], choice, press=1.0, steady=True)


def _in_pairs(site: Site, chosen: Chosen) -> bool:
    """Whether everything hangs with its mirror image where the use asks for that."""
    hung = set(chosen)
    return all((site.places[i] in hung) == (site.places[j] in hung) for i, j in site.twins)


def bettered(site: Site, settled: Settled) -> Settled:
    """The same with pieces left out or exchanged for cheaper ones, while it reaches the target as
    surely as the job asks."""
    tries, ways = TRIES, near(site, settled)
    while tries and ways:
        tries -= 1
        other = instead(site, settled, ways.pop(0))
        if reached(site, other):
            settled, ways = other, near(site, other)
    return settled


def confirmed(
    site: Site, settled: Settled, seen: Sequence[Settled]
) -> tuple[Settled, float | None]:
    """The cheapest, from this one on, that fresh draws confirm, and its chance there; the surest of
    those asked where they confirm none. None where it does not reach the target anyway."""
    if not reached(site, settled):
        return settled, None
    least, sure = money(site, settled.chosen), site.job.sure_pct / 100
    dearer = [
        each
        for each in seen
        if reached(site, each) and _in_pairs(site, each.chosen) and money(site, each.chosen) > least
    ]
    dearer.sort(key=lambda each: money(site, each.chosen))
    asked: list[tuple[Settled, float]] = []
    for each in (settled, *dearer)[:CONFIRMED]:
        placed = tuple(piece for piece, _ in placements(each.chosen, site.job))
        asked.append((each, site.fresh_chance(placed)))
        if asked[-1][1] >= sure - MARGIN * float(np.sqrt(sure * (1 - sure) / DRAWS)):
            return asked[-1]
    return max(asked, key=lambda each: each[1])


def least_promised_inside(site: Site, settled: Settled, seen: Sequence[Settled]) -> Settled | None:
    """The cheapest, dearer than this one, that reaches the target as surely and whose promise lies
    wholly inside it."""
    least = money(site, settled.chosen)
    fine = [each for each in seen if reached(site, each) and _in_pairs(site, each.chosen)]
    dearer = [each for each in fine if money(site, each.chosen) > least]
    by_price = sorted(dearer, key=lambda each: money(site, each.chosen))
    return next((each for each in by_price if _promised_inside(site, each)), None)


def _promised_inside(site: Site, settled: Settled) -> bool:
    placed = tuple(piece for piece, _ in placements(settled.chosen, site.job))
    made = promise(site.job, site.analysis, settled.prediction, site.draws_s(placed))
    return not made.beyond_target_hz


def of_one_sort(site: Site, settled: Settled) -> Settled | None:
    """The same with panels of one sort on each wall, the cheapest way that reaches the target as
    surely; None where they are of one sort, or no way does.

    Ways that reach it by the fast formula, or nearly, are predicted from the cheapest up.
    """
    placed = tuple(piece for piece, _ in placements(settled.chosen, site.job))
    whole_m2, ways = added_m2(site, settled.chosen), [settled.chosen]
    for face in mixed_walls(settled.chosen):
        kinds = sorted({c.piece.name for c in settled.chosen if _on(face, c)})
        alike = [_alike(site, way, face, kind) for way in ways for kind in kinds]
        ways = [way for way in alike if way is not None]
    likely = [
        way
        for way in ways
        if way != settled.chosen
        and _in_pairs(site, way)
        and site.chance(placed, whole_m2, added_m2(site, way)) >= site.job.sure_pct / 100 - NEAR
    ]
    for way in sorted(likely, key=lambda way: money(site, way))[:ONE_SORT_TRIES]:
        other = instead(site, settled, way)
        if reached(site, other):
            return other
    return None


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


def near(site: Site, settled: Settled) -> list[Chosen]:
    """Cheaper plans one step away that reach the target, or nearly, by the draws of this one moved
    as the fast formula says; in the order in which they are tried.

    Of steps that are one of a kind, first the first of every kind, then the second of each; the
    cheapest plan first.
    """
    placed = tuple(piece for piece, _ in placements(settled.chosen, site.job))
    whole_m2, now = added_m2(site, settled.chosen), money(site, settled.chosen)
    chances: dict[bytes, float] = {}
    alike: Counter[tuple[bytes, object]] = Counter()
    found: list[tuple[int, tuple[Decimal, float], int, Chosen]] = []
    for chosen in _steps(site, settled.chosen):
        asked = money(site, chosen)
        if asked[0] >= now[0] and len(chosen) >= len(settled.chosen):
            continue
        less_m2 = added_m2(site, chosen)
        key = np.round(less_m2, 6).tobytes()
        if key not in chances:
            chances[key] = site.chance(placed, whole_m2, less_m2)
        if chances[key] >= site.job.sure_pct / 100 - NEAR:
            alike[key, asked] += 1
            found.append((alike[key, asked], asked, len(found), chosen))
    return [chosen for *_, chosen in sorted(found, key=lambda step: step[:3])]


def _steps(site: Site, chosen: Chosen) -> Iterator[Chosen]:
    """Every plan without one piece, or with another at its place; what hangs in a pair goes in a
    pair, what is pinned stays."""
    pins = {site.places[i] for i in site.pinned}
    units = _units(site)
    paired = {c for unit in units if len(unit) > 1 for c in unit}
    own = [unit for unit in units if set(unit) <= set(chosen)]
    own += [(c,) for c in chosen if c not in paired and (c,) not in own]
    for unit in own:
        if pins & set(unit):
            continue
        rest = tuple(c for c in chosen if c not in unit)
        yield rest
        for other in units:
            if _fits(other, unit, rest):
                yield (*rest, *other)


def _units(site: Site) -> list[Chosen]:
    """What hangs together or not at all."""
    pairs = dict(site.twins)
    second, alone = set(pairs.values()), site.singles | site.pinned
    first = [i for i in range(len(site.places)) if i not in second and i not in alone]
    return [
        (site.places[i], site.places[pairs[i]]) if i in pairs else (site.places[i],) for i in first
    ]


def _fits(other: Chosen, unit: Chosen, rest: Chosen) -> bool:
    """Whether these may hang in place of those: where they hung, and near nothing else."""
    if len(other) != len(unit) or other == unit:
        return False
    there = all(
        c.face == was.face and c.place.overlap_m2(was.place) > 0
        for c, was in zip(other, unit, strict=True)
    )
    return there and not any(clash(c, r) for c in other for r in rest)
