"""What the target needs by how surely it shall be reached: one curve of price against risk.

Every level is sought whatever level the job asks for, in the same order and from the same starts:
its least, panels of one sort on each wall, what promises nothing outside the target, what a budget
buys, the most that makes sense. All that was predicted on the way is one pool, and nothing is added
to it once a level is answered. So the answer of each level is the cheapest of the same pool
whatever is asked, and no level costs more than a surer one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from statistics import NormalDist

from roomcheck.job import SURE_PCT
from roomcheck.recommend.aims.budget import within_budget
from roomcheck.recommend.aims.cheapest import (
    EVEN_PCT,
    NEARBY_TRIES,
    STEPS,
    in_pairs,
    least_promised_inside,
    least_seen,
    of_one_sort,
    promised,
    sought,
)
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
from roomcheck.recommend.results import Promise
from roomcheck.recommend.solver.site import Site

LEVELS_PCT = (90, 95, 80, EVEN_PCT)
"""In the order in which they are sought: each is a start for the next. [%]"""

PARTS = len(LEVELS_PCT) + 1
"""Of `all_levels`."""

FIRST_PCT = 90
"""How surely the first plan of a room is sought, that all others start from. [%]"""

ANEW_NODES = 100
"""Branches that a choice made anew looks into at most after the first: what full predictions say is
known by then, and steps near it follow."""

WORTH_SEEKING = 0.05
"""Share of a level's price by which a plan that is not as sure has to be cheaper for a step from
there. [1]"""

LAST_TRIES = 2
"""Plans near the least of each level that a job may ask for, predicted at most before it stands."""

SURE_INSIDE = (97.5, 99.5)
"""How surely the target is sought, in turn, until the promise lies inside. [%]"""

NARROWER = 0.9
"""How much narrower, as a power, what another plan promises may be. [1]"""

LEAST_CHANCE = 0.001
"""As sure as nothing, so that all of these are alike. [1]"""


@dataclass(frozen=True, kw_only=True)
class Pool:
    """All that was predicted of a room for any level."""

    seen: tuple[Settled, ...]
    most: Settled
    """The most that makes sense."""
    within: Settled | None
    """What the budget buys, where it does not buy every level's least."""


def all_levels(
    site: Site, nodes: int, wishes: Collection[Wish], done: Callable[[int], None]
) -> Pool:
    """What was predicted while the target was sought at each of `SURE_PCT`, and for what is as
    likely as not; nothing of it depends on how surely the job asks.

    Parameters
    ----------
    site : Site
    nodes : int
        Branches that each search looks into at most.
    wishes : collection of Wish
        What the most that makes sense is for beside the target.
    done : callable
        Gets, after each level and the rest, how many of `PARTS` are done.
    """
    seen = list[Settled]()
    first_solved(site, FIRST_PCT, nodes, seen)
    below = dict[float, Settled | None]()
    for parts, sure_pct in enumerate(LEVELS_PCT, 1):
        _seek(site, sure_pct, nodes, seen)
        below[sure_pct] = _strengthened_below(site, sure_pct, nodes, seen)
        done(parts)
    # What one level came by may be where another's least is near.
    for sure_pct in SURE_PCT:
        _strengthened_below(site, sure_pct, nodes, seen, known=below[sure_pct])
    least = {sure_pct: nearest_to(site, seen, sure_pct) for sure_pct in LEVELS_PCT}
    _seek_one_sort(site, seen)
    near = nearest_to(site, seen, FIRST_PCT)
    within = within_budget(site, near, _dearest(site, seen), FIRST_PCT, nodes, seen)
    most = scattered(site, PlanKind.MOST, nodes, near, wishes, seen, sure_pct=FIRST_PCT)
    for sure_pct, was in least.items():
        best, steps = nearest_to(site, seen, sure_pct), min(nodes, STEPS)
        if best is not was and reached(site, best, sure_pct):
            sought(site, best, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps)
    _seek_inside(site, nodes, seen)
    done(PARTS)
    return Pool(seen=tuple(seen), most=most, within=within)


def _dearest(site: Site, seen: Sequence[Settled]) -> Settled:
    """What the surest level needs."""
    return nearest_to(site, seen, max(SURE_PCT))


