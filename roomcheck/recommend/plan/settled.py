"""A choice of pieces that was predicted in full: its chance, its price, how good it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from roomcheck.predict import Prediction
from roomcheck.recommend.integer.choose import Choice
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.plan import explain
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.learned import learned, untried
from roomcheck.recommend.solver.money import people
from roomcheck.recommend.solver.named import placements
from roomcheck.recommend.solver.site import Site


@dataclass(frozen=True, kw_only=True)
class Settled:
    """A choice that stands."""

    chosen: tuple[Candidate, ...]
    choice: Choice
    prediction: Prediction
    fit: Fit
    """Of the prediction to the fast formula."""
    chance: float
    """That all values which the target judges will be measured inside their limits together [1]."""
    press: float
    """How many times as far away the ends of the range were taken when it was chosen [1]."""
    steady: bool
    """Whether the last correction left the choice as it was."""


def predicted(
    site: Site, chosen: Sequence[Candidate], choice: Choice, *, press: float, steady: bool
) -> Settled:
    """Hang these pieces and predict the room in full."""
    placed = tuple(piece for piece, _ in placements(chosen, site.job))
    prediction = site.full(placed)
    return Settled(
        chosen=tuple(chosen),
        choice=choice,
        prediction=prediction,
        fit=Fit.of(site, prediction, site.added_m2(chosen)),
        chance=site.chance(placed),
        press=press,
        steady=steady,
    )


def placed_by_hand(site: Site, chosen: tuple[Candidate, ...]) -> Settled:
    """Pieces that a person placed, predicted in full: nothing was searched."""
    return predicted(site, chosen, Choice(chosen=(), cost=0.0), press=1.0, steady=True)


def instead(site: Site, settled: Settled, chosen: Sequence[Candidate]) -> Settled:
    """Other pieces near a choice, by themselves: no search found them best, and none corrects
    them."""
    known = {c: i for i, c in enumerate(site.places)}
    at = tuple(sorted(known[c] for c in chosen if c in known))
    choice = replace(settled.choice, chosen=at, gap=np.inf)
    return predicted(site, chosen, choice, press=settled.press, steady=True)


def learned_near(site: Site, base: Settled, pool: Sequence[Settled]) -> Site:
    """The room, where absorption counts as the full predictions near a plan say."""
    return learned(
        site, (base.chosen, base.prediction), [(each.chosen, each.prediction) for each in pool]
    )


def overhead(
    site: Site, base: Settled, bare: Settled, tried: Sequence[Settled]
) -> tuple[Settled, ...]:
    """What one unit overhead does beside a plan, predicted where nothing near by says it."""
    pool = [(each.chosen, each.prediction) for each in (bare, *tried)]
    chosen = untried(site, (base.chosen, base.prediction), pool[0], pool)
    return () if chosen is None else (instead(site, base, chosen),)


def likely_chance(site: Site, base: Settled, chosen: Sequence[Candidate]) -> float:
    """How surely these would reach the target, as the fast formula moves the draws of another
    plan. [1]"""
    placed = tuple(piece for piece, _ in placements(base.chosen, site.job))
    was_m2, now_m2 = (np.nan_to_num(site.added_m2(each)) for each in (base.chosen, chosen))
    return float(site.chances(placed, was_m2, now_m2[None])[0])


def shop_cost(site: Site, candidate: Candidate) -> float:
    """Of one piece to the shop, packs shared with the others."""
    hands = people(candidate.piece, site.job.room.face(candidate.face).kind)
    return site.cost_each(candidate.piece, hands)


def client_price(site: Site, chosen: Sequence[Candidate]) -> Decimal:
    """What the client would pay for these, whole packs and tax; not rounded."""
    room = site.job.room
    return site.price((c.piece.name, people(c.piece, room.face(c.face).kind)) for c in chosen)


def money(site: Site, chosen: Sequence[Candidate]) -> tuple[Decimal, float]:
    """Price, and between equals (whole packs, the least that a job costs) the cost."""
    return client_price(site, chosen), round(sum(shop_cost(site, c) for c in chosen), 4)


def merit(
    site: Site, settled: Settled, sure_pct: float | None = None
) -> tuple[float, bool, float, float]:
    """Likely miss, whether the target is reached less surely than asked, by how much, price: less
    is better. As surely as the job asks without `sure_pct`. [%]"""
    likely = sum(
        _miss(row.low_limit_s, row.high_limit_s, row.likely_s, row.likely_s)
        for row in explain.values(site, settled.prediction)
    )
    short = max((sure_pct or site.job.sure_pct) / 100 - settled.chance, 0.0)
    costs = sum(shop_cost(site, c) for c in settled.chosen)
    return round(likely, 3), short > 0, round(short, 2), costs


def _miss(low_limit: float | None, high_limit: float | None, low: float, high: float) -> float:
    over = max(high / high_limit - 1, 0.0) if high_limit else 0.0
    return over + (max(1 - low / low_limit, 0.0) if low_limit else 0.0)


def reached(site: Site, settled: Settled, sure_pct: float | None = None) -> bool:
    """Whether a choice reaches the target so surely; as surely as the job asks without. [%]"""
    likely = explain.reaches(site, settled.prediction, 1.0)
    return likely and settled.chance >= (sure_pct or site.job.sure_pct) / 100
