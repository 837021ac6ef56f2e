"""The program that plans are held against finds the cheapest choice where it can be worked out."""

from __future__ import annotations

import importlib
import itertools
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from roomcheck.recommend.solver.money import price_of

BEFORE_S = np.array([1.3, 1.1, 0.95, 0.85, 0.7])


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """The benchmark in a world that is its own formula, so that nothing needs to be traced."""
    folder = str(Path(__file__).parents[2] / "benchmarks")
    monkeypatch.setattr(sys, "path", [folder, *sys.path])
    bench = importlib.import_module("plan_cost")

    def traced(job: Any, candidates: Any, scatter: float, seed: int) -> Any:
        added_m2 = sum((bench._gain_m2(job, c) for c in candidates), np.zeros(len(BEFORE_S)))
        return bench.Formula(job, BEFORE_S).decays_s(added_m2)

    monkeypatch.setattr(bench, "traced", traced)
    monkeypatch.setattr(bench, "PLACES", 8)
    monkeypatch.setattr(bench, "MOST_TRACED", 2**8)
    yield bench


@pytest.mark.parametrize("seed", range(3))
def test_the_cheapest_that_holds_is_found(bench: Any, seed: int) -> None:
    small = bench.small_room(seed)
    every = bench.Subsets(small)
    places = small.site.places
    assert len(places) == 8
    prices = []
    for taken in itertools.product((False, True), repeat=8):
        chosen = [c for c, hangs in zip(places, taken, strict=True) if hangs]
        decay_s = bench.traced(small.job, chosen, small.scatter, seed)
        judged = [decay_s[value].mean() for value in small.values]
        if max(judged) <= small.high_s:
            pieces = [(c.piece, 2 if c.face == "ceiling" else 1) for c in chosen]
            prices.append(float(price_of(pieces, small.job.shop)))
    found = every.cheapest(None)
    assert found is not None
    assert 0 < every.price(found) == pytest.approx(min(prices), abs=0.01)
    assert max(prices) > min(prices)
    surely = every.cheapest(0.9)
    assert surely is None or every.price(surely) >= every.price(found)


def test_its_own_price_is_the_shops(bench: Any) -> None:
    """Two sums of the same rule, written apart."""
    small, rng = bench.small_room(1), np.random.default_rng(1)
    every = bench.Subsets(small)
    for _ in range(20):
        row = rng.random(len(every.places)) < 0.5
        chosen = [c for c, taken in zip(every.places, row, strict=True) if taken]
        heavy = [c.face == "ceiling" or c.piece.weight_kg >= 22.7 for c in chosen]
        hands = [(c.piece, 1 + two) for c, two in zip(chosen, heavy, strict=True)]
        planner = float(price_of(hands, small.job.shop))
        assert every.price(row) == pytest.approx(planner, abs=0.01)


def test_the_planners_own_cheapest_holds_by_its_own_prediction(bench: Any) -> None:
    small = bench.small_room(0)
    every = bench.Subsets(small)
    believed = bench.Believed(every)
    row = believed.cheapest(None)
    assert row is not None
    likely_s, _, _ = believed.ask(row)
    at = [small.site.bands_hz.index(hz) for hz in bench.BANDS_HZ]
    assert max(likely_s[at][value].mean() for value in small.values) <= small.high_s
    surely = believed.cheapest(0.9)
    assert surely is None or every.price(surely) >= every.price(row)
