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


def within_budget(
    site: Site,
    near: Settled,
    dearest: Settled,
    sure_pct: float,
    nodes: int,
    seen: list[Settled],
) -> Settled | None:
    """What the budget buys, held against the target so surely, where it does not buy the dearest
    that may be needed; `near` is a plan near by. [%]"""
    budget = site.job.budget
    if budget is None or client_price(site, dearest.chosen) * RESERVE <= budget:
        return None
    return settle(
        site,
        PlanKind.BUDGET,
        budget,
        nodes=nodes,
        start=near.fit,
        rounds=BUDGET_ROUNDS,
        seen=seen,
        sure_pct=sure_pct,
    )


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
