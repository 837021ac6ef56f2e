"""What the screws of a cleat carry, by elementary statics (common practice of a beam's two bearings
and of a bracket that prises at its far end)."""

from __future__ import annotations

from math import hypot, inf

import pytest

from roomcheck.geometry import Rectangle
from roomcheck.job import Framing, FramingKind, ShopPractice
from roomcheck.job.on_studs import (
    OFF_M,
    WallCleat,
    _most_across_n,
    _prise,
    cleat_ratio,
    pieces_play_m,
    pull_share,
    screw_heights_m,
    stud_shares,
    wall_screw,
)

GYPSUM_M = 0.0127
"""1/2 in."""


def test_one_stud_turns_on_its_two_screws():
    # 200 N hung 0.1 m beside the stud turn on two screws 1-1/2 in apart: 200 x 0.1 / 0.0381 across each.
    heights_m = screw_heights_m(2)
    apart_m = heights_m[1] - heights_m[0]
    across_n, share = _most_across_n((0.4,), 0.5, 200.0, heights_m)
    assert across_n == pytest.approx(hypot(100.0, 200 * 0.1 / apart_m))
    assert share == 1


def test_a_single_screw_turns_but_under_its_own_load():
    assert _most_across_n((0.4,), 0.4, 200.0, screw_heights_m(1)) == (200.0, 1.0)
    assert _most_across_n((0.4,), 0.5, 200.0, screw_heights_m(1)) == (inf, 1.0)


def test_two_studs_share_by_the_law_of_the_lever():
    assert stud_shares((0.0, 0.4), 0.5) == pytest.approx((-0.25, 1.25))
    across_n, share = _most_across_n((0.0, 0.4), 0.5, 200.0, screw_heights_m(2))
    assert (across_n, share) == pytest.approx((125.0, 1.25))


def test_a_cleat_on_one_stud_prises_at_its_far_end():
    # A bracket's force beyond its bearing: 0.1 m off with 0.25 m to the end that stays on the wall.
    assert _prise((0.0, 0.6), (0.25,), 0.35) == pytest.approx(1 + 0.1 / 0.25)
    assert _prise((0.0, 0.6), (0.35,), 0.25) == pytest.approx(1 + 0.1 / 0.25)
    assert _prise((0.0, 0.6), (0.25,), 0.25) == 1
    assert _prise((0.0, 0.6), (0.1, 0.5), 0.45) == 1


def test_a_piece_may_slide_as_far_as_its_screws_carry_it_and_no_farther():
    practice = ShopPractice()
    framing = Framing(face="north", kind=FramingKind.WOOD_STUDS, sheathing_m=GYPSUM_M)
    screw = wall_screw(practice, GYPSUM_M)
    cleat = WallCleat(left_m=1.0, length_m=0.55, studs_m=(1.25,), per_stud=2, ratio=9.0)
    place = Rectangle(0.975, 1.0, 0.6, 1.2)
    pull = pull_share(0.05, 1.2, practice)

    def ratio(load_m: float, weight_kg: float) -> float:
        ends = (cleat.left_m, cleat.length_m)
        return cleat_ratio(screw, practice, ends, cleat.studs_m, 2, load_m, weight_kg, pull)

    heavy_kg = next(kg for kg in range(1, 99) if ratio(1.275 + 0.05, kg) < practice.least_ratio)
    play_m = pieces_play_m(framing, cleat, place, practice, float(heavy_kg - 1), 0.05, 0.3)
    assert 0 < play_m < 0.3
    assert play_m / OFF_M == pytest.approx(round(play_m / OFF_M))
    own_kg = (
        heavy_kg - 1 + 0.55 * practice.cleat_width_m * practice.cleat_m * practice.plywood_kg_m3
    )
    for side in (-1, 1):
        assert ratio(1.275 + side * (play_m + OFF_M), own_kg) >= practice.least_ratio
    beyond = [ratio(1.275 + side * (play_m + 2 * OFF_M), own_kg) for side in (-1, 1)]
    assert min(beyond) < practice.least_ratio
