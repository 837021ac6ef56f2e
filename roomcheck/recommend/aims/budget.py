"""What a budget buys."""

from __future__ import annotations

from roomcheck.facts import fact
from roomcheck.recommend.aims.choosing import RESERVE
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.plan.settled import Settled, client_price
from roomcheck.recommend.reasons import PlanKind, PlanNote
from roomcheck.recommend.results import Plan
from roomcheck.recommend.solver.site import Site

BUDGET_ROUNDS = 2
"""Times that what a budget buys is predicted at most, the least being a plan near by."""


def within_budget(site: Site, need: Settled, nodes: int, seen: list[Settled]) -> Settled | None:
    """What the budget buys, where it does not buy what the target needs."""
    budget = site.job.budget
    if budget is None or client_price(site, need.chosen) * RESERVE <= budget:
        return None
    start, rounds = need.fit, BUDGET_ROUNDS
    return settle(site, PlanKind.BUDGET, budget, nodes=nodes, start=start, rounds=rounds, seen=seen)


def budget_plan(site: Site, need: Settled, settled: Settled | None) -> tuple[Plan, ...]:
    """Plan what the budget buys, where it does not reach what the target needs."""
    budget = site.job.budget
    if settled is None or budget is None or client_price(site, need.chosen) * RESERVE <= budget:
        return ()
    if not settled.chosen:
        return (plan_of(site, PlanKind.BUDGET, settled, (fact(PlanNote.BUDGET_TOO_SMALL),)),)
    price = client_price(site, settled.chosen)
    kind = PlanNote.PINS_OVER_BUDGET if price > budget else PlanNote.PRICE_WITHIN_BUDGET
    note = fact(kind, price=float(price), budget=float(budget), currency=site.job.currency)
    return (plan_of(site, PlanKind.BUDGET, settled, (note,)),)
