"""Fabric on the roll and parts out of sheets: the trade's yards, and plans that can be cut."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roomcheck.workshop.cutting.fabric import FabricTooWide, fabric_cut, nest
from roomcheck.workshop.cutting.sheets import PartTooLarge, rip_plan

IN = 0.0254
YD = 36 * IN


def yards(depth_in: float, roll_in: float) -> float:
    cut = fabric_cut(24 * IN, 48 * IN, depth_in * IN, 2 * IN)
    return sum(row.length_m for row in nest([cut], roll_in * IN, IN)) / YD


# Fabric of a 24 x 48 in panel, 2 in wrapped behind, 1 in of selvedge: 0.89 yd of a 60 in roll at 2
# in deep, 1.67 yd at 4 in; other rolls as the trade's table has them (common practice).
@pytest.mark.parametrize(
    ("depth_in", "roll_in", "printed"),
    [(2, 60, 0.89), (2, 54, 1.56), (4, 60, 1.67), (4, 54, 1.67), (4, 66, 1.00)],
)
def test_yards_of_a_panel_agree_with_the_trade(depth_in, roll_in, printed):
    assert yards(depth_in, roll_in) == pytest.approx(printed, abs=0.005)


def test_two_panels_share_the_width_of_a_66_inch_roll():
    # 32 in twice across 65 in: 56 in for two, 0.78 yd each (common practice).
    cut = fabric_cut(24 * IN, 48 * IN, 2 * IN, 2 * IN)
    rows = nest([cut, cut], 66 * IN, IN)
    assert sum(row.length_m for row in rows) / YD / 2 == pytest.approx(0.78, abs=0.005)


def test_a_nap_keeps_the_height_along_the_roll():
    cut = fabric_cut(24 * IN, 48 * IN, 2 * IN, 2 * IN)
    (row,) = nest([cut], 60 * IN, IN, turns=False)
    assert row.length_m == pytest.approx(56 * IN)


def test_the_selvedge_is_lost():
    # A 60 in piece does not fit across a 60 in roll (common practice).
    with pytest.raises(FabricTooWide, match="wider roll"):
        nest([(60 * IN, 60 * IN)], 60 * IN, IN)
    assert len(nest([(59 * IN, 60 * IN)], 60 * IN, IN)) == 1


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.integers(5, 50), st.integers(5, 90)), min_size=1, max_size=12))
def test_rows_hold_every_piece_once_within_the_roll(sizes):
    pieces = [(a * IN, b * IN) for a, b in sizes]
    rows = nest(pieces, 54 * IN, IN)
    laid = Counter(tuple(sorted(piece)) for row in rows for piece in row.pieces)
    assert laid == Counter(tuple(sorted(piece)) for piece in pieces)
    for row in rows:
        assert sum(across for across, _ in row.pieces) <= 53 * IN + 1e-9
        assert row.length_m == max(along for _, along in row.pieces)
    used = sum(row.length_m for row in rows) * 53 * IN
    assert used >= sum(a * b for a, b in pieces) - 1e-9


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.integers(2, 40), st.integers(2, 90)), min_size=1, max_size=15))
def test_rips_hold_every_part_once_within_the_sheet(sizes):
    parts = [(a * IN, b * IN) for a, b in sizes]
    sheet, kerf = (48 * IN, 96 * IN), IN / 8
    rips = rip_plan(parts, sheet, kerf)
    assert Counter(tuple(sorted(p)) for rip in rips for p in rip.parts) == Counter(
        tuple(sorted(p)) for p in parts
    )
    fits = []
    for along, across in (sheet[::-1], sheet):
        long_enough = all(
            sum(p[1] for p in rip.parts) + (len(rip.parts) - 1) * kerf <= along + 1e-9
            and max(p[0] for p in rip.parts) <= rip.width_m + 1e-9
            for rip in rips
        )
        by_sheet = Counter()
        for rip in rips:
            by_sheet[rip.sheet] += rip.width_m + kerf
        fits.append(
            long_enough and all(width - kerf <= across + 1e-9 for width in by_sheet.values())
        )
    assert any(fits)


def test_the_saw_takes_a_backing_out_of_a_sheet():
    # 4 x 8 ft into 2 x 4 ft: three, not four, because 24 + 24 and a kerf are more than 48.
    assert (
        max(rip.sheet for rip in rip_plan([(24 * IN, 48 * IN)] * 2, (48 * IN, 96 * IN), IN / 8))
        == 1
    )
    assert (
        max(rip.sheet for rip in rip_plan([(24 * IN, 48 * IN)] * 4, (48 * IN, 96 * IN), IN / 8))
        == 2
    )
    assert (
        max(rip.sheet for rip in rip_plan([(24 * IN, 48 * IN)] * 4, (48 * IN, 96 * IN), 0.0)) == 1
    )


def test_a_part_larger_than_a_sheet_says_what_would_help():
    with pytest.raises(PartTooLarge, match="larger sheet"):
        rip_plan([(1.3, 1.3)], (48 * IN, 96 * IN), IN / 8)
