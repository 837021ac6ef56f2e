"""What a client may choose beside the least: how surely, promised inside, of one sort."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.job import SURE_PCT
from roomcheck.recommend.aims.cheapest import (
    EVEN_PCT,
    least_of_one_sort,
    least_promised_inside,
    least_seen,
    mixed_walls,
)
from roomcheck.recommend.plan.settled import Settled, client_price, reached
from roomcheck.recommend.reasons import PlanKind, PlanNote
from roomcheck.recommend.results import Plan
from roomcheck.recommend.solver.site import Site


def choices_beside(
    site: Site, need: Settled, plan: Plan, seen: Sequence[Settled]
) -> tuple[Fact[PlanNote], ...]:
    """What else a client may choose beside the least that reaches the target, with its price; how
    surely it can be reached where no plan reaches it as surely as asked. Nothing is searched: all
    of it was predicted."""
    sure = _price_of_sureness(site, need, seen)
    if plan.kind != PlanKind.TARGET:
        return sure
    return (*sure, *_promised_inside(site, need, plan, seen), *_one_sort(site, need, seen))


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
    site: Site, need: Settled, plan: Plan, seen: Sequence[Settled]
) -> tuple[Fact[PlanNote], ...]:
    """What it takes to promise nothing outside the target, where the plan promises more."""
    if not plan.promise.beyond_target_hz:
        return ()
    inside = least_promised_inside(site, need, seen, site.job.sure_pct)
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


def _one_sort(site: Site, need: Settled, seen: Sequence[Settled]) -> tuple[Fact[PlanNote], ...]:
    """What panels of one sort on each wall cost, where the least mixes them."""
    alike = least_of_one_sort(site, need, seen, site.job.sure_pct)
    if alike is None:
        return ()
    more = client_price(site, alike.chosen) - client_price(site, need.chosen)
    note = fact(
        PlanNote.ONE_SORT,
        faces=tuple(mixed_walls(need.chosen)),
        more=float(more),
        currency=site.job.currency,
    )
    return (note,)
