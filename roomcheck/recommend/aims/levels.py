"""What the target needs by how surely it shall be reached: one curve of price against risk.

Every level is sought whatever level the job asks for, in the same order and from the same starts,
and all that was predicted on the way is one pool. So the answer of each level is the cheapest of
the same pool, and no level costs more than a surer one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence

from roomcheck.job import SURE_PCT
from roomcheck.recommend.aims.cheapest import (
    EVEN_PCT,
    NEARBY_TRIES,
    STEPS,
    in_pairs,
    least_seen,
    sought,
)
from roomcheck.recommend.aims.reaching import settle
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

LEVELS_PCT = (*sorted(SURE_PCT, reverse=True), EVEN_PCT)
"""In the order in which they are sought: what is surer is a start for what is less so. [%]"""

PARTS = len(LEVELS_PCT) + 1
"""Of `all_levels`."""

FIRST_PCT = 90
"""How surely the first plan of a room is sought, that all others start from. [%]"""

NEAR_MISS, CHEAPER = 0.1, 0.05
"""How much less surely a plan may reach the target that is a second start, and what share of the
price it is cheaper by. [1]"""

LAST_TRIES = 3
"""Plans near the least of each level that are predicted at most before it stands."""


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
    settle(site, PlanKind.TARGET, nodes=nodes, seen=seen, sure_pct=FIRST_PCT)
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
    """What reaches the target so surely, near the best known and near what nearly does."""
    start, steps = nearest_to(site, seen, sure_pct), min(nodes, STEPS)
    if not reached(site, start, sure_pct):
        seen += overhead(site, start, placed_by_hand(site, ()), seen)
        start = nearest_to(site, seen, sure_pct)
    least = sought(site, start, sure_pct, seen=seen, tries=LAST_TRIES, steps=steps)
    for near in _near_misses(site, least, seen, sure_pct):
        sought(site, near, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps)


def _near_misses(
    site: Site, least: Settled, seen: Sequence[Settled], sure_pct: float
) -> Iterator[Settled]:
    """The surest of what is clearly cheaper than the least and nearly as sure."""
    asked, price = sure_pct / 100 - NEAR_MISS, float(client_price(site, least.chosen))
    near = [
        each
        for each in seen
        if in_pairs(site, each.chosen)
        and each.chance >= asked
        and float(client_price(site, each.chosen)) < (1 - CHEAPER) * price
    ]
    if near:
        yield max(near, key=lambda each: each.chance)


def nearest_to(site: Site, seen: Sequence[Settled], sure_pct: float) -> Settled:
    """The cheapest that reaches the target so surely; what comes nearest to it where none does.
    [%]"""
    tried = [each for each in seen if in_pairs(site, each.chosen)] or seen
    nearest = min(tried, key=lambda each: merit(site, each, sure_pct))
    return least_seen(site, tried, sure_pct) or nearest
