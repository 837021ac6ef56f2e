"""Pieces as a person places them: may each hang there, what they do by the fast formula, their
whole plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job, Pin, Placement
from roomcheck.judge import EARLY_USES
from roomcheck.predict import Prediction
from roomcheck.recommend.aims.cheapest import least_known
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import CannotHang, clash, pinned
from roomcheck.recommend.plan.echoes import reflection_changes
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.plan.settled import Settled, placed_by_hand
from roomcheck.recommend.reasons import PlanKind
from roomcheck.recommend.results import Plan, ReflectionChange
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.money import estimate
from roomcheck.recommend.solver.site import Site, forbidden

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A piece that may not hang where somebody wants it."""

    name: str
    why: str
    """The text of `CannotHang`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickBand:
    """One octave by the fast formula."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    decay_s: float | None
    """Likely decay with these pieces; None where the room has modes and no decay [s]."""
    low_s: float | None
    """Lower limit of the target; None where there is none [s]."""
    high_s: float | None
    """Upper limit [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickAnswer:
    """What pieces do, at once: by areas alone, moved to where the last full prediction lay."""

    bands: tuple[QuickBand, ...]
    """Octaves that the target judges."""
    mid_s: float | None
    """Likely mean decay [s]."""
    price: Decimal
    """Estimate with tax; the quote works it out."""
    reflections: tuple[ReflectionChange, ...]
    """First reflections at the seat, before and after."""


def refusals(job: Job, pieces: Sequence[Placement]) -> tuple[Refused, ...]:
    """Why pieces may not hang where they are, by the rules that the planner itself keeps.

    Parameters
    ----------
    job : Job
        Its `forbids` hold here too.
    pieces : sequence of Placement
        All that hang together.

    Returns
    -------
    tuple of Refused
        Empty where every piece may hang; one for each that may not, and for both of two that come
        too near each other.
    """
    found: dict[str, str] = {}
    hung: list[tuple[Placement, Candidate]] = []
    for placed in pieces:
        try:
            candidate = pinned(job, pin_at(placed))
        except CannotHang as problem:
            found[placed.name] = problem.why
            continue
        if forbidden(job, candidate):
            found[placed.name] = "you said that nothing like it shall hang there"
        hung.append((placed, candidate))
    for i, (placed, candidate) in enumerate(hung):
        for other, near in hung[:i]:
            if clash(candidate, near):
                found.setdefault(placed.name, f"it is less than 2 in from {other.name}")
                found.setdefault(other.name, f"it is less than 2 in from {placed.name}")
    return tuple(Refused(name=name, why=why) for name, why in found.items())


def quick(site: Site, pieces: Sequence[Placement], like: Plan | None = None) -> QuickAnswer:
    """What these pieces do by the fast formula, within milliseconds.

    Parameters
    ----------
    site : Site
    pieces : sequence of Placement
        May hang, or may not: nothing of that is looked at here.
    like : Plan or None
        A plan that was predicted in full: what the formula says of it is moved to what was
        predicted, and all else by as much.

    Returns
    -------
    QuickAnswer
    """
    decays_s = site.room.after_s(_added_m2(site, pieces))
    if like is not None:
        decays_s = decays_s * _off_by(site, like)
    target = site.verdict.target
    at = [site.bands_hz.index(hz) for hz in target.mid_bands_hz]
    mid_s = float(np.mean(decays_s[at]))
    quiet = bool(site.early) or target.key in EARLY_USES
    return QuickAnswer(
        bands=tuple(
            QuickBand(
                band_hz=limit.band_hz,
                decay_s=_known(decays_s[site.bands_hz.index(limit.band_hz)]),
                low_s=limit.low_s,
                high_s=limit.high_s,
            )
            for limit in target.limits
        ),
        mid_s=_known(mid_s),
        price=estimate(site.job, pieces),
        reflections=reflection_changes(site.job, pieces, site.absorptions, quiet),
    )


def drawn(site: Site, pieces: Sequence[Placement]) -> Plan:
    """The whole plan of pieces that a person placed: prediction, promise, reasons, checks.

    Raises
    ------
    CannotHang
        The first piece that may not hang where it is.
    """
    refused = refusals(site.job, pieces)
    if refused:
        placed = next(p for p in pieces if p.name == refused[0].name)
        raise CannotHang(pin_at(placed), refused[0].why)
    chosen = tuple(pinned(site.job, pin_at(placed)) for placed in pieces)
    return plan_of(site, PlanKind.BY_HAND, placed_by_hand(site, chosen), known=pieces)


def aimed(
    site: Site,
    plan: Plan,
    *,
    budget: Decimal | None = None,
    longest: float = 1.0,
) -> Plan:
    """What another budget buys, or what another target needs, with the places of a plan preferred.

    Parameters
    ----------
    site : Site
    plan : Plan
        Near which to stay where nothing speaks against it; names stay.
    budget : Decimal or None
        What the client pays at most; with it the best is sought that it buys.
    longest : float
        Factor of the target's upper limits. [1]
    """
    limits = tuple(
        replace(limit, high_s=None if limit.high_s is None else limit.high_s * longest)
        for limit in site.verdict.target.limits
    )
    aim = site.verdict.target
    high_s = None if aim.mid_high_s is None else aim.mid_high_s * longest
    target = replace(aim, limits=limits, mid_high_s=high_s)
    there = site.aiming(replace(site.verdict, target=target)).like(plan.pieces)
    kind = PlanKind.TARGET if budget is None else PlanKind.BUDGET
    near = Fit.of(there, plan.prediction, _added_m2(site, plan.pieces))
    seen: list[Settled] = []
    settled = settle(there, kind, budget, start=near, rounds=1, seen=seen)
    if kind == PlanKind.TARGET:
        settled = least_known(there, settled, seen)
    return plan_of(there, PlanKind.BY_HAND, settled, known=plan.pieces)


def pin_at(placed: Placement) -> Pin:
    """A placed piece as something that a person wants there."""
    return Pin(piece=placed.piece, face=placed.face, place=placed.place)


def _added_m2(site: Site, pieces: Sequence[Placement]) -> Real:
    """(bands,): what pieces add. [m2]"""
    rows = [site.gain_of(p.piece, site.job.material_of(p.face)) for p in pieces]
    return np.nan_to_num(np.sum(rows, axis=0)) if rows else np.zeros(len(site.bands_hz))


def _off_by(site: Site, like: Plan) -> Real:
    """(bands,): the full prediction of a plan over the formula's; 1 where either is unknown. [1]"""
    by_formula = site.room.after_s(_added_m2(site, like.pieces))
    predicted_s = _likely_s(site, like.prediction)
    with np.errstate(invalid="ignore"):
        ratio = predicted_s / by_formula
    return np.where(np.isfinite(ratio), ratio, 1.0)


def _likely_s(site: Site, prediction: Prediction) -> Real:
    """(bands,): likely decays; NaN where there is none. [s]"""
    likely = {band.band_hz: band.likely_s for band in prediction.after}
    return np.array([np.nan if likely.get(hz) is None else likely[hz] for hz in site.bands_hz])


def _known(value_s: float) -> float | None:
    return float(value_s) if np.isfinite(value_s) else None
