"""The verb of the stage: three plans, each solved, predicted, corrected and solved again until it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

import numpy as np

from roomcheck.analyse import Analysis
from roomcheck.job import Job, Placement
from roomcheck.judge import Verdict
from roomcheck.predict import Prediction
from roomcheck.recommend import explain
from roomcheck.recommend.candidates import Candidate
from roomcheck.recommend.choose import Choice, choose
from roomcheck.recommend.money import budget_for_pieces, cost_share, people, price_of
from roomcheck.recommend.promise import promise
from roomcheck.recommend.results import Plan
from roomcheck.recommend.scatter import clash, diffusers
from roomcheck.recommend.site import Site, placements
from roomcheck.recommend.wishes import Fit, cover_name, mid_s, problem

Goal = Literal["what the budget buys", "what the target needs", "what the room can take"]

ROUNDS = 3
"""Times that a plan is solved, predicted and corrected at most."""

PURSES = 25
"""Times that a purse is drawn tighter until whole packs fit into it."""

RESERVE = Decimal("1.05")
"""A budget is spent up to a twentieth below it: cutting wastes more than a mean share, which only the quote knows."""

FREE = 0.02
"""Weight of cost where the room, not the purse, is the limit. [1]"""


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


def recommend(job: Job, analysis: Analysis | None, verdict: Verdict) -> tuple[Plan, ...]:
    """What the budget buys, what the target needs, what the room can take.

    Parameters
    ----------
    job : Job
    analysis : Analysis or None
        Of the "before" visit.
    verdict : Verdict

    Returns
    -------
    tuple of Plan
        Always three, in this order. A room that is good already gets three plans of nothing.

    References
    ----------
    Mixed-integer optimum by HiGHS through scipy.optimize.milp.
    """
    site = Site.of(job, analysis, verdict)
    if good_already(verdict):
        return _nothing(site)
    need = settle(site, "what the target needs")
    plan = _plan(site, "what the target needs", need)
    most = _scattered(site) or settle(site, "what the room can take")
    return _budget(site, need, plan), plan, _plan(site, "what the room can take", most)


def good_already(verdict: Verdict) -> bool:
    """Whether everything that was measured is within the limits, and nothing else is wrong."""
    outcomes = [band.outcome for band in (*verdict.bands, verdict.mid)]
    fine = ("within", "modal", "no limit", "not measured")
    return "within" in outcomes and all(outcome in fine for outcome in outcomes) and not verdict.findings


def settle(site: Site, goal: Goal, budget: Decimal | None = None) -> Settled:
    """Solve, predict, correct, and solve again until the prediction agrees with what the choice was made for.

    Returns
    -------
    Settled
        Of all choices tried, the one that the full prediction likes best.
    """
    fit = _bare_fit(site)
    tried: list[Settled] = []
    purse = float(budget_for_pieces(budget, site.job.shop)) if budget is not None else None
    for _ in range(ROUNDS):
        choice, purse = _choose(site, goal, fit, budget, purse)
        chosen = tuple(site.places[i] for i in choice.chosen)
        prediction = site.full(tuple(p for p, _ in placements(chosen, site.job)))
        found = Fit.of(site, prediction, site.added_m2(choice.chosen))
        steady = fit.agrees(found)
        tried.append(Settled(chosen=chosen, choice=choice, prediction=prediction, fit=found, steady=steady))
        if steady:
            break
        fit = found
    return min(tried, key=lambda s: _merit(site, s))


def _scattered(site: Site) -> Settled | None:
    """What the room can take with diffusers behind the seat; None where they do not fit or absorption falls short."""
    scatter = diffusers(site.job, site.diffusers, site.early, site.verdict.target.key)
    while scatter:
        room = replace(site, places=tuple(c for c in site.places if not any(clash(c, d) for d in scatter)))
        settled = settle(room, "what the room can take")
        chosen = (*settled.chosen, *scatter)
        prediction = site.full(tuple(p for p, _ in placements(chosen, site.job)))
        if _merit(site, replace(settled, prediction=prediction))[0] == 0:
            gains = tuple(site.places.index(c) for c in settled.chosen)
            choice = replace(settled.choice, chosen=gains)
            return replace(settled, chosen=chosen, choice=choice, prediction=prediction)
        scatter = scatter[: len(scatter) // 2]
    return None


def _choose(
    site: Site, goal: Goal, fit: Fit, budget: Decimal | None, purse: float | None
) -> tuple[Choice, float | None]:
    if not site.places:
        return Choice(chosen=(), cost=0.0), purse
    if budget is not None and purse is not None:
        return _affordable(site, fit, budget, purse)
    if goal == "what the room can take":
        return choose(problem(site, fit, cost_weight=FREE, nominal=True)), purse
    return choose(problem(site, fit)), purse


def _affordable(site: Site, fit: Fit, budget: Decimal, purse: float) -> tuple[Choice, float]:
    """The best choice whose price, whole packs and all, is within the budget, and the purse that bought it.

    Nothing where there is none. The purse is drawn tighter until the price fits; the next round starts with it.
    """
    for _ in range(PURSES):
        if purse <= 0:
            break
        choice = choose(problem(site, fit, cost_weight=FREE, purse=purse))
        over = float(_price(site, [site.places[i] for i in choice.chosen]) * RESERVE - budget)
        if over <= 0:
            return choice, purse
        purse -= max(over * float(cost_share(site.job.shop)), 0.03 * purse)
    return Choice(chosen=(), cost=0.0), 0.0


def _merit(site: Site, settled: Settled) -> tuple[float, float, float]:
    """Likely miss, miss of the range, price: less is better."""
    likely = ranged = 0.0
    for _, low_limit, high_limit, low, middle, high in explain.values(site, settled.prediction):
        likely += _miss(low_limit, high_limit, middle, middle)
        ranged += _miss(low_limit, high_limit, low, high)
    return round(likely, 3), round(ranged, 2), settled.choice.cost


def _miss(low_limit: float | None, high_limit: float | None, low: float, high: float) -> float:
    over = max(high / high_limit - 1, 0.0) if high_limit else 0.0
    return over + (max(1 - low / low_limit, 0.0) if low_limit else 0.0)


def _budget(site: Site, need: Settled, plan: Plan) -> Plan:
    title: Goal = "what the budget buys"
    budget = site.job.budget
    if budget is None:
        note = "The job names no budget, so this is what the target needs."
        return replace(plan, title=title, notes=(note, *plan.notes))
    if _price(site, need.chosen) * RESERVE <= budget:
        return replace(plan, title=title, notes=("The budget covers what the target needs.", *plan.notes))
    settled = settle(site, title, budget)
    if not settled.chosen:
        return _plan(site, title, settled, ("The budget does not cover the visit and a single piece.",))
    sign, price = site.job.currency, _price(site, settled.chosen)
    note = f"Estimated price {sign}{price:,.0f} of a budget of {sign}{budget:,.0f}; the quote works it out."
    return _plan(site, title, settled, (note,))


def _price(site: Site, chosen: Sequence[Candidate]) -> Decimal:
    return price_of([(c.piece, people(c.piece, site.job.room.face(c.face).kind)) for c in chosen], site.job.shop)


def _empty(site: Site) -> Settled:
    prediction = site.full(())
    fit = Fit.of(site, prediction, np.zeros(len(site.bands_hz)))
    return Settled(chosen=(), choice=Choice(chosen=(), cost=0.0), prediction=prediction, fit=fit, steady=True)


def _nothing(site: Site) -> tuple[Plan, ...]:
    settled = _empty(site)
    said = f"The room is good as it is: {site.verdict.sentence} Nothing needs to hang here."
    titles: tuple[Goal, ...] = ("what the budget buys", "what the target needs", "what the room can take")
    return tuple(replace(_plan(site, title, settled, (said,)), reaches_target=True, shortfalls=()) for title in titles)


def _plan(site: Site, title: Goal, settled: Settled, notes: tuple[str, ...] = ()) -> Plan:
    named = [
        replace(placed, reasons=explain.reasons(site, placed, candidate))
        for placed, candidate in placements(settled.chosen, site.job)
    ]
    rows = explain.values(site, settled.prediction)
    reached = bool(rows) and all(explain.inside(lo, hi, low, high) for _, lo, hi, low, _, high in rows)
    gains = gain_per_piece(site, settled)
    return Plan(
        title=title,
        pieces=tuple(named),
        prediction=settled.prediction,
        promise=promise(site.job, site.analysis, settled.prediction),
        reaches_target=reached,
        shortfalls=explain.shortfalls(site, settled.prediction, settled.chosen, _undone(site, named)),
        gain_per_piece=gains,
        notes=(
            *notes,
            *explain.sureness(site, settled.prediction),
            *_gain_note(site, settled, gains),
            *_search(settled),
        ),
    )


def _undone(site: Site, pieces: Sequence[Placement]) -> tuple[str, ...]:
    """First reflections that stay uncovered."""
    found = []
    for r in site.early:
        if any(p.face == r.face and p.place.holds(r.u_m, r.v_m) for p in pieces):
            continue
        where = f" It falls on the {r.on_patch}: a curtain there, or move seat or source." if r.on_patch else ""
        found.append(f"The {cover_name(r)} stays at {r.level_db:.1f} dB.{where}")
    return tuple(found)


def gain_per_piece(site: Site, settled: Settled) -> tuple[float, ...]:
    """Mid-band seconds that each further piece takes off, the one that takes most first. [s]

    By the fast formula, which is drawn to the full prediction at both ends: the bare room and the whole plan.
    """
    start, end = _bare_fit(site).mid, settled.fit.mid
    left = list(settled.choice.chosen)
    now = mid_s(site, site.room.after_s(np.zeros(len(site.bands_hz))))
    if start is None or end is None or now is None:
        return ()
    count, added = len(left), np.zeros(len(site.bands_hz))
    found: list[float] = []
    now *= start[1]
    while left:
        decays = [mid_s(site, site.room.after_s(added + site.gains_m2[i])) or 0.0 for i in left]
        best = int(np.argmin(decays))
        ratio = start[1] + (end[1] - start[1]) * (len(found) + 1) / count
        found.append(round(now - ratio * decays[best], 6))
        added, now = added + site.gains_m2[left.pop(best)], ratio * decays[best]
    return tuple(found)


def _bare_fit(site: Site) -> Fit:
    return Fit.of(site, site.full(()), np.zeros(len(site.bands_hz)))


def _gain_note(site: Site, settled: Settled, gains: tuple[float, ...]) -> tuple[str, ...]:
    start, bare = mid_s(site, site.room.after_s(np.zeros(len(site.bands_hz)))), _bare_fit(site).mid
    if not gains or start is None or bare is None:
        return ()
    single, together = explain.stops_being_heard(start * bare[1], gains)
    found = []
    if single < len(gains):
        found.append(
            f"In order of benefit, from piece {single + 1} of {len(gains)} on a single further piece changes the "
            "mid-band decay by less than 5 %, which nobody hears by itself (ISO 3382-1 says it of EDT; extended here)."
        )
    if together < len(gains) - 1:
        found.append(
            f"All pieces after the first {together} together change it by less than 5 %: they hang there for other "
            "octaves, for first reflections, against flutter or for safety."
        )
    return tuple(found)


def _search(settled: Settled) -> tuple[str, ...]:
    found = []
    if not settled.choice.finished:
        most = f"{100 * settled.choice.gap:.1f} %"
        found.append(f"The search was stopped with this as the best plan so far; no other is more than {most} better.")
    if not settled.steady:
        found.append(
            "Plan and prediction had not quite settled on each other; this is the best of those that were tried."
        )
    return tuple(found)
