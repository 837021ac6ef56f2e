"""What the target needs by how surely it shall be reached: one curve of price against risk.

Every level is sought whatever level the job asks for, in the same order and from the same starts,
and all that was predicted on the way is one pool. So the answer of each level is the cheapest of
the same pool, and no level costs more than a surer one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from roomcheck.job import SURE_PCT
from roomcheck.recommend.aims.cheapest import NEARBY_TRIES, STEPS, in_pairs, least_seen, sought
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.plan.settled import (
    Settled,
    client_price,
    merit,
    overhead,
    placed_by_hand,
    reached,
)
from roomcheck.recommend.reasons import PlanKind
from roomcheck.recommend.solver.site import Site

FIRST_PCT = 90
"""How surely the first plan of a room is sought, that all others start from. [%]"""

NEAR_MISS, CHEAPER = 0.1, 0.05
"""How much less surely a plan may reach the target that is a second start, and what share of the
price it is cheaper by. [1]"""

LAST_TRIES = 3
"""Plans near the least of each level that are predicted at most before it stands."""


def all_levels(site: Site, nodes: int) -> list[Settled]:
    """All that was predicted while the target was sought at each of `SURE_PCT`.

    Parameters
    ----------
    site : Site
    nodes : int
        Branches that each search looks into at most.
    """
    seen, steps, bare = list[Settled](), min(nodes, STEPS), placed_by_hand(site, ())
    settle(site, PlanKind.TARGET, nodes=nodes, seen=seen, sure_pct=FIRST_PCT)
    for sure_pct in sorted(SURE_PCT, reverse=True):
        start = nearest_to(site, seen, sure_pct)
        if not reached(site, start, sure_pct):
            seen += overhead(site, start, bare, seen)
            start = nearest_to(site, seen, sure_pct)
        least = sought(site, start, sure_pct, seen=seen, tries=LAST_TRIES, steps=steps)
        for near in _near_misses(site, least, seen, sure_pct):
            sought(site, near, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps)
    return seen


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
