"""What the target needs by how surely it shall be reached: one curve of price against risk.

Every level is sought whatever level the job asks for, in the same order and from the same starts,
and all that was predicted on the way is one pool. So the answer of each level is the cheapest of
the same pool, and no level costs more than a surer one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from statistics import NormalDist

from roomcheck.job import SURE_PCT
from roomcheck.recommend.aims.cheapest import EVEN_PCT, STEPS, in_pairs, least_seen, sought
from roomcheck.recommend.aims.reaching import chosen_anew, first_solved
from roomcheck.recommend.aims.scattered import scattered
from roomcheck.recommend.plan.settled import (
    Settled,
    client_price,
    merit,
    overhead,
    placed_by_hand,
    reached,
)
from roomcheck.recommend.reasons import PlanKind, Wish
from roomcheck.recommend.solver.site import Site

LEVELS_PCT = (90, 95, 80, EVEN_PCT)
"""In the order in which they are sought: each is a start for the next. [%]"""

PARTS = len(LEVELS_PCT) + 1
"""Of `all_levels`."""

FIRST_PCT = 90
"""How surely the first plan of a room is sought, that all others start from. [%]"""

LAST_TRIES = 2
"""Plans near the least of each level that are predicted at most before it stands."""

LEAST_CHANCE = 0.001
"""As sure as nothing, so that all of these are alike. [1]"""


def all_levels(
    site: Site, nodes: int, wishes: Collection[Wish], done: Callable[[int], None]
) -> tuple[list[Settled], Settled]:
    """All that was predicted while the target was sought at each of `SURE_PCT`, and for what is as
    likely as not; and the most that makes sense.

    Parameters
    ----------
    site : Site
    nodes : int
        Branches that each search looks into at most.
    wishes : collection of Wish
        What the most that makes sense is for beside the target.
    done : callable
        Gets, after each level and the most, how many of `PARTS` are done.
    """
    seen = list[Settled]()
    first_solved(site, FIRST_PCT, nodes, seen)
    for parts, sure_pct in enumerate(LEVELS_PCT, 1):
        _seek(site, sure_pct, nodes, seen)
        done(parts)
    near, before = nearest_to(site, seen, FIRST_PCT), len(seen)
    most = scattered(site, PlanKind.MOST, nodes, near, wishes, seen, sure_pct=FIRST_PCT)
    for sure_pct in LEVELS_PCT:
        best, steps = nearest_to(site, seen, sure_pct), min(nodes, STEPS)
        if any(best is each for each in seen[before:]) and reached(site, best, sure_pct):
            sought(site, best, sure_pct, seen=seen, tries=LAST_TRIES, steps=steps)
    done(PARTS)
    return seen, most


def _seek(site: Site, sure_pct: float, nodes: int, seen: list[Settled]) -> None:
    """What reaches the target so surely: chosen anew near the plan that is about as sure, then made
    cheaper or surer step by step. [%]"""
    near, steps = _about_as_sure(site, seen, sure_pct), min(nodes, STEPS)
    if sure_pct in SURE_PCT:
        seen += overhead(site, near, placed_by_hand(site, ()), seen)
        seen += chosen_anew(site, near, seen, sure_pct, nodes)
    start = _about_as_sure(site, seen, sure_pct)
    sought(site, start, sure_pct, seen=seen, tries=LAST_TRIES, steps=steps)


def _about_as_sure(site: Site, seen: Sequence[Settled], sure_pct: float) -> Settled:
    """The plan whose chance is nearest in standard deviations, the cheapest of equals: a dear one
    that is far surer would lead to others like it. [%]"""
    normal, tried = NormalDist(), [each for each in seen if in_pairs(site, each.chosen)] or seen

    def deviation(chance: float) -> float:
        return normal.inv_cdf(min(max(chance, LEAST_CHANCE), 1 - LEAST_CHANCE))

    def off(each: Settled) -> tuple[float, float]:
        away = abs(deviation(each.chance) - deviation(sure_pct / 100))
        return round(away, 1), float(client_price(site, each.chosen))

    return min(tried, key=off)


def nearest_to(site: Site, seen: Sequence[Settled], sure_pct: float) -> Settled:
    """The cheapest that reaches the target so surely; what comes nearest to it where none does.
    [%]"""
    tried = [each for each in seen if in_pairs(site, each.chosen)] or seen
    nearest = min(tried, key=lambda each: merit(site, each, sure_pct))
    return least_seen(site, tried, sure_pct) or nearest
