"""The best choice of places for an end: for a target, for a purse, for as much as makes sense."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from roomcheck.recommend.integer.choose import Choice, NoChoice, OutOfNodes, choose
from roomcheck.recommend.integer.problem import Problem, cost
from roomcheck.recommend.plan.settled import client_price
from roomcheck.recommend.reasons import PlanKind, Wish
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.money import cost_share
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.targets_as_constraints import problem

NODES = 400
"""Branches that one search looks into at most: what ends it, at the same place on every machine."""

ROUGHLY, MANY = 0.01, 500
"""How much better, as a share, another choice may be where there are more than so many places: the
last of it takes as long as all before. [1], [1]"""

ALIKE = 0.001
"""The same where a plan is to be as good as the room allows: nobody hears a thousandth of its
merit. [1]"""

PURSES = 25
"""Times that a purse is drawn tighter until whole packs fit into it."""

RESERVE = Decimal("1.05")
"""A budget is spent up to a twentieth below it: cutting wastes more than a mean share, which only
the quote knows."""

FREE = 0.02
"""Weight of cost where the room, not the purse, is the limit. [1]"""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a choice is made for."""

    goal: PlanKind
    fit: Fit
    budget: Decimal | None = None
    wishes: Collection[Wish] = ()


def choose_for(
    site: Site, asked: Asked, purse: float | None, nodes: int
) -> tuple[Choice, float | None]:
    """Choose for a goal; the purse is what pieces may cost, drawn tighter where it had to be."""
    if not site.places:
        return Choice(chosen=(), cost=0.0), purse
    if asked.budget is not None and purse is not None:
        return _affordable(site, asked.fit, asked.budget, purse, nodes)
    most = asked.goal == PlanKind.MOST
    wanted = problem(
        site,
        asked.fit,
        cost_weight=FREE if most else 1.0,
        nominal=most,
        purse=purse,
        wishes=asked.wishes,
    )
    try:
        near = ALIKE if most else 0.0
        return _search(site, wanted, nodes, _gap(site), near), purse
    except NoChoice:
        # What is pinned costs more than the purse holds.
        pins = tuple(sorted(site.pinned))
        return Choice(chosen=pins, cost=float(sum(site.costs[i] for i in pins))), purse


def _gap(site: Site) -> float:
    """How near the best a choice has to be proved: else another solver chooses otherwise. [1]"""
    return ROUGHLY if len(site.places) > MANY else 0.0


def _search(site: Site, asked: Problem, nodes: int, gap: float = 0.0, near: float = 0.0) -> Choice:
    """The best choice that so many branches allow; what is pinned alone where they allow none."""
    try:
        return choose(asked, nodes=nodes, gap=gap, near=near)
    except OutOfNodes:
        pins = tuple(sorted(site.pinned))
        return Choice(chosen=pins, cost=cost(asked, pins), gap=np.inf, finished=False)


def _affordable(
    site: Site, fit: Fit, budget: Decimal, purse: float, nodes: int
) -> tuple[Choice, float]:
    """The best choice whose price, whole packs and all, is within the budget, and the purse that
    bought it.

    What is pinned alone, or nothing, where there is none. The purse is drawn tighter until the
    price fits; the next round starts with it.
    """
    for _ in range(PURSES):
        if purse <= 0:
            break
        try:
            choice = _search(site, problem(site, fit, cost_weight=FREE, purse=purse), nodes)
        except NoChoice:
            # What is pinned costs more than the purse holds.
            break
        over = float(client_price(site, [site.places[i] for i in choice.chosen]) * RESERVE - budget)
        if over <= 0:
            return choice, purse
        purse -= max(over * float(cost_share(site.job.shop)), 0.03 * purse)
    return Choice(chosen=tuple(sorted(site.pinned)), cost=0.0), 0.0
