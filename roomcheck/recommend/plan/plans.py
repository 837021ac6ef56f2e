"""The verb of the stage: three plans, each solved, predicted, corrected and solved again until it
stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from time import monotonic
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job, Placement
from roomcheck.judge import EARLY_USES, Verdict
from roomcheck.predict import Prediction
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.mirror import uneven
from roomcheck.recommend.plan import explain
from roomcheck.recommend.plan.checklist import checks
from roomcheck.recommend.plan.echoes import reflection_changes
from roomcheck.recommend.plan.gains import gains, told, unheard_from
from roomcheck.recommend.plan.promise import promise
from roomcheck.recommend.results import Plan
from roomcheck.recommend.solver.choose import Choice, NoChoice, OutOfTime, Problem, choose, cost
from roomcheck.recommend.solver.money import (
    budget_for_pieces,
    cost_share,
    people,
    price_of,
    weeks_of,
)
from roomcheck.recommend.solver.scatter import diffusers
from roomcheck.recommend.solver.site import Site, is_diffuser, placements
from roomcheck.recommend.solver.targets_as_constraints import Fit, bare_fit, cover_name, problem

Goal = Literal["what the budget buys", "what the target needs", "what the room can take"]

ROUNDS, WARY = 4, 1
"""Times that a plan is solved, predicted and corrected at most; from which round on it is corrected
warily."""

PURSES = 25
"""Times that a purse is drawn tighter until whole packs fit into it."""

RESERVE = Decimal("1.05")
"""A budget is spent up to a twentieth below it: cutting wastes more than a mean share, which only
the quote knows."""

MOST_S = 20.0
"""One search at most; its number of branches is meant to end it before, so that machines agree.
[s]"""

FREE = 0.02
"""Weight of cost where the room, not the purse, is the limit. [1]"""


@dataclass(frozen=True, kw_only=True)
class Patience:
    """How long to search: to the same branch on every machine, or until a moment."""

    until_s: float | None

    @classmethod
    def of(cls, seconds: float | None) -> Patience:
        return cls(until_s=None if seconds is None else monotonic() + seconds)

    @property
    def left_s(self) -> float:
        return MOST_S if self.until_s is None else max(self.until_s - monotonic(), 0.0)

    @property
    def over(self) -> bool:
        return self.left_s <= 0

    def choose(self, asked: Problem, pinned: frozenset[int]) -> Choice:
        """The best choice that the time left allows; what is pinned alone where it allows none."""
        if not self.over:
            try:
                return choose(asked, seconds=min(MOST_S, self.left_s))
            except OutOfTime:
                pass
        pins = tuple(sorted(pinned))
        return Choice(chosen=pins, cost=cost(asked, pins), gap=np.inf, finished=False)


@dataclass(frozen=True, kw_only=True)
class Settled:
    """A choice that stands.

    Attributes
    ----------
    chosen : tuple of Candidate
    choice : Choice
    prediction : Prediction
    fit : Fit
    steady : bool
        Whether the last correction left the choice as it was.
    """

    chosen: tuple[Candidate, ...]
    choice: Choice
    prediction: Prediction
    fit: Fit
    steady: bool


def recommend(
    job: Job, analysis: Analysis | None, verdict: Verdict, *, seconds: float | None = None
) -> tuple[Plan, ...]:
    """What the budget buys, what the target needs, what the room can take.

    Parameters
    ----------
    job : Job
    analysis : Analysis or None
        Of the "before" visit.
    verdict : Verdict
    seconds : float or None
        Time for all searches together; when it is up, the best so far is given and the plan says
        so. Without it every search ends at the same place on every machine. [s]

    Returns
    -------
    tuple of Plan
        Always three, in this order. A room that is good already gets three plans of nothing.

    References
    ----------
    Mixed-integer optimum by HiGHS through scipy.optimize.milp.
    """
    return plans_of(Site.of(job, analysis, verdict), seconds=seconds)


def plans_of(site: Site, *, seconds: float | None = None) -> tuple[Plan, ...]:
    """The three plans of a room that is calibrated already."""
    patience = Patience.of(seconds)
    if good_already(site.verdict) and not site.pinned:
        return _nothing(site)
    need = settle(site, "what the target needs", patience=patience)
    plan = plan_of(site, "what the target needs", need)
    most = _scattered(site, patience) or settle(site, "what the room can take", patience=patience)
    return _budget(site, need, plan, patience), plan, plan_of(site, "what the room can take", most)


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
    goal: Goal,
    budget: Decimal | None = None,
    *,
    patience: Patience,
    start: Fit | None = None,
    rounds: int = ROUNDS,
) -> Settled:
    """Solve, predict, correct, and solve again until the prediction agrees with what the choice was
    made for.

    `start` is what the first choice is made for: a plan near by; the bare room without it.

    Returns
    -------
    Settled
        Of all choices tried, the one that the full prediction likes best.
    """
    fit = start or bare_fit(site)
    tried: list[Settled] = []
    purse = float(budget_for_pieces(budget, site.job.shop)) if budget is not None else None
    for done in range(rounds):
        choice, purse = _choose(site, goal, fit, budget, purse, patience)
        chosen = tuple(site.places[i] for i in choice.chosen)
        prediction = site.full(tuple(p for p, _ in placements(chosen, site.job)))
        found = Fit.of(site, prediction, site.added_m2(choice.chosen))
        steady = fit.agrees(found) or (done > WARY and fit.spans(found))
        tried.append(
            Settled(chosen=chosen, choice=choice, prediction=prediction, fit=found, steady=steady)
        )
        if (steady and not _surprised(site, tried[-1])) or patience.over:
            break
        fit = found.wary(fit) if done >= WARY else found
    return min(tried, key=lambda s: _merit(site, s))


def _surprised(site: Site, settled: Settled) -> bool:
    """Whether the prediction misses a limit that the choice was thought to keep, by however
    little."""
    thought = not any(" too " in name for name in settled.choice.lacking)
    return thought and any(_merit(site, settled)[:2])


def _scattered(site: Site, patience: Patience) -> Settled | None:
    """What the room can take with diffusers behind the seat; None where they do not fit or
    absorption falls short."""
    scatter = diffusers(site.job, site.diffusers, site.early, site.verdict.target.key)
    while scatter and not patience.over:
        settled = settle(site.without(scatter), "what the room can take", patience=patience)
        chosen = (*settled.chosen, *scatter)
        prediction = site.full(tuple(p for p, _ in placements(chosen, site.job)))
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
    goal: Goal,
    fit: Fit,
    budget: Decimal | None,
    purse: float | None,
    patience: Patience,
) -> tuple[Choice, float | None]:
    if not site.places:
        return Choice(chosen=(), cost=0.0), purse
    if budget is not None and purse is not None:
        return _affordable(site, fit, budget, purse, patience)
    if goal == "what the room can take":
        return patience.choose(
            problem(site, fit, cost_weight=FREE, nominal=True), site.pinned
        ), purse
    return patience.choose(problem(site, fit), site.pinned), purse


def _affordable(
    site: Site, fit: Fit, budget: Decimal, purse: float, patience: Patience
) -> tuple[Choice, float]:
    """The best choice whose price, whole packs and all, is within the budget, and the purse that
    bought it.

    What is pinned alone, or nothing, where there is none. The purse is drawn tighter until the
    price fits; the next round starts with it.
    """
    for _ in range(PURSES):
        if purse <= 0 or patience.over:
            break
        try:
            choice = patience.choose(problem(site, fit, cost_weight=FREE, purse=purse), site.pinned)
        except NoChoice:
            # What is pinned costs more than the purse holds.
            break
        over = float(_price(site, [site.places[i] for i in choice.chosen]) * RESERVE - budget)
        if over <= 0:
            return choice, purse
        purse -= max(over * float(cost_share(site.job.shop)), 0.03 * purse)
    pins = tuple(sorted(site.pinned))
    return Choice(chosen=pins, cost=0.0, finished=not patience.over), 0.0


def _merit(site: Site, settled: Settled) -> tuple[float, bool, float, float]:
    """Likely miss, whether the range misses, by how much, price: less is better."""
    likely = ranged = 0.0
    for _, low_limit, high_limit, low, middle, high in explain.values(site, settled.prediction):
        likely += _miss(low_limit, high_limit, middle, middle)
        ranged += _miss(low_limit, high_limit, low, high)
    return round(likely, 3), ranged > 0, round(ranged, 2), settled.choice.cost


def _miss(low_limit: float | None, high_limit: float | None, low: float, high: float) -> float:
    over = max(high / high_limit - 1, 0.0) if high_limit else 0.0
    return over + (max(1 - low / low_limit, 0.0) if low_limit else 0.0)


def _budget(site: Site, need: Settled, plan: Plan, patience: Patience) -> Plan:
    title: Goal = "what the budget buys"
    budget = site.job.budget
    if budget is None:
        note = "The job names no budget, so this is what the target needs."
        return replace(plan, title=title, notes=(note, *plan.notes))
    if _price(site, need.chosen) * RESERVE <= budget:
        return replace(
            plan, title=title, notes=("The budget covers what the target needs.", *plan.notes)
        )
    settled = settle(site, title, budget, patience=patience)
    if not settled.chosen:
        return plan_of(
            site, title, settled, ("The budget does not cover the visit and a single piece.",)
        )
    sign, price = site.job.currency, _price(site, settled.chosen)
    note = (
        f"Estimated price {sign}{price:,.0f} of a budget of {sign}{budget:,.0f}; the quote works "
        "it out."
    )
    if price > budget:
        note = (
            f"What is pinned costs about {sign}{price:,.0f} by itself, more than the budget of "
            f"{sign}{budget:,.0f}: unpin a piece, or speak about the budget."
        )
    return plan_of(site, title, settled, (note,))


def _price(site: Site, chosen: Sequence[Candidate]) -> Decimal:
    return price_of(
        [(c.piece, people(c.piece, site.job.room.face(c.face).kind)) for c in chosen], site.job.shop
    )


def _empty(site: Site) -> Settled:
    prediction = site.full(())
    fit = Fit.of(site, prediction, np.zeros(len(site.bands_hz)))
    return Settled(
        chosen=(), choice=Choice(chosen=(), cost=0.0), prediction=prediction, fit=fit, steady=True
    )


def _nothing(site: Site) -> tuple[Plan, ...]:
    settled = _empty(site)
    said = "The room is good as it is. Nothing needs to hang here."
    titles: tuple[Goal, ...] = (
        "what the budget buys",
        "what the target needs",
        "what the room can take",
    )
    return tuple(
        replace(plan_of(site, title, settled, (said,)), reaches_target=True, shortfalls=())
        for title in titles
    )


def plan_of(site: Site, title: Goal, settled: Settled, notes: tuple[str, ...] = ()) -> Plan:
    """What stands, named, explained, priced and held against everything that a person has to look
    at."""
    placed = placements(settled.chosen, site.job)
    named = tuple(
        replace(p, reasons=explain.reasons(site, p, candidate)) for p, candidate in placed
    )
    rows = explain.values(site, settled.prediction)
    reached = bool(rows) and all(
        explain.inside(lo, hi, low, high) for _, lo, hi, low, _, high in rows
    )
    found = gains(site, [(p.name, candidate) for p, candidate in placed], settled.fit)
    scattering = [p.name for p, candidate in placed if is_diffuser(candidate.piece)]
    quiet = bool(site.early) or site.verdict.target.key in EARLY_USES
    return Plan(
        title=title,
        pieces=named,
        prediction=settled.prediction,
        promise=promise(site.job, site.analysis, settled.prediction),
        reaches_target=reached,
        shortfalls=explain.shortfalls(
            site, settled.prediction, settled.chosen, _undone(site, named)
        ),
        gain_per_piece=tuple(gain.gain_s for gain in found),
        notes=(
            *notes,
            *explain.sureness(site, settled.prediction),
            *told(found, scattering),
            *explain.methods_apart(settled.prediction),
            *_symmetry(site),
            *(f"Not used: {name}: {why}." for name, why in site.unusable),
            *_search(settled),
        ),
        gains=found,
        unheard_from=unheard_from(found),
        reflections=reflection_changes(site.job, named, site.absorptions, quiet),
        price=_price(site, settled.chosen).quantize(Decimal("0.01")),
        weeks=weeks_of([c.piece for c in settled.chosen], site.job.shop),
        checks=checks(site.job, named),
    )


def _symmetry(site: Site) -> tuple[str, ...]:
    why = uneven(site.job, site.verdict.target.key)
    return (why,) if why else ()


def _undone(site: Site, pieces: Sequence[Placement]) -> tuple[str, ...]:
    """First reflections that stay uncovered."""
    found = []
    for r in site.early:
        if any(p.face == r.face and p.place.holds(r.u_m, r.v_m) for p in pieces):
            continue
        where = (
            f" It falls on the {r.on_patch}: a curtain there, or move seat or source."
            if r.on_patch
            else ""
        )
        found.append(f"The {cover_name(r)} stays at {r.level_db:.1f} dB.{where}")
    return tuple(found)


def _search(settled: Settled) -> tuple[str, ...]:
    found = []
    if not settled.choice.finished:
        gap = settled.choice.gap
        most = (
            f"no other is more than {100 * gap:.1f} % better"
            if gap < 1
            else "a better one may well exist"
        )
        found.append(f"Not searched to the end: this is the best plan found; {most}.")
    elif settled.choice.gap > 0:
        found.append(
            "Proved: no other choice of places betters this one by more than "
            f"{100 * settled.choice.gap:.2g} %."
        )
    if not settled.steady:
        found.append(
            "Plan and prediction had not quite settled on each other; this is the best of those "
            "that were tried."
        )
    return tuple(found)