def _seek_one_sort(site: Site, seen: list[Settled]) -> None:
    """The least of each level with panels of one sort on each wall, where it mixes them."""
    for sure_pct in SURE_PCT:
        least = least_seen(site, seen, sure_pct)
        if least is not None:
            of_one_sort(site, least, seen, sure_pct)


def _seek_inside(site: Site, nodes: int, seen: list[Settled]) -> None:
    """What promises nothing outside the target, near what the surest level needs: for any level
    below it is dearer and as good."""
    surest = least_seen(site, seen, max(SURE_PCT))
    if surest is None:
        return
    made = promised(site, surest)
    if not made.beyond_target_hz or too_wide(site, made):
        return
    for sure_pct in SURE_INSIDE:
        if least_promised_inside(site, surest, seen, max(SURE_PCT)) is not None:
            break
        steps = min(nodes, STEPS)
        sought(site, surest, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps, first=True)


def too_wide(site: Site, made: Promise) -> bool:
    """Whether something is promised over a range so much wider than the target's own limits that no
    plan near by promises all inside."""
    target = site.verdict.target
    rows = [(target.limit(band.band_hz), band.low_s, band.high_s) for band in made.bands]
    asked = [(at.low_s, at.high_s, low, high) for at, low, high in rows if at is not None]
    if made.mid_low_s and made.mid_high_s:
        asked.append((target.mid_low_s, target.mid_high_s, made.mid_low_s, made.mid_high_s))
    return any(
        least and most and low > 0 and (high / low) ** NARROWER > most / least
        for least, most, low, high in asked
    )


def _seek(site: Site, sure_pct: float, nodes: int, seen: list[Settled]) -> None:
    """What reaches the target so surely: chosen anew near the plan that is about as sure, where
    that is surer than most, then made cheaper or surer step by step. [%]"""
    near, steps = _about_as_sure(site, seen, sure_pct), min(nodes, STEPS)
    if sure_pct in SURE_PCT:
        seen += overhead(site, near, placed_by_hand(site, ()), seen)
    if sure_pct >= FIRST_PCT:
        branches = nodes if sure_pct == FIRST_PCT else min(nodes, ANEW_NODES)
        seen += chosen_anew(site, near, seen, sure_pct, branches)
    start = _about_as_sure(site, seen, sure_pct)
    tries = LAST_TRIES if sure_pct in SURE_PCT else NEARBY_TRIES
    sought(site, start, sure_pct, seen=seen, tries=tries, steps=steps)


def _strengthened_below(
    site: Site, sure_pct: float, nodes: int, seen: list[Settled], known: Settled | None = None
) -> Settled | None:
    """Make the surest of all that is clearly cheaper than the least so far surer, where it is not
    `known` to have been tried; which one that is. [%]"""
    below = _surest_below(site, seen, sure_pct) if sure_pct in SURE_PCT else None
    if below is not None and below is not known:
        steps = min(nodes, STEPS)
        sought(site, below, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps)
    return below


def _surest_below(site: Site, seen: Sequence[Settled], sure_pct: float) -> Settled | None:
    """The surest of all that cost clearly less than the least that reaches the target so surely;
    None where none reaches it, or none costs so much less. [%]"""
    least = least_seen(site, seen, sure_pct)
    if least is None:
        return None
    most = (1 - WORTH_SEEKING) * float(client_price(site, least.chosen))
    cheaper = [each for each in seen if in_pairs(site, each.chosen)]
    cheaper = [each for each in cheaper if float(client_price(site, each.chosen)) <= most]
    return max(cheaper, key=lambda each: each.chance, default=None)


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


def undercuts(site: Site, pool: Sequence[Settled], other: Settled) -> bool:
    """Whether a plan that no level was sought by holds at one of them for less than the pool says
    that the level costs: what another level's plan set would not know is not offered."""
    levels = [pct for pct in SURE_PCT if reached(site, other, pct)]
    least = [least_seen(site, pool, pct) for pct in levels]
    price = client_price(site, other.chosen)
    return any(one is None or price < client_price(site, one.chosen) for one in least)
