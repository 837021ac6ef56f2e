"""Choices solved, predicted, corrected and solved again until they stand."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from statistics import NormalDist

from roomcheck.recommend.aims.cheapest import HOPEFUL, NEARBY_TRIES, STEPS, least_seen, sought
from roomcheck.recommend.aims.choosing import NODES, Asked, choose_for
from roomcheck.recommend.integer.choose import Choice
from roomcheck.recommend.plan.settled import (
    Settled,
    learned_near,
    likely_chance,
    merit,
    placed_by_hand,
    predicted,
)
from roomcheck.recommend.reasons import PlanKind, Wish
from roomcheck.recommend.solver.fit import Fit, bare_fit
from roomcheck.recommend.solver.money import budget_for_pieces
from roomcheck.recommend.solver.site import Site

ROUNDS, WARY = 3, 1
"""Times that a plan is solved, predicted and corrected at most; from which round on it is corrected
warily."""

PRESSES, FIRST_PRESSES = 3, 2
"""Times that the ends of the range are moved for one prediction at most, and for the first, of the
bare room, which the fast formula leaves furthest behind."""

SURER, LEAST_PRESS, MOST_PRESS = 0.01, 0.6, 1.5
"""By how much a plan may be surer than asked before a cheaper one is sought, and how much nearer or
further the ends of the range are moved for that at once. [1]"""


def settle(
    site: Site,
    goal: PlanKind,
    budget: Decimal | None = None,
    *,
    nodes: int = NODES,
    start: Fit | None = None,
    rounds: int = ROUNDS,
    wishes: Collection[Wish] = (),
    seen: list[Settled] | None = None,
    sure_pct: float | None = None,
) -> Settled:
    """Solve, predict, correct, and solve again until the prediction agrees with what the choice was
    made for.

    Parameters
    ----------
    site : Site
    goal : PlanKind
    budget : Decimal or None
        What the client pays at most.
    nodes : int
        Branches that each search looks into at most.
    start : Fit or None
        What the first choice is made for: a plan near by; the bare room without it.
    rounds : int
        Times that the plan is predicted at most, before what is near it is sought as often.
    wishes : collection of Wish
        What is worth its whole price.
    seen : list of Settled or None
        Gets all choices tried.
    sure_pct : float or None
        How surely the target is sought; as surely as the job asks without. [%]

    Returns
    -------
    Settled
        Of all choices tried, the one that the full prediction likes best; of equals the earliest.
    """
    tried: list[Settled] = []
    sure_pct = sure_pct or site.job.sure_pct
    if goal == PlanKind.TARGET:
        best = _reaching(site, sure_pct, nodes, start, rounds, tried)
    else:
        best = _corrected(site, goal, budget, sure_pct, nodes, start, rounds, wishes, tried)
    if seen is not None:
        seen += tried
    return best


def _corrected(
    site: Site,
    goal: PlanKind,
    budget: Decimal | None,
    sure_pct: float,
    nodes: int,
    start: Fit | None,
    rounds: int,
    wishes: Collection[Wish],
    tried: list[Settled],
) -> Settled:
    """What another end asks for, corrected by its prediction; what is tried is added."""
    fit = start or bare_fit(site)
    purse = None if budget is None else float(budget_for_pieces(budget, site.job.shop))
    for done in range(rounds):
        asked = Asked(goal=goal, fit=fit, budget=budget, wishes=wishes)
        choice, purse = choose_for(site, asked, purse, nodes)
        chosen = tuple(site.places[i] for i in choice.chosen)
        settled = predicted(site, chosen, choice, press=1.0, steady=False)
        now = settled.fit
        settled = replace(settled, steady=fit.agrees(now) or (done > WARY and fit.spans(now)))
        tried.append(settled)
        if settled.steady:
            break
        fit = now.wary(fit) if done >= WARY else now
    return min(tried, key=lambda settled: merit(site, settled, sure_pct))


def _reaching(
    site: Site,
    sure_pct: float,
    nodes: int,
    start: Fit | None,
    rounds: int,
    tried: list[Settled],
) -> Settled:
    """What reaches the target so surely for the least; what is tried is added."""
    base = None
    if start is None:
        base = first_solved(site, sure_pct, nodes, tried)
        rounds -= 1
    for _ in range(rounds):
        again = _again(site, base, start, tried, sure_pct, nodes)
        if again is None:
            break
        tried.append(again)
        base = again
    nearest = min(tried, key=lambda each: merit(site, each, sure_pct))
    best = least_seen(site, tried, sure_pct) or nearest
    steps = min(nodes, STEPS)
    return sought(site, best, sure_pct, seen=tried, tries=NEARBY_TRIES, steps=steps)


def first_solved(site: Site, sure_pct: float, nodes: int, seen: list[Settled]) -> Settled:
    """The cheapest choice by the fast formula as the bare room corrects it, predicted. [%]"""
    bare = placed_by_hand(site, ())
    pressed = _pressed(site, sure_pct, bare.fit, bare, 1.0, nodes)
    seen.append(_hung(site, pressed))
    return seen[-1]


def _hung(site: Site, pressed: _Pressed) -> Settled:
    chosen = tuple(site.places[i] for i in pressed.choice.chosen)
    return predicted(site, chosen, pressed.choice, press=pressed.press, steady=True)


def _again(
    site: Site,
    base: Settled | None,
    start: Fit | None,
    seen: Sequence[Settled],
    sure_pct: float,
    nodes: int,
) -> Settled | None:
    """Chosen anew near what was predicted last, or for a fit that is given where nothing was; None
    where that is known already."""
    if base is not None:
        return next(iter(chosen_anew(site, base, seen, sure_pct, nodes)), None)
    assert start is not None
    return _hung(site, _pressed(site, sure_pct, start, None, 1.0, nodes))


def chosen_anew(
    site: Site, near: Settled, seen: Sequence[Settled], sure_pct: float, nodes: int
) -> tuple[Settled, ...]:
    """The cheapest choice that reaches the target so surely by the fast formula as all full
    predictions near a plan correct it; none where it is known already. [%]"""
    there = learned_near(site, near, seen)
    fit = Fit.of(there, near.prediction, there.added_m2(near.chosen))
    pressed = _pressed(there, sure_pct, fit, near, near.press, nodes)
    chosen = {site.places[i] for i in pressed.choice.chosen}
    known = any(chosen == set(each.chosen) for each in seen)
    return () if known else (_hung(site, pressed),)


@dataclass(frozen=True, kw_only=True)
class _Pressed:
    """A choice made for ends of the range that are so many times as far away."""

    choice: Choice
    press: float
    chance: float
    """That it reaches the target, by the draws of a plan near by and the fast formula [1]."""


def _pressed(
    site: Site, sure_pct: float, fit: Fit, base: Settled | None, press: float, nodes: int
) -> _Pressed:
    """The cheapest choice that reaches the target as surely as asked by the fast formula: the ends
    of the range are taken nearer or further until it does and hardly more; the surest where none
    does. Without a plan near by, the first."""
    sure, tried = sure_pct / 100 - HOPEFUL, list[_Pressed]()
    for _ in range(PRESSES if base is not None and base.chosen else FIRST_PRESSES):
        asked = Asked(goal=PlanKind.TARGET, fit=fit.stretched(press))
        choice, _ = choose_for(site, asked, None, nodes)
        chosen = [site.places[i] for i in choice.chosen]
        chance = 1.0 if base is None else likely_chance(site, base, chosen)
        again = any(choice.chosen == each.choice.chosen for each in tried)
        tried.append(_Pressed(choice=choice, press=press, chance=chance))
        if base is None or again or sure <= chance <= sure + SURER or not choice.finished:
            break
        press = _next_press(tried, sure)
    fine = [each for each in tried if each.chance >= sure]
    if fine:
        return min(fine, key=lambda each: sum(site.costs[i] for i in each.choice.chosen))
    return max(tried, key=lambda each: each.chance)


def _next_press(tried: Sequence[_Pressed], sure: float) -> float:
    """How far away the ends of the range are to be taken next: between what was too little and what
    was too much. [1]"""
    little = [each.press for each in tried if each.chance < sure]
    much = [each.press for each in tried if each.chance >= sure]
    if little and much and max(little) < min(much):
        return float((max(little) * min(much)) ** 0.5)
    normal = NormalDist()
    found = normal.inv_cdf(min(max(tried[-1].chance, 0.55), 0.995))
    by = normal.inv_cdf(sure + SURER / 3) / found
    return tried[-1].press * min(max(by, LEAST_PRESS), MOST_PRESS)
