"""Estimates of price against sums done by hand."""

from __future__ import annotations

from decimal import Decimal

import made_up_rooms as made
import pytest

from roomcheck.recommend.solver.money import budget_for_pieces, cost_of, people, price_of

# By hand, for the 2 in panel of the made-up shop: 8 ft2 of wool with 5 % waste from packs of 48 ft2
# at 60, 0.9 yd of fabric with 10 % waste at 18, 1.1 h at 55.
PANEL = (
    Decimal("8") * Decimal("1.05") / 48 * 60
    + Decimal("0.9") * Decimal("1.1") * 18
    + Decimal("1.1") * 55
)


def test_cost_of_a_panel():
    assert cost_of(made.THIN, made.shop()) == pytest.approx(PANEL)
    assert float(PANEL) == 88.82
    assert cost_of(made.THIN, made.shop(), hands=2) == pytest.approx(PANEL + Decimal("0.4") * 55)
    assert people(made.CLOUD, "ceiling") == 2 and people(made.THIN, "wall") == 1


def test_price_of_ten_panels_buys_whole_packs():
    """10 panels: 84 ft2 are 2 packs, 9.9 yd are 10, 11 h; 4 h of measuring; 60 + 40. Margin 35 % of
    the price."""
    cost = 2 * 60 + 10 * 18 + (11 + 4) * 55 + 100
    by_hand = Decimal(cost) / Decimal("0.65") * Decimal("1.05") * Decimal("1.08")
    assert price_of([(made.THIN, 1)] * 10, made.shop()) == pytest.approx(by_hand)


def test_a_small_job_costs_the_least_that_the_shop_takes():
    rates = made.changed(made.shop().rates, minimum_job=Decimal(2000))
    assert price_of([(made.THIN, 1)], made.changed(made.shop(), rates=rates)) == Decimal(
        2160
    )  # 8 % tax
    assert price_of([], made.shop()) == 0


def test_what_a_budget_leaves_for_pieces():
    shop = made.shop()
    budget = Decimal(3000)
    cost = budget_for_pieces(budget, shop)
    again = (cost + 4 * 55 + 100) / Decimal("0.65") * Decimal("1.05") * Decimal("1.08")
    assert again == pytest.approx(budget)
    assert 0 < cost < budget
