"""How likely a promise is true, and decided: against closed forms of the normal distribution."""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist

import numpy as np
import pytest

from roomcheck.analyse import student_t
from roomcheck.recommend.plan.promise_odds import (
    ERROR,
    KNOWN_FREEDOM,
    PAIRS,
    Value,
    decided_by,
    least_together,
    stretch_for,
    true_together,
)
from roomcheck.recommend.results import DecidedBy, Promise
from roomcheck.words import Reader, promise_odds

DRAWS = 20_000


def test_a_value_alone_is_true_as_often_as_the_normal_distribution_says() -> None:
    # ln T normal with a standard deviation of 0.1; 0.8 to 1.2 s around 1 s.
    draws = np.exp(0.1 * np.random.default_rng(1).standard_normal(DRAWS))
    value = Value(draws_s=draws, likely_s=1.0, low_s=0.8, high_s=1.2)
    expected = NormalDist(0, 0.1).cdf(np.log(1.2)) - NormalDist(0, 0.1).cdf(np.log(0.8))
    # Four standard deviations of a share over 20,000 draws.
    assert true_together([value], 1.0) == pytest.approx(expected, abs=4 * 0.2 / sqrt(DRAWS))


def test_values_that_hang_apart_are_widened_until_all_hold_together() -> None:
    rng = np.random.default_rng(2)
    values = [
        Value(draws_s=np.exp(0.1 * rng.standard_normal(DRAWS)), likely_s=1.0, low_s=0.822,
              high_s=1.217)
        for _ in range(4)
    ]  # fmt: skip
    # 0.95 to the power of four is 0.81; 0.95 needs 0.987 each, 2.49 deviations for 1.96: 1.27.
    assert true_together(values, 1.0) == pytest.approx(0.81, abs=0.03)
    assert stretch_for(values) == pytest.approx(2.49 / 1.96, abs=0.06)


def test_the_set_of_rooms_that_says_the_least_counts() -> None:
    rng = np.random.default_rng(3)
    narrow, wide = (
        [Value(draws_s=np.exp(sd * rng.standard_normal(DRAWS)), likely_s=1.0, low_s=0.822,
               high_s=1.217)]
        for sd in (0.1, 0.13)
    )  # fmt: skip
    # One value that holds 0.95: 1.96 deviations of 0.1 are 0.196, of 0.13 1.30 times as much.
    assert stretch_for(narrow) == pytest.approx(1.0, abs=0.051)
    assert stretch_for(narrow, wide) == stretch_for(wide, narrow) == pytest.approx(1.3, abs=0.051)
    said = [true_together(each, 1.1) for each in (narrow, wide)]
    assert least_together([narrow, wide], 1.1) == min(said) == said[1]


@pytest.mark.parametrize("pairs", [3, 6, 12])
def test_so_many_pairs_decide_as_often_as_the_normal_distribution_says(pairs: int) -> None:
    # A room that is 1 s, promised 0.85 to 1.15 s, each pair unsure by 10 %: called kept where the
    # mean stays Student's t times its deviation inside both ends.
    value = Value(draws_s=np.full(DRAWS, 1.0), likely_s=1.0, low_s=0.85, high_s=1.15)
    (found,) = [by for by in decided_by([value], 1.0, [0.1]) if by.pairs == pairs]
    own = 0.1 / sqrt(pairs)
    room = 0.15 / own - student_t(1 - ERROR, pairs - 1 + KNOWN_FREEDOM)
    expected = 100 * max(2 * NormalDist().cdf(room) - 1, 0.0)
    assert found.kept_pct == pytest.approx(expected, abs=1.5)


def test_the_agreed_number_of_pairs_and_twice_as_many_are_always_named() -> None:
    value = Value(draws_s=np.full(100, 1.0), likely_s=1.0, low_s=0.85, high_s=1.15)
    named = [by.pairs for by in decided_by([value], 1.0, [0.1], 5)]
    assert named == sorted({*PAIRS, 5, 10})
    assert [by.pairs for by in decided_by([value], 1.0, [0.1])] == list(PAIRS)


def promised(positions: int, decided: dict[int, float], most: int | None = None) -> Promise:
    return Promise(
        most_pairs=most,
        bands=(),
        mid_low_s=0.4,
        mid_high_s=0.6,
        positions=positions,
        conditions=(),
        true_pct=93.0,
        decided=tuple(DecidedBy(pairs=n, kept_pct=pct) for n, pct in decided.items()),
    )


def test_no_more_pairs_are_advised_than_the_places_make() -> None:
    decided = {3: 20.0, 4: 45.0, 6: 70.0, 8: 83.0, 12: 95.0}
    told = {
        (agreed, most): promise_odds(promised(agreed, decided, most), Reader(who="contractor"))[-1]
        for agreed, most in ((4, 8), (4, 6), (6, 6), (3, 12))
    }
    assert "choose 8 before signing" in told[4, 8] and "choose 8 before" in told[3, 12]
    assert "make 6, which decide it 70 times in 100" in told[4, 6]
    assert "all that the job's places make" in told[6, 6]
    for pairs in ((4, 6), (6, 6)):
        assert "takes 8: name more sources or microphones" in told[pairs]
        assert "choose" not in told[pairs]


def test_all_pairs_of_the_places_are_named() -> None:
    value = Value(draws_s=np.full(100, 1.0), likely_s=1.0, low_s=0.85, high_s=1.15)
    named = [by.pairs for by in decided_by([value], 1.0, [0.1], 4, 10)]
    assert named == sorted({*PAIRS, 4, 8, 10})


def test_the_contractor_reads_how_many_pairs_to_agree_on() -> None:
    decided = {3: 20.0, 4: 45.0, 8: 83.0, 12: 95.0}
    few = promise_odds(promised(4, decided), Reader(who="contractor"))
    assert "Agreed are 4 pairs" in few[-1] and "choose 8 before signing" in few[-1]
    enough = promise_odds(promised(8, decided), Reader(who="contractor"))
    assert not any("Agreed are" in line for line in enough)
    client = promise_odds(promised(4, decided), Reader(who="client"))
    assert "shown at once with 45 % likelihood" in client[-1]
    assert "twice the pairs with 83 %" in client[-1]
