"""Three plans, each solved, predicted, corrected and solved again until it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Placement
from roomcheck.judge import EARLY_USES, Verdict
from roomcheck.predict import Prediction
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.mirror import uneven
from roomcheck.recommend.plan import explain
from roomcheck.recommend.plan.checklist import checks
from roomcheck.recommend.plan.echoes import reflection_changes
from roomcheck.recommend.plan.gains import gains, unheard, unheard_from
from roomcheck.recommend.plan.promise import promise
from roomcheck.recommend.reasons import PlanKind, PlanNote, Shortfall
from roomcheck.recommend.results import PieceGain, Plan
from roomcheck.recommend.solver.choose import Choice, NoChoice, OutOfNodes, Problem, choose, cost
from roomcheck.recommend.solver.money import (
    budget_for_pieces,
    cost_share,
    people,
    price_of,
    weeks_of,
)
from roomcheck.recommend.solver.scatter import diffusers
from roomcheck.recommend.solver.site import Site, placements
from roomcheck.recommend.solver.targets_as_constraints import Fit, bare_fit, problem

ROUNDS, WARY = 4, 1
"""Times that a plan is solved, predicted and corrected at most; from which round on it is corrected
warily."""

NODES = 400
"""Branches that one search looks into at most: what ends it, at the same place on every machine."""

PURSES = 25
"""Times that a purse is drawn tighter until whole packs fit into it."""

RESERVE = Decimal("1.05")
"""A budget is spent up to a twentieth below it: cutting wastes more than a mean share, which only
the quote knows."""

FREE = 0.02
"""Weight of cost where the room, not the purse, is the limit. [1]"""


@dataclass(frozen=True, kw_only=True)
class Settled:
    """A choice that stands."""

    chosen: tuple[Candidate, ...]
    choice: Choice
    prediction: Prediction
    fit: Fit
    """Of the prediction to the fast formula."""
    steady: bool
    """Whether the last correction left the choice as it was."""


def recommend(
    job: Job, analysis: Analysis | None, verdict: Verdict, *, nodes: int = NODES
) -> tuple[Plan, ...]:
    """Plan what the budget buys, what the target needs, and what the room can take.

    Parameters
    ----------
    job : Job
    analysis : Analysis or None
        Of the "before" visit.
    verdict : Verdict
    nodes : int
        Branches that each search looks into at most; where they run out the best so far is given,
        and the plan says so. No clock: the same job gives the same plans on every machine.

    Returns
    -------
    tuple of Plan
        Always three, in this order. A room that is good already gets three plans of nothing.

    References
    ----------
    Mixed-integer optimum by HiGHS through scipy.optimize.milp.
    """
    return plans_of(Site.of(job, analysis, verdict), nodes=nodes)


def plans_of(site: Site, *, nodes: int = NODES) -> tuple[Plan, ...]:
    """Plan a room that is calibrated already."""
    if good_already(site.verdict) and not site.pinned:
        return _nothing(site)
    need = settle(site, PlanKind.TARGET, nodes=nodes)
    most = _scattered(site, nodes) or settle(site, PlanKind.MOST, nodes=nodes)
    target = plan_of(site, PlanKind.TARGET, need)
    return _budget(site, need, target, nodes), target, plan_of(site, PlanKind.MOST, most)


def good_already(verdict: Verdict) -> bool:
    """Whether everything that was measured is within the limits, and nothing else is wrong."""
    outcomes = [band.outcome for band in (*verdict.bands, verdict.mid)]
    fine = ("within", "modal", "no limit", "not measured")
    return (
        "within" in outcomes
        and all(outcome in fine for outcome in outcomes)
        and not verdict.findings
    )


def settle(
    site: Site,
    goal: PlanKind,
    budget: Decimal | None = None,
    *,
    nodes: int = NODES,
    start: Fit | None = None,
    rounds: int = ROUNDS,
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
        Times that the plan is solved at most.

    Returns
    -------
    Settled
        Of all choices tried, the one that the full prediction likes best; of equals the earliest.
    """
    fit = start or bare_fit(site)
    tried: list[Settled] = []
    purse = float(budget_for_pieces(budget, site.job.shop)) if budget is not None else None
    for done in range(rounds):
        choice, purse = _choose(site, goal, fit, budget, purse, nodes)
        chosen = tuple(site.places[i] for i in choice.chosen)
        prediction = _full(site, chosen)
        predicted = Fit.of(site, prediction, site.added_m2(choice.chosen))
        steady = fit.agrees(predicted) or (done > WARY and fit.spans(predicted))
        settled = Settled(
            chosen=chosen, choice=choice, prediction=prediction, fit=predicted, steady=steady
        )
        tried.append(settled)
        if steady and not _surprised(site, settled):
            break
        fit = predicted.wary(fit) if done >= WARY else predicted
    return min(tried, key=lambda settled: _merit(site, settled))


