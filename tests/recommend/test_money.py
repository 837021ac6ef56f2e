"""Estimates of price against sums done by hand."""

from __future__ import annotations

from decimal import Decimal

import made_up_rooms as made
import pytest

from roomcheck.recommend.solver.money import budget_for_pieces, cost_of, people, price_of, weeks_of

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


def test_weeks_from_acceptance_to_the_second_visit():
    """By hand: ten panels take 7 h of bench; at 4 h a week and 1.5 weeks of lead that is 3.25
    weeks, 4 whole ones, and one for hanging and measuring."""
    assert 10 * made.THIN.build_hours == 7
    for a_week, weeks in ((4, 5), (1, 10)):
        rates = made.changed(
            made.shop().rates, bench_hours_week=Decimal(a_week), lead_weeks=Decimal("1.5")
        )
        shop = made.changed(made.shop(), rates=rates)
        assert weeks_of([made.THIN] * 10, shop) == weeks
    assert weeks_of([], shop) is None
    idle = made.changed(rates, bench_hours_week=Decimal(0))
    assert weeks_of([made.THIN], made.changed(shop, rates=idle)) is None


def test_what_was_paid_for_the_survey_comes_off_before_the_tax():
    rates = made.changed(made.shop().rates, survey_fee=Decimal(100))
    with_fee = price_of([(made.THIN, 1)] * 10, made.changed(made.shop(), rates=rates))
    without = price_of([(made.THIN, 1)] * 10, made.shop())
    assert without - with_fee == pytest.approx(Decimal(100) * Decimal("1.08"))
