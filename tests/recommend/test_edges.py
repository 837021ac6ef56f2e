"""Which way round: more pairs promise more narrowly. Worked by hand."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from roomcheck.recommend.plan import promise


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
