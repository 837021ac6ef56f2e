"""The plan set: the least that reaches the target, the same with its options, the most that makes
sense; each solved, predicted, corrected and solved again until it stands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal

from roomcheck.analyse import Analysis
from roomcheck.facts import fact
from roomcheck.job import Job, WhyHere
from roomcheck.judge import Verdict
from roomcheck.recommend.aims.budget import budget_plan
from roomcheck.recommend.aims.choices import choices_beside
from roomcheck.recommend.aims.choosing import NODES
from roomcheck.recommend.aims.levels import PARTS, all_levels, nearest_to, undercuts
from roomcheck.recommend.aims.options import (
    completed_options,
    left_alone,
    most_of,
    purse_of,
    with_options,
)
from roomcheck.recommend.aims.scattered import scattered
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.plan.settled import Settled, placed_by_hand
from roomcheck.recommend.reasons import AIMED, PlanKind, PlanNote, Shortfall
from roomcheck.recommend.results import Plan
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.wishes import heard

_SEARCHES = PARTS + 1
"""Of a set: how surely, most, options."""

OPTION_NODES = 100
"""Branches that a search for options looks into at most: what they add is capped, not least."""


def recommend(
    job: Job, analysis: Analysis | None, verdict: Verdict, *, nodes: int = NODES
) -> tuple[Plan, ...]:
    """Plan what the budget buys, what the target needs, the same with options, and the most.

    Parameters
    ----------
    job : Job
        Its `sure_pct` says how surely the target shall be reached.
    analysis : Analysis or None
        Of the "before" visit.
    verdict : Verdict
    nodes : int
        Branches that each search looks into at most; where they run out the best so far is given,
        and the plan says so. No clock: the same job gives the same plans on every machine.

    Returns
    -------
    tuple of Plan
        In this order, as far as they differ and none is worse than another for as much money: what
        a budget buys that does not reach what the target needs; the least that reaches the target,
        or comes nearest to it; the same with its options; the most that makes sense. Of a room
        that is good already one plan of nothing.

    References
    ----------
    Mixed-integer optimum by HiGHS through scipy.optimize.milp.
    """
    return plans_of(Site.of(job, analysis, verdict), nodes=nodes)


def plans_of(
    site: Site, *, nodes: int = NODES, on_part: Callable[[int, int], None] | None = None
) -> tuple[Plan, ...]:
    """Plan a room that is calibrated already.

    Parameters
    ----------
    site : Site
    nodes : int
        As of `recommend`.
    on_part : callable or None
        Gets, after each plan of the set, how many of the searches are done, and how many there are.
    """

    def done(parts: int) -> None:
        if on_part is not None:
            on_part(parts, _SEARCHES)

    if good_already(site.verdict) and not site.pinned:
        return (_nothing(site),)
    wishes = heard(site)
    pool = all_levels(site, nodes, wishes, done)
    need = nearest_to(site, pool.seen, site.job.sure_pct)
    beside, purse = list(pool.seen), purse_of(site, need)
    branches = min(nodes, OPTION_NODES)
    options = scattered(site, PlanKind.OPTIONS, branches, need, wishes, beside, purse)
    target = _aimed(site, need)
    if target.reaches_target:
        options = completed_options(site, options, need, nodes, beside)
    done(PARTS + 1)
    notes = (*choices_beside(site, need, target, pool.seen), *left_alone(site, need, wishes))
    target = replace(target, notes=(*target.notes, *notes))
    fits = not undercuts(site, pool.seen, options)
    more = with_options(site, options, target, wishes) if fits else ()
    within = budget_plan(site, need, pool.within)
    return undominated((*within, target, *more, *most_of(site, pool.most, target)))


def _aimed(site: Site, need: Settled) -> Plan:
    """What the target needs; what comes nearest to it where that is not enough."""
    plan = plan_of(site, PlanKind.TARGET, need)
    return plan if plan.reaches_target else replace(plan, kind=PlanKind.NEAREST)


def undominated(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """Without plans that are equal to another, or no better in anything for as much money."""
    kept: list[Plan] = []
    for plan in plans:
        others = [other for other in plans if other is not plan]
        if plan.kind in AIMED or not any(
            _dominates(other, plan, plans) or _less_than(other, plan) for other in others
        ):
            kept.append(plan)
    return tuple(kept)


def _less_than(other: Plan, plan: Plan) -> bool:
    """Whether a plan costs less than what its name says that it is more than."""
    cheaper = (plan.price or Decimal(0)) < (other.price or Decimal(0))
    named = plan.kind == PlanKind.MOST or (plan.kind == PlanKind.OPTIONS and other.kind in AIMED)
    return cheaper and named


def _dominates(other: Plan, plan: Plan, order: Sequence[Plan]) -> bool:
    mine, theirs = _worth(plan), _worth(other)
    pieces = [sorted(piece.piece for piece in one.pieces) for one in (plan, other)]
    if pieces[0] == pieces[1] and mine == theirs:
        # The same pieces elsewhere, as good and as dear: a client sees one row twice.
        return other.kind in AIMED or order.index(other) < order.index(plan)
    return all(a >= b for a, b in zip(theirs, mine, strict=True)) and theirs != mine


def _worth(plan: Plan) -> tuple[float, float, int, int]:
    """Price, chance, reflections left and diffusers, each the more the better."""
    left = sum(miss.kind == Shortfall.REFLECTION_UNCOVERED for miss in plan.shortfalls)
    scattering = sum(why.kind == WhyHere.SCATTERS for piece in plan.pieces for why in piece.reasons)
    return -float(plan.price or 0), round(plan.chance or 0.0, 2), -left, scattering


def good_already(verdict: Verdict) -> bool:
    """Whether everything that was measured is within the limits, and nothing else is wrong."""
    outcomes = [band.outcome for band in (*verdict.bands, verdict.mid)]
    fine = ("within", "modal", "no limit", "not measured")
    return (
        "within" in outcomes
        and all(outcome in fine for outcome in outcomes)
        and not verdict.findings
    )


def _nothing(site: Site) -> Plan:
    """A plan of nothing, for a room that is good already."""
    settled = placed_by_hand(site, ())
    plan = plan_of(site, PlanKind.TARGET, settled, (fact(PlanNote.ALREADY_GOOD),))
    return replace(plan, reaches_target=True, shortfalls=())
