"""Which way round: more pairs promise more narrowly. Worked by hand."""

from __future__ import annotations

import math
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest

from roomcheck.geometry import Rectangle
from roomcheck.recommend.places.candidates import BAND_M, SKIRTING_M, UNDER_CEILING_M, _levels
from roomcheck.recommend.places.paths import FacingPair
from roomcheck.recommend.places.space import GAP_M
from roomcheck.recommend.plan import promise
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.wishes import FLUTTER_SHARE, flutter


@pytest.mark.parametrize(("pairs", "share"), [(6, 1.0), (24, 0.5), (54, 1 / 3)])
def test_the_scatter_that_was_seen_shrinks_with_the_root_of_the_pairs(monkeypatch, pairs, share):
    """Seen over 6 pairs 10 %, far more than ISO 3382-2's formula; over 24 it is half of that."""
    octave = SimpleNamespace(t20_s=0.5, t20_u_s=0.05)
    analysis = SimpleNamespace(octave=lambda hz: octave)
    monkeypatch.setattr(promise, "pairs_seen", lambda _: 6)
    over_six = promise._mid_scatter(analysis, (500.0, 1000.0), 0.5, 6)
    assert promise._mid_scatter(analysis, (500.0, 1000.0), 0.5, pairs) == pytest.approx(
        share * over_six
    )
    # 10 % in each of two octaves that are alike: 7.1 % of their mean, if they scatter apart.
    assert 0.07 <= over_six <= 0.1


@pytest.mark.parametrize(
    ("pairs", "grade"),
    [(1, "survey"), (5, "survey"), (6, "engineering"), (11, "engineering"), (12, "precision")],
)
def test_grades_by_their_pairs(pairs, grade):
    """ISO 3382-2:2008, table 1: 2, 6 and 12 combinations; from memory."""
    assert promise.grade_of(pairs) == grade


def fit(likely, low=0.8, high=1.2, mid=None):
    return Fit(likely=np.array(likely), low=np.full(2, low), high=np.full(2, high), mid=mid)


def test_two_predictions_agree_within_a_fiftieth_in_every_band():
    """2 % is the least change that is corrected again."""
    one = fit([1.0, 0.5])
    assert one.agrees(one) and one.agrees(fit([1.019, 0.495]))
    assert not one.agrees(fit([1.021, 0.5])) and not one.agrees(fit([1.0, 0.489]))
    assert not one.agrees(fit([2.0, 1.0]))
    assert not one.agrees(fit([1.0, 0.5], low=0.75)) and not one.agrees(fit([1.0, 0.5], high=1.25))
    assert one.agrees(fit([np.nan, 0.5])), "a band without a prediction says nothing"


def test_a_range_spans_one_that_is_no_wider():
    one = fit([1.0, 0.5])
    assert one.spans(one) and one.spans(fit([1.0, 0.5], low=0.9, high=1.1))
    assert not one.spans(fit([1.0, 0.5], low=0.78)) and not one.spans(fit([1.0, 0.5], high=1.23))
    assert not one.spans(fit([1.03, 0.5]))


def test_what_will_not_settle_takes_the_wider_end_of_both():
    one, other = (
        fit([1.0, 0.5], 0.7, 1.1, (0.7, 1.0, 1.1)),
        fit([1.1, 0.5], 0.8, 1.3, (0.8, 1.1, 1.3)),
    )
    wary = one.wary(other)
    assert (wary.low[0], wary.likely[0], wary.high[0]) == (0.7, 1.0, 1.3)
    assert wary.mid == (0.7, 1.0, 1.3)
    twice = one.stretched(2.0)
    assert (twice.low[0], twice.high[0]) == pytest.approx((0.49, 1.21))
    assert twice.mid == pytest.approx((0.49, 1.0, 1.21))


@pytest.mark.parametrize("height", [0.3, 0.6, 1.0, 1.22, 1.5, 2.0])
@pytest.mark.parametrize("room_m", [2.2, 2.6, 3.4, 5.0])
def test_rows_of_a_wall_lie_apart_and_off_floor_and_ceiling(height, room_m):
    levels = _levels(SimpleNamespace(height_m=room_m), height, 0.05)
    low, high = SKIRTING_M, room_m - UNDER_CEILING_M
    assert bool(levels) is (height <= high - low + 1e-9)
    bottoms = sorted(v for v, _ in levels)
    assert all(low - 0.051 <= v and v + height <= high + 0.051 for v in bottoms)
    assert all(b - a >= height + GAP_M - 1e-9 for a, b in pairwise(bottoms))
    band = [v for v, name in levels if name == "band"]
    assert not levels or len(band) >= 1
    # No more rows at head height than the band from 0.76 to 2.13 m holds, one at least.
    assert len(band) <= max(1, (BAND_M[1] - BAND_M[0] + GAP_M) / (height + GAP_M))
    assert all(v > max(band) for v, name in levels if name == "above")
    assert all(v < min(band) for v, name in levels if name == "below")
    # One above the other without a row left out, nor room for one more below or above.
    if bottoms:
        step = math.ceil((height + GAP_M) / 0.05 - 1e-6) * 0.05
        assert np.diff(bottoms) == pytest.approx(np.full(len(bottoms) - 1, step))
        assert bottoms[0] - step < low and bottoms[-1] + step + height > high


def test_a_piece_breaks_the_share_of_a_strip_that_it_covers_on_either_face():
    """Two strips of 2 m2: a panel covers a quarter of the first on one wall, another half of it on
    the wall across; what hangs elsewhere, or is thin at 1 and 2 kHz, breaks nothing."""
    strips = (Rectangle(0.0, 0.0, 1.0, 2.0), Rectangle(1.0, 0.0, 1.0, 2.0))
    pair = FacingPair(
        first="north", second="south", columns=tuple(zip(strips, strips, strict=True)), apart_m=4.0
    )
    hung = [
        ("north", "soft", Rectangle(0.0, 0.0, 0.5, 1.0)),
        ("south", "soft", Rectangle(0.0, 1.0, 1.0, 1.0)),
        ("east", "soft", Rectangle(0.0, 0.0, 1.0, 1.0)),
        ("north", "thin", Rectangle(0.0, 0.0, 1.0, 1.0)),
    ]
    soft, thin = (SimpleNamespace(at=lambda hz, a=a: a) for a in (0.8, 0.3))
    site = SimpleNamespace(
        absorptions={"soft": soft, "thin": thin},
        places=[
            SimpleNamespace(face=f, piece=SimpleNamespace(name=n), place=r) for f, n, r in hung
        ],
        costs=[100.0, 150.0, 100.0, 10.0],
    )
    found = flutter(site, pair, 1.0)
    assert found.cells == ((2.0, {0: 0.25, 1: 0.5}), (2.0, {}))
    assert found.least == pytest.approx(FLUTTER_SHARE * 4.0)
    site.places = site.places[2:]
    assert flutter(site, pair, 1.0) is None
