"""What a client may choose beside the least: how surely, promised inside, of one sort."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.job import SURE_PCT
from roomcheck.recommend.aims.cheapest import (
    EVEN_PCT,
    NEARBY_TRIES,
    STEPS,
    least_promised_inside,
    least_seen,
    mixed_walls,
    of_one_sort,
    sought,
)
from roomcheck.recommend.plan.settled import Settled, client_price, reached
from roomcheck.recommend.reasons import PlanKind, PlanNote
from roomcheck.recommend.results import Plan
from roomcheck.recommend.solver.site import Site

SURE_INSIDE = (97.5, 99.5)
"""How surely the target is sought, in turn, until the promise lies inside. [%]"""

NARROWER = 0.9
"""How much narrower, as a power, what another plan promises may be. [1]"""


def choices_beside(
    site: Site, need: Settled, plan: Plan, nodes: int, seen: list[Settled], *, search: bool
) -> tuple[Fact[PlanNote], ...]:
    """What else a client may choose beside the least that reaches the target, with its price; how
    surely it can be reached where no plan reaches it as surely as asked."""
    sure = _price_of_sureness(site, need, seen)
    if plan.kind != PlanKind.TARGET:
        return sure
    inside = _promised_inside(site, need, plan, nodes if search else None, seen)
    return (*sure, *inside, *_one_sort(site, need, seen))


def _seek_nearby(
    site: Site, need: Settled, sure_pct: float, nodes: int, seen: list[Settled]
) -> None:
    """What near the plan that the target needs reaches it so surely is added to `seen`."""
    steps = min(nodes, STEPS)
    sought(site, need, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps, first=True)


def _price_of_sureness(
    site: Site, need: Settled, seen: Sequence[Settled]
) -> tuple[Fact[PlanNote], ...]:
    """What it takes to reach the target more and less surely: price against risk."""
    sure_pct = site.job.sure_pct
    own = {sure_pct: need} if reached(site, need) else {}
    rows = {pct: least_seen(site, [need, *seen], pct) for pct in (EVEN_PCT, *SURE_PCT)} | own
    listed = [(pct, row) for pct, row in sorted(rows.items()) if row is not None]
    none_pct = tuple(pct for pct, row in sorted(rows.items()) if row is None)
    note = fact(
        PlanNote.PRICE_OF_SURENESS,
        sure_pct=tuple(pct for pct, _ in listed),
        pieces=tuple(len(row.chosen) for _, row in listed),
        prices=tuple(float(client_price(site, row.chosen)) for _, row in listed),
        found_pct=tuple(100 * row.chance for _, row in listed),
        currency=site.job.currency,
        none_pct=none_pct,
        here_pct=100 * need.chance,
        here_price=float(client_price(site, need.chosen)),
    )
    return (note,)


def _promised_inside(
    site: Site, need: Settled, plan: Plan, nodes: int | None, seen: list[Settled]
) -> tuple[Fact[PlanNote], ...]:
    """What it takes to promise nothing outside the target, where the plan promises more; of what
    was predicted already without `nodes`."""
    if not plan.promise.beyond_target_hz:
        return ()
    inside = least_promised_inside(site, need, seen)
    for sure_pct in SURE_INSIDE:
        if inside is not None or nodes is None or _too_wide(site, plan):
            break
        _seek_nearby(site, need, sure_pct, nodes, seen)
        inside = least_promised_inside(site, need, seen)
    if inside is None:
        return (fact(PlanNote.PROMISED_INSIDE),)
    more = client_price(site, inside.chosen) - client_price(site, need.chosen)
    note = fact(
        PlanNote.PROMISED_INSIDE,
        pieces=len(inside.chosen),
        more=float(more),
        found_pct=100 * inside.chance,
        currency=site.job.currency,
    )
    return (note,)


def _too_wide(site: Site, plan: Plan) -> bool:
    """Whether something is promised over a range so much wider than the target's own limits that no
    plan near by promises all inside."""
    target, made = site.verdict.target, plan.promise
    promised = [(target.limit(band.band_hz), band.low_s, band.high_s) for band in made.bands]
    asked = [(at.low_s, at.high_s, low, high) for at, low, high in promised if at is not None]
    if made.mid_low_s and made.mid_high_s:
        asked.append((target.mid_low_s, target.mid_high_s, made.mid_low_s, made.mid_high_s))
    return any(
        least and most and low > 0 and (high / low) ** NARROWER > most / least
        for least, most, low, high in asked
    )


def _one_sort(site: Site, need: Settled, seen: list[Settled]) -> tuple[Fact[PlanNote], ...]:
    """What panels of one sort on each wall cost, where the least mixes them."""
    walls = mixed_walls(need.chosen)
    alike = of_one_sort(site, need, seen) if walls else None
    if alike is None:
        return ()
    more = client_price(site, alike.chosen) - client_price(site, need.chosen)
    note = fact(
        PlanNote.ONE_SORT,
        faces=tuple(walls),
        more=float(more),
        currency=site.job.currency,
    )
    return (note,)
