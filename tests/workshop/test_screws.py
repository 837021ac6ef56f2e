"""Screws: published strengths, the yield model against a plastic limit analysis, and which screw a
wall takes."""

from __future__ import annotations

import pytest
from limit_analysis import lateral_lbf

from roomcheck.job import wall_screw
from roomcheck.job.model.practice import ShopPractice
from roomcheck.job.on_studs import into_wood_m
from roomcheck.standards.awc_wood_screws import (
    GAUGES,
    N_PER_LBF,
    combined_n,
    lateral_n,
    withdrawal_n_per_m,
)

IN = 0.0254

# Reference shear in lbf behind a 3/4 in cleat of spruce-pine-fir: no gap, 1/2 and 5/8 in gypsum, 1
# in (trade planning values, computed from the yield model of AWC TR12; 80 ksi for #10 as in a
# published worked example).
SHEAR_LBF = {"#8": [69, 42, 38, 27], "#10": [84, 52, 47, 36], "#12": [100, 63, 57, 44]}
GAPS_IN = [0, 0.5, 0.625, 1]


@pytest.mark.parametrize("screw", SHEAR_LBF)
def test_shear_agrees_with_the_planning_table(screw):
    found = [lateral_n(screw, gap * IN, 0.75 * IN, 1.25 * IN) / N_PER_LBF for gap in GAPS_IN]
    assert found == pytest.approx(SHEAR_LBF[screw], abs=0.6)


@pytest.mark.parametrize(
    ("screw", "gap_in", "depth_in"), [("#10", 0.5, 1.25), ("#8", 0.625, 1.125), ("#12", 1.0, 1.4)]
)
def test_shear_agrees_with_a_plastic_limit_analysis(screw, gap_in, depth_in):
    now = lateral_n(screw, gap_in * IN, 0.75 * IN, depth_in * IN) / N_PER_LBF
    assert now == pytest.approx(lateral_lbf(screw, gap_in, 0.75, depth_in), rel=0.01)


def test_half_inch_gypsum_takes_38_percent_of_a_number_ten():
    # "cuts the calculated screw shear by about 38 %" (common practice, computed).
    bare, behind = (lateral_n("#10", gap, 0.75 * IN, 1.25 * IN) for gap in (0.0, 0.5 * IN))
    assert 1 - behind / bare == pytest.approx(0.38, abs=0.01)


# Withdrawal W = 2850 G2 D, lb per inch: G 0.42 (82, 96, 109) and the worked #10 in Douglas fir,
# 135.4.
@pytest.mark.parametrize(
    ("screw", "gravity", "printed"),
    [("#8", 0.42, 82.4), ("#10", 0.42, 95.5), ("#12", 0.42, 108.6), ("#10", 0.50, 135.4)],
)
def test_withdrawal_agrees_with_published_values(screw, gravity, printed):
    assert withdrawal_n_per_m(screw, gravity) / N_PER_LBF * IN == pytest.approx(printed, abs=0.05)


def test_combined_strength_lies_between_both():
    # By hand: 200 and 500 N at 45 degrees: 500 x 200 / (250 + 100).
    assert combined_n(200, 500, 10, 10) == pytest.approx(285.714, abs=0.001)


# #10 x 2-1/2 in through 3/4 in cleat and 1/2 in gypsum: exactly 1-1/4 in of wood (common practice).
def test_depth_in_the_stud_agrees_with_the_trade():
    assert into_wood_m(2.5 * IN, 0.75 * IN, 0.5 * IN) == pytest.approx(1.25 * IN)


@pytest.mark.parametrize(
    ("sheathing_in", "screw"),
    [(0.5, ("#10", 2.5)), (0.625, ("#8", 2.5)), (0.0, ("#10", 2.0)), (1.25, ("#10", 3.25))],
)
def test_a_wall_takes_a_screw_that_reaches_deep_enough_and_no_deeper(sheathing_in, screw):
    """Six diameters at least, 1-1/4 in at most (NDS 12.1.5.6, and codes on cables as quoted)."""
    found = wall_screw(ShopPractice(), sheathing_in * IN)
    assert (found.gauge, found.length_m) == (screw[0], pytest.approx(screw[1] * IN))
    assert 6 * GAUGES[found.gauge].diameter_m <= found.into_wood_m <= 1.2501 * IN


@pytest.mark.parametrize("sheathing_mm", [9.5, 12.5, 15.0, 18.0, 25.0])
def test_a_metric_shop_has_a_metric_screw_for_every_usual_board(sheathing_mm):
    practice = ShopPractice(screw="5 mm", screw_m=0.060, cleat_m=0.018)
    found = wall_screw(practice, sheathing_mm / 1000)
    assert found.gauge in ("4.5 mm", "5 mm", "6 mm")
    assert 6 * GAUGES[found.gauge].diameter_m <= found.into_wood_m + 1e-6
    assert found.into_wood_m <= 0.0323


def test_no_screw_is_named_where_none_fits():
    assert wall_screw(ShopPractice(cleat_m=3 * IN), 1.5 * IN) is None


def test_what_is_no_screw_is_refused():
    with pytest.raises(ValueError, match="#9"):
        lateral_n("#9", 0.0, 0.02, 0.03)
    with pytest.raises(ValueError, match="into_wood_m"):
        lateral_n("#8", 0.0, 0.02, 0.0)
