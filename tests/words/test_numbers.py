"""Numbers beside their limits: what is printed agrees with what was decided."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roomcheck.words import beside, limits, plus_minus, reach
from roomcheck.words.numbers import limit_text, with_limit


@settings(deadline=None)
@given(st.floats(0.05, 5.0), st.floats(0.05, 5.0), st.booleans(), st.sampled_from([2, 3, 4, 12]))
def test_no_printed_decay_stands_on_the_wrong_side_of_its_limit(
    value: float, limit: float, upper: bool, digits: int
) -> None:
    limit = round(limit, digits)
    ends = (None, limit) if upper else (limit, None)
    shown, edge = float(beside(value, *ends)), float(limits(*ends, value)[2:])
    if abs(value - limit) > 1e-6:
        assert (shown > edge) == (value > limit)
        assert (shown < edge) == (value < limit)
    assert shown == pytest.approx(value, abs=0.005 + 1e-9, rel=0)
    assert edge == pytest.approx(limit, abs=0.001, rel=0)
    assert edge >= limit - 1e-9 if upper else edge <= limit + 1e-9


@settings(deadline=None)
@given(st.floats(-60, 60), st.floats(-1, 1), st.booleans(), st.integers(0, 3))
def test_sentences_and_tables_print_one_pair(
    limit: float, beyond: float, upper: bool, digits: int
) -> None:
    """Levels, too: negative, and with fewer digits."""
    value = limit + beyond
    shown, edge = with_limit(value, limit, upper=upper, digits=digits)
    if abs(value - limit) > 1e-6:
        assert (float(shown) > float(edge)) == (value > limit)
        assert (float(shown) < float(edge)) == (value < limit)
    low, high = (None, limit) if upper else (limit, None)
    assert shown == beside(value, low, high, digits)
    assert edge == limit_text(limit, upper=upper, value=value, digits=digits)
    assert shown not in ("-0", "-0.0")


@settings(deadline=None)
@given(st.floats(0.0001, 2.0), st.floats(0.0001, 2.0))
def test_printed_ranges_are_never_narrower_than_they_are(low: float, width: float) -> None:
    left, right = (float(end) for end in reach(low, low + width).split("–"))
    assert left <= low + 1e-8
    assert right >= low + width - 1e-8
    assert float(plus_minus(width)[1:]) >= 2 * width - 1e-8


@pytest.mark.parametrize(
    ("value", "limit", "printed"),
    [
        (0.404, 0.40, ("0.404", "0.40")),
        (0.3996, 0.40, ("0.3996", "0.40")),
        (0.31, 0.35, ("0.31", "0.35")),
        (0.40, 0.40, ("0.40", "0.40")),
        (0.600001, 0.6, ("0.600001", "0.60")),
        (0.4301, 0.43083, ("0.43", "0.431")),
        (0.3334, 1 / 3, ("0.3334", "0.333333333")),
    ],
)
def test_digits_stay_on_their_side(value: float, limit: float, printed: tuple[str, str]) -> None:
    assert with_limit(value, limit, upper=True) == printed


@pytest.mark.parametrize("upper", [True, False])
@pytest.mark.parametrize("limit", [0.43083360528973197, 1 / 3, 0.45])
def test_digits_stay_on_their_side_of_limits_that_do_not_end(limit: float, upper: bool) -> None:
    for thousandth in range(300, 600):
        value = thousandth / 1000 + 1e-4
        shown, edge = with_limit(value, limit, upper=upper)
        assert (float(shown) > float(edge)) is (value > limit)