def _full(site: Site, chosen: Sequence[Candidate]) -> Prediction:
    """Predict the room with these pieces hung, all methods followed."""
    return site.full(tuple(placed for placed, _ in placements(chosen, site.job)))


def _surprised(site: Site, settled: Settled) -> bool:
    """Whether the prediction misses a limit that the choice was thought to keep, by however
    little."""
    return settled.choice.keeps_limits and any(_merit(site, settled)[:2])


def _scattered(site: Site, nodes: int) -> Settled | None:
    """What the room can take with diffusers behind the seat; None where they do not fit or
    absorption falls short."""
    scatter = diffusers(site.job, site.diffusers, site.early, site.verdict.target.key)
    while scatter:
        settled = settle(site.without(scatter), PlanKind.MOST, nodes=nodes)
        chosen = (*settled.chosen, *scatter)
        prediction = _full(site, chosen)
        if _merit(site, replace(settled, prediction=prediction))[0] == 0:
            fit = Fit.of(site, prediction, added_m2(site, chosen))
            return replace(settled, chosen=chosen, prediction=prediction, fit=fit)
        scatter = scatter[: len(scatter) // 2]
    return None


def added_m2(site: Site, chosen: Sequence[Candidate]) -> NDArray[np.float64]:
    """(bands,): what these add, diffusers too. [m2]"""
    rows = [site.gain_of(c.piece.name, site.job.material_of(c.face)) for c in chosen]
    return np.asarray(np.sum(rows, axis=0)) if rows else np.zeros(len(site.bands_hz))


def _choose(
    site: Site,
    goal: PlanKind,
    fit: Fit,
    budget: Decimal | None,
    purse: float | None,
    nodes: int,
) -> tuple[Choice, float | None]:
    """Choose for a goal; the purse is what pieces may cost, drawn tighter where it had to be."""
    if not site.places:
        return Choice(chosen=(), cost=0.0), purse
    if budget is not None and purse is not None:
        return _affordable(site, fit, budget, purse, nodes)
    if goal == PlanKind.MOST:
        return _search(site, problem(site, fit, cost_weight=FREE, nominal=True), nodes), purse
    return _search(site, problem(site, fit), nodes), purse


def _search(site: Site, asked: Problem, nodes: int) -> Choice:
    """The best choice that so many branches allow; what is pinned alone where they allow none."""
    try:
        return choose(asked, nodes=nodes)
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
        over = float(_price(site, [site.places[i] for i in choice.chosen]) * RESERVE - budget)
        if over <= 0:
            return choice, purse
        purse -= max(over * float(cost_share(site.job.shop)), 0.03 * purse)
    return Choice(chosen=tuple(sorted(site.pinned)), cost=0.0), 0.0


def _merit(site: Site, settled: Settled) -> tuple[float, bool, float, float]:
    """Likely miss, whether the range misses, by how much, price: less is better."""
    likely = ranged = 0.0
    for row in explain.values(site, settled.prediction):
        limits = (row.low_limit_s, row.high_limit_s)
        likely += _miss(*limits, row.likely_s, row.likely_s)
        ranged += _miss(*limits, row.low_s, row.high_s)
    return round(likely, 3), ranged > 0, round(ranged, 2), settled.choice.cost


def _miss(low_limit: float | None, high_limit: float | None, low: float, high: float) -> float:
    over = max(high / high_limit - 1, 0.0) if high_limit else 0.0
    return over + (max(1 - low / low_limit, 0.0) if low_limit else 0.0)


def _budget(site: Site, need: Settled, target: Plan, nodes: int) -> Plan:
    """Plan what the budget buys; what the target needs where it reaches that, or is not named."""
    budget = site.job.budget
    if budget is None:
        return replace(target, kind=PlanKind.NO_BUDGET)
    if _price(site, need.chosen) * RESERVE <= budget:
        return replace(target, kind=PlanKind.BUDGET_COVERS)
    settled = settle(site, PlanKind.BUDGET, budget, nodes=nodes)
    if not settled.chosen:
        return plan_of(site, PlanKind.BUDGET, settled, (fact(PlanNote.BUDGET_TOO_SMALL),))
    price = _price(site, settled.chosen)
    kind = PlanNote.PINS_OVER_BUDGET if price > budget else PlanNote.PRICE_WITHIN_BUDGET
    note = fact(kind, price=float(price), budget=float(budget), currency=site.job.currency)
    return plan_of(site, PlanKind.BUDGET, settled, (note,))


def _price(site: Site, chosen: Sequence[Candidate]) -> Decimal:
    room = site.job.room
    hung = [(c.piece, people(c.piece, room.face(c.face).kind)) for c in chosen]
    return price_of(hung, site.job.shop)


def _nothing(site: Site) -> tuple[Plan, ...]:
    """Three plans of nothing, for a room that is good already."""
    prediction = site.full(())
    settled = Settled(
        chosen=(),
        choice=Choice(chosen=(), cost=0.0),
        prediction=prediction,
        fit=Fit.of(site, prediction, np.zeros(len(site.bands_hz))),
        steady=True,
    )
    plan = plan_of(site, PlanKind.TARGET, settled, (fact(PlanNote.ALREADY_GOOD),))
    good = replace(plan, reaches_target=True, shortfalls=())
    first = PlanKind.NO_BUDGET if site.job.budget is None else PlanKind.BUDGET_COVERS
    return replace(good, kind=first), good, replace(good, kind=PlanKind.MOST)


def plan_of(
    site: Site, kind: PlanKind, settled: Settled, notes: tuple[Fact[PlanNote], ...] = ()
) -> Plan:
    """Name, explain and price what stands, and hold it against all that a person has to look at."""
    placed = placements(settled.chosen, site.job)
    named = tuple(
        replace(piece, reasons=explain.reasons(site, piece, candidate))
        for piece, candidate in placed
    )
    rows = explain.values(site, settled.prediction)
    misses = explain.shortfalls(site, settled.prediction, settled.chosen)
    by_gain = gains(site, [(piece.name, candidate) for piece, candidate in placed], settled.fit)
    quiet = bool(site.early) or site.verdict.target.key in EARLY_USES
    return Plan(
        kind=kind,
        pieces=named,
        prediction=settled.prediction,
        promise=promise(site.job, site.analysis, settled.prediction),
        reaches_target=bool(rows) and all(row.wholly_inside for row in rows),
        shortfalls=(*misses, *_uncovered(site, named)),
        gain_per_piece=tuple(gain.gain_s for gain in by_gain),
        notes=(*notes, *_notes(site, settled, placed, by_gain=by_gain)),
        gains=by_gain,
        unheard_from=unheard_from(by_gain),
        reflections=reflection_changes(site.job, named, site.absorptions, quiet),
        price=_price(site, settled.chosen).quantize(Decimal("0.01")),
        weeks=weeks_of([c.piece for c in settled.chosen], site.job.shop),
        checks=checks(site.job, named),
    )


def _notes(
    site: Site,
    settled: Settled,
    placed: Sequence[tuple[Placement, Candidate]],
    *,
    by_gain: Sequence[PieceGain],
) -> tuple[Fact[PlanNote], ...]:
    scattering = [piece.name for piece, candidate in placed if candidate.piece.diffuser]
    asymmetry = uneven(site.job, site.verdict.target.key)
    unusable = [piece.name for piece in site.job.shop.stock if piece.name in site.unusable]
    return (
        explain.sureness(site, settled.prediction),
        *unheard(by_gain, scattering),
        *explain.methods_apart(settled.prediction),
        *((asymmetry,) if asymmetry else ()),
        *(fact(PlanNote.STOCK_UNUSABLE, piece=name) for name in unusable),
        *_proof(settled),
    )


def _uncovered(site: Site, pieces: Sequence[Placement]) -> tuple[Fact[Shortfall], ...]:
    """First reflections that stay uncovered."""
    uncovered = []
    for r in site.early:
        if any(p.face == r.face and p.place.holds(r.u_m, r.v_m) for p in pieces):
            continue
        shortfall = fact(
            Shortfall.REFLECTION_UNCOVERED,
            source=r.source,
            face=r.face,
            level_db=r.level_db,
            patch=r.on_patch or None,
        )
        uncovered.append(shortfall)
    return tuple(uncovered)


def _proof(settled: Settled) -> tuple[Fact[PlanNote], ...]:
    """How far the search went, and whether plan and prediction settled."""
    choice, notes = settled.choice, []
    gap_pct = 100 * choice.gap if choice.gap < 1 else None
    if not choice.finished:
        notes.append(fact(PlanNote.SEARCH_STOPPED, gap_pct=gap_pct))
    elif choice.gap > 0:
        notes.append(fact(PlanNote.SEARCH_PROVED, gap_pct=gap_pct))
    if not settled.steady:
        notes.append(fact(PlanNote.NOT_SETTLED))
    return tuple(notes)
