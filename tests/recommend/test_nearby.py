"""Steps near a plan, and the pieces of a large stock that are searched at all."""

from __future__ import annotations

from dataclasses import replace

import layout_check
import made_up_rooms as made
import numpy as np
import pytest

from roomcheck.facts import fact
from roomcheck.job import StockPiece, WhyHere
from roomcheck.recommend import PlanKind, PlanNote, plans_of
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.plan.settled import money
from roomcheck.recommend.solver import preselect
from roomcheck.recommend.solver.named import placements
from roomcheck.recommend.solver.nearby import lessened, strengthened
from roomcheck.recommend.solver.site import Site

LIVE = {250.0: 0.62, 500.0: 0.60, 1000.0: 0.58, 2000.0: 0.55, 4000.0: 0.50}


@pytest.fixture
def site() -> Site:
    job = made.job(shop=made.shop(made.THIN, made.DEEP), seat=None)
    return Site.of(job, made.measured(LIVE), made.verdict(made.target(None, 0.40)))


def test_what_is_strengthened_reaches_what_is_asked_and_hangs_where_it_may(site: Site):
    chosen, chance = strengthened(site, (), 0.9, 60)
    assert chosen and chance >= 0.9
    placed = tuple(piece for piece, _ in placements(chosen, site.job))
    reasoned = tuple(replace(p, reasons=(fact(WhyHere.PINNED),)) for p in placed)
    assert layout_check.complaints(site.job, reasoned) == []
    fewer, _ = strengthened(site, (), 0.9, 1)
    assert len(fewer) == 1


def test_what_is_lessened_costs_less_while_it_reaches_what_is_asked(site: Site):
    """Against every plan with one piece less: none of them would do."""
    start = settle(site, PlanKind.MOST).chosen
    chosen, chance = lessened(site, start, 0.9, 60)
    pieces = tuple(piece for piece, _ in placements(start, site.job))
    was = np.nan_to_num(site.added_m2(start))

    def chance_of(hung: object) -> float:
        return float(site.chances(pieces, was, np.nan_to_num(site.added_m2(hung))[None])[0])

    assert money(site, chosen) < money(site, start)
    assert chance == pytest.approx(chance_of(chosen)) and chance >= 0.9
    for gone in chosen:
        assert chance_of([c for c in chosen if c is not gone]) < 0.9


def large(count: int) -> tuple[StockPiece, ...]:
    """The first few do what the others do for a tenth of the hours."""
    cheap = [replace(made.THIN, name=f"cheap {i}") for i in range(preselect.LEAST_KEPT)]
    dear = [
        replace(made.THIN, name=f"dear {i}", build_hours=10 * made.THIN.build_hours)
        for i in range(count)
    ]
    return (*cheap, *dear)


def test_of_a_large_stock_what_does_as_much_for_less_is_searched():
    job = made.job(shop=made.shop(*large(120)), seat=None)
    site = Site.of(job, made.measured(LIVE), made.verdict(made.target(None, 0.40)))
    assert site.aside
    assert all(name.startswith("dear") for name in site.aside)
    plan = plan_of(site, PlanKind.TARGET, settle(site, PlanKind.TARGET))
    assert {p.piece.split()[0] for p in plan.pieces} == {"cheap"}
    (note,) = [note for note in plan.notes if note.kind == PlanNote.STOCK_ASIDE]
    assert (note["pieces"], note["of"]) == (len(site.aside), len(job.shop.stock))


def test_a_small_stock_is_searched_whole(site: Site):
    assert site.aside == frozenset()
    assert not any(n.kind == PlanNote.STOCK_ASIDE for p in plans_of(site, nodes=0) for n in p.notes)
